"""Entry sheets for the pages: blocks of steps between a frame headed First and one headed Last.

Rules of this file:
1. Steps are the sheet's own, in its order, with its numbers; only the way in moves into the First frame.
2. Keys of somebody's own code are printed as blanks, whatever the sheet holds there.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from zonewright.documents.records import (
    EndStep,
    Keys,
    PrintedBlock,
    PrintedRow,
    PrintedSheet,
    PrintedTap,
    ReadBackPart,
    ReadBackRow,
)
from zonewright.documents.schedule import in_threes
from zonewright.entry.keypad.strokes import Act
from zonewright.entry.keypad.styles import PAUSE
from zonewright.entry.sheets.sheet import EntrySheet, SheetJob
from zonewright.entry.sheets.sheet import SheetRow as EntryStep
from zonewright.entry.sheets.text import PAUSES, saved_words, tried_at_the_end, wrong_device_words
from zonewright.entry.sheets.walk import WalkPart
from zonewright.panel.fixed import tells_station
from zonewright.panel.profile import Profile, Style
from zonewright.panel.programme import UNKNOWN, Item, item_of
from zonewright.panel.resolve import Resolved
from zonewright.site.model import Station
from zonewright.words.telling import listed

GETTING_IN = frozenset({Act.WAY_IN, Act.CODE})
NBSP = "\N{NO-BREAK SPACE}"
ADVICE = (
    "One row is one question. Before you press, the display must show what the row shows.",
    (
        "Press the keys of the row. Where the row shows the display a second time, compare it before you press the "
        "accepting key: nearly every slip is seen there."
    ),
    ("Tick the row, then go on. If the display shows anything else, stop: {mend}."),
    (
        "Where a row says read back, a wrong answer looks just like the right one. Check the key before you press it; "
        "it is looked at once more at the end."
    ),
    "{lost} s without a key, and whatever is not saved yet is lost. Each part says when it is saved.",
)
NEVER_COMPARED = (
    "Keyed through on a virtual keypad, never compared with a real panel: where they differ, the panel's manual wins."
)
NOTHING = "Nothing to key: the panel holds it all already"
BLANK = "\N{NO-BREAK SPACE}"  # on a key: the person's own digit


def entry_pages(
    sheet: EntrySheet, resolved: Resolved, not_ready: tuple[str, ...] = (), beware: tuple[str, ...] = ()
) -> PrintedSheet:
    """Return a sheet's pages: a whole one, or a delta where some zone is left untouched or some answer had a value.

    `not_ready` says why nothing should be keyed yet, `beware` what must be known of a change.
    """
    title = "Entry sheet: what changes"
    if not sheet.jobs:
        return PrintedSheet(title, not_ready, NOTHING, 0, beware, (), (), (), "", "", ())
    delta = bool(sheet.untouched) or any(not job.new for job in sheet.jobs if job.job.group)
    getting_in = [step for job in sheet.jobs[:1] for step in job.steps if step.act in GETTING_IN]
    return PrintedSheet(
        title=title if delta else "Entry sheet: everything",
        not_ready=not_ready,
        sums=_sums(sheet),
        columns=_columns(sheet),
        advice=(*beware, *_advice(sheet)),
        first=_first(getting_in, _account(sheet, resolved.site.station)),
        blocks=tuple(_block(sheet, job, _title(job)) for job in sheet.jobs),
        read_back=tuple(_read_back(sheet, part) for part in sheet.walk.parts),
        after_reading=_after_reading(sheet),
        untouched=_untouched(sheet),
        last=_last(sheet, _account(sheet, resolved.site.station)),
    )


def _columns(sheet: EntrySheet) -> int:
    """Return how wide displays are drawn: like the keypad's, but no wider than what a wide one shows here."""
    longest = max((len(line) for job in sheet.jobs for step in job.steps for line in step.shows), default=0)
    return min(sheet.profile.display.columns, max(longest, 20))


