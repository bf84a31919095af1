"""A profile that is too large, or names what isn't there, is refused at reading, at its place.

The sizes are counted by what reading asks of the machine's memory, never by a clock.
"""

from __future__ import annotations

import re
import tracemalloc

import pytest

from zonewright.behaviour.faults import Right, SettingFault
from zonewright.panel.fixed import FIXED_KINDS, RIGHTS, why_not_fixed
from zonewright.panel.profile_file import SHIPPED, profile_of

TERN = (SHIPPED / "tern.yaml").read_text(encoding="utf-8")
MARLOW = (SHIPPED / "marlow.yaml").read_text(encoding="utf-8")
QUILL = (SHIPPED / "quill.yaml").read_text(encoding="utf-8")
MOST_MIB = 64
YES_OR_NO = re.search(r"zone/\*/tells-trouble: {how: ([a-z ]+)", TERN)[1]  # type: ignore[index]

TOO_LARGE = [
    (TERN, "zones: 240, areas: 2", "zones: 999999999, areas: 2", "zones is 999999999"),
    (MARLOW, "place width: 3", "place width: 999999999", "place width is 999999999"),
    (QUILL, "to: 15, unit: min", "to: 999999999, unit: min", "values to scroll through"),
    (QUILL, "from: 1, to: 15, unit: min", "from: 1, to: 15, step: 0, unit: min", "step is 0"),
    (TERN, "to: 6, take: yes, takes itself", "to: 60, take: yes, takes itself", "doesn't fit into 1 digits"),
    (TERN, "areas: 2, users: 8", "areas: 65, users: 8", "areas is 65"),
    (TERN, "zones: 240", "zones: 1001", "zones is 1001"),
    (TERN, "users: 8}", "users: 2001}", "users is 2001"),
    (TERN, "timer tolerance: 10", "timer tolerance: 51", "timer tolerance is 51"),
    (TERN, "{after: 90 s}", "{after: 0 s}", "time-out in seconds is 0"),
    (TERN, "from: 1, to: 6, take: yes, takes itself", "from: 7, to: 6, take: yes, takes itself", "it goes from 7 to 6"),
]  # fmt: skip
WRONG_NAMES = [
    (TERN, "setting/exit-error: \"yes\"", "setting/exit-error: maybe", "PRO-41", "write yes or no"),
    (TERN, "setting/mains-wait: 15 min", "setting/mains-wait: soon", "PRO-41", "write a time with its unit"),
    (TERN, "setting/mains-wait: 15 min", "setting/mains-weight: 15 min", "PRO-41", 'did you mean "setting/mains-wait"'),
    (TERN, "  setting/warm-up: 60 s", "  setting/exit-time: 60 s", "PRO-41", "an item that somebody can change"),
    (MARLOW, "resets: [delay, tells-alarm", "resets: [dellay, tells-alarm", "PRO-38", 'did you mean "delay"'),
    (TERN, "reads back: [number, zone, place", "reads back: [number, zone, plaice", "PRO-38", "doesn't hold of it"),
    (MARLOW, "watch:\n    style: letters\n    take: set\n    unit: h", "watch:\n    style: letters\n    take: set",
     "PRO-43", "has no unit"),
    (QUILL, "  notice: {}\n", "", "PRO-43", "may become notice"),
    (TERN, "entry time: first time", "short time: first time", "PRO-43", "may become short time"),
    (TERN.replace("setting/siren-time", "setting/siren-times"), "  notice: {}\n", "  notice: {} \n", "PRO-45",
     'did you mean "setting/siren-time"'),
    (TERN, "  on-route: {}\n", "  interior-follower: {}\n", "PRO-44", '"interior-follower" is now called on-route'),
    (TERN, "on-route: inside on the way", "interior-follower: inside on the way", "PRO-43", 'did you mean "on-route"'),
    (TERN, "when: {behaviour: [perimeter, entry-door, interior, on-route",
     "when: {behaviour: [perimeter, entry-door, interior, interior-follower", "PRO-18", 'did you mean "on-route"'),
    (TERN, "  code: {", "  second rest: {says: Quiet too, ways in: {no no 8: code}}\n  code: {",
     "PRO-38", "have `ways in`"),
    (QUILL, "which: zone, only: used", "which: pump, only: used", "PRO-38", "no items of a group pump"),

    (QUILL, "only: used, how: zone number", "only: used, how: zone numbr", "PRO-13", "is no answer of this profile"),
]  # fmt: skip


