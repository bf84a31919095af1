"""Transcripts: plain files that say which keys show what, keyed at a real panel or typed from its manual.

`KEYS -> line one | line two` presses keys (digits and letter keys may be joined) and compares the whole display;
`trip NUMBER`, `wait` (the time-out) and `pause` (which closes a tapped letter) may be used in place of a key. `held
ITEM = VALUE` and `not held zone/14` look into the panel. `with: FILE` on a line of its own first runs another
transcript. `#` begins a remark.

Rules of this file:
1. A line that can't be read is bad input, and all such lines are reported together; a display that differs is a
   finding.
2. After a difference the run goes on from the virtual keypad's own state, which may be the only reason for further
   differences.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from pathlib import Path
from typing import NamedTuple

from zonewright.entry.keypad import pressing, showing
from zonewright.entry.keypad.standing import KeypadState, at_rest
from zonewright.entry.sheets.practise import TRIP, WAIT, keys_of
from zonewright.findings import BadInput, Finding, Place, Severity, nearest
from zonewright.panel.legal import as_shipped
from zonewright.panel.profile import Profile
from zonewright.panel.programme import Item
from zonewright.site.filetext import clean, read_text


class KeyedPress(NamedTuple):
    """One key, trip or wait, with the states before and after it."""

    key: str
    before: KeypadState
    after: KeypadState


class Ran(NamedTuple):
    """The result of a transcript: where the keypad differs from it, and every press made."""

    differences: tuple[Finding, ...]
    presses: tuple[KeyedPress, ...]


def run(profile: Profile, path: Path) -> Ran:
    """Key a transcript into a panel as shipped.

    Raises
    ------
    BadInput
        If the file, or one that it names, can't be read, or a line of it has no keys and no display.
    """
    reader = _Run(profile, at_rest(profile, as_shipped(profile)))
    reader.file(path, ())
    if reader.bad:
        raise BadInput(reader.bad)
    return Ran(tuple(reader.differences), tuple(reader.presses))


@dataclass
class _Run:
    profile: Profile
    state: KeypadState
    differences: list[Finding] = field(default_factory=list)
    presses: list[KeyedPress] = field(default_factory=list)
    bad: list[Finding] = field(default_factory=list)

    def file(self, path: Path, within: tuple[Path, ...]) -> None:
        raw, unread = read_text(path)
        text, hidden = clean(raw, str(path))
        self.bad += (*unread, *hidden)
        for number, written in enumerate(text.text.splitlines(), 1):
            line = written.partition("#")[0].strip()
            if line:
                self._line(line, Place(str(path), number), path, within)

    def _line(self, line: str, place: Place, path: Path, within: tuple[Path, ...]) -> None:
        if line.startswith("with:"):
            other = path.parent / line.removeprefix("with:").strip()
            if other in (path, *within):
                self._bad("TRY-01", place, "with", f"{other.name} leads back to itself", "name another transcript")
                return
            self.file(other, (path, *within))
        elif line.startswith("held "):
            item, _, value = (part.strip() for part in line.removeprefix("held ").partition(" = "))
            held = self.state.held.get(Item(item))
            if held != value:
                self._differs(place, f"the panel holds {held or 'nothing'} for {item}", line)
        elif line.startswith("not held "):
            start = line.removeprefix("not held ").strip()
            if any(item == start or item.startswith(f"{start}/") for item in self.state.held):
                self._differs(place, f"the panel still holds {start}", line)
        else:
            self._keyed(line, place)

    def _keyed(self, line: str, place: Place) -> None:
        keys, arrow, shown = line.partition("->")
        wanted = tuple(part.strip() for part in shown.split("|"))
        lines = self.profile.display.lines
        if not arrow:
            self._bad("TRY-02", place, line, "it has no ->", "write KEYS -> what each line of the display shows")
        elif len(wanted) != lines:
            says = f"it has {len(wanted)} lines, and the display has {lines}"
            self._bad("TRY-03", place, shown.strip(), says, "put | between the lines, also for an empty one")
        elif self._pressed(keys.split(), place):
            found = showing.display(self.profile, self.state)
            if found != wanted:
                self._differs(place, f"the keypad shows {_line(found)} after {keys.strip()}", shown.strip())

    def _pressed(self, words: list[str], place: Place) -> bool:
        while words:
            word = words.pop(0)
            if word == WAIT:
                self._move(word, pressing.idle(self.profile, self.state))
            elif word == TRIP:
                number = words.pop(0) if words else ""
                if not number.isdigit():
                    self._bad("TRY-04", place, TRIP, "it has no number", "write trip and the digits of the device")
                    return False
                self._move(f"{TRIP} {number}", pressing.heard(self.profile, self.state, number))
            else:
                keys = keys_of(self.profile, word)
                if not keys:
                    names = self.profile.keys.names
                    near = nearest(word, names)
                    allowed = f"{' '.join(names)}; trip NUMBER, wait, pause"
                    says = f'the keypad has no key "{word}"'
                    self._bad("TRY-05", place, word, says, "", allowed=allowed, near=near[0] if near else None)
                    return False
                for key in keys:
                    self._move(key, pressing.press(self.profile, self.state, key))
        return True

    def _move(self, key: str, after: KeypadState) -> None:
        self.presses.append(KeyedPress(key, self.state, after))
        self.state = after

    def _differs(self, place: Place, says: str, wrote: str) -> None:
        thing = self.profile.panel
        self.differences.append(Finding("TRY-10", Severity.PROBLEM, thing, says, place=place, wrote=wrote))

    def _bad(
        self,
        code: str,
        place: Place,
        thing: str,
        says: str,
        fix: str,
        *,
        allowed: str | None = None,
        near: str | None = None,
    ) -> None:
        if any((told.code, told.says) == (code, says) for told in self.bad):
            return  # the same mistake is usually on every line
        finding = Finding(code, Severity.PROBLEM, thing, says, place=place, fix=fix, allowed=allowed, nearest=near)
        self.bad.append(finding)


def _line(shown: tuple[str, ...]) -> str:
    return " | ".join(shown).rstrip()