def _sums(sheet: EntrySheet) -> str:
    parts = [_count(sheet.presses, "key", "to press"), _count(len(sheet.jobs), "part", "")]
    if sheet.trips:
        parts.insert(1, _count(sheet.trips, "device", "to trip"))
    return ", ".join(parts)


def _count(number: int, thing: str, then: str) -> str:
    return f"{number} {thing}{'' if number == 1 else 's'} {then}".strip()


def _mend(profile: Profile) -> str:
    """Return how to get out of a slip that was seen in time."""
    taken = (
        f"Where a wrong answer was taken already, press nothing for {profile.times_out.after} s and do the part again; "
        "where another number than the printed one stood on the display, that zone or person was changed instead: "
        "read it back, and key it as its own papers say"
    )
    if profile.wipe is not None:
        return f"press {profile.wipe} to wipe what you typed, {profile.back} to leave the question as it was. {taken}"
    if profile.menu:
        return f"press {profile.back} to leave the question as it was. {taken}"
    return f"press {profile.back} to wipe what you typed, again to go back one question. {taken}"


def _advice(sheet: EntrySheet) -> tuple[str, ...]:
    profile = sheet.profile
    lines = [text.format(mend=_mend(profile), lost=profile.times_out.after) for text in ADVICE]
    if any(PAUSE in group for job in sheet.jobs for step in job.steps for group in step.keys):
        lines.append(PAUSES)
    return (*lines, *([] if profile.compared_with_panel else [NEVER_COMPARED]))


# the two ends


def _account(sheet: EntrySheet, station: Station | None) -> tuple[str, str]:
    """Return the account that a station hears of while this is keyed, or both, and its telephone; else nothing."""
    told = [each for each in (sheet.old, sheet.new) if tells_station(sheet.profile, each)]
    if not told:
        return "", ""
    held = dict.fromkeys(each.get(Item("station/account")) for each in told)
    numbers = [str(each) for each in held if each not in (None, UNKNOWN)]
    which = f"account{'s' if len(numbers) > 1 else ''} {listed(numbers)}" if numbers else "the account"
    return which, _by_phone(station) if station is not None else ""


def _first(getting_in: Iterable[EntryStep], account: tuple[str, str]) -> tuple[EndStep, ...]:
    steps = []
    which, phone = account
    if which:
        steps.append(_said(f"Put {which} on test{phone}. Ask when the test ends.", write=True))
    steps.append(_said("Tell everybody in the building that the siren may sound."))
    for step in getting_in:
        if step.act is Act.CODE:
            steps.append(EndStep("Key your own code.", _blanks(step.keys), True, step.shows, write=False))
        else:
            steps.append(EndStep("Get in.", step.keys, False, step.shows, write=False))
    return tuple(steps)


def _last(sheet: EntrySheet, account: tuple[str, str]) -> tuple[EndStep, ...]:
    steps = []
    which, phone = account
    if sheet.jobs and sheet.way_out:
        rest = sheet.jobs[0].steps[0].shows[0]
        keys = tuple((key,) for key in sheet.way_out)
        steps.append(EndStep(f'Leave, to "{rest}".', keys, False, sheet.jobs[-1].steps[-1].after, write=False))
    steps += [_said(text) for text in tried_at_the_end(sheet)]
    steps.append(_said("Clear the panel's memory of alarms, if it shows any."))
    if which:
        text = f"Take {which} off test{phone}. Have it confirmed, with a name."
        steps.append(_said(text, write=True))
    return tuple(steps)


def _said(text: str, *, write: bool = False) -> EndStep:
    return EndStep(text, (), False, (), write)


def _by_phone(station: Station) -> str:
    return f", telephone {station.telephone.replace(' ', NBSP)}" if station.telephone else ""


# the parts


def _title(job: SheetJob) -> str:
    return job.title[:1].upper() + job.title[1:]


