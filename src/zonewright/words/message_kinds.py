"""Which messages a panel may send, and whether an owner's word for a kind of message means any of them."""

from __future__ import annotations

from collections.abc import Iterable

from zonewright.behaviour.events import SiteTrouble, Told, Trouble
from zonewright.findings import nearest
from zonewright.panel.behaviours import Behaviour
from zonewright.panel.profile import Profile
from zonewright.site.must import Effect
from zonewright.words.telling import is_meant


def message_names(behaviours: Iterable[Behaviour]) -> frozenset[str]:
    """Return the names of all messages that a panel with these behaviours may send."""
    named = {each for one in behaviours for each in (one.alarm, one.warning) if each}
    return frozenset(named | {each.value for each in (*Told, *Trouble, *SiteTrouble)})


def no_such_message(profile: Profile, effect: Effect) -> str:
    """Return that a panel has no message of the kind that a statement names, with what was perhaps meant."""
    if effect.kind != "message" or not effect.of:
        return ""
    known = message_names(profile.behaviours.values())
    if any(is_meant(effect.of, each) for each in known):
        return ""
    words = {word for each in known for word in each.split()}
    near = nearest(effect.of, [*known, *words])
    hint = f'; did you mean "{near[0]} message"?' if near else ""
    return f'this panel sends no message that is called "{effect.of}"{hint}'
