"""What happens at a site when somebody does something there."""

from __future__ import annotations

from dataclasses import dataclass

from zonewright.behaviour.clockwork import Timeline
from zonewright.desk.job import Job
from zonewright.findings import BadInput
from zonewright.words.scenario import doors_unsaid, played, read_scenario


@dataclass(frozen=True, slots=True)
class PlayedScenario:
    """A run of the panel, and what it took for granted where the scenario says nothing."""

    timeline: Timeline
    doors: tuple[str, ...]  # by which somebody may have left; none if they did, or if nobody armed away
    no_people: bool  # the site names nobody, so somebody with slot 1 acts


def scenario_played(job: Job, text: str, file: str) -> PlayedScenario:
    """Let the events of a text happen; `file` is what findings call it. Raises `BadInput` with every slip in it."""
    scenario, slips = read_scenario(text, file, job.resolved)
    if slips:
        raise BadInput(slips)
    return PlayedScenario(played(job.setup, scenario), doors_unsaid(job.setup, scenario), not job.resolved.users)
