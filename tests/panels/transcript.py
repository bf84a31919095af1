"""Runs hand-written keystroke transcripts: plain files that say which keys show what.

`KEYS -> line one | line two` presses keys (digits and letter keys may be run together) and compares the whole display;
`trip NUMBER`, `wait` (the time-out) and `pause` (which closes a tapped letter) stand where a key would. `held ITEM =
VALUE` and `not held zone/14` look into the panel. `with: FILE` on the first line runs another transcript before. `#`
begins a remark.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path

from zonewright.entry import keypad, showing, standing
from zonewright.panel.legal import as_shipped
from zonewright.panel.profile import Profile
from zonewright.panel.programme import Item


@dataclass(frozen=True)
class Press:
    """One key, trip or wait, with the state it met and the state it led to."""

    key: str
    before: standing.State
    after: standing.State


def run(profile: Profile, path: Path) -> tuple[list[str], list[Press]]:
    """Return everything in which the keypad differs from a transcript, and every press made."""
    faults: list[str] = []
    presses: list[Press] = []
    _run(profile, path, standing.at_rest(profile, as_shipped(profile)), faults, presses)
    return faults, presses


def _run(
    profile: Profile, path: Path, state: standing.State, faults: list[str], presses: list[Press]
) -> standing.State:
    for number, line in enumerate(path.read_text(encoding="utf-8").splitlines(), 1):
        where = f"{path.name}:{number}"
        text = line.partition("#")[0].rstrip()
        if not text:
            continue
        if text.startswith("with:"):
            state = _run(profile, path.parent / text.removeprefix("with:").strip(), state, faults, presses)
        elif text.startswith("held "):
            item, _, value = text.removeprefix("held ").partition(" = ")
            if state.held.get(Item(item.strip())) != value.strip():
                faults.append(f"{where}: {item} holds {state.held.get(Item(item.strip()))}, not {value}")
        elif text.startswith("not held "):
            start = text.removeprefix("not held ").strip()
            if any(item == start or item.startswith(f"{start}/") for item in state.held):
                faults.append(f"{where}: {start} is still held")
        else:
            state = _press(profile, text, where, state, faults, presses)
    return state


def _press(
    profile: Profile, text: str, where: str, state: standing.State, faults: list[str], presses: list[Press]
) -> standing.State:
    keys, arrow, shown = text.partition("->")
    assert arrow, f"{where}: no arrow in {text!r}"
    for key in _keys(profile, keys, where):
        before = state
        if key == "wait":
            state = keypad.idle(profile, state)
        elif key.startswith("trip "):
            state = keypad.heard(profile, state, key.removeprefix("trip "))
        else:
            state = keypad.press(profile, state, key)
        presses.append(Press(key, before, state))
    wanted = tuple(part.strip() for part in shown.split("|"))
    assert len(wanted) == profile.display.lines, f"{where}: {shown!r} has not {profile.display.lines} lines"
    found = showing.display(profile, state)
    if found != wanted:
        faults.append(f"{where}: shows {found}, written down is {wanted}")
    return state


def _keys(profile: Profile, text: str, where: str) -> Iterator[str]:
    words = text.split()
    while words:
        word = words.pop(0)
        if word == "trip":
            yield f"trip {words.pop(0)}"
        elif word in ("wait", "pause") or word in profile.keys.names:
            yield word
        else:
            assert all(sign in profile.keys.names for sign in word), f"{where}: no key {word!r}"
            yield from word
