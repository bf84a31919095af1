# ruff: noqa: E501 - a planted mistake is read best beside what it replaces
"""Mistakes planted in Marlow's and Quill's profiles, and in what only their keypads do, are caught by their transcripts.

One more, Marlow's `resets: [input]` left out, is caught by none and couldn't be: what a contact with a wire uses is only
there for that one kind, and comes back as at first anyhow.
"""

from __future__ import annotations

from pathlib import Path

import pytest

from zonewright.entry.keypad import picking, pressing, standing
from zonewright.entry.keypad.answering import PAUSE, Taken, Typing
from zonewright.entry.sheets.transcript import run
from zonewright.findings import BadInput
from zonewright.panel.profile import Answer, Profile
from zonewright.panel.profile_file import SHIPPED, profile_of

HERE = Path(__file__).parent

IN_THE_PROFILE = [
    ("marlow", "two codes exchanged", "smoke: RK, heat: RM", "smoke: RM, heat: RK"),
    ("marlow", "what two choices say", "interior: inside,", "interior: in side,"),
    ("marlow", "two behaviours exchanged", "interior: MK, on-route: MR", "interior: MR, on-route: MK"),
    ("marlow", "two areas exchanged", '"1+2+4": RK, "1+3+4": WK', '"1+2+4": WK, "1+3+4": RK'),
    ("marlow", "letters of a key", '"2": bcdf', '"2": bcfd'),
    ("marlow", "as many signs", "most: 16", "most: 15"),
    ("marlow", "a lower limit", "seconds: {style: digits, width: 3, from: 10", "seconds: {style: digits, width: 3, from: 15"),
    ("marlow", "a step", "cancel: {style: digits, width: 2, from: 5, to: 60, step: 5", "cancel: {style: digits, width: 2, from: 5, to: 60, step: 1"),
    ("marlow", "a reset left out", "resets: [delay, tells-alarm, tells-trouble]", "resets: [delay, tells-alarm]"),
    ("marlow", "a default", "zone/*/resistor: {how: resistor, when: {kind: [wired loop]}, otherwise: none, default: single}", "zone/*/resistor: {how: resistor, when: {kind: [wired loop]}, otherwise: none, default: none}"),
    ("marlow", "two places exchanged", "setting/entry-time: MK first in, setting/second-entry-time: MM second in", "setting/entry-time: MM second in, setting/second-entry-time: MK first in"),
    ("marlow", "where a block begins", "- first: 281", "- first: 282"),
    ("marlow", "how many remotes", "remotes: 8", "remotes: 9"),
    ("quill", "order of choices", "[none, one note, two notes, tune]", "[none, two notes, one note, tune]"),
    ("quill", "two behaviours exchanged", "on-route: on the way in, interior: inner rooms", "on-route: inner rooms, interior: on the way in"),
    ("quill", "arrows changed round", "seconds: {style: scroll, from: 10, to: 240, step: 5, unit: s, next: up, previous: down", "seconds: {style: scroll, from: 10, to: 240, step: 5, unit: s, next: down, previous: up"),
    ("quill", "an upper limit", "abort: {style: scroll, from: 0, to: 45", "abort: {style: scroll, from: 0, to: 50"),
    ("quill", "a code's arrows", "made of: [up, right, down]", "made of: [up, down]"),
    ("quill", "a reset left out", "zone/*/kind: {how: kind, default: contact, resets: [input]}", "zone/*/kind: {how: kind, default: contact}"),
    ("quill", "a default", "setting/swinger-limit: {how: trips, default: \"2\"}", "setting/swinger-limit: {how: trips, default: \"3\"}"),
    ("quill", "two entries exchanged", "- {says: Keep all this, go: keep zone}\n      - {says: Keep nothing, go: zones}", "- {says: Keep nothing, go: zones}\n      - {says: Keep all this, go: keep zone}"),
    ("quill", "a value not echoed", "- {says: Name, go: zone label, echo: zone/*/label}", "- {says: Name, go: zone label}"),
    ("quill", "taking out another group", "gone remote: {forget: remote, then: outs}", "gone remote: {forget: user, then: outs}"),
]  # fmt: skip


def caught(profile: Profile, name: str) -> bool:
    return any(differs(profile, path) for path in sorted((HERE / name).glob("*.txt")))


def differs(profile: Profile, path: Path) -> bool:
    try:
        return bool(run(profile, path).differences)
    except BadInput:
        return True


@pytest.mark.parametrize(("name", "what", "before", "after"), IN_THE_PROFILE, ids=lambda each: each[:24])
def test_a_mistake_in_the_profile_is_caught(name: str, what: str, before: str, after: str) -> None:
    text = (SHIPPED / f"{name}.yaml").read_text(encoding="utf-8")
    assert text.count(before) == 1, f"{what}: the profile has changed"
    changed = profile_of(text.replace(before, after), name)
    assert changed.record is None or caught(changed.record, name)


TAP = picking.Tap.press


def _start_first(self: picking.Scroll, answer: Answer, present: str | None) -> str:
    return answer.scrolled[0]


def _no_pause(self: picking.Tap, answer: Answer, present: str | None, buffer: str, key: str) -> Typing | Taken:
    return Typing(buffer) if key == PAUSE else TAP(self, answer, present, buffer, key)


IN_THE_KEYPAD: list[tuple[str, str, object, str, object]] = [
    ("quill", "scrolling starts at the first choice", picking.Scroll, "start", _start_first),
    ("marlow", "a pause closes no letter", picking.Tap, "press", _no_pause),
    ("marlow", "conditions aren't asked", pressing, "exists", lambda *_: True),
    ("quill", "all entries are always there", standing, "_is_there", lambda *_: True),
    ("quill", "nothing is missing", pressing, "missing_item", lambda *_: None),
    ("marlow", "nothing is reset", pressing, "reset_by", lambda *_: {}),
    ("quill", "no device is another's", pressing, "owner", lambda *_: None),
]  # fmt: skip


@pytest.mark.parametrize(
    ("name", "what", "where", "attribute", "wrong"), IN_THE_KEYPAD, ids=lambda each: str(each)[:24]
)
def test_a_mistake_in_the_keypad_is_caught(
    name: str, what: str, where: object, attribute: str, wrong: object, monkeypatch: pytest.MonkeyPatch
) -> None:
    profile = profile_of((SHIPPED / f"{name}.yaml").read_text(encoding="utf-8"), name).usable()
    monkeypatch.setattr(where, attribute, wrong)
    assert caught(profile, name), what
