"""What is said of a panel profile that holds together."""

from __future__ import annotations

from typing import Literal

from zonewright.desk.profiles import Sound
from zonewright.desk.results.result import Part, Result


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
    unread: tuple[str, ...]  # they are keyed, and the panel model gives them no meaning
    lacking: tuple[str, ...]  # what the panel model takes the panel to lack
    codes_one_digit_apart: tuple[tuple[str, str], ...]
    waits: tuple[NodeWaits, ...]


def profile_facts(found: Sound) -> ProfileFacts:
    """Return what is said of a profile."""
    profile, reached = found.profile, found.reached
    return ProfileFacts(
        panel=profile.panel,
        edition=str(profile.edition),
        states=reached.states,
        nodes=len(profile.script),
        items=len(profile.items),
        unread=found.unread,
        lacking=found.lacking,
        codes_one_digit_apart=found.near_codes,
        waits=tuple(NodeWaits(node=node, items=tuple(sorted(items))) for node, items in reached.waits.items()),
    )
