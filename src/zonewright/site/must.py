"""What the owner wants always or never: `CAUSE causes EFFECT [while [AREA] MODE] [within TIME]`.

Rules of this file:
1. The grammar is closed: the words below and nothing else. Mode and time may be in either order; `within` belongs to
   `always`. A mode may be written as in verdicts: `armed away`, `disarmed`. A mode without an area before it is that of
   all areas of the cause.
2. It knows no behaviour and no panel: which messages exist (`fire message`) is checked with the panel later.
3. All mistakes of a statement are reported together, each with its place in the statement's text.
"""

from __future__ import annotations

import re
from collections.abc import Collection, Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from zonewright.findings import nearest
from zonewright.site.model import Must, Site
from zonewright.site.names import NamedCause, causes_of_musts
from zonewright.site.record import seconds, span

EffectKind = Literal["siren", "message", "any sound", "chime"]
ModeWord = Literal["off", "stay", "night", "away", "armed"]

MOST_LETTERS = 200  # also a bound on the work of the patterns

_STATEMENT = re.compile(r"(?P<cause>\S.*?)\s+causes\s+(?P<rest>\S.*)")
_EFFECT = re.compile(r"(?!(?:while|within)\s)\S.*?(?=\s+(?:while|within)\s+\S|$)")
_ASIDE = re.compile(r"\s+(?P<word>while|within)\s+(?P<says>\S.*?)(?=\s+(?:while|within)\s+\S|$)")
_MESSAGE = re.compile(r"(?P<of>[a-z0-9][a-z0-9 -]{0,40}) message")
_SET = frozenset({"stay", "night", "away"})  # the modes of `armed`
_FORM = "CAUSE causes EFFECT, then if wanted: while MODE, within TIME"
_CAUSES = "a device, a loop, a zone's label, a device and its input, a trouble of one of them, or a person"
_EFFECTS = "siren, message, any sound, chime, or a kind of message such as fire message"


@dataclass(frozen=True, slots=True)
class WantedEffect:
    """What follows; `of` narrows a message to one kind ("fire"), empty for any."""

    kind: EffectKind
    of: str = ""

    def __str__(self) -> str:
        return f"{self.of} {self.kind}".strip()

    def is_part_of(self, other: WantedEffect) -> bool:
        """Return whether the other effect never comes without this one: no siren without any sound."""
        if self.kind == "any sound":
            return other.kind in ("siren", "chime", "any sound")
        return self.kind == other.kind and self.of in other.of


@dataclass(frozen=True, slots=True)
class Statement:
    """One thing wanted; `while_` None means in every mode, `within_s` None means without a limit [s]."""

    wanted: Literal["never", "always"]
    cause: NamedCause
    effect: WantedEffect
    while_: ModeWord | None = None
    within_s: int | None = None
    area: str | None = None  # the area whose mode is meant; None: all areas of the cause

    def __str__(self) -> str:
        mode = f" while {self.area + ' ' if self.area else ''}{self.while_}" if self.while_ else ""
        limit = f" within {span(self.within_s)}" if self.within_s is not None else ""
        return f"{self.wanted}: {self.cause} causes {self.effect}{mode}{limit}"

    def excludes(self, other: Statement) -> bool:
        """Return whether no panel can keep both: one wants never, in some mode, what the other always wants there."""
        if self.wanted == other.wanted or not self.cause.meets(other.cause) or not _modes(self) & _modes(other):
            return False
        if self.while_ and other.while_ and self.area != other.area:
            return False  # each area may be in its own mode
        never, always = (self, other) if self.wanted == "never" else (other, self)
        return never.effect.is_part_of(always.effect)


@dataclass(frozen=True, slots=True)
class StatementMistake:
    """One thing wrong in a statement's text, `offset` characters from its start."""

    offset: int
    says: str
    wrote: str
    allowed: str = ""
    nearest: str | None = None


