"""What a panel profile says: limits, kinds of device, behaviours, items, answers, and the keypad's script.

Rules of this file:
1. The grammar is closed: these node kinds and these answer styles, no expressions, no counters. What a panel needs
   beyond them is a change here, for every panel.
2. Whether an item exists is said at the item (`when`); the script has conditions of its own, and the reader proves that
   both agree (`reachability`). The redundancy is wanted: it is the only check on a hand-written condition.
3. `*` in an item stands for the number of the zone or slot that the script has bound, or will bind at its end.
"""

from __future__ import annotations

from collections.abc import Callable
from enum import Enum
from functools import cached_property
from typing import Annotated, Literal

from pydantic import BeforeValidator, Field, field_validator, model_validator

from zonewright.panel.behaviours import SHIPPED, Behaviour
from zonewright.panel.programme import Item, item_of
from zonewright.site.record import Record, Seconds, WholeNumber, YesNo

NodeName = str
PREVIOUS = "previous"  # where `back` leads to the question met before


class Style(Enum):
    """How one answer is keyed."""

    DIGITS = "digits"  # typed; taken by itself at the full width
    WORDS = "words"  # spoken words, each by its code, closed by a key
    OFFER = "offer"  # choices offered one by one: one key for the next, one to take it
    FLAG = "flag"  # a key for yes, a key for no; takes itself
    TRIP = "trip"  # the device is tripped and its number heard
    SECRET = "secret"  # noqa: S105 - a person types their own code; nobody else sees it


class Display(Record):
    """The keypad's display; a longer text is cut at the column."""

    lines: WholeNumber
    columns: WholeNumber


class Keys(Record):
    """The keys, row by row as they lie, so that near keys are known; `.` is an empty spot."""

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


class Listing(Record):
    """Limits of the standard that the panel is listed to, with the text that says so."""

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
    letter: YesNo = False  # whether a check letter may stand behind the digits
    worn: YesNo = False  # carried about, so its range can't be supervised
    senses: str = ""  # door, movement, water ... for texts


class Answer(Record):
    """One way of answering, with its table; which fields belong to which style stands in the profile's page."""

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
    # offer: choice -> what the display says; a plain list says the choice itself; a `unit` where choices are times
    choices: dict[str, str] = Field(default_factory=dict)
    next: str | None = None
    take: str | None = None
    # flag
    yes: str | None = None
    no: str | None = None

    @cached_property
    def word_of(self) -> dict[str, str]:
        """Return code -> word of a words answer."""
        return {code: word for word, code in self.codes.items()}

    @cached_property
    def code_length(self) -> int:
        """Return how many digits a word's code has; all have the same."""
        return len(next(iter(self.codes.values()), ""))

    @field_validator("choices", mode="before")
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


Conditions = Annotated[tuple[When, ...], BeforeValidator(conditions)]


class ItemRule(Record):
    """One item of the panel: how it is answered, when it exists, what it holds otherwise and as shipped."""

    how: str | None = None
    when: Conditions = ()
    otherwise: str | None = None
    default: str | None = None  # value as shipped; a site that says nothing gets it
    shown_only: YesNo = False


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


class NodeKind(Enum):
    """What a node of the script does; the value is the field that makes a node of this kind."""

    REST = "ways in"
    CODE = "code"
    CHOOSE = "choose"
    WHICH = "which"
    ASK = "ask"
    SHOW = "show"
    TRIP = "trip"
    KEEP = "keep"
    FORGET = "forget"


