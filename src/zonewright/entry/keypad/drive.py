"""From what a panel holds to what it should hold, by driving the keypad; every key is really pressed.

Rules of this file:
1. The driver knows no panel rule: where a key leads is found by pressing it on a copy of the state.
2. A job is one zone, one person, or one run of settings. Within a job every answer is given once, in the order in which
   the panel asks. What still differs is looked up at the keypad after each answer, not in the two Programmes
   beforehand, since one answer may reset another.
3. If questions follow one another, the way is the one with the fewest presses until nothing is left to answer and
   nothing waits: an exact search over whole answers (keep, change, choose), not over single keys, with a bound.
4. If questions are picked (lists, places), the nearest question that differs comes first, again and again, and then the
   nearest keep: an exact search would try every order. If that fails, the exact search is tried; then the job is
   refused.
5. `search.py` says what may be done at a question.
"""

from __future__ import annotations

import heapq
from collections.abc import Callable, Iterator, Mapping
from itertools import count
from typing import NamedTuple

from zonewright.entry.keypad.search import Search
from zonewright.entry.keypad.standing import KeypadState, at_rest, is_used
from zonewright.entry.keypad.strokes import Driven, KeyingJob, NoWay, Stroke
from zonewright.panel.profile import Profile
from zonewright.panel.programme import UNKNOWN, Item, Programme, Thing, Value, item_of

MOST_STATES = 20_000
PEOPLE = "user"  # their group in every profile


def drive(profile: Profile, old: Programme, new: Programme) -> tuple[Driven, ...]:
    """Bring a keypad at rest from one Programme to another, job by job.

    A job that the panel refuses for now (its device still belongs to another zone) is put off until others are done; if
    all jobs left wait for one another, the first one's zone or person is taken out and keyed again.

    Raises `NoWay` if some item differs and no way through the script changes it.
    """
    state = at_rest(profile, old)
    done: list[Driven] = []
    todo = list(jobs(profile, old, new))
    while todo:
        put_off: list[tuple[KeyingJob, NoWay]] = []
        for job in todo:
            try:
                strokes, state = _do(profile, state, job)
            except NoWay as none:
                put_off.append((job, none))
                continue
            done.append(Driven(job, strokes))
        if len(put_off) == len(todo):
            job, why = put_off[0]
            out = KeyingJob(job.group, job.number, True, {})
            if not job.group or not is_used(profile, state.held, job.group, job.number or 0):
                raise why
            strokes, state = _do(profile, state, out)
            done.append(Driven(out, strokes))
        todo = [job for job, _ in put_off]
    left = {item for item, _ in new.values.items() ^ state.held.items()}
    if left:
        item = min(left)
        raise NoWay(
            f"{item}: the panel holds {state.held.get(item)}, wanted is {new.get(item)}, and no question sets it"
        )
    return tuple(done)


def jobs(profile: Profile, old: Programme, new: Programme) -> Iterator[KeyingJob]:
    """Return the jobs in the order on paper: first what is taken out, then zones, people, settings by their run.

    People are taken out after all others are keyed, and whoever becomes an owner is keyed first: the owner's code opens
    programming, and there must always be one.
    """
    touched = _touched(old, new)
    numbered = [each for group in profile.groups for each in sorted(touched) if each[0] == group]
    gone = [KeyingJob(group, number, True, {}) for group, number in numbered if not touched[group, number]]
    yield from (job for job in gone if job.group != PEOPLE)
    owner = Value("owner")

    def becomes_owner(group: str, number: int) -> bool:
        role = item_of(group, number, "role")
        return group == PEOPLE and touched[group, number].get(role) == owner != old.get(role)

    groups = list(profile.groups)
    for group, number in sorted(numbered, key=lambda each: (groups.index(each[0]), not becomes_owner(*each))):
        if _differs(old, touched[group, number]):
            yield KeyingJob(group, number, False, touched[group, number])
    yield from (job for job in gone if job.group == PEOPLE)
    for run in setting_runs(profile):
        wanted = {item: value for item in run if (value := new.get(item)) is not None}
        if _differs(old, wanted):
            yield KeyingJob("", None, False, wanted)


