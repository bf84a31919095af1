"""How a sheet ends when somebody keys on after a wrong key, job after job as printed, whatever the display says.

Rules of this file:
1. Each job begins at the question where it begins on the sheet: somebody at another question goes there first; somebody
   at the same question keys on.
2. A job goes as printed if the keypad is in the right state and holds the right values in all that the job looks at:
   its own thing, all items that belong to no thing, which numbers of its group are in use (if numbers are typed, only
   those up to its own), and which zone has its device. Only a job that doesn't is keyed here. A test compares this with
   the keypad.
3. If two states agree at the beginning of a job, the rest of the sheet ends alike, so it is keyed once: what is wrong
   and isn't looked at stays.
"""

from __future__ import annotations

from bisect import bisect_left
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field

from zonewright.entry.keypad.held import ChangedPlan
from zonewright.entry.keypad.pressing import heard, press
from zonewright.entry.keypad.standing import KeypadState, answer_at
from zonewright.entry.keypad.strokes import Driven, Stroke
from zonewright.panel.profile import NodeKind, Profile, Style
from zonewright.panel.programme import Item, Value

Thing = tuple[str, int]  # a group and a number in it
NO_THING: Thing = ("", 0)  # for all items that belong to no numbered thing
ALL = 1_000_000  # above every number
Differing = Mapping[Item, Value | None]
Part = frozenset[tuple[Item, Value | None]]  # the wrong values of one thing; a frozenset remembers its hash
Gives = frozenset[Part]


@dataclass(frozen=True, slots=True)
class _Off:
    """What is wrong with one thing at some point of the sheet."""

    items: Differing
    parts: Gives = field(compare=False)  # the same, thing by thing
    in_use: bool = field(compare=False)  # whether it is in use and shouldn't be, or the other way round
    device: tuple[Value | None, ...] | None = field(compare=False)  # the right number; the number and input held
    tripped: int = field(compare=False)  # the last job in which either device is tripped; -1 if none is


Wrong = Mapping[Thing, _Off]
Learnt = frozenset[tuple[Thing, tuple[Value | None, ...]]]  # things, each with the `device` of what is off


def thing_of(item: Item) -> Thing:
    """Return the numbered thing that an item belongs to."""
    return (item.group, item.number) if item.number is not None else NO_THING


def parts_of(items: Iterable[tuple[Item, Value | None]]) -> Gives:
    """Return wrong values grouped by thing, so that what is wrong in many ends is put into words once."""
    found: dict[str, list[tuple[Item, Value | None]]] = {}
    for each in items:
        found.setdefault(each[0].thing, []).append(each)
    return frozenset(frozenset(each) for each in found.values())


def printed(profile: Profile, strokes: Iterable[Stroke], state: KeypadState) -> Iterator[KeypadState]:
    """Give the keypad as it is, then after each key and each device of these steps, all as printed."""
    yield state
    for stroke in strokes:
        if stroke.trip is not None:
            state = heard(profile, state, stroke.trip)
            yield state
        else:
            for each in stroke.keys:
                state = press(profile, state, each)
                yield state


@dataclass(slots=True)
class _Looks:
    """What was looked at: things, and up to which number of a group it matters which are in use."""

    things: set[Thing]
    highest: dict[str, int]

    def number(self, thing: Thing, highest: int) -> None:
        """Look at a thing, and at the numbers of its group."""
        self.things.add(thing)
        self.highest[thing[0]] = max(self.highest.get(thing[0], 0), highest)

    def take(self, other: _Looks) -> None:
        """Look at all that another looks at."""
        self.things |= other.things
        for group, number in other.highest.items():
            self.highest[group] = max(self.highest.get(group, 0), number)

    def copy(self) -> _Looks:
        """Return a copy that can be added to."""
        return _Looks(set(self.things), dict(self.highest))

    def of(self, wrong: Wrong) -> Wrong:
        """Return what is wrong among the things looked at."""
        return {thing: wrong[thing] for thing in self.things & wrong.keys()}

    def numbers(self, in_use: Iterable[Thing]) -> frozenset[Thing]:
        """Return those of some numbers that were looked at."""
        return frozenset((group, number) for group, number in in_use if number <= self.highest.get(group, 0))


