"""What somebody noticed and where they stood, as one plain line, and whether a run shows just that.

    back door opens: chime, display back door open, not siren, not message
    arm away; leave by front door; +2 h back door opens: nothing, from the garden, not sure

Rules of this file:
1. The list of what can be noticed is closed (`SIGNS`); a name in it is the site's, the panel's or the model's own.
2. What isn't mentioned isn't judged. `nothing` says that nothing of all that can be noticed from there came.
3. It counts from the first thing that is done other than arming and disarming; from the start if there is none.
4. The station knows zones by their numbers and names them by the plan, whatever label the panel holds.
5. From where somebody can't notice a thing, its absence says nothing. Who speaks of messages has asked the station.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum

from zonewright.behaviour.events import (
    Beeps,
    Chime,
    Line,
    Message,
    Output,
    Shown,
    Siren,
    SiteTrouble,
    Sound,
    Spoken,
    Told,
    Trouble,
)
from zonewright.behaviour.setup import Setup
from zonewright.behaviour.telling import label, output_in_words, span
from zonewright.behaviour.tracks import Names, called
from zonewright.fieldwork.conditions import Channel
from zonewright.fieldwork.surroundings import channel_of
from zonewright.panel.behaviours import Pattern
from zonewright.site.record import seconds

STOPWATCH_S = 5  # times are told to so many seconds


class Spot(Enum):
    """Where somebody was; the value is how it is written."""

    KEYPAD = "the keypad"
    ROOM = "the room"
    GARDEN = "the garden"
    STATION = "the station"


HEARS = {  # choices of ours, no source: a chime is made to be heard all over a home, a display is read in front of it
    Spot.KEYPAD: frozenset({Channel.SIREN, Channel.SOUNDS, Channel.DISPLAY}),
    Spot.ROOM: frozenset({Channel.SIREN, Channel.SOUNDS}),
    Spot.GARDEN: frozenset({Channel.SIREN}),
    Spot.STATION: frozenset({Channel.STATION}),
}

# What can be noticed: how it is written, by what channel, and whether a name or a text may follow.
SIGNS: Mapping[str, tuple[Channel, bool]] = {
    "siren": (Channel.SIREN, False),
    "fire siren": (Channel.SIREN, False),
    "gas siren": (Channel.SIREN, False),
    "siren inside": (Channel.SIREN, False),
    "chime": (Channel.SOUNDS, True),
    "spoken": (Channel.SOUNDS, True),
    "trouble tone": (Channel.SOUNDS, False),
    "medical tone": (Channel.SOUNDS, False),
    "exit beeps": (Channel.SOUNDS, False),
    "entry beeps": (Channel.SOUNDS, False),
    "refusal": (Channel.SOUNDS, False),
    "confirming chirp": (Channel.SOUNDS, False),
    "display": (Channel.DISPLAY, True),
    "message": (Channel.STATION, True),
}
NOTHING = "nothing"
FORMS = (
    *(f"{sign} [TEXT]" if more else sign for sign, (_, more) in SIGNS.items()), NOTHING,
    "not SIGN", "SIGN after 30 s", *(f"from {spot.value}" for spot in Spot), "not sure",
)  # fmt: skip
_PATTERN = {Pattern.FIRE: "fire siren", Pattern.GAS: "gas siren", Pattern.BURGLARY: "siren",
            Pattern.INSIDE: "siren inside", Pattern.TROUBLE: "trouble tone",
            Pattern.MEDICAL: "medical tone"}  # fmt: skip
_SOUND = {
    Sound.EXIT: "exit beeps", Sound.EXIT_LAST_TEN: "exit beeps", Sound.ENTRY: "entry beeps",
    Sound.ENTRY_LAST_TEN: "entry beeps", Sound.CONFIRM: "confirming chirp", Sound.REFUSED: "refusal",
    Sound.TROUBLE: "trouble tone",
}  # fmt: skip
_AFTER = re.compile(r"(?P<sign>.+?) after (?P<time>\d{1,5} ?(?:s|min|h))")


@dataclass(frozen=True, slots=True)
class Sign:
    """One thing to notice, perhaps with a name or text of it, and so many seconds after it began."""

    kind: str
    text: str = ""
    after: int | None = None

    def __str__(self) -> str:
        return f"{self.kind}{f' {self.text}' if self.text else ''}{f' after {self.after} s' if self.after else ''}"


@dataclass(frozen=True, slots=True)
class Noticing:
    """What was noticed, what was not, and from where."""

    came: tuple[Sign, ...] = ()
    missed: tuple[Sign, ...] = ()
    nothing: bool = False
    spot: Spot = Spot.KEYPAD
    sure: bool = True


@dataclass(frozen=True, slots=True)
class Sensed:
    """One thing that a run lets people notice: the sign of it, with all its text, and its seconds."""

    at: int
    kind: str
    text: str
    channel: Channel


def sensed(setup: Setup, right: Setup, outputs: Iterable[tuple[int, Output]], start: int) -> list[Sensed]:
    """Return all that can be noticed of a run, with seconds after `start`; what ends in silence is nothing.

    `setup` is what the panel holds, `right` what is planned.
    """
    found = []
    for at, output in outputs:
        kind, text = _sign_of(setup, right, output)
        if kind:
            found.append(Sensed(at - start, kind, text, channel_of(output)))
    return found


def _sign_of(setup: Setup, right: Setup, output: Output) -> tuple[str, str]:
    match output:
        case Siren():
            return _PATTERN.get(output.pattern, ""), ""
        case Chime():
            return "chime", output.kind
        case Spoken():
            return "spoken", label(setup, output.zone)
        case Beeps():
            return _SOUND[output.sound], ""
        case Shown():
            return "display", output_in_words(setup, output).removeprefix('display: "').removesuffix('"')
        case Message():
            return "message", f"{output.name}{' is over' if output.restore else ''}, {label(right, output.zone)}"


def fits(noticing: Noticing, run: Sequence[Sensed], whole: Sequence[Sensed]) -> bool:
    """Return whether a run shows all that came and nothing of what didn't.

    `whole` has besides what the display says again of troubles elsewhere: it may be named, but nobody need heed it.
    """
    hears = HEARS[noticing.spot]
    if noticing.nothing and any(each.channel in hears for each in run):
        return False
    asked = hears | {Channel.STATION}
    return all(any(_is(sign, each) for each in whole) for sign in noticing.came) and not any(
        _is(sign, each) for sign in noticing.missed for each in run if SIGNS[sign.kind][0] in asked
    )


def _is(sign: Sign, what: Sensed) -> bool:
    same = sign.kind == what.kind or (sign.kind == "siren" and what.kind in ("fire siren", "gas siren"))
    in_time = sign.after is None or abs(sign.after - what.at) <= STOPWATCH_S
    return same and in_time and all(word in what.text.casefold() for word in sign.text.casefold().split())


def in_words(setup: Setup, right: Setup, outputs: Iterable[tuple[int, Output]], start: int, names: Names) -> str:
    """Return all that is noticed of a run as one line, times to the nearest five seconds; `nothing` if that is all."""
    told: dict[str, None] = {}
    for at, output in outputs:
        after = STOPWATCH_S * round((at - start) / STOPWATCH_S)
        told.setdefault(called(_clause(setup, right, output), names) + (f" after {span(after)}" if after else ""))
    return "; ".join(told) or NOTHING


def _clause(setup: Setup, right: Setup, output: Output) -> str:
    if not isinstance(output, Message):
        return output_in_words(setup, output)
    zone = right.zone(output.zone) if output.zone is not None else None
    elsewhere = f", area {output.area}" if zone is not None and output.area != zone.home else ""
    return output_in_words(right, output) + elsewhere


# Reading --------------------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Unread:
    """A part that can't be read: what stood there, what is wrong, what may stand there, and words to look for near."""

    wrote: str
    says: str
    allowed: tuple[str, ...]
    words: tuple[str, ...] = ()


