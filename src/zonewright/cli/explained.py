"""Why one promise holds or fails, as `prove --explain` tells it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from zonewright.behaviour.setup import Setup
from zonewright.behaviour.tracks import Names, called, names_of
from zonewright.cli.terminal import paragraph
from zonewright.cli.timelines import timeline_lines
from zonewright.panel.programme import Item, item_of
from zonewright.panel.resolve import Resolved
from zonewright.proof.explore import OutOfBounds
from zonewright.proof.mending import Mend, mends
from zonewright.proof.promise import Promise, Window
from zonewright.proof.prove import Verdict, prove
from zonewright.proof.refine import Result
from zonewright.proof.table import TooLarge
from zonewright.proof.why import Argument, Reasons, settings_of, tracked_in_words, why

MOST_TOLD = 8  # lines of one situation
RESTS_ON = ("behaviour", "area", "delay", "tells-alarm", "message-delay", "chime", "crosses", "verify")


@dataclass(frozen=True, slots=True)
class Explained:
    """A promise with its verdict, why it is so, what decides it, and what would make it hold."""

    verdict: Verdict
    reasons: Reasons
    rests_on: tuple[Item, ...]
    mends: tuple[Mend, ...]


def explain_promise(resolved: Resolved, setup: Setup, promise: Promise, window: Window) -> Explained:
    """Return all that there is to say of one promise."""
    (verdict,) = prove(setup, [promise], window)
    try:
        reasons = why(setup, promise, window)
    except (OutOfBounds, TooLarge):
        reasons = Reasons()  # the verdict says that it is too large
    settings = settings_of(reasons, promise)
    rests_on = tuple(_items(resolved, promise, settings))
    fails = _is_broken(verdict)
    names = [item.removeprefix("setting/").replace("-", " ") for item in rests_on if item.startswith("setting/")]
    found = tuple(mends(resolved, setup, promise, verdict.settled.timeline, names, window)) if fails else ()
    return Explained(verdict, reasons, rests_on, found)


def explained_lines(found: Explained, resolved: Resolved, setup: Setup, width: int) -> Iterator[str]:
    """Give its verdict, the reason, what it rests on, and what would mend it."""
    promise, settled, names = found.verdict.promise, found.verdict.settled, names_of(resolved)
    yield from paragraph(called(promise.says, names), width)
    yield from (f"  {promise.name}", "")
    looked = f"; {settled.controls} states looked at" if settled.controls else ""
    yield from paragraph(f"{called(in_words(setup, found.verdict), names)}{looked}.", width)
    if settled.timeline and settled.result is Result.FAILS:
        yield from ("", "The shortest way to break it:", "")
        yield from timeline_lines(setup, settled.timeline, width, names)
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
    if _is_broken(found.verdict):
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


def _is_broken(verdict: Verdict) -> bool:
    """Return whether it fails by what the panel does; of a sum, or for want of people, the verdict says all."""
    return verdict.settled.result is Result.FAILS and verdict.promise.reckoned is None


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


def _items(resolved: Resolved, promise: Promise, settings: tuple[str, ...]) -> Iterator[Item]:
    """Give the fields of the promise's zones, then the settings that decide it, entry times by their zones' delays."""
    delays = set()
    for number in promise.zones:
        for field, value in resolved.programme.fields("zone", number).items():
            item = item_of("zone", number, field)
            if field == "delay" and value != "none":
                delays.add(value)
            if field in RESTS_ON and item in resolved.places:
                yield item
    for name in sorted({*delays, *settings}):
        item = Item(f"setting/{name.replace(' ', '-')}")
        if item in resolved.programme or item in resolved.profile.fixed:
            yield item


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
