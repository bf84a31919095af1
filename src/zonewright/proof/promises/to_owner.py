"""What the owner wants: the `must` statements of the site file, as promises about each zone that they mean.

Rules of this file:
1. *Never* is judged whatever is bypassed and whoever acts. Of a siren, a chime or any sound the cause is an opening,
   and what follows from it; of a message it is everything that a device tells: opening, cover, battery, contact.
2. *Always* is about a zone that is in use, all else quiet: what is passed over stands in the sentence.
3. "Within 30 s" has the thirtieth second in it, as everywhere here.
4. A low battery, a missing device, and a cover that is no alarm are told alike in every mode: what they lead to is
   a sum (`_told_alike`). A device is missing from when it falls silent: the panel finds out a supervision window later.
5. What people do stands in `by_person.py`.
6. An opening that the panel waits on, or looks at twice, stays as long as that takes.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator

from zonewright.behaviour.events import (
    DeviceEvent,
    Expires,
    PanelMessage,
    SiteTrouble,
    Timer,
    TimerKind,
    Trouble,
    TroubleBegins,
    ZoneCloses,
    ZoneOpens,
    ZoneTrips,
)
from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup
from zonewright.behaviour.state import Control
from zonewright.panel.behaviours import Mode, Timing, modes_meant
from zonewright.proof.promises.alarms import quiet_opening
from zonewright.proof.promises.by_person import of_person
from zonewright.proof.promises.by_zones import looks_s, nobody_sets, nobody_sets_area, opening, opening_when_back
from zonewright.proof.promises.judges import OF_PEOPLE, disarms, has_effect, may_be_in, mode_may_be, opens
from zonewright.proof.promises.own_messages import Names, Sends, own
from zonewright.proof.promises.promise import (
    Condition,
    Outright,
    OutrightVerdict,
    Premise,
    Promise,
    WantedByOwner,
    Window,
    about,
)
from zonewright.proof.promises.provisos import Proviso, in_earnest
from zonewright.proof.prover.observers import Invariant, Judge
from zonewright.proof.prover.outcome import EventOutcome
from zonewright.proof.prover.table import Act
from zonewright.site.must import Statement, WantedEffect
from zonewright.site.record import span
from zonewright.words.message_kinds import BY_TURNING, message_names
from zonewright.words.telling import in_modes, is_meant

BESIDES_ARMING = "turning a switch may also bypass a zone, end a bypass or cancel an alarm, and that isn't followed"
_TROUBLES = {"cover off": Trouble.TAMPER, "battery low": Trouble.LOW_BATTERY, "missing": Trouble.MISSING}
_WORDS = {trouble: word for word, trouble in _TROUBLES.items()}


def of_owner(setup: Setup, wanted: WantedByOwner, window: Window) -> Iterator[Promise]:
    """Give a promise for each zone that a statement means, or for each area of the person that it means."""
    statement = wanted.statement
    if wanted.no_such:
        areas = frozenset().union(*(zone.areas for zone in setup.zones if zone.number in wanted.zones))
        yield Promise(
            "must", f"must {statement}", str(statement), wanted.zones, areas or frozenset(setup.areas),
            outright=Outright(OutrightVerdict.UNKNOWN, wanted.no_such),
        )  # fmt: skip
        return
    if wanted.area is not None and wanted.area not in setup.areas:
        why = f"no zone is in area {wanted.area}, and such areas aren't looked at"
        yield Promise(
            "must", f"must {statement}", str(statement), wanted.zones, frozenset(setup.areas),
            outright=Outright(OutrightVerdict.UNKNOWN, why),
        )  # fmt: skip
        return
    if statement.cause.person is not None:
        yield from of_person(setup, wanted, _sort(statement))
        return
    for number in wanted.zones:
        zone = setup.zone(number)
        if zone is None:
            continue
        trouble = _TROUBLES.get(statement.cause.trouble or "")
        alike = _told_alike(setup, zone, wired=number in wanted.wired)
        if trouble is not None and (trouble in alike or trouble is not Trouble.TAMPER or not zone.behaviour.in_use):
            yield _by_sum(setup, zone, wanted, alike, trouble)
        elif statement.wanted == "never":
            yield _never(setup, zone, wanted, alike, wired=number in wanted.wired)
        else:
            yield _always(setup, zone, wanted, window)


# What is told alike in every mode -------------------------------------------------------------------------------------


def _told_alike(setup: Setup, zone: ZoneSetup, *, wired: bool) -> dict[Trouble, int]:
    """Return the troubles of a zone that can happen and are told alike in every mode, each with its wait [s]."""
    settings, behaviour = setup.settings, zone.behaviour
    found: dict[Trouble, int] = {}
    if not behaviour.in_use:
        return found
    if behaviour.life_safety or not behaviour.tamper_alarm:
        found[Trouble.TAMPER] = 0
    if not wired:
        found[Trouble.LOW_BATTERY] = settings.low_battery_wait
        if zone.supervise and settings.supervision_window:
            found[Trouble.MISSING] = setup.supervision_s(zone)
    return found


def _comes_of(setup: Setup, zone: ZoneSetup, trouble: Trouble, effect: WantedEffect) -> bool:
    """Return whether a trouble that is told alike in every mode has the effect."""
    match effect.kind:
        case "message":
            return setup.settings.told and zone.tells_trouble and is_meant(effect.of, trouble.value)
        case "any sound":
            return not (trouble is Trouble.TAMPER and zone.behaviour.tamper_silent)
        case _:
            return False


def _by_sum(
    setup: Setup, zone: ZoneSetup, wanted: WantedByOwner, alike: dict[Trouble, int], trouble: Trouble
) -> Promise:
    """A statement about a trouble that is told alike in every mode, or that never happens."""
    statement = wanted.statement
    if trouble not in alike:
        outright = Outright(OutrightVerdict.IDLE, f"the panel never finds {zone.label} {_WORDS[trouble]}")
    else:
        comes, wait = _comes_of(setup, zone, trouble, statement.effect), alike[trouble]
        late = comes and statement.within_s is not None and wait > statement.within_s
        kept = not comes if statement.wanted == "never" else comes and not late
        does = f"{zone.label} {_WORDS[trouble]} " + (f"causes it {_after(wait)}" if comes else "causes none")
        outright = Outright(OutrightVerdict.KEPT if kept else OutrightVerdict.BROKEN, f"{does}, in every mode")
    provisos = (Proviso.NOT_TOLD,) if statement.wanted == "always" else ()
    return Promise(
        "must", f"must {statement}", f"{statement} ({zone.label}{_share(wanted)})", (zone.number,), zone.areas,
        outright=outright, provisos=provisos,
    )  # fmt: skip


def _share(wanted: WantedByOwner) -> str:
    """Return that of a cover, a cell or a radio that several zones share each zone is asked by itself."""
    return "'s share" if wanted.statement.cause.trouble is not None and len(wanted.zones) > 1 else ""


def _after(seconds: int) -> str:
    return f"after {span(seconds)}" if seconds else "at once"


# Never ----------------------------------------------------------------------------------------------------------------


def _never(setup: Setup, zone: ZoneSetup, wanted: WantedByOwner, alike: dict[Trouble, int], *, wired: bool) -> Promise:
    statement, modes = wanted.statement, modes_meant(wanted.statement.while_)
    trouble, tells = statement.cause.trouble is not None, statement.effect.kind == "message"
    every = tells and not trouble
    causing = [each for each in alike if every and _comes_of(setup, zone, each, statement.effect)]
    met = _in_modes(wanted, zone, modes)

    def causes(act: Act) -> bool:
        if trouble:
            return _comes_off(act, zone)
        if isinstance(act, Expires):
            return act.timer.kind is not TimerKind.MISSING  # that it is missing is no opening
        return opens(act, zone) or (every and isinstance(act, DeviceEvent) and act.zone == zone.number)

    def bad(before: Control, act: Act, outcome: EventOutcome) -> bool:
        return (
            causes(act)
            and met(before, act, outcome)
            and has_effect(statement.effect, act, outcome, zone, waiting=not isinstance(act, ZoneCloses))
        )

    cause = "cover off" if trouble else "opening, cover, battery or contact" if every else "opens"
    cause += ", restores aside" if every and setup.settings.restores else ""
    start = Condition(f"{zone.label} {cause}", lambda _b, act, _o: _comes_off(act, zone)) if trouble else opening(zone)
    of = f"{zone.label}{_share(wanted)}{':' if every else ''}"
    outright = None
    if every and wired and statement.effect.of and (lacking := _only_of_radio(zone, statement.effect)):
        outright = Outright(OutrightVerdict.IDLE, f"{zone.label} is wired: the panel never finds it {lacking}")
    if causing:
        does = f"{zone.label} {_WORDS[causing[0]]} causes it {_after(alike[causing[0]])}, in every mode"
        outright = Outright(OutrightVerdict.BROKEN, does)
    besides = BESIDES_ARMING if not trouble and _may_cause_by_turning(setup, zone, statement.effect) else ""
    return Promise(
        "must", f"must {statement}", f"{statement} ({of} {cause})", (zone.number,),
        zone.areas, Invariant(bad),
        about(start, Condition(_when(wanted, modes), met, _since(setup, zone, wanted, modes))), sort=_sort(statement),
        near=_near(wanted), outright=outright, unfollowed=besides,
    )  # fmt: skip


def _only_of_radio(zone: ZoneSetup, effect: WantedEffect) -> str:
    """Return what a kind of message is about where it means nothing but a cell, or a radio that isn't heard."""
    of_panel = {each.value for each in SiteTrouble}
    meant = [name for name in message_names([zone.behaviour]) if is_meant(effect.of, name) and name not in of_panel]
    radio = {each.value: word for each, word in _WORDS.items() if each is not Trouble.TAMPER}
    return " or ".join(sorted(radio[name] for name in meant)) if meant and radio.keys() >= {*meant} else ""


