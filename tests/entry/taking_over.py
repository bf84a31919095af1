"""A person before a panel: goes through its questions and types what the display shows, now and then nothing."""

from __future__ import annotations

import random

from zonewright.entry.keypad.questions import KeypadQuestion
from zonewright.entry.keypad.review import NO_MORE, Review, begin, enter
from zonewright.entry.keypad.showing import display
from zonewright.entry.keypad.standing import KeypadState, present_value
from zonewright.entry.keypad.styles import STYLES
from zonewright.panel.legal import beside, exists
from zonewright.panel.profile import NodeKind, Profile, Style
from zonewright.panel.programme import Item, Programme
from zonewright.panel.readback import Readback


def shown(profile: Profile, held: Programme, question: KeypadQuestion, review: Review) -> str:
    """Return the line of the real display that shows an item: beside a list's entry, else at its question."""
    assert question.item is not None
    pattern = question.item.pattern
    for name, node in profile.script.items():
        for entry in node.list_ or ():
            if entry.echo == pattern:
                at_list = KeypadState(name, held.values, {}, question.group or None, question.number, buffer=entry.says)
                return display(profile, at_list)[2]
    name = review.order.asked_at[pattern]
    state = KeypadState(name, held.values, {}, question.group or None, question.number)
    answer = profile.answer_of(question.item)
    if profile.script[name].kind is NodeKind.TRIP:
        return held[question.item]  # heard when it is tripped
    if answer is not None and answer.style is not Style.TRIP:
        state = state._replace(buffer=STYLES[answer.style].start(answer, present_value(profile, state, pattern)))
    return display(profile, state)[1]


def answers(profile: Profile, held: Programme, rng: random.Random, skipped: float) -> tuple[list[str], set[Item]]:
    """Return the lines a person types to read back a panel, and the items of which the display told the value."""
    review, lines, told = begin(profile, Readback(profile.panel)), list[str](), set[Item]()
    while review.at is not None:
        if review.at.item is None:
            left = [n for n in held.numbers(review.at.group) if n not in review.readback.numbers(review.at.group)]
            line = str(rng.choice(left)).zfill(rng.choice([1, 3])) if left else NO_MORE
        else:
            there = exists(profile.items[review.at.item.pattern], beside(review.at.item, held.values))
            line = "" if rng.random() < skipped or not there else shown(profile, held, review.at, review)
        after = enter(review, line)
        lines.append(line)
        if after.at == review.at:  # the display cuts it, and another text looks the same
            assert "the display cuts it" in after.said[0], (review.at, line, after.said)
            lines.append("")
            after = enter(after, "")
        elif line and review.at.item is not None:
            told.add(review.at.item)
        review = after
    return lines, told


def typed_in(profile: Profile, lines: list[str]) -> Review:
    """Return the review after these lines."""
    review = begin(profile, Readback(profile.panel))
    for line in lines:
        review = enter(review, line)
    return review
