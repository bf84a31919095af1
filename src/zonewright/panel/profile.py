"""What a panel profile says: limits, kinds of device, behaviours, items, answers, and the keypad's script.

Rules of this file:
1. The grammar is closed: these node kinds and these answer styles, no expressions, no counters. What a panel needs
   beyond them is a change here, for every panel.
2. The item says whether it exists (`when`); the script has conditions of its own, and the reader proves that both agree
   (`reachability`). This redundancy is intended: it is the only check on a hand-written condition.
3. `*` in an item means the number of the zone or slot that the script has bound, or will bind at its end.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from enum import Enum
from functools import cached_property
from typing import Annotated, Any, Literal, TypeGuard

from pydantic import BeforeValidator, Field, field_validator, model_validator

from zonewright.panel.behaviours import RENAMED, SHIPPED, Behaviour
from zonewright.panel.programme import Item, item_of
from zonewright.site.record import Record, Seconds, WholeNumber, YesNo

NodeName = str
MOST_PLACES = 200  # items in one block of places
PREVIOUS = "previous"  # `back` leads to the question before


class Style(Enum):
    """How one answer is keyed."""

    DIGITS = "digits"  # typed; taken by itself at the full width
    WORDS = "words"  # spoken words, each by its code, closed by a key
    OFFER = "offer"  # choices offered one by one: one key for the next, one to take it
    SCROLL = "scroll"  # choices, or numbers by steps, scrolled both ways from the present one and taken by a key
    LETTERS = "letters"  # choices typed by a code of letter keys, taken by a key
    TAP = "tap"  # text from letters that share keys: the same key again gives its next letter
    WHEEL = "wheel"  # digits turned one by one
    FLAG = "flag"  # a key for yes, a key for no; takes itself
    TRIP = "trip"  # the device is tripped and its number heard
    SECRET = "secret"  # noqa: S105 - a person types their own code; nobody else sees it


class Display(Record):
    """The keypad's display; a longer text is cut at the column."""

    lines: WholeNumber
    columns: WholeNumber


class Keys(Record):
    """The keys, row by row as on the keypad, so that near keys are known; `.` is an empty spot."""

    rows: tuple[tuple[str, ...], ...]

    @property
    def names(self) -> tuple[str, ...]:
        """Return all key names in reading order."""
        return tuple(key for row in self.rows for key in row if key != ".")


class TimesOut(Record):
    """What happens when no key is pressed for a while: back to rest, and what was not kept is lost."""

    after: Seconds


class Limits(Record):
    """How many of each the panel holds; numbers count from 1."""

    zones: WholeNumber
    areas: WholeNumber
    users: WholeNumber
    remotes: WholeNumber = 0


class Listing(Record):
    """Limits of the standard to which the panel is listed, with the text that says so."""

    entry_plus_abort: Seconds | None = None
    exit_least: Seconds | None = None
    exit_most: Seconds | None = None
    source: str = ""


class Kind(Record):
    """One kind of device: how it is reached, its inputs, and which of the printed digits are its number."""

    link: Literal["radio", "wired"] = "radio"
    inputs: tuple[str, ...] = ()  # the first is used when a site names none
    digits: str | None = None  # "3-8": the places among the printed digits that count, from 1
    printed: WholeNumber | None = None  # how many digits the label shows
    letter: YesNo = False  # whether a check letter may come after the digits
    worn: YesNo = False  # carried about, so its range can't be supervised
    senses: str = ""  # door, movement, water ... for texts


