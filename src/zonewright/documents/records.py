"""What a job pack prints, already in words.

Rules of this file:
1. The templates only ink: whatever needs a decision, a unit or a sentence is decided before it gets here.
2. Only texts, whole numbers, tuples and records of those, so that all of it goes to the templates as JSON.
3. No code of a person has a field. Where somebody keys their own, `Step.own_code` leaves blanks.
"""

from __future__ import annotations

from dataclasses import dataclass

from zonewright.entry.sheets.guide import Guide

Keys = tuple[tuple[str, ...], ...]  # groups of keys that are printed together
Lines = tuple[str, ...]  # of a keypad's display


@dataclass(frozen=True, slots=True)
class BigNumber:
    """One of the numbers on the cover."""

    number: int
    words: str


@dataclass(frozen=True, slots=True)
class Fact:
    """A name and what stands behind it."""

    name: str
    text: str


@dataclass(frozen=True, slots=True)
class CoverPage:
    """The first page."""

    name: str
    revision: str  # "revision 3 · 25 November 2026"
    facts: tuple[Fact, ...]
    numbers: tuple[BigNumber, ...]


@dataclass(frozen=True, slots=True)
class ZoneRow:
    """One zone of the schedule."""

    number: int
    label: str
    place: str  # where the device hangs, and what it guards
    area: str
    behaviour: str
    device: str
    serial: str  # the number that the panel holds, in threes
    chime: str
    reports: str
    watched: str
    fitted: str


@dataclass(frozen=True, slots=True)
class ChartGroup:
    """Settings that belong together."""

    title: str
    rows: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class StripBar:
    """Neighbouring modes in which the same comes of it; `sent` is empty where no message leaves."""

    span: int
    mark: str
    words: str
    sent: str


@dataclass(frozen=True, slots=True)
class StripRow:
    """Zones that act alike, each with its number and label; or only ranges where they are many."""

    zones: tuple[Fact, ...]
    ranges: str
    bars: tuple[StripBar, ...]


@dataclass(frozen=True, slots=True)
class StripArea:
    """The rows of one area, or of zones that have several."""

    name: str
    rows: tuple[StripRow, ...]


@dataclass(frozen=True, slots=True)
class StripTable:
    """What follows from one cause, zone by zone."""

    title: str
    areas: tuple[StripArea, ...]


@dataclass(frozen=True, slots=True)
class Foreseen:
    """What the panel will do."""

    modes: tuple[str, ...]
    tables: tuple[StripTable, ...]
    same: tuple[str, ...]  # sentences about what is the same for nearly all zones
    zones: tuple[tuple[int, str, str], ...]  # number, label, what it does


@dataclass(frozen=True, slots=True)
class FoundRow:
    """One finding; `accepted` tells who took it as it is, when and why, else it is empty."""

    mark: str  # "must mend", "look at", "not known"
    code: str
    thing: str
    place: str
    says: str
    why: str
    fix: str
    source: str
    accepted: str


@dataclass(frozen=True, slots=True)
class Found:
    """All findings, the worst first, then the accepted ones."""

    open: tuple[FoundRow, ...]
    accepted: tuple[FoundRow, ...]


@dataclass(frozen=True, slots=True)
class PrintedTap:
    """A key tapped so often that it gives a letter; no key: wait, until the letter before is closed."""

    key: str
    times: int
    gives: str


@dataclass(frozen=True, slots=True)
class PrintedRow:
    """One question at the keypad."""

    number: int
    shows: Lines
    keys: Keys
    times: int  # how often the one key is pressed until `look` is seen; 0: `keys` are pressed once
    taps: tuple[PrintedTap, ...]  # in place of `keys`, where letters share keys
    own_code: bool  # each key is a blank: the person's own digits
    trip: str  # the device to be tripped, or empty
    look: Lines  # what to see before the accepting key, or empty
    only_last: bool  # whether only the last line of `look` differs from `shows`
    accept: str  # the accepting key, or empty
    note: str  # instead of `look`, where there is no accepting key
    read_back: bool


@dataclass(frozen=True, slots=True)
class PrintedBlock:
    """One zone, person or run of settings."""

    title: str
    serial: str
    changes: tuple[tuple[str, str, str], ...]  # field, old, new
    steps: tuple[PrintedRow, ...]
    after: Lines
    stored: str
    wrong: str  # what to do where another device was tripped
    presses: int
    trips: int


