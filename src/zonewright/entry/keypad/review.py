"""Reading in a panel's present values at its keypad, line by line.

Rules of this file:
1. A review is a value: `enter` takes one line as typed and returns the review after it. No terminal, no file.
2. An empty line leaves a question as it is: not known if nothing was answered, else the answer given before.
3. Nobody's code is read, saved or repeated: there is a code, or there isn't.
"""

from __future__ import annotations

from dataclasses import dataclass, replace
from functools import cached_property

from zonewright.entry.keypad.meaning import NOT_SET, as_shown, meaning
from zonewright.entry.keypad.questions import KeypadQuestion, Order
from zonewright.entry.keypad.showing import head
from zonewright.panel.legal import beside, exists
from zonewright.panel.profile import NodeKind, Profile
from zonewright.panel.programme import UNKNOWN, Item
from zonewright.panel.readback import Readback, still_there

BACK, ONWARD, NO_MORE, NOT_KNOWN, STOP, HELP = "/back", "/next", "/none", "/unknown", "/stop", "/help"
WHOLE = "="  # before a text: this is all of it, whatever the display can show
COMMANDS = {
    BACK: "to the question before",
    ONWARD: "leave the rest of this one for later",
    NO_MORE: "when asked for a number: there are no more of them",
    NOT_KNOWN: "take an answer back",
    STOP: "stop here; the same command goes on later",
}


@dataclass(frozen=True)
class Review:
    """A review under way; `at` None: there is nothing left to ask."""

    order: Order
    readback: Readback
    at: KeypadQuestion | None
    said: tuple[str, ...] = ()
    stopped: bool = False

    @property
    def profile(self) -> Profile:
        """Return the panel's profile."""
        return self.order.profile

    @property
    def thing(self) -> str:
        """Return what the question is about: "zone 14", "person", "setting"."""
        if self.at is None:
            return ""
        if not self.at.group:
            return self.at.item.group if self.at.item is not None else ""
        return called(self.at.group) if self.at.number is None else f"{called(self.at.group)} {self.at.number}"

    @property
    def shows(self) -> str:
        """Return what the display says when it shows the answer: a list's entry, or the question's first line."""
        if self.at is None or self.at.item is None:
            return ""
        pattern = self.at.item.pattern
        above = head(self.profile.script[self.order.asked_at[pattern]], self.at.number)
        return _echoing(self.profile, pattern) or above[: self.profile.display.columns]

    @property
    def hidden(self) -> bool:
        """Return whether people can't see the present answer by looking: it shows only when a device is tripped."""
        if self.at is None or self.at.item is None:
            return False
        pattern = self.at.item.pattern
        trips = self.profile.script[self.order.asked_at[pattern]].kind is NodeKind.TRIP
        return trips and _echoing(self.profile, pattern) is None

    @cached_property
    def certain(self) -> bool:
        """Return whether the question certainly exists with the answers so far."""
        if self.at is None or self.at.item is None:
            return True
        held = self.order.held(self.readback, self.at)
        return exists(self.profile.items[self.at.item.pattern], beside(self.at.item, held))

    @property
    def so_far(self) -> str | None:
        """Return the answer given before, as the display shows it."""
        value = self.readback.values.get(self.at.item) if self.at is not None and self.at.item is not None else None
        if value is None or self.at is None or self.at.item is None:
            return None
        return "not known" if value == UNKNOWN else as_shown(self.profile, self.at.item, value)

    @property
    def left(self) -> int:
        """Return how many items that may exist were never asked."""
        return sum(each.item is not None for each in self.order.open(self.readback))


def called(group: str) -> str:
    """Return what people call one of a group."""
    return "person" if group == "user" else group


def begin(profile: Profile, readback: Readback) -> Review:
    """Return a review at the first question that wasn't asked yet."""
    order = Order(profile)
    return Review(order, readback, order.following(readback, None))


def enter(review: Review, line: str) -> Review:
    """Return the review after one line was typed: what the display shows, a command, or nothing."""
    text, at = line.strip(), review.at
    if at is None:
        return review
    review = replace(review, said=())
    if text == HELP:
        return replace(review, said=tuple(f"{command:9} {does}" for command, does in COMMANDS.items()))
    if text == STOP:
        return replace(review, stopped=True)
    if text == BACK:
        before = review.order.before(review.readback, at)
        return replace(review, at=before or at, said=() if before else ("this is the first question",))
    if text == ONWARD:
        return replace(review, at=review.order.behind_all(review.readback, at))
    if text.startswith("/") and text not in (NO_MORE, NOT_KNOWN):
        return replace(review, said=(f"that is no command; {HELP} lists them",))
    return _number(review, at, text) if at.item is None else _answer(review, at, at.item, text)


def _answer(review: Review, at: KeypadQuestion, item: Item, text: str) -> Review:
    if text == NO_MORE:
        return replace(review, said=(f"finish this one first, or leave the rest of it: {ONWARD}",))
    if not text and item in review.readback.values:
        return _onward(review, review.readback, at)
    if text in ("", NOT_KNOWN):
        return _onward(review, review.readback.changed({item: UNKNOWN}), at)
    meant = meaning(review.profile, item, text.removeprefix(WHOLE), whole=text.startswith(WHOLE))
    if meant.value is None:
        return replace(review, said=(meant.says,))
    if meant.value == NOT_SET:
        return _nobody(review, at)
    return _onward(review, review.readback.changed({item: meant.value}), at)


def _nobody(review: Review, at: KeypadQuestion) -> Review:
    """Leave out a number without a code: nobody has it."""
    thing = f"{at.group}/{at.number}"
    gone = dict.fromkeys(item for item in review.readback.values if item.thing == thing)
    readback = review.readback.changed(gone)
    said = f"{called(at.group)} {at.number} has no code, so nobody is there: left out"
    return replace(review, readback=readback, at=review.order.behind_all(readback, at), said=(said,))


def _number(review: Review, at: KeypadQuestion, text: str) -> Review:
    readback, limit = review.readback, review.profile.limit(at.group)
    if text == NO_MORE:
        return _onward(review, replace(readback, no_more=readback.no_more | {at.group}), at)
    if text == NOT_KNOWN:
        return _onward(review, replace(readback, no_more=readback.no_more - {at.group}), at)
    if not text:
        return _onward(review, readback, at)
    digits = text.split(maxsplit=1)[0]
    if not (digits.isascii() and digits.isdigit() and len(digits) < 9 and 1 <= int(digits) <= limit):
        return replace(review, said=(f"a number from 1 to {limit}, or {NO_MORE} if there are no more",))
    number = int(digits)
    start = KeypadQuestion(at.group, number)
    of_it = [
        each for each in review.order.questions(readback, start) if (each.group, each.number) == (at.group, number)
    ]
    unasked = [each for each in of_it if each.item not in readback.values]
    if unasked:
        return replace(review, at=unasked[0])
    said = f"{called(at.group)} {number} was read already; {BACK} goes through it from its last answer"
    return replace(review, at=of_it[-1], said=(said,))


def _onward(review: Review, readback: Readback, at: KeypadQuestion) -> Review:
    readback = still_there(review.profile, readback)
    return replace(review, readback=readback, at=review.order.following(readback, at))


def _echoing(profile: Profile, pattern: str) -> str | None:
    """Return the list entry next to which an item's value is shown."""
    entries = (entry for node in profile.script.values() for entry in node.list_ or ())
    return next((entry.says for entry in entries if entry.echo == pattern), None)
