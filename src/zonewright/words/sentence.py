"""One plain sentence about a zone, computed from its cells.

Rules of this file:
1. Every word of it follows from what `step` did in the matrix or in a run here, none from the behaviour's name.
2. Order: what is noticed in which modes, what follows from its closing or from a second trip, what never happens, what
   becomes of a flat battery or lost contact, of a loop what becomes of a cut or a short.
"""

from __future__ import annotations

from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.events import Arm, Timer, TimerKind, ZoneCloses, ZoneOpens, ZoneTrips
from zonewright.behaviour.setup import Setup, ZoneSetup
from zonewright.behaviour.state import Phase
from zonewright.behaviour.wires import wire_words
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.site.record import ZoneNumber, span
from zonewright.words.matrix import SOMEBODY, Cause, Cell, Mark, Matrix, at_rest, outcome_of, with_pairs_otherwise
from zonewright.words.telling import in_modes, in_modes_of, sounder, while_they_are

IN_SENTENCES = (Cause.OPENS, Cause.LOW_BATTERY, Cause.MISSING)  # the causes that a sentence tells of


def sentence(matrix: Matrix, zone: ZoneNumber) -> str:
    """Return what a zone does, in one sentence; the matrix must hold the causes `IN_SENTENCES`."""
    setup = matrix.setup.zone(zone)
    if setup is None:
        raise KeyError(zone)
    trips = matrix.row(zone, Cause.OPENS)
    twice = _tripped_twice(matrix.setup, setup)
    parts = [*_noticed(setup, trips), *_closing(matrix.setup, setup), *twice]
    parts += [
        *while_its_pair_is_set_otherwise(matrix.setup, setup),
        *_never(trips, confirmed=bool(twice)),
        *_troubles(matrix, setup),
    ]
    name = setup.label[:1].upper() + setup.label[1:]
    return f"{name}: {'; '.join(parts)}."


def _noticed(zone: ZoneSetup, cells: tuple[Cell, ...]) -> list[str]:
    """Say what follows from opening, grouped by the modes in which it is the same; silence comes last."""
    alike: dict[tuple[object, ...], list[Cell]] = {}
    for cell in cells:
        alike.setdefault(cell.looks_like, []).append(cell)
    loud = [group for group in alike.values() if group[0].mark is not Mark.NOTHING]
    loud.sort(key=lambda group: list(Mark).index(group[0].mark))
    texts = [f"{group[0].words} {_when(zone, group)}{_and_message(group[0])}" for group in loud]
    quiet = [group for group in alike.values() if group[0].mark is Mark.NOTHING]
    return texts + [f"nothing {_when(zone, group)}" for group in quiet]


def _when(zone: ZoneSetup, group: list[Cell]) -> str:
    return in_modes_of(zone, [cell.mode for cell in group])


def _and_message(cell: Cell) -> str:
    if cell.message is None:
        return ""
    sounded = cell.siren_after if cell.siren_after is not None else cell.heard[0][0] if cell.heard else 0
    late = (cell.message_after or 0) - sounded
    then = f" {span(late)} later" if late else ""
    return f', message "{cell.message}"{then}'


def _closing(setup: Setup, zone: ZoneSetup) -> list[str]:
    """Say whether its closing changes the setting: of a final door on the way out, of a switch kept on."""
    if not zone.behaviour.completes_exit and zone.behaviour.arms is None:
        return []
    leaving = Clockwork(setup)
    for area in sorted(zone.areas):
        leaving.give(Arm(area, Mode.AWAY, SOMEBODY))
    in_exit = any(area.phase is Phase.EXIT for area in leaving.control.areas)
    leaving.give(ZoneOpens(zone.number))
    leaving.give(ZoneCloses(zone.number))
    if in_exit and all(leaving.control.area(area).phase is Phase.SET for area in zone.areas):
        return ["its closing completes setting"]
    armed = at_rest(setup, zone.areas, Mode.AWAY)
    armed.give(ZoneOpens(zone.number))
    before = armed.control.areas
    armed.give(ZoneCloses(zone.number))
    disarmed = all(area.mode is Mode.DISARMED for area in armed.control.areas)
    return ["its closing disarms"] if disarmed and armed.control.areas != before else []


def _tripped_twice(setup: Setup, zone: ZoneSetup) -> list[str]:
    """Say what confirms a trip that alone is none."""
    pairs = [pair for number in sorted(zone.crosses) if (pair := setup.zone(number)) is not None]
    sounding = []
    pattern = Pattern.NONE
    for pair in pairs:
        panel = at_rest(setup, zone.areas | pair.areas, Mode.AWAY)
        panel.give(ZoneTrips(zone.number))
        if not panel.control.causes and Timer(TimerKind.CROSS, zone.number) in panel.control.running:
            panel.give(ZoneTrips(pair.number))
            pattern = panel.control.siren
            sounding += [pair.label] if pattern is not Pattern.NONE else []
    within = span(setup.settings.cross_window)
    return [f"{sounder(pattern)} if {' or '.join(sounding)} trips too within {within}"] if sounding else []


def while_its_pair_is_set_otherwise(setup: Setup, zone: ZoneSetup) -> list[str]:
    """Say what its opening does when the areas of its pairs are in another mode than its own areas."""
    others = setup.set_with(zone) - zone.areas

    def told(panel: Clockwork, own: Mode) -> str:
        cell = Cell(zone.number, own, Cause.OPENS, outcome_of(panel, zone, Cause.OPENS))
        return f"{cell.words}\n{_and_message(cell)}"

    found = with_pairs_otherwise(setup, zone, told)
    parts = ((this.split("\n"), in_modes_of(zone, own), while_they_are(others, there)) for own, there, this in found)
    return [f"{words} {when} {meanwhile}{message}" for (words, message), when, meanwhile in parts]


def _never(cells: tuple[Cell, ...], *, confirmed: bool) -> list[str]:
    sirens = confirmed or any(cell.siren_after is not None for cell in cells)
    sends = any(cell.sent for cell in cells)
    if not sirens and not sends:
        return ["never the siren, never a message when it opens"]
    if not sirens:
        return ["never the siren"]
    return [] if sends else ["never a message when it opens"]


def _troubles(matrix: Matrix, zone: ZoneSetup) -> list[str]:
    """Say what becomes of a flat battery and of lost contact, together where it is the same; of a loop, of its wire."""
    if zone.loop:
        return wire_words(zone)
    battery, lost = (_told(matrix.row(zone.number, cause)) for cause in (Cause.LOW_BATTERY, Cause.MISSING))
    if battery[0] == lost[0]:
        return [f"flat battery or lost contact {_fate(battery[0], max(battery[1], lost[1]))}"]
    return [f"flat battery {_fate(*battery)}", f"lost contact {_fate(*lost)}"]


def _told(cells: tuple[Cell, ...]) -> tuple[str, int]:
    """Return how far the news gets in every mode at least, and its seconds at most."""
    if all(cell.sent for cell in cells):
        return "reported", max(cell.message_after or 0 for cell in cells)
    if any(cell.sent for cell in cells):
        return "reported only " + in_modes([cell.mode for cell in cells if cell.sent]), 0
    if all(cell.outcome for cell in cells):
        return "shown here", max(cell.outcome[0][0] for cell in cells)
    return "unnoticed", 0


def _fate(how: str, seconds: int) -> str:
    within = f" within {span(seconds)}" if seconds else " at once"
    match how:
        case "reported":
            return f"is reported{within}"
        case "shown here":
            return f"is shown at the keypad{within}, not reported"
        case "unnoticed":
            return "is never noticed"
        case _:
            return f"is {how}"
