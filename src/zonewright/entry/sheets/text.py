"""Sheets in plain text, 80 columns wide: for the terminal, for a file, for reading over the telephone.

Rules of this file:
1. Records in, lines out; nothing is printed here.
2. A step takes two lines, since the display has two. What to look at comes between the keys and the accepting key.
"""

from __future__ import annotations

import textwrap
from collections.abc import Iterator, Sequence
from itertools import groupby
from string import ascii_lowercase
from typing import TypeVar

from zonewright.entry.keypad.showing import Display
from zonewright.entry.keypad.strokes import Act, Stroke
from zonewright.entry.keypad.styles import PAUSE
from zonewright.entry.sheets.recovery import WrongDevice
from zonewright.entry.sheets.sheet import AnswerChange, EntrySheet, Group, SheetJob, SheetRow
from zonewright.entry.sheets.walk import WalkPart
from zonewright.panel.profile import Profile
from zonewright.panel.programme import UNKNOWN

TICK, SHOWS, PRESS, LOOK = 8, 22, 20, 22  # columns; what is left is for the accepting key
PAUSES = "pause: press no key for a moment; the panel's manual says how long."
READ_BACK = "[R]"
TO_TICK = "[ ]"
T = TypeVar("T")


def sheet_lines(sheet: EntrySheet) -> list[str]:
    """Return a whole sheet: first, the jobs, what is read back, last. Without a station none is mentioned."""
    if not sheet.jobs:
        return ["Nothing to key: the panel holds it all already."]
    lines = [*first_lines(sheet), ""]
    for job in sheet.jobs:
        lines += [*job_lines(sheet.profile, job), ""]
    if sheet.walk.parts:
        lines += [*walk_lines(sheet), ""]
    return lines + last_lines(sheet)


def first_lines(sheet: EntrySheet) -> list[str]:
    """Return what is done before the first key."""
    ways = sheet.profile.script[sheet.profile.rest].ways_in or {}
    lost, rest = sheet.profile.times_out.after, sheet.profile.script[sheet.profile.rest].says
    on_test = ["Put the account on test with the monitoring station: until when? ________"] if sheet.station else []
    steps = [
        [*on_test, "Tell everybody in the building that the siren may sound."],
        ["Own code: the owner's to get in, each person's in their part. Write none."],
        [
            f"Way in: {' or '.join(ways)}, then the code. {lost} s without a key: the panel",
            f'is back at "{rest}", what was not saved is lost: do that job again.',
            "If the panel says that it is there already, it was saved: read it back.",
        ],
    ]
    lines = ["FIRST"]
    for letter, (head, *more) in lettered(steps):
        lines += [f"  {letter}  {head}", *(f"     {line}" for line in more)]
    lines.append(f"  {TO_TICK} tick when you have looked    {READ_BACK} a slip can stay unseen: read it back")
    if any(not step.counted for job in sheet.jobs for step in job.steps):
        lines.append(f"  {UNKNOWN}: nobody knows what is there; whatever shows, press as printed.")
    if any(PAUSE in group for job in sheet.jobs for step in job.steps for group in step.keys):
        lines.append(f"  {PAUSES}")
    if not sheet.profile.compared_with_panel:
        lines.append("  Never compared with a real panel: where they differ, the panel's manual wins.")
    return lines


def lettered(steps: Sequence[T]) -> Iterator[tuple[str, T]]:
    """Give each step with its letter: a, b, c; raises ValueError if there are more steps than letters."""
    return zip(ascii_lowercase[: len(steps)], steps, strict=True)


def job_lines(profile: Profile, job: SheetJob) -> list[str]:
    """Return one job: its head, what it changes, its steps."""
    lines = [job.title.upper()]
    if job.job.gone:
        lines.append("  It is gone for good at the last key: be sure that it is the right number.")
    else:
        lines.append(f"  {saved_words(job)}")
        if not job.new:
            lines += [*change_lines(job.changes), "  A star marks the steps where an answer changes."]
    if words := wrong_device_words(profile, job):
        lines += textwrap.wrap(words, 80, initial_indent="  ", subsequent_indent="  ")
    lines += ["", f"{'':{TICK}}{'display shows':{SHOWS}}{'press':{PRESS}}{'look: it now shows':{LOOK}}take"]
    for step in job.steps:
        lines += step_lines(step, star=step.changes and not job.new)
    return lines


def saved_words(job: SheetJob) -> str:
    """Return when the panel saves what is keyed of a part."""
    if not job.saved_at:
        return "Each value is saved as soon as it is taken."
    first, *others = job.saved_at
    if not others:
        return f"Nothing of it is saved before step {first}."
    *middle, last = job.saved_at
    return f"It is saved bit by bit, at the steps {', '.join(map(str, middle))} and {last}."