class Answer(Record):
    """One way of answering, with its table; the profile's page says which fields belong to which style."""

    style: Style
    takes_itself: YesNo = False
    # digits
    width: WholeNumber | None = None
    least: WholeNumber | None = Field(default=None, alias="from")
    most_value: WholeNumber | None = Field(default=None, alias="to")
    step: WholeNumber = 1
    unit: Literal["s", "min", "h"] | None = None
    # words
    most: WholeNumber | None = None
    codes: dict[str, str] = Field(default_factory=dict)
    ends_with: str | None = None
    # offer: choice -> what the display says; a plain list shows the choices themselves; a `unit` if they are times
    choices: dict[str, str] = Field(default_factory=dict)
    next: str | None = None
    take: str | None = None  # the key that takes what is shown, or if nothing is typed, keeps what is there
    # scroll, wheel
    previous: str | None = None
    along: str | None = None  # wheel: the key that goes to the next digit
    # tap: key -> its letters in the order in which they come; `_` is a blank
    taps: dict[str, str] = Field(default_factory=dict)
    # secret: the keys that a code is made of; digits if left out
    made_of: tuple[str, ...] = tuple("0123456789")
    # flag
    yes: str | None = None
    no: str | None = None

    @cached_property
    def closing(self) -> tuple[str, ...]:
        """Return the key that takes what was typed; () if the answer takes itself."""
        return (self.take,) if self.take is not None and not self.takes_itself else ()

    @cached_property
    def word_of(self) -> dict[str, str]:
        """Return code -> word of a words answer."""
        return {code: word for word, code in self.codes.items()}

    @cached_property
    def choice_of(self) -> dict[str, str]:
        """Return what the display says -> choice."""
        return {says: choice for choice, says in self.choices.items()}

    @cached_property
    def letter_keys(self) -> frozenset[str]:
        """Return the keys that the codes of a letters answer consist of."""
        return frozenset("".join(self.codes.values()))

    @cached_property
    def scrolled(self) -> tuple[str, ...]:
        """Return the values of a scroll answer in the order in which they come."""
        if self.choices:
            return tuple(self.choices)
        return tuple(str(n) for n in range(self.least or 0, (self.most_value or 0) + 1, self.step))

    @cached_property
    def values(self) -> tuple[str, ...]:
        """Return the values of an answer that chooses; empty for one that is typed freely."""
        return ("yes", "no") if self.style is Style.FLAG else tuple(self.choices)

    @cached_property
    def code_length(self) -> int:
        """Return how many keys a word's or a choice's code has; all have the same."""
        return len(next(iter(self.codes.values()), ""))

    @field_validator("choices", mode="before", json_schema_input_type=dict[str, str] | tuple[str, ...])
    @classmethod
    def _list_says_itself(cls, value: object) -> object:
        return {str(choice): str(choice) for choice in value} if isinstance(value, list | tuple) else value


class When(Record):
    """One condition: a field of the same zone or slot is, or is not, among these values."""

    field: str
    values: frozenset[str]
    negated: bool = False

    def met_by(self, value: str | None) -> bool:
        """Return whether a present value meets the condition; a missing one meets none."""
        return value is not None and (value in self.values) != self.negated


def conditions(value: object) -> object:
    """Read `{behaviour: [...]}` and `{behaviour not: [...]}`; several lines must all be met."""
    if not isinstance(value, dict):
        return value
    return [
        {"field": str(key).removesuffix(" not"), "values": values, "negated": str(key).endswith(" not")}
        for key, values in value.items()
    ]


AsTyped = dict[str, tuple[str, ...]]  # conditions as they are written in the file, for its schema
Conditions = Annotated[tuple[When, ...], BeforeValidator(conditions, json_schema_input_type=AsTyped)]


class ItemRule(Record):
    """One item of the panel: how it is answered, when it exists, what it holds if it doesn't, and as shipped."""

    how: str | None = None
    when: Conditions = ()
    otherwise: str | None = None
    default: str | None = None  # value as shipped; a site that says nothing gets it
    shown_only: YesNo = False
    resets: tuple[str, ...] = ()  # fields of the same thing that go back to their default when this one changes


class ListEntry(Record):
    """One entry of a list: what it says, where it leads, the item whose value it shows, and when it is there."""

    says: str
    go: NodeName
    echo: Item | None = None
    when: Conditions = ()


