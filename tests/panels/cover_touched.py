"""Which points of a cover list some presses touch."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tests.panels import cover_styles
from tests.panels.cover import sort_of
from zonewright.entry.keypad.standing import HEARD, KeypadState, answer_at, entries, is_used, ring, value_of
from zonewright.entry.keypad.styles import NO
from zonewright.entry.sheets.transcript import KeyedPress
from zonewright.panel.legal import exists
from zonewright.panel.profile import PREVIOUS, Answer, NodeKind, Profile, ScriptNode, Style
from zonewright.panel.programme import Item, item_of


def touched(profile: Profile, presses: Iterable[KeyedPress]) -> set[str]:
    """Return the points that these presses touch."""
    points: set[str] = set()
    typed_digits = ""
    for press in presses:
        before, after = press.before, press.after
        name, node = before.node, profile.script[before.node]
        points |= {f"{before.node}: met", f"{after.node}: met"}
        if press.key == "wait":
            points |= {f"time-out with {'answers' if before.waiting else 'nothing'} waiting"}
            points |= {f"time-out at {sort_of(profile, node)}"}
            if node.kind is NodeKind.REST and before.buffer:
                points.add(f"{name}: way in forgotten")
            continue
        if press.key.isdigit():
            typed_digits = typed_digits + press.key if before.buffer else press.key
        points |= {f"{name}: {point}" for point in _at_node(profile, press, typed_digits)}
        points |= {f"{after.node}: {point}" for point in _shown(profile, press)}
        points |= set(_passed(profile, press))
        points |= set(_changed(profile, press))
    return points


def _at_node(profile: Profile, press: KeyedPress, digits: str) -> Iterator[str]:
    before, after, key = press.before, press.after, press.key
    node = profile.script[before.node]
    if after.message == NO and after.node == before.node:
        yield "wrong key"
    if key == profile.wipe and before.buffer and after.node == before.node:
        yield "wiped"
    goes_back = (before.trail[-1:] or ("",))[0] if node.back == PREVIOUS else node.back
    if key == profile.back and after.node == goes_back:
        yield "back"
    if key == profile.back and after.node == before.node and before.buffer and not after.message:
        yield "back with something typed"
    answer = answer_at(profile, node)
    match node.kind:
        case NodeKind.REST:
            yield from _at_rest(node, press)
        case NodeKind.CHOOSE if key in (node.choose or {}):
            yield key
        case NodeKind.TRIP if key.startswith("trip "):
            yield "heard" if after.buffer == HEARD else "refused"
        case NodeKind.LIST:
            yield from _at_list(profile, press)
        case NodeKind.PLACE:
            yield from _at_place(profile, press)
        case NodeKind.WHICH if answer is not None and answer.style is Style.SCROLL:
            yield from _at_ring(profile, press)
        case NodeKind.ASK | NodeKind.WHICH | NodeKind.CODE:
            assert answer is not None
            yield from _at_question(profile, press, answer, digits)
        case _:
            pass


def _at_rest(node: ScriptNode, press: KeyedPress) -> Iterator[str]:
    if press.after.node != press.before.node:
        pressed = f"{press.before.buffer} {press.key}"
        yield from (f"way in {keys}" for keys in node.ways_in or {} if pressed.endswith(keys))
    elif press.before.buffer and press.after.message == NO:
        yield "way in broken off"


def _at_question(profile: Profile, press: KeyedPress, answer: Answer, digits: str) -> Iterator[str]:
    before, after = press.before, press.after
    node = profile.script[before.node]
    left = (after.node != before.node or after.buffer == HEARD) and press.key != profile.back
    taken = _taken(before, after, node) if left else None
    key = cover_styles.Key(press.key, before.buffer, after.buffer, after.message, taken)
    yield from cover_styles.touched(answer, key, digits)
    keeper = answer.take or answer.ends_with
    if press.key == keeper and not before.buffer:
        if left:
            yield "takes the one offered" if node.only == "free" else "keeps the present"
        elif after.message == NO:
            yield "nothing there to keep"
    if after.message in ("in use", "not in use"):
        yield after.message


def _taken(before: KeypadState, after: KeypadState, node: ScriptNode) -> str:
    """Return what a question took: it waits, or is held already."""
    if node.ask is None:
        return ""
    group, star, field = f"{node.ask}//".split("/")[:3]
    numbered = star == "*" and before.number is not None
    item = item_of(group, before.number or 0, field) if numbered else Item(node.ask)
    return after.waiting.get(node.ask) or after.held.get(item) or ""


def _at_list(profile: Profile, press: KeyedPress) -> Iterator[str]:
    keys, before, after = profile.scrolling, press.before, press.after
    assert keys is not None
    there = entries(profile, before, profile.script[before.node])
    if press.key == keys.take:
        yield f"opens {before.buffer}"
    if press.key == keys.next and before.buffer == there[-1].says:
        yield "round past the last"
    if press.key == keys.previous and before.buffer == there[0].says and after.node == before.node:
        yield "round before the first"


def _at_ring(profile: Profile, press: KeyedPress) -> Iterator[str]:
    keys, before = profile.scrolling, press.before
    assert keys is not None
    node = profile.script[before.node]
    numbers = ring(profile, before, node)
    if not numbers:
        yield "none"
        return
    if press.key == keys.take:
        used = is_used(profile, before.held, node.which or "", int(before.buffer))
        yield "takes one in use" if used else "takes a free one"
    if press.key == keys.next and int(before.buffer) == numbers[-1]:
        yield "round past the last"
    if press.key == keys.previous and int(before.buffer) == numbers[0]:
        yield "round before the first"


def _at_place(profile: Profile, press: KeyedPress) -> Iterator[str]:
    before, after = press.before, press.after
    node, width = profile.script[before.node], profile.place_width
    if after.message == "no such place":
        yield f"no such place by its {'letters' if len(before.buffer) >= width else 'digits'}"
    if len(before.buffer) <= width or after.message == NO:
        return
    number, pair = int(before.buffer[:width]), before.buffer[width:] + press.key
    for block in node.place or ():
        first = next(iter(block.fields))
        group = first.partition("/")[0] if "/*/" in first else None
        if not block.first <= number < block.first + (profile.limit(group) if group else 1):
            continue
        says = {text.partition(" ")[0]: text for text in block.fields.values()}
        if after.message == "not there now":
            yield from (f"not there now {item}" for item, text in block.fields.items() if text.startswith(pair))
        elif after.message == "not in use":
            yield f"not in use {group}"
        elif after.node != before.node and press.key != profile.back:
            yield f"opens {block.first} {says.get(pair, pair)}"
            if group is not None:
                yield f"number {number - block.first + 1} of {group}"


def _shown(profile: Profile, press: KeyedPress) -> Iterator[str]:
    """Yield what the state after a key shows: a list's conditional entries, and the entry come back to."""
    after = press.after
    node = profile.script[after.node]
    if node.kind is not NodeKind.LIST:
        return
    there = {entry.says for entry in entries(profile, after, node)}
    for entry in node.list_ or ():
        if entry.when:
            yield f"{'with' if entry.says in there else 'without'} {entry.says}"
        if entry.go == press.before.node and entry.says == after.buffer:
            yield f"comes back to {entry.says}"


