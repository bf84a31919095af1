# ruff: noqa: E501 - a planted mistake is read best beside what it replaces
"""What a profile is refused for: planted mistakes, each told with its line."""

from __future__ import annotations

import pytest

from zonewright.panel.profile_file import SHIPPED, find_profile, profile_of, shipped, shipped_names
from zonewright.panel.reachability import reach
from zonewright.site.files import Texts
from zonewright.site.reading import Read

TERN = (SHIPPED / "tern.yaml").read_text(encoding="utf-8")

PLANTED = [
    ("PRO-01", "then: troubles, back: previous}", "then: trubles, back: previous}", '"trubles", which is no node'),
    ("PRO-02", "ask: zone/*/chime", "ask: zone/*/chimes", "no item of this panel"),
    ("PRO-04", "then: {if: {kind: [contact with a second input]}, go: input, else: label}",
     "then: input", "is asked although"),
    ("PRO-05", "  second: {says: Second time to enter, ask: setting/second-entry-time",
     "  second: {says: Second time to enter, ask: setting/entry-time", "asked twice"),
    ("PRO-06", "then: {if: {behaviour: [entry-door]}, go: delay, else: watch}",
     "then: {if: {behaviour: [notice]}, go: delay, else: watch}", "without ever asking for `zone/*/delay`"),
    ("PRO-08", "then: {if: {behaviour: [notice]}, go: area, else: alarms}",
     "then: {if: {behaviour: [notice]}, go: area, else: {if: {behaviour: [notice]}, go: kind, else: alarms}}",
     "never goes on to `kind`"),
    ("PRO-09", "choose: {yes: slot, no: habits}", "choose: {yes: slot, no: station}", "can never be reached"),
    ("PRO-10", "  panel/edition: {shown only: yes}", "  panel/edition: {shown only: yes}\n  setting/echo: {how: trips, default: \"2\"}",
     "never asked and shown nowhere"),
    ("PRO-11", "  trip: {says: Trip it now,", "  trap: {says: Trap, show: panel/edition, goes on: yes, then: trap}\n  trip: {says: Trip it now,",
     "no key leads to rest"),
    ("PRO-12", "  restores: {says: Tell when over, ask: station/restores, then: keep station, back: previous}",
     "  restores: {says: Tell when over, ask: station/restores, then: rest, back: previous}", "no keep follows"),
    ("PRO-13", "zone/*/place: {how: spot}", "zone/*/place: {how: spott}", "no answer of this profile"),
    ("PRO-14", "zone/*/chime: {how: chime}", "zone/*/chime: {otherwise: none}", "has no answer"),
    ("PRO-15", "zone/*/input: {how: input, when: {kind: [contact with a second input]}, otherwise: the only one}",
     "zone/*/input: {how: input, when: {kind: [contact with a second input]}}", "no value for when it doesn't exist"),
    ("PRO-16", 'setting/exit-time: {how: seconds, default: "60"}', 'setting/exit-time: {how: seconds, default: "62"}', "never gives"),
    ("PRO-17", "zone/*/delay: {how: delay, when: {behaviour: [entry-door]}", "zone/*/delay: {how: delay, when: {behavior: [entry-door]}",
     "no item of this panel"),
    ("PRO-18", "zone/*/delay: {how: delay, when: {behaviour: [entry-door]}", "zone/*/delay: {how: delay, when: {behaviour: [entrydoor]}",
     'did you mean "entry-door"'),
    ("PRO-20", "trips: {style: digits, width: 1, from: 1, to: 6, take: yes, takes itself: yes}", "trips: {style: digits, width: 1, from: 1}", 'needs "to"'),
    ("PRO-21", "porch: 6501", "porch: 650", "nobody knows where one ends"),
    ("PRO-22", "porch: 6501", "porch: 5907", '"porch" and "hall" share 5907'),
    ("PRO-23", "porch: 6501", "porch: 65a1", "codes are digits"),
    ("PRO-24", '[yes, "1", "2", "3"]', '[yes, "1", "2", "1"]', 'key "1" stands twice'),
    ("PRO-25", "  area: {style: offer, next: no", "  area: {style: offer, next: nay", 'no key "nay"'),
    ("PRO-26", "choose: {yes: new, no: person}, back: rest}", "choose: {yes: new, no: person, back: new}, back: rest}", "both answers and goes back"),
    ("PRO-27", "ways in: {no no 7: code}", "ways in: {no no 7: code, no no 7 3: device}", "the longer can never be keyed"),
    ("PRO-28", "says: All quiet", "says: All is quiet in this house", "the display shows 20"),
    ("PRO-29", '"2": second', '"2": first', "nobody could tell them apart"),
]  # fmt: skip


