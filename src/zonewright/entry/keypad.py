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

from zonewright.entry.answering import BLANK, UNSET
from zonewright.entry.styles import DIGITS, NO, PAUSE, STYLES, Digits, Taken
from zonewright.panel.answers import limits, typed
from zonewright.panel.legal import exists
from zonewright.panel.profile import (
    PREVIOUS,
    Address,
    Answer,
    Entry,
    ItemRule,
    Node,
    NodeKind,
    Profile,
    Style,
)
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value, item_of

Display = tuple[str, ...]
PAIR = 2  # letters of a place
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
            raise AssertionError(f"{state.node} is passed through, never stood at")
    if key == profile.back and node.back is not None:
        if state.buffer and profile.wipe is None and _typed_into(profile, node):
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
    if node.keeps is None:
        return state._replace(waiting=waiting, buffer=HEARD, message="")
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
    says = node.says
    if node.numbered_from is not None:
        says = f"{node.numbered_from + (state.number or 0):03} {says}"
    lines = [says, *_answer_lines(profile, state, node)]
    if state.buffer == HEARD:
        lines = _said_back(state, node)
    if state.message:
        above = max(1, profile.display.lines - 1)  # the message takes the last line, and on two lines the answer's
        lines = [*[*lines, "", ""][:above], state.message]
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
    default = Value(rule.default) if rule.default is not None else None
    if not rule.when:
        return default if held is None else held
    start = item.rpartition("/")[0]
    if held is None:
        return default
    beside = [_held(state, f"{start}/{when.field}") for when in rule.when]
    if UNKNOWN in beside:
        return UNKNOWN if held == rule.otherwise else held
    return held if all(when.met_by(value) for when, value in zip(rule.when, beside, strict=True)) else default


def _held(state: State, item: str) -> Value | None:
    """Return what the panel holds for an item of the script, `*` standing for the bound number."""
    if "/*/" not in item:
        return state.held.get(Item(item))
    group, _, field = item.split("/")
    if state.group != group or state.number is None:
        return None
    return state.held.get(item_of(group, state.number, field))


def value_of(profile: Profile, state: State, about: str) -> Callable[[str], str | None]:
    """Return a look-up of the fields beside an item of the script, as they stand for the keypad now."""
    start = about.rpartition("/")[0]

    def look(field: str) -> str | None:
        item = f"{start}/{field}"
        if item not in profile.items:
            return None
        return state.waiting.get(item) or _held(state, item) or profile.items[item].default

    return look


def answer_at(profile: Profile, node: Node) -> Answer | None:
    """Return how the question of a node is answered; None where none is asked."""
    if node.ask is not None:
        return profile.answers[profile.items[node.ask].how or ""]
    name = node.code or node.how
    if node.place is not None:
        return None
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
    return _answered(profile, state, node, Value(result.value))


def _answered(profile: Profile, state: State, node: Node, value: Value) -> State:
    """Let an answer wait, with what it resets; where the question keeps, keep at once."""
    item = node.ask or ""
    present = present_value(profile, state, item)
    waiting = {**state.waiting, item: value, **_reset(profile, item, present, value)}
    state = state._replace(waiting=waiting)
    if node.keeps is not None:
        bound = (state.group, state.number)
        kept = state if present == value and _all_held(state) else _kept(profile, state)
        state = kept._replace(waiting={}, group=bound[0], number=bound[1], node=state.node)
    return _arrive(profile, state, _next(profile, state, node))


def _all_held(state: State) -> bool:
    return all(_held(state, item) == value for item, value in state.waiting.items())


def _reset(profile: Profile, item: str, present: Value | None, value: Value) -> dict[str, Value]:
    """Return what falls back because an answer changed; unknown where nobody knows whether it changed.

    Only where the profile states it (`resets`), and after an unknown answer whatever hangs on it.
    """
    if present == value or present is None:
        return {}
    start = item.rpartition("/")[0]
    result: dict[str, Value] = {}
    for field in profile.items[item].resets:
        rule = profile.items[f"{start}/{field}"]
        fallen = UNKNOWN if present == UNKNOWN else rule.default
        if fallen is not None:
            result[f"{start}/{field}"] = Value(fallen)
    if present == UNKNOWN:
        for other in profile.hanging_on(item):
            result.setdefault(other, UNKNOWN)
    return result


def _code(profile: Profile, state: State, node: Node, key: str) -> State:
    answer = answer_at(profile, node)
    assert answer is not None
    result = STYLES[answer.style].press(answer, None, state.buffer, key)
    if isinstance(result, Taken):
        return _arrive(profile, state, _next(profile, state, node))
    return state._replace(buffer=result.buffer, message=result.message)