def _passed(profile: Profile, press: KeyedPress) -> Iterator[str]:
    """Yield the forks taken, the keeps and takings out passed, and the conditional items asked on the way."""
    name, after = press.before.node, press.after
    if press.key == profile.back:
        return
    target = _chosen(profile, press)
    if target is not None and profile.script[target].kind is NodeKind.KEEP:
        yield f"{target}: {'kept' if after.message == 'kept' else after.message}"
    if target is not None and profile.script[target].kind is NodeKind.FORGET:
        yield f"{target}: out"
    if after.node == name:
        return
    ask = profile.script[after.node].ask
    if ask is not None and profile.items[ask].when and exists(profile.items[ask], value_of(profile, after, ask)):
        yield f"{ask}: asked"
    for _ in range(4):
        node = profile.script[name]
        if not node.then:
            return
        for fork in node.then:
            if fork.go == after.node or profile.script[fork.go].kind in (NodeKind.KEEP, NodeKind.WHICH):
                yield f"{name}: goes on to {fork.go}"
        following = [fork.go for fork in node.then if profile.script[fork.go].kind is NodeKind.KEEP]
        if not following:
            break
        name = following[0]


def _chosen(profile: Profile, press: KeyedPress) -> str | None:
    """Return the node to which a key of a choice or a list leads."""
    node = profile.script[press.before.node]
    if node.kind is NodeKind.LIST and profile.scrolling is not None and press.key == profile.scrolling.take:
        return next(entry.go for entry in node.list_ or () if entry.says == press.before.buffer)
    return (node.choose or {}).get(press.key)


def _changed(profile: Profile, press: KeyedPress) -> Iterator[str]:
    """Yield the conditional items that a keep took away or brought back."""
    before, after = press.before.held, press.after.held
    if after is before:
        return
    for held, value in after.items():
        item = held.pattern
        rule = profile.items[Item(item)]
        was = before.get(held, rule.otherwise)
        if rule.when and value != was and value == rule.otherwise:
            yield f"{item}: vanishes when kept"
        if rule.when and value != was and was == rule.otherwise and value == rule.default:
            yield f"{item}: comes back as at first"