class Address(Record):
    """A block of places: its first group number, `PAIR words` for each item, and what else can be opened there."""

    first: WholeNumber
    fields: dict[Item, str]
    leads: dict[str, NodeName] = Field(default_factory=dict)


class Scrolling(Record):
    """The keys that scroll the entries of a list and the numbers of a ring."""

    next: str
    previous: str
    take: str


class Fork(Record):
    """One link of a chain of conditions; the last link of a chain has none."""

    when: Conditions = ()
    go: NodeName


def chain(value: object) -> object:
    """Read `then: node`, or `{if: {...}, go: node, else: node or another chain}`, from top to bottom."""
    if isinstance(value, str):
        return [{"go": value}]
    if isinstance(value, dict) and set(value) == {"if", "go", "else"}:
        rest = chain(value["else"])
        return [{"when": value["if"], "go": value["go"]}, *(rest if isinstance(rest, list) else [])]
    if isinstance(value, dict):
        raise ValueError("write a node's name, or {if: {...}, go: node, else: node}")
    return value


Chain = dict[Literal["if", "go", "else"], Any]  # a fork as it is written in the file, for its schema


class NodeKind(Enum):
    """What a node of the script does; the value is the field that makes a node of this kind."""

    REST = "ways in"
    CODE = "code"
    CHOOSE = "choose"
    LIST = "list"
    PLACE = "place"
    WHICH = "which"
    ASK = "ask"
    SHOW = "show"
    TRIP = "trip"
    KEEP = "keep"
    FORGET = "forget"


FIELD_OF = {kind: "list_" if kind is NodeKind.LIST else kind.value.replace(" ", "_") for kind in NodeKind}


class ScriptNode(Record):
    """One node of the script; exactly one of the fields named in `NodeKind` makes its kind."""

    says: str = ""
    ways_in: dict[str, NodeName] | None = None  # rest: keys separated by spaces -> node
    code: str | None = None  # a person types a code (this answer) to get in; nobody sees which one
    choose: dict[str, NodeName] | None = None  # a key -> node
    list_: tuple[ListEntry, ...] | None = Field(
        default=None, alias="list"
    )  # entries to scroll; it starts at the one that people come from
    place: tuple[Address, ...] | None = None  # a group number and a pair of letters open a question
    which: str | None = None  # binds the number of this group: "zone", "user"
    only: Literal["free", "used", "any"] = "any"
    unless_known: YesNo = False  # skipped if the number is bound already
    how: str | None = None  # the answer by which the number is typed; a scroll answer makes a ring of the numbers
    ask: Item | None = None
    show: Item | None = None  # only shown; `goes_on` leaves it
    trip: Item | None = None  # takes the number of the device heard
    reads_back: tuple[str, ...] = ()  # what the panel says at the trip: "number", "zone", fields
    starts_afresh: YesNo = False  # arriving here drops whatever waits
    keep: Literal["all"] | None = None  # saves all that waits
    keeps: Literal["all"] | None = None  # on a trip or an ask: saves all that waits with it
    numbered_from: WholeNumber | None = None  # the display puts the bound number, plus this, before what it says
    forget: str | None = None  # takes the bound number of this group out, at once
    goes_on: str | None = None  # on show and trip: the key that goes on
    then: Annotated[tuple[Fork, ...], BeforeValidator(chain, json_schema_input_type=NodeName | Chain)] = ()
    back: NodeName | None = None  # a node, or `previous`: the question before this one

    @model_validator(mode="after")
    def _one_kind(self) -> ScriptNode:
        kinds = [kind for kind in NodeKind if getattr(self, FIELD_OF[kind]) is not None]
        if len(kinds) != 1:
            words = ", ".join(kind.value for kind in NodeKind)
            raise ValueError(f"a node has exactly one of these fields: {words}")
        return self

    @cached_property
    def kind(self) -> NodeKind:
        """Return what the node does."""
        return next(kind for kind in NodeKind if getattr(self, FIELD_OF[kind]) is not None)

    @cached_property
    def pair_letters(self) -> frozenset[str]:
        """Return the keys that the pairs of a place consist of."""
        pairs = [says.partition(" ")[0] for block in self.place or () for says in block.fields.values()]
        return frozenset("".join([*pairs, *(pair for block in self.place or () for pair in block.leads)]))

    def next(self, value_of: Callable[[str], str | None]) -> NodeName | None:
        """Return the node that follows, given the present value of a field of the bound number."""
        for fork in self.then:
            if all(when.met_by(value_of(when.field)) for when in fork.when):
                return fork.go
        return None


