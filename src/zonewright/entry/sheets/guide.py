"""The householder's guide: one device, keyed by somebody who has never done it, with you on the telephone.

Rules of this file:
1. It gives the steps of a sheet that keys only this device, from the display at rest, and nothing else. Whoever asks
   for the guide says what the device does and how it is tried.
2. Short sentences, plain words, no codes: people key their own, and change it afterwards if anybody listened.
3. What to do when the display differs was tried on the keypad (`recovery.py`): the time-out, since `back` may keep
   a wrong answer that was taken; and if a wrong device was saved, the keys that really take it out again.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from itertools import groupby

from zonewright.entry.keypad.pressing import heard, idle, press
from zonewright.entry.keypad.standing import KeypadState, answer_at, at_rest, programme_of
from zonewright.entry.keypad.strokes import Act
from zonewright.entry.sheets.sheet import EntrySheet, SheetJob, SheetRow, delta
from zonewright.entry.sheets.text import key_words, leaving_words
from zonewright.panel.profile import Profile
from zonewright.panel.programme import item_of

SET_OFF = {
    "opening": "Open it. Then shut it again.",
    "movement": "Walk past the sensor.",
    "water": "Touch both of its pins with a damp cloth.",
    "a push": "Push the button.",
}

ONCE = "Set it off once."
COUNTS = {4: "four", 5: "five", 6: "six", 7: "seven", 8: "eight"}


@dataclass(frozen=True, slots=True)
class Action:
    """One numbered thing to do: what to press, what must show; `aloud`: read out what it shows before pressing."""

    number: int
    do: str
    see: str
    aloud: bool


@dataclass(frozen=True, slots=True)
class Guide:
    """One page for a householder."""

    title: str
    does: str  # what it will do, in one or two sentences
    first: tuple[str, ...]
    actions: tuple[Action, ...]
    test: tuple[str, ...]
    differs: tuple[str, ...]
    code: tuple[str, ...]


def for_one_zone(sheet: EntrySheet, zone: int) -> EntrySheet:
    """Return the sheet that keys only this zone, from the display at rest; raises KeyError if nothing of it is keyed.

    Raises `NoWay` if the keypad can't do it.
    """
    items = {item: sheet.new.get(item) for item in {*sheet.old, *sheet.new} if item.thing == f"zone/{zone}"}
    made = delta(sheet.profile, sheet.old, sheet.old.changed(items))
    if not any(job.job.group == "zone" and job.job.number == zone and not job.job.gone for job in made.jobs):
        raise KeyError(zone)
    return made


def guide(
    sheet: EntrySheet,
    zone: int,
    does: str,
    test: Sequence[str],
    first: Sequence[str] = (),
    last: Sequence[str] = (),
    set_off: str = ONCE,
) -> Guide:
    """Return the guide for one zone, from a sheet that keys only this zone (`for_one_zone`).

    `does` says what the zone will do, `test` how it is tried and what must be noticed, `first` what to do before the
    first key in addition to what every device needs, `last` what to do once all is well; `set_off` says how its device
    is set off.

    Raises
    ------
    KeyError
        If the sheet has no job for that zone.
    """
    job = next((each for each in sheet.jobs if each.job.group == "zone" and each.job.number == zone), None)
    if job is None or job.job.gone:
        raise KeyError(zone)
    actions = [_action(sheet.profile, number, step, set_off) for number, step in enumerate(job.steps, 1)]
    label = sheet.new.get(item_of("zone", zone, "label")) or f"zone {zone}"
    wait = sheet.profile.times_out.after
    rest = sheet.profile.script[sheet.profile.rest].says
    return Guide(
        f"Your {label}",
        does,
        (
            *first,
            "Stand at the keypad with the phone.",
            "Have the new part in your hand.",
            "Tell me whenever the display is not as I say.",
        ),
        tuple(actions),
        (f'Press {" ".join(sheet.way_out)} until you see "{rest}".', *test, "If so, it is done.", *last),
        (
            f"Press no key for {wait} seconds.",
            f'It then shows "{rest}".',
            *_nothing_lost(sheet, job),
            *_another_number(sheet.profile, job, set_off),
        ),
        (
            "You press your own code. Nobody asks you for it.",
            "Did anyone hear or see it? Change it when we are done.",
        ),
    )


def _nothing_lost(sheet: EntrySheet, job: SheetJob) -> tuple[str, ...]:
    """Return what is saved by then: nothing, if only the last steps save; else whether to begin again."""
    if job.saved_at and min(job.saved_at) >= len(job.steps) - 1:
        return (f"Nothing is broken. Nothing is saved before step {min(job.saved_at)}.", "Then start again at step 1.")
    saved = "A part of it is saved, and not right yet."
    if _mends_from_the_start(sheet, job):
        return (saved, "So start again at step 1, and go on to the end.")
    return (saved, "So stay on the phone, and tell me what you see.")


def _mends_from_the_start(sheet: EntrySheet, job: SheetJob) -> bool:
    """Return whether keying the part again from its first key makes it right after a time-out at any step."""
    profile, state = sheet.profile, at_rest(sheet.profile, sheet.old)
    strokes = [
        (tuple(key for group in step.keys for key in group) + ((step.accept,) if step.accept else ()), step.trip)
        for step in job.steps
    ]

    def keyed(before: KeypadState, some: Sequence[tuple[tuple[str, ...], str | None]]) -> KeypadState:
        for keys, trip in some:
            for key in keys:
                before = press(profile, before, key)
            before = heard(profile, before, trip) if trip is not None else before
        return before

    wanted = programme_of(profile, keyed(state, strokes))
    for place in range(len(strokes)):
        state = keyed(state, strokes[place : place + 1])
        if programme_of(profile, keyed(idle(profile, state), strokes)) != wanted:
            return False
    return True


def _another_number(profile: Profile, job: SheetJob, set_off: str) -> tuple[str, ...]:
    """Return what to do if another device was heard than the one meant, as it was tried on the keypad."""
    mend = job.wrong_device
    if mend is None:
        return ()
    head = f"At step {mend.step} you see another number than {mend.number}?"
    if not mend.strokes:
        return (f"{head} Press {key_words([(key,) for key in mend.keys])}. Go on from step {mend.again}.",)
    lines = [f"{head} The wrong part is in.", leaving_words(profile, mend)]
    alike = groupby(mend.strokes, key=lambda stroke: (stroke.act is Act.CODE, stroke.keys, stroke.trip))
    for (own, pressed, trip), same in alike:
        count = len(list(same))
        often = "" if count == 1 else f" {count} times"
        if own:
            lines.append("Press your own code.")
        elif pressed:
            lines.append(f"Press {key_words([pressed])}{often}.")
        if trip is not None:
            lines.append(f"{set_off} You must see {trip}.")
    return (*lines, *(("Then start again at step 1.",) if mend.whole_again else ()))


def set_off_words(senses: str) -> str:
    """Return how somebody sets off a device that senses this."""
    return SET_OFF.get(senses, ONCE)


def _action(profile: Profile, number: int, step: SheetRow, set_off: str) -> Action:
    see = f"It shows {_quoted(step.after)}."
    if step.act is Act.CODE:
        return Action(number, _own(profile, step, "your own"), see, False)
    if step.trip is not None:
        return Action(number, set_off, f"{see} Read me the number.", False)
    if step.own_code:
        return Action(number, _own(profile, step, "the new"), see, False)
    if step.until:
        press = f"Press {step.keys[0][0]} until you see {_answer(step)}. Then press {step.accept}."
    elif step.look is not None and step.keys:
        press = f"Press {key_words(step.keys)}. You must see {_answer(step)}. Then press {step.accept}."
    elif step.look is not None:
        press = f"You see {_answer(step)}. Press {step.accept}."
    elif step.read_back:
        return Action(number, f"Tell me what it shows. Then press {key_words(step.keys)}.", see, True)
    else:
        press = f"Press {key_words(step.keys)}."
    return Action(number, press, see, step.read_back)


def _own(profile: Profile, step: SheetRow, whose: str) -> str:
    """Return how somebody keys their own code."""
    answer = answer_at(profile, profile.script[step.node])
    assert answer is not None
    width = answer.width or 1
    keys = "numbers" if all(key.isdigit() for key in answer.made_of) else "keys"
    then = f" Then press {step.accept}." if step.accept else ""
    return f"Press {whose} {COUNTS.get(width, str(width))} {keys}.{then}"


def _answer(step: SheetRow) -> str:
    return f'"{step.to_see}"' if step.to_see else "it"


def _quoted(display: tuple[str, ...]) -> str:
    lines = [line for line in display if line.strip("_-")]
    return " and ".join(f'"{line}"' for line in lines)
