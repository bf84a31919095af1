"""What became of promises, and why one of them holds or fails."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from typing import Literal

from zonewright.behaviour.setup import Setup
from zonewright.desk.results.result import Part, Result
from zonewright.desk.results.runs import Moment, moments
from zonewright.panel.programme import Item, areas_in
from zonewright.panel.resolve import Resolved
from zonewright.proof.promises.promise import Promise
from zonewright.proof.prove import Verdict
from zonewright.proof.why.arguments import Argument, ArgumentLine, tracked_in_words
from zonewright.proof.why.explaining import Explained
from zonewright.proof.why.undoing import Undoing
from zonewright.words.telling import label
from zonewright.words.tracks import Names, called, names_of


class PremisePart(Part):
    """Something that a promise takes for granted, and who or what can make it untrue."""

    says: str
    can_be_untrue: tuple[str, ...]


class PromiseName(Part):
    """A promise by its name."""

    name: str
    promise_kind: str
    says: str


class Promises(Result):
    """The promises of a site, none of them proved."""

    kind: Literal["promises"] = "promises"
    promises: tuple[PromiseName, ...]


class VerdictPart(PromiseName):
    """What became of a promise. `states` and `sets_of_times` count what was looked at."""

    zones: tuple[int, ...]
    zone_names: tuple[str, ...]
    areas: tuple[str, ...]
    premises: tuple[PremisePart, ...]
    verdict: str
    why: str
    states: int
    sets_of_times: int
    timers: tuple[str, ...]
    too_late_at: int | None
    timeline: tuple[Moment, ...]  # of a run that breaks it


class Verdicts(Result):
    """What became of each promise; `stopped` if not all of them were settled."""

    kind: Literal["verdicts"] = "verdicts"
    verdicts: tuple[VerdictPart, ...]
    stopped: bool


class StepByStep(Part):
    """Why a promise that takes its time holds."""

    begins: tuple[str, ...]
    lasts: str
    meanwhile: tuple[str, ...]
    too_late: tuple[str, ...]
    or_else: str


class SituationPart(Part):
    """What happens in one situation, and in how many states of the panel that is so."""

    where: str
    states: int
    outcomes: tuple[str, ...]


class RestsOn(Part):
    """A value that decides it, and where that is written."""

    item: str
    value: str
    place: str


class MendPart(Part):
    """A change of a single value with which it would hold."""

    items: tuple[str, ...]
    value: str


class ExplainedPromise(Result):
    """Why one promise holds or fails."""

    kind: Literal["explained-promise"] = "explained-promise"
    name: str
    promise: str
    premises: tuple[PremisePart, ...]
    verdict: str
    step_by_step: StepByStep | None
    situations: tuple[SituationPart, ...]
    rests_on: tuple[RestsOn, ...]
    would_hold_with: tuple[MendPart, ...]


def promises_of(asked: Iterable[Promise], names: Names) -> Promises:
    """Return promises by their names."""
    return Promises(
        promises=tuple(
            PromiseName(name=each.name, promise_kind=each.kind, says=called(each.sentence, names)) for each in asked
        )
    )


def verdicts_of(
    setup: Setup, verdicts: Iterable[Verdict], names: Names, undone: Sequence[Undoing] = (), *, stopped: bool = False
) -> Verdicts:
    """Return verdicts, with every zone that they speak of by the name that the text uses."""
    return Verdicts(verdicts=tuple(_verdict(setup, each, names, undone) for each in verdicts), stopped=stopped)


def explained_of(found: Explained, resolved: Resolved, setup: Setup, undone: Sequence[Undoing]) -> ExplainedPromise:
    """Return why a promise holds or fails."""
    promise, names = found.verdict.promise, names_of(resolved)
    return ExplainedPromise(
        name=promise.name,
        promise=called(promise.sentence, names),
        premises=_premises(promise, undone, names),
        verdict=called(verdict_in_words(setup, found.verdict), names),
        step_by_step=_step_by_step(found.reasons.argument, names),
        situations=tuple(
            SituationPart(where=each.name, states=each.states, outcomes=_told(each.lines, names))
            for each in found.reasons.situations
        ),
        rests_on=tuple(
            RestsOn(item=item, value=value_of(resolved, item), place=place_of(resolved, item))
            for item in found.rests_on
        ),
        would_hold_with=tuple(MendPart(items=mend.items, value=mend.value) for mend in found.mends),
    )


def verdict_in_words(setup: Setup, verdict: Verdict) -> str:
    """Return a verdict in words."""
    settled = verdict.settled
    timers = tracked_in_words(setup, settled.timers)
    why_ = f" ({settled.why})" if settled.why else ""
    return f"{settled.result.value}{why_}" + (f"; {timers}" if timers else "")


def value_of(resolved: Resolved, item: Item) -> str:
    """Return what the panel will hold at an item, with its unit."""
    return shown(resolved, item, resolved.programme.get(item) or resolved.profile.fixed[item])


def shown(resolved: Resolved, item: Item, value: str) -> str:
    """Return a value of an item as a person reads it: with its unit, areas by their names."""
    answer = resolved.profile.answer_of(item)
    unit = answer.unit if answer is not None and value.isdigit() else None
    if item.field == "area":
        names = {number: name for name, number in resolved.areas.items()}
        return " and ".join(names.get(each, str(each)) for each in areas_in(value)) or value
    return f"{value} {unit}" if unit else value


def place_of(resolved: Resolved, item: Item) -> str:
    """Return where the value of an item is written, or that it is the panel's own."""
    place = resolved.places.get(item)
    if place is not None:
        return f"{place.file}:{place.line}"
    return "as shipped" if item in resolved.programme else "fixed on this panel"


def _verdict(setup: Setup, verdict: Verdict, names: Names, undone: Sequence[Undoing]) -> VerdictPart:
    settled, promise = verdict.settled, verdict.promise
    zones = promise.spoken_of or promise.zones
    return VerdictPart(
        name=promise.name,
        promise_kind=promise.kind,
        says=called(promise.sentence, names),
        zones=zones,
        zone_names=tuple(label(setup, number) for number in zones),
        areas=tuple(called(f"area {area}", names) for area in sorted(promise.areas)),
        premises=_premises(promise, undone, names),
        verdict=settled.result.value,
        why=called(settled.why, names),
        states=settled.controls,
        sets_of_times=settled.sets,
        timers=settled.timers,
        too_late_at=settled.too_late,
        timeline=moments(setup, settled.timeline, names),
    )


def _premises(promise: Promise, undone: Sequence[Undoing], names: Names) -> tuple[PremisePart, ...]:
    mine = set(promise.spoken_of or promise.zones)
    return tuple(
        PremisePart(
            says=proviso.value,
            can_be_untrue=tuple(
                called(each.says, names) for each in undone if each.proviso is proviso and mine & set(each.zones)
            ),
        )
        for proviso in promise.provisos
    )


def _step_by_step(argument: Argument | None, names: Names) -> StepByStep | None:
    if argument is None:
        return None
    return StepByStep(
        begins=_told(argument.begins, names),
        lasts=argument.lasts,
        meanwhile=_told(argument.meanwhile, names),
        too_late=tuple(called(text, names) for text in argument.too_late),
        or_else=argument.else_,
    )


def _told(lines: Iterable[ArgumentLine], names: Names) -> tuple[str, ...]:
    return tuple(called(line.text, names) for line in lines)
