"""The virtual keypad: the only interpreter of a panel's script.

It holds what the panel holds now, shows a display, takes a key. Sheets are written by driving it and replayed on it;
people practise on it.

Rules of this file:
1. It has no clock: the time-out is an event (`idle`), a tripped device is an event (`heard`).
2. It is total: a key without meaning leaves everything as it was, and the display says `no`.
3. What was answered waits; what was kept is held. The display reads what waits first. Keeping merges, then sets each
   item that no longer exists to its `otherwise`.
4. A state is a value: pressing returns a new one, and a search may keep thousands.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import NamedTuple

from zonewright.entry.styles import DIGITS, NO, STYLES, Digits, Taken
from zonewright.panel.answers import limits, typed
from zonewright.panel.legal import exists
from zonewright.panel.profile import PREVIOUS, Answer, Node, NodeKind, Profile
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value, item_of

Display = tuple[str, ...]
HEARD = "heard"  # the buffer of a trip node once its device was heard and all was kept


class State(NamedTuple):
    """Where the keypad stands. `waiting` is keyed by item with `*` for a number that may not be bound yet.

    A named tuple, since searches make them by the hundred thousand.
    """

    node: str
    held: Mapping[Item, Value]
    waiting: Mapping[str, Value]
    group: str | None = None  # the group whose number is bound
    number: int | None = None
    buffer: str = ""
    message: str = ""
    trail: tuple[str, ...] = ()  # the questions met before this one, for `back: previous`

    @property
    def key(self) -> tuple[object, ...]:
        """Return what tells two states of one search apart, `held` and the message aside."""
        return (self.node, self.number, self.buffer, frozenset(self.waiting.items()), self.trail)


def at_rest(profile: Profile, programme: Programme) -> State:
    """Return a keypad at rest whose panel holds this Programme."""
    return State(profile.rest, programme.values, {})


def programme_of(profile: Profile, state: State) -> Programme:
    """Return what the panel holds now."""
    return Programme(profile.panel, state.held)


def press(profile: Profile, state: State, key: str) -> State:
    """Return the state after one key."""
    state = state._replace(message="") if state.message else state
    node = profile.script[state.node]
    match node.kind:
        case NodeKind.REST:
            return _way_in(profile, state, node, key)
        case NodeKind.CHOOSE:
            if key in (node.choose or {}):
                return _arrive(profile, state, (node.choose or {})[key])
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
                return _arrive(profile, state, _next(state, node))
        case NodeKind.TRIP:
            if state.buffer == HEARD:
                return _arrive(profile, state, _next(state, node)) if key == "yes" else state._replace(message=NO)
        case NodeKind.KEEP | NodeKind.FORGET:
            raise AssertionError(f"{state.node} is passed through, never stood at")
    if key == profile.back and node.back is not None:
        if state.buffer and _typed_into(profile, node):
            return state._replace(buffer="")
        return _back(profile, state, node.back)
    return state._replace(message=NO)


def heard(profile: Profile, state: State, number: str) -> State:
    """Return the state after a device with this number was tripped within hearing."""
    node = profile.script[state.node]
    if node.kind is not NodeKind.TRIP or state.buffer == HEARD or state.number is None or node.trip is None:
        return state
    group = node.trip.partition("/")[0]
    waiting = {**state.waiting, node.trip: Value(number)}
    fields = _merged(profile, state.held, waiting, group, state.number)
    other = _owner(profile, state.held, group, state.number, fields)
    if other is not None:
        return state._replace(message=f"is {group} {other:03}")
    held = dict(state.held)
    held.update({item_of(group, state.number, field): value for field, value in fields.items()})
    held.update({Item(item): value for item, value in waiting.items() if "*" not in item})
    return state._replace(held=held, waiting={}, buffer=HEARD, message="")


def idle(profile: Profile, state: State) -> State:
    """Return the state after no key for the script's time-out."""
    if state.node == profile.rest:
        return state._replace(buffer="")
    return State(profile.rest, state.held, {}, message="nothing kept")


def display(profile: Profile, state: State) -> Display:
    """Return what the display shows, each line cut at its width."""
    node = profile.script[state.node]
    lines = [node.says, _answer_line(profile, state, node)]
    if state.buffer == HEARD:
        lines = _said_back(state, node)
    if state.message:
        lines[1:] = [state.message]
    shown = (*lines, *[""] * profile.display.lines)[: profile.display.lines]
    return tuple(line[: profile.display.columns].rstrip() for line in shown)


def present_value(profile: Profile, state: State, item: str) -> Value | None:
    """Return what a question of the script shows as its present answer: what waits, else what is held.

    None where nothing was answered yet; what vanished at a keep, and holds its `otherwise`, was never answered. Where
    nobody knows whether it exists, nobody knows what it shows.
    """
    waiting = state.waiting.get(item)
    if waiting is not None:
        return waiting
    held = _held(state, item)
    rule = profile.items[item]
    if not rule.when:
        return held
    start = item.rpartition("/")[0]
    beside = [_held(state, f"{start}/{when.field}") for when in rule.when]
    if UNKNOWN in beside:
        return UNKNOWN if held == rule.otherwise else held
    return held if all(when.met_by(value) for when, value in zip(rule.when, beside, strict=True)) else None