def _may_cause_by_turning(setup: Setup, zone: ZoneSetup, effect: WantedEffect) -> bool:
    """Return whether turning a switch may have the effect by what it does to other zones and to what was sent."""
    if zone.behaviour.arms is None:
        return False
    back = [each for area in sorted(zone.areas) for each in opening_when_back(setup, area)]
    if effect.kind != "message":
        return bool(back) and effect.kind != "chime"
    told = (PanelMessage.CONFIRMED, PanelMessage.RECENT_CLOSING, Trouble.TAMPER)
    names = {*BY_TURNING, *(each.value for each in told)} | {
        each.behaviour.alarm for each in back if each.behaviour.alarm
    }
    return setup.settings.told and any(is_meant(effect.of, name) for name in names)


def _comes_off(act: Act, zone: ZoneSetup) -> bool:
    return isinstance(act, TroubleBegins) and act.zone == zone.number and act.trouble is Trouble.TAMPER


# Always ---------------------------------------------------------------------------------------------------------------


def _always(setup: Setup, zone: ZoneSetup, wanted: WantedByOwner, window: Window) -> Promise:
    statement, modes = wanted.statement, modes_meant(wanted.statement.while_)
    trouble = statement.cause.trouble is not None
    delay = zone.entry_s if zone.behaviour.timing is Timing.DELAYED and not trouble else 0
    lasts = 0 if trouble else looks_s(setup, zone)
    delay += lasts
    wait = setup.longest_wait(zone)
    within = statement.within_s if statement.within_s is not None else window.most(delay, wait)
    own_modes = modes if wanted.area is None else frozenset(Mode)
    start = quiet_opening(setup, zone, own_modes)
    if trouble:
        off = Condition(f"{zone.label} cover off", lambda _b, act, _o: _comes_off(act, zone))
        on = Condition("its cover on before", lambda _b, _a, out: not out.is_so("trouble tamper", zone.number))
        start = about(off, on, *start.parts[1:2], *start.parts[3:])  # whether it was shut makes no difference
    if lasts:
        start = about(Condition("and stays open", lambda _b, act, _o: isinstance(act, ZoneOpens)), *start.parts)
    if wanted.area is not None:
        start = Premise((*start.parts, Condition(_when(wanted, modes), _in_modes(wanted, zone, modes))))

    def good(act: Act, outcome: EventOutcome, leaving: Names) -> bool:
        if statement.effect.kind == "message":
            return any(is_meant(statement.effect.of, name) for name in leaving if name not in OF_PEOPLE)
        return has_effect(statement.effect, act, outcome, zone, waiting=False)

    provisos = in_earnest(
        setup, zone, Proviso.QUIET, *((Proviso.ON,) if trouble else ()), *((Proviso.NOT_DISARMED,) if within else ())
    )
    does = f"({zone.label}{_share(wanted)} {'cover off' if trouble else 'opens and stays open' if lasts else 'opens'})"
    disarmed = disarms(zone)

    def settled(before: Control, act: Act, outcome: EventOutcome) -> bool:
        shut = bool(lasts) and isinstance(act, ZoneCloses | ZoneTrips) and act.zone == zone.number
        return shut or disarmed(before, act, outcome)

    return Promise(
        "must", f"must {statement}", f"{statement} {does}", (zone.number,), zone.areas,
        Sends(own(setup, zone), start, good, within, settled), start, timed=True,
        keeps=_looked_at(zone) if lasts else frozenset(),
        sort=_sort(statement), near=_near(wanted),
        provisos=tuple(each for each in provisos if not (trouble and each is Proviso.SHUT)),
    )  # fmt: skip


