"""What can still be told of a panel of which not everything is known.

Rules of this file:
1. Nothing is guessed. The model runs with stand-ins for what isn't known, and every look at a stand-in is noted: what
   came about without such a look comes about whatever the panel holds. (A test holds that against completions.)
2. A zone whose behaviour or area isn't known is never run; what only names it (place, label) may be missing.
3. A cell of the matrix begins with the areas armed and at rest, however they came to be so: only from there is noted.
"""

from __future__ import annotations

from collections.abc import Callable, Iterable, Mapping
from dataclasses import dataclass, fields, replace
from typing import Any, TypeVar

from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.setup import AreaNumber, Settings, Setup, ZoneSetup, setup_of
from zonewright.panel.behaviours import Mode
from zonewright.panel.profile import Answer, Profile, Style
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value, item_of, setting_item
from zonewright.site.record import ZoneNumber
from zonewright.words.matrix import Cause, Cell, Matrix, at_rest, outcome_of, tells

T = TypeVar("T")
NAMES = ("label", "place")
DECIDES = ("behaviour", "area")
VERIFYING = ("verify", "kind", "resistor")


@dataclass(frozen=True, slots=True)
class HalfKnown:
    """The model's view of a half-known panel; only `needs` and what is built on it may run it."""

    setup: Setup  # with stand-ins; every zone whose behaviour and area are known
    untold: Mapping[ZoneNumber, tuple[Item, ...]]  # the other zones: what isn't known of behaviour and area
    unnamed: frozenset[ZoneNumber]  # zones of which place or label isn't known
    notes: set[Item]

    def needs(self, run: Callable[[], T]) -> tuple[T, tuple[Item, ...]]:
        """Run something of the model; return its result and the unknown items that it looked at.

        With any such item the result is a stand-in's, and must not be told.
        """
        self.notes.clear()
        result = run()
        return result, tuple(sorted(self.notes))


@dataclass(frozen=True, slots=True)
class KnownMatrix:
    """The cells that can be told, cause by cause, and what the others need."""

    told: Mapping[Cause, Matrix]  # with the zones of which every mode can be told
    needed: Mapping[ZoneNumber, Mapping[Cause, tuple[Item, ...]]]


def half_known(programme: Programme, profile: Profile) -> HalfKnown:
    """Return the model's view of a Programme with unknown values; raises `UnusableValues` as `setup_of` does."""
    untold = {
        ZoneNumber(number): unknown
        for number in programme.numbers("zone")
        if (
            unknown := tuple(
                item for name in DECIDES if programme.get(item := item_of("zone", number, name)) == UNKNOWN
            )
        )
    }
    starts = tuple(f"zone/{number}/" for number in untold)
    told = Programme(programme.panel, {i: v for i, v in programme.values.items() if not i.startswith(starts)})
    setup = setup_of(_stood_in(told, profile), profile)
    notes: set[Item] = set()
    paired = _unknown(programme, (item_of("zone", n, "crosses") for n in programme.numbers("zone")))
    paired += tuple(item for number in _may_pair(programme, untold) for item in untold[number])
    zones = tuple(_zone(zone, told, paired, notes) for zone in setup.zones)
    settings = _noting(setup.settings, _of_settings(programme), notes)
    unnamed = frozenset(
        zone.number
        for zone in setup.zones
        if _unknown(programme, (item_of("zone", zone.number, name) for name in NAMES))
    )
    return HalfKnown(replace(setup, zones=zones, settings=settings), untold, unnamed, notes)


def _may_pair(programme: Programme, untold: Mapping[ZoneNumber, tuple[Item, ...]]) -> list[ZoneNumber]:
    """Return the zones left out that are paired with another one, whichever of the two says so."""
    pairs = {n: programme.get(item_of("zone", n, "crosses")) for n in programme.numbers("zone")}
    named = {value for value in pairs.values() if value is not None}
    return [number for number in untold if pairs.get(number) not in (None, "0", "none") or str(number) in named]


def known_matrix(half: HalfKnown, causes: Iterable[Cause] = Cause) -> KnownMatrix:
    """Return every cell that can be told, and what each other zone needs."""
    wanted = tuple(causes)
    rested: dict[tuple[frozenset[AreaNumber], Mode], Clockwork] = {}
    needed: dict[ZoneNumber, dict[Cause, tuple[Item, ...]]] = {
        number: dict.fromkeys(wanted, items) for number, items in half.untold.items()
    }
    cells: dict[Cause, list[Cell]] = {cause: [] for cause in wanted}
    for zone in half.setup.zones:
        for mode in Mode:
            areas = half.setup.set_with(zone)
            if (areas, mode) not in rested:
                rested[areas, mode] = at_rest(half.setup, areas, mode)
        for cause in wanted:
            row, looked = half.needs(lambda zone=zone, cause=cause: _row(half.setup, rested, zone, cause))  # type: ignore[misc]
            if looked:
                needed.setdefault(zone.number, {})[cause] = looked
            else:
                cells[cause] += row
    return KnownMatrix({cause: _of(half.setup, tuple(found)) for cause, found in cells.items()}, needed)


