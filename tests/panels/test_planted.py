# ruff: noqa: E501, ARG005 - a planted mistake is read best beside what it replaces
"""Replay equality is no proof of a keypad: mistakes planted in profile and interpreter, caught by the transcripts.

Sheets are written and replayed by the same keypad and profile, so both share a mistake and agree. What catches it are
the transcripts, which a person wrote from the manual alone. Both counts are held here.
"""

from __future__ import annotations

import random
from collections.abc import Callable
from functools import partial
from pathlib import Path
from types import ModuleType

import pytest
import yaml

from zonewright.entry.keypad import keeping, pressing, showing, standing, styles
from zonewright.entry.keypad.drive import drive
from zonewright.entry.keypad.strokes import NoWay
from zonewright.entry.sheets.transcript import run
from zonewright.panel.legal import as_shipped, random_change, random_programme
from zonewright.panel.profile import Profile
from zonewright.panel.profile_file import SHIPPED
from zonewright.panel.programme import Item

TRANSCRIPTS = sorted((Path(__file__).parent / "tern").glob("*.txt"))
TERN = (SHIPPED / "tern.yaml").read_text("utf-8")

IN_THE_PROFILE = {
    "a word's code": ("gate: 9211", "gate: 9212"),
    "two codes exchanged": ("left: 8143, right: 3879", "left: 3879, right: 8143"),
    "two places exchanged": ("porch: 6501, hall: 5907", "porch: 5907, hall: 6501"),
    "order of choices": ("choices: [none, two notes, spoken]", "choices: [none, spoken, two notes]"),
    "what two choices say": ("interior: inside, on-route: inside on the way", "interior: inside on the way, on-route: inside"),
    "a lower limit": ("seconds: {style: digits, width: 3, from: 10", "seconds: {style: digits, width: 3, from: 5"),
    "an upper limit": ("to: 45, step: 5", "to: 50, step: 5"),
    "a step": ("from: 10, to: 240, step: 5", "from: 10, to: 240, step: 10"),
    "a condition of an item": ("zone/*/tells-alarm: {how: yes or no, when: {behaviour not: [notice]}", "zone/*/tells-alarm: {how: yes or no, when: {behaviour not: [environment]}"),
    "a reset left out": ("zone/*/input: {how: input, when: {kind: [contact with a second input]}, otherwise: the only one}", "zone/*/input: {how: input}"),
    "order of questions": ("then: label, back: previous}", "then: area, back: previous}"),
    "the way in": ("ways in: {no no 7: code}", "ways in: {no no 9: code}"),
    "what a question says": ("acts:\n    says: Acts as\n", "acts:\n    says: Acts  as\n"),
    "a free number not offered": ("which: zone\n    only: free", "which: zone\n    only: any"),
    "what waits isn't dropped": ('new: {says: "A new one?", starts afresh: yes', 'new: {says: "A new one?"'),
    "the highest number of a zone": ("zone number: {style: digits, width: 3, from: 1, to: 240", "zone number: {style: digits, width: 3, from: 1, to: 200"),
}  # fmt: skip


def _early_keep(
    real: Callable[..., standing.KeypadState], profile: Profile, state: standing.KeypadState, key: str
) -> standing.KeypadState:
    after = real(profile, state, key)
    single = {Item(item): value for item, value in after.waiting.items() if "*" not in item}
    return after._replace(held={**after.held, **single}) if single else after


IN_THE_KEYPAD: dict[str, Callable[[pytest.MonkeyPatch], None]] = {
    "the time-out keeps what waits": lambda m: m.setattr(
        pressing, "idle", lambda p, s: s._replace(node=p.rest, waiting=s.waiting, message="nothing kept", trail=())
    ),
    "the time-out says nothing": lambda m: m.setattr(
        pressing, "idle", lambda p, s: standing.KeypadState(p.rest, s.held, {})
    ),
    "settings kept at the answer": lambda m: m.setattr(pressing, "press", partial(_early_keep, pressing.press)),
    "an offer starts at the first choice": lambda m: m.setattr(
        styles.Offer, "start", lambda self, answer, present: next(iter(answer.choices))
    ),
    "yes and no turned round, on both sides": lambda m: (
        m.setattr(styles.Flag, "press", lambda self, a, p, b, key: styles.Taken("no" if key == a.yes else "yes") if key in (a.yes, a.no) else styles.Typing(b, styles.NO)),
        m.setattr(styles.Flag, "keys", lambda self, a, p, wanted: ((a.no if wanted == "yes" else a.yes),)),
    )[0],
    "no limit is checked": lambda m: m.setattr(styles, "refuses", lambda answer, value: None),
    "zeros in front are dropped": lambda m: m.setattr(styles, "is_identity", lambda answer: False),
    "too many words are taken": lambda m: m.setattr(
        styles.Words, "press", partial(_more_words, styles.Words.press)
    ),
    "what vanished keeps its answer": lambda m: _both(m, (keeping, pressing), "exists", lambda rule, value_of: True),
    "a device may be learnt twice": lambda m: m.setattr(pressing, "owner", lambda *_: None),
    "the lowest free number isn't": lambda m: _both(
        m, (showing, pressing), "free_number", lambda p, s, g: next((n for n in range(p.limit(g), 0, -1) if not standing.is_used(p, s.held, g, n)), None)
    ),
    "back loses nothing typed": lambda m: m.setattr(pressing, "_typed_into", lambda profile, node: False),
    "back binds the number still": lambda m: m.setattr(pressing, "_back", _back_without_unbinding),
    "a wrong key is silent": lambda m: m.setattr(pressing, "NO", ""),
    "the display isn't cut": lambda m: m.setattr(showing, "display", _uncut),
}  # fmt: skip