def _which(profile: Profile, state: State, node: Node, key: str) -> State:
    answer, group = answer_at(profile, node), node.which or ""
    assert answer is not None
    if answer.style is Style.SCROLL:
        return _ring(profile, state, node, key)
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


def ring(profile: Profile, state: State, node: Node) -> tuple[int, ...]:
    """Return the numbers that a ring offers, ascending."""
    group = node.which or ""
    if node.only == "any":
        return tuple(range(1, profile.limit(group) + 1))
    items = profile.numbered(group, profile.groups[group][0])
    wanted = node.only == "used"
    return tuple(number for number, item in enumerate(items, 1) if (item in state.held) == wanted)


def _ring(profile: Profile, state: State, node: Node, key: str) -> State:
    keys = profile.scrolling
    assert keys is not None
    numbers = ring(profile, state, node)
    if not numbers or key not in (keys.next, keys.previous, keys.take):
        return state._replace(message=NO)
    if key == keys.take:
        return _bind(profile, state, node, int(state.buffer))
    step = 1 if key == keys.next else -1
    return state._replace(buffer=str(numbers[(numbers.index(int(state.buffer)) + step) % len(numbers)]))


def entries(profile: Profile, state: State, node: Node) -> tuple[Entry, ...]:
    """Return the entries of a list that are there now, in order."""
    return tuple(entry for entry in node.list_ or () if not entry.when or _is_there(profile, state, entry))


def _is_there(profile: Profile, state: State, entry: Entry) -> bool:
    look = value_of(profile, state, entry.echo or f"{state.group}/*/?")
    return all(when.met_by(look(when.field)) for when in entry.when)


def _list(profile: Profile, state: State, node: Node, key: str) -> State:
    keys = profile.scrolling
    assert keys is not None
    there = entries(profile, state, node)
    at = next(n for n, entry in enumerate(there) if entry.says == state.buffer)
    if key == keys.take:
        return _arrive(profile, state, there[at].go)
    if key not in (keys.next, keys.previous):
        return state._replace(message=NO)
    return state._replace(buffer=there[(at + (1 if key == keys.next else -1)) % len(there)].says)


def place_of(profile: Profile, node: Node, number: int) -> tuple[Address, int | None] | None:
    """Return the block and the thing's number that a typed group number opens; None where there is none."""
    for block in node.place or ():
        first = next(iter(block.fields))
        if "/*/" not in first:
            if number == block.first:
                return block, None
            continue
        if 0 <= number - block.first < profile.limit(first.partition("/")[0]):
            return block, number - block.first + 1
    return None


def address(profile: Profile, node: Node, item: str, number: int | None) -> tuple[str, ...] | None:
    """Return the keys that open the place of an item; None where the node has no such place."""
    for block in node.place or ():
        if item in block.fields:
            typed_number = block.first + (number - 1 if number is not None else 0)
            return (*str(typed_number).zfill(profile.place_width), *block.fields[item].partition(" ")[0])
    return None


def _place(profile: Profile, state: State, node: Node, key: str) -> State:
    """Take one key of a place: its digits, then its pair of letters; the last key opens it or says why not."""
    width = profile.place_width
    digits, pair = state.buffer[:width], state.buffer[width:]
    if len(digits) < width:
        if key not in DIGITS:
            return state._replace(message=NO)
        digits += key
        if len(digits) == width and place_of(profile, node, int(digits)) is None:
            return state._replace(buffer="", message="no such place")
        return state._replace(buffer=digits)
    if key not in node.pair_letters:
        return state._replace(message=NO)
    if len(pair) + 1 < PAIR:
        return state._replace(buffer=state.buffer + key)
    return _opened(profile, state, node, int(digits), pair + key)


def _opened(profile: Profile, state: State, node: Node, digits: int, pair: str) -> State:
    found = place_of(profile, node, digits)
    assert found is not None, "asked when the last digit was typed"
    block, number = found
    target = next((item for item, says in block.fields.items() if says.partition(" ")[0] == pair), None)
    leads = block.leads.get(pair)
    if target is None and leads is None:
        return state._replace(buffer="", message="no such place")
    group = next(iter(block.fields)).partition("/")[0] if number is not None else None
    bound = state._replace(group=group, number=number)
    if group is not None and number is not None and not is_used(profile, state.held, group, number):
        makes_it = target is not None and _missing(profile, bound._replace(waiting={target: UNKNOWN})) is None
        if not makes_it:
            return state._replace(buffer="", message="not in use")
    if target is not None and not exists(profile.items[target], value_of(profile, bound, target)):
        return state._replace(buffer="", message="not there now")
    return _stand(profile, bound, target or leads or "", (), "")


