"""From text to a tree of nodes with places: a strict subset of YAML.

Rules of this file:
1. Every plain scalar stays text; nothing becomes a number, a day or a truth value here.
2. One document of maps, lists and texts. No anchors, aliases, merges, tags, directives, or keys that aren't words.
3. Size, count and depth are limited before memory is used, so a hostile file costs no more than a large honest one.
4. The parser stops at its first syntax error; what was found before it is still reported. Everything else is reported
   together.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Protocol

import yaml

from zonewright.findings import Finding, Place
from zonewright.site.filetext import HIDDEN, MOST_BYTES, MOST_FINDINGS, CleanText, clean, hidden_character, mistake
from zonewright.site.nodes import ListNode, MapEntry, MapNode, Node, TextNode, Tree

MOST_EVENTS = 200_000  # a site of a thousand zones has some 40,000
MOST_DEPTH = 24

if not yaml.__with_libyaml__:
    raise ImportError("PyYAML was installed without libyaml; install its ordinary wheel")

# what the parser says -> (what we say, what to do)
_SLIPS: dict[str, tuple[str, str]] = {
    "mapping values are not allowed in this context": (
        "this colon can't be here",
        "quote a text that holds a colon and a blank; a new key starts its own line, in line with its neighbours",
    ),
    "could not find expected ':'": ("a colon is missing after this", "write key: value, or put a long text in quotes"),
    "found character that cannot start any token": (
        "a text can't begin with this character",
        "put the text in quotes",
    ),
    "found unexpected end of stream": ("this quote is never closed", "close the quote"),
    "found unknown escape character": (
        "this backslash means nothing here",
        "write \\\\ for a backslash, or use single quotes",
    ),
    "found invalid Unicode character escape code": ("this is no character", "write the character itself"),
    "did not find expected hexdecimal number": ("this is no character", "write the character itself"),
    "block sequence entries are not allowed in this context": (
        "a list item can't start here",
        "start the list on a line of its own, or write [one, two]",
    ),
    "did not find expected key": (
        "this doesn't fit what comes before it",
        "give lines of one map the same number of blanks in front; quote a text that has quotes or brackets inside",
    ),
    "did not find expected '-' indicator": (
        "this line isn't an item of the list above it",
        "start it with a dash, or move it left or right to where it belongs",
    ),
    "did not find expected ',' or ']'": ("a comma or the closing ] is missing", "close the list with ]"),
    "did not find expected ',' or '}'": ("a comma or the closing } is missing", "close the map with }"),
    "did not find expected node content": ("a value is missing here", "write a value, or take the mark out"),
    "did not find expected alphabetic or numeric character": (
        "a text can't begin with this character",
        "put the text in quotes",
    ),
    "exceeded maximum nesting depth": ("too many brackets inside each other", "this is no site file or profile"),
    "did not find expected <document start>": (
        "nothing may follow here",
        "keep everything in one map of key: value lines",
    ),
}  # fmt: skip
_AT_ITS_START = frozenset({"found unexpected end of stream", "could not find expected ':'"})


def compose(text: str, file: str) -> tuple[Tree | None, tuple[Finding, ...]]:
    """Return the tree of a text and everything wrong with its form.

    The tree is None if the text has none: it is empty, too long, or has an error at which the parser stops. A tree with
    findings is only for further reading, so that all mistakes can be reported together.
    """
    if len(text) > MOST_BYTES:
        return None, (mistake("READ-SIZE", Place(file, 1), "file", "too long", fix="at most 2 MB are read"),)
    cleaned, findings = clean(text, file)
    if len(findings) >= MOST_FINDINGS or _tab_before_text(text):
        return None, findings  # its indentation decides what a line means; replacing a tab by blanks would be a guess
    builder = _Builder(cleaned, list(findings))
    try:
        tree = builder.run()
    except yaml.YAMLError as trouble:
        return None, (*builder.findings, _slip(trouble, cleaned))
    if tree is None and not builder.findings:
        fix = "begin with its name; `zonewright demo` makes a whole site file to look at"
        builder.findings.append(mistake("READ-EMPTY", Place(file, 1), "file", "nothing is written in it", fix=fix))
    return tree, tuple(builder.findings)


def _tab_before_text(text: str) -> bool:
    return "\t" in text and any("\t" in line[: len(line) - len(line.lstrip())] for line in text.splitlines())


def _slip(trouble: yaml.YAMLError, cleaned: CleanText) -> Finding:
    if not isinstance(trouble, yaml.MarkedYAMLError) or trouble.problem_mark is None:
        return mistake("READ-SYNTAX", Place(cleaned.file, 1), "file", "this isn't text that can be read")
    problem = trouble.problem or ""
    opened = trouble.context_mark
    mark = opened if problem in _AT_ITS_START and opened is not None else trouble.problem_mark
    says, fix = _SLIPS.get(problem, ("this can't be read here", "put a text with special characters in quotes"))
    if "closing" in says and opened is not None and opened.line != mark.line:
        says += f" (opened in line {opened.line + 1})"
    return mistake("READ-SYNTAX", cleaned.place(mark.line + 1, mark.column + 1), "text", says, fix=fix)


@dataclass(slots=True)
class _Open:
    """A map or a list that isn't closed yet."""

    place: Place
    is_map: bool
    kept: bool = True  # False: it is ignored, because no map or list may be here
    entries: list[MapEntry] = field(default_factory=list)
    items: list[Node] = field(default_factory=list)
    keys: dict[str, Place] = field(default_factory=dict)
    key: str | None = None
    key_place: Place | None = None  # set: a key was read and waits for its value
    key_kept: bool = True