def vocabulary(setup: Setup) -> Mapping[str, tuple[str, ...]]:
    """Return the texts that may follow a sign, of which any words may be left out."""
    labels = tuple(zone.label for zone in setup.zones)
    behaviours = [zone.behaviour for zone in setup.zones]
    names = {each for one in behaviours for each in (one.alarm, one.warning) if each}
    names |= {each.value for each in (*Told, *Trouble, *SiteTrouble)}
    return {
        "chime": tuple(sorted({zone.chime for zone in setup.zones} - {"none", "spoken"})),
        "spoken": labels,
        "display": (*(line.value for line in Line), *labels),
        "message": (*sorted(names), *labels, "is over"),
    }


def read_noticing(text: str, words: Mapping[str, tuple[str, ...]]) -> tuple[Noticing, list[Unread]]:
    """Return what one line of signs says, and every part of it that can't be read."""
    came: list[Sign] = []
    missed: list[Sign] = []
    unread: list[Unread] = []
    nothing, spot, sure = False, Spot.KEYPAD, True
    for part in (" ".join(each.split()) for each in text.split(",")):
        low = part.casefold()
        if low == NOTHING:
            nothing = True
        elif low == "not sure":
            sure = False
        elif low.startswith("from "):
            where = next((each for each in Spot if low.removeprefix("from ") in (each.value, each.value[4:])), None)
            if where is None:
                unread.append(Unread(part, "nobody can stand there", tuple(f"from {each.value}" for each in Spot)))
            spot = where or spot
        elif part:
            negated = low.startswith(("not ", "no "))
            sign = _read_sign(part.partition(" ")[2] if negated else part, words, unread)
            if sign is not None:
                (missed if negated else came).append(sign)
    if not (came or missed or nothing or unread):
        unread.append(Unread(text, "it isn't said what was noticed", FORMS))
    both = (sign for sign in came if nothing or sign in missed)
    unread += [Unread(str(sign), "it came and it didn't: one of the two can't be", ()) for sign in both]
    return Noticing(tuple(came), tuple(missed), nothing, spot, sure), unread


def _read_sign(part: str, words: Mapping[str, tuple[str, ...]], unread: list[Unread]) -> Sign | None:
    after = None
    if timed := _AFTER.fullmatch(part):
        part, after = timed["sign"], seconds(timed["time"])
    low = part.casefold()
    kind = max((sign for sign in SIGNS if low == sign or low.startswith(f"{sign} ")), key=len, default=None)
    if kind is None:
        unread.append(Unread(part, "this is nothing that can be noticed", FORMS, tuple(SIGNS)))
        return None
    text = part[len(kind) :].strip().strip('"')
    if text and not SIGNS[kind][1]:
        unread.append(Unread(part, f"nothing follows {kind}", FORMS, tuple(SIGNS)))
        return None
    known = {word for each in words.get(kind, ()) for word in each.casefold().split()}
    if strange := [word for word in text.casefold().split() if word not in known]:
        allowed = words.get(kind, ())
        unread.append(Unread(text, f'no {kind} has "{strange[0]}" in it', allowed[:20], allowed))
        return None
    return Sign(kind, text, after)
