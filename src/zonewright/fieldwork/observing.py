"""What a person in the house, and the monitoring station, can tell of what a panel did.

Rules of this file:
1. Only what can be heard, seen at the keypad, or read at the station is observed; nothing of the panel's inside.
2. Two observations are alike if the same things are noticed equally often, each within the tolerance of its time in
   the other: a stopwatch tells no second.
3. What can't be heard isn't noticed: a siren that already sounds, and the keypad while the siren sounds.
4. A message is what the station gets: its account, the name of the event, zone, user and area as numbers.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from enum import Enum

from zonewright.behaviour.clockwork import TimelineEntry
from zonewright.behaviour.events import Beeps, Chime, Message, Output, Shown, Siren, Spoken
from zonewright.behaviour.setup import Setup
from zonewright.panel.behaviours import Pattern
from zonewright.words.telling import SIRENS, output_in_words

TOLERANCE_S = 2  # of a stopwatch in somebody's hand; a choice of ours


class Sense(Enum):
    """Who can notice it."""

    SIREN = "all over the house"
    KEYPAD = "at the keypad"
    STATION = "at the station"


@dataclass(frozen=True, slots=True, order=True)
class Noticed:
    """One thing noticed, so many seconds after the start."""

    at: int
    sense: str  # the value of a `Sense`
    text: str


Observation = tuple[Noticed, ...]


class Unlike(Enum):
    """How two observations differ."""

    NOT = "alike"
    TIMES = "only in their times"
    THINGS = "in what is noticed"


def observed(
    setup: Setup, entries: Iterable[TimelineEntry], start: int, account: str = "", playing: Pattern = Pattern.NONE
) -> Observation:
    """Return all that can be noticed of a run, with seconds after `start`; `playing` is what sounded before it."""
    found = []
    for at, output in audible(entries, playing):
        text = _message(output, account) if isinstance(output, Message) else output_in_words(setup, output)
        found.append(Noticed(at - start, sense_of(output).value, text))
    return tuple(found)


def audible(entries: Iterable[TimelineEntry], playing: Pattern = Pattern.NONE) -> Iterator[tuple[int, Output]]:
    """Give every output of a run that somebody could notice, with its second; `playing` is what sounded before it."""
    for entry in entries:
        for output in entry.outputs:
            if isinstance(output, Siren):
                if output.pattern is playing:
                    continue
                playing = output.pattern
            elif playing in SIRENS and isinstance(output, Chime | Spoken | Beeps):
                continue
            yield entry.at, output


def sense_of(output: Output) -> Sense:
    """Return who can notice an output."""
    match output:
        case Message():
            return Sense.STATION
        case Siren() if output.pattern in SIRENS or output.pattern is Pattern.NONE:
            return Sense.SIREN
        case Siren() | Chime() | Spoken() | Shown() | Beeps():
            return Sense.KEYPAD


def unlike(one: Observation, other: Observation, tolerance: int = TOLERANCE_S) -> Unlike:
    """Return how two observations differ, times within `tolerance` [s] being equal."""
    if one == other:
        return Unlike.NOT
    first, second = _times(one), _times(other)
    if {what: len(times) for what, times in first.items()} != {what: len(times) for what, times in second.items()}:
        return Unlike.THINGS
    late = any(
        abs(a - b) > tolerance for what, times in first.items() for a, b in zip(times, second[what], strict=True)
    )
    return Unlike.TIMES if late else Unlike.NOT


def _times(observation: Observation) -> dict[tuple[str, str], list[int]]:
    found: defaultdict[tuple[str, str], list[int]] = defaultdict(list)
    for each in observation:
        found[each.sense, each.text].append(each.at)
    return {what: sorted(times) for what, times in found.items()}


def _message(message: Message, account: str) -> str:
    parts = [f'message "{message.name}"{" is over" if message.restore else ""}']
    parts += [f"zone {message.zone}"] if message.zone is not None else []
    parts += [f"user {message.user}"] if message.user is not None else []
    parts += [f"area {message.area}"] + ([f"account {account}"] if account else [])
    return ", ".join(parts)
