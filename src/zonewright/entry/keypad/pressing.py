"""The virtual keypad: the only interpreter of a panel's script.

It holds what the panel holds now, shows a display, takes a key. Sheets are written by driving it and replayed on it;
people practise on it. `standing` reads a state, `keeping` saves it, `showing` shows it.

Rules of this file:
1. It has no clock: the time-out is an event (`idle`), a tripped device is an event (`heard`).
2. It is total: a key without meaning leaves everything as it was, and the display says `no`.
"""

from __future__ import annotations

from zonewright.entry.keypad.held import changed
from zonewright.entry.keypad.keeping import all_held, forgotten, kept, merged, missing_item, owner, reset_by
from zonewright.entry.keypad.showing import number_text
from zonewright.entry.keypad.standing import (
    HEARD,
    PAIR,
    KeypadState,
    answer_at,
    entries,
    free_number,
    is_used,
    place_of,
    present_value,
    ring,
    value_of,
)
from zonewright.entry.keypad.styles import DIGITS, NO, PAUSE, STYLES, Digits, Taken
from zonewright.panel.answers import limits
from zonewright.panel.legal import exists
from zonewright.panel.profile import (
    PREVIOUS,
    NodeKind,
    Profile,
    ScriptNode,
    Style,
)
from zonewright.panel.programme import UNKNOWN, Item, Value, item_of


def press(profile: Profile, state: KeypadState, key: str) -> KeypadState:
    """Return the state after one key."""
    state = state._replace(message="") if state.message else state
    node = profile.script[state.node]
    if key == PAUSE:
        return _ask(profile, state, node, key) if _tapped(profile, node) else state
    if key == profile.wipe and node.kind in (NodeKind.ASK, NodeKind.WHICH, NodeKind.PLACE, NodeKind.CODE):
        return state._replace(buffer=_start(profile, state, node))
    match node.kind:
        case NodeKind.REST:
            return _way_in(profile, state, node, key)
        case NodeKind.CHOOSE:
            if key in (node.choose or {}):
                return _arrive(profile, state, (node.choose or {})[key])
        case NodeKind.LIST:
            if key != profile.back:
                return _list(profile, state, node, key)
        case NodeKind.PLACE:
            if key != profile.back:
                return _place(profile, state, node, key)
        case NodeKind.ASK:
            if key != profile.back:
                return _ask(profile, state, node, key)
        case NodeKind.CODE:
            if key != profile.back:
                return _code(profile, state, node, key)
        case NodeKind.WHICH:
            if key != profile.back:
                return _which(profile, state, node, key)
        case NodeKind.SHOW:
            if key == node.goes_on:
                return _arrive(profile, state, _next(profile, state, node))
        case NodeKind.TRIP:
            if state.buffer == HEARD:
                on = key == node.goes_on
                return _arrive(profile, state, _next(profile, state, node)) if on else state._replace(message=NO)
        case NodeKind.KEEP | NodeKind.FORGET:
            raise AssertionError(f"{state.node} is only passed through; no state stays there")
    if key == profile.back and node.back is not None:
        if state.buffer and profile.wipe is None and _typed_into(profile, node):
            return state._replace(buffer="")
        return _back(profile, state, node.back)
    return state.typed(state.buffer, NO)


def heard(profile: Profile, state: KeypadState, number: str) -> KeypadState:
    """Return the state after a device with this number was tripped within hearing."""
    node = profile.script[state.node]
    if node.kind is not NodeKind.TRIP or state.buffer == HEARD or state.number is None or node.trip is None:
        return state
    group = node.trip.group
    waiting = {**state.waiting, node.trip: Value(number)}
    fields = merged(profile, state.held, waiting, group, state.number)
    other = owner(profile, state.held, group, state.number, fields)
    if other is not None:
        return state._replace(message=f"is {group} {other:03}")
    if node.keeps is None:
        return state._replace(waiting=waiting, buffer=HEARD, message="")
    learnt = {item_of(group, state.number, field): value for field, value in fields.items()}
    learnt.update({Item(item): value for item, value in waiting.items() if "*" not in item})
    return state._replace(held=changed(state.held, learnt), waiting={}, buffer=HEARD, message="")


def idle(profile: Profile, state: KeypadState) -> KeypadState:
    """Return the state after no key for the script's time-out."""
    if state.node == profile.rest:
        return state._replace(buffer="")
    return KeypadState(profile.rest, state.held, {}, message="nothing kept")


def _way_in(profile: Profile, state: KeypadState, node: ScriptNode, key: str) -> KeypadState:
    """Take a key at rest; only the last ones count, so what was pressed before a way in doesn't matter."""
    ways = node.ways_in or {}
    pressed = [*state.buffer.split(), key]
    for start in range(len(pressed)):
        last = " ".join(pressed[start:])
        if last in ways:
            return _arrive(profile, state, ways[last])
        if any(way.startswith(f"{last} ") for way in ways):
            return state.typed(last)
    return state.typed("", NO)


