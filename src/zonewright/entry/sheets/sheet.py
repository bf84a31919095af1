"""The entry sheet: every key to press, what the display shows, and what to look at before the key that accepts.

Rules of this file:
1. A sheet is what the driver did, noted stroke by stroke; it is replayed key by key to the wanted Programme before
   anybody gets it.
2. What to look at before the accepting key is a field of its own: looking there catches nearly every slip (`slips`).
3. No code is on a sheet. Whoever owns one keys it; the sheet leaves a blank.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from itertools import zip_longest
from types import MappingProxyType

from zonewright.entry.keypad.drive import drive
from zonewright.entry.keypad.pressing import heard, press
from zonewright.entry.keypad.showing import Display, display
from zonewright.entry.keypad.standing import KeypadState, answer_at, at_rest, present_value, programme_of, value_of
from zonewright.entry.keypad.strokes import Act, Driven, KeyingJob, Stroke
from zonewright.entry.sheets.recovery import WrongDevice, wrong_device
from zonewright.entry.sheets.walk import ClosingWalk, closing_walk
from zonewright.entry.slips.invited import silent_steps
from zonewright.panel.fixed import tells_station
from zonewright.panel.legal import as_shipped, beside, exists, settled
from zonewright.panel.profile import Profile, Style
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value, item_of

NOBODY: Mapping[int, str] = MappingProxyType({})
Group = tuple[str, ...]  # keys printed together: three digits, the code of one word


@dataclass(frozen=True, slots=True)
class AnswerChange:
    """One answer that a delta sheet changes; `old` None: it wasn't there, `new` None: it is taken out."""

    field: str
    old: Value | None
    new: Value | None


@dataclass(frozen=True, slots=True)
class SheetRow:
    """One question on paper."""

    number: int
    act: Act
    node: str
    shows: Display  # before the first key
    keys: tuple[Group, ...]  # all but the accepting key
    look: Display | None  # what to see before the accepting key
    accept: str | None  # the key that takes it; None if the last of `keys` does so by itself
    after: Display
    item: Item | None
    value: Value | None
    trip: str | None  # the number of the device to be tripped here
    until: bool  # `keys` is one key, pressed until the display shows `look`
    counted: bool  # it is known how often, since it is known what the question starts from
    own_code: bool  # the person keys their own digits here
    read_back: bool  # a slip here may stay silent: read it back
    changes: bool  # the answer differs from the present one

    @property
    def presses(self) -> int:
        """Return how many keys are pressed."""
        return sum(len(group) for group in self.keys) + (1 if self.accept else 0)

    @property
    def to_see(self) -> str:
        """Return the line that shows whether the keys were right; empty if there is nothing to look at.

        It is the first line that changed, or the one below the question: in a list the entry, not the value next to it.
        """
        look = self.look or ()
        changed = [line for line, before in zip_longest(look, self.shows, fillvalue="") if line and line != before]
        return next(iter(changed[:1] or [line for line in look if line][:2][-1:]), "")


@dataclass(frozen=True, slots=True)
class SheetJob:
    """One zone, person or run of settings on paper."""

    job: KeyingJob
    title: str
    changes: tuple[AnswerChange, ...]
    steps: tuple[SheetRow, ...]
    saved_at: tuple[int, ...]  # the steps at which the panel saves what was answered; () : each answer at once
    wrong_device: WrongDevice | None  # how to mend a wrong device, if one is tripped

    @property
    def new(self) -> bool:
        """Return whether the zone or person wasn't there before."""
        return bool(self.changes) and all(change.old is None for change in self.changes)


@dataclass(frozen=True, slots=True)
class EntrySheet:
    """A whole or a delta sheet."""

    profile: Profile
    old: Programme
    new: Programme
    jobs: tuple[SheetJob, ...]
    walk: ClosingWalk
    way_out: Group
    untouched: tuple[int, ...]  # zones that a delta leaves as they are

    @property
    def station(self) -> bool:
        """Return whether a station hears of what is done here, even if only until the last key."""
        return tells_station(self.profile, self.old, self.new)

    @property
    def presses(self) -> int:
        """Return how many keys are pressed in all, without the closing walk."""
        return sum(step.presses for job in self.jobs for step in job.steps)

    @property
    def trips(self) -> int:
        """Return how many devices are tripped."""
        return sum(step.trip is not None for job in self.jobs for step in job.steps)


class ReplayDiffers(AssertionError):
    """A sheet doesn't give back the plan when its keys are pressed: a mistake of ours, never of the user's."""


