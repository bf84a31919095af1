"""A must statement is read into its parts, or every slip in it is told with its place in the text."""

from __future__ import annotations

import pytest

from zonewright.site.model import Must, Site
from zonewright.site.must import Statement, WantedEffect, parse, statements
from zonewright.site.names import NamedCause

GATE, WIRE, LOOP = NamedCause(device="side-gate"), NamedCause(device="shed", input="wire"), NamedCause(loop="landing")
NAMED = {
    "side-gate": (GATE,), "side gate": (GATE,), "shed wire": (WIRE,), "landing": (LOOP,),
    "shed": (NamedCause(device="shed"),), "window": (WIRE, LOOP), "what causes it": (WIRE,),
}  # fmt: skip

RIGHT = [
    ("never", "side-gate causes siren", Statement("never", GATE, WantedEffect("siren"))),
    ("never", "side gate causes message while away", Statement("never", GATE, WantedEffect("message"), "away")),
    ("never", "shed wire causes any sound while off", Statement("never", WIRE, WantedEffect("any sound"), "off")),
    ("always", "landing causes chime", Statement("always", LOOP, WantedEffect("chime"))),
    ("always", "landing causes siren while armed within 1 min",
     Statement("always", LOOP, WantedEffect("siren"), "armed", 60)),
    ("always", "side-gate causes fire message within 60 s",
     Statement("always", GATE, WantedEffect("message", "fire"), None, 60)),
    ("always", "side-gate  causes  24-hour message  while night ",
     Statement("always", GATE, WantedEffect("message", "24-hour"), "night")),
    ("always", "side-gate causes siren within 60 s while away",
     Statement("always", GATE, WantedEffect("siren"), "away", 60)),
    ("never", "side-gate causes siren while armed away", Statement("never", GATE, WantedEffect("siren"), "away")),
    ("always", "side-gate causes chime within 5 s  while  armed  stay ",
     Statement("always", GATE, WantedEffect("chime"), "stay", 5)),
]  # fmt: skip


def must(kind: str, text: str) -> Must:
    return Must(never=text) if kind == "never" else Must(always=text)


@pytest.mark.parametrize(("kind", "text", "wanted"), RIGHT)
def test_a_right_statement_has_its_parts(kind: str, text: str, wanted: Statement) -> None:
    assert parse(must(kind, text), NAMED) == wanted


@pytest.mark.parametrize("wanted", [one for _, _, one in RIGHT])
def test_a_statement_in_words_is_the_same_statement(wanted: Statement) -> None:
    kind, _, text = str(wanted).partition(": ")
    assert parse(must(kind, text), NAMED) == wanted


def slips(kind: str, text: str) -> list[tuple[str, str, str | None]]:
    parsed = parse(must(kind, text), NAMED)
    assert not isinstance(parsed, Statement)
    assert all(text.startswith(slip.wrote, slip.offset) for slip in parsed)
    return [(slip.wrote, slip.says, slip.nearest) for slip in parsed]


def test_every_slip_is_told_at_once() -> None:
    assert slips("always", "sidegate causes fire mesage while awya within 5") == [
        ("sidegate", 'nothing here is called "sidegate"', "side-gate"),
        ("fire mesage", '"fire mesage" is no effect', "fire message"),
        ("awya", '"awya" is no mode', "away"),
        ("5", '"5": write a time with its unit: 45 s, 5 min or 12 h', None),
    ]


@pytest.mark.parametrize(
    "text", ["", "causes siren", "side-gate causes", "side-gate siren", " causes ", "side-gatecauses siren"]
)
def test_a_text_of_another_form_shows_the_form(text: str) -> None:
    assert [says for _, says, _ in slips("never", text)] == [
        "write CAUSE causes EFFECT, then if wanted: while MODE, within TIME"
    ]


def test_a_name_of_several_zones_is_refused_with_all_of_them() -> None:
    assert slips("never", "window causes siren") == [("window", '"window" may mean shed wire or landing', None)]


def test_never_takes_no_limit_in_whatever_order() -> None:
    assert [wrote for wrote, _, _ in slips("never", "side-gate causes siren within 5 s")] == ["5 s"]
    assert [wrote for wrote, _, _ in slips("never", "side-gate causes siren within 5 s while away")] == ["5 s"]


def test_mode_and_time_stand_once_each() -> None:
    told = slips("always", "side-gate causes siren while away within 5 s while stay")
    assert told == [("while stay", '"while" is written twice', None)]


@pytest.mark.parametrize("mode", ["armed off", "armed armed", "armedaway", "away armed"])
def test_armed_stands_before_an_armed_mode_alone(mode: str) -> None:
    assert [wrote for wrote, _, _ in slips("never", f"side-gate causes siren while {mode}")] == [mode]


@pytest.mark.parametrize(
    ("never", "always", "wanted"),
    [
        ("side-gate causes chime while off", "side-gate causes chime while off", True),
        ("side gate causes siren", "side-gate causes siren while away within 60 s", True),
        ("side-gate causes siren while armed", "side-gate causes siren while night", True),
        ("side-gate causes siren while armed", "side-gate causes siren while off", False),
        ("side-gate causes siren while stay", "side-gate causes siren while away", False),
        ("side-gate causes siren", "landing causes siren", False),
        ("shed causes siren", "shed wire causes siren", True),
        ("side-gate causes siren", "side-gate causes chime", False),
        ("side-gate causes any sound", "side-gate causes chime", True),
        ("side-gate causes chime", "side-gate causes any sound", False),  # the siren would do
        ("side-gate causes message", "side-gate causes fire message", True),
        ("side-gate causes alarm message", "side-gate causes fire alarm message", True),
        ("side-gate causes fire message", "side-gate causes message", False),  # another message would do
    ],
)
def test_what_is_never_wanted_excludes_what_is_always_wanted_there(never: str, always: str, wanted: bool) -> None:
    one, other = parse(Must(never=never), NAMED), parse(Must(always=always), NAMED)
    assert isinstance(one, Statement)
    assert isinstance(other, Statement)
    assert one.excludes(other) == other.excludes(one) == wanted
    assert not one.excludes(one)


def test_a_statement_never_checked_cannot_be_used() -> None:
    with pytest.raises(ValueError, match="read it with read_site"):
        statements(Site(site="x", panel="y", must=(Must(never="nobody causes siren"),)))


@pytest.mark.parametrize(
    ("text", "area", "mode"),
    [
        ("surgery disarmed", "surgery", "off"),
        ("back shop armed away", "back shop", "away"),
        ("shop armed", "shop", "armed"),
        ("disarmed", None, "off"),
    ],
)
def test_a_mode_may_be_that_of_a_named_area(text: str, area: str | None, mode: str) -> None:
    areas = ("surgery", "shop", "back shop")
    found = parse(must("never", f"side-gate causes siren while {text}"), NAMED, areas)
    assert isinstance(found, Statement)
    assert (found.area, found.while_) == (area, mode)
    assert parse(must("never", str(found).partition(": ")[2]), NAMED, areas) == found
    assert slips("never", "side-gate causes siren while pantry off") == [
        ("pantry off", '"pantry off" is no mode', None)
    ]
