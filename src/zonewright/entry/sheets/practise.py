"""The practice keypad: keyed by hand, freely or along a sheet; it says at once when display or result differs.

Rules of this file:
1. It is a value: `enter` takes what was typed and returns a new practice with what to say.
2. Along a sheet it knows every state that the printed keys pass through; whoever comes back to one of them, by any way,
   is on the sheet again.
3. Nobody's real code belongs here: any digits are taken, and none is saved.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from zonewright.entry.keypad.answering import PAUSE
from zonewright.entry.keypad.pressing import heard, idle, press
from zonewright.entry.keypad.showing import Display, display
from zonewright.entry.keypad.standing import KeypadState, at_rest, programme_of
from zonewright.entry.sheets.recovery import same, way_back
from zonewright.entry.sheets.sheet import EntrySheet, SheetRow
from zonewright.entry.sheets.text import has_new_code, stroke_words, wrong_device_words
from zonewright.panel.answers import SECRET_SET, refuses
from zonewright.panel.profile import Profile
from zonewright.panel.programme import Item, Programme, Value, item_of

WAIT, TRIP = "wait", "trip"
AS_BEFORE = Value("as before")  # a code that nobody has replaced


@dataclass(frozen=True, slots=True)
class SheetMark:
    """One state along a sheet: the step about to be done, and what comes next there."""

    title: str  # of the job
    step: SheetRow
    state: KeypadState
    next: str  # a key, or the number to be tripped
    mend: str = ""  # if a device is tripped here: what to do if it is the wrong one


@dataclass(frozen=True, slots=True)
class Practice:
    """One practice session."""

    profile: Profile
    state: KeypadState
    way: tuple[SheetMark, ...] = ()  # along a sheet
    at: int | None = 0  # the present mark; None: off the sheet
    end: KeypadState | None = None
    plan: Programme | None = None
    said: tuple[str, ...] = ()
    off_since: int = 0  # the mark at which the sheet was left

    @property
    def shows(self) -> Display:
        """Return the display."""
        return display(self.profile, self.state)

    @property
    def finished(self) -> bool:
        """Return whether the end of the sheet is reached."""
        return self.end is not None and same(self.state, self.end)


def free(profile: Profile, programme: Programme) -> Practice:
    """Return a keypad at rest to be pressed at will."""
    return Practice(profile, at_rest(profile, programme))


def along(sheet: EntrySheet) -> Practice:
    """Return a keypad at rest to be keyed along a sheet."""
    old = sheet.old.changed(dict.fromkeys(_codes_in(sheet.old), AS_BEFORE))
    state = at_rest(sheet.profile, old)
    marks: list[SheetMark] = []
    for job in sheet.jobs:
        for step in job.steps:
            accept = (step.accept,) if step.accept is not None else ()
            for key in (*(key for group in step.keys for key in group), *accept):
                marks.append(SheetMark(job.title, step, state, key))
                state = press(sheet.profile, state, key)
            if step.trip is not None:
                mend = wrong_device_words(sheet.profile, job)
                marks.append(SheetMark(job.title, step, state, step.trip, mend))
                state = heard(sheet.profile, state, step.trip)
    keyed = {item_of("user", job.job.number or 0, "code") for job in sheet.jobs if has_new_code(job)}
    still = [item for item in _codes_in(sheet.old) if item in sheet.new and item not in keyed]
    plan = sheet.new.changed(dict.fromkeys(still, AS_BEFORE))
    return Practice(sheet.profile, at_rest(sheet.profile, old), tuple(marks), 0, state, plan)


def _codes_in(programme: Programme) -> list[Item]:
    """Return the items of a panel that hold a code."""
    return [item for item, value in programme.values.items() if value == SECRET_SET]


def enter(practice: Practice, typed: str) -> Practice:
    """Take one line: keys separated by spaces (digits may be joined), `trip NUMBER`, `trip`, `pause` or `wait`."""
    practice = replace(practice, said=())
    words = typed.split()
    while words and not practice.said:  # nothing is pressed after a difference
        word = words.pop(0)
        if word == WAIT:
            practice = _moved(practice, idle(practice.profile, practice.state), WAIT)
        elif word == TRIP:
            number = words.pop(0) if words and words[0].isdigit() else _expected_trip(practice)
            if number is None or _no_number(practice, number):
                return replace(practice, said=("say which device: trip and the digits of its number",))
            practice = _moved(practice, heard(practice.profile, practice.state, number), number)
        else:
            keys = keys_of(practice.profile, word)
            if not keys:
                names = " ".join(practice.profile.keys.names)
                return replace(practice, said=(f'no key "{word}": {names}, trip NUMBER, wait',))
            for key in keys:
                if not practice.said:
                    practice = _moved(practice, press(practice.profile, practice.state, key), key)
    return practice


def keys_of(profile: Profile, word: str) -> tuple[str, ...]:
    """Return the keys that a typed word means: a key's name, or several one-letter names joined; () for none."""
    names = set(profile.keys.names)
    if word in names or word == PAUSE:
        return (word,)
    return tuple(word) if all(sign in names for sign in word) else ()


def held_now(practice: Practice) -> Programme:
    """Return what the practice panel holds."""
    return programme_of(practice.profile, practice.state)