class Node(Record):
    """One node of the script; exactly one of the fields named in `NodeKind` makes its kind."""

    says: str = ""
    ways_in: dict[str, NodeName] | None = None  # rest: keys parted by spaces -> node
    code: str | None = None  # a person types a code (this answer) to be let in; which one is never seen
    choose: dict[str, NodeName] | None = None  # a key -> node
    which: str | None = None  # binds the number of this group: "zone", "user"
    only: Literal["free", "used", "any"] = "any"
    unless_known: YesNo = False  # passed over when the number is bound already
    how: str | None = None  # the answer by which the number is typed
    ask: str | None = None  # an item
    show: str | None = None  # an item, to be looked at; any of `goes_on` leaves it
    trip: str | None = None  # an item that takes the number of the device heard
    reads_back: tuple[str, ...] = ()  # what the panel says at the trip: "number", "zone", fields
    starts_afresh: YesNo = False  # arriving here drops whatever waits
    keep: Literal["all"] | None = None  # stores all that waits
    keeps: Literal["all"] | None = None  # on a trip: stores all that waits
    forget: str | None = None  # takes the bound number of this group out, at once
    goes_on: str | None = None  # on show: the key that goes on
    then: Annotated[tuple[Fork, ...], BeforeValidator(chain)] = ()
    back: NodeName | None = None  # a node, or `previous`: the question met before this one

    @model_validator(mode="after")
    def _one_kind(self) -> Node:
        kinds = [kind for kind in NodeKind if getattr(self, kind.value.replace(" ", "_")) is not None]
        if len(kinds) != 1:
            words = ", ".join(kind.value for kind in NodeKind)
            raise ValueError(f"a node has exactly one of these fields: {words}")
        return self

    @cached_property
    def kind(self) -> NodeKind:
        """Return what the node does."""
        return next(kind for kind in NodeKind if getattr(self, kind.value.replace(" ", "_")) is not None)

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
    back: str  # the key that goes back
    times_out: TimesOut
    timer_tolerance: WholeNumber = 0  # percent
    limits: Limits
    listing: Listing = Listing()
    behaviours: dict[str, Behaviour]  # offered by this panel; `{}` in the file takes the shipped record as it is
    kinds: dict[str, Kind]
    fixed: dict[str, str] = Field(default_factory=dict)  # settings that this panel has but nobody can change
    answers: dict[str, Answer]
    items: dict[str, ItemRule]
    script: dict[NodeName, Node]
    compared_with_panel: YesNo = False  # whether a transcript was keyed at a real panel

    @field_validator("behaviours", mode="before")
    @classmethod
    def _over_the_shipped(cls, value: object) -> object:
        if not isinstance(value, dict):
            return value
        merged: dict[str, object] = {}
        for name, changes in value.items():
            base = SHIPPED.get(str(name))
            if base is None or not isinstance(changes, dict):
                merged[name] = changes
            else:
                merged[name] = {**base.model_dump(by_alias=True), **changes}
        return merged

    @cached_property
    def groups(self) -> dict[str, tuple[str, ...]]:
        """Return group -> fields of the numbered things: `zone`, `user`; fields in the profile's order."""
        found: dict[str, list[str]] = {}
        for pattern in self.items:
            group, star, field = (*pattern.split("/"), "")[:3]
            if star == "*":
                found.setdefault(group, []).append(field)
        return {group: tuple(fields) for group, fields in found.items()}

    def limit(self, group: str) -> int:
        """Return the highest number of a group."""
        return {"zone": self.limits.zones, "user": self.limits.users}[group]

    def numbered(self, group: str, field: str) -> tuple[Item, ...]:
        """Return one field's items for every number of a group, in order; made once, since searches ask without end."""
        found = self._numbered.get((group, field))
        if found is None:
            found = tuple(item_of(group, number, field) for number in range(1, self.limit(group) + 1))
            self._numbered[group, field] = found
        return found

    @cached_property
    def _numbered(self) -> dict[tuple[str, str], tuple[Item, ...]]:
        return {}

    @cached_property
    def rest(self) -> NodeName:
        """Return the name of the node at which the keypad rests."""
        return next(name for name, node in self.script.items() if node.ways_in is not None)

    def rule_of(self, item: Item) -> ItemRule | None:
        """Return the rule of an item, `zone/14/delay` being `zone/*/delay`; None where the panel has no such item."""
        return self.items.get(pattern_of(item))

    def answer_of(self, item: Item) -> Answer | None:
        """Return the way an item is answered; None where it can only be looked at."""
        rule = self.rule_of(item)
        return self.answers[rule.how] if rule is not None and rule.how is not None else None


def pattern_of(item: Item) -> str:
    """Return an item with its number replaced by `*`."""
    parts = item.split("/")
    return f"{parts[0]}/*/{parts[2]}" if len(parts) == 3 else item
