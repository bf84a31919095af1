"""`explain --since`: what a change of the site file changes in what the panel does, and in what can be proved."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from zonewright.behaviour.changes import Changed, answer_changes, changes, scene_changes
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
    "More than that can happen: the answers below differ, and play shows what they change."
)


@dataclass(frozen=True, slots=True)
class Since:
    """All that is different between two sites."""

    changed: tuple[Changed, ...]
    answers: tuple[str, ...] = ()  # what is keyed otherwise of people, remotes and settings
    beware: tuple[str, ...] = ()  # what somebody must know before it is keyed
    proofs: tuple[ProofChange, ...] = ()  # those of one group together, what fails now first


def since(new: Resolved, old: Resolved) -> Since:
    """Return what is different between two sites of one panel."""
    was, now = ((each, setup_of(each.programme, each.profile)) for each in (old, new))
    found = (*changes(was[1], now[1]), *scene_changes(was, now))
    return Since(found, tuple(answer_changes(old, new)), beware(old, new))


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
    names = names_of(new)
    for each in found.changed:
        thing = called(each.thing, names)
        yield from ("", thing[:1].upper() + thing[1:])
        for one in each.differences:
            yield from paragraph(f"{called(one.situation, names)}:", width, "  ")
            yield from paragraph(called(one.before, names), width, "    before  ", " " * 12)
            yield from paragraph(called(one.now, names), width, "    now     ", " " * 12)
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
                "thing": called(each.thing, names),
                "differences": [
                    {"situation": one.situation, "before": called(one.before, names), "now": called(one.now, names)}
                    for one in each.differences
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