MARLOW = (SHIPPED / "marlow.yaml").read_text(encoding="utf-8")
QUILL = (SHIPPED / "quill.yaml").read_text(encoding="utf-8")
DELAY = "{says: Way in, go: zone delay, echo: zone/*/delay, when: {behaviour: [entry-door]}}"
PLANTED_ELSEWHERE = [
    (QUILL, "PRO-01", "go: zone chime,", "go: zone chyme,", 'did you mean "zone chime"'),
    (QUILL, "PRO-02", "echo: zone/*/chime}", "echo: zone/*/chimes}", "no item of this panel"),
    (QUILL, "PRO-04", DELAY, "{says: Way in, go: zone delay, echo: zone/*/delay}", "is asked although"),
    (QUILL, "PRO-04", DELAY, DELAY.replace("[entry-door]", "[entry-door, perimeter]"), "is asked although"),
    (QUILL, "PRO-35", DELAY, DELAY.replace("[entry-door]", "[perimeter]"), 'hides "Way in"'),
    (QUILL, "PRO-09", "      - {says: Keep all this, go: keep zone}\n", "", "`keep zone` can never be reached"),
    (QUILL, "PRO-10", "      - {says: Chime, go: zone chime, echo: zone/*/chime}\n", "", "can never be reached"),
    (QUILL, "PRO-11", "then: top, back: top}", "then: edition}", "no key leads to rest"),
    (QUILL, "PRO-12", "    back: leave station\n", "    back: top\n", "no keep follows"),
    (QUILL, "PRO-20", "from: 1, to: 15, unit: min", "to: 15, unit: min", 'needs "choices", or "from" and "to"'),
    (QUILL, "PRO-16", '{how: siren, default: "4"}', '{how: siren, default: "16"}', "never gives"),
    (QUILL, "PRO-25", "along: right", "along: rite", 'no key "rite"'),
    (QUILL, "PRO-28", "says: Stay if nobody left,", "says: Stay if nobody left it,", "the display shows 20"),
    (QUILL, "PRO-29", "{says: Remotes, go: remotes}", "{says: Zones, go: remotes}", 'two entries that say "Zones"'),
    (QUILL, "PRO-34", "scrolling: {next: down, previous: up, take: ok}\n", "", "doesn't say by which keys"),
    (MARLOW, "PRO-02", "zone/*/chime: RK chime", "zone/*/chimes: RK chime", "no item of this panel"),
    (MARLOW, "PRO-10", "zone/*/chime: RK chime, ", "", "never asked and shown nowhere"),
    (MARLOW, "PRO-17", "{how: resistor, when: {kind: [wired loop]}", "{how: resistor, when: {kynd: [wired loop]}", "no item of this panel"),
    (MARLOW, "PRO-18", "{how: resistor, when: {kind: [wired loop]}", "{how: resistor, when: {kind: [wired lop]}", "wired loop"),
    (MARLOW, "PRO-21", "smoke: RK, heat: RM", "smoke: R, heat: RM", "nobody knows where one ends"),
    (MARLOW, "PRO-22", "smoke: RK, heat: RM", "smoke: RK, heat: RK", '"smoke" and "heat" share RK'),
    (MARLOW, "PRO-25", "smoke: RK, heat: RM", "smoke: RX, heat: RM", 'no key "X"'),
    (MARLOW, "PRO-30", "smoke: RK, heat: RM", "heat: RM", '"smoke" has no code'),
    (MARLOW, "PRO-31", '"6": vwxz', '"6": vwxa', 'the sign "a" stands on two keys'),
    (MARLOW, "PRO-32", "first: 261", "first: 226", "226 begins two blocks"),
    (MARLOW, "PRO-33", "zone/*/chime: RK chime", "zone/*/chime: MM chime", "MM opens both"),
    (MARLOW, "PRO-33", "zone/*/chime: RK chime", "zone/*/chime: R chime", "a place has two letter keys"),
]  # fmt: skip


