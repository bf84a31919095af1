"""Why one promise holds or fails, as `prove --explain` tells it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from zonewright.behaviour.setup import Setup
from zonewright.cli.terminal import paragraph
from zonewright.cli.timelines import broken_lines
from zonewright.desk.results.proofs import place_of, shown, value_of, verdict_in_words
from zonewright.panel.programme import Item
from zonewright.panel.resolve import Resolved
from zonewright.proof.prover.refine import VerdictKind
from zonewright.proof.why.arguments import Argument
from zonewright.proof.why.explaining import Explained
from zonewright.proof.why.mending import Mend
from zonewright.proof.why.undoing import Undoing
from zonewright.words.tracks import Names, called, names_of

MOST_TOLD = 8  # lines of one situation


def explained_lines(
    found: Explained, resolved: Resolved, setup: Setup, undone: Sequence[Undoing], width: int
) -> Iterator[str]:
    """Give its verdict, the reason, what it rests on, and what would mend it."""
    promise, settled, names = found.verdict.promise, found.verdict.settled, names_of(resolved)
    yield from paragraph(called(promise.sentence, names), width)
    yield from (f"  {promise.name}", "")
    looked = f"; {settled.controls} states looked at" if settled.controls else ""
    yield from paragraph(f"{called(verdict_in_words(setup, found.verdict), names)}{looked}.", width)
    if undone:
        yield from ("", "It takes for granted what can be untrue:")
    for one in undone:
        yield from paragraph(called(f"{one.proviso.value}: {one.says}", names), width, "  ", "    ")
    if settled.timeline and settled.result is VerdictKind.FAILS:
        yield from ("", "The shortest way to break it:", "")
        yield from broken_lines(setup, found.verdict, width, names)
    if found.reasons.argument is not None:
        yield from _argument_lines(found.reasons.argument, names, width)
    if found.reasons.situations:
        yield from ("", "What happens, in every state that it is about:")
    for each in found.reasons.situations:
        yield from paragraph(f"{each.name} ({each.states} state{'s' * (each.states != 1)}):", width, "  ")
        for line in each.lines[:MOST_TOLD]:
            yield from paragraph(called(line.text, names), width, "      ", "        ")
        if len(each.lines) > MOST_TOLD:
            yield f"      and {len(each.lines) - MOST_TOLD} more"
    if found.is_broken:
        yield from _mend_lines(found.mends, resolved, names, width)
    if found.rests_on:
        yield from ("", "What it rests on:")
    for item in found.rests_on:
        yield f"  {_named(item)}: {value_of(resolved, item)}   {place_of(resolved, item)}"


def _argument_lines(argument: Argument, names: Names, width: int) -> Iterator[str]:
    yield from ("", "Why, step by step:")
    for line in argument.begins:
        yield from paragraph(called(f"It begins: {line.text}.", names), width, "  ", "    ")
    meanwhile = " Meanwhile:" if argument.meanwhile else ""
    yield from paragraph(f"{argument.lasts}{meanwhile}", width, "  ", "    ")
    for line in argument.meanwhile:
        yield from paragraph(called(line.text, names), width, "      ", "        ")
    for text in argument.too_late:
        yield from paragraph(called(text, names), width, "      ", "        ")
    if argument.else_:
        yield from paragraph(argument.else_, width, "  ", "    ")


def _mend_lines(found: tuple[Mend, ...], resolved: Resolved, names: Names, width: int) -> Iterator[str]:
    yield ""
    if not found:
        yield from paragraph("No single field of its zones, and no time that it rests on, was found to mend it.", width)
        return
    values: dict[tuple[Item, ...], list[str]] = {}
    for mend in found:
        values.setdefault(mend.items, []).append(mend.value)
    yield "It would hold, with this alone changed:"
    for items, some in values.items():
        things = " and ".join(_named(item) for item in items)
        told = " or ".join(shown(resolved, items[0], each) for each in some)
        place = place_of(resolved, items[0])
        now = value_of(resolved, items[0])
        yield from paragraph(called(f"{things}: {told} (now {now}, {place})", names), width, "  ", "    ")


def _named(item: Item) -> str:
    return f"{item.thing.words} {item.words}" if item.group == "zone" else item.words
