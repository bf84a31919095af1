"""The way back after a slip: each advice is tried on the virtual keypad before anybody reads it.

Rules of this file:
1. Nothing is advised that wasn't keyed here and found to lead where it says.
2. If a wrong device was saved, the panel holds a zone that nobody meant: first it is taken out, or learnt again.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass

from zonewright.entry.keypad.drive import drive
from zonewright.entry.keypad.pressing import heard, idle, press
from zonewright.entry.keypad.standing import KeypadState, programme_of
from zonewright.entry.keypad.strokes import Driven, NoWay, Stroke
from zonewright.panel.profile import NodeKind, Profile
from zonewright.panel.programme import Item, Programme, Value

MOST_BACK = 12  # presses of `back` that anybody would count
MOST_SCROLLED = 200


@dataclass(frozen=True, slots=True)
class WrongDevice:
    """What to do if a step heard another device than the one meant.

    If `strokes` is empty, `keys` and the steps from `again` on mend it. Else it was saved: press `keys` and then `back`
    until the display is at rest, or if no key leads there (`waits`), wait for the time-out; key `strokes`, and if
    `whole_again` is set, key the whole part once more.
    """

    step: int  # at which the device is tripped
    number: str  # of the right device
    keys: tuple[str, ...] = ()
    again: int = 0
    strokes: tuple[Stroke, ...] = ()
    whole_again: bool = False
    waits: bool = False
    saved: bool = False  # whether the wrong one is saved until then, if `keys` and the steps mend it


def wrong_device(profile: Profile, done: Driven) -> WrongDevice | None:
    """Return how to mend a wrong device at the step that trips one; None if there is no such step, or no way."""
    place = next((n for n, stroke in enumerate(done.strokes) if stroke.trip is not None), None)
    if place is None:
        return None
    stroke = done.strokes[place]
    right = stroke.trip or ""
    before = stroke.before
    for key in stroke.keys:
        before = press(profile, before, key)
    wrong = heard(profile, before, _another(right))
    found = _again(profile, done.strokes, place, wrong, right)
    if found is not None:
        return found
    return _saved(profile, done, place, wrong, right)


def _another(number: str) -> str:
    """Return a number of the same length with every digit changed."""
    return "".join(str((int(digit) + 5) % 10) if digit.isdigit() else digit for digit in number)


def _again(
    profile: Profile, strokes: Sequence[Stroke], place: int, wrong: KeypadState, right: str
) -> WrongDevice | None:
    """Go on or back from there and do some steps again, if everything is then as if nothing had happened."""
    on = profile.script[strokes[place].node].goes_on
    for first in ((), (on,) if on is not None else ()):
        state = wrong
        for key in first:
            state = press(profile, state, key)
        for presses in range(MOST_BACK):
            for start in range(place, -1, -1):
                if strokes[start].before.node != state.node or not (first or presses):
                    continue
                end = state
                for each in strokes[start : place + 1]:
                    end = _dealt_with(profile, end, each)
                    end = heard(profile, end, right) if each.trip is not None else end
                if _stands_alike(end, strokes[place].after):
                    keys = (*first, *(profile.back,) * presses)
                    saved = dict(wrong.held) != dict(strokes[place].before.held)
                    return WrongDevice(place + 1, right, keys, start + 1, saved=saved)
            if state.node == profile.rest:
                break
            state = press(profile, state, profile.back)
    return None


def _stands_alike(one: KeypadState, other: KeypadState) -> bool:
    """Return whether two states are at the same question with the same held and waiting values, however reached."""
    return (one.node, one.held, one.waiting, one.number) == (other.node, other.held, other.waiting, other.number)


def _dealt_with(profile: Profile, state: KeypadState, stroke: Stroke) -> KeypadState:
    """Do a step as its reader does: in a list and a ring, scroll until the display shows what it showed then."""
    keys, scrolling = stroke.keys, profile.scrolling
    if scrolling is not None and profile.script[stroke.node].kind in (NodeKind.LIST, NodeKind.WHICH) and keys:
        then = stroke.before
        for key in keys[:-1]:
            then = press(profile, then, key)
        for _ in range(MOST_SCROLLED):
            if state.buffer == then.buffer:
                break
            state = press(profile, state, scrolling.next)
        keys = keys[-1:]
    for key in keys:
        state = press(profile, state, key)
    return state


def _saved(profile: Profile, done: Driven, place: int, wrong: KeypadState, right: str) -> WrongDevice | None:
    """Mend what was saved: the cheaper of learning the device again, or taking the zone out and keying it once more."""
    left, keys = _left(profile, wrong, profile.script[done.strokes[place].node].goes_on)
    held = programme_of(profile, left)
    ways: list[tuple[int, WrongDevice]] = []
    target = programme_of(profile, done.strokes[-1].after)
    start = programme_of(profile, done.strokes[0].before)
    again = sum(len(stroke.keys) for stroke in done.strokes)
    for wanted, whole in ((target, False), (start, True)):
        try:
            strokes = tuple(stroke for each in drive(profile, held, wanted) for stroke in each.strokes)
        except NoWay:
            continue
        if whole and any(stroke.trip is not None for stroke in strokes):
            continue  # it would need to hear the device that was taken away
        price = sum(len(stroke.keys) for stroke in strokes) + (again if whole else 0)
        mend = WrongDevice(place + 1, right, keys or (), 0, strokes, whole, waits=keys is None)
        ways.append((price, mend))
    return min(ways, key=lambda way: way[0])[1] if ways else None


def _left(profile: Profile, state: KeypadState, on: str | None) -> tuple[KeypadState, tuple[str, ...] | None]:
    """Leave to rest: return the state there and what is pressed before `back`, None if only waiting leads there."""
    for first in ((), (on,) if on is not None else ()):
        tried = state
        for key in first:
            tried = press(profile, tried, key)
        for _ in range(MOST_BACK):
            if tried.node == profile.rest:
                return tried, first
            tried = press(profile, tried, profile.back)
    return idle(profile, state), None


@dataclass(frozen=True, slots=True)
class WayBack:
    """How to come back to the sheet from a state off it, as far as that could be tried; all empty: nothing was found.

    Either `back` presses lead to a state of the sheet, or after the time-out nothing of the part is saved (`lost`), or
    something wrong is saved: then `wrong` names it and `strokes` mend it from rest.
    """

    back: int = 0
    at: int = 0  # the place among the sheet's states that `back` leads to
    lost: bool = False
    wrong: tuple[tuple[Item, Value | None, Value | None], ...] = ()  # item, held, planned
    strokes: tuple[Stroke, ...] = ()


def way_back(
    profile: Profile,
    state: KeypadState,
    found: Callable[[KeypadState], int | None],
    before_part: KeypadState,
    plan: Programme,
) -> WayBack:
    """Return the way back from a state off the sheet.

    `found` returns which of the sheet's states a state is; `before_part` is the one at which the part began; `plan` is
    what the panel should hold when the part is done.
    """
    tried = state
    for presses in range(1, MOST_BACK):
        tried = press(profile, tried, profile.back)
        at = found(tried)
        if at is not None:
            return WayBack(presses, at)
        if tried.node == profile.rest:
            break
    left = idle(profile, state)
    if dict(left.held) == dict(before_part.held):
        return WayBack(lost=True)
    held = programme_of(profile, left)
    wrong = _wrong(held.values, plan.values, before_part.held)
    try:
        strokes = tuple(stroke for each in drive(profile, held, plan) for stroke in each.strokes)
    except NoWay:
        strokes = ()
    return WayBack(wrong=wrong, strokes=strokes)


def _wrong(
    held: Mapping[Item, Value], plan: Mapping[Item, Value], before: Mapping[Item, Value]
) -> tuple[tuple[Item, Value | None, Value | None], ...]:
    """Return what was saved in this part and differs from the plan."""
    return tuple(
        (item, held.get(item), plan.get(item))
        for item in sorted({*held, *plan})
        if held.get(item) != plan.get(item) and held.get(item) != before.get(item)
    )


def same(one: KeypadState, other: KeypadState) -> bool:
    """Return whether two states differ at most in the message on the display."""
    return one.node == other.node and one._replace(message="") == other._replace(message="")