@pytest.mark.parametrize(
    ("text", "code", "before", "after", "says"),
    PLANTED_ELSEWHERE,
    ids=[f"{row[1]} {row[3].strip()[:24]}" for row in PLANTED_ELSEWHERE],
)
def test_a_planted_mistake_in_lists_and_places_is_told(
    text: str, code: str, before: str, after: str, says: str
) -> None:
    assert before in text, f"the profile has changed: {before}"
    read = profile_of(text.replace(before, after, 1), "planted.yaml")
    assert read.record is None
    told = [finding.says for finding in read.findings if finding.code == code]
    assert any(says in each for each in told) or any(says in finding.says for finding in read.findings if told), [
        (finding.code, finding.says) for finding in read.findings
    ]


def planted(before: str, after: str) -> Read:  # type: ignore[type-arg]
    assert TERN.count(before) >= 1, f"the profile has changed: {before}"
    return profile_of(TERN.replace(before, after, 1), "tern.yaml")


@pytest.mark.parametrize(("code", "before", "after", "says"), PLANTED, ids=[row[0] for row in PLANTED])
def test_a_planted_mistake_is_told(code: str, before: str, after: str, says: str) -> None:
    read = planted(before, after)
    assert read.record is None
    found = [finding for finding in read.findings if finding.code == code]
    assert found, [finding.says for finding in read.findings]
    assert all(finding.place is not None and finding.place.line > 1 for finding in found)
    assert any(says in finding.says for finding in found), [finding.says for finding in found]


def test_the_shipped_profiles_are_sound() -> None:
    assert shipped_names() == ("marlow", "quill", "tern")
    for name in shipped_names():
        read = find_profile(name, Texts({}))
        assert read.findings == ()
        assert read.record is not None


def test_the_walk_tells_what_waits_where() -> None:
    waits = reach(shipped("tern")).waits
    assert "zone/*/place" in waits["trip"]
    assert "zone/*/place" not in waits["place"]
    assert waits["device"] == frozenset()


def test_too_many_conditions_are_refused_rather_than_sampled() -> None:
    flags = [f"f{n}" for n in range(14)]
    items = "".join(f"  zone/*/{flag}: {{how: flag}}\n" for flag in flags)
    nodes = "".join(
        f'  {flag}: {{ask: zone/*/{flag}, then: {{if: {{{flag}: ["yes"]}}, go: {following}, else: {following}}}, back: rest}}\n'
        for flag, following in zip(flags, [*flags[1:], "which"], strict=True)
    )
    text = (
        'panel: many\nedition: "1"\ndisplay: {lines: 2, columns: 20}\nkeys: {rows: [[yes, no, back, "1", "2", "3", "4", "5", "6", "7", "8", "9", "0"]]}\n'
        "back: back\ntimes out: {after: 60 s}\nlimits: {zones: 9, areas: 1, users: 1}\nbehaviours: {notice: {}}\nkinds: {}\n"
        "answers: {flag: {style: flag, yes: yes, no: no, takes itself: yes}, n: {style: digits, width: 1, to: 9}}\n"
        f"items:\n{items}script:\n  rest: {{says: rest, ways in: {{yes yes: f0}}}}\n{nodes}"
        "  which: {which: zone, how: n, then: kept, back: rest}\n  kept: {keep: all, then: f0}\n"
    )
    read = profile_of(text, "many.yaml")
    assert "PRO-03" in {finding.code for finding in read.findings}


def test_an_unknown_profile_names_the_nearest() -> None:
    read = find_profile("terne", Texts({}))
    assert read.record is None
    assert read.findings[0].nearest == "tern"