def stroke_words(strokes: Sequence[Stroke]) -> str:
    """Return strokes as people read them: `no no 7 · own code · yes`."""
    words = []
    for stroke in strokes:
        if stroke.act is Act.CODE:
            words.append("own code")
        else:
            words += [key_words([stroke.keys])] if stroke.keys else []
            words += [f"trip {stroke.trip}"] if stroke.trip is not None else []
    return " · ".join(words)


def wrong_device_words(profile: Profile, job: SheetJob) -> str:
    """Return what to do if another device was tripped than the part's own; empty if none is tripped."""
    mend = job.wrong_device
    if mend is None:
        return ""
    head = f"If step {mend.step} shows another number"
    if not mend.strokes:
        keys = key_words([(key,) for key in mend.keys])
        again = f"do step {mend.again} again" if mend.again == mend.step else f"go on from step {mend.again}"
        if mend.saved:
            return f"{head}, the wrong device is saved already: press {keys} and {again}; stop nowhere before."
        return f"{head}, nothing is saved yet: press {keys} and {again}."
    then = "then key this part once more from its start" if mend.whole_again else "with the right device this time"
    return (
        f"{head}, the wrong device is saved already; keying on would leave it there. {leaving_words(profile, mend)} "
        f"Then press {stroke_words(mend.strokes)}; {then}."
    )


def leaving_words(profile: Profile, mend: WrongDevice) -> str:
    """Return how to get back to the display at rest after a wrong device was saved."""
    rest = profile.script[profile.rest].says
    if mend.waits:
        return f'Press nothing for {profile.times_out.after} s, until "{rest}" shows.'
    first = f"{key_words([(key,) for key in mend.keys])}, then " if mend.keys else ""
    return f'Press {first}{profile.back} until "{rest}" shows.'


def change_lines(changes: Sequence[AnswerChange]) -> list[str]:
    """Return each changed answer: `behaviour: perimeter -> notice`."""
    return [f"  {change.field}: {change.old or 'not there'} -> {change.new or 'not there'}" for change in changes]


def step_lines(step: SheetRow, *, star: bool = False) -> list[str]:
    """Return one step in as many lines as its display or its keys need; a star marks an answer that changes."""
    tick = f"{READ_BACK if step.read_back else TO_TICK} {step.number:>2}{'*' if star else ''}"
    press = _press_lines(step)
    look = list(step.look[1:]) if step.look is not None else []
    if _by_itself(step):
        look = ["(takes itself)"]
    if step.trip is not None:
        press, look = ["trip the device"], [*step.after]
    rows = max(len(_filled(step.shows)), len(press), len(look), 1)
    lines = []
    for row in range(rows):
        shown, keys, see = (_at(part, row) for part in (_filled(step.shows), press, look))
        take = (f"then {step.accept}" if step.keys else step.accept) if row == 0 and step.accept else ""
        head = tick if row == 0 else ""
        lines.append(f"{head:{TICK}}{shown:{SHOWS}}{keys:{PRESS}}{see:{LOOK}}{take}".rstrip())
    return lines


def key_words(keys: Sequence[Group]) -> str:
    """Return groups of keys as people read them: digits together, a repeated key with its count."""
    words = []
    for group, same in groupby(keys):
        times = len(list(same))
        word = "".join(group) if all(len(key) == 1 for key in group) else " ".join(group)
        words += [word] * times if times < 3 or word.isdigit() else [f"{word} x{times}"]
    return " ".join(words)


def walk_lines(sheet: EntrySheet) -> list[str]:
    """Return the reading back at the end."""
    lines = [f"READ BACK ({sheet.walk.presses} presses): look, change nothing"]
    for part in sheet.walk.parts:
        lines += ["", f"  {part.title}", *part_lines(part)]
    lines += ["", f'  After each: {sheet.profile.back} until it shows "{sheet.walk.home}". Nothing is kept on the way.']
    return lines


def part_lines(part: WalkPart) -> list[str]:
    """Return the keys that read one job back, and what each question must show when it comes."""
    lines = [f"    {line}" for line in _walk_keys(part)]
    return lines + [f"  {TO_TICK} {reading.shows[0]:{SHOWS}}{' '.join(reading.shows[1:])}" for reading in part.readings]