def _held(state: State, item: str) -> Value | None:
    """Return what the panel holds for an item of the script, `*` standing for the bound number."""
    if "/*/" not in item:
        return state.held.get(Item(item))
    group, _, field = item.split("/")
    if state.group != group or state.number is None:
        return None
    return state.held.get(item_of(group, state.number, field))


def value_of(state: State, about: str) -> Callable[[str], str | None]:
    """Return a look-up of the fields beside an item of the script, as they stand for the keypad now."""
    start = about.rpartition("/")[0]
    return lambda field: state.waiting.get(f"{start}/{field}") or _held(state, f"{start}/{field}")


def answer_at(profile: Profile, node: Node) -> Answer | None:
    """Return how the question of a node is answered; None where none is asked."""
    if node.ask is not None:
        return profile.answers[profile.items[node.ask].how or ""]
    name = node.code or node.how
    return profile.answers[name] if name is not None else None


def free_number(profile: Profile, state: State, group: str) -> int | None:
    """Return the lowest number of a group that isn't in use; None when all are."""
    items = profile.numbered(group, profile.groups[group][0])
    return next((number for number, item in enumerate(items, 1) if item not in state.held), None)


def is_used(profile: Profile, held: Mapping[Item, Value], group: str, number: int) -> bool:
    """Return whether a number of a group is in use; one that is holds every field of the group."""
    first = profile.groups[group][0]
    return item_of(group, number, first) in held


def _way_in(profile: Profile, state: State, node: Node, key: str) -> State:
    """Take a key at rest; only the last ones count, so what was pressed before a way in doesn't matter."""
    ways = node.ways_in or {}
    pressed = [*state.buffer.split(), key]
    for start in range(len(pressed)):
        last = " ".join(pressed[start:])
        if last in ways:
            return _arrive(profile, state, ways[last])
        if any(way.startswith(f"{last} ") for way in ways):
            return state._replace(buffer=last)
    return state._replace(buffer="", message=NO)


def _ask(profile: Profile, state: State, node: Node, key: str) -> State:
    answer = answer_at(profile, node)
    assert answer is not None
    assert node.ask is not None
    result = STYLES[answer.style].press(answer, present_value(profile, state, node.ask), state.buffer, key)
    if not isinstance(result, Taken):
        return state._replace(buffer=result.buffer, message=result.message)
    state = state._replace(waiting={**state.waiting, node.ask: Value(result.value)})
    return _arrive(profile, state, _next(state, node))


def _code(profile: Profile, state: State, node: Node, key: str) -> State:
    answer = answer_at(profile, node)
    assert answer is not None
    result = STYLES[answer.style].press(answer, None, state.buffer, key)
    if isinstance(result, Taken):
        return _arrive(profile, state, _next(state, node))
    return state._replace(buffer=result.buffer, message=result.message)


def _which(profile: Profile, state: State, node: Node, key: str) -> State:
    answer, group = answer_at(profile, node), node.which or ""
    assert answer is not None
    if key == "yes" and not state.buffer and node.only == "free":
        free = free_number(profile, state, group)
        return state._replace(message=NO) if free is None else _bind(profile, state, node, free)
    if key not in DIGITS:
        return state._replace(message=NO)
    result = Digits().press(answer, None, state.buffer, key)
    if not isinstance(result, Taken):
        return state._replace(buffer=result.buffer, message=result.message)
    number = int(result.value)
    if not 1 <= number <= profile.limit(group):
        return state._replace(buffer="", message=f"{NO}: {limits(answer)}")
    used = is_used(profile, state.held, group, number)
    if used and node.only == "free":
        return state._replace(buffer="", message="in use")
    if not used and node.only == "used":
        return state._replace(buffer="", message="not in use")
    return _bind(profile, state, node, number)


def _bind(profile: Profile, state: State, node: Node, number: int) -> State:
    state = state._replace(group=node.which, number=number, buffer="")
    return _arrive(profile, state, _next(state, node))


def _back(profile: Profile, state: State, target: str) -> State:
    """Go back; a number that is asked for again isn't bound any more."""
    trail = state.trail
    if target == PREVIOUS:
        target = trail[-1] if trail else profile.rest
    trail = trail[: trail.index(target)] if target in trail else ()
    if profile.script[target].kind is NodeKind.WHICH:
        state = state._replace(group=None, number=None)
    return _stand(profile, state, target, trail, "")


def _arrive(profile: Profile, state: State, target: str) -> State:
    """Go on to a node; those that ask nothing are passed through."""
    message, trail = "", (*state.trail, state.node)
    while True:
        node = profile.script[target]
        match node.kind:
            case NodeKind.KEEP:
                state = _kept(profile, state)
                message, target = "kept", _next(state, node)
                continue
            case NodeKind.FORGET:
                message = f"{node.forget} {_number_text(profile, node.forget or '', state.number)} out"
                state, target = _forgotten(state, node.forget or ""), _next(state, node)
                continue
            case NodeKind.WHICH if node.unless_known and state.number is not None:
                target = _next(state, node)
                continue
        return _stand(profile, state, target, trail, message)