def _block(sheet: EntrySheet, job: SheetJob, title: str) -> PrintedBlock:
    steps = tuple(_step(step, sheet.profile) for step in job.steps if step.act not in GETTING_IN)
    serial = ""
    if job.job.group == "zone" and job.job.number is not None and not job.job.gone:
        number = sheet.new.get(item_of("zone", job.job.number, "number")) or ""
        serial = in_threes(number) if number.isdigit() else ""
    return PrintedBlock(
        title=title,
        serial=serial,
        changes=() if job.new else tuple((each.field, each.old or "", each.new or "") for each in job.changes),
        steps=steps,
        after=job.steps[-1].after if job.steps else (),
        stored=saved_words(job),
        wrong=wrong_device_words(sheet.profile, job),
        presses=sum(step.presses for step in job.steps),
        trips=sum(step.trip is not None for step in job.steps),
    )


def _step(step: EntryStep, profile: Profile) -> PrintedRow:
    look = step.look or ()
    taps = _taps(step, profile)
    return PrintedRow(
        number=step.number,
        shows=step.shows,
        keys=_blanks(step.keys) if step.own_code else step.keys[:1] if step.until else () if taps else step.keys,
        times=len(step.keys) if step.until else 0,
        taps=taps,
        own_code=step.own_code,
        trip=in_threes(step.trip) if step.trip is not None else "",
        look=look,
        only_last=len(look) == len(step.shows) and look[:-1] == step.shows[:-1],
        accept=step.accept or "",
        note=_note(step),
        read_back=step.read_back,
    )


def _taps(step: EntryStep, profile: Profile) -> tuple[PrintedTap, ...]:
    """Return the letters of a text that is tapped, each with its key; empty for any other answer."""
    answer = profile.answer_of(step.item) if step.item is not None and step.value is not None else None
    if answer is None or answer.style is not Style.TAP:
        return ()
    taps = []
    for group in step.keys:
        letters = answer.taps.get(group[0], "")
        if group[0] == PAUSE:
            taps.append(PrintedTap("", 0, ""))
        elif letters:
            taps.append(PrintedTap(group[0], len(group), letters[(len(group) - 1) % len(letters)]))
        else:
            return ()  # a key that wipes, say: then they are printed as they are pressed
    return tuple(taps)


def _note(step: EntryStep) -> str:
    if step.act is Act.LOOK:
        return "compare, then accept"
    if step.accept is not None:
        return "" if step.keys else "as it stands"
    if step.trip is not None:
        return "the panel hears it"
    return "taken at the last key" if sum(map(len, step.keys)) > 1 else "taken at the key"


def _blanks(keys: Keys) -> Keys:
    return tuple(tuple(BLANK for _ in group) for group in keys)


# reading back


def _read_back(sheet: EntrySheet, part: WalkPart) -> ReadBackPart:
    job = next(job for job in sheet.jobs if job.job == part.job)
    return ReadBackPart(_title(job), tuple(_rows(part)))


def _rows(part: WalkPart) -> Iterator[ReadBackRow]:
    left = {reading.item: reading for reading in part.readings}
    keys: list[tuple[str, ...]] = []

    def row(item: Item) -> ReadBackRow:
        until = keys[-1][0] if len(keys) > 1 and keys[-1] == keys[-2] and len(keys[-1]) == 1 else ""
        while until and keys and keys[-1] == (until,):
            keys.pop()
        about = item.words
        return ReadBackRow(tuple(keys), until, about, left.pop(item).shows)

    for stroke in part.strokes:
        if stroke.item in left:
            yield row(stroke.item)
            keys = []
        keys.append((BLANK,) * len(stroke.keys) if stroke.act is Act.CODE else stroke.keys)
    for item in tuple(left):
        yield row(item)
        keys = []


def _after_reading(sheet: EntrySheet) -> str:
    back, home = sheet.profile.back, sheet.walk.home
    return f'After each part: {back} until the display shows "{home}". Nothing is kept on the way.'


def _untouched(sheet: EntrySheet) -> str:
    names = []
    for number in sheet.untouched:
        held = sheet.new.fields("zone", number)
        label = " ".join(held[field] for field in ("place", "label") if held.get(field))
        names.append(f"{number}{NBSP}{label}".strip())
    return ", ".join(names)