def _ask(profile: Profile, state: KeypadState, node: ScriptNode, key: str) -> KeypadState:
    answer = answer_at(profile, node)
    assert answer is not None
    assert node.ask is not None
    result = STYLES[answer.style].press(answer, present_value(profile, state, node.ask), state.buffer, key)
    if not isinstance(result, Taken):
        return state.typed(result.buffer, result.message)
    return _answered(profile, state, node, Value(result.value))


def _answered(profile: Profile, state: KeypadState, node: ScriptNode, value: Value) -> KeypadState:
    """Let an answer wait, with what it resets; if the question keeps its answer, keep it at once."""
    item = node.ask or Item("")
    present = present_value(profile, state, item)
    waiting = {**state.waiting, item: value, **reset_by(profile, item, present, value)}
    state = state._replace(waiting=waiting)
    if node.keeps is not None:
        bound = (state.group, state.number)
        stored = state if present == value and all_held(state) else kept(profile, state)
        state = stored._replace(waiting={}, group=bound[0], number=bound[1], node=state.node, trail=state.trail)
    return _arrive(profile, state, _next(profile, state, node))


def _code(profile: Profile, state: KeypadState, node: ScriptNode, key: str) -> KeypadState:
    answer = answer_at(profile, node)
    assert answer is not None
    result = STYLES[answer.style].press(answer, None, state.buffer, key)
    if isinstance(result, Taken):
        return _arrive(profile, state, _next(profile, state, node))
    return state.typed(result.buffer, result.message)


def _which(profile: Profile, state: KeypadState, node: ScriptNode, key: str) -> KeypadState:
    answer, group = answer_at(profile, node), node.which or ""
    assert answer is not None
    if answer.style is Style.SCROLL:
        return _ring(profile, state, node, key)
    if key == answer.take and not state.buffer and node.only == "free":
        free = free_number(profile, state, group)
        return state.typed(state.buffer, NO) if free is None else _bind(profile, state, node, free)
    result = Digits().press(answer, None, state.buffer, key)
    if not isinstance(result, Taken):
        return state.typed(result.buffer, result.message)
    number = int(result.value)
    if not 1 <= number <= profile.limit(group):
        return state.typed("", f"{NO}: {limits(answer)}")
    used = is_used(profile, state.held, group, number)
    if used and node.only == "free":
        return state.typed("", "in use")
    if not used and node.only == "used":
        return state.typed("", "not in use")
    return _bind(profile, state, node, number)


def _ring(profile: Profile, state: KeypadState, node: ScriptNode, key: str) -> KeypadState:
    keys = profile.scrolling
    assert keys is not None
    numbers = ring(profile, state, node)
    if not numbers or key not in (keys.next, keys.previous, keys.take):
        return state.typed(state.buffer, NO)
    if key == keys.take:
        return _bind(profile, state, node, int(state.buffer))
    step = 1 if key == keys.next else -1
    return state.typed(str(numbers[(numbers.index(int(state.buffer)) + step) % len(numbers)]))


def _list(profile: Profile, state: KeypadState, node: ScriptNode, key: str) -> KeypadState:
    keys = profile.scrolling
    assert keys is not None
    there = entries(profile, state, node)
    at = next(n for n, entry in enumerate(there) if entry.says == state.buffer)
    if key == keys.take:
        return _arrive(profile, state, there[at].go)
    if key not in (keys.next, keys.previous):
        return state.typed(state.buffer, NO)
    return state.typed(there[(at + (1 if key == keys.next else -1)) % len(there)].says)


def _place(profile: Profile, state: KeypadState, node: ScriptNode, key: str) -> KeypadState:
    """Take one key of a place: its digits, then its pair of letters; the last key opens it, or it is said why not."""
    width = profile.place_width
    digits, pair = state.buffer[:width], state.buffer[width:]
    if len(digits) < width:
        if key not in DIGITS:
            return state.typed(state.buffer, NO)
        digits += key
        if len(digits) == width and place_of(profile, node, int(digits)) is None:
            return state.typed("", "no such place")
        return state.typed(digits)
    if key not in node.pair_letters:
        return state.typed(state.buffer, NO)
    if len(pair) + 1 < PAIR:
        return state.typed(state.buffer + key)
    return _opened(profile, state, node, int(digits), pair + key)


