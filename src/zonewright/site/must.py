"""What the owner wants always or never: `CAUSE causes EFFECT [while MODE] [within TIME]`.

Rules of this file:
1. The grammar is closed: the words below and nothing else. `within` belongs to `always`.
2. It knows no behaviour and no panel: which messages there are (`fire message`) is asked of the panel later.
3. All slips of a statement are told at once, each with its place in the statement's text.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from dataclasses import dataclass
from typing import Literal, get_args

from zonewright.findings import nearest
from zonewright.site.model import Must, Site
from zonewright.site.names import Cause, causes
from zonewright.site.record import seconds

EffectKind = Literal["siren", "message", "any sound", "chime"]
ModeWord = Literal["off", "stay", "night", "away", "armed"]

MOST_LETTERS = 200  # also a bound on the work of the patterns

_STATEMENT = re.compile(r"(?P<cause>\S.*?)\s+causes\s+(?P<rest>\S.*)")
_REST = re.compile(r"(?P<effect>\S.*?)(?:\s+while\s+(?P<mode>\S.*?))?(?:\s+within\s+(?P<time>\S.*))?")
_MESSAGE = re.compile(r"(?P<of>[a-z0-9][a-z0-9 -]{0,40}) message")
_FORM = "CAUSE causes EFFECT, then if wanted: while MODE, within TIME"
_CAUSES = "a device, a loop, a zone's label, or a device and its input"
_EFFECTS = "siren, message, any sound, chime, or a kind of message such as fire message"


@dataclass(frozen=True, slots=True)
class Effect:
    """What follows; `of` narrows a message to one kind ("fire"), empty for any."""

    kind: EffectKind
    of: str = ""

    def __str__(self) -> str:
        return f"{self.of} {self.kind}".strip()


@dataclass(frozen=True, slots=True)
class Statement:
    """One thing wanted; `while_` None means in every mode, `within_s` None means without a limit [s]."""

    wanted: Literal["never", "always"]
    cause: Cause
    effect: Effect
    while_: ModeWord | None = None
    within_s: int | None = None

    def __str__(self) -> str:
        mode = f" while {self.while_}" if self.while_ else ""
        limit = f" within {self.within_s} s" if self.within_s is not None else ""
        return f"{self.wanted}: {self.cause} causes {self.effect}{mode}{limit}"


@dataclass(frozen=True, slots=True)
class Slip:
    """One thing wrong in a statement's text, `offset` characters from its start."""

    offset: int
    says: str
    wrote: str
    allowed: str = ""
    nearest: str | None = None


def parse(must: Must, named: Mapping[str, tuple[Cause, ...]]) -> Statement | tuple[Slip, ...]:
    """Return the statement in its parts, or everything that is wrong with its text."""
    text = must.never if must.never is not None else must.always or ""
    if len(text) > MOST_LETTERS:
        return (Slip(0, f"a statement has at most {MOST_LETTERS} letters", text),)
    found = _STATEMENT.fullmatch(text.rstrip())
    rest = _REST.fullmatch(found["rest"]) if found is not None else None
    if found is None or rest is None:
        return (Slip(0, f"write {_FORM}", text),)
    start = found.start("rest")
    slips: list[Slip] = []

    def slip(offset: int, says: str, wrote: str, allowed: str, near: tuple[str, ...] = ()) -> None:
        slips.append(Slip(offset, says, wrote, allowed, near[0] if near else None))

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
            "a device, a loop, a zone's label, or a device and its input",
            nearest(found["cause"], named),
        )
    effect = _effect(rest["effect"])
    if effect is None:
        kinds = [*get_args(EffectKind), rest["effect"].rpartition(" ")[0] + " message"]
        slip(start, f'"{rest["effect"]}" is no effect', rest["effect"], _EFFECTS, nearest(rest["effect"], kinds))
    modes = get_args(ModeWord)
    if rest["mode"] is not None and rest["mode"] not in modes:
        says = f'"{rest["mode"]}" is no mode'
        slip(start + rest.start("mode"), says, rest["mode"], ", ".join(modes), nearest(rest["mode"], modes))
    limit = None
    if rest["time"] is not None:
        at = start + rest.start("time")
        try:
            limit = seconds(rest["time"])
        except ValueError as trouble:
            slip(at, f'"{rest["time"]}": {trouble}', rest["time"], "")
        if must.never is not None:
            slip(at, "never holds without a limit; within belongs to always", rest["time"], "")
    if slips or effect is None:
        return tuple(slips)
    mode: ModeWord | None = next((m for m in modes if m == rest["mode"]), None)
    return Statement("never" if must.never is not None else "always", meanings[0], effect, mode, limit)


def _effect(text: str) -> Effect | None:
    kind: EffectKind | None = next((k for k in get_args(EffectKind) if k == text), None)
    if kind is not None:
        return Effect(kind)
    found = _MESSAGE.fullmatch(text)
    return Effect("message", found["of"].strip()) if found is not None else None


def statements(site: Site) -> tuple[Statement, ...]:
    """Return the must statements of a site in their parts; `ValueError` for a site whose findings were passed over."""
    named = causes(site)
    parsed = [parse(must, named) for must in site.must]
    if any(not isinstance(one, Statement) for one in parsed):
        raise ValueError("the site's must statements were never checked; read it with read_site")
    return tuple(one for one in parsed if isinstance(one, Statement))