def _bind(profile: Profile, state: State, node: Node, number: int) -> State:
    state = state._replace(group=node.which, number=number, buffer="")
    return _arrive(profile, state, _next(profile, state, node))


def _back(profile: Profile, state: State, target: str) -> State:
    """Go back; a number that is asked for again isn't bound any more."""
    trail, origin, near = state.trail, state.node, state.number
    if target == PREVIOUS:
        target = trail[-1] if trail else profile.rest
    trail = trail[: trail.index(target)] if target in trail else ()
    if profile.script[target].kind in (NodeKind.WHICH, NodeKind.PLACE):
        state = state._replace(group=None, number=None)
    return _stand(profile, state, target, trail, "", origin, near)


def _arrive(profile: Profile, state: State, target: str) -> State:
    """Go on to a node; those that ask nothing are passed through."""
    message, trail, origin, near, came = "", (*state.trail, state.node), state.node, state.number, state
    while True:
        node = profile.script[target]
        match node.kind:
            case NodeKind.KEEP:
                missing = _missing(profile, state)
                if missing is not None:
                    return came._replace(message=f"needs {missing.rpartition('/')[2].replace('-', ' ')}")
                state = _kept(profile, state)
                message, target = "kept", _next(profile, state, node)
                continue
            case NodeKind.FORGET:
                message = f"{node.forget} {_number_text(profile, node.forget or '', state.number)} out"
                state, target = _forgotten(state, node.forget or ""), _next(profile, state, node)
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
    state: State,
    target: str,
    trail: tuple[str, ...],
    message: str,
    origin: str = "",
    near: int | None = None,
) -> State:
    """Meet a question, a list or a ring; those are met where one comes from, `origin` and the number `near`."""
    node = profile.script[target]
    if node.kind is NodeKind.REST:
        return State(target, state.held, {}, message=message)
    if node.starts_afresh:
        state = State(target, state.held, {})
        trail = trail if node.back == PREVIOUS else ()
    state = state._replace(node=target, buffer="", message=message, trail=trail)
    return state._replace(buffer=_start(profile, state, node, origin, near))


def _start(profile: Profile, state: State, node: Node, origin: str = "", near: int | None = None) -> str:
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


def _tapped(profile: Profile, node: Node) -> bool:
    answer = answer_at(profile, node)
    return answer is not None and node.ask is not None and answer.style is Style.TAP


def _typed_into(profile: Profile, node: Node) -> bool:
    """Return whether a node's buffer is something typed, which `back` wipes first; an offer shown isn't."""
    answer = answer_at(profile, node)
    return answer is not None and answer.style not in (Style.OFFER, Style.SCROLL, Style.WHEEL)


def _next(profile: Profile, state: State, node: Node) -> str:
    about = node.ask or node.trip or (f"{node.which}/*/?" if node.which else "?")
    target = node.next(value_of(profile, state, about))
    assert target is not None, f"{state.node} leads nowhere; the profile's reader lets none such through"
    return target


def _kept(profile: Profile, state: State) -> State:
    held = dict(state.held)
    for item, value in state.waiting.items():
        if "*" not in item:
            held[Item(item)] = value
    for start in {item.rpartition("/")[0] for item in state.waiting if "*" not in item}:
        _settle_single(profile, held, start, state)
    if state.group is not None and state.number is not None and any("*" in item for item in state.waiting):
        fields = _merged(profile, state.held, state.waiting, state.group, state.number)
        held.update({item_of(state.group, state.number, field): value for field, value in fields.items()})
    return State(state.node, held, {})


def _settle_single(profile: Profile, held: dict[Item, Value], start: str, state: State) -> None:
    for pattern, rule in profile.items.items():
        if pattern.rpartition("/")[0] != start or rule.otherwise is None:
            continue
        if not exists(rule, lambda field: held.get(Item(f"{start}/{field}"))):
            held[Item(pattern)] = Value(rule.otherwise)
            continue
        comes = rule.default is not None and pattern not in state.waiting
        if comes and not exists(rule, lambda field: state.held.get(Item(f"{start}/{field}"))):
            held[Item(pattern)] = Value(rule.default or "")