def whole(profile: Profile, programme: Programme, people: Mapping[int, str] = NOBODY) -> EntrySheet:
    """Return the sheet that brings a panel as shipped to a Programme; raises `NoWay` if the keypad can't do it."""
    return delta(profile, as_shipped(profile), programme, people)


def delta(profile: Profile, old: Programme, new: Programme, people: Mapping[int, str] = NOBODY) -> EntrySheet:
    """Return the shortest sheet that brings a panel from one Programme to another; raises `NoWay`.

    `people` gives the names of the people's slots, for the titles.
    """
    old = Programme(old.panel, settled(profile, old.values))  # an item that can't exist isn't unknown
    driven = drive(profile, old, new)
    silent = silent_steps(profile, driven)
    titles = [_title(profile, old, new, done.job, people) for done in driven]
    jobs = tuple(_on_paper(profile, done, silent[place], titles[place]) for place, done in enumerate(driven))
    touched = {job.job.number for job in jobs if job.job.group == "zone"}
    sheet = EntrySheet(
        profile,
        old,
        new,
        jobs,
        closing_walk(profile, new, list(zip(driven, silent, titles, strict=True))),
        _way_out(profile, driven),
        tuple(number for number in new.numbers("zone") if number not in touched),
    )
    result = replay(sheet)
    if result.values != new.values:
        raise ReplayDiffers("the printed keys don't give back the plan")
    return sheet


def replay(sheet: EntrySheet) -> Programme:
    """Press every printed key of a sheet on a fresh keypad and return what the panel then holds."""
    state = at_rest(sheet.profile, sheet.old)
    for job in sheet.jobs:
        for step in job.steps:
            state = keyed(sheet.profile, state, step)
    return programme_of(sheet.profile, state)


def keyed(profile: Profile, state: KeypadState, step: SheetRow) -> KeypadState:
    """Return the state after everything printed at one step was done."""
    for key in (*(key for group in step.keys for key in group), *((step.accept,) if step.accept else ())):
        state = press(profile, state, key)
    return heard(profile, state, step.trip) if step.trip is not None else state


def _on_paper(profile: Profile, done: Driven, silent: frozenset[int], title: str) -> SheetJob:
    steps = tuple(_step(profile, place, stroke, place in silent) for place, stroke in enumerate(done.strokes))
    saved_at, mend = _saved_at(profile, done.strokes), wrong_device(profile, done)
    return SheetJob(done.job, title, _changes(profile, done), steps, saved_at, mend)


def _saved_at(profile: Profile, strokes: Sequence[Stroke]) -> tuple[int, ...]:
    """Return the steps at which the keypad saved something; () if every answer was saved when it was given."""
    saved = [
        place
        for place, each in enumerate(strokes, 1)
        if each.after.held is not each.before.held and dict(each.after.held) != dict(each.before.held)
    ]
    answers = [each for each in strokes if each.act is Act.CHANGE]
    at_once = answers and all(not each.after.waiting and profile.script[each.node].keeps for each in answers)
    return () if at_once else tuple(saved)


def _step(profile: Profile, place: int, stroke: Stroke, silent: bool) -> SheetRow:
    node = profile.script[stroke.node]
    answer = answer_at(profile, node)
    scrolled = node.list_ is not None or (answer is not None and answer.style in (Style.OFFER, Style.SCROLL))
    accepts = _has_accepting_key(profile, stroke)
    keys = stroke.keys[:-1] if accepts else stroke.keys
    look: Display | None = None
    if accepts:
        state = stroke.before
        for key in keys:
            state = press(profile, state, key)
        look = display(profile, state)
    return SheetRow(
        place + 1,
        stroke.act,
        stroke.node,
        display(profile, stroke.before),
        _grouped(profile, stroke, keys),
        look,
        stroke.keys[-1] if accepts else None,
        display(profile, stroke.after),
        stroke.item,
        stroke.value,
        stroke.trip,
        until=(scrolled or _turned_from_unknown(profile, stroke)) and accepts and bool(keys),
        counted=not _starts_unknown(profile, stroke),
        own_code=stroke.act is Act.CODE or (answer is not None and answer.style is Style.SECRET and len(keys) > 1),
        read_back=silent,
        changes=stroke.act is Act.CHANGE or (stroke.trip is not None and _held(stroke) != stroke.trip),
    )