def _stand(profile: Profile, state: State, target: str, trail: tuple[str, ...], message: str) -> State:
    """Meet a question."""
    node = profile.script[target]
    if node.kind is NodeKind.REST:
        return State(target, state.held, {}, message=message)
    if node.starts_afresh:
        state = State(target, state.held, {})
        trail = trail if node.back == PREVIOUS else ()
    state = state._replace(node=target, buffer="", message=message, trail=trail)
    return state._replace(buffer=_start(profile, state, node))


def _start(profile: Profile, state: State, node: Node) -> str:
    if node.ask is None:
        return ""
    answer = answer_at(profile, node)
    assert answer is not None
    return STYLES[answer.style].start(answer, present_value(profile, state, node.ask))


def _typed_into(profile: Profile, node: Node) -> bool:
    """Return whether a node's buffer is something typed, which `back` wipes first; an offer shown isn't."""
    answer = answer_at(profile, node)
    return answer is not None and not answer.choices


def _next(state: State, node: Node) -> str:
    about = node.ask or node.trip or (f"{node.which}/*/?" if node.which else "?")
    target = node.next(value_of(state, about))
    assert target is not None, f"{state.node} leads nowhere; the profile's reader lets none such through"
    return target


def _kept(profile: Profile, state: State) -> State:
    held = dict(state.held)
    for item, value in state.waiting.items():
        if "*" not in item:
            held[Item(item)] = value
    for start in {item.rpartition("/")[0] for item in state.waiting if "*" not in item}:
        _settle_single(profile, held, start)
    if state.group is not None and state.number is not None:
        fields = _merged(profile, state.held, state.waiting, state.group, state.number)
        held.update({item_of(state.group, state.number, field): value for field, value in fields.items()})
    return State(state.node, held, {})


def _settle_single(profile: Profile, held: dict[Item, Value], start: str) -> None:
    for pattern, rule in profile.items.items():
        if pattern.rpartition("/")[0] != start or rule.otherwise is None:
            continue
        if not exists(rule, lambda field: held.get(Item(f"{start}/{field}"))):
            held[Item(pattern)] = Value(rule.otherwise)


def _merged(
    profile: Profile, held: Mapping[Item, Value], waiting: Mapping[str, Value], group: str, number: int
) -> dict[str, Value]:
    """Return the fields of one number after keeping: what waits over what is held, what doesn't exist reset."""
    fields: dict[str, Value] = {}
    for pattern, rule in profile.items.items():
        if not pattern.startswith(f"{group}/*/"):
            continue
        field = pattern.rpartition("/")[2]
        value = waiting.get(pattern) or held.get(item_of(group, number, field))
        if rule.when and not exists(rule, fields.get):
            value = Value(rule.otherwise or "")
        if value is not None:
            fields[field] = value
    return fields


def _forgotten(state: State, group: str) -> State:
    start = f"{group}/{state.number}/"
    held = {item: value for item, value in state.held.items() if not item.startswith(start)}
    return State(state.node, held, {})


def _owner(
    profile: Profile, held: Mapping[Item, Value], group: str, number: int, fields: Mapping[str, Value]
) -> int | None:
    """Return the other number that has learnt the same device by the same input."""
    learnt, by = fields["number"], fields.get("input")
    rule = profile.items.get(f"{group}/*/input")
    only = rule.otherwise if rule is not None else None
    for other, item in enumerate(profile.numbered(group, "number"), 1):
        if held.get(item) == learnt and other != number:
            theirs = held.get(item_of(group, other, "input"))
            if theirs == by or only in (theirs, by):
                return other
    return None


def _answer_line(profile: Profile, state: State, node: Node) -> str:
    answer = answer_at(profile, node)
    match node.kind:
        case NodeKind.ASK:
            assert answer is not None
            assert node.ask is not None
            return STYLES[answer.style].show(answer, present_value(profile, state, node.ask), state.buffer)
        case NodeKind.CODE:
            assert answer is not None
            return STYLES[answer.style].show(answer, None, state.buffer)
        case NodeKind.WHICH:
            assert answer is not None
            free = free_number(profile, state, node.which or "") if node.only == "free" and not state.buffer else None
            if free is not None:
                return f"free {typed(answer, str(free))}"
            return Digits().show(answer, None, state.buffer)
        case NodeKind.SHOW:
            return state.held.get(Item(node.show or ""), Value(""))
        case NodeKind.TRIP:
            return "waiting"
        case _:
            return ""


def _said_back(state: State, node: Node) -> list[str]:
    group = (node.trip or "").partition("/")[0]
    said = {field: _held(state, f"{group}/*/{field}") or "" for field in node.reads_back}
    if "zone" in said:
        said["zone"] = f"{group} {state.number:03}"
    first = " ".join(said[field] for field in ("number", "zone") if field in said)
    return [first, " ".join(value for field, value in said.items() if field not in ("number", "zone"))]


def _number_text(profile: Profile, group: str, number: int | None) -> str:
    return str(number).zfill(len(str(profile.limit(group))))
