"""Whether a keypad's script can be followed at all: every question reachable, asked once, kept, and left again.

The script is walked exhaustively, not sampled. A handful of fields decide the way (behaviour, kind ...); their values
fall into classes that no condition of the items or of the script distinguishes, and one value of each class stands for
all. A state is (node, class of each deciding field answered so far, items answered since the last keep, number bound or
not). A profile with more combinations of classes than the bound is refused rather than sampled (our choice).

Rules of this file:
1. The classes are the common refinement of the items' conditions *and* the script's. With only the items' conditions a
   script that forgot one behaviour would pass.
2. `back` is a way out, never progress: it isn't walked, only followed to see whether rest can be reached. Only a list
   is left by it when everything is done.
3. What is picked from a list or by its place may be picked again and in any order. There the walk checks instead that
   an entry is shown exactly when its item exists, and that no item can be left without a value.
"""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from itertools import product
from math import prod
from typing import NamedTuple

from zonewright.findings import nearest
from zonewright.panel.answers import refuses
from zonewright.panel.behaviours import likely_names
from zonewright.panel.legal import exists
from zonewright.panel.profile import PREVIOUS, NodeKind, Profile, ScriptNode, When
from zonewright.panel.programme import Item

MOST_STATES = 10_000


@dataclass(frozen=True, slots=True)
class Complaint:
    """One thing wrong with a profile: the path of the field it is about, and what to say."""

    code: str
    path: tuple[str, ...]
    says: str
    fix: str = ""


class _State(NamedTuple):
    node: str
    deciding: tuple[tuple[str, str], ...]  # field pattern -> value that stands for its class
    answered: frozenset[str]
    bound: bool


@dataclass(frozen=True, slots=True)
class Reach:
    """What the walk found: complaints, and for the profile's page, what waits at each node."""

    complaints: tuple[Complaint, ...]
    states: int
    waits: Mapping[str, frozenset[str]]  # node -> items that may wait there, unkept


def reach(profile: Profile) -> Reach:
    """Walk a profile's script in every way that its conditions distinguish; nothing in it may be `dangling`."""
    return _Walk(profile).run()


def dangling(profile: Profile) -> Iterator[Complaint]:
    """Yield names in the script of nodes and items that don't exist: with them it can't be walked."""
    for name, node in profile.script.items():
        for field, target in _targets(node):
            if target not in profile.script:
                near = nearest(target, profile.script)
                hint = f'; did you mean "{near[0]}"?' if near else ""
                says = f'`{name}` goes to "{target}", which is no node of this script{hint}'
                yield Complaint("PRO-01", ("script", name, field), says, "name a node that stands in the script")
        echoed = [("list", entry.echo) for entry in node.list_ or ()]
        placed = [("place", item) for block in node.place or () for item in block.fields]
        for field, item in [*((field, getattr(node, field)) for field in ("ask", "show", "trip")), *echoed, *placed]:
            if item is not None and Item(item).pattern not in profile.items:
                near = nearest(item, profile.items)
                hint = f'; did you mean "{near[0]}"?' if near else ""
                says = f'`{name}` is about "{item}", which is no item of this panel{hint}'
                yield Complaint("PRO-02", ("script", name, field), says, "name an item that stands under items")


def _targets(node: ScriptNode) -> Iterator[tuple[str, str]]:
    yield from (("ways in", target) for target in (node.ways_in or {}).values())
    yield from (("list", entry.go) for entry in node.list_ or ())
    for block in node.place or ():
        yield from (("place", item) for item in block.fields)
        yield from (("place", target) for target in block.leads.values())
    yield from (("choose", target) for target in (node.choose or {}).values())
    yield from (("then", fork.go) for fork in node.then)
    if node.back is not None and node.back != PREVIOUS:
        yield "back", node.back


