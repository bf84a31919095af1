"""How much of what remains a question can touch, found without running it.

Rules of this file:
1. It is a bound, never less than the truth: a question that seems to tell less than another is never run for nothing.
"""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from zonewright.fieldwork.hypotheses import Hypothesis
from zonewright.fieldwork.questions import Inspect, Look, Question, ReadBack


class Reach:
    """How much of the weight, and how many hypotheses, a question can touch at most; found once for all questions."""

    def __init__(self, hypotheses: Sequence[Hypothesis], shares: Sequence[float]) -> None:
        self.by: dict[object, tuple[float, int]] = {}
        for each, share in zip(hypotheses, shares, strict=True):
            keys: set[object] = {"all"} if each.everywhere else {*each.zones, *each.things}
            for key in keys | {("look", look) for look in each.looks} | {("thing", thing) for thing in each.things}:
                weight, count = self.by.get(key, (0.0, 0))
                self.by[key] = weight + share, count + 1

    def only_general(self, question: Question) -> bool:
        """Return whether it can touch nothing but what changes things for all devices."""
        return not any(key in self.by for key in (*question.zones, *question.things))

    def of(self, question: Question) -> tuple[float, int]:
        """Return a bound on the share and the number of hypotheses that may answer otherwise than the plan."""
        match question:
            case Inspect():
                keys: Iterable[object] = [("look", question.do)]
            case ReadBack():
                keys = [("thing", thing) for thing in question.things]
            case Look():
                return 1.0, sum(count for _, count in self.by.values())
            case _:
                keys = ["all", *question.zones, *question.things]
        found = [self.by[key] for key in keys if key in self.by]
        return sum(weight for weight, _ in found), 2 * sum(count for _, count in found)
