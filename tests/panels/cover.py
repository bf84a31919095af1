"""What a panel's transcripts have to touch, and what of it they don't: a cover list, as one counts lines of code."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from tests.panels.transcript import Press
from zonewright.entry.standing import HEARD, answer_at, value_of
from zonewright.entry.styles import NO
from zonewright.panel.answers import refuses, typed
from zonewright.panel.legal import exists
from zonewright.panel.profile import PREVIOUS, NodeKind, Profile, Style
from zonewright.panel.programme import Item


def wanted(profile: Profile) -> set[str]:
    """Return every point of the cover list."""
    points: set[str] = set()
    for name, node in profile.script.items():
        answer = answer_at(profile, node)
        if node.kind in (NodeKind.KEEP, NodeKind.FORGET):
            continue  # passed through; what leads there is on the list
        points.add(f"{name}: met")
        points.add(f"{name}: wrong key")
        if node.back is not None:
            points.add(f"{name}: back")
        if node.kind is NodeKind.CHOOSE:
            points |= {f"{name}: {key}" for key in node.choose or {}}
        points |= {f"{name}: goes on to {fork.go}" for fork in node.then}
        if answer is not None and node.kind in (NodeKind.ASK, NodeKind.WHICH):
            points |= {f"{name}: {point}" for point in _of_answer(profile, name)}
        if node.kind is NodeKind.TRIP:
            points |= {f"{name}: heard", f"{name}: refused"}
    for item, rule in profile.items.items():
        if rule.when:
            points |= {f"{item}: vanishes when kept", f"{item}: asked"}
    return points | {"time-out with answers waiting", "time-out with nothing waiting"}


def _of_answer(profile: Profile, name: str) -> Iterator[str]:
    node = profile.script[name]
    answer = answer_at(profile, node)
    assert answer is not None
    match answer.style:
        case Style.OFFER:
            yield from (f"takes {choice}" for choice in answer.choices)
            yield "goes round past the last"
        case Style.FLAG:
            yield from ("takes yes", "takes no")
        case Style.WORDS:
            yield from (f"word {word}" for word in answer.codes)
            yield from ("no such word", "too many words", "keeps the present", "back with something typed")
        case Style.DIGITS:
            least, most = answer.least or 0, answer.most_value or 0
            for value in (least - answer.step, least, most, most + answer.step):
                if value >= 0 and len(str(value)) <= (answer.width or 1):
                    yield f"types {typed(answer, str(value))}"
            if answer.step > 1:
                yield "off the step"
            if node.kind is NodeKind.ASK:
                yield "keeps the present"
            if (answer.width or 1) > 1:
                yield "back with something typed"
        case Style.SECRET:
            yield "keeps the present"
            yield "back with something typed"
        case Style.TRIP:
            pass
    if node.only == "free":
        yield from ("takes the one offered", "in use")
    if node.only == "used":
        yield "not in use"


def touched(profile: Profile, presses: Iterable[Press]) -> set[str]:
    """Return the points that these presses touch."""
    points: set[str] = set()
    typed_digits = ""
    for press in presses:
        before, after = press.before, press.after
        name, node = before.node, profile.script[before.node]
        points |= {f"{before.node}: met", f"{after.node}: met"}
        if press.key == "wait":
            points.add("time-out with answers waiting" if before.waiting else "time-out with nothing waiting")
            continue
        if after.message == NO and after.node == before.node:
            points.add(f"{name}: wrong key")
        goes_back = (before.trail[-1:] or ("",))[0] if node.back == PREVIOUS else node.back
        if press.key == profile.back and after.node == goes_back:
            points.add(f"{name}: back")
        if press.key == profile.back and after.node == name and before.buffer and not after.message:
            points.add(f"{name}: back with something typed")
        if node.kind is NodeKind.CHOOSE and press.key in (node.choose or {}):
            points.add(f"{name}: {press.key}")
        if press.key.isdigit():
            typed_digits = typed_digits + press.key if before.buffer else press.key
        points |= {f"{name}: {point}" for point in _at_question(profile, press, typed_digits)}
        points |= set(_passed(profile, press))
        points |= set(_vanished(profile, press))
    return points


def _at_question(profile: Profile, press: Press, digits: str) -> Iterator[str]:
    before, after = press.before, press.after
    node = profile.script[before.node]
    answer = answer_at(profile, node)
    if node.kind is NodeKind.TRIP and press.key.startswith("trip "):
        yield "heard" if after.buffer == HEARD else "refused"
    if answer is None or node.kind not in (NodeKind.ASK, NodeKind.WHICH):
        return
    left = after.node != before.node or after.buffer == HEARD
    if node.ask and left and press.key != profile.back:
        yield f"takes {after.waiting.get(node.ask) or after.held.get(Item(node.ask))}"
    if press.key == "yes" and left and not before.buffer:
        yield "takes the one offered" if node.only == "free" else "keeps the present"
    if after.message in ("no such word", "in use", "not in use"):
        yield after.message
    if answer.style is Style.OFFER and press.key == answer.next and before.buffer == [*answer.choices][-1]:
        yield "goes round past the last"
    if answer.style is Style.WORDS:
        words = [word for word in after.buffer.split() if not word.isdigit()]
        yield from (f"word {word}" for word in words)
        if after.message == NO and len(words) == answer.most and press.key.isdigit():
            yield "too many words"
    if answer.style is Style.DIGITS and press.key.isdigit() and len(digits) == answer.width:
        yield f"types {digits}"
        inside = (answer.least or 0) <= int(digits) <= (answer.most_value or 0)
        if inside and refuses(answer, str(int(digits))):
            yield "off the step"


def _passed(profile: Profile, press: Press) -> Iterator[str]:
    """Yield the forks taken and the conditional items asked on the way from one node to the next."""
    name, after = press.before.node, press.after
    if after.node == name or press.key == profile.back:
        return
    for _ in range(4):
        node = profile.script[name]
        if not node.then:
            return
        for fork in node.then:
            if fork.go == after.node or profile.script[fork.go].kind in (NodeKind.KEEP, NodeKind.WHICH):
                yield f"{name}: goes on to {fork.go}"
        following = [fork.go for fork in node.then if profile.script[fork.go].kind is NodeKind.KEEP]
        if not following:
            break
        name = following[0]
    ask = profile.script[after.node].ask
    if ask is not None and profile.items[ask].when and exists(profile.items[ask], value_of(profile, after, ask)):
        yield f"{ask}: asked"


def _vanished(profile: Profile, press: Press) -> Iterator[str]:
    if press.after.held is press.before.held:
        return
    for item, rule in profile.items.items():
        if not rule.when:
            continue
        for held in press.after.held:
            pattern = "/".join("*" if part.isdigit() else part for part in held.split("/"))
            changed = press.after.held[held] != press.before.held.get(held, rule.otherwise)
            if pattern == item and changed and press.after.held[held] == rule.otherwise:
                yield f"{item}: vanishes when kept"