def _touched(old: Programme, new: Programme) -> dict[tuple[str, int], dict[Item, Value]]:
    """Return each numbered thing that differs in anything, with its wanted values; none of these: it is taken out."""
    things = {item.thing for item, _ in old.values.items() ^ new.values.items()}
    found: dict[Thing, dict[Item, Value]] = {thing: {} for thing in things if thing.number is not None}
    for item, value in new.values.items() if found else ():
        if item.thing in found:
            found[item.thing][item] = value
    return {(thing.group, thing.number or 0): wanted for thing, wanted in found.items()}


def _differs(old: Programme, wanted: Mapping[Item, Value]) -> bool:
    return any(old.get(item) != value for item, value in wanted.items())


def setting_runs(profile: Profile) -> tuple[tuple[Item, ...], ...]:
    """Return the settings that are asked in one run of the script, up to the keep that saves them together."""
    runs: dict[str, list[Item]] = {}
    for name, node in profile.script.items():
        if node.ask is not None and "*" not in node.ask:
            run = node.ask.group if profile.menu else _keep_after(profile, name)
            runs.setdefault(run, []).append(Item(node.ask))
    return tuple(tuple(run) for run in runs.values())


def _keep_after(profile: Profile, name: str) -> str:
    """Return the last node before the keep that saves what a node asks; runs that share it are one run."""
    seen: list[str] = []
    while name not in seen:
        seen.append(name)
        node = profile.script[name]
        if node.keep is not None:
            return seen[-2] if len(seen) > 1 else name
        if node.then:
            name = node.then[-1].go
        elif node.choose:
            name = next((target for target in node.choose.values() if profile.script[target].keep), name)
        else:
            break
    return seen[-1]


def _do(profile: Profile, start: KeypadState, job: KeyingJob) -> tuple[tuple[Stroke, ...], KeypadState]:
    """Find a short way through a job: the shortest of all if questions follow one another."""
    search = Search(profile, job)
    ways = (_nearest, _exact) if profile.menu else (_exact,)
    for way in ways:
        found = way(search, start)
        if found is not None:
            return found
    thing = f"{job.group} {job.number}" if job.group else "settings"
    unknown = [item for item, value in job.wanted.items() if value == UNKNOWN]
    if unknown:
        raise NoWay(f"{thing}: nobody knows what the panel holds for {', '.join(unknown)}; read it at the panel first")
    raise NoWay(f"{thing}: no way through the script sets {', '.join(sorted(search.left(start)))}")


def _nearest(search: Search, start: KeypadState) -> tuple[tuple[Stroke, ...], KeypadState] | None:
    """Answer the nearest question that differs, again and again; then go to the nearest end."""
    strokes: list[Stroke] = []
    state = start
    for _ in range(2 * len(search.job.wanted) + 2):
        if search.done(state):
            return tuple(strokes), state
        found = _shortest(search, state, search.arrived if search.open(state) else search.ended)
        if found is None:
            return None
        strokes += found[0]
        state = found[1]
    return None


def _exact(search: Search, start: KeypadState) -> tuple[tuple[Stroke, ...], KeypadState] | None:
    return _shortest(search, start, search.ended)


def _shortest(
    search: Search, start: KeypadState, arrived: Callable[[Stroke | None, KeypadState], bool]
) -> tuple[tuple[Stroke, ...], KeypadState] | None:
    """Return the strokes with the fewest presses up to a state that counts as arrived; None past the bound."""
    order = count()
    queue: list[tuple[int, int, KeypadState, _Trail | None]] = [(0, next(order), start, None)]
    best: dict[tuple[object, ...], int] = {search.key(start): 0}
    while queue:
        cost, _, state, trail = heapq.heappop(queue)
        if cost > best[search.key(state)]:
            continue
        if arrived(trail.stroke if trail is not None else None, state):
            return _unrolled(trail), state
        for stroke in search.strokes(state):
            key, price = search.key(stroke.after), cost + search.price(stroke)
            if price < best.get(key, price + 1):
                best[key] = price
                heapq.heappush(queue, (price, next(order), stroke.after, _Trail(stroke, trail)))
        if len(best) > MOST_STATES:
            break
    return None


class _Trail(NamedTuple):
    stroke: Stroke
    before: _Trail | None


def _unrolled(trail: _Trail | None) -> tuple[Stroke, ...]:
    strokes = []
    while trail is not None:
        strokes.append(trail.stroke)
        trail = trail.before
    return tuple(reversed(strokes))
