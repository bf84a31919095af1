"""When each outcome comes, and on which one thing it depends: read from the answers that outcomes depend on.

Rules of this file:
1. A condition is an answer that `step` asked for; nothing is said about what it never asked.
2. The question that divides the outcomes best comes first; outcomes that no question divides stay together.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence
from math import log2
from typing import cast

from zonewright.behaviour.events import Timer
from zonewright.behaviour.setup import Setup
from zonewright.behaviour.state import Door, Phase
from zonewright.panel.behaviours import Mode, Pattern
from zonewright.proof.prover.facts import Fact
from zonewright.site.record import ZoneNumber
from zonewright.words.telling import label, listed, sounder, timer_in_words

Rests = Mapping[Fact, Hashable]  # the answers that an outcome depends on
MOST_CONDITIONS = 3  # one after the other

_PHASE = {
    Phase.REST: "is off",
    Phase.EXIT: "is in its exit time",
    Phase.SET: "is armed",
    Phase.ENTRY: "is in its entry time",
}
_DOOR = {
    Door.UNUSED: "nobody used an exit door",
    Door.OPENED: "an exit door was opened",
    Door.SHUT: "an exit door was opened and shut",
}
_OF_ZONE = {  # so, and not so
    "open": ("was open already", "was shut"),
    "bypassed": ("is bypassed", "is in use"),
    "shut out": ("has used up its alarms", "has alarms left"),
    "trouble tamper": ("has its cover off already", "has its cover on"),
}


def parted(found: Iterable[tuple[Rests, str]]) -> Iterator[tuple[tuple[tuple[Fact, Hashable], ...], tuple[str, ...]]]:
    """Give conditions with the outcomes that come under them, each once, the commonest first."""
    yield from _parted(list(found), ())


def _parted(
    found: Sequence[tuple[Rests, str]], so_far: tuple[tuple[Fact, Hashable], ...]
) -> Iterator[tuple[tuple[tuple[Fact, Hashable], ...], tuple[str, ...]]]:
    outcomes = Counter(text for _, text in found)
    fact = _best(found) if len(outcomes) > 1 and len(so_far) < MOST_CONDITIONS else None
    if fact is None:
        yield so_far, tuple(text for text, _ in outcomes.most_common())
        return
    for answer in dict.fromkeys(rests[fact] for rests, _ in found):
        yield from _parted([each for each in found if each[0][fact] == answer], (*so_far, (fact, answer)))


def _best(found: Sequence[tuple[Rests, str]]) -> Fact | None:
    """Return the question, among those that all of them asked, that divides them best; None if none helps."""
    usual = _left_open([text for _, text in found])
    shared = [fact for fact in found[0][0] if all(fact in rests for rests, _ in found)]
    left: dict[Fact, float] = {}
    for fact in shared:
        groups: dict[Hashable, list[str]] = {}
        for rests, text in found:
            groups.setdefault(rests[fact], []).append(text)
        if len(groups) > 1:
            left[fact] = sum(len(texts) * _left_open(texts) for texts in groups.values()) / len(found)
    best = min(left, key=left.__getitem__, default=None)
    return best if best is not None and left[best] < usual - 1e-9 else None


def _left_open(texts: Sequence[str]) -> float:
    return -sum(count / len(texts) * log2(count / len(texts)) for count in Counter(texts).values())


def reason(mine: Iterable[Rests], others: Iterable[Rests]) -> tuple[Fact, Hashable] | None:
    """Return the one answer that all of `mine` share and none of `others` has; None if there is none."""
    ours, theirs = list(mine), list(others)
    if not ours or not theirs:
        return None
    for fact, answer in ours[0].items():
        if all(fact in each and each[fact] == answer for each in ours) and all(
            fact in each and each[fact] != answer for each in theirs
        ):
            return fact, answer
    return None


def in_words(setup: Setup, conditions: Iterable[tuple[Fact, Hashable]], about: ZoneNumber | None) -> str:
    """Return conditions as one clause; the zone `about` is called "it"."""
    said = dict.fromkeys(text for fact, answer in conditions if (text := condition(setup, fact, answer, about)))
    return listed(list(said)) if said else ""


def condition(setup: Setup, fact: Fact, answer: Hashable, about: ZoneNumber | None) -> str:
    """Return one condition in words; "" for one that has none."""
    what, of = fact
    so = answer is True
    if what in _OF_ZONE:
        name = "it" if of == about else label(setup, cast("ZoneNumber", of))
        return f"{name} {_OF_ZONE[what][0 if so else 1]}"
    if what == "runs":
        return f"the {timer_in_words(setup, cast('Timer', of))} {'runs' if so else 'is not running'}"
    if isinstance(answer, Pattern):
        return "nothing sounds yet" if answer is Pattern.NONE else f"the {sounder(answer)} sounds already"
    area = f"area {of}" if len(setup.areas) > 1 else "it"
    if isinstance(answer, Phase):
        return f"{area} {_PHASE[answer]}"
    if isinstance(answer, Mode):
        return f"{area} is off" if answer is Mode.DISARMED else f"{area} is armed {answer.value}"
    if isinstance(answer, Door):
        return _DOOR[answer]
    if what == "entry_by":
        doors = [label(setup, number) for number in sorted(cast("frozenset[ZoneNumber]", answer))]
        return f"somebody is coming in by {listed(doors)}" if doors else "nobody is coming in"
    if what == "elsewhere":
        return "the siren sounds for other areas" if so else "no siren sounds for other areas"
    if what == "barred":
        return "a trouble stops arming" if so else "no trouble stops arming"
    if what == "left_open":
        return "no exit door was left open" if answer == frozenset() else "an exit door was left open"
    if what == "restarted":
        return "the exit time has started again" if so else "the exit time hasn't started again yet"
    return ""
