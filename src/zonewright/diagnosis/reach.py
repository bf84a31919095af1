"""How much of what remains a question can affect, found without running it.

Rules of this file:
1. It is a bound, never less than the truth, so no useful question is left out.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Sequence

from zonewright.diagnosis.belief import entropy, most_gain
from zonewright.diagnosis.hypotheses import Hypothesis
from zonewright.diagnosis.questions import Inspect, Look, Question, ReadBack, is_dark


class QuestionReach:
    """How much of what remains a question can touch at most; worked out once for all questions."""

    def __init__(self, hypotheses: Sequence[Hypothesis], causes: Sequence[Hashable], shares: Sequence[float]) -> None:
        by: dict[object, dict[Hashable, float]] = {}
        whole: dict[Hashable, float] = {}
        for each, cause, share in zip(hypotheses, causes, shares, strict=True):
            keys: set[object] = {"all"} if each.everywhere else {*each.zones, *each.things}
            keys |= {"dark"} if is_dark(each) else set()
            for key in keys | {("look", look) for look in each.looks} | {("thing", thing) for thing in each.things}:
                row = by.setdefault(key, {})
                row[cause] = row.get(cause, 0.0) + share
            whole[cause] = whole.get(cause, 0.0) + share
        self.by = {key: (sum(row.values()), entropy(row.values())) for key, row in by.items()}
        self.whole = entropy(whole.values())

    def only_general(self, question: Question) -> bool:
        """Return whether it can touch only hypotheses that affect all devices."""
        return not any(key in self.by for key in (*question.zones, *question.things))

    def most_gain(self, question: Question) -> float:
        """Return a bound on how much it can say [bits]; 0 if it touches nothing."""
        match question:
            case Inspect():
                keys: Iterable[object] = [("look", question.do)]
            case ReadBack():
                keys = ["dark", *(("thing", thing) for thing in question.things)]
            case Look():
                return self.whole
            case _:
                keys = ["all", *question.zones, *question.things]
        found = [self.by[key] for key in keys if key in self.by]
        if not found:
            return 0.0
        shares = [share for share, _ in found]
        return min(self.whole, most_gain(max(shares), sum(shares), sum(bits for _, bits in found)))
