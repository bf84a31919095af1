"""What is different between two states of a site."""

from __future__ import annotations

from typing import Literal

from zonewright.desk.comparing import Since
from zonewright.desk.results.result import Part, Result
from zonewright.words.tracks import Names, called


class DifferencePart(Part):
    """What happened in a situation before the change, and what happens now."""

    situation: str
    before: str
    now: str


class ChangedPart(Part):
    """A thing that acts differently."""

    thing: str
    differences: tuple[DifferencePart, ...]


class ProofPart(Part):
    """A promise that comes out differently; a text is empty where it wasn't asked."""

    promise: str
    said_before: str
    before: str
    now: str
    group: str


class Changes(Result):
    """All that a change of the site file changes."""

    kind: Literal["changes"] = "changes"
    beware: tuple[str, ...]
    answers: tuple[str, ...]
    changed: tuple[ChangedPart, ...]
    proofs: tuple[ProofPart, ...]


def changes_of(found: Since, names: Names) -> Changes:
    """Return all that is different."""
    return Changes(
        beware=found.beware,
        answers=found.answers,
        changed=tuple(
            ChangedPart(
                thing=each.thing,
                differences=tuple(
                    DifferencePart(situation=one.situation, before=one.before, now=one.now) for one in each.differences
                ),
            )
            for each in found.changed
        ),
        proofs=tuple(
            ProofPart(
                promise=called(each.says, names),
                said_before=called(each.said, names),
                before=each.before,
                now=each.now,
                group=each.group.value,
            )
            for each in found.proofs
        ),
    )
