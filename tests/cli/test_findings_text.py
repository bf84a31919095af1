"""How findings are told."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from zonewright.cli.findings_text import counts, mistakes, report
from zonewright.cli.terminal import Styled, columns
from zonewright.desk.results.findings import findings_alone
from zonewright.findings import Finding, Place, Severity

TYPED = Finding(
    code="READ-07",
    severity=Severity.PROBLEM,
    thing="zone 7",
    says='behaviour "entrydoor" is not one this panel offers',
    place=Place("larkfield.yaml", 48, 17),
    wrote="behaviour: entrydoor",
    allowed="entry-door, perimeter, interior, on-route, ... (profile marlow.yaml:31)",
    nearest="entry-door",
)
UNHEARD = Finding(
    code="LIFE-02",
    severity=Severity.PROBLEM,
    thing="greenhouse heat",
    says="nobody would hear it",
    place=Place("larkfield.yaml", 141),
    why="the tone sounds in the hall only, 31 dBA at the nearest pillow",
    fix="let it send message 158, or hang a sounder in the kitchen",
    subject="greenhouse-heat",
)
FAR = Finding("RANGE-01", Severity.UNKNOWN, "side gate", "its link was not computed")
LOOK = Finding("SUP-01", Severity.ADVICE, "zone 3", "is not supervised", Place("larkfield.yaml", 20))


def texts(lines: list[str | Styled]) -> list[str]:
    return [line.text if isinstance(line, Styled) else line for line in lines]


def test_a_mistake_has_its_place_what_stood_there_and_the_way_out() -> None:
    assert mistakes([TYPED]) == [
        'larkfield.yaml:48:17  zone 7: behaviour "entrydoor" is not one this panel offers',
        "    you wrote   behaviour: entrydoor",
        "    allowed     entry-door, perimeter, interior, on-route, ... (profile",
        "                marlow.yaml:31)",
        "    did you mean  entry-door",
    ]


def test_mistakes_stand_in_the_order_of_the_file() -> None:
    later = Finding("A", Severity.PROBLEM, "zone 1", "late", Place("a.yaml", 10))
    sooner = Finding("B", Severity.PROBLEM, "zone 2", "soon", Place("a.yaml", 9))
    assert mistakes([later, sooner]) == ["a.yaml:9:1  zone 2: soon", "a.yaml:10:1  zone 1: late"]


def test_a_finding_of_a_rule_is_told_with_why_and_what_to_do() -> None:
    assert texts(report([UNHEARD])) == [
        "X must mend   LIFE-02  larkfield.yaml:141  greenhouse heat",
        "              Nobody would hear it: the tone sounds in the hall only, 31 dBA at",
        "              the nearest pillow.",
        "              do: let it send message 158, or hang a sounder in the kitchen",
        "",
        "1 must mend, 0 look at, 0 not known",
    ]


def test_the_worst_comes_first_and_the_count_last() -> None:
    lines = texts(report([FAR, LOOK, UNHEARD]))
    assert [line[0] for line in lines if line[:1] in "X!?" and line] == ["X", "!", "?"]
    assert lines[-1] == "1 must mend, 1 look at, 1 not known"


def test_nothing_found_is_said() -> None:
    assert texts(report([])) == ["ok  nothing found"]
    assert counts([]) == "ok  nothing found"


def test_json_has_every_key_of_every_finding() -> None:
    first, second = findings_alone([FAR, TYPED]).to_data()["findings"]
    assert first["file"] == "larkfield.yaml"
    assert (first["line"], first["column"]) == (48, 17)
    assert first["severity"] == "must mend"
    assert second["file"] is None
    assert first.keys() == second.keys()


@given(st.text(max_size=200), st.text(max_size=200), st.integers(40, 80))
def test_no_line_is_wider_than_the_screen(thing: str, says: str, width: int) -> None:
    finding = Finding("SUP-01", Severity.ADVICE, thing, says, Place("a/file.yaml", 3), wrote=says, why=thing, fix=says)
    assert all(columns(line) <= width for line in [*mistakes([finding], width), *texts(report([finding], width))])