class _Walk:
    def __init__(self, profile: Profile) -> None:
        self.profile = profile
        self.deciders = _deciders(profile)
        self.seen: dict[_State, _State | None] = {}
        self.waits: dict[str, set[str]] = {}
        self.complaints: dict[tuple[str, str], Complaint] = {}
        self.asked: set[str] = set()
        self.taken: dict[tuple[str, str], Complaint] = {}  # a complaint for each fork, removed when it is taken

    def run(self) -> Reach:
        self._note_dead_forks()
        start = _State(self.profile.rest, (), frozenset(), False)
        queue = deque([start])
        self.seen[start] = None
        while queue:
            state = queue.popleft()
            for following in self._moves(state):
                if following not in self.seen:
                    self.seen[following] = state
                    queue.append(following)
                if len(self.seen) > MOST_STATES:
                    break
            if len(self.seen) > MOST_STATES or ("PRO-03", "script") in self.complaints:
                self._too_many()
                self.taken.clear()  # what wasn't walked isn't known to be dead
                break
        else:
            self._unreachable()
            self._never_asked()
            self._never_kept()
        complaints = (*self.complaints.values(), *self.taken.values())
        return Reach(complaints, len(self.seen), {name: frozenset(items) for name, items in self.waits.items()})

    def _moves(self, state: _State) -> Iterator[_State]:
        node = self.profile.script[state.node]
        if node.starts_afresh:
            state = state._replace(deciding=(), answered=frozenset(), bound=False)
        self.waits.setdefault(state.node, set()).update(state.answered)
        match node.kind:
            case NodeKind.REST:
                yield from (_State(target, (), frozenset(), False) for target in (node.ways_in or {}).values())
            case NodeKind.CHOOSE:
                yield from (state._replace(node=target) for target in (node.choose or {}).values())
            case NodeKind.LIST:
                yield from self._list(state, node)
            case NodeKind.PLACE:
                yield from self._places(state._replace(answered=frozenset(), deciding=(), bound=False), node)
            case NodeKind.WHICH:
                yield from self._follow(state._replace(bound=True), node)
                if node.only != "free" and not state.answered:
                    yield from self._follow_held(state, node)
            case NodeKind.ASK:
                yield from self._ask(state, node, node.ask or "")
            case NodeKind.TRIP:
                self._answer(state, node.trip or "")
                answered = state.answered | {node.trip or ""}
                kept = state._replace(answered=answered) if node.keeps is None else self._keep(state, answered)
                yield from self._follow(kept, node)
            case NodeKind.KEEP:
                yield from self._follow(self._keep(state, state.answered), node)
            case NodeKind.FORGET:
                yield from self._follow(_State(state.node, (), frozenset(), False), node)
            case NodeKind.CODE | NodeKind.SHOW:
                if node.show is not None:
                    self.asked.add(node.show)
                yield from self._follow(state, node)

    def _ask(self, state: _State, node: ScriptNode, item: str) -> Iterator[_State]:
        self._answer(state, item)
        rule = self.profile.items[Item(item).pattern]
        if not exists(rule, self._value_of(state, item)):
            told = ", ".join(f"{name.rpartition('/')[2]} is {value}" for name, value in state.deciding)
            self._complain(
                "PRO-04",
                ("script", state.node),
                f"`{state.node}` is asked although {told}, where `{item}` doesn't exist",
                "let the nodes before it go round it, or mend the item's `when`",
            )
        answered = state.answered | {item}
        for value in self.deciders.get(item, (None,)):
            deciding = state.deciding
            if value is not None:
                deciding = tuple(sorted({**dict(deciding), item: value}.items()))
            following = state._replace(answered=frozenset() if node.keeps else answered, deciding=deciding)
            yield from self._follow(following, node)

    def _list(self, state: _State, node: ScriptNode) -> Iterator[_State]:
        """Pick an entry; one that asks for an item must be there exactly when the item exists."""
        state = state._replace(answered=frozenset())
        for entry in node.list_ or ():
            look = self._value_of(state, entry.echo or f"{self._group(state)}/*/?")
            asks = self.profile.script[entry.go].ask or self.profile.script[entry.go].trip
            there = all(when.met_by(look(when.field)) for when in entry.when)
            if asks is not None and not there and exists(self.profile.items[asks], self._value_of(state, asks)):
                told = ", ".join(f"{name.rpartition('/')[2]} is {value}" for name, value in state.deciding)
                self._complain(
                    "PRO-35",
                    ("script", state.node, "list", entry.says),
                    f'`{state.node}` hides "{entry.says}" when {told}, where `{asks}` exists',
                    "mend the entry's `when`, or the item's",
                )
            if there:
                yield state._replace(node=entry.go)
        if node.back is not None and node.back != PREVIOUS:
            yield state._replace(node=node.back)

    def _group(self, state: _State) -> str:
        """Return the group that the deciding fields belong to."""
        return next((Item(item).group for item, _ in state.deciding), "zone")

    def _places(self, state: _State, node: ScriptNode) -> Iterator[_State]:
        for block in node.place or ():
            group = next(iter(block.fields)).group
            numbered = next(iter(block.fields)).is_of_many
            for combo in self._combos(group, numbered):
                held = state._replace(bound=numbered, deciding=combo)
                for target in (*block.fields, *block.leads.values()):
                    item = Item(target) if target in self.profile.items else None
                    if item is None or exists(self.profile.items[item], self._value_of(held, item)):
                        yield held._replace(node=target)

    def _combos(self, group: str, numbered: bool) -> list[tuple[tuple[str, str], ...]]:
        """Return every way in which the deciding fields of a group may be answered; none if there are too many."""
        mine = {
            item: values
            for item, values in sorted(self.deciders.items())
            if item.startswith(f"{group}/") and numbered == ("/*/" in item)
        }
        if prod(len(values) for values in mine.values()) > MOST_STATES:
            self._too_many()
            return []
        return [tuple(zip(mine, chosen, strict=True)) for chosen in product(*mine.values())]

    def _too_many(self) -> None:
        self._complain("PRO-03", ("script",), f"more than {MOST_STATES} states: too many conditions at once")

    def _answer(self, state: _State, item: str) -> None:
        self.asked.add(item)
        if item in state.answered:
            says = f"`{item}` is asked twice before it is kept (the second time at `{state.node}`)"
            self._complain("PRO-05", ("script", state.node), says, "ask it once, or keep it between")

    def _keep(self, state: _State, answered: frozenset[str]) -> _State:
        groups = {Item(item).thing for item in answered}
        for pattern, rule in self.profile.items.items():
            group = pattern.thing
            if "*" not in group or group not in groups or pattern in answered or rule.shown_only:
                continue
            if rule.default is not None:
                continue
            if rule.when and exists(rule, self._value_of(state, pattern)):
                told = ", ".join(f"{name.rpartition('/')[2]} is {value}" for name, value in state.deciding)
                self._complain(
                    "PRO-06",
                    ("script", state.node),
                    f"`{state.node}` keeps without ever asking for `{pattern}` when {told}",
                    "ask it before, or mend the item's `when`",
                )
        return _State(state.node, (), frozenset(), False)

    def _follow(self, state: _State, node: ScriptNode) -> Iterator[_State]:
        target = node.next(self._value_of(state, _about(node)))
        if target is None:
            self._complain(
                "PRO-07", ("script", state.node, "then"), f"`{state.node}` leads nowhere", "end it with an else"
            )
            return
        for place, fork in enumerate(node.then):
            if fork.go == target and all(self._met(state, node, when) for when in fork.when):
                self.taken.pop((state.node, str(place)), None)
                break
        yield state._replace(node=target)

    def _follow_held(self, state: _State, node: ScriptNode) -> Iterator[_State]:
        """Bind a number in use: what it holds decides the way until it is answered again."""
        for combo in self._combos(node.which or "", True):
            yield from self._follow(state._replace(bound=True, deciding=combo), node)

    def _value_of(self, state: _State, item: str) -> Callable[[str], str | None]:
        start = Item(item).pattern.thing
        known = dict(state.deciding)
        return lambda field: known.get(f"{start}/{field}")

    def _met(self, state: _State, node: ScriptNode, when: When) -> bool:
        return when.met_by(self._value_of(state, _about(node))(when.field))

    def _complain(self, code: str, path: tuple[str, ...], says: str, fix: str = "") -> None:
        self.complaints.setdefault((code, "/".join(path)), Complaint(code, path, says, fix))

    def _note_dead_forks(self) -> None:
        for name, node in self.profile.script.items():
            if name in self.profile.items:
                continue  # the question of a place: where it leads is worked out, not written
            for place, fork in enumerate(node.then):
                says = f"`{name}` never goes on to `{fork.go}`: no answer leads there"
                self.taken[(name, str(place))] = Complaint(
                    "PRO-08", ("script", name, "then"), says, "mend the conditions before it, or take it out"
                )

    def _unreachable(self) -> None:
        reached = {state.node for state in self.seen}
        for name, node in self.profile.script.items():
            if name not in reached:
                says = f'`{name}` "{node.says}" can never be reached' if node.says else f"`{name}` can never be reached"
                self._complain("PRO-09", ("script", name), says, "let some node go there, or take it out")
                for place in range(len(node.then)):
                    self.taken.pop((name, str(place)), None)

    def _never_asked(self) -> None:
        for pattern in self.profile.items:
            if pattern not in self.asked:
                says = f"`{pattern}` is never asked and shown nowhere; the panel could hold it but nobody could set it"
                self._complain("PRO-10", ("items", pattern), says, "ask it in the script, or take the item out")

    def _never_kept(self) -> None:
        """Find nodes from which no way leads to rest, not even by `back`, and answers that are never kept."""
        nodes = self.profile.script
        leads = {name: {target for _, target in _targets(node)} for name, node in nodes.items()}
        for name, node in nodes.items():
            if node.back == PREVIOUS:
                leads[name] |= {other for other, each in nodes.items() if name in {to for _, to in _targets(each)}}
        on = {
            name: set()
            if _drops(node)
            else {target for field, target in _targets(node) if field != "back" or node.list_ is not None}
            for name, node in nodes.items()
        }
        for name, node in nodes.items():
            if node.kind is NodeKind.REST:
                continue
            if self.profile.rest not in _closure(leads, name):
                self._complain(
                    "PRO-11", ("script", name), f"`{name}`: once here, no key leads to rest", "give it a back"
                )
            kept = _keeps(node) or any(_keeps(nodes[later]) for later in _closure(on, name))
            if node.kind is NodeKind.ASK and not kept:
                says = f"what `{name}` takes is lost on every way on: no keep follows"
                self._complain("PRO-12", ("script", name), says, "lead it to a keep, or to a trip that keeps")


