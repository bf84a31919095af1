"""The slips that a sheet invites, and when each would be noticed.

A slip is tried, never assumed: the altered keys are pressed, then all following keys of the job as printed, and two
readers look on. The *plain* reader looks at the display after each step; the *careful* one also looks before the key
that accepts. A slip that neither of them could see, and that changes what the panel holds, is silent.

Rules of this file:
1. Slips come only from the script and the places of keys: near keys, dropped, doubled and swapped presses; and whole
   wrong answers, properly keyed: the neighbouring choice, a flipped flag, a misread or swapped digit, another word,
   another zone, another device.
2. Weights are a choice of ours, no source: adjacent key 2, double or dropped 1, one offer too many or few 2, look-alike
   digit 3, anything else 1 or 2.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass
from enum import Enum
from functools import partial

from zonewright.entry.keypad.pressing import heard, idle, press
from zonewright.entry.keypad.showing import display
from zonewright.entry.keypad.standing import KeypadState, answer_at
from zonewright.entry.keypad.strokes import Act, Driven, Stroke
from zonewright.entry.keypad.styles import STYLES, Keys
from zonewright.entry.slips.misreading import WEIGHTS, SlipKind, misreads, mistapped, near_codes
from zonewright.panel.answers import refuses, typed
from zonewright.panel.profile import Answer, Profile, Style
from zonewright.panel.programme import Item, Value


class Noticed(Enum):
    """When a reader notices."""

    REFUSED = "refused, and shown"
    IN_STEP = "seen in that step"
    LATER = "seen at a later step"
    ENDING = "seen at the panel's ending"
    NEVER = "silent wrong value"
    HARMLESS = "harmless"


SHOWN_WHOLE = frozenset({Style.OFFER, Style.WORDS})  # others only if a key takes what is shown
KEY_SLIPS = frozenset({SlipKind.NEAR_KEY, SlipKind.DROPPED, SlipKind.DOUBLED, SlipKind.SWAPPED})


@dataclass(frozen=True, slots=True)
class Slip:
    """One slip at one step of one job."""

    job: int  # of the sheet, from 0
    step: int  # of the job, from 0
    kind: SlipKind
    item: Item | None  # asked at that step
    gives: tuple[tuple[Item, Value | None], ...]  # what the panel then holds that it shouldn't
    weight: float
    plain: Noticed  # when the plain reader notices
    careful: Noticed  # when the careful reader does


def slips(profile: Profile, driven: Sequence[Driven]) -> Iterator[Slip]:
    """Return every slip of every step, each tried on the keypad."""
    for place, done in enumerate(driven):
        yield from _of_job(profile, place, done)


def silent_steps(profile: Profile, driven: Sequence[Driven]) -> list[frozenset[int]]:
    """Return for each job the steps where even the careful reader can miss a slip: they are read back.

    A question with the same display and the same keys after it is tried once, whatever zone it is about: what differs
    then (the label, the device's number) looks the same in the right and in the wrong run. If the whole answer is seen
    before the accepting key, only that key can go wrong unseen. A test compares both short cuts with `slips`.
    """
    known: dict[tuple[object, ...], bool] = {}
    return [frozenset(_silent_in(profile, done, known)) for done in driven]


def _silent_in(profile: Profile, done: Driven, known: dict[tuple[object, ...], bool]) -> Iterator[int]:
    follower = _Follower(profile, done)
    following: tuple[object, ...] = ()
    for step in reversed(range(len(done.strokes))):
        stroke = done.strokes[step]
        following = (stroke.node, stroke.keys, stroke.trip is None, following)
        if stroke.act in (Act.WAY_IN, Act.CODE):
            continue
        key = (follower.befores[step], following)
        if key not in known:
            start = len(stroke.keys) - 1 if follower.all_seen(step) else 0
            known[key] = any(follower.stays_silent(step, act) for _, act in altered(profile, stroke, start))
        if known[key]:
            yield step


def slip_table(found: Sequence[Slip]) -> dict[str, dict[Noticed, float]]:
    """Return, for single keys and for whole wrong answers and each reader, the share of slips by when they are seen."""
    table = {}
    for name, chosen in (
        ("keys", [slip for slip in found if slip.kind in KEY_SLIPS]),
        ("answers", [slip for slip in found if slip.kind not in KEY_SLIPS]),
    ):
        for reader in ("plain", "careful"):
            counted = Counter(slip.plain if reader == "plain" else slip.careful for slip in chosen)
            table[f"{name}, {reader} reader"] = {seen: counted[seen] / max(1, len(chosen)) for seen in Noticed}
    return table


def _of_job(profile: Profile, place: int, done: Driven) -> Iterator[Slip]:
    follower = _Follower(profile, done)
    for step, stroke in enumerate(done.strokes):
        if stroke.act in (Act.WAY_IN, Act.CODE):
            continue
        for kind, act in altered(profile, stroke):
            outcome = follower.after(step, act)
            if outcome is not None:
                plain, careful, gives = outcome
                yield Slip(place, step, kind, stroke.item, gives, WEIGHTS[kind], plain, careful)


Altered = Callable[
    [], tuple[KeypadState, KeypadState | None]
]  # what was done: the state after it, and that before its last key


def altered(profile: Profile, stroke: Stroke, start_at: int = 0) -> Iterator[tuple[SlipKind, Altered]]:
    """Return what may be done at a step instead of what is printed, from the key at `start_at` on."""
    keys, states = stroke.keys, [stroke.before]  # states[n]: before the n-th printed key
    for key in keys:
        states.append(press(profile, states[-1], key))
    for n, key in enumerate(keys[start_at:], start_at):
        rest = keys[n + 1 :]
        start, earlier = states[n], states[n - 1] if n else None
        for near in _near_keys(profile, key):
            yield SlipKind.NEAR_KEY, partial(_pressed, profile, (near, *rest), start, earlier)
        yield SlipKind.DROPPED, partial(_pressed, profile, rest, start, earlier)
        yield SlipKind.DOUBLED, partial(_pressed, profile, (key, *rest), states[n + 1], start)
        if rest and rest[0] != key:
            yield SlipKind.SWAPPED, partial(_pressed, profile, (rest[0], key, *rest[1:]), start, earlier)
    answer = answer_at(profile, profile.script[stroke.node])
    if answer is not None and start_at == 0:
        for kind, wrong in _wrong_answers(answer, stroke):
            yield kind, partial(_pressed, profile, wrong, stroke.before)
    if stroke.trip is not None:
        for number in misreads(stroke.trip):
            yield SlipKind.OTHER_DEVICE, partial(_tripped, profile, number, stroke.before)
        yield SlipKind.NOT_KEPT, partial(_timed_out, profile, stroke.before)
    else:
        yield SlipKind.TIMED_OUT, partial(_timed_out, profile, stroke.before)


def _pressed(
    profile: Profile, keys: Keys, state: KeypadState, earlier: KeypadState | None = None
) -> tuple[KeypadState, KeypadState | None]:
    """Press keys one after the other; `earlier` is the state before the key that led here, if one did."""
    for key in keys:
        earlier, state = state, press(profile, state, key)
    return state, earlier


def _tripped(profile: Profile, number: str, state: KeypadState) -> tuple[KeypadState, KeypadState | None]:
    return heard(profile, state, number), None


def _timed_out(profile: Profile, state: KeypadState) -> tuple[KeypadState, KeypadState | None]:
    return idle(profile, state), None


def _wrong_answers(answer: Answer, stroke: Stroke) -> Iterator[tuple[SlipKind, Keys]]:
    """Return the wrong answers that people may have in mind, each keyed correctly."""
    value, keys = stroke.value, stroke.keys
    if stroke.act is Act.NUMBER:
        number = str(stroke.after.number)
        for wrong in dict.fromkeys((*misreads(typed(answer, number)), *(str(int(number) + off) for off in (-1, 1)))):
            if refuses(answer, str(int(wrong))) is None:
                yield SlipKind.OTHER_NUMBER, (*typed(answer, str(int(wrong))), *answer.closing)
    if value is None or stroke.act is not Act.CHANGE:
        return
    style = STYLES[answer.style]
    match answer.style:
        case Style.OFFER | Style.SCROLL:
            yield SlipKind.ONE_TOO_MANY, (*keys[:-1], keys[0] if len(keys) > 1 else answer.next or "", keys[-1])
            if len(keys) > 1:
                yield SlipKind.ONE_TOO_FEW, (*keys[:-2], keys[-1])
        case Style.FLAG:
            yield SlipKind.FLIPPED, style.keys(answer, None, "no" if value == "yes" else "yes")
        case Style.DIGITS:
            for wrong in misreads(typed(answer, value)):
                yield SlipKind.MISREAD, (*wrong, *answer.closing)
        case Style.WHEEL:
            for wrong in misreads(typed(answer, value)):
                yield SlipKind.MISREAD, style.keys(answer, stroke.before.held.get(stroke.item or Item("")), wrong)
        case Style.LETTERS:
            near = near_codes(answer, value)
            yield from ((SlipKind.OTHER_WORD, style.keys(answer, None, choice)) for choice in near)
        case Style.TAP:
            yield from ((SlipKind.MISTAPPED, style.keys(answer, None, text)) for text in mistapped(answer, value))
        case Style.WORDS:
            words = value.split()
            for n, word in enumerate(words):
                for code in misreads(answer.codes[word]):
                    codes = [answer.codes[other] for other in words]
                    codes[n] = code
                    yield SlipKind.OTHER_WORD, (*"".join(codes), keys[-1])
                if len(words) > 1:
                    rest = "".join(answer.codes[other] for m, other in enumerate(words) if m != n)
                    yield SlipKind.WORD_LEFT_OUT, (*rest, keys[-1])
        case _:
            pass


def _near_keys(profile: Profile, key: str) -> list[str]:
    """Return the keys above, below, left and right of a key."""
    rows = profile.keys.rows
    for y, row in enumerate(rows):
        for x, name in enumerate(row):
            if name == key:
                spots = ((x, y - 1), (x, y + 1), (x - 1, y), (x + 1, y))
                return [
                    rows[b][a] for a, b in spots if 0 <= b < len(rows) and 0 <= a < len(rows[b]) and rows[b][a] != "."
                ]
    return []


class _Follower:
    """Keys the rest of a job as printed, and finds when the two readers would notice."""

    def __init__(self, profile: Profile, done: Driven) -> None:
        self.profile, self.strokes = profile, done.strokes
        self.befores = [display(profile, stroke.before) for stroke in done.strokes]
        self.final = done.strokes[-1].after
        self.shown_at_end = display(profile, self.final)
        self.ending = next((n for n, stroke in enumerate(done.strokes) if stroke.trip is not None), len(done.strokes))
        self.looks = [self._look(stroke) for stroke in done.strokes]

    def _look(self, stroke: Stroke) -> tuple[str, ...] | None:
        if len(stroke.keys) < 1:
            return None
        _, before_last = _pressed(self.profile, stroke.keys, stroke.before)
        assert before_last is not None
        return display(self.profile, before_last)

    def all_seen(self, step: int) -> bool:
        """Return whether the display shows the whole answer before the key that accepts it, uncut."""
        stroke, look = self.strokes[step], self.looks[step]
        answer = answer_at(self.profile, self.profile.script[stroke.node])
        if answer is None or look is None or not (answer.style in SHOWN_WHOLE or (answer.closing and stroke.value)):
            return False
        return STYLES[answer.style].parse(answer, look[1]) == stroke.value

    def after(self, step: int, act: Altered) -> tuple[Noticed, Noticed, tuple[tuple[Item, Value | None], ...]] | None:
        """Return when each reader notices and what the panel holds wrongly; None if it makes no difference at all."""
        stroke = self.strokes[step]
        state, before_last = act()
        if state == stroke.after:
            return None
        looked = before_last is not None and display(self.profile, before_last) != self.looks[step]
        careful_now = step if looked else None
        plain, careful, end = self._rest(step + 1, state)
        if careful_now is not None:
            careful = careful_now if careful is None else min(careful, careful_now)
        message = state.message or (before_last.message if before_last is not None and looked else "")
        gives = self._wrong(end)
        seen = partial(self._seen, step, bool(message), bool(gives))
        return seen(plain), seen(careful), gives

    def stays_silent(self, step: int, act: Altered) -> bool:
        """Return whether a slip here escapes even the careful reader and leaves something wrong in the panel."""
        state, before_last = act()
        if state == self.strokes[step].after:
            return False
        if before_last is not None and display(self.profile, before_last) != self.looks[step]:
            return False
        for n in range(step + 1, len(self.strokes)):
            if display(self.profile, state) != self.befores[n]:
                return False
            state, before_last = self._as_printed(n, state)
            if before_last is not None and display(self.profile, before_last) != self.looks[n]:
                return False
        return display(self.profile, state) == self.shown_at_end and bool(self._wrong(state))

    def _rest(self, step: int, state: KeypadState) -> tuple[int | None, int | None, KeypadState]:
        """Key the steps from `step` on; return where each reader first sees a difference, and the end."""
        plain: int | None = None
        careful: int | None = None
        for n in range(step, len(self.strokes)):
            if display(self.profile, state) != self.befores[n]:
                plain = n if plain is None else plain
                careful = n if careful is None else careful
            state, before_last = self._as_printed(n, state)
            if careful is None and before_last is not None and display(self.profile, before_last) != self.looks[n]:
                careful = n
        if display(self.profile, state) != self.shown_at_end:
            end = len(self.strokes)
            plain = end if plain is None else plain
            careful = end if careful is None else careful
        return plain, careful, state

    def _as_printed(self, step: int, state: KeypadState) -> tuple[KeypadState, KeypadState | None]:
        stroke = self.strokes[step]
        if stroke.trip is not None:
            return heard(self.profile, state, stroke.trip), None
        return _pressed(self.profile, stroke.keys, state)

    def _seen(self, step: int, refused: bool, wrong: bool, at: int | None) -> Noticed:
        if at is None:
            return Noticed.NEVER if wrong else Noticed.HARMLESS
        if at <= step + 1:
            return Noticed.REFUSED if refused else Noticed.IN_STEP
        return Noticed.ENDING if at > self.ending else Noticed.LATER

    def _wrong(self, end: KeypadState) -> tuple[tuple[Item, Value | None], ...]:
        held, planned = end.held, self.final.held
        if held is planned:
            return ()
        return tuple(
            sorted((item, held.get(item)) for item in {*held, *planned} if held.get(item) != planned.get(item))
        )
