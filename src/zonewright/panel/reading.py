"""From a profile's name or path to the profile, or to everything that is wrong with it.

Rules of this file:
1. A profile is used only when its script has been walked in full without complaint; half a profile is none.
2. A name is a shipped profile; a text with a slash or `.yaml` in it is a path beside the site file.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator
from importlib import resources
from pathlib import Path as FilePath

from zonewright.findings import Finding, Severity, nearest
from zonewright.panel.profile import Profile, Style
from zonewright.panel.reachability import Complaint, reach, unknown_values
from zonewright.site.filetext import read_text
from zonewright.site.nodes import Places
from zonewright.site.reading import Read, read_as

SHIPPED = resources.files("zonewright.panel") / "profiles"


def shipped_names() -> tuple[str, ...]:
    """Return the names of the profiles that come with Zonewright."""
    return tuple(sorted(each.name.removesuffix(".yaml") for each in SHIPPED.iterdir() if each.name.endswith(".yaml")))


def is_path(name: str) -> bool:
    """Return whether a site file's `panel:` names a file rather than a shipped profile."""
    return "/" in name or "\\" in name or name.endswith((".yaml", ".yml"))


def find_profile(name: str, beside: FilePath) -> Read[Profile]:
    """Return the profile that a site file names; a path is taken relative to the folder `beside`."""
    if is_path(name):
        return read_profile(beside / name)
    if name in shipped_names():
        return shipped_profile(name)
    near = nearest(name, shipped_names())
    finding = Finding(
        "PRO-00",
        Severity.PROBLEM,
        f'panel "{name}"',
        "no profile of this name comes with Zonewright",
        wrote=f"panel: {name}",
        allowed=", ".join(shipped_names()),
        nearest=", ".join(near) or None,
        fix="name a shipped profile, or the path of a profile file beside the site file",
    )
    return Read(None, (finding,), Places(None, name))


def read_profile(path: FilePath) -> Read[Profile]:
    """Read a profile file and walk its script."""
    text, findings = read_text(path)
    if findings:
        return Read(None, findings, Places(None, str(path)))
    return profile_of(text, str(path))


@functools.cache
def shipped_profile(name: str) -> Read[Profile]:
    """Return a profile that comes with Zonewright; read once a process."""
    file = f"{name}.yaml"
    return profile_of((SHIPPED / file).read_text(encoding="utf-8"), file)


def shipped(name: str) -> Profile:
    """Return a shipped profile that is known to be sound."""
    return shipped_profile(name).usable()


def profile_of(text: str, file: str) -> Read[Profile]:
    """Return the profile that a text describes, or every reason why it describes none."""
    read = read_as(Profile, text, file)
    profile = read.record
    if profile is None:
        return read
    complaints = [*_unsound(profile)]
    if not complaints:
        complaints = [*reach(profile).complaints]
    findings = [_finding(complaint, read.places) for complaint in complaints]
    return Read(None if findings else profile, (*read.findings, *findings), read.places)


def _finding(complaint: Complaint, places: Places) -> Finding:
    field = " ".join(complaint.path[:2])
    place = places.key(complaint.path)
    return Finding(complaint.code, Severity.PROBLEM, field, complaint.says, place=place, fix=complaint.fix)


def _unsound(profile: Profile) -> Iterator[Complaint]:
    yield from unknown_values(profile)
    yield from _answers(profile)
    yield from _keys(profile)
    yield from _display(profile)