class _Mark(Protocol):
    """The parser's place, counted from 0."""

    @property
    def line(self) -> int: ...

    @property
    def column(self) -> int: ...


class _TooMuch(Exception):
    """A limit was passed; the finding is already noted."""


class _Builder:
    """Takes the parser's events one by one."""

    def __init__(self, cleaned: CleanText, findings: list[Finding]) -> None:
        self.cleaned = cleaned
        self.findings = findings
        self.open: list[_Open] = []
        self.root: Node | None = None
        self.documents = 0

    def run(self) -> Node | None:
        try:
            for count, event in enumerate(yaml.parse(self.cleaned.text, Loader=yaml.CSafeLoader)):
                if count > MOST_EVENTS:
                    self._too_much(event, "the file has too many lines and values", "READ-SIZE")
                if len(self.findings) >= MOST_FINDINGS:
                    return None
                self._take(event)
        except _TooMuch:
            return None
        return self.root

    def _take(self, event: yaml.Event) -> None:
        if isinstance(event, yaml.DocumentStartEvent):
            self.documents += 1
            if self.documents > 1:
                self._too_much(event, "a second document starts here", "READ-FORM", "delete the line ---")
            if event.version or event.tags:
                self._note(event, "a line that starts with % is above the text", "delete that line")
        elif isinstance(event, yaml.AliasEvent):
            says = f"*{(event.anchor or '')[:40]} points at another part of the file"
            self._note(event, says, "write the value out; quote a text that starts with *")
            self._value(self._text(event, ""))
        elif isinstance(event, yaml.ScalarEvent):
            self._marks(event)
            self._scalar(event)
        elif isinstance(event, yaml.MappingStartEvent | yaml.SequenceStartEvent):
            self._marks(event)
            self._start(event)
        elif isinstance(event, yaml.MappingEndEvent | yaml.SequenceEndEvent):
            self._end()

    def _place(self, mark: _Mark | None) -> Place:
        if mark is None:
            raise ValueError("libyaml gives every event its marks")
        return self.cleaned.place(mark.line + 1, mark.column + 1)

    def _note(self, event: yaml.Event, says: str, fix: str = "", code: str = "READ-FORM") -> None:
        self.findings.append(mistake(code, self._place(event.start_mark), "text", says, fix=fix))

    def _too_much(self, event: yaml.Event, says: str, code: str, fix: str = "this is no site file or profile") -> None:
        self._note(event, says, fix, code)
        raise _TooMuch

    def _marks(self, event: yaml.ScalarEvent | yaml.MappingStartEvent | yaml.SequenceStartEvent) -> None:
        if event.anchor is not None:
            says = f"&{event.anchor[:40]} marks this part for use elsewhere"
            self._note(event, says, "delete it; quote a text that starts with &")
        if event.tag is not None:
            self._note(event, "a tag (!) is in front of this", "delete it; quote a text that starts with !")

    def _text(self, event: yaml.Event, text: str, quoted: bool = False) -> TextNode:
        return TextNode(text, self._place(event.start_mark), self._place(event.end_mark), quoted)

    def _scalar(self, event: yaml.ScalarEvent) -> None:
        text = event.value
        node = self._text(event, text, bool(event.style))
        if HIDDEN.search(text) is not None:  # the file's own are removed, so this one came from an escape: "\u202e"
            self.findings.extend(hidden_character(c, node.place) for c in HIDDEN.findall(text)[:5])
        top = self.open[-1] if self.open else None
        if top is None or not top.is_map or top.key_place is not None:
            self._value(node)
            return
        top.key, top.key_place, top.key_kept = text, node.place, True
        first = top.keys.setdefault(text, node.place)
        if not node.quoted and text == "<<":
            self._note(event, "<< would merge another part of the file in here", "write the lines out")
            top.key_kept = False
        elif not text:
            self._note(event, "the key before the colon is missing", "write key: value")
            top.key_kept = False
        elif first is not node.place:
            says = f'"{text[:60]}" is written twice here; the first is in line {first.line}, column {first.column}'
            self._note(event, says, "keep one of the two", "READ-TWICE")
            top.key_kept = False

    def _start(self, event: yaml.MappingStartEvent | yaml.SequenceStartEvent) -> None:
        top = self.open[-1] if self.open else None
        opened = _Open(self._place(event.start_mark), isinstance(event, yaml.MappingStartEvent))
        if top is not None and top.is_map and top.key_place is None:
            self._note(event, "a list or a map can't be a key", "write a word before the colon")
            opened.kept = False
        self.open.append(opened)
        if len(self.open) > MOST_DEPTH:
            self._too_much(event, f"more than {MOST_DEPTH} brackets or levels inside each other", "READ-SIZE")

    def _end(self) -> None:
        done = self.open.pop()
        if done.kept:
            self._value(
                MapNode(tuple(done.entries), done.place)
                if done.is_map
                else ListNode(tuple(done.items), done.place)
            )  # fmt: skip
        else:
            parent = self.open[-1]
            parent.key, parent.key_place, parent.key_kept = "", done.place, False

    def _value(self, node: Node) -> None:
        if not self.open:
            self.root = node
            return
        top = self.open[-1]
        if not top.is_map:
            top.items.append(node)
        elif top.key_place is None:  # an alias as a key; already reported
            top.key, top.key_place, top.key_kept = "", node.place, False
        else:
            if top.key_kept and top.key is not None:
                top.entries.append(MapEntry(top.key, top.key_place, node))
            top.key_place = None