def _opened(profile: Profile, state: KeypadState, node: ScriptNode, digits: int, pair: str) -> KeypadState:
    found = place_of(profile, node, digits)
    assert found is not None, "asked when the last digit was typed"
    block, number = found
    target = next((item for item, says in block.fields.items() if says.partition(" ")[0] == pair), None)
    leads = block.leads.get(pair)
    if target is None and leads is None:
        return state.typed("", "no such place")
    group = next(iter(block.fields)).group if number is not None else None
    bound = state._replace(group=group, number=number)
    if group is not None and number is not None and not is_used(profile, state.held, group, number):
        makes_it = target is not None and missing_item(profile, bound._replace(waiting={target: UNKNOWN})) is None
        if not makes_it:
            return state.typed("", "not in use")
    if target is not None and not exists(profile.items[target], value_of(profile, bound, target)):
        return state.typed("", "not there now")
    return _stand(profile, bound, target or leads or "", (), "")


def _bind(profile: Profile, state: KeypadState, node: ScriptNode, number: int) -> KeypadState:
    state = state._replace(group=node.which, number=number, buffer="")
    return _arrive(profile, state, _next(profile, state, node))


def _back(profile: Profile, state: KeypadState, target: str) -> KeypadState:
    """Go back; a number that is asked for again isn't bound any more."""
    trail, origin, near = state.trail, state.node, state.number
    if target == PREVIOUS:
        target = trail[-1] if trail else profile.rest
    trail = trail[: trail.index(target)] if target in trail else ()
    if profile.script[target].kind in (NodeKind.WHICH, NodeKind.PLACE):
        state = state._replace(group=None, number=None)
    return _stand(profile, state, target, trail, "", origin, near)


def _arrive(profile: Profile, state: KeypadState, target: str) -> KeypadState:
    """Go on to a node, past nodes that ask nothing."""
    message, trail, origin, near, came = "", (*state.trail, state.node), state.node, state.number, state
    while True:
        node = profile.script[target]
        match node.kind:
            case NodeKind.KEEP:
                missing = missing_item(profile, state)
                if missing is not None:
                    return came._replace(message=f"needs {missing.rpartition('/')[2].replace('-', ' ')}")
                state = kept(profile, state)
                message, target = "kept", _next(profile, state, node)
                continue
            case NodeKind.FORGET:
                message = f"{node.forget} {number_text(profile, node.forget or '', state.number)} out"
                state, target = forgotten(state, node.forget or ""), _next(profile, state, node)
                continue
            case NodeKind.WHICH if node.unless_known and state.number is not None:
                target = _next(profile, state, node)
                continue
            case NodeKind.PLACE:
                state = state._replace(group=None, number=None)
            case NodeKind.WHICH if state.number is not None and origin != target:
                near = state.number
        return _stand(profile, state, target, trail, message, origin, near)


def _stand(
    profile: Profile,
    state: KeypadState,
    target: str,
    trail: tuple[str, ...],
    message: str,
    origin: str = "",
    near: int | None = None,
) -> KeypadState:
    """Go to a question, a list or a ring; a list starts at the entry for `origin`, a ring at the number `near`."""
    node = profile.script[target]
    if node.kind is NodeKind.REST:
        return KeypadState(target, state.held, {}, message=message)
    if node.starts_afresh:
        state = KeypadState(target, state.held, {})
        trail = trail if node.back == PREVIOUS else ()
    state = state._replace(node=target, buffer="", message=message, trail=trail)
    return state._replace(buffer=_start(profile, state, node, origin, near))


def _start(profile: Profile, state: KeypadState, node: ScriptNode, origin: str = "", near: int | None = None) -> str:
    if node.kind is NodeKind.LIST:
        there = entries(profile, state, node)
        return next((entry.says for entry in there if entry.go == origin), there[0].says)
    answer = answer_at(profile, node)
    if node.kind is NodeKind.WHICH and answer is not None and answer.style is Style.SCROLL:
        numbers = ring(profile, state, node)
        return str(next((number for number in numbers if number == near), numbers[0] if numbers else ""))
    if node.ask is None:
        return ""
    assert answer is not None
    return STYLES[answer.style].start(answer, present_value(profile, state, node.ask))


def _tapped(profile: Profile, node: ScriptNode) -> bool:
    answer = answer_at(profile, node)
    return answer is not None and node.ask is not None and answer.style is Style.TAP


def _typed_into(profile: Profile, node: ScriptNode) -> bool:
    """Return whether a node's buffer was typed, so that `back` wipes it first; a choice that is offered wasn't."""
    answer = answer_at(profile, node)
    return answer is not None and answer.style not in (Style.OFFER, Style.SCROLL, Style.WHEEL)


def _next(profile: Profile, state: KeypadState, node: ScriptNode) -> str:
    about = node.ask or node.trip or Item(f"{node.which}/*/?" if node.which else "?")
    target = node.next(value_of(profile, state, about))
    assert target is not None, f"{state.node} leads nowhere; the profile's reader refuses such a node"
    return target
