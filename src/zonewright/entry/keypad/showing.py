"""What the keypad's display shows in a state.

Rules of this file:
1. A state in, lines out, each cut at the display's width; no key is known here.
"""

from __future__ import annotations

from zonewright.entry.keypad.answering import BLANK, UNSET
from zonewright.entry.keypad.standing import (
    HEARD,
    PAIR,
    KeypadState,
    answer_at,
    free_number,
    held_value,
    is_used,
    present_value,
)
from zonewright.entry.keypad.styles import STYLES, Digits
from zonewright.panel.answers import typed
from zonewright.panel.profile import (
    ListEntry,
    NodeKind,
    Profile,
    ScriptNode,
    Style,
)
from zonewright.panel.programme import Item, item_of

TWO_LINES = 2
Display = tuple[str, ...]


def display(profile: Profile, state: KeypadState) -> Display:
    """Return what the display shows, each line cut at its width."""
    node = profile.script[state.node]
    says = head(node, state.number)
    lines = [says, *_answer_lines(profile, state, node)]
    if state.buffer == HEARD:  # two lines have no room for the question
        lines = [*([says] if profile.display.lines > TWO_LINES else []), *_said_back(state, node)]
    if state.message:
        above = max(1, profile.display.lines - 1)  # the message takes the last line, and on two lines the answer's
        lines = [*[*lines, "", ""][:above], state.message]
    shown = (*lines, *[""] * profile.display.lines)[: profile.display.lines]
    return tuple(line[: profile.display.columns].rstrip() for line in shown)


def head(node: ScriptNode, number: int | None) -> str:
    """Return what a node says above its answer, uncut, with the bound number first if the node shows it."""
    return node.says if node.numbered_from is None else f"{node.numbered_from + (number or 0):03} {node.says}"


def _answer_lines(profile: Profile, state: KeypadState, node: ScriptNode) -> list[str]:
    if node.kind is NodeKind.LIST:
        entry = next(entry for entry in node.list_ or () if entry.says == state.buffer)
        return [entry.says, _echo(profile, state, entry)]
    return [_answer_line(profile, state, node)]


def _echo(profile: Profile, state: KeypadState, entry: ListEntry) -> str:
    """Return the value that a list shows next to its entry."""
    if entry.echo is None:
        return ""
    present = present_value(profile, state, entry.echo)
    answer = profile.answers.get(profile.items[entry.echo].how or "")
    if present is None or answer is None or answer.style in (Style.TRIP, Style.SECRET):
        return present or UNSET
    if answer.style is Style.WHEEL:
        return present
    return STYLES[answer.style].show(answer, present, STYLES[answer.style].start(answer, present))


def _place_line(profile: Profile, state: KeypadState) -> str:
    digits, pair = state.buffer[: profile.place_width], state.buffer[profile.place_width :]
    return f"{digits.ljust(profile.place_width, BLANK)} {pair.ljust(PAIR, BLANK)}"


def _ring_line(profile: Profile, state: KeypadState, node: ScriptNode) -> str:
    """Return a number of a ring, with its label if it has one."""
    if not state.buffer:
        return "none"
    group, number = node.which or "", int(state.buffer)
    label = state.held.get(item_of(group, number, "label"), "")
    used = "" if is_used(profile, state.held, group, number) else "free"
    return f"{number_text(profile, group, number)} {label or used}".rstrip()


def _answer_line(profile: Profile, state: KeypadState, node: ScriptNode) -> str:
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
            return held_value(state, node.show or Item("")) or ""
        case NodeKind.TRIP:
            return "waiting"
        case NodeKind.REST | NodeKind.LIST | NodeKind.CHOOSE | NodeKind.KEEP | NodeKind.FORGET:
            return ""


def _said_back(state: KeypadState, node: ScriptNode) -> list[str]:
    trip = node.trip or Item("")
    said = {
        field: state.waiting.get(trip.beside(field)) or held_value(state, trip.beside(field)) or ""
        for field in node.reads_back
    }
    if "zone" in said:
        said["zone"] = f"{trip.group} {state.number:03}"
    first = " ".join(said[field] for field in ("number", "zone") if field in said)
    return [first, " ".join(value for field, value in said.items() if field not in ("number", "zone"))]


def number_text(profile: Profile, group: str, number: int | None) -> str:
    """Return a number as wide as the highest of its group."""
    return str(number).zfill(len(str(profile.limit(group))))
