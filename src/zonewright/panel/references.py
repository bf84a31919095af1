"""Whether everything that a profile names exists and fits: answers of nodes, groups, labels, fixed settings.

Rules of this file:
1. What passes here needn't be checked in later rooms: a named answer exists, a group has a limit, the panel model can
   read each fixed value.
"""

from __future__ import annotations

import re
from collections.abc import Iterator
from difflib import get_close_matches

from zonewright.findings import nearest
from zonewright.panel.behaviours import RENAMED, likely_names
from zonewright.panel.fixed import FIXED_KINDS, NAMED_CHOICES, READ, RIGHTS, Written, why_not_fixed
from zonewright.panel.profile import Kind, Profile, ScriptNode, Style
from zonewright.panel.programme import Item
from zonewright.panel.reachability import Complaint

_PLACES = re.compile(r"([1-9][0-9]?)-([1-9][0-9]?)")
GROUPS = ("zone", "user", "remote")
# node field -> the styles of answer that fit there; None: any
_STYLES: dict[str, frozenset[Style] | None] = {
    "how": frozenset({Style.DIGITS, Style.SCROLL, Style.WHEEL}),
    "code": frozenset({Style.SECRET}),
}
_FIRST_WORD = re.compile(r"[a-z]+")


def loose_ends(profile: Profile) -> Iterator[Complaint]:
    """Yield everything that is named and doesn't exist, or doesn't fit where it is named."""
    yield from _rest(profile)
    for name in profile.behaviours:
        if name in RENAMED:
            says = f'the behaviour "{name}" is now called {RENAMED[name]}'
            yield Complaint("PRO-44", ("behaviours", name), says, f"write {RENAMED[name]}, here and below")
    for pattern in profile.items:
        yield from _item(profile, pattern)
    for name, node in profile.script.items():
        yield from _node(profile, name, node)
    for name, kind in (*profile.kinds.items(), ("", profile.remote)):
        yield from _label(("kinds", name) if name else ("remote",), kind)
    yield from _fixed(profile)


def _rest(profile: Profile) -> Iterator[Complaint]:
    rests = [name for name, node in profile.script.items() if node.ways_in is not None]
    if len(rests) != 1:
        says = "no node has `ways in`" if not rests else f"{' and '.join(rests)} have `ways in`"
        yield Complaint("PRO-38", ("script",), f"{says}: a keypad rests at one node", "give `ways in` to one node")


NEARLY = 0.85  # of the letters of two names alike: a slip of the pen, not another name (our choice)


def _item(profile: Profile, pattern: Item) -> Iterator[Complaint]:
    parts = pattern.split("/")
    numbered = len(parts) == 3 and parts[1] == "*"
    if not (numbered or len(parts) == 2) or not all(parts) or "*" in (parts[0], parts[-1]):
        says = f"`{pattern}` is no name of an item"
        yield Complaint("PRO-38", ("items", pattern), says, "write group/*/field, or group/field for what exists once")
    elif numbered and parts[0] not in GROUPS:
        says = f"`{pattern}`: there is no group {parts[0]}; there are {', '.join(GROUPS)}"
        yield Complaint("PRO-38", ("items", pattern), says, "write one of these groups")
    elif numbered and profile.limit(parts[0]) == 0:
        says = f"`{pattern}`: limits give this panel no {parts[0]}s"
        yield Complaint("PRO-38", ("items", pattern), says, f"write how many under limits: {parts[0]}s")
    rule = profile.items[pattern]
    start = pattern.thing
    for field in rule.resets:
        if f"{start}/{field}" not in profile.items:
            near = nearest(field, [other.field for other in profile.items if other.startswith(start)])
            hint = f'; did you mean "{near[0]}"?' if near else ""
            says = f"`{pattern}` resets {field}, which is no other field of the same thing{hint}"
            yield Complaint("PRO-38", ("items", pattern, "resets"), says, "name a field of the same thing")
    if rule.how in profile.answers:
        yield from _read_by_the_model(profile, pattern, rule.how or "")
    yield from _looks_like_a_setting(pattern)


def _looks_like_a_setting(pattern: Item) -> Iterator[Complaint]:
    """Yield a setting that the panel model doesn't read under this name, and does under one nearly the same."""
    if pattern.group not in ("setting", "station") or pattern in READ:
        return
    names = {Item(item).field: item for item in FIXED_KINDS if Item(item).group == pattern.group}
    for near in get_close_matches(pattern.field, names, 1, NEARLY):
        says = f'`{pattern}` is nothing that the panel model reads; did you mean "{names[near]}"?'
        yield Complaint("PRO-45", ("items", pattern), says, "write it so; how the keypad calls it is your own")


