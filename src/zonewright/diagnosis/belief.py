"""The arithmetic of a diagnosis: how likely each hypothesis is, how much a question would say, and which to ask next.

    weight(h)       = odds(h) x product over the observations of P(observed | h)
    P(observed | h) = p, or p (1 - doubt) + (1 - p) doubt where the person isn't sure
    gain(question)  = entropy of the causes now - expected entropy after the answer [bits]
    score           = gain / (minutes + 0.5)

Rules of this file:
1. It knows numbers and answers, no panel.
2. The aim is to find the cause, not the hypothesis: hypotheses with one cure are one cause, and a question that only
   distinguishes them is worth nothing. If each hypothesis has its own cure there is no difference.
3. Source: Bayes' rule; expected information (Lindley 1956, from memory). Doubt and the price of asking are choices.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Mapping
from math import e, log2
from typing import TypeVar

DOUBT = 0.1  # how often somebody who isn't sure is wrong: a choice
ASKING_MIN = 0.5  # what any question costs in addition to its own minutes: a choice
NOTHING_LEFT = 1e-12

Answers = Mapping[str, float]  # answer -> how likely
K = TypeVar("K", bound=Hashable)


def likelihood(probability: float, *, sure: bool) -> float:
    """Return how likely an observation is if a hypothesis shows it with this probability."""
    return probability if sure else probability * (1 - DOUBT) + (1 - probability) * DOUBT


def normalised(weights: Iterable[float]) -> list[float]:
    """Return weights that sum to 1; all 0 if none is left."""
    weights = list(weights)
    total = sum(weights)
    return [weight / total for weight in weights] if total > 0 else weights


def entropy(shares: Iterable[float]) -> float:
    """Return the entropy of shares that sum to 1 [bits]."""
    return -sum(share * log2(share) for share in shares if share > 0)


def summed(keys: Iterable[K], shares: Iterable[float]) -> dict[K, float]:
    """Return the share of each key."""
    found: dict[K, float] = {}
    for key, share in zip(keys, shares, strict=True):
        found[key] = found.get(key, 0.0) + share
    return found


def outcomes(shares: Iterable[float], predicted: Iterable[Answers]) -> dict[str, float]:
    """Return how likely each answer is."""
    found: dict[str, float] = {}
    for share, answers in zip(shares, predicted, strict=True):
        for answer, probability in answers.items():
            found[answer] = found.get(answer, 0.0) + share * probability
    return found


def gain(causes: Iterable[Hashable], shares: Iterable[float], predicted: Iterable[Answers]) -> float:
    """Return by how much an answer is expected to lower the entropy of the causes [bits], never below 0.

    It is computed as the entropy of the answers less the part that remains if the cause is known: the same number.
    """
    joint: dict[Hashable, dict[str, float]] = {}
    for cause, share, answers in zip(causes, shares, predicted, strict=True):
        row = joint.setdefault(cause, {})
        for answer, probability in answers.items():
            row[answer] = row.get(answer, 0.0) + share * probability
    both = entropy(share for row in joint.values() for share in row.values())
    known = entropy(sum(row.values()) for row in joint.values())
    answered: dict[str, float] = {}
    for row in joint.values():
        for answer, share in row.items():
            answered[answer] = answered.get(answer, 0.0) + share
    return max(0.0, entropy(answered.values()) + known - both)


def score(bits: float, minutes: float) -> float:
    """Return what a question is worth [bits a minute]."""
    return bits / (minutes + ASKING_MIN)


def most_gain(least: float, most: float, within: float) -> float:
    """Return a bound on the gain of a question whose answer differs from the plan's for some causes only [bits].

    At most it says which of these causes it is, or that it is none of them: the entropy of these causes, with the rest
    as one. They have from `least` to `most` of the weight; `within` is at least the sum of -p log2 p over them.
    """
    rest = min(1 - least, max(1 - min(most, 1.0), 1 / e))  # where -p log2 p is greatest
    return within + entropy((rest,))
