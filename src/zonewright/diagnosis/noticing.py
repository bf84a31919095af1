"""What somebody noticed and where they stood, and whether a run shows exactly that; `noticing_text.py` reads the line.

Rules of this file:
1. The list of what can be noticed is closed (`SIGNS`); names in it are the site's, the panel's or the model's own.
2. What isn't mentioned isn't judged. `nothing` says that nothing came of all that can be noticed from there.
3. Time counts from the first act that isn't arming or disarming; from the start if there is none.
4. The station knows zones by their numbers and names them by the plan, whatever label the panel holds.
5. If somebody can't notice a thing from where they are, its absence says nothing. Whoever mentions messages has asked
   the station.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass
from enum import Enum

from zonewright.behaviour.events import (
    Beeps,
    Chime,
    Message,
    Output,
    Shown,
    Siren,
    Sound,
    Spoken,
)
from zonewright.behaviour.setup import Setup
from zonewright.fieldwork.conditions import Channel
from zonewright.fieldwork.surroundings import channel_of
from zonewright.panel.behaviours import Pattern
from zonewright.site.record import span
from zonewright.words.telling import label, output_in_words
from zonewright.words.tracks import NUMBERS, Names, called

ROUNDED_S = 5  # times are printed to the nearest multiple [s]
STOPWATCH_S = 3  # a stated time counts as right if it is off by no more [s]: less than a panel's usual step


class Whereabouts(Enum):
    """Where somebody was; the value is how it is written."""

    KEYPAD = "the keypad"
    ROOM = "the room"
    GARDEN = "the garden"
    STATION = "the station"


HEARS = {  # choices of ours, no source: a chime is made to be heard all over a home, a display is read in front of it
    Whereabouts.KEYPAD: frozenset({Channel.SIREN, Channel.SOUNDS, Channel.DISPLAY}),
    Whereabouts.ROOM: frozenset({Channel.SIREN, Channel.SOUNDS}),
    Whereabouts.GARDEN: frozenset({Channel.SIREN}),
    Whereabouts.STATION: frozenset({Channel.STATION}),
}

# What can be noticed: how it is written, by what channel, and whether a name or a text may follow.
SIGNS: Mapping[str, tuple[Channel, bool]] = {
    "siren": (Channel.SIREN, False),
    "fire siren": (Channel.SIREN, False),
    "gas siren": (Channel.SIREN, False),
    "siren inside": (Channel.SIREN, False),
    "it is silent": (Channel.SIREN, False),  # what sounded ends
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
SILENCE, FAST, IS_OVER = "it is silent", "fast", " is over"
_PATTERN = {Pattern.FIRE: "fire siren", Pattern.GAS: "gas siren", Pattern.BURGLARY: "siren",
            Pattern.INSIDE: "siren inside", Pattern.TROUBLE: "trouble tone",
            Pattern.MEDICAL: "medical tone", Pattern.NONE: SILENCE}  # fmt: skip
_SOUND = {
    Sound.EXIT: "exit beeps", Sound.EXIT_LAST_TEN: "exit beeps", Sound.ENTRY: "entry beeps",
    Sound.ENTRY_LAST_TEN: "entry beeps", Sound.CONFIRM: "confirming chirp", Sound.REFUSED: "refusal",
    Sound.TROUBLE: "trouble tone",
}  # fmt: skip
_FAST = frozenset({Sound.EXIT_LAST_TEN, Sound.ENTRY_LAST_TEN})


@dataclass(frozen=True, slots=True)
class Sign:
    """One thing to notice, perhaps with its name or text, and after how many seconds it came."""

    kind: str
    text: str = ""
    after: int | None = None
    exact: str = ""  # the whole line of a display, name of a message or words of a voice
    about: tuple[str, ...] = ()  # the whole names of a message's zone, area and person

    def __str__(self) -> str:
        exact = f' "{self.exact}"' if self.exact else ""
        after = f" after {self.after} s" if self.after is not None else ""
        about = "".join(f", {each}" for each in self.about)
        return f"{self.kind}{exact}{f' {self.text}' if self.text else ''}{about}{after}"


@dataclass(frozen=True, slots=True)
class Noticing:
    """What was noticed, what was not, and from where."""

    came: tuple[Sign, ...] = ()
    missed: tuple[Sign, ...] = ()
    nothing: bool = False
    spot: Whereabouts = Whereabouts.KEYPAD
    sure: bool = True

    @property
    def speaks_of_station(self) -> bool:
        """Return whether it says anything about what the station got."""
        signs = (*self.came, *self.missed)
        heard = {SIGNS[sign.kind][0] for sign in signs} | (HEARS[self.spot] if self.nothing else set())
        return Channel.STATION in heard


@dataclass(frozen=True, slots=True)
class Sensed:
    """One thing that people can notice in a run: its sign, with all its text, and its second.

    The text has areas and people both by their numbers and by the site's names for them.
    """

    at: int
    kind: str
    text: str
    channel: Channel
    whole: frozenset[str] = frozenset()  # its words or its name, in each spelling
    about: frozenset[str] = frozenset()  # the zone, area and person that it is about


def sensed(
    setup: Setup, right: Setup, outputs: Iterable[tuple[int, Output]], start: int, names: Names = NUMBERS
) -> list[Sensed]:
    """Return all that can be noticed in a run, with seconds after `start`.

    `setup` is what the panel holds, `right` what is planned.
    """
    labels = {zone.label for zone in right.zones}
    found = []
    for at, output in outputs:
        kind, whole, *about = _sign_of(setup, right, output)
        spelled = {whole, called(whole, names)}
        whose = {*about, *({called(each, names) for each in about} - labels)}  # a name of a zone, too, is the zone's
        text = " ".join(sorted({*spelled, *whose}))
        lowered = (frozenset(each.casefold() for each in some) for some in (spelled, whose))
        found.append(Sensed(at - start, kind, text, channel_of(output), *lowered))
    return found


def _sign_of(setup: Setup, right: Setup, output: Output) -> tuple[str, ...]:
    """Return the sign of an output, its words or name, and what it is about."""
    match output:
        case Siren():
            return _PATTERN[output.pattern], ""
        case Chime():
            return "chime", output.kind
        case Spoken():
            return "spoken", label(setup, output.zone)
        case Beeps():
            return _SOUND[output.sound], FAST if output.sound in _FAST else ""
        case Shown():
            return "display", output_in_words(setup, output).removeprefix('display: "').removesuffix('"')
        case Message():
            by = (f"user {output.user}",) if output.user is not None else ()
            zone = (label(right, output.zone),) if output.zone is not None else ()
            return "message", f"{output.name}{IS_OVER if output.restore else ''}", *zone, *by, f"area {output.area}"


def fits(noticing: Noticing, run: Sequence[Sensed], whole: Sequence[Sensed]) -> bool:
    """Return whether a run shows all that came and nothing that didn't.

    `whole` also has what the display repeats about troubles elsewhere: that may be mentioned, but needn't be.
    """
    hears = HEARS[noticing.spot]
    if noticing.nothing and any(each.channel in hears and each.kind != SILENCE for each in run):
        return False
    asked = hears | {Channel.STATION}
    return all(any(_is(sign, each) for each in whole) for sign in noticing.came) and not any(
        _is(sign, each) for sign in noticing.missed for each in run if SIGNS[sign.kind][0] in asked
    )


def _is(sign: Sign, what: Sensed) -> bool:
    same = sign.kind == what.kind or (sign.kind == "siren" and what.kind in ("fire siren", "gas siren"))
    in_time = sign.after is None or abs(sign.after - what.at) <= STOPWATCH_S
    exact = not sign.exact or sign.exact.casefold() in what.whole
    of_it = all(each.casefold() in what.about for each in sign.about)
    return (
        same
        and in_time
        and exact
        and of_it
        and all(word in what.text.casefold() for word in sign.text.casefold().split())
    )


def in_words(setup: Setup, right: Setup, outputs: Iterable[tuple[int, Output]], start: int, names: Names) -> str:
    """Return all that is noticed in a run as one line, times to the nearest five seconds; `nothing` if nothing is."""
    told: dict[str, None] = {}
    for at, output in outputs:
        after = ROUNDED_S * round((at - start) / ROUNDED_S)
        told.setdefault(called(_clause(setup, right, output), names) + (f" after {span(after)}" if after else ""))
    return "; ".join(told) or NOTHING


def _clause(setup: Setup, right: Setup, output: Output) -> str:
    if not isinstance(output, Message):
        return output_in_words(setup, output)
    zone = right.zone(output.zone) if output.zone is not None else None
    elsewhere = f", area {output.area}" if zone is not None and output.area != zone.home else ""
    return output_in_words(right, output) + elsewhere
