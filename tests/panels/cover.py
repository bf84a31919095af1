"""What a panel's transcripts have to touch: a cover list, as one counts lines of code (`cover_touched` ticks it off).

Everything on it is computed from the profile: each question, list, ring and place with its keys and its refusals, each
answer with its choices and limits (`cover_styles`), each condition both ways, each keep, time-outs and ends.
"""

from __future__ import annotations

import itertools
from collections.abc import Iterator

from tests.panels import cover_styles
from zonewright.entry.keypad.standing import answer_at
from zonewright.panel.legal import exists
from zonewright.panel.profile import Answer, NodeKind, Profile, ScriptNode, Style
from zonewright.panel.programme import Item

ASKED = (NodeKind.ASK, NodeKind.WHICH, NodeKind.CODE)


def wanted(profile: Profile) -> set[str]:
    """Return every point of the cover list."""
    points = {"time-out with nothing waiting"}
    if any(node.ask and node.keeps is None for node in profile.script.values()):
        points.add("time-out with answers waiting")
    for name, node in profile.script.items():
        points |= {f"{name}: {point}" for point in _of_node(profile, name, node)}
        if node.kind not in (NodeKind.KEEP, NodeKind.FORGET):
            points.add(f"time-out at {sort_of(profile, node)}")
    for item, rule in profile.items.items():
        if rule.when:
            points |= {f"{item}: vanishes when kept", f"{item}: asked"}
            if rule.default not in (None, rule.otherwise):
                points.add(f"{item}: comes back as at first")
    return points


def _of_node(profile: Profile, name: str, node: ScriptNode) -> Iterator[str]:
    answer = answer_at(profile, node)
    if node.kind is NodeKind.KEEP:
        yield "kept"
        group = profile.script[node.then[0].go].which
        for field in profile.groups[group] if group is not None else ():
            rule = profile.items[Item(f"{group}/*/{field}")]
            if rule.default is None and not rule.when:
                yield f"needs {field}"
        return
    if node.kind is NodeKind.FORGET:
        yield "out"
        return
    yield "met"
    if answer is None or answer.style is not Style.WHEEL or _spare_keys(profile, answer):
        yield "wrong key"
    if node.back is not None:
        yield "back"
    yield from (f"goes on to {go}" for go in sorted(_ways_on(profile, node)))
    match node.kind:
        case NodeKind.REST:
            yield from (f"way in {keys}" for keys in node.ways_in or {})
            yield from ("way in broken off", "way in forgotten")
        case NodeKind.CHOOSE:
            yield from (str(key) for key in node.choose or {})
        case NodeKind.TRIP:
            yield from ("heard", "refused")
        case NodeKind.LIST:
            yield from _of_list(profile, name, node)
        case NodeKind.PLACE:
            yield from _of_place(profile, node)
        case NodeKind.WHICH if answer is not None and answer.style is Style.SCROLL:
            yield from _of_ring(node)
        case NodeKind.ASK | NodeKind.WHICH | NodeKind.CODE:
            assert answer is not None
            yield from _of_question(profile, node, answer)
        case _:
            pass
    if profile.wipe is not None and node.kind in (*ASKED, NodeKind.PLACE):
        yield "wiped"


def _of_question(profile: Profile, node: ScriptNode, answer: Answer) -> Iterator[str]:
    # A ring's and a code's own points: a code is typed to be let in, so there is nothing there to keep.
    yield from cover_styles.wanted(answer, typed_back=profile.wipe is None)
    if node.kind is NodeKind.ASK and cover_styles.keeps_the_present(answer):
        yield "keeps the present"
        if profile.items[Item(node.ask or "")].default is None and profile.wipe is not None:
            yield "nothing there to keep"
    if node.only == "free":
        yield from ("takes the one offered", "in use")
    if node.only == "used":
        yield "not in use"


def _of_list(profile: Profile, name: str, node: ScriptNode) -> Iterator[str]:
    yield from ("round past the last", "round before the first")
    for entry in node.list_ or ():
        yield f"opens {entry.says}"
        if profile.script[entry.go].back == name:
            yield f"comes back to {entry.says}"
        if entry.when:
            yield from (f"with {entry.says}", f"without {entry.says}")


def _of_ring(node: ScriptNode) -> Iterator[str]:
    yield from ("round past the last", "round before the first", "takes one in use")
    yield "takes a free one" if node.only == "any" else "none"


def _of_place(profile: Profile, node: ScriptNode) -> Iterator[str]:
    yield from ("no such place by its digits", "no such place by its letters")
    for block in node.place or ():
        for item, says in block.fields.items():
            yield f"opens {block.first} {says}"
            if profile.items[Item(item)].when:
                yield f"not there now {item}"
        yield from (f"opens {block.first} {pair}" for pair in block.leads)
        group, star, _ = f"{next(iter(block.fields))}//".split("/", 2)
        if star == "*":
            yield from (f"number {number} of {group}" for number in (1, profile.limit(group)))
            yield f"not in use {group}"


def _spare_keys(profile: Profile, answer: Answer) -> set[str]:
    """Return the keys that mean nothing at a wheel."""
    return {*profile.keys.names} - {answer.next, answer.previous, answer.along, answer.take, profile.back, profile.wipe}


def sort_of(profile: Profile, node: ScriptNode) -> str:
    answer = answer_at(profile, node)
    if node.kind not in ASKED or answer is None:
        return node.kind.value
    return f"{node.kind.value}, {answer.style.value}"


def _ways_on(profile: Profile, node: ScriptNode) -> set[str]:
    """Return the nodes that can follow, over every set of present values that the items' conditions allow."""
    if node.ask is None or len(node.then) < 2:
        return {fork.go for fork in node.then}
    start, _, field = node.ask.rpartition("/")
    beside = {item.rpartition("/")[2]: rule for item, rule in profile.items.items() if item.rpartition("/")[0] == start}
    deciders = sorted({when.field for rule in beside.values() for when in rule.when})
    choices = [profile.answers[beside[each].how or ""].values for each in deciders]
    found: set[str] = set()
    for values in itertools.product(*choices):
        present = dict(zip(deciders, values, strict=True))
        for each, rule in beside.items():
            if each in present and not exists(rule, present.get):
                present[each] = rule.otherwise or ""
        following = node.next(present.get)
        if exists(beside[field], present.get) and following is not None:
            found.add(following)
    return found
