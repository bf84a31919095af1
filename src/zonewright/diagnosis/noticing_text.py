"""What somebody noticed and where they stood, read from one plain line.

    back door opens: chime, display back door open, not siren, not message
    arm away; leave by front door; +2 h back door opens: nothing, from the garden, not sure
    back door opens: siren sounds, display: "back door alarm", message "perimeter alarm", back door after 30 s

Rules of this file:
1. The list of what can be noticed is closed (`SIGNS`); names in it are the site's, the panel's or the model's own.
2. Every output that `play`, `explain` and `matrix` print is read as it is printed, with names of areas and people.
3. What is written as it is printed (a display's line, a message's name, a spoken label) must match as a whole; single
   words may be any of its words.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field

from zonewright.behaviour.events import DisplayLine
from zonewright.behaviour.setup import Setup
from zonewright.diagnosis.noticing import FAST, IS_OVER, NOTHING, SIGNS, SILENCE, Noticing, Sign, Whereabouts
from zonewright.fieldwork.conditions import Channel
from zonewright.panel.profile import Profile
from zonewright.panel.programme import Item
from zonewright.site.record import seconds
from zonewright.words import quoting
from zonewright.words.matrix import ARMS
from zonewright.words.message_kinds import message_names
from zonewright.words.tracks import NUMBERS, Names

FORMS = (
    *(f"{sign} [TEXT]" if more else sign for sign, (_, more) in SIGNS.items()), NOTHING,
    "not SIGN", "SIGN after 30 s", *(f"from {spot.value}" for spot in Whereabouts), "not sure",
)  # fmt: skip
_UNLABELLED = re.compile(r"zone \d{1,4}")  # the name of a zone without a label, or that isn't in the plan
_TIME = r"\d{1,5} ?(?:s|min|h)"
_AFTER = re.compile(rf"(?P<sign>.+?) (?:after (?P<time>{_TIME}(?: {_TIME}){{0,2}})|at once)")
_WHOLE = re.compile(r'(?P<kind>display:|message|panel says) "(?P<whole>.*?)"(?P<over> is over)?(?P<rest>.*)')
_PRINTED = {"display:": "display", "message": "message", "panel says": "spoken"}
_HEARD = (Channel.SIREN, Channel.SOUNDS)
_NOT_HEARD = tuple(Sign(sign) for sign, (by, _) in SIGNS.items() if by in _HEARD and sign != SILENCE)
_ARMED = {words: line.value for line, words in ARMS.items()} | {"disarms": DisplayLine.DISARMED.value}
_MARKS: Mapping[str, tuple[tuple[Sign, ...], tuple[Sign, ...]]] = {  # of the matrix: what came, and what didn't
    "silent": ((), _NOT_HEARD),
    "shown": ((Sign("display"),), ()),
    "shown only": ((Sign("display"),), (*_NOT_HEARD, Sign("message"))),
    "sent": ((Sign("message"),), ()),
    "says its label": ((Sign("spoken"),), ()),
    **{words: ((Sign("display", line),), ()) for words, line in _ARMED.items()},
}


@dataclass(frozen=True, slots=True)
class Unread:
    """A part that can't be read: what was written, what is wrong, what is allowed, and words to compare it with."""

    wrote: str
    says: str
    allowed: tuple[str, ...]
    words: tuple[str, ...] = ()


@dataclass(frozen=True)
class Vocabulary:
    """The texts that may follow a sign, in which words may be left out, and what may follow a message's name."""

    texts: Mapping[str, tuple[str, ...]]
    whose: frozenset[str] = frozenset()  # labels, areas and people
    labels: tuple[str, ...] = ()
    messages: frozenset[str] = frozenset()
    known: Mapping[str, frozenset[str]] = field(init=False)  # each single word

    def __post_init__(self) -> None:
        known = {kind: frozenset(" ".join(texts).casefold().split()) for kind, texts in self.texts.items()}
        object.__setattr__(self, "known", known)


def vocabulary(
    setup: Setup, names: Names = NUMBERS, also: Iterable[str] = (), profile: Profile | None = None
) -> Vocabulary:
    """Return the words of a site and its panel; `also` are labels that a wrong panel may have.

    A zone that was keyed wrong may send and sound what any other behaviour or chime of the panel does.
    """
    labels = tuple(zone.label for zone in setup.zones)
    behaviours = [zone.behaviour for zone in setup.zones] + ([] if profile is None else [*profile.behaviours.values()])
    answer = None if profile is None else profile.answer_of(Item("zone/1/chime"))
    chimes = {zone.chime for zone in setup.zones} | set(answer.choices if answer is not None else ())
    messages = message_names(behaviours)
    areas = tuple(each for area in setup.areas for each in (f"area {area}", names.get(f"area {area}", "")) if each)
    people = tuple(each for key, name in names.items() if key.startswith("user ") for each in (key, name))
    spoken = (*labels, *dict.fromkeys(also), "zone")
    texts = {
        "chime": tuple(sorted(chimes - {"none", "spoken"})),
        "spoken": spoken,
        "display": (*(line.value for line in DisplayLine), *spoken, *areas),
        "message": (*sorted(messages), *labels, *areas, *people, "zone", "user", IS_OVER.strip()),
        "exit beeps": (FAST,),
        "entry beeps": (FAST,),
    }
    whose = frozenset(each.casefold() for each in (*labels, *areas, *people))
    return Vocabulary(texts, whose, labels, messages)


