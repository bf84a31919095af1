"""`explain --since`: what a change of the site file changes in what the panel does, and in what can be proved."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from zonewright.behaviour.changes import Changed, Difference, answer_changes, changes, scene_changes
from zonewright.behaviour.setup import setup_of
from zonewright.behaviour.tracks import called, names_of
from zonewright.checks.since import beware
from zonewright.cli.progress import Progress
from zonewright.cli.proofs import verdicts_of
from zonewright.cli.terminal import paragraph
from zonewright.panel.resolve import Resolved
from zonewright.proof.apart import ProofChange, proof_changes, proofs_apart

SAME = "Nothing that happens is different."
SAME_KEYS = "What the panel does is no different: nothing else is keyed than before."
UNSEEN = (
    "Each zone, each area while it is armed, the panel's own troubles and the everyday scenes do the same as before. "
    "More than that can happen: the answers below differ. Play shows what they change, but for a role, which decides "
    "who gets into programming."
)


@dataclass(frozen=True, slots=True)
class Since:
    """All that is different between two sites; what is said of one has its own names."""

    changed: tuple[Changed, ...]
    answers: tuple[str, ...] = ()  # what is keyed otherwise of people, remotes and settings
    beware: tuple[str, ...] = ()  # what somebody must know before it is keyed
    proofs: tuple[ProofChange, ...] = ()  # those of one group together, what fails now first


def since(new: Resolved, old: Resolved) -> Since:
    """Return what is different between two sites of one panel."""
    was, now = ((each, setup_of(each.programme, each.profile)) for each in (old, new))
    found = (*changes(was[1], now[1]), *scene_changes(was, now))
    return Since(tuple(_named(found, old, new)), tuple(answer_changes(old, new)), beware(old, new))


def _named(found: Iterable[Changed], old: Resolved, new: Resolved) -> Iterator[Changed]:
    """Give each change with the names of its site; what only has another number then says the same, and is left out."""
    was, now = names_of(old), names_of(new)
    for each in found:
        named = (Difference(called(one.situation, now), called(one.before, was), called(one.now, now))
                 for one in each.differences)  # fmt: skip
        differences = tuple(one for one in named if one.before != one.now)
        if differences:
            yield Changed(called(called(each.thing, now), was), differences)


def with_proofs(found: Since, new: Resolved, old: Resolved, progress: Progress) -> Since:
    """Return the same with what can be proved otherwise; it takes longest."""
    sites = [(each, setup_of(each.programme, each.profile)) for each in (old, new)]
    settled = [(site, setup, verdicts_of(site, setup, progress=progress)) for site, setup in sites]
    return replace(found, proofs=proof_changes(*(proofs_apart(*each) for each in settled)))


def since_lines(found: Since, new: Resolved, width: int) -> Iterator[str]:
    """Give the lines of all that is different."""
    if found.beware:
        yield "Before you key it:"
        for sentence in found.beware:
            yield from paragraph(sentence, width, "  - ", "    ")
    if not found.changed and not found.proofs:
        yield from paragraph(UNSEEN if found.answers else SAME_KEYS if found.beware else SAME, width)
    for each in found.changed:
        yield from ("", each.thing[:1].upper() + each.thing[1:])
        for one in each.differences:
            yield from paragraph(f"{one.situation}:", width, "  ")
            yield from paragraph(one.before, width, "    before  ", " " * 12)
            yield from paragraph(one.now, width, "    now     ", " " * 12)
    names = names_of(new)
    if found.answers:
        yield from ("", "Answers that differ, besides those of zones:")
        for answer in found.answers:
            yield from paragraph(answer, width, "  ", "    ")
    for group in dict.fromkeys(each.group for each in found.proofs):
        yield from ("", f"{group.value}:")
        for proof in found.proofs:
            if proof.group is group:
                yield from paragraph(called(proof.text, names), width, "  ", "    ")


def since_object(found: Since, new: Resolved) -> dict[str, object]:
    """Return all that is different as plain data."""
    names = names_of(new)
    return {
        "beware": list(found.beware),
        "answers": list(found.answers),
        "changed": [
            {
                "thing": each.thing,
                "differences": [
                    {"situation": one.situation, "before": one.before, "now": one.now} for one in each.differences
                ],
            }
            for each in found.changed
        ],
        "proofs": [
            {
                "promise": called(each.says, names),
                "said before": called(each.said, names),
                "before": each.before,
                "now": each.now,
                "group": each.group.value,
            }
            for each in found.proofs
        ],
    }