def last_lines(sheet: EntrySheet) -> list[str]:
    """Return what is done after the last job."""
    steps = [f"Way out: {' '.join(sheet.way_out)}.", *tried_at_the_end(sheet)]
    steps.append("Clear the panel's memory of alarms, if it shows any.")
    steps += ["Take the account off test, and have it confirmed by name: ________________"] if sheet.station else []
    untouched = _ranges(sheet.untouched) or "none"
    return [
        "LAST",
        *(
            line
            for letter, step in lettered(steps)
            for line in textwrap.wrap(step, 80, initial_indent=f"  {letter}  ", subsequent_indent=" " * 5)
        ),
        f"  {sheet.presses} presses, {sheet.trips} to trip. Zones not touched: {untouched}.",
    ]


def tried_at_the_end(sheet: EntrySheet) -> list[str]:
    """Return which devices are tripped as a last check, and which aren't simply tripped, since they are always live."""
    new = [job for job in sheet.jobs if job.job.group == "zone" and not job.job.gone]
    live = [job for job in new if _calls_for_help(sheet, job)]
    harmless = [job for job in new if job not in live]
    steps = [f"Trip each device keyed here once more and watch: {_numbers(harmless)}."] if harmless else []
    if live:
        first = "get the station's word first" if sheet.station else "warn all who hear it first"
        they_are, them = ("it is", "it") if len(live) == 1 else ("they are", "them")
        alone = f"Don't just trip {_numbers(live)}: {they_are} live at any time."
        steps.append(f"{alone} Test {them} as the walk says, and {first}.")
    people = [job.job.number or 0 for job in sheet.jobs if has_new_code(job)]
    if people and not all(job.new for job in sheet.jobs if job.job.group == "user"):
        names = f"person {people[0]}" if len(people) == 1 else f"persons {_ranges(tuple(people))}"
        heard = ", and a message of it, where one goes, has that number" if sheet.station else ""
        made_to = [n for n in people if sheet.new.fields("user", n).get("duress") == "yes"]
        word = "" if not made_to else " A code for duress calls for help: only with the station's word."
        steps.append(
            f"No display shows whose code was keyed. With {names}: the new code disarms{heard}; the one before it "
            f"opens nothing; everybody else's code still disarms (don't try one for duress).{word}"
        )
    return steps


def has_new_code(job: SheetJob) -> bool:
    """Return whether somebody keys a code of their own in a part."""
    return job.job.group == "user" and any(change.field == "code" and change.new for change in job.changes)


def _calls_for_help(sheet: EntrySheet, job: SheetJob) -> bool:
    """Return whether a trip of the zone, at any time, sounds fire or gas or has people drive."""
    name = sheet.new.fields("zone", job.job.number or 0).get("behaviour")
    behaviour = sheet.profile.behaviours.get(name) if isinstance(name, str) else None
    return behaviour is not None and (behaviour.protects_life or behaviour.calls_at_once)


def _numbers(jobs: Sequence[SheetJob]) -> str:
    numbers = [job.job.number or 0 for job in jobs]
    return f"zone {numbers[0]}" if len(numbers) == 1 else f"zones {_ranges(tuple(numbers))}"


def _ranges(numbers: tuple[int, ...]) -> str:
    parts: list[list[int]] = []
    for number in numbers:
        if parts and number == parts[-1][-1] + 1:
            parts[-1].append(number)
        else:
            parts.append([number])
    return ", ".join(str(part[0]) if len(part) == 1 else f"{part[0]}-{part[-1]}" for part in parts)


def _press_lines(step: SheetRow) -> list[str]:
    if step.own_code:
        return ["own code, 4 digits"] if len(step.keys[0]) == 4 else ["own code"]
    if step.until:
        times, pressed = len(step.keys), list(dict.fromkeys(key for group in step.keys for key in group))
        if len(pressed) > 1:
            return [*_wrapped(f"{' and '.join(pressed)} until it shows", PRESS - 1)]
        count = [f"  ({'once' if times == 1 else f'{times} times'})"] if step.counted else []
        return [f"{step.keys[0][0]} until it shows", *count]
    text = key_words(step.keys)
    return list(_wrapped(text, PRESS - 1))


def _by_itself(step: SheetRow) -> bool:
    return step.item is not None and step.accept is None and step.trip is None and not step.own_code


def _wrapped(text: str, width: int) -> Iterator[str]:
    line = ""
    for word in text.split():
        if line and len(line) + 1 + len(word) > width:
            yield line
            line = word
        else:
            line = f"{line} {word}".strip()
    if line:
        yield line


def _filled(shows: Display) -> list[str]:
    return [line for line in shows if line]


def _at(lines: Sequence[str], row: int) -> str:
    return lines[row] if row < len(lines) else ""


def _walk_keys(part: WalkPart) -> list[str]:
    return list(_wrapped(stroke_words(part.strokes), 74))