def _read_by_the_model(profile: Profile, pattern: str, how: str) -> Iterator[Complaint]:
    """Yield answers with values that the panel model can't read."""
    answer, path = profile.answers[how], ("answers", how)
    kind = FIXED_KINDS.get(pattern)
    if kind in (Written.TIME, Written.WAIT) and answer.unit is None:
        says = f"`{pattern}` is a time, and its answer {how} has no unit"
        yield Complaint("PRO-43", path, says, "add unit: s, min or h")
    wanted = {Written.FLAG: ("yes", "no"), Written.RIGHT: RIGHTS}.get(kind) if kind is not None else None
    if pattern == "zone/*/behaviour":
        wanted = tuple(profile.behaviours)
    wanted = NAMED_CHOICES.get(pattern, wanted)
    if wanted is None:
        return
    if not answer.values:
        says = f"`{pattern}` is one of {', '.join(wanted)}, and its answer {how} gives anything"
        yield Complaint("PRO-43", path, says, "give it an answer that chooses")
    for value in answer.values:
        if value not in wanted:
            near = likely_names(value, wanted)
            hint = f'; did you mean "{near[0]}"?' if near else ""
            says = f"`{pattern}` may become {value}, and it is one of {', '.join(wanted)}{hint}"
            yield Complaint("PRO-43", (*path, "choices", value), says, "name the choice so; what it shows is your own")


def _node(profile: Profile, name: str, node: ScriptNode) -> Iterator[Complaint]:
    path = ("script", name)
    for field, styles in _STYLES.items():
        answer = getattr(node, field)
        if answer is None:
            continue
        if answer not in profile.answers:
            near = nearest(answer, profile.answers)
            hint = f'; did you mean "{near[0]}"?' if near else ""
            says = f'`{name}`: "{answer}" is no answer of this profile{hint}'
            yield Complaint("PRO-13", (*path, field), says, "name one of answers")
        elif styles is not None and profile.answers[answer].style not in styles:
            wanted = " or ".join(sorted(style.value for style in styles))
            says = f"`{name}`: {answer} is a {profile.answers[answer].style.value} answer, and this needs {wanted}"
            yield Complaint("PRO-39", (*path, field), says, "name another answer")
    for field in ("which", "forget"):
        group = getattr(node, field)
        if group is not None and group not in profile.groups:
            says = f"`{name}`: this panel has no items of a group {group}"
            yield Complaint("PRO-38", (*path, field), says, f"name one of {', '.join(profile.groups)}")
    if node.which is not None and node.only != "free" and node.how is None:
        says = f"`{name}` asks for a {node.which} in use, and says no answer by which its number is typed"
        yield Complaint("PRO-38", path, says, "add how: and an answer")
    if node.trip is not None:
        known = ("number", "zone", *profile.groups.get(node.trip.group, ()))
        for field in node.reads_back:
            if field not in known:
                says = f"`{name}` reads back {field}, which the panel doesn't hold of it"
                yield Complaint("PRO-38", (*path, "reads back"), says, f"name one of {', '.join(known)}")
    for field in ("ask", "trip"):
        item = getattr(node, field)
        rule = profile.items.get(Item(item).pattern) if item is not None else None
        if rule is not None and rule.how is None:
            says = f"`{name}` asks for `{item}`, which has no answer"
            yield Complaint("PRO-14", (*path, field), says, "give the item an answer (how), or show it instead")
    trip = profile.items.get(node.trip) if node.trip is not None else None
    if trip is not None and trip.how in profile.answers and profile.answers[trip.how].style is not Style.TRIP:
        says = f"`{name}` learns `{node.trip}` by a trip, and its answer {trip.how} is no trip answer"
        yield Complaint("PRO-39", (*path, "trip"), says, "give the item an answer of style trip")


def _label(path: tuple[str, ...], kind: Kind) -> Iterator[Complaint]:
    if kind.digits is None:
        return
    found = _PLACES.fullmatch(kind.digits)
    if found is None or int(found[1]) > int(found[2]):
        says = f'"{kind.digits}" names no digits of a label'
        yield Complaint("PRO-40", (*path, "digits"), says, "write the first and the last place, like 3-8")
    elif kind.printed is not None and int(found[2]) > kind.printed:
        says = f"digits {kind.digits} are wanted, and the label shows {kind.printed}"
        yield Complaint("PRO-40", (*path, "digits"), says, "mend one of the two")


def _fixed(profile: Profile) -> Iterator[Complaint]:
    for item, value in profile.fixed.items():
        path = ("fixed", item)
        pattern = Item(item).pattern
        if pattern not in FIXED_KINDS:
            near = nearest(item, FIXED_KINDS)
            hint = f'; did you mean "{near[0]}"?' if near else ""
            says = f"`{item}` is nothing that the panel model reads{hint}"
            yield Complaint("PRO-41", path, says, "name a setting of the profile's page, or take it out")
        elif pattern in profile.items:
            says = f"`{item}` is fixed, and an item that somebody can change"
            yield Complaint("PRO-41", path, says, "leave one of the two")
        elif why := why_not_fixed(profile, pattern, value):
            yield Complaint("PRO-41", path, f"`{item}` can't be {value}: {why}", "write what the panel does")
