"""`explain --since`: what a change of the site file changes in what the panel does, and in what can be proved."""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.cli.terminal import paragraph
from zonewright.desk.comparing import Since
from zonewright.words.tracks import Names, called

SAME = "Nothing that happens is different."
SAME_KEYS = "What the panel does is no different: nothing else is keyed than before."
UNSEEN = (
    "Each zone, each area while it is armed, the panel's own troubles and the everyday scenes do the same as before. "
    "More than that can happen: the answers below differ. Play shows what they change, but for a role, which decides "
    "who gets into programming."
)


def since_lines(found: Since, names: Names, width: int) -> Iterator[str]:
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
    if found.answers:
        yield from ("", "Answers that differ, besides those of zones:")
        for answer in found.answers:
            yield from paragraph(answer, width, "  ", "    ")
    for group in dict.fromkeys(each.group for each in found.proofs):
        yield from ("", f"{group.value}:")
        for proof in found.proofs:
            if proof.group is group:
                yield from paragraph(called(proof.text, names), width, "  ", "    ")
