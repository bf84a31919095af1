"""What is different between two programmings of a panel, told as behaviour: what did, and what will, come of things.

Rules of this file:
1. Zones are the same if their number is; what one number did before and does now is compared, whatever it is called.
2. Every difference is one between two runs of the clockwork. Where the words of both are equal, the outputs that differ
   are told; nothing that differs is left out because it has no word.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.events import Arm, Means
from zonewright.behaviour.setup import Setup, ZoneSetup
from zonewright.panel.behaviours import Mode
from zonewright.panel.resolve import Resolved
from zonewright.site.record import ZoneNumber, span
from zonewright.words.explain import CLOSES, NOTHING, explain, lines_of
from zonewright.words.matrix import SOMEBODY, Cause, Cell, matrix, site_troubles, tells
from zonewright.words.scenes import Came, Played, play_scenes
from zonewright.words.sentence import sentence
from zonewright.words.strips import cell_in_words, site_trouble_in_words
from zonewright.words.telling import in_modes, listed, output_in_words

NO_ZONE = "there is no such zone"
SCENES = "everyday scenes (play --scenes)"
MOST_TOLD = 4  # of what only one of two runs of a scene has
NO_CASE = "not told separately: read what happens when it opens"


@dataclass(frozen=True, slots=True)
class ChangedSituation:
    """One situation in which something else comes of it than before."""

    situation: str
    before: str
    now: str


@dataclass(frozen=True, slots=True)
class Changed:
    """A zone, an area or the panel itself, and every difference in what it does."""

    thing: str  # "zone 7 porch side gate", "area 1", "the panel"
    differences: tuple[ChangedSituation, ...]


def changes(old: Setup, new: Setup) -> tuple[Changed, ...]:
    """Return what does otherwise than before: zones by number, then areas, then the panel itself."""
    found = [*_zones(old, new), *_areas(old, new)]
    panel = tuple(
        ChangedSituation(row.trouble.value, before, now)
        for row, other in zip(site_troubles(old), site_troubles(new), strict=True)
        if (before := site_trouble_in_words(row)) != (now := site_trouble_in_words(other))
    )
    return tuple(each for each in (*found, Changed("the panel", panel)) if each.differences)


def scene_changes(old: tuple[Resolved, Setup], new: tuple[Resolved, Setup]) -> tuple[Changed, ...]:
    """Return the everyday scenes that both sites can play and that now end differently."""
    found = []
    for before, now in zip(play_scenes(*old), play_scenes(*new), strict=True):
        was, will = _scene_told(old[1], before), _scene_told(new[1], now)
        if was != will and Came.LACKS not in (before.came, now.came):
            found.append(ChangedSituation(now.name, _besides(was, will), _besides(will, was)))
    return (Changed(SCENES, tuple(found)),) if found else ()


def answer_changes(old: Resolved, new: Resolved) -> Iterator[str]:
    """Give each changed answer about people, remotes, settings and the station, which no zone alone shows."""
    for item in sorted({*old.programme, *new.programme}):
        was, now = old.programme.get(item), new.programme.get(item)
        if was != now and item.group != "zone":
            who = {"user": new.users, "remote": new.remotes}.get(item.group, {}).get(item.number or 0)
            name = f"{item.thing.words} {item.field}" + (f" ({who})" if who else "")
            yield f"{name}: {was or 'not there'} before, now {now or 'not there'}"


def _scene_told(setup: Setup, scene: Played) -> list[str]:
    """Return all that the panel does in a scene, with its second."""
    return [
        f"after {span(entry.at)}: {output_in_words(setup, each)}" for entry in scene.timeline for each in entry.outputs
    ]


def _besides(mine: list[str], other: list[str]) -> str:
    """Return what only one of two runs has, the first few."""
    only = [text for text in mine if text not in other]
    more = f"; and {len(only) - MOST_TOLD} more" if len(only) > MOST_TOLD else ""
    return "; ".join(only[:MOST_TOLD]) + more or "nothing that the other lacks"


def _zones(old: Setup, new: Setup) -> Iterator[Changed]:
    made = {"old": matrix(old), "new": matrix(new)}
    labels = {zone.number: zone.label for zone in (*old.zones, *new.zones)}  # the new name where both have one
    for number in sorted(labels):
        thing = f"zone {number} {labels[number]}"
        before, now = old.zone(number), new.zone(number)
        if before is None:
            yield Changed(thing, (ChangedSituation("it is new", NO_ZONE, sentence(made["new"], number)),))
        elif now is None:
            yield Changed(thing, (ChangedSituation("it is gone", sentence(made["old"], number), NO_ZONE),))
        else:
            renamed = [ChangedSituation("it is called", before.label, now.label)] if before.label != now.label else []
            if before.areas != now.areas:
                renamed.append(ChangedSituation("it is armed with", _areas_in_words(before), _areas_in_words(now)))
            cells = [
                d
                for cause in Cause
                if tells(before, cause) and tells(now, cause)
                for d in _cells(old, new, made["old"].row(number, cause), made["new"].row(number, cause))
            ]
            yield Changed(thing, (*renamed, *cells, *_situations(old, new, number)))


def _areas_in_words(zone: ZoneSetup) -> str:
    return listed([f"area {number}" for number in sorted(zone.areas)])


def _cells(old: Setup, new: Setup, before: tuple[Cell, ...], now: tuple[Cell, ...]) -> Iterator[ChangedSituation]:
    """Give what one cause leads to now and didn't before; modes in which the same changes share a difference."""
    alike: dict[tuple[str, str], list[Mode]] = {}
    for one, other in zip(before, now, strict=True):
        was, will = cell_in_words(one), cell_in_words(other)
        if was == will:
            was, will = _only(old, one, new, other), _only(new, other, old, one)
        if was != will:
            alike.setdefault((was, will), []).append(one.mode)
    for (was, will), modes in alike.items():
        yield ChangedSituation(f"{before[0].cause.value}, {in_modes(modes)}", was, will)


