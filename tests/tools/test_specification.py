"""The generated page and chart: whole, and nothing that a panel may do is missing from them."""

from __future__ import annotations

from functools import cache
from xml.etree import ElementTree as ET

from hypothesis import given
from hypothesis import strategies as st

from model_page.chart import AREA, CENTRES, arrows, of_area, of_message, picture
from model_page.specification import LENGTHS, NO_TABLE, WHAT_MAY_BE_DONE, WHEN_AND_HOW, page
from model_page.tabulated import HOUSE, cause, given_events, specimen, trials
from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.events import Event, Expires, Message, PanelMessage, SiteTrouble, TimerKind, Trouble
from zonewright.behaviour.state import Phase, Response
from zonewright.panel.behaviours import SHIPPED, Behaviour

Effect = tuple[str, str]  # what became of which timer, message or state


def effects(done: Response) -> set[Effect]:
    return {
        *(("starts", timer.kind.value) for timer, _ in done.starts),
        *(("stops", timer.kind.value) for timer in done.stops),
        *(("over" if out.restore else "sent", out.name) for out in done.outputs if isinstance(out, Message)),
    }


@cache
def told() -> frozenset[tuple[str, Effect]]:
    """Every (cause, effect) that the page tells."""
    return frozenset((cause(trial.event)[0], effect) for trial in trials() for effect in effects(trial.done))


@cache
def drawn() -> frozenset[tuple[str, str]]:
    return frozenset((each.start, each.end) for state_of in (of_area, of_message) for each in arrows(state_of))


waits = st.sampled_from([0, 0, 1, 5, 15, 31, 61, 95, 301, 901, 50_000, 90_000])


@given(st.lists(st.tuples(waits, st.sampled_from(given_events())), min_size=1, max_size=25))
def test_a_random_walk_finds_nothing_that_the_page_or_the_chart_lacks(acts: list[tuple[int, Event]]) -> None:
    panel = Clockwork(specimen())
    for wait, event in acts:
        until = panel.now + wait
        while panel.due and min(panel.due.values()) <= until:
            check(panel, None)
        panel.advance(until)
        check(panel, event)


def check(panel: Clockwork, event: Event | None) -> None:
    """Let it happen, or the next timer end, and look it up."""
    before = panel.control
    timers = panel.due.copy()
    entry = panel.give(event) if event is not None else panel.to_next()
    after = panel.control
    started = {timer for timer, at in panel.due.items() if timers.get(timer) != at}
    ended = entry.event.timer if isinstance(entry.event, Expires) else None
    found = {
        *(("starts", timer.kind.value) for timer in started),
        *(("stops", timer.kind.value) for timer in before.running - after.running if timer != ended),
        *(("over" if out.restore else "sent", out.name) for out in entry.outputs if isinstance(out, Message)),
    }
    assert {(cause(entry.event)[0], effect) for effect in found} <= told()
    for state_of in (of_area, of_message):
        way = state_of(before), state_of(after)
        assert way[0] == way[1] or way in drawn()


def test_every_attribute_of_a_behaviour_stands_in_one_table() -> None:
    assert not set(WHEN_AND_HOW) & set(WHAT_MAY_BE_DONE)
    assert {*WHEN_AND_HOW, *WHAT_MAY_BE_DONE} | NO_TABLE == set(Behaviour.model_fields)


def test_every_behaviour_stands_on_the_page() -> None:
    text = page()
    for name, behaviour in SHIPPED.items():
        assert f"- **{name}**: {behaviour.says}" in text
        assert text.count(f"\n| {name} |") == 2
        assert f"| {name} opens |" in text


def test_every_timer_is_started_by_something_and_tells_its_length() -> None:
    assert list(LENGTHS) == list(TimerKind)
    assert {kind for what, kind in (effect for _, effect in told()) if what == "starts"} == {k.value for k in TimerKind}


def test_every_message_stands_on_the_page() -> None:
    names = {each.value for kind in (PanelMessage, Trouble, SiteTrouble) for each in kind}
    names |= {name for each in SHIPPED.values() for name in (each.alarm, each.warning) if name is not None}
    assert {name for what, name in (effect for _, effect in told()) if what == "sent"} == names
    assert all(f"| *{name}* |" in page() for name in names)


def test_the_choices_of_every_deciding_file_are_quoted() -> None:
    text = page()
    for opening in (
        "A shared zone is live, or chimes,",
        "Final door:",
        "Duress:",
        "Low battery is reported",
        "Power back",
        "Siren:",
    ):
        assert f"\n- {opening}" in text


def test_the_chart_is_a_drawing_with_every_arrow_and_its_words() -> None:
    root = ET.fromstring(picture())
    space = "{http://www.w3.org/2000/svg}"
    texts = [text.text or "" for text in root.iter(f"{space}text")]
    assert all(name in texts for name in CENTRES)
    assert len(list(root.iter(f"{space}line"))) == len(drawn())
    assert any(text.endswith("off → exit time: arming; arm-switch or pushed switch opens (display: \"arming\")")
               for text in texts)  # fmt: skip


def test_the_round_of_an_area_is_as_it_is_told() -> None:
    ways = {(each.start, each.end): each for each in arrows(of_area)}
    off, leaving, armed, entering = (AREA[phase] for phase in (Phase.REST, Phase.EXIT, Phase.SET, Phase.ENTRY))
    assert set(ways) == {
        *((off, leaving), (leaving, off), (leaving, armed), (leaving, entering)),
        *((armed, off), (armed, leaving), (armed, entering)),
        *((entering, off), (entering, armed)),
    }
    assert "final-door closes" in ways[leaving, armed].causes
    assert ways[armed, entering].causes == ("entry-door or final-door opens",)


def test_the_specimen_is_a_panel_of_one_area_that_waits_for_nothing() -> None:
    assert specimen().areas == (HOUSE,)
    assert Clockwork(specimen()).at_rest
