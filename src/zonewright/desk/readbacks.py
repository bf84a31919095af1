"""What is certain of a panel that was read back, and what must still be found out."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from contextlib import contextmanager
from dataclasses import dataclass

from zonewright.behaviour.setup import Setup, UnusableValues
from zonewright.checks.readbacks import JudgedReadback, judge
from zonewright.findings import BadInput, Finding, Severity
from zonewright.panel.programme import UNKNOWN, Item, item_of
from zonewright.panel.readback_file import OpenedReadback
from zonewright.site.record import ZoneNumber
from zonewright.words.explain import explain
from zonewright.words.known_matrix import HalfKnown, KnownMatrix, half_known, known_matrix
from zonewright.words.matrix import Cause, Matrix
from zonewright.words.sentence import IN_SENTENCES, sentence

Needs = Mapping[ZoneNumber, Mapping[Cause, tuple[Item, ...]]]  # what must be known before it can be told what follows


@dataclass(frozen=True, slots=True)
class Untold:
    """What isn't known of a panel that was read, and what must be known for it."""

    needs: Needs
    labels: Mapping[ZoneNumber, str]  # of the zones in `needs`: place and label as far as they are known
    unnamed: tuple[ZoneNumber, ...]  # zones of which the place or the label isn't known
    all_zones: bool  # whether somebody said that there are no more


@dataclass(frozen=True, slots=True)
class ReadMatrix:
    """The cells of the matrix that can be told."""

    setup: Setup  # with stand-ins for what isn't known: only what `told` says of it holds
    told: Mapping[Cause, Matrix]
    untold: Untold


@dataclass(frozen=True, slots=True)
class ReadTexts:
    """What zones do, in words, where it can be told."""

    told: Mapping[ZoneNumber, str]
    untold: Untold


def judged_readback(opened: OpenedReadback) -> JudgedReadback:
    """Return what the rules say of a panel as far as it was read; raises `BadInput` where it can't hold its values."""
    with _usable(opened):
        return judge(opened)


def read_matrix(opened: OpenedReadback) -> ReadMatrix:
    """Return the matrix of all zones of which it can be told; raises `BadInput` as `judged_readback` does."""
    half = _half(opened)
    made = known_matrix(half)
    return ReadMatrix(half.setup, made.told, _untold(opened, half, made.needed))


def read_sentences(opened: OpenedReadback) -> ReadTexts:
    """Return a sentence for each zone of which all can be told; raises `BadInput` as `judged_readback` does."""
    half = _half(opened)
    made = known_matrix(half, IN_SENTENCES)
    joined, needs, told = _joined(half, made), dict(made.needed), {}
    for zone in half.setup.zones:
        if zone.number in made.needed:
            continue
        text, looked = half.needs(lambda number=zone.number: sentence(joined, number))  # type: ignore[misc]
        if looked:
            needs[zone.number] = {Cause.OPENS: looked}
        else:
            told[zone.number] = text
    return ReadTexts(told, _untold(opened, half, needs))


def read_explained(opened: OpenedReadback, word: str) -> ReadTexts:
    """Return all about the zones that a number or a label means, where it can be told.

    Raises `BadInput` where there is no such zone, or as `judged_readback` does.
    """
    half = _half(opened)
    meant = _meant(opened, word)
    others = [item for of, items in half.untold.items() for item in items if of not in meant]
    others += [] if "zone" in opened.readback.no_more else [Item("zone")]
    told: dict[ZoneNumber, str] = {}
    needs: dict[ZoneNumber, Mapping[Cause, tuple[Item, ...]]] = {}
    for number in meant:
        if others or number in half.untold:  # what leaving leads to depends on every door there is
            needs[number] = {Cause.OPENS: (*half.untold.get(number, ()), *others)}
            continue
        text, looked = half.needs(lambda number=number: explain(half.setup, number).text())  # type: ignore[misc]
        if looked:
            needs[number] = {Cause.OPENS: looked}
        else:
            told[number] = text
    return ReadTexts(told, _untold(opened, half, needs))


@contextmanager
def _usable(opened: OpenedReadback) -> Iterator[None]:
    """Raise `BadInput` where a panel can't hold the values that were read."""
    try:
        yield
    except UnusableValues as wrong:
        raise BadInput(
            Finding("RBK-08", Severity.PROBLEM, item, says, opened.places.get(item), fix="look again at the panel")
            for item, says in wrong.reasons.items()
        ) from wrong


def _half(opened: OpenedReadback) -> HalfKnown:
    with _usable(opened):
        return half_known(opened.programme, opened.profile)


def _joined(half: HalfKnown, made: KnownMatrix) -> Matrix:
    return Matrix(half.setup, tuple(cell for each in made.told.values() for cell in each.cells))


def _untold(opened: OpenedReadback, half: HalfKnown, needs: Needs) -> Untold:
    ordered = dict(sorted(needs.items()))
    labels = {number: _label(opened, number) for number in ordered}
    return Untold(ordered, labels, tuple(sorted(half.unnamed)), "zone" in opened.readback.no_more)


def _label(opened: OpenedReadback, number: int) -> str:
    known = [opened.programme.get(item_of("zone", number, field)) for field in ("place", "label")]
    return " ".join(each for each in known if each is not None and each != UNKNOWN) or f"zone {number}"


def _meant(opened: OpenedReadback, word: str) -> list[ZoneNumber]:
    """Return the zones that a number or a label means; raises `BadInput` if there is none."""
    numbers = opened.programme.numbers("zone")
    if word.isascii() and word.isdigit() and int(word) in numbers:
        return [ZoneNumber(int(word))]
    found = [
        ZoneNumber(number)
        for number in numbers
        if word in (_label(opened, number), opened.programme.get(item_of("zone", number, "label")))
    ]
    if not found:
        allowed = ", ".join(str(number) for number in numbers)
        says, fix = "the readback has no such zone or label", "write a zone's number or its label"
        raise BadInput([Finding("USE-02", Severity.PROBLEM, f'zone "{word}"', says, allowed=allowed, fix=fix)])
    return found