def _row(
    setup: Setup, rested: Mapping[tuple[frozenset[AreaNumber], Mode], Clockwork], zone: ZoneSetup, cause: Cause
) -> list[Cell]:
    tells(zone, cause)  # whoever prints the row looks whether it is a loop's
    return [
        Cell(zone.number, mode, cause, outcome_of(rested[setup.set_with(zone), mode].copy(), zone, cause))
        for mode in Mode
    ]


def _of(setup: Setup, cells: tuple[Cell, ...]) -> Matrix:
    there = {cell.zone for cell in cells}
    return Matrix(replace(setup, zones=tuple(zone for zone in setup.zones if zone.number in there)), cells)


def _stood_in(programme: Programme, profile: Profile) -> Programme:
    """Return a Programme with a stand-in for each unknown value: what it is as shipped, else any that it can have.

    No known value gives way to a stand-in, even where a panel couldn't hold both.
    """
    values = dict(programme.values)
    for item, value in programme.values.items():
        if value == UNKNOWN:
            values[item] = Value("") if item.field in NAMES else _stand_in(profile, item)
    return Programme(programme.panel, values)


def _stand_in(profile: Profile, item: Item) -> Value:
    rule, answer = profile.items[item.pattern], profile.answer_of(item)
    if rule.default is not None:
        return Value(rule.default)
    return Value(_any(answer) if answer is not None else profile.edition)


def _any(answer: Answer) -> str:
    if answer.values:
        return answer.values[0]
    return str(answer.least or 0) if answer.style in (Style.DIGITS, Style.SCROLL) else ""


def _of_settings(programme: Programme) -> dict[str, tuple[Item, ...]]:
    """Return field of the settings -> the unknown item behind it."""
    behind = {}
    for field in fields(Settings):
        name = field.name.replace("_", "-")
        unknown = _unknown(programme, (Item(f"setting/{name}"), Item(f"station/{name}")))
        if unknown:
            behind[field.name] = unknown
    return behind


def _zone(zone: ZoneSetup, programme: Programme, paired: tuple[Item, ...], notes: set[Item]) -> ZoneSetup:
    def items(*names: str) -> tuple[Item, ...]:
        return _unknown(programme, (item_of("zone", zone.number, name) for name in names))

    delay = programme.get(item_of("zone", zone.number, "delay")) or ""
    entry = _unknown(programme, (setting_item(delay),))
    verifying = (*items(*VERIFYING), *_unknown(programme, (Item("setting/fire-verify-window"),)))
    behind = {
        "entry_s": (*items("delay"), *entry),
        "chime": items("chime"),
        "tells_alarm": items("tells-alarm"),
        "tells_trouble": items("tells-trouble"),
        "supervise": items("supervise"),
        "message_waits": items("message-delay") if zone.behaviour.abort else (),
        "loop": items("kind", "resistor"),
        "crosses": paired if zone.behaviour.cross else (),
        "verifies": verifying if zone.behaviour.verify else (),
    }
    return _noting(zone, {name: found for name, found in behind.items() if found}, notes)


def _unknown(programme: Programme, items: Iterable[Item]) -> tuple[Item, ...]:
    return tuple(item for item in items if programme.get(item) == UNKNOWN)


def _noting(plain: T, behind: Mapping[str, tuple[Item, ...]], notes: set[Item]) -> T:
    """Return a record like another that notes each look at these fields; the same one where there are none."""
    if not behind:
        return plain
    kind = type(plain)

    def noted(name: str) -> property:
        slot, items = getattr(kind, name), behind[name]

        def look(record: T) -> Any:
            notes.update(items)
            return slot.__get__(record)

        return property(look)

    noting_kind = type(f"Noting{kind.__name__}", (kind,), {"__slots__": (), **{name: noted(name) for name in behind}})
    noting: T = object.__new__(noting_kind)
    for field in fields(plain):  # type: ignore[arg-type]
        getattr(kind, field.name).__set__(noting, getattr(plain, field.name))
    return noting
