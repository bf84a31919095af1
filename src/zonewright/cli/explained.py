"""Why one promise holds or fails, as `prove --explain` tells it."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from zonewright.behaviour.setup import Setup
from zonewright.cli.terminal import paragraph
from zonewright.cli.timelines import broken_lines
from zonewright.panel.programme import Item
from zonewright.panel.resolve import Resolved
from zonewright.proof.promises.promise import Promise
from zonewright.proof.prove import Verdict
from zonewright.proof.prover.refine import Result
from zonewright.proof.why.arguments import Argument, Line, tracked_in_words
from zonewright.proof.why.explaining import Explained
from zonewright.proof.why.mending import Mend
from zonewright.proof.why.undoing import Undoing, undoings
from zonewright.words.tracks import Names, called, names_of

MOST_TOLD = 8  # lines of one situation


def explained_lines(found: Explained, resolved: Resolved, setup: Setup, width: int) -> Iterator[str]:
    """Give its verdict, the reason, what it rests on, and what would mend it."""
    promise, settled, names = found.verdict.promise, found.verdict.settled, names_of(resolved)
    yield from paragraph(called(promise.sentence, names), width)
    yield from (f"  {promise.name}", "")
    looked = f"; {settled.controls} states looked at" if settled.controls else ""
    yield from paragraph(f"{called(in_words(setup, found.verdict), names)}{looked}.", width)
    undone = undoings(resolved, setup, [promise])
    if undone:
        yield from ("", "It takes for granted what can be untrue:")
    for one in undone:
        yield from paragraph(called(f"{one.proviso.value}: {one.says}", names), width, "  ", "    ")
    if settled.timeline and settled.result is Result.FAILS:
        yield from ("", "The shortest way to break it:", "")
        yield from broken_lines(setup, found.verdict, width, names)
    if found.reasons.argument is not None:
        yield from _argument_lines(found.reasons.argument, names, width)
    if found.reasons.situations:
        yield from ("", "What comes of it, in every state that it is about:")
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
        yield f"  {_named(item)}: {_value(resolved, item)}   {_place(resolved, item)}"


def in_words(setup: Setup, verdict: Verdict) -> str:
    """Return a verdict in words."""
    settled = verdict.settled
    timers = tracked_in_words(setup, settled.timers)
    why_ = f" ({settled.why})" if settled.why else ""
    return f"{settled.result.value}{why_}" + (f"; {timers}" if timers else "")


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
        told = " or ".join(_shown(resolved, items[0], each) for each in some)
        place = _place(resolved, items[0])
        now = _value(resolved, items[0])
        yield from paragraph(called(f"{things}: {told} (now {now}, {place})", names), width, "  ", "    ")


def _named(item: Item) -> str:
    group, *rest = item.split("/")
    name = " ".join(rest).replace("-", " ")
    return f"{group} {name}" if group == "zone" else name


def _value(resolved: Resolved, item: Item) -> str:
    return _shown(resolved, item, resolved.programme.get(item) or resolved.profile.fixed[item])


def _shown(resolved: Resolved, item: Item, value: str) -> str:
    answer = resolved.profile.answer_of(item)
    unit = answer.unit if answer is not None and value.isdigit() else None
    if item.endswith("/area"):
        numbers = {str(number): name for name, number in resolved.areas.items()}
        return " and ".join(numbers.get(each, each) for each in value.split("+"))
    return f"{value} {unit}" if unit else value


def _place(resolved: Resolved, item: Item) -> str:
    place = resolved.places.get(item)
    if place is not None:
        return f"{place.file}:{place.line}"
    return "as shipped" if item in resolved.programme else "fixed on this panel"


def premises_object(promise: Promise, undone: Sequence[Undoing], names: Names) -> list[dict[str, object]]:
    """Return what a promise takes for granted, each with what can make it untrue, as plain data."""
    mine = set(promise.spoken_of or promise.zones)
    return [
        {
            "if": proviso.value,
            "can be untrue": [
                called(each.says, names) for each in undone if each.proviso is proviso and mine & set(each.zones)
            ],
        }
        for proviso in promise.provisos
    ]


def explained_object(found: Explained, resolved: Resolved, setup: Setup) -> dict[str, object]:
    """Return the same as plain data."""
    promise, names, argument = found.verdict.promise, names_of(resolved), found.reasons.argument

    def told(lines: Iterable[Line]) -> list[str]:
        return [called(line.text, names) for line in lines]

    return {
        "name": promise.name,
        "promise": called(promise.sentence, names),
        "premises": premises_object(promise, undoings(resolved, setup, [promise]), names),
        "verdict": called(in_words(setup, found.verdict), names),
        "step by step": None if argument is None else {
            "begins": told(argument.begins), "lasts": argument.lasts, "meanwhile": told(argument.meanwhile),
            "too late": [called(text, names) for text in argument.too_late], "else": argument.else_,
        },
        "situations": [
            {"where": each.name, "states": each.states, "what comes": told(each.lines)}
            for each in found.reasons.situations
        ],
        "rests on": [
            {"item": item, "value": _value(resolved, item), "place": _place(resolved, item)} for item in found.rests_on
        ],
        "would hold with": [{"items": list(mend.items), "value": mend.value} for mend in found.mends],
    }  # fmt: skip
