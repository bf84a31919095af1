"""What is said of a panel profile that holds together."""

from __future__ import annotations

from typing import Literal

from zonewright.desk.results.result import Part, Result
from zonewright.panel.profile import Profile, Style
from zonewright.panel.reachability import reach


class NodeWaits(Part):
    """Items whose values may wait, not saved yet, while the keypad is at a node of the script."""

    node: str
    items: tuple[str, ...]


class ProfileFacts(Result):
    """A profile whose script was walked in every way that its conditions tell apart."""

    kind: Literal["profile-facts"] = "profile-facts"
    panel: str
    edition: str
    states: int
    nodes: int
    items: int
    codes_one_digit_apart: tuple[tuple[str, str], ...]
    waits: tuple[NodeWaits, ...]


def profile_facts(profile: Profile) -> ProfileFacts:
    """Return what is said of a profile."""
    reached = reach(profile)
    return ProfileFacts(
        panel=profile.panel,
        edition=str(profile.edition),
        states=reached.states,
        nodes=len(profile.script),
        items=len(profile.items),
        codes_one_digit_apart=tuple(near_codes(profile)),
        waits=tuple(NodeWaits(node=node, items=tuple(sorted(items))) for node, items in reached.waits.items()),
    )


def near_codes(profile: Profile) -> list[tuple[str, str]]:
    """Return the pairs of words whose codes differ in one digit: a slip there gives another word, not a refusal."""
    pairs = []
    for answer in profile.answers.values():
        if answer.style is Style.WORDS:
            codes = list(answer.codes.items())
            for place, (one, code) in enumerate(codes):
                for other, code_of_other in codes[place + 1 :]:
                    if sum(a != b for a, b in zip(code, code_of_other, strict=True)) == 1:
                        pairs.append((one, other))
    return pairs
