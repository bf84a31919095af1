"""The owner's own rules: the `must` statements of the site file, as far as one event can break them.

Rules of this file:
1. A statement is held against each zone with its areas set in every way they can be, all else quiet. What breaks it
   there breaks it; what doesn't is not yet proved. It means the same causes and the same second as the proofs do
   (`proof/promises/to_owner.py`).
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from itertools import product

from zonewright.behaviour.acts import can_be, with_acts
from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.events import Beeps, Chime, Event, Message, Output, Siren, Spoken
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber
from zonewright.behaviour.step import step
from zonewright.checks.catalogue import rule
from zonewright.checks.job import Design, Doubt, JobZone
from zonewright.findings import Severity
from zonewright.panel.behaviours import Mode, Pattern, modes_meant
from zonewright.proof.promises.by_person import done_by
from zonewright.site.must import Statement, WantedEffect, statements
from zonewright.words.matrix import Cause, at_rest_in
from zonewright.words.message_kinds import no_such_message
from zonewright.words.telling import SIRENS, event_in_words, is_meant, listed
from zonewright.words.tracks import called, names_of

Modes = Mapping[AreaNumber, Mode]
MOST_TOLD = 3  # things that a person can do, told one by one


@rule("MUST-01", severity=Severity.PROBLEM, topic="must")
def broken_at_once(job: Design) -> Iterator[Doubt]:
    """Something that must never happen does, or something that always must doesn't.

    Why: the owner said so, and one event at one zone shows the opposite.
    Fix: change the zone's behaviour, chime or report, or the statement.
    Source: the site file's own `must`; found on the panel model.
    Example: larkfield with
        must:
          - always: side-gate causes message
    """
    if not job.site.must:  # a readback has none, nor people that are known by name
        return
    setup = with_acts(job.setup, job.resolved)
    for place, statement in enumerate(statements(job.site)):
        written = job.resolved.written["must", place]
        if statement.cause.person is not None:
            by = list(_broken_by_person(job, setup, statement))
            if by:
                more = f" and {len(by) - MOST_TOLD} more" if len(by) > MOST_TOLD else ""
                says = f'"{statement}" doesn\'t hold: {"; ".join(by[:MOST_TOLD])}{more}'
                fix = "take that right away from this person, stop the report, or change the statement"
                yield Doubt(str(job.site.must[place]), f"must {place + 1}", says, written, fix)
            continue
        for zone in job.zones:
            if not zone.origin.is_meant_by(statement.cause):
                continue
            possible = [each for each in _in_all_modes(setup, zone) if _is_meant(job, setup, statement, zone, each)]
            for cause in _causes(statement, zone):
                broken = [modes for modes in possible if _breaks(job, statement, zone, modes, cause)]
                if broken:
                    told = ", ".join(_told(job, broken))
                    says = f'"{statement}" doesn\'t hold: {zone.thing} {_WORDS[cause]}, {told}'
                    yield Doubt(str(job.site.must[place]), f"must {place + 1}", says, written)


@rule("MUST-02", severity=Severity.PROBLEM, topic="must")
def unknown_message(job: Design) -> Iterator[Doubt]:
    """A statement names a kind of message that the panel never sends, or that its cause never brings about.

    Why: such a statement is true, or an `always` false, whatever is programmed, so it protects nobody.
    Fix: name a message of this device or person, as `zonewright messages` lists it, or a word of its name.
    Source: the site file's own `must`, and the panel's profile.
    Example: larkfield with
        must:
          - never: side-gate causes perimiter message
    """
    for place, statement in enumerate(statements(job.site)):
        meant = (zone.setup.behaviour for zone in job.zones if zone.origin.is_meant_by(statement.cause))
        if says := no_such_message(job.profile, statement, of_switch=any(each.arms for each in meant)):
            yield Doubt(
                str(job.site.must[place]), f"must {place + 1}", f'"{statement}": {says}',
                job.resolved.written["must", place],
            )  # fmt: skip


_WORDS = {Cause.OPENS: "opens", Cause.TAMPER: "cover off", Cause.LOW_BATTERY: "battery low", Cause.MISSING: "missing"}


def _broken_by_person(job: Design, setup: Setup, statement: Statement) -> Iterator[str]:
    """Give what somebody can do, all else quiet, that has the effect at once or in their name, each thing once."""
    user = next((UserNumber(slot) for slot, name in job.resolved.users.items() if name == statement.cause.person), None)
    said: dict[str, None] = {}
    if user is None:
        return
    meant = modes_meant(statement.while_)
    whose = AreaNumber(job.resolved.areas[statement.area]) if statement.area is not None else None
    for area in setup.areas if whose is None or whose in setup.areas else ():
        for modes in _modes_of(setup, sorted({area, whose or area})):
            quiet = at_rest_in(setup, modes)
            for event in done_by(setup, user, area):
                if _person_breaks(statement.effect, quiet.copy(), event, user, whose or area, meant):
                    says = called(event_in_words(setup, event), names_of(job.resolved))
                    said.setdefault(f"{says}, {modes[area].value}")
    yield from said


def _person_breaks(
    effect: WantedEffect, panel: Clockwork, event: Event, user: UserNumber, whose: AreaNumber, meant: frozenset[Mode]
) -> bool:
    """Return whether an act has the effect, or a message in their name does, while an area is in the modes meant."""
    theirs, control = True, panel.control
    for entry in (panel.give(event), *panel.rest()):
        here = control.area(whose).mode in meant
        outputs = [each for each in entry.outputs if theirs or (isinstance(each, Message) and each.user == user)]
        if here and any(_is_effect(effect, output) for output in outputs):
            return True
        theirs, control = False, step(panel.setup, control, entry.event).control
    return False


def _causes(statement: Statement, zone: JobZone) -> list[Cause]:
    """Return what a statement is about; of a message that must never be it is all that a device can tell."""
    named = statement.cause.trouble
    if named is not None:
        some = [cause for cause, word in _WORDS.items() if word == named]
    else:
        every = statement.wanted == "never" and statement.effect.kind == "message"
        some = list(_WORDS) if every else [Cause.OPENS]
    wired = zone.origin.cause.loop is not None  # it has no cell, and no radio that could fall silent
    return [cause for cause in some if not (wired and cause in (Cause.LOW_BATTERY, Cause.MISSING))]


def _in_all_modes(setup: Setup, zone: JobZone) -> Iterator[Modes]:
    """Give every way in which the areas of a zone and of its pairs can be set, those first that are set alike."""
    yield from sorted(_modes_of(setup, sorted(setup.set_with(zone.setup))), key=lambda each: len({*each.values()}) > 1)


def _modes_of(setup: Setup, areas: Sequence[AreaNumber]) -> Iterator[Modes]:
    """Give every way in which areas can be set on this site."""
    able = [sorted(can_be(setup, area), key=list(Mode).index) for area in areas]
    yield from (dict(zip(areas, modes, strict=True)) for modes in product(*able))


def _told(job: Design, broken: Sequence[Modes]) -> Iterator[str]:
    """Give the modes in which a statement is broken: alike in all areas, else area by area, the first few of them."""
    alike = [modes for modes in broken if len({*modes.values()}) == 1]
    if alike:
        yield from (next(iter(modes.values())).value for modes in alike)
        return
    for modes in broken[:MOST_TOLD]:
        yield listed([f"{job.area_name(area)} {mode.value}" for area, mode in modes.items()])
    if len(broken) > MOST_TOLD:
        yield f"and {len(broken) - MOST_TOLD} more such"


def _breaks(job: Design, statement: Statement, zone: JobZone, modes: Modes, cause: Cause) -> bool:
    if cause is Cause.MISSING and not (zone.setup.supervise and job.setup.settings.supervision_window):
        return False  # the panel never finds it so
    when = [after for after, output in job.comes_of(zone, modes, cause) if _is_effect(statement.effect, output)]
    if statement.wanted == "never":
        return bool(when)
    return not when or (statement.within_s is not None and min(when) > statement.within_s)


def _is_meant(job: Design, setup: Setup, statement: Statement, zone: JobZone, modes: Modes) -> bool:
    """Return whether a statement is about the areas of a zone being set so.

    In which mode an area is that isn't the zone's own makes no difference to the zone, all else quiet.
    """
    meant = modes_meant(statement.while_)
    if statement.area is None:
        return meant.issuperset(modes[area] for area in zone.setup.areas)
    area = AreaNumber(job.resolved.areas[statement.area])
    if area not in setup.areas:  # it has no zone: proofs don't look at it, either
        return False
    return modes[area] in meant if area in modes else bool(meant & can_be(setup, area))


def _is_effect(effect: WantedEffect, output: Output) -> bool:
    match effect.kind, output:
        case "siren", Siren(pattern=pattern):
            return pattern in SIRENS
        case "chime", Chime() | Spoken():
            return True
        case "any sound", Chime() | Spoken() | Beeps():
            return True
        case "any sound", Siren(pattern=pattern):
            return pattern is not Pattern.NONE
        case "message", Message(name=name, restore=False):
            return is_meant(effect.of, name)
        case _:
            return False