def _looked_at(zone: ZoneSetup) -> frozenset[tuple[str, Hashable]]:
    """Return what must be known of a zone whose opening the panel waits on or looks at twice."""
    waits = (TimerKind.PERSIST, TimerKind.VERIFY_RESET, TimerKind.VERIFY)
    return frozenset({("open", zone.number), *(("runs", Timer(kind, zone.number)) for kind in waits)})


# Modes ----------------------------------------------------------------------------------------------------------------


def _in_modes(wanted: WantedByOwner, zone: ZoneSetup, modes: frozenset[Mode]) -> Judge:
    """Return the judge of the mode that a statement means: of its area, else of all areas of the zone."""
    area = wanted.area
    if area is None:
        return lambda before, _a, out: may_be_in(before, out, zone, modes)
    return lambda before, _a, out: mode_may_be(before, out, area, modes)


def _since(setup: Setup, zone: ZoneSetup, wanted: WantedByOwner, modes: frozenset[Mode]) -> str:
    """Return why the mode that a statement means can't be, if nobody can bring it about."""
    if Mode.DISARMED in modes:
        return ""
    return nobody_sets(setup, zone, modes) if wanted.area is None else nobody_sets_area(setup, wanted.area, modes)


def _when(wanted: WantedByOwner, modes: frozenset[Mode]) -> str:
    says = in_modes(modes)
    return says if wanted.area is None else f"with area {wanted.area} {says.removeprefix('when ')}"


def _near(wanted: WantedByOwner) -> frozenset[AreaNumber]:
    return frozenset() if wanted.area is None else frozenset({wanted.area})


def _sort(statement: Statement) -> str:
    """Return what is wanted, but for what brings it about."""
    where = f"{statement.area} " if statement.area else ""
    return (
        f"must {statement.wanted}: {statement.cause.trouble} {statement.cause.person}, {statement.effect}, "
        f"{where}{statement.while_}, {statement.within_s}"
    )
