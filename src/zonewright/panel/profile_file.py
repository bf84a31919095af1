"""From a profile's name or path to the profile, or to everything that is wrong with it.

Rules of this file:
1. A profile is used only when its whole script was walked without complaint; part of a profile is never used.
2. A name is a shipped profile; a text with a slash or `.yaml` in it is a path relative to the site file.
"""

from __future__ import annotations

import functools
from collections.abc import Iterator
from importlib import resources

from zonewright.findings import Finding, Severity, nearest
from zonewright.panel.bounds import out_of_bounds
from zonewright.panel.profile import Answer, Profile, Style
from zonewright.panel.reachability import Complaint, dangling, reach, unknown_values
from zonewright.panel.references import loose_ends
from zonewright.site.files import Files, led_out
from zonewright.site.nodes import Places
from zonewright.site.reading import Read, read_as

MOST_KEPT = 16  # profiles read lately that are cached
SHIPPED = resources.files("zonewright.panel") / "profiles"


def shipped_names() -> tuple[str, ...]:
    """Return the names of the profiles that come with Zonewright."""
    return tuple(sorted(each.name.removesuffix(".yaml") for each in SHIPPED.iterdir() if each.name.endswith(".yaml")))


def is_path(name: str) -> bool:
    """Return whether a site file's `panel:` names a file rather than a shipped profile."""
    return "/" in name or "\\" in name or name.endswith((".yaml", ".yml"))


def find_profile(name: str, files: Files) -> Read[Profile]:
    """Return a profile by its name; a path must be that of one of the files, and is refused if it leads out of them."""
    if is_path(name):
        if files.leads_out(name):
            return Read(None, (led_out("panel", name),), Places(None, name))
        (text, findings), file = files.text(name), files.called(name)
        return Read(None, findings, Places(None, file)) if findings else profile_of(text, file)
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


def shipped_profile(name: str) -> Read[Profile]:
    """Return a profile that comes with Zonewright."""
    file = f"{name}.yaml"
    return profile_of((SHIPPED / file).read_text(encoding="utf-8"), file)


def shipped(name: str) -> Profile:
    """Return a shipped profile; raises `BadInput` if it isn't sound."""
    return shipped_profile(name).usable()


@functools.lru_cache(maxsize=MOST_KEPT)
def profile_of(text: str, file: str) -> Read[Profile]:
    """Return the profile that a text describes, or every reason why it describes none; cached by the text.

    The whole script is walked, which takes most of the time of opening a site.
    """
    read = read_as(Profile, text, file)
    profile = read.record
    if profile is None:
        return read
    # each only sees profiles that passed those before it
    for look in (out_of_bounds, dangling, loose_ends, _unsound):
        complaints = [*look(profile)]
        if complaints:
            break
    else:
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
    yield from _scrolls(profile)
    yield from _places(profile)
    yield from _keys(profile)
    yield from _display(profile)


def _answers(profile: Profile) -> Iterator[Complaint]:
    for name, answer in profile.answers.items():
        path = ("answers", name)
        for field in NEEDS[answer.style]:
            if getattr(answer, field) in (None, {}):
                says = f'a {answer.style.value} answer needs "{FILE_NAME.get(field, field.replace("_", " "))}"'
                yield Complaint("PRO-20", path, says)
        if answer.style is Style.SCROLL and not answer.choices and (answer.most_value is None or answer.least is None):
            yield Complaint("PRO-20", path, 'a scroll answer needs "choices", or "from" and "to"')
        if answer.style is Style.LETTERS:
            yield from _codes_of_choices(name, answer)
        if answer.style is Style.TAP:
            yield from _taps(name, answer)
        if answer.style not in (Style.WORDS, Style.LETTERS):
            continue
        lengths = {len(code) for code in answer.codes.values()}
        if len(lengths) > 1:
            says = f"codes of {' and '.join(str(n) for n in sorted(lengths))} keys: nobody knows where one ends"
            yield Complaint("PRO-21", (*path, "codes"), says, "give all words codes of one length")
        owners: dict[str, str] = {}
        for word, code in answer.codes.items():
            if code in owners:
                says = f'"{owners[code]}" and "{word}" share {code}'
                yield Complaint("PRO-22", (*path, "codes", word), says, "give each word a code of its own")
            owners.setdefault(code, word)
            if answer.style is Style.WORDS and not (code.isascii() and code.isdigit()):
                yield Complaint("PRO-23", (*path, "codes", word), f'the code of "{word}" is {code}; codes are digits')


def _codes_of_choices(name: str, answer: Answer) -> Iterator[Complaint]:
    for choice in answer.choices:
        if choice not in answer.codes:
            yield Complaint("PRO-30", ("answers", name, "codes"), f'"{choice}" has no code', "give each choice one")
    for choice in answer.codes:
        if choice not in answer.choices:
            path = ("answers", name, "codes", choice)
            yield Complaint("PRO-30", path, f'"{choice}" has a code but is no choice', "take it out, or add the choice")