def refused(text: str) -> list[tuple[str, str]]:
    """Read a profile that is none, in little memory, and return what is wrong with it; each has its place."""
    tracemalloc.start()
    try:
        read = profile_of(text, "planted.yaml")
        _, peak = tracemalloc.get_traced_memory()
    finally:
        tracemalloc.stop()
    assert peak < MOST_MIB * 2**20
    assert read.record is None
    assert all(finding.place is not None for finding in read.findings)
    return [(finding.code, finding.says) for finding in read.findings]


def planted(text: str, before: str, after: str) -> str:
    assert before in text, f"the profile has changed: {before}"
    return text.replace(before, after, 1)


@pytest.mark.parametrize(("text", "before", "after", "says"), TOO_LARGE, ids=[row[2].strip() for row in TOO_LARGE])
def test_a_size_that_no_panel_has_is_refused_before_it_is_multiplied_out(
    text: str, before: str, after: str, says: str
) -> None:
    found = refused(planted(text, before, after))
    assert any(code in ("PRO-36", "PRO-37") and says in words for code, words in found), found


@pytest.mark.parametrize(
    ("text", "before", "after", "code", "says"), WRONG_NAMES, ids=[row[2].strip() for row in WRONG_NAMES]
)
def test_a_name_or_a_fixed_value_that_means_nothing_is_refused(
    text: str, before: str, after: str, code: str, says: str
) -> None:
    found = refused(planted(text, before, after))
    assert any(code == each and says in words for each, words in found), found


def test_eighteen_fields_that_decide_together_are_refused_before_their_combinations_are_made() -> None:
    """Each is yes or no and another field depends on it: 2 to the power of 18 ways to come to a zone in use."""
    many = "".join(f'  zone/*/flag{n}: {{how: troubles, default: "no"}}\n' for n in range(18))
    more = "".join(
        f'  zone/*/thing{n}: {{how: troubles, when: {{flag{n}: ["yes"]}}, otherwise: "no"}}\n' for n in range(18)
    )
    found = refused(planted(TERN, "\nitems:\n", f"\nitems:\n{many}{more}".replace("troubles", YES_OR_NO)))
    assert [code for code, _ in found] == ["PRO-03"]


@pytest.mark.parametrize("digits", ["3-", "3", "8-3", "x-y", "٣-٨", "3-8-9", "0-4"])
def test_digits_of_a_label_that_are_none_are_refused(digits: str) -> None:
    kind = next(line for line in TERN.splitlines() if "digits: " in line)
    start = kind.index("digits: ") + len("digits: ")
    end = min(place for sign in ",}" if (place := kind.find(sign, start)) > 0)
    found = refused(planted(TERN, kind, f'{kind[:start]}"{digits}"{kind[end:]}'))
    assert any(code == "PRO-40" for code, _ in found), found


def test_every_trouble_that_stops_arming_has_its_setting_in_the_table() -> None:
    assert {f"setting/{fault.value}-at-setting" for fault in SettingFault} <= set(FIXED_KINDS)
    assert {right.value for right in Right} == set(RIGHTS) - {"none"}


@pytest.mark.parametrize(
    ("pattern", "wrong", "right"),
    [
        ("zone/*/area", ("0", "3", "1+3", "1+", "٢"), ("1", "2", "1+2")),
        ("setting/swinger-limit", ("1000", "-1", "٢"), ("0", "999")),
        ("setting/tamper-at-setting", ("owner", ""), RIGHTS),
    ],
)
def test_a_fixed_value_is_one_that_this_panel_can_mean(
    pattern: str, wrong: tuple[str, ...], right: tuple[str, ...]
) -> None:
    """Tern has two areas."""
    tern = profile_of(TERN, "tern.yaml").usable()
    assert [value for value in wrong if why_not_fixed(tern, pattern, value) is None] == []
    assert [value for value in right if why_not_fixed(tern, pattern, value) is not None] == []