def _about(node: ScriptNode) -> str:
    """Return an item of the thing whose fields decide where a node leads."""
    return node.ask or node.trip or node.show or (f"{node.which}/*/?" if node.which else "zone/*/?")


def _drops(node: ScriptNode) -> bool:
    return node.kind is NodeKind.REST or node.starts_afresh


def _keeps(node: ScriptNode) -> bool:
    return node.keep is not None or node.keeps is not None


def _closure(leads: Mapping[str, set[str]], start: str) -> set[str]:
    found: set[str] = set()
    todo = [start]
    while todo:
        for target in leads[todo.pop()]:
            if target not in found:
                found.add(target)
                todo.append(target)
    return found


def _deciders(profile: Profile) -> dict[str, tuple[str, ...]]:
    """Return item -> one value for each class of its values that some condition distinguishes."""
    conditions: dict[str, set[frozenset[str]]] = {}
    for pattern, rule in profile.items.items():
        for when in rule.when:
            conditions.setdefault(f"{pattern.rpartition('/')[0]}/{when.field}", set()).add(when.values)
    for node in profile.script.values():
        about = Item(_about(node)).pattern.thing
        for fork in node.then:
            for when in fork.when:
                conditions.setdefault(f"{about}/{when.field}", set()).add(when.values)
        for entry in node.list_ or ():
            beside = (entry.echo or Item("zone/*/?")).thing
            for when in entry.when:
                conditions.setdefault(f"{beside}/{when.field}", set()).add(when.values)
    result: dict[str, tuple[str, ...]] = {}
    for item, sets in conditions.items():
        decider = profile.items.get(Item(item))
        answer = profile.answers.get(decider.how) if decider is not None and decider.how is not None else None
        if answer is None:
            continue
        values = answer.values
        classes = {tuple(value in one for one in sorted(sets, key=sorted)): value for value in reversed(values)}
        result[item] = tuple(sorted(classes.values()))
    return result