def _both(patch: pytest.MonkeyPatch, modules: tuple[ModuleType, ...], name: str, mistake: object) -> None:
    for module in modules:
        patch.setattr(module, name, mistake)


def _more_words(
    real: Callable[..., object], self: styles.Words, answer: object, present: str | None, buffer: str, key: str
) -> object:
    return real(self, answer.model_copy(update={"most": 9}), present, buffer, key)  # type: ignore[attr-defined]


def _back_without_unbinding(profile: Profile, state: standing.KeypadState, target: str) -> standing.KeypadState:
    trail = state.trail
    if target == "previous":
        target, trail = (trail[-1], trail[:-1]) if trail else (profile.rest, ())
    return pressing._stand(profile, state, target, trail, "")


def _uncut(profile: Profile, state: standing.KeypadState) -> showing.Display:
    node = profile.script[state.node]
    lines = (
        showing._said_back(state, node)
        if state.buffer == standing.HEARD
        else [node.says, showing._answer_line(profile, state, node)]
    )
    if state.message:
        lines[1:] = [state.message]
    return tuple(line.rstrip() for line in lines)


def profile_of(text: str) -> Profile:
    return Profile.model_validate(yaml.load(text, Loader=yaml.BaseLoader))


def caught_by_transcripts(profile: Profile) -> bool:
    return any(_differs(profile, path) for path in TRANSCRIPTS)


def _differs(profile: Profile, path: Path) -> bool:
    try:
        return bool(run(profile, path)[0])
    except Exception:
        return True


def caught_by_equality(profile: Profile) -> bool:
    for seed in range(12):
        rng = random.Random(seed)
        try:
            old = random_programme(profile, rng, 3, 1)
            for start, plan in ((as_shipped(profile), old), (old, random_change(profile, rng, old, 3))):
                done = drive(profile, start, plan)
                if done and dict(done[-1].strokes[-1].after.held) != dict(plan.values):
                    return True
        except NoWay:
            return True
        except Exception:
            return True
    return False


@pytest.mark.parametrize("name", IN_THE_PROFILE)
def test_a_mistake_in_the_profile_is_caught_by_a_transcript(name: str) -> None:
    before, after = IN_THE_PROFILE[name]
    assert before in TERN
    assert caught_by_transcripts(profile_of(TERN.replace(before, after, 1)))


@pytest.mark.parametrize("name", IN_THE_KEYPAD)
def test_a_mistake_in_the_keypad_is_caught_by_a_transcript(name: str, monkeypatch: pytest.MonkeyPatch) -> None:
    IN_THE_KEYPAD[name](monkeypatch)
    assert caught_by_transcripts(profile_of(TERN))


def test_without_a_mistake_nothing_is_caught() -> None:
    assert not caught_by_transcripts(profile_of(TERN))
    assert not caught_by_equality(profile_of(TERN))


def test_equality_alone_misses_most_of_them() -> None:
    missed = [
        name
        for name, (before, after) in IN_THE_PROFILE.items()
        if not caught_by_equality(profile_of(TERN.replace(before, after, 1)))
    ]
    for name, plant in IN_THE_KEYPAD.items():
        with pytest.MonkeyPatch.context() as patch:
            plant(patch)
            if not caught_by_equality(profile_of(TERN)):
                missed.append(name)
    total = len(IN_THE_PROFILE) + len(IN_THE_KEYPAD)
    print(f"equality missed {len(missed)} of {total}: {', '.join(missed)}")
    assert len(missed) > total / 2