def _only(setup: Setup, cell: Cell, other_setup: Setup, other: Cell) -> str:
    """Return the outputs of a cell that another lacks, in words."""
    mine, theirs = _told(setup, cell), _told(other_setup, other)
    return "; ".join(text for text in mine if text not in theirs)


def _told(setup: Setup, cell: Cell) -> list[str]:
    return [
        f"{output_in_words(setup, output)} {f'after {span(after)}' if after else 'at once'}"
        for after, output in cell.outcome
    ]


def _situations(old: Setup, new: Setup, number: ZoneNumber) -> Iterator[ChangedSituation]:
    """Give the situations besides the matrix: leaving, coming in, again and again, disarmed soon ..."""
    before, now = ({p.situation: "; ".join(p.lines) for p in explain(each, number).paragraphs} for each in (old, new))
    for situation in dict.fromkeys((*before, *now)):
        if situation.startswith("It opens and stays open"):
            continue  # these are cells
        absent = NOTHING if situation == CLOSES else NO_CASE
        was, will = before.get(situation, absent), now.get(situation, absent)
        if was != will:
            yield ChangedSituation(situation, was, will)


def _areas(old: Setup, new: Setup) -> Iterator[Changed]:
    for area in sorted({*old.areas, *new.areas}):
        found = []
        for mode, means in ((Mode.AWAY, Means.KEYPAD), (Mode.AWAY, Means.REMOTE), (Mode.STAY, Means.KEYPAD)):
            was, will = (
                "; ".join(lines_of(each, Clockwork(each), (Arm(area, mode, SOMEBODY, means),)))
                if area in each.areas
                else f"there is no area {area}"
                for each in (old, new)
            )
            if was != will:
                found.append(ChangedSituation(f"armed {mode.value} by {means.value}, nobody moves", was, will))
        yield Changed(f"area {area}", tuple(found))