class Profile(Record):
    """One panel profile."""

    panel: str
    about: str = ""
    edition: str
    display: Display
    keys: Keys
    back: str  # the key that goes back; it first wipes what is being typed, unless another key does (`wipe`)
    goes_on: str | None = None  # the key that leaves an item that is only shown, if a `place` opened it
    wipe: str | None = None  # the key that wipes what is being typed
    scrolling: Scrolling | None = None  # for lists and rings
    place_width: WholeNumber = 3  # digits of a group number at a `place`
    times_out: TimesOut
    timer_tolerance: WholeNumber = 0  # percent
    limits: Limits
    listing: Listing = Listing()
    behaviours: dict[str, Behaviour]  # offered by this panel; `{}` in the file means the shipped record as it is
    kinds: dict[str, Kind]
    remote: Kind = Kind(worn=True)  # which of the digits on a remote control's label are its number
    fixed: dict[Item, str] = Field(default_factory=dict)  # settings that this panel has but nobody can change
    answers: dict[str, Answer]
    items: dict[Item, ItemRule]
    script: dict[NodeName, ScriptNode]
    compared_with_panel: YesNo = False  # whether a transcript was keyed at a real panel

    @field_validator("behaviours", mode="before")
    @classmethod
    def _over_the_shipped(cls, value: object) -> object:
        if not isinstance(value, dict):
            return value
        merged: dict[str, object] = {}
        for name, changes in value.items():
            base = SHIPPED.get(RENAMED.get(str(name), str(name)))  # an older name is reported at its own line
            if base is None or not isinstance(changes, dict):
                merged[name] = changes
            else:
                merged[name] = {**base.model_dump(by_alias=True), **changes}
        return merged

    @model_validator(mode="before")
    @classmethod
    def _places_opened(cls, value: object) -> object:
        """Add the question that each place of a `place` node opens, so that the keypad only has to know questions."""
        return {**value, "script": {**value["script"], **opened(value)}} if _has_script(value) else value

    @cached_property
    def menu(self) -> bool:
        """Return whether questions are picked, so that each can be answered by itself, in any order."""
        return any(node.kind in (NodeKind.LIST, NodeKind.PLACE) for node in self.script.values())

    @cached_property
    def groups(self) -> dict[str, tuple[str, ...]]:
        """Return group -> fields of the numbered things: `zone`, `user`; fields in the profile's order."""
        found: dict[str, list[str]] = {}
        for pattern in self.items:
            if pattern.is_of_many:
                found.setdefault(pattern.group, []).append(pattern.field)
        return {group: tuple(fields) for group, fields in found.items()}

    def limit(self, group: str) -> int:
        """Return the highest number of a group."""
        return {"zone": self.limits.zones, "user": self.limits.users, "remote": self.limits.remotes}[group]

    def numbered(self, group: str, field: str) -> tuple[Item, ...]:
        """Return one field's items for every number of a group, in order; made once, since searches ask very often."""
        found = self._numbered.get((group, field))
        if found is None:
            found = tuple(item_of(group, number, field) for number in range(1, self.limit(group) + 1))
            self._numbered[group, field] = found
        return found

    def fields_of(self, group: str) -> tuple[tuple[str, str, ItemRule], ...]:
        """Return each field of a group's numbers with its pattern and its rule, in the profile's order; made once."""
        found = self._fields.get(group)
        if found is None:
            found = tuple(
                (item.field, item, rule) for item, rule in self.items.items() if item.is_of_many and item.group == group
            )
            self._fields[group] = found
        return found

    def hanging_on(self, pattern: str) -> tuple[str, ...]:
        """Return the items whose existence depends on an item, directly or through others."""
        found = self._hanging.get(pattern)
        if found is None:
            item = Item(pattern)
            start, field = item.thing, item.field
            fields, before = {field}, set[str]()
            while fields != before:
                before = set(fields)
                for other, rule in self.items.items():
                    if other.thing == start and any(when.field in fields for when in rule.when):
                        fields.add(other.field)
            found = self._hanging[pattern] = tuple(f"{start}/{each}" for each in sorted(fields - {field}))
        return found

    @cached_property
    def _hanging(self) -> dict[str, tuple[str, ...]]:
        return {}

    @cached_property
    def _fields(self) -> dict[str, tuple[tuple[str, str, ItemRule], ...]]:
        return {}

    @cached_property
    def _numbered(self) -> dict[tuple[str, str], tuple[Item, ...]]:
        return {}

    @cached_property
    def rest(self) -> NodeName:
        """Return the name of the node at which the keypad rests."""
        return next(name for name, node in self.script.items() if node.ways_in is not None)

    def rule_of(self, item: Item) -> ItemRule | None:
        """Return the rule of an item (of `zone/*/delay` for `zone/14/delay`); None if the panel has no such item."""
        return self.items.get(item.pattern)

    def answer_of(self, item: Item) -> Answer | None:
        """Return how an item is answered; None if it can only be looked at."""
        rule = self.rule_of(item)
        return self.answers[rule.how] if rule is not None and rule.how is not None else None