def unknown_values(profile: Profile) -> Iterator[Complaint]:
    """Yield answers, conditions and defaults that name what the panel doesn't have."""
    for pattern, rule in profile.items.items():
        if rule.how is not None and rule.how not in profile.answers:
            near = nearest(rule.how, profile.answers)
            hint = f'; did you mean "{near[0]}"?' if near else ""
            yield Complaint("PRO-13", ("items", pattern, "how"), f'"{rule.how}" is no answer of this profile{hint}')
            continue
        if rule.how is None and not rule.shown_only:
            yield Complaint(
                "PRO-14", ("items", pattern), f"`{pattern}` has no answer", "say `how:`, or `shown only: yes`"
            )
        if rule.when and rule.otherwise is None:
            says = f"`{pattern}` has a `when`, but no value for when it doesn't exist"
            yield Complaint("PRO-15", ("items", pattern), says, "add `otherwise:`")
        if rule.default is not None and rule.how is not None:
            why = refuses(profile.answers[rule.how], rule.default)
            if why:
                says = f"`{pattern}` is shipped as {rule.default}, which its answer never gives: {why}"
                yield Complaint("PRO-16", ("items", pattern, "default"), says)
        yield from _conditions(profile, ("items", pattern, "when"), pattern, rule.when)
    for name, node in profile.script.items():
        for fork in node.then:
            yield from _conditions(profile, ("script", name, "then"), node.ask or node.trip or "zone/*/?", fork.when)


def _conditions(
    profile: Profile, path: tuple[str, ...], about: str, conditions: tuple[When, ...]
) -> Iterator[Complaint]:
    start = Item(about).pattern.thing
    for when in conditions:
        item = f"{start}/{when.field}"
        rule = profile.items.get(Item(item))
        if rule is None:
            near = nearest(item, profile.items)
            hint = f'; did you mean "{near[0]}"?' if near else ""
            yield Complaint("PRO-17", path, f'a condition asks for "{item}", which is no item of this panel{hint}')
            continue
        answer = profile.answers.get(rule.how or "")
        for value in sorted(when.values) if answer else ():
            if refuses(answer, value):  # type: ignore[arg-type]
                near = likely_names(value, answer.choices)  # type: ignore[union-attr]
                hint = f'; did you mean "{near[0]}"?' if near else ""
                yield Complaint(
                    "PRO-18", path, f'a condition asks whether {when.field} is "{value}", which it never is{hint}'
                )