@dataclass(frozen=True, slots=True)
class _Keyed:
    """A job, or the rest of a sheet, keyed once: what it looks at, and what is wrong in that before and after."""

    looks: _Looks
    before: Wrong
    in_use: frozenset[Thing]  # of the numbers looked at, those in use that shouldn't be, or the other way round
    after: Wrong
    state: KeypadState  # the keypad afterwards, without what it holds


@dataclass(slots=True)
class _Met:
    """A job that was keyed, what was wrong before it, and what it and the following jobs as printed looked at."""

    key: object
    wrong: Wrong
    in_use: list[Thing]
    looks: _Looks


class KeyedOn:
    """A sheet, and what keying it on leads to."""

    def __init__(self, profile: Profile, driven: Sequence[Driven]) -> None:
        self.profile, self.driven = profile, driven
        self._jobs: dict[object, list[_Keyed]] = {}
        self._rests: dict[object, list[_Keyed]] = {}
        self._singles = [Item(pattern) for pattern in profile.items if "/*/" not in pattern]
        self._fields = {group: [p for p in profile.items if p.startswith(f"{group}/*/")] for group in profile.groups}
        self._of_group: dict[str, list[int]] = {}  # the jobs of a group
        self._highest: dict[str, int] = {}  # number of a group that is keyed
        self._of_thing: dict[Thing, list[int]] = {}
        self._of_device: dict[str, list[int]] = {}  # the jobs in which a device is tripped
        which = [node for node in profile.script.values() if node.kind is NodeKind.WHICH]
        self._listed = {n.which for n in which if (how := answer_at(profile, n)) and how.style is Style.SCROLL}
        self._typed = {node.which for node in which} - self._listed
        for place, done in enumerate(driven):
            self._highest[done.job.group] = max(self._highest.get(done.job.group, 0), done.job.number or 0)
            self._of_group.setdefault(done.job.group, []).append(place)
            self._of_thing.setdefault(_thing(done), []).append(place)
            for trip in {stroke.trip for stroke in done.strokes if stroke.trip is not None}:
                self._of_device.setdefault(trip, []).append(place)

    def end(self, place: int, state: KeypadState, differs: Differing) -> Gives:
        """Return what differs from the plan when all jobs after `place` are keyed on from a state there.

        `differs` are the wrong values that this state holds.
        """
        should = self.driven[place].strokes[-1].after.held
        by_thing: dict[Thing, dict[Item, Value | None]] = {}
        for item, value in differs.items():
            by_thing.setdefault(thing_of(item), {})[item] = value
        wrong: Wrong = {thing: self._off(thing, items, should) for thing, items in by_thing.items()}
        met: list[_Met] = []
        place += 1
        while place < len(self.driven):
            begins = self.driven[place].strokes[0].before
            learnt, in_use = self._learnt_otherwise(place, wrong), _in_use(wrong)
            if state.node != begins.node or standing(state) == standing(begins):
                first = self._first_otherwise(place, wrong, learnt, in_use)
                if met:
                    self._passed(met[-1].looks, self.driven[place:first])
                place = first
                if place == len(self.driven):
                    break
                state = begins = self.driven[place].strokes[0].before
                learnt = self._learnt_otherwise(place, wrong) if learnt else learnt
            key = (place, standing(state), learnt)
            of_rest = (*key, frozenset(each for each in in_use if each[1] <= self._highest.get(each[0], 0)))
            known = _known(self._rests.get(of_rest, ()), wrong, in_use)
            if known is not None:
                if met:
                    met[-1].looks.take(known.looks)
                wrong = _after(known, wrong)
                break
            one = _known(self._jobs.get(key, ()), wrong, in_use)
            if one is None:
                one = self._keyed(
                    place, state._replace(held=ChangedPlan(begins.held, _together(wrong)), message=""), wrong, in_use
                )
                self._jobs.setdefault(key, []).append(one)
            met.append(_Met(of_rest, wrong, in_use, one.looks.copy()))
            wrong, state = _after(one, wrong), one.state
            place += 1
        self._keep(met, wrong, state)
        return frozenset().union(*(off.parts for off in wrong.values()))

    # What a job looks at ----------------------------------------------------------------------------------------------

    def _first_otherwise(self, place: int, wrong: Wrong, learnt: Learnt, in_use: Iterable[Thing]) -> int:
        """Return the first job from `place` on that doesn't go as printed, if the keypad is in the right state."""
        if NO_THING in wrong or _thing(self.driven[place]) in wrong:
            return place
        found = [len(self.driven)]
        for thing in wrong:
            found += _from(self._of_thing.get(thing, ()), place)[:1]
        for group, number in in_use:
            places = _from(self._of_group.get(group, ()), place)
            if group in self._listed:
                found += places[:1]
            elif group in self._typed:
                found.append(next((n for n in places if (self.driven[n].job.number or 0) > number), len(self.driven)))
        for _, device in learnt:
            for one in device[:2]:
                found += _from(self._of_device.get(one or "", ()), place)[:1]
        return min(found)

    def _learnt_otherwise(self, place: int, wrong: Wrong) -> Learnt:
        """Return the devices learnt wrong, or not learnt, that are tripped in this job or a later one."""
        return frozenset(
            (thing, off.device) for thing, off in wrong.items() if off.device is not None and off.tripped >= place
        )

    def _off(self, thing: Thing, items: Differing, should: Mapping[Item, Value]) -> _Off:
        """Return what is wrong with a thing, given what should be held."""
        number, by = (Item(f"{thing[0]}/{thing[1]}/{name}") for name in ("number", "input"))
        device, tripped = None, -1
        if number in items or by in items:
            device = should.get(number), items.get(number, should.get(number)), items.get(by, should.get(by))
            tripped = max(self._of_device.get(one or "", (-1,))[-1] for one in device[:2])
        in_use = thing != NO_THING and any(value is None or item not in should for item, value in items.items())
        return _Off(items, parts_of(items.items()), in_use, device, tripped)

    # Keying it --------------------------------------------------------------------------------------------------------

    def _keyed(self, place: int, begins: KeypadState, wrong: Wrong, in_use: Iterable[Thing]) -> _Keyed:
        """Key a job as printed, and note what it looks at."""
        looks = _Looks({NO_THING, _thing(self.driven[place])}, {})
        for state in printed(self.profile, self.driven[place].strokes, begins):
            node = self.profile.script[state.node]
            if state.number is not None and state.group is not None:
                looks.number((state.group, state.number), state.number)
            if node.which is not None and (node.which in self._listed or state.message):
                looks.highest[node.which] = ALL
        should = self.driven[place].strokes[-1].after.held
        after: dict[Thing, _Off] = {}
        for group, number in looks.things:
            items = [Item(each.replace("*", str(number))) for each in self._fields[group]] if group else self._singles
            differs = {item: state.held.get(item) for item in items if state.held.get(item) != should.get(item)}
            if differs:
                after[group, number] = self._off((group, number), differs, should)
        return _Keyed(looks, looks.of(wrong), looks.numbers(in_use), after, state._replace(held={}))

    def _passed(self, looks: _Looks, jobs: Sequence[Driven]) -> None:
        """Note what jobs look at that go as printed."""
        for done in jobs:
            group, number = _thing(done)
            looks.number((group, number), ALL if group in self._listed else number)

    def _keep(self, met: Sequence[_Met], wrong: Wrong, state: KeypadState) -> None:
        """Save the result of the rest of the sheet, from each job that was keyed."""
        looks = _Looks(set(), {})
        for each in reversed(met):
            looks.take(each.looks)
            mine = looks.copy()
            rest = _Keyed(mine, mine.of(each.wrong), mine.numbers(each.in_use), mine.of(wrong), state)
            self._rests.setdefault(each.key, []).append(rest)


def _known(keyed: Iterable[_Keyed], wrong: Wrong, in_use: Sequence[Thing]) -> _Keyed | None:
    for each in keyed:
        if each.looks.of(wrong) == each.before and each.looks.numbers(in_use) == each.in_use:
            return each
    return None


def _after(keyed: _Keyed, wrong: Wrong) -> Wrong:
    return {**{thing: each for thing, each in wrong.items() if thing not in keyed.looks.things}, **keyed.after}


def standing(state: KeypadState) -> tuple[object, ...]:
    """Return how a keypad stands: all but what it holds, and its message."""
    return (*state.key, state.group)


def _thing(done: Driven) -> Thing:
    return (done.job.group, done.job.number or 0) if done.job.group else NO_THING


def _from(places: Sequence[int], place: int) -> Sequence[int]:
    return places[bisect_left(places, place) :]


def _in_use(wrong: Wrong) -> list[Thing]:
    """Return the numbers that are in use and shouldn't be, or the other way round."""
    return [thing for thing, off in wrong.items() if off.in_use]


def _together(wrong: Wrong) -> Differing:
    return {item: value for off in wrong.values() for item, value in off.items.items()}