def _answers(profile: Profile) -> Iterator[Complaint]:
    for name, answer in profile.answers.items():
        path = ("answers", name)
        for field in NEEDS[answer.style]:
            if getattr(answer, field) in (None, {}):
                says = f'a {answer.style.value} answer needs "{FILE_NAME.get(field, field.replace("_", " "))}"'
                yield Complaint("PRO-20", path, says)
        if answer.style is not Style.WORDS:
            continue
        lengths = {len(code) for code in answer.codes.values()}
        if len(lengths) > 1:
            says = f"codes of {' and '.join(str(n) for n in sorted(lengths))} digits: where one ends can't be told"
            yield Complaint("PRO-21", (*path, "codes"), says, "give all words codes of one length")
        owners: dict[str, str] = {}
        for word, code in answer.codes.items():
            if code in owners:
                says = f'"{owners[code]}" and "{word}" share {code}'
                yield Complaint("PRO-22", (*path, "codes", word), says, "give each word a code of its own")
            owners.setdefault(code, word)
            if not (code.isascii() and code.isdigit()):
                yield Complaint("PRO-23", (*path, "codes", word), f'the code of "{word}" is {code}; codes are digits')


def _keys(profile: Profile) -> Iterator[Complaint]:
    names = profile.keys.names
    for key in sorted({key for key in names if names.count(key) > 1}):
        yield Complaint("PRO-24", ("keys", "rows"), f'key "{key}" stands twice')
    used: list[tuple[tuple[str, ...], str]] = [(("back",), profile.back)]
    for name, answer in profile.answers.items():
        pairs = (("ends with", answer.ends_with), ("next", answer.next), ("take", answer.take))
        used += [
            (("answers", name, field), key) for field, key in (*pairs, ("yes", answer.yes), ("no", answer.no)) if key
        ]
        if answer.style in (Style.DIGITS, Style.WORDS, Style.SECRET):
            used += [(("answers", name), digit) for digit in "0123456789"]
    for name, node in profile.script.items():
        used += [(("script", name, "choose", key), key) for key in node.choose or {}]
        used += [(("script", name, "ways in"), key) for keys in node.ways_in or {} for key in keys.split()]
        if node.goes_on is not None:
            used.append((("script", name, "goes on"), node.goes_on))
        if node.choose is not None and node.back is not None and profile.back in node.choose:
            yield Complaint("PRO-26", ("script", name), f'`{name}`: key "{profile.back}" both answers and goes back')
        yield from _hidden_ways(name, tuple(node.ways_in or {}))
    told: set[str] = set()
    for path, key in used:
        if key not in names and key not in told:
            told.add(key)
            near = nearest(key, names)
            hint = f'; did you mean "{near[0]}"?' if near else ""
            yield Complaint("PRO-25", path, f'the keypad has no key "{key}"{hint}', "name a key of `keys: rows`")


def _hidden_ways(name: str, ways: tuple[str, ...]) -> Iterator[Complaint]:
    for short in ways:
        for long in ways:
            if long != short and long.split()[: len(short.split())] == short.split():
                says = f'way in "{short}" is the beginning of "{long}": the longer can never be keyed'
                yield Complaint("PRO-27", ("script", name, "ways in"), says)


def _display(profile: Profile) -> Iterator[Complaint]:
    columns = profile.display.columns
    for name, node in profile.script.items():
        if len(node.says) > columns:
            says = f'"{node.says}" is {len(node.says)} signs long, the display shows {columns}'
            yield Complaint("PRO-28", ("script", name, "says"), says, "shorten it as the panel does")
    for name, answer in profile.answers.items():
        for choice, shown in answer.choices.items():
            if len(shown) >= columns:
                says = f'"{shown}?" is {len(shown) + 1} signs long, the display shows {columns}'
                yield Complaint("PRO-28", ("answers", name, "choices", choice), says, "shorten it as the panel does")
        shown_twice = {shown for shown in answer.choices.values() if [*answer.choices.values()].count(shown) > 1}
        for shown in sorted(shown_twice):
            says = f'two choices show as "{shown}": nobody could tell them apart'
            yield Complaint("PRO-29", ("answers", name, "choices"), says)


NEEDS: dict[Style, tuple[str, ...]] = {
    Style.DIGITS: ("width", "most_value"),
    Style.WORDS: ("most", "codes", "ends_with"),
    Style.OFFER: ("choices", "next", "take"),
    Style.FLAG: ("yes", "no"),
    Style.TRIP: ("width",),
    Style.SECRET: ("width",),
}
FILE_NAME = {"most_value": "to", "least": "from"}