def _turned_from_unknown(profile: Profile, stroke: Stroke) -> bool:
    answer = answer_at(profile, profile.script[stroke.node])
    return answer is not None and answer.style is Style.WHEEL and _starts_unknown(profile, stroke)


def _starts_unknown(profile: Profile, stroke: Stroke) -> bool:
    """Return whether it is unknown what a question starts from, or which entries a list has."""
    node, state = profile.script[stroke.node], stroke.before
    for entry in node.list_ or ():
        look = value_of(profile, state, entry.echo or Item(f"{state.group}/*/?"))
        if any(look(when.field) == UNKNOWN for when in entry.when):
            return True
    return node.ask is not None and present_value(profile, state, node.ask) == UNKNOWN


def _held(stroke: Stroke) -> Value | None:
    return stroke.before.held.get(stroke.item) if stroke.item is not None else None


def _has_accepting_key(profile: Profile, stroke: Stroke) -> bool:
    """Return whether the last key of a stroke takes what the display shows before it."""
    node, last = profile.script[stroke.node], stroke.keys[-1] if stroke.keys else ""
    if node.list_ is not None:
        return stroke.act is Act.CHOICE
    if not stroke.keys or stroke.act not in (Act.CHANGE, Act.KEEP, Act.NUMBER, Act.LOOK):
        return False
    answer = answer_at(profile, node)
    if answer is None:
        return True
    if answer.style is Style.SECRET:
        return last not in answer.made_of
    return answer.style is not Style.FLAG and not last.isdigit()


def _grouped(profile: Profile, stroke: Stroke, keys: Group) -> tuple[Group, ...]:
    """Print a word's code together, the taps of one letter, the halves of a place; other digits in threes."""
    if stroke.act is Act.PLACE:
        return (keys[: profile.place_width], keys[profile.place_width :])
    answer = answer_at(profile, profile.script[stroke.node])
    size = 3
    if answer is not None and answer.style is Style.WORDS:
        size = answer.code_length
    elif len(keys) == 4 and all(key.isdigit() for key in keys):
        size = 4
    groups: list[Group] = []
    for key in keys:
        if answer is not None and answer.style is Style.LETTERS and groups:
            groups[-1] = (*groups[-1], key)
        elif answer is not None and answer.style is Style.TAP:
            if groups and groups[-1][-1] == key:
                groups[-1] = (*groups[-1], key)
            else:
                groups.append((key,))
        elif groups and key.isdigit() and groups[-1][-1].isdigit() and len(groups[-1]) < size:
            groups[-1] = (*groups[-1], key)
        else:
            groups.append((key,))
    return tuple(groups)


def _title(profile: Profile, old: Programme, new: Programme, job: KeyingJob, people: Mapping[int, str]) -> str:
    if job.group == "zone":
        held = (old if job.gone else new).fields("zone", job.number or 0)
        name = " ".join(held[field] for field in ("place", "label") if held.get(field))
        return f"zone {job.number} {name}" + (": take out" if job.gone else "")
    if job.group == "user":
        name = "" if job.gone else people.get(job.number or 0, "")
        return f"person {job.number} {name}".rstrip() + (": take out" if job.gone else "")
    if job.group:
        return f"{job.group} {job.number}" + (": take out" if job.gone else "")
    first = min(job.wanted, key=list(profile.items).index)
    return "station" if first.group == "station" else "times and habits"


def _changes(profile: Profile, done: Driven) -> tuple[AnswerChange, ...]:
    job, old, new = done.job, done.strokes[0].before.held, done.strokes[-1].after.held
    if job.group:
        items = [item_of(job.group, job.number or 0, field) for field in profile.groups[job.group]]
    else:
        items = list(job.wanted)
    changes = []
    for item in items:
        before, after = _shown(profile, old, item), _shown(profile, new, item)
        if before != after:
            changes.append(AnswerChange(item.words, before, after))
    return tuple(changes)


def _shown(profile: Profile, held: Mapping[Item, Value], item: Item) -> Value | None:
    """Return a value for the list of changes; None for an item that doesn't exist."""
    rule = profile.rule_of(item)
    return held.get(item) if rule is None or exists(rule, beside(item, held)) else None


def _way_out(profile: Profile, driven: Sequence[Driven]) -> Group:
    """Return the keys that lead back to rest from where the last job ends."""
    way: list[str] = []
    state = driven[-1].strokes[-1].after if driven else None
    while state is not None and state.node != profile.rest and len(way) < len(profile.script):
        way.append(profile.back)
        state = press(profile, state, profile.back)
    return tuple(way)