def parse(
    must: Must, named: Mapping[str, tuple[NamedCause, ...]], areas: Collection[str] = ()
) -> Statement | tuple[StatementMistake, ...]:
    """Return the statement in its parts, or everything that is wrong with its text."""
    text = must.never if must.never is not None else must.always or ""
    if len(text) > MOST_LETTERS:
        return (StatementMistake(0, f"a statement has at most {MOST_LETTERS} letters", text),)
    found = _STATEMENT.fullmatch(text.rstrip())
    said = _EFFECT.match(found["rest"]) if found is not None else None
    if found is None or said is None:
        return (StatementMistake(0, f"write {_FORM}", text),)
    start = found.start("rest")
    asides = list(_ASIDE.finditer(found["rest"], said.end()))
    first = {aside["word"]: aside for aside in reversed(asides)}
    slips: list[StatementMistake] = []

    def slip(offset: int, says: str, wrote: str, allowed: str, near: tuple[str, ...] = ()) -> None:
        slips.append(StatementMistake(offset, says, wrote, allowed, near[0] if near else None))

    meanings = named.get(found["cause"], ())
    if len(meanings) > 1:
        slip(
            0,
            f'"{found["cause"]}" may mean {" or ".join(map(str, meanings))}',
            found["cause"],
            "one that is meant alone",
        )
    elif not meanings:
        says = f'nothing here is called "{found["cause"]}"'
        slip(
            0,
            says,
            found["cause"],
            _CAUSES,
            nearest(found["cause"], named),
        )
    effect = _effect(said[0])
    if effect is None:
        kinds = [*get_args(EffectKind), said[0].rpartition(" ")[0] + " message"]
        slip(start, f'"{said[0]}" is no effect', said[0], _EFFECTS, nearest(said[0], kinds))
    for aside in asides:
        if aside is not first[aside["word"]]:
            slip(start + aside.start("word"), f'"{aside["word"]}" is written twice', aside[0].lstrip(), "one of each")
    mode: ModeWord | None = None
    area: str | None = None
    if "while" in first:
        written, at = first["while"]["says"], start + first["while"].start("says")
        mode = _mode(written)
        if mode is None:
            area, mode = _mode_of_area(written, areas)
        if mode is None:
            modes = get_args(ModeWord)
            slip(at, f'"{written}" is no mode', written, ", ".join(modes), nearest(written, modes))
    if any(each.person for each in meanings) and must.always is not None:
        slip(0, "a person can only be written after never", found["cause"], "never: PERSON causes EFFECT")
    limit = None
    if "within" in first:
        written, at = first["within"]["says"], start + first["within"].start("says")
        try:
            limit = seconds(written)
        except ValueError as trouble:
            slip(at, f'"{written}": {trouble}', written, "")
        if must.never is not None:
            slip(at, "never has no time limit; within belongs to always", written, "")
    if slips or effect is None:
        return tuple(slips)
    return Statement("never" if must.never is not None else "always", meanings[0], effect, mode, limit, area)


def _modes(statement: Statement) -> frozenset[str]:
    """Return the modes that a statement is about."""
    if statement.while_ is None:
        return _SET | {"off"}
    return _SET if statement.while_ == "armed" else frozenset({statement.while_})


def _mode(text: str) -> ModeWord | None:
    """Return the mode that is written, perhaps as in verdicts: "armed away", "disarmed"."""
    if text == "disarmed":
        return "off"
    way = text.removeprefix("armed").strip() if text.startswith("armed ") else text
    return next((mode for mode in get_args(ModeWord) if mode == way and (way == text or way in _SET)), None)


def _mode_of_area(text: str, areas: Collection[str]) -> tuple[str | None, ModeWord | None]:
    """Return area and mode of a text such as "surgery disarmed", trying the longest name first; None twice if none."""
    for area in sorted(areas, key=len, reverse=True):
        mode = _mode(text.removeprefix(area).strip()) if text.startswith(f"{area} ") else None
        if mode is not None:
            return area, mode
    return None, None


def _effect(text: str) -> WantedEffect | None:
    kind: EffectKind | None = next((k for k in get_args(EffectKind) if k == text), None)
    if kind is not None:
        return WantedEffect(kind)
    found = _MESSAGE.fullmatch(text)
    if found is None:
        return None
    return WantedEffect("message", "" if found["of"].strip() == "any" else found["of"].strip())


def statements(site: Site) -> tuple[Statement, ...]:
    """Return the must statements of a site in their parts; `ValueError` for a site whose findings were ignored."""
    named = causes_of_musts(site)
    parsed = [parse(must, named, site.areas) for must in site.must]
    if any(not isinstance(one, Statement) for one in parsed):
        raise ValueError("the site's must statements were never checked; read it with read_site")
    return tuple(one for one in parsed if isinstance(one, Statement))