@dataclass(frozen=True, slots=True)
class EndStep:
    """One lettered line of the first or the last frame; `write` asks for a time and a name by hand."""

    text: str
    keys: Keys
    own_code: bool
    shows: Lines
    write: bool


@dataclass(frozen=True, slots=True)
class ReadBackRow:
    """Keys to press, then one more, again and again (`until`, may be empty), until what must be seen."""

    keys: Keys
    until: str
    about: str
    shows: Lines


@dataclass(frozen=True, slots=True)
class ReadBackPart:
    """The reading back of one block."""

    title: str
    rows: tuple[ReadBackRow, ...]


@dataclass(frozen=True, slots=True)
class PrintedSheet:
    """A whole or a delta entry sheet."""

    title: str
    not_ready: tuple[str, ...]  # why nothing should be keyed yet; empty if it is ready
    sums: str
    columns: int  # of the displays as they are drawn
    advice: tuple[str, ...]
    first: tuple[EndStep, ...]
    blocks: tuple[PrintedBlock, ...]
    read_back: tuple[ReadBackPart, ...]
    after_reading: str
    untouched: str
    last: tuple[EndStep, ...]


@dataclass(frozen=True, slots=True)
class Checklist:
    """A list that somebody checks or fills in by hand."""

    title: str
    note: str
    headings: tuple[str, ...]
    widths: tuple[int, ...]  # of the columns [mm]; 0 takes what is left
    rows: tuple[tuple[str, ...], ...]
    ending: str
    tall: bool = False  # room for handwriting
    signed: bool = False  # two frames to sign in


@dataclass(frozen=True, slots=True)
class Drawing:
    """A picture with its list."""

    title: str
    scale: str
    svg: str
    wide: int  # on paper [mm]
    alt: str
    shown: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class ProofRow:
    """One promise of the panel and what became of it."""

    result: str  # holds, fails, holds only because it can't come to it, undecided
    says: str
    why: str  # beside the result; may be empty


@dataclass(frozen=True, slots=True)
class ProofGroup:
    """Promises of one sort."""

    title: str
    rows: tuple[ProofRow, ...]


@dataclass(frozen=True, slots=True)
class Proved:
    """Every promise, settled; each failure with its timeline, drawn and told."""

    basis: str
    groups: tuple[ProofGroup, ...]
    failures: tuple[Drawing, ...]


@dataclass(frozen=True, slots=True)
class RecordedTest:
    """One test of the record: what to do, and what must be noticed, each with a box."""

    number: str  # empty for what ends a period
    title: str
    where: str
    cautions: tuple[str, ...]
    do: tuple[Fact, ...]  # when, what
    expect: tuple[Fact, ...]  # when and where, what


@dataclass(frozen=True, slots=True)
class RecordedPeriod:
    """Tests for which the site is set once."""

    title: str
    begins: str
    tests: tuple[RecordedTest, ...]


@dataclass(frozen=True, slots=True)
class RecordedByHand:
    """What is tried besides the tests, a box for each row."""

    title: str
    note: str
    rows: tuple[Fact, ...]


@dataclass(frozen=True, slots=True)
class TestRecord:
    """The test plan as it is walked and ticked."""

    __test__ = False  # no test of pytest's

    sums: tuple[str, ...]
    first: tuple[str, ...]  # to do before, each with a box
    periods: tuple[RecordedPeriod, ...]
    by_hand: tuple[RecordedByHand, ...]
    last: tuple[str, ...]
    unshown: tuple[Fact, ...]  # why, and which fields


@dataclass(frozen=True, slots=True)
class Caution:
    """What to mind, and about what."""

    topic: str
    text: str


@dataclass(frozen=True, slots=True)
class PackData:
    """A whole job pack."""

    title: str
    cover: CoverPage
    schedule: tuple[ZoneRow, ...]
    chart: tuple[ChartGroup, ...]
    foreseen: Foreseen
    found: Found
    proved: Proved | None  # None: nothing was proved
    not_ready: tuple[str, ...]  # why nothing should be keyed yet; empty if it is ready
    sheets: tuple[PrintedSheet, ...]
    drawings: tuple[Drawing, ...]
    listings: tuple[Checklist, ...]
    walked: TestRecord | None  # None: no test plan was made
    householder: tuple[Guide, ...]
    call: str  # whom the household calls, as a sentence
    cautions: tuple[Caution, ...]