def differences(practice: Practice) -> list[tuple[Item, Value | None, Value | None]]:
    """Return item, held, planned wherever what the panel holds isn't the plan; empty when they are equal."""
    if practice.plan is None:
        return []
    held, plan = held_now(practice), practice.plan
    return [
        (item, held.get(item), plan.get(item)) for item in sorted({*held, *plan}) if held.get(item) != plan.get(item)
    ]


def next_mark(practice: Practice) -> SheetMark | None:
    """Return what the sheet has to be done now; None off the sheet, at its end, and without one."""
    if practice.at is None or practice.finished or not practice.way:
        return None
    return practice.way[practice.at]


def next_step(practice: Practice) -> SheetRow | None:
    """Return the step of the sheet that is to be done now; None as for `next_mark`."""
    mark = next_mark(practice)
    return mark.step if mark is not None else None


def _expected_trip(practice: Practice) -> str | None:
    if practice.way and practice.at is not None:
        return practice.way[practice.at].step.trip
    return None


def _no_number(practice: Practice, number: str) -> bool:
    """Return whether no device has such a number, while the keypad waits for one."""
    item = practice.profile.script[practice.state.node].trip
    how = practice.profile.items[item].how if item is not None else None
    return how is not None and refuses(practice.profile.answers[how], number) is not None


def _moved(practice: Practice, state: KeypadState, done: str) -> Practice:
    """Go to the next state and find it on the sheet."""
    before = practice
    practice = replace(practice, state=state)
    if not practice.way:
        return practice
    if practice.finished:
        return replace(practice, at=len(practice.way) - 1, said=(*practice.said, "the end of the sheet"))
    at = _found(practice, before)
    if at is not None and before.at is not None and state.message and done != before.way[before.at].next:
        refused = f"refused: {done} where the sheet says {before.way[before.at].next}"
        return replace(practice, at=at, said=(*practice.said, refused))
    if at is not None:
        said = ("back on the sheet",) if before.at is None else ()
        return replace(practice, at=at, said=(*practice.said, *said))
    if before.at is None:
        return practice
    mark = before.way[before.at]
    wanted = display(practice.profile, _after(before, mark))
    says = [f"off the sheet at step {mark.step.number}: {done} where it says {mark.next}"]
    if practice.shows == wanted:
        says.append("the display looks the same: this slip is silent, it would only show when read back")
    else:
        says.append(f"it shows {_line(practice.shows)}, the sheet has {_line(wanted)}")
    says += _ways_back(replace(practice, off_since=before.at), mark, done)
    return replace(practice, at=None, off_since=before.at, said=(*practice.said, *says))


def _ways_back(practice: Practice, mark: SheetMark, done: str) -> list[str]:
    """Return what leads back to the sheet from a state off it; each was tried on a copy of this keypad."""
    if mark.mend and practice.state == heard(practice.profile, mark.state, done):
        return [mark.mend]
    profile = practice.profile
    part = next(n for n, each in enumerate(practice.way) if each.title == mark.title)
    later = [n for n, each in enumerate(practice.way) if n > part and each.title != mark.title]
    last = practice.way[later[0]].state if later else practice.end or practice.state
    plan = programme_of(profile, last)
    found = way_back(profile, practice.state, lambda state: _found_at(practice, state), practice.way[part].state, plan)
    wait = f"wait ({profile.times_out.after} s)"
    if found.back:
        times = "once" if found.back == 1 else f"{found.back} times"
        return [f"press {profile.back} {times}: you are at step {practice.way[found.at].step.number} again"]
    if found.lost:
        return [f"{wait}: nothing of this part is saved; get in again and do it from its first step"]
    if not found.wrong:
        return [f"{wait}: what was keyed so far is saved and right; get in again and go on with this part"]
    wrong = "; ".join(
        f"{item}: {held or 'nothing'}, planned {planned or 'nothing'}" for item, held, planned in found.wrong
    )
    says = [f"this is saved and wrong: {wrong}"]
    if found.strokes:
        says.append(f"{wait}, then key this to mend it: {stroke_words(found.strokes)}")
    return says


def _after(practice: Practice, mark: SheetMark) -> KeypadState:
    place = practice.way.index(mark)
    if place + 1 < len(practice.way):
        return practice.way[place + 1].state
    return practice.end or practice.state


def _found(practice: Practice, before: Practice) -> int | None:
    """Return the mark whose state this is: the next one, else the nearest to where the sheet was left."""
    start = before.off_since if before.at is None else before.at
    if before.at is not None and before.at + 1 in _places(practice, practice.state):
        return before.at + 1
    return min(_places(practice, practice.state), key=lambda n: abs(n - start), default=None)


def _found_at(practice: Practice, state: KeypadState) -> int | None:
    """Return the mark whose state this is, the nearest to where the sheet was left; None off the sheet."""
    return min(_places(practice, state), key=lambda n: abs(n - practice.off_since), default=None)


def _places(practice: Practice, state: KeypadState) -> list[int]:
    return [n for n, mark in enumerate(practice.way) if same(mark.state, state)]


def _line(shows: Display) -> str:
    return " / ".join(f'"{line}"' for line in shows if line) or "nothing"