def _merged(
    profile: Profile, held: Mapping[Item, Value], waiting: Mapping[str, Value], group: str, number: int
) -> dict[str, Value]:
    """Return the fields of one number after keeping: what waits over what is held, what doesn't exist reset."""
    fields: dict[str, Value] = {}
    for pattern, rule in profile.items.items():
        if not pattern.startswith(f"{group}/*/"):
            continue
        field = pattern.rpartition("/")[2]
        answered, before = waiting.get(pattern), held.get(item_of(group, number, field))
        value = answered or _as_before(rule, before, held, group, number)
        if rule.when and not exists(rule, fields.get):
            value = UNKNOWN if _cannot_be_told(rule, fields) else Value(rule.otherwise or "")
        if value is not None:
            fields[field] = value
    return fields


def _as_before(
    rule: ItemRule, before: Value | None, held: Mapping[Item, Value], group: str, number: int
) -> Value | None:
    """Return what an unanswered field goes on holding: its value, or its default where it wasn't there before."""
    if rule.default is None:
        return before
    if before is None or (rule.when and not exists(rule, lambda field: held.get(item_of(group, number, field)))):
        return Value(rule.default)
    return before


def _cannot_be_told(rule: ItemRule, fields: Mapping[str, Value]) -> bool:
    return any(fields.get(when.field) == UNKNOWN for when in rule.when)


def _missing(profile: Profile, state: State) -> str | None:
    """Return the first item that a keep would leave without a value; None where it leaves none."""
    if state.group is None or state.number is None or not state.waiting:
        return None
    fields = _merged(profile, state.held, state.waiting, state.group, state.number)
    for field in profile.groups[state.group]:
        if field not in fields:
            return f"{state.group}/*/{field}"
    return None


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


def _answer_lines(profile: Profile, state: State, node: Node) -> list[str]:
    if node.kind is NodeKind.LIST:
        entry = next(entry for entry in node.list_ or () if entry.says == state.buffer)
        return [entry.says, _echo(profile, state, entry)]
    return [_answer_line(profile, state, node)]


def _echo(profile: Profile, state: State, entry: Entry) -> str:
    """Return the value that a list shows beside its entry."""
    if entry.echo is None:
        return ""
    present = present_value(profile, state, entry.echo)
    answer = profile.answers.get(profile.items[entry.echo].how or "")
    if present is None or answer is None or answer.style in (Style.TRIP, Style.SECRET):
        return present or UNSET
    if answer.style is Style.WHEEL:
        return present
    return STYLES[answer.style].show(answer, present, STYLES[answer.style].start(answer, present))


def _place_line(profile: Profile, state: State) -> str:
    digits, pair = state.buffer[: profile.place_width], state.buffer[profile.place_width :]
    return f"{digits.ljust(profile.place_width, BLANK)} {pair.ljust(PAIR, BLANK)}"


def _ring_line(profile: Profile, state: State, node: Node) -> str:
    """Return a number of a ring, with its label where it has one."""
    if not state.buffer:
        return "none"
    group, number = node.which or "", int(state.buffer)
    label = state.held.get(item_of(group, number, "label"), "")
    used = "" if is_used(profile, state.held, group, number) else "free"
    return f"{_number_text(profile, group, number)} {label or used}".rstrip()


def _answer_line(profile: Profile, state: State, node: Node) -> str:
    answer = answer_at(profile, node)
    match node.kind:
        case NodeKind.PLACE:
            return _place_line(profile, state)
        case NodeKind.ASK:
            assert answer is not None
            assert node.ask is not None
            return STYLES[answer.style].show(answer, present_value(profile, state, node.ask), state.buffer)
        case NodeKind.CODE:
            assert answer is not None
            return STYLES[answer.style].show(answer, None, state.buffer)
        case NodeKind.WHICH:
            assert answer is not None
            if answer.style is Style.SCROLL:
                return _ring_line(profile, state, node)
            free = free_number(profile, state, node.which or "") if node.only == "free" and not state.buffer else None
            if free is not None:
                return f"free {typed(answer, str(free))}"
            return Digits().show(answer, None, state.buffer)
        case NodeKind.SHOW:
            return _held(state, node.show or "") or ""
        case NodeKind.TRIP:
            return "waiting"
        case _:
            return ""


def _said_back(state: State, node: Node) -> list[str]:
    group = (node.trip or "").partition("/")[0]
    said = {
        field: state.waiting.get(f"{group}/*/{field}") or _held(state, f"{group}/*/{field}") or ""
        for field in node.reads_back
    }
    if "zone" in said:
        said["zone"] = f"{group} {state.number:03}"
    first = " ".join(said[field] for field in ("number", "zone") if field in said)
    return [first, " ".join(value for field, value in said.items() if field not in ("number", "zone"))]


def _number_text(profile: Profile, group: str, number: int | None) -> str:
    return str(number).zfill(len(str(profile.limit(group))))
