"""What happens at a site, moment by moment, and how the everyday scenes go."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from zonewright.behaviour.clockwork import Timeline, TimelineEntry
from zonewright.behaviour.events import Arm, Beeps, Disarm, Expires, Output, Panic, QuickExit, Sound
from zonewright.behaviour.setup import Setup
from zonewright.desk.results.result import Part, Result
from zonewright.words.delivery import delivery
from zonewright.words.scenario import FORMS
from zonewright.words.scenes import Played, scenes
from zonewright.words.telling import event_in_words, output_in_words
from zonewright.words.tracks import NUMBERS, Lane, Names, called, lane_of


class Moment(Part):
    """One event of a run, `at` seconds after its beginning: what panel and station get of it."""

    at: int
    event: str
    by_itself: bool  # a timer ended; nobody did anything
    panel: tuple[str, ...]
    station: tuple[str, ...]
    reaches_station_at: int | None  # null: nothing is sent, or it doesn't get through in this run


class RunResult(Result):
    """A run of the panel."""

    kind: Literal["run"] = "run"
    timeline: tuple[Moment, ...]


class ScenePart(Part):
    """An everyday scene as it went, and whether it went as one wishes."""

    scene: str
    wish: str
    came: str
    why: str
    script: str
    timeline: tuple[Moment, ...]


class ScenesResult(Result):
    """Everyday scenes, played."""

    kind: Literal["scenes"] = "scenes"
    scenes: tuple[ScenePart, ...]


class SceneName(Part):
    """A scene that can be played, and what one wishes of it."""

    scene: str
    wish: str


class ScenarioForms(Result):
    """What can be written in a scenario, and the scenes that are known."""

    kind: Literal["scenario-forms"] = "scenario-forms"
    events: tuple[str, ...]
    scenes: tuple[SceneName, ...]


def run_of(setup: Setup, timeline: Timeline, names: Names = NUMBERS) -> RunResult:
    """Return a run."""
    return RunResult(timeline=moments(setup, timeline, names))


def scenes_of(setup: Setup, played: Iterable[Played], names: Names) -> ScenesResult:
    """Return scenes that were played."""
    return ScenesResult(
        scenes=tuple(
            ScenePart(
                scene=each.name,
                wish=each.wish,
                came=each.came.value,
                why=each.why,
                script=each.script,
                timeline=moments(setup, each.timeline, names),
            )
            for each in played
        )
    )


def scenario_forms() -> ScenarioForms:
    """Return what can be written in a scenario."""
    return ScenarioForms(events=tuple(FORMS), scenes=tuple(SceneName(scene=name, wish=wish) for name, wish in scenes()))


def moments(setup: Setup, timeline: Timeline, names: Names = NUMBERS) -> tuple[Moment, ...]:
    """Return a timeline, event by event."""

    def told(entry: TimelineEntry, lane: Lane) -> tuple[str, ...]:
        return tuple(_words(setup, each, names) for each in entry.outputs if lane_of(each) is lane)

    return tuple(
        Moment(
            at=entry.at,
            event=what_happens(setup, entry, names),
            by_itself=isinstance(entry.event, Expires),
            panel=told(entry, Lane.PANEL),
            station=told(entry, Lane.STATION),
            reaches_station_at=delivery(setup, timeline, entry.at).at if told(entry, Lane.STATION) else None,
        )
        for entry in timeline
    )


def what_happens(setup: Setup, entry: TimelineEntry, names: Names) -> str:
    """Return what happens; what somebody asks of the panel and doesn't get is only tried."""
    told = called(event_in_words(setup, entry.event), names)
    asked = isinstance(entry.event, Arm | Disarm | QuickExit | Panic)
    refused = not entry.outputs or Beeps(Sound.REFUSED) in entry.outputs
    return f"tried: {told}" if asked and refused else told


def _words(setup: Setup, output: Output, names: Names) -> str:
    return called(output_in_words(setup, output), names)
