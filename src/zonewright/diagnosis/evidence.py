"""What a diagnosis is given: what somebody did and noticed by themselves, and questions with their answers.

Rules of this file:
1. An observation that names a remote is about its buttons: what they do depends on the panel, so a wrong number, area
   or button shows. If no button of the remote was planned for it, what is written is done.
2. If somebody arms and no name is written, it is the first who may, as everywhere; if others may not, that is said
   (`taken`).
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, replace
from functools import cached_property

from zonewright.behaviour.events import Arm, DeviceEvent, Disarm
from zonewright.diagnosis.belief import Answers
from zonewright.diagnosis.hypotheses import Hypothesis
from zonewright.diagnosis.noticing import Noticing, Sign, fits, sensed
from zonewright.diagnosis.questions import LONG, Question, rights_differ, touches
from zonewright.fieldwork.acting import ARMS, BUTTONS, PanelInHouse, PressButton
from zonewright.fieldwork.surroundings import Done
from zonewright.panel.behaviours import Mode
from zonewright.panel.programme import Thing, item_of
from zonewright.site.record import ZoneNumber
from zonewright.words.scenario import Given, Scenario
from zonewright.words.telling import listed
from zonewright.words.tracks import Names


@dataclass(frozen=True)
class Observed:
    """What somebody did and noticed by themselves."""

    done: Scenario
    noticing: Noticing
    told: str  # as it was written
    taken: str = ""  # who is assumed to have armed, if nobody is named and not everybody may

    @property
    def sure(self) -> bool:
        """Return whether they are sure."""
        return self.noticing.sure

    @cached_property
    def zones(self) -> frozenset[ZoneNumber]:
        """Return the zones whose devices were handled."""
        return frozenset(each.event.zone for each in self.done.given if isinstance(each.event, DeviceEvent))

    @cached_property
    def things(self) -> frozenset[Thing]:
        """Return the people and remotes that took part."""
        set_ = [(each.event.user, each.remote) for each in self.done.given if isinstance(each.event, Arm | Disarm)]
        return frozenset(
            Thing.of("user", who) if remote is None else Thing.of("remote", remote) for who, remote in set_
        )

    def touched_by(self, hypothesis: Hypothesis) -> bool:
        """Return whether a hypothesis may show something else than the plan."""
        reads = any(sign.kind == "display" for sign in self.noticing.came)
        return touches(hypothesis, self.zones, self.things) or (reads and bool(hypothesis.zones))

    def answers(self, names: Names, hypothesis: Hypothesis) -> Answers:
        """Return how likely a hypothesis shows exactly this."""
        acts = acts_of(self.done, hypothesis.right)
        first = next((each.at for each in self.done.given if not _sets_up(each)), 0)
        fit = 0.0
        for share, around in hypothesis.worlds:
            house = hypothesis.house(around, self.zones)
            for part, long in ((share * LONG, True), (share * (1 - LONG), False)) if house.slow else ((share, False),):
                start, entries = house.run(acts, self.done.until, long=long)
                panel, begins = hypothesis.panel, start + first
                run, whole = (
                    [each for each in sensed(panel.setup, panel.right, outputs, begins, names) if each.at >= 0]
                    for outputs in (house.noticeable(entries, self.zones), house.noticeable(entries))
                )
                fit += part * fits(self.noticing, run, whole)
        return {self.told: fit, f"not {self.told}": 1 - fit}

    def forgets_station(self, names: Names, planned: Hypothesis) -> bool:
        """Return whether "nothing" leaves out a message that the station gets if all is as planned."""
        if not self.noticing.nothing or self.noticing.speaks_of_station:
            return False
        silent = replace(self, noticing=Noticing(missed=(Sign("message"),)))
        return silent.answers(names, planned)[silent.told] < 1


def _sets_up(given: Given) -> bool:
    """Return whether it only prepares for what is noticed: arming, leaving, disarming."""
    return given.leaving or isinstance(given.event, Arm | Disarm)


def acts_of(done: Scenario, right: PanelInHouse) -> list[tuple[int, Done]]:
    """Return what was done as acts: buttons of remotes are pressed, everything else is as written."""
    found: list[tuple[int, Done]] = []
    pressed: tuple[int, int, PressButton] | None = None  # when, in which line, and which button
    for each in done.given:
        press = _press(each, right)
        if press is None:
            found.append((each.at, each.event))
        elif pressed != (each.at, each.line, press):  # one press counts for all areas of the remote
            found.append((each.at, press))
        pressed = (each.at, each.line, press) if press is not None else None
    return found


def _press(given: Given, right: PanelInHouse) -> PressButton | None:
    event = given.event
    if given.remote is None or not isinstance(event, Arm | Disarm):
        return None
    mode = event.mode if isinstance(event, Arm) else Mode.DISARMED
    for button in BUTTONS:
        if ARMS.get(right.planned.get(item_of("remote", given.remote, button)) or "") is mode:
            return PressButton(given.remote, button)
    return None


def taken_to_arm(done: Scenario, right: PanelInHouse, people: Mapping[int, str]) -> str:
    """Return who is assumed to have armed, if nobody is named and rights differ; else ""."""
    acts = [each.event for each in done.given if isinstance(each.event, Arm) and not each.named]
    if not acts or not rights_differ(right, frozenset(act.area for act in acts)):
        return ""
    return listed([people.get(user, f"user {user}") for user in dict.fromkeys(act.user for act in acts)])


@dataclass(frozen=True)
class Answered:
    """A question that was put, and what was answered."""

    question: Question
    answer: str
    sure: bool = True

    @property
    def told(self) -> str:
        """Return it in words."""
        return f"{self.question.name}: {self.answer}"


Evidence = Observed | Answered
