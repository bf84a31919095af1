"""`explain --since`: what a change of the site file changes in what the panel does, and in what can be proved."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path

from zonewright.behaviour.changes import Changed, changes
from zonewright.behaviour.setup import setup_of
from zonewright.behaviour.tracks import called, names_of
from zonewright.cli.progress import Progress
from zonewright.cli.proofs import verdicts_of
from zonewright.cli.terminal import paragraph
from zonewright.findings import BadInput, Finding, Severity
from zonewright.panel.resolve import Resolved

NOT_ASKED = "not asked"


@dataclass(frozen=True, slots=True)
class ProofChange:
    """A promise whose verdict is another than before, or that only one of the two sites makes."""

    says: str
    before: str
    now: str


@dataclass(frozen=True, slots=True)
class Since:
    """All that is different between two sites."""

    changed: tuple[Changed, ...]
    proofs: tuple[ProofChange, ...] = ()


def since(new: Resolved, old: Resolved, older: Path) -> Since:
    """Return what happens otherwise; raises `BadInput` where the two are sites of different panels."""
    if new.profile.panel != old.profile.panel:
        says = f"it is for the panel {old.profile.panel}, and the site for {new.profile.panel}"
        fix = "compare two files of one panel"
        raise BadInput([Finding("USE-03", Severity.PROBLEM, str(older), says, fix=fix)])
    setups = (setup_of(each.programme, each.profile) for each in (old, new))
    return Since(changes(*setups))


def with_proofs(found: Since, new: Resolved, old: Resolved, progress: Progress) -> Since:
    """Return the same with what can be proved otherwise; it takes longest."""
    return replace(found, proofs=tuple(_proofs(old, new, progress)))


def since_lines(found: Since, new: Resolved, width: int) -> Iterator[str]:
    """Give the lines of all that is different."""
    if not found.changed and not found.proofs:
        yield "Nothing that happens is different."
    names = names_of(new)
    for each in found.changed:
        thing = called(each.thing, names)
        yield from ("", thing[:1].upper() + thing[1:])
        for one in each.differences:
            yield from paragraph(f"{called(one.situation, names)}:", width, "  ")
            yield from paragraph(called(one.before, names), width, "    before  ", " " * 12)
            yield from paragraph(called(one.now, names), width, "    now     ", " " * 12)
    if found.proofs:
        yield from ("", "What can be proved")
    for proof in found.proofs:
        yield from paragraph(f"{proof.says}: {proof.before} -> {proof.now}", width, "  ", "    ")


def since_object(found: Since, new: Resolved) -> dict[str, object]:
    """Return all that is different as plain data."""
    names = names_of(new)
    return {
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
        "proofs": [{"promise": each.says, "before": each.before, "now": each.now} for each in found.proofs],
    }


def _proofs(old: Resolved, new: Resolved, progress: Progress) -> Iterator[ProofChange]:
    before, now = (_verdicts(each, progress) for each in (old, new))
    for says in dict.fromkeys((*before, *now)):
        was, will = before.get(says, NOT_ASKED), now.get(says, NOT_ASKED)
        if was != will:
            yield ProofChange(says, was, will)


def _verdicts(site: Resolved, progress: Progress) -> dict[str, str]:
    setup = setup_of(site.programme, site.profile)
    found = verdicts_of(site, setup, progress=progress)
    return {each.promise.says: each.settled.result.value for each in found}