def read_noticing(text: str, words: Vocabulary) -> tuple[Noticing, list[Unread]]:
    """Return what one line of signs says, and every part of it that can't be read."""
    came: list[Sign] = []
    missed: list[Sign] = []
    unread: list[Unread] = []
    nothing, spot, sure = False, Whereabouts.KEYPAD, True
    for part, *about in _parts(text, words):
        low = part.casefold()
        if low == NOTHING:
            nothing = True
        elif low == "not sure":
            sure = False
        elif low in _MARKS:
            came += _MARKS[low][0]
            missed += _MARKS[low][1]
        elif low.startswith("from "):
            where = next(
                (each for each in Whereabouts if low.removeprefix("from ") in (each.value, each.value[4:])), None
            )
            if where is None:
                unread.append(
                    Unread(part, "nobody can stand there", tuple(f"from {each.value}" for each in Whereabouts))
                )
            spot = where or spot
        else:
            negated = low.startswith(("not ", "no "))
            sign = _read_sign(part.partition(" ")[2] if negated else part, about, words, unread)
            if sign is not None:
                (missed if negated else came).append(sign)
    if not (came or missed or nothing or unread):
        unread.append(Unread(text, "it isn't said what was noticed", FORMS))
    both = (sign for sign in came if (nothing and sign.kind != SILENCE) or sign in missed)
    unread += [Unread(str(sign), "it came and it didn't: one of the two can't be", ()) for sign in both]
    return Noticing(tuple(came), tuple(missed), nothing, spot, sure), unread


def _parts(text: str, words: Vocabulary) -> list[list[str]]:
    """Return the parts between commas or semicolons; a message's part includes the zone, area and person after it."""
    hidden, quoted = quoting.set_aside(text)
    parted = [label for label in words.labels if set(label) & set(",;") and label in hidden]
    for label in sorted(parted, key=len, reverse=True):
        quoted = (*quoted, label)
        hidden = hidden.replace(label, f"{quoting.STAND_IN}{len(quoted) - 1}{quoting.STAND_IN}")
    found: list[list[str]] = []
    for piece in re.split("[,;]", hidden):
        part = " ".join(quoting.put_back(piece, quoted).split())
        alone, _ = _timed(part)
        message = found and found[-1][0].casefold().removeprefix("not ").startswith("message")
        if message and (alone.casefold() in words.whose or _UNLABELLED.fullmatch(alone)):
            found[-1].append(part)
        elif part:
            found.append([part])
    return found


def _timed(part: str) -> tuple[str, int | None]:
    """Return a part without its time, and the time [s]; None if it has none."""
    timed = _AFTER.fullmatch(part)
    if timed is None:
        return part, None
    return timed["sign"], sum(map(seconds, re.findall(_TIME, timed["time"]))) if timed["time"] else 0


def _read_sign(part: str, about: list[str], words: Vocabulary, unread: list[Unread]) -> Sign | None:
    (part, *about), after = _all_timed([part, *about])
    plain, exact = _plainly(part, words)
    low = plain.casefold()
    kind = max((sign for sign in SIGNS if low == sign or low.startswith(f"{sign} ")), key=len, default="")
    if not kind:
        unread.append(Unread(part, "this is nothing that can be noticed", FORMS, tuple(SIGNS)))
        return None
    text = plain[len(kind) :].strip().strip('"')
    if text and kind not in words.texts:
        unread.append(Unread(part, f"nothing follows {kind}", FORMS, tuple(SIGNS)))
        return None
    said, known = f"{text} {exact}".casefold().split(), words.known.get(kind, frozenset())
    if strange := [word for word in said if word not in known and not word.isdigit()]:
        allowed = words.texts[kind]
        unread.append(Unread(text or exact, f'no {kind} has "{strange[0]}" in it', allowed[:20], allowed))
        return None
    return Sign(kind, text, after, exact, tuple(about))


def _all_timed(parts: list[str]) -> tuple[list[str], int | None]:
    """Return parts, the last without its time, and the time."""
    last, after = _timed(parts[-1])
    return [*parts[:-1], last], after


def _plainly(part: str, words: Vocabulary) -> tuple[str, str]:
    """Return what is printed as a sign with its text after it, and the part that must match as a whole."""
    if part in words.texts["chime"]:
        return f"chime {part}", ""
    if part.startswith(f"{FAST} "):
        return f"{part.removeprefix(f'{FAST} ')} {FAST}", ""
    printed = _WHOLE.fullmatch(part)
    if printed is None:
        return part.removesuffix(" sounds").replace("chime:", "chime", 1), ""
    kind, whole, over = _PRINTED[printed["kind"]], printed["whole"], printed["over"] or ""
    if kind == "message" and whole not in words.messages:
        return f"message {whole}{over}{printed['rest']}", ""
    return f"{kind} {printed['rest']}".strip(), whole + over