def _taps(name: str, answer: Answer) -> Iterator[Complaint]:
    signs = "".join(answer.taps.values())
    for sign in sorted({sign for sign in signs if signs.count(sign) > 1}):
        says = f'the sign "{sign}" stands on two keys, or twice on one'
        yield Complaint("PRO-31", ("answers", name, "taps"), says, "give each sign one place")


def _places(profile: Profile) -> Iterator[Complaint]:
    """Yield places with the same keys, and blocks that mix two groups or overlap."""
    for name, node in profile.script.items():
        taken: dict[int, int] = {}
        for at, block in enumerate(node.place or ()):
            path = ("script", name, "place", str(at))
            groups = {item.group if "/*/" in item else "" for item in block.fields}
            if len(groups) != 1:
                says = "a block of places has the items of one group, or single items"
                yield Complaint("PRO-32", path, says, "make a block of each")
                continue
            group = groups.pop()
            for number in range(block.first, block.first + (profile.limit(group) if group else 1)):
                if number in taken and taken[number] != at:
                    says = f"{number:0{profile.place_width}} begins two blocks of places"
                    yield Complaint("PRO-32", path, says, "move one of them")
                    break
                taken[number] = at
            pairs: dict[str, str] = {}
            for thing, pair in [
                *((item, says.partition(" ")[0]) for item, says in block.fields.items()),
                *((target, pair) for pair, target in block.leads.items()),
            ]:
                if pair in pairs:
                    says = f"{pair} opens both `{pairs[pair]}` and `{thing}`"
                    yield Complaint("PRO-33", path, says, "give each place a pair of its own")
                if len(pair) != 2:
                    says = f"the place of `{thing}` is {pair}, and a place has two letter keys"
                    yield Complaint("PRO-33", path, says, "write the pair first, then what the display says")
                pairs.setdefault(pair, thing)


def _scrolls(profile: Profile) -> Iterator[Complaint]:
    for name, node in profile.script.items():
        ring = node.how is not None and profile.answers[node.how].style is Style.SCROLL
        if (node.list_ is not None or ring) and profile.scrolling is None:
            says = f"`{name}` is scrolled, and the profile doesn't say by which keys"
            yield Complaint("PRO-34", ("script", name), says, "add scrolling: {next: ..., previous: ..., take: ...}")
        says_of = [entry.says for entry in node.list_ or ()]
        for says in sorted({each for each in says_of if says_of.count(each) > 1}):
            told = f'`{name}` has two entries that say "{says}"'
            yield Complaint("PRO-29", ("script", name, "list"), told, "nobody could tell them apart")


def _keys(profile: Profile) -> Iterator[Complaint]:
    names = profile.keys.names
    for key in sorted({key for key in names if names.count(key) > 1}):
        yield Complaint("PRO-24", ("keys", "rows"), f'key "{key}" stands twice')
    used: list[tuple[tuple[str, ...], str]] = [(("back",), profile.back)]
    for name, answer in profile.answers.items():
        pairs = (
            ("ends with", answer.ends_with),
            ("next", answer.next),
            ("previous", answer.previous),
            ("along", answer.along),
            ("take", answer.take),
        )
        used += [
            (("answers", name, field), key) for field, key in (*pairs, ("yes", answer.yes), ("no", answer.no)) if key
        ]
        if answer.style in (Style.DIGITS, Style.WORDS):
            used += [(("answers", name), digit) for digit in "0123456789"]
        if answer.style is Style.SECRET:
            used += [(("answers", name), sign) for sign in answer.made_of]
        if answer.style is Style.LETTERS:
            used += [(("answers", name, "codes"), letter) for letter in sorted(answer.letter_keys)]
        used += [(("answers", name, "taps"), key) for key in answer.taps]
    if profile.scrolling is not None:
        used += [(("scrolling", field), key) for field, key in profile.scrolling.model_dump().items()]
    if profile.wipe is not None:
        used.append((("wipe",), profile.wipe))
    for name, node in profile.script.items():
        used += [(("script", name, "place"), letter) for letter in sorted(node.pair_letters)]
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
        text = node.says if node.numbered_from is None else f"000 {node.says}"
        for field, shown in (("says", text), *(("list", entry.says) for entry in node.list_ or ())):
            if len(shown) > columns:
                says = f'"{shown}" is {len(shown)} signs long, the display shows {columns}'
                yield Complaint("PRO-28", ("script", name, field), says, "shorten it as the panel does")
    for name, answer in profile.answers.items():
        for choice, shown in answer.choices.items():
            full = {Style.OFFER: f"{shown}?", Style.LETTERS: f"{answer.codes.get(choice, '')} {shown}"}.get(
                answer.style, shown
            )
            if len(full) > columns:
                says = f'"{full}" is {len(full)} signs long, the display shows {columns}'
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
    Style.SCROLL: ("next", "previous", "take"),
    Style.LETTERS: ("choices", "codes", "take"),
    Style.TAP: ("taps", "most", "take"),
    Style.WHEEL: ("width", "most_value", "next", "previous", "along", "take"),
}
FILE_NAME = {"most_value": "to", "least": "from"}