def _has_script(value: object) -> TypeGuard[dict[str, Any]]:
    return isinstance(value, dict) and isinstance(value.get("script"), dict) and isinstance(value.get("items"), dict)


def opened(raw: Mapping[str, Any]) -> dict[str, object]:
    """Return the questions that the places of every `place` node open, from a profile as written.

    After a question comes the next place of its block that exists then, by the items' own conditions; after the last
    one, the place node again.
    """
    made: dict[str, object] = {}
    for name, node in raw["script"].items():
        if not isinstance(node, dict) or not isinstance(node.get("place"), list):
            continue
        for block in node["place"]:
            fields = block.get("fields") if isinstance(block, dict) else None
            if not isinstance(fields, dict) or len(fields) > MOST_PLACES:
                continue  # `bounds.py` refuses it as too large
            items = list(fields)
            for at, item in enumerate(items):
                made[item] = _question(raw, name, block, item, items[at + 1 :])
    return made


def _question(raw: Mapping[str, Any], place: str, block: Mapping[str, Any], item: str, later: list[str]) -> object:
    rule = raw["items"].get(item)
    shown = isinstance(rule, dict) and "shown only" in rule
    forks: list[object] = []
    for following in later:
        other = raw["items"].get(following)
        conditions_of = other.get("when") if isinstance(other, dict) else None
        forks.append({"when": conditions_of or {}, "go": following})
        if not conditions_of:
            break
    else:
        forks.append({"go": place})
    asks = {"show": item, "goes on": raw.get("goes on", "")} if shown else {"ask": item, "keeps": "all"}
    return {"says": block["fields"][item], **asks, "then": forks, "back": place, "numbered from": _base(block, item)}


def _base(block: Mapping[str, Any], item: str) -> object:
    first = str(block.get("first", ""))
    counts = "/*/" in item and first.isascii() and first.isdigit() and len(first) <= 9
    return str(int(first) - 1) if counts and int(first) else first
