"""A panel for large generated sites: Marlow with more areas, and with each set of areas that a site needs."""

from __future__ import annotations

from collections.abc import Iterable
from importlib.resources import files
from itertools import product

AreaSet = tuple[int, ...]


def panel(areas: int, sets: Iterable[AreaSet]) -> str:
    """Return the profile: Marlow's text with so many areas, these sets of them to choose from, and day-night zones."""
    text = (files("zonewright.panel") / "profiles/marlow.yaml").read_text(encoding="utf-8")
    begin, end = text.index("  area:\n"), text.index("  delay:\n")
    singles = [(area,) for area in range(1, areas + 1)]
    chosen = [*singles, *sorted({tuple(sorted(each)) for each in sets}.difference(singles))]
    letters = map("".join, product("KMRW", repeat=3))
    choices = ", ".join(f'"{_value(each)}": "{" ".join(map(str, each))}"' for each in chosen)
    codes = ", ".join(f'"{_value(each)}": {code}' for each, code in zip(chosen, letters, strict=False))
    area = f"  area:\n    style: letters\n    take: set\n    choices: {{{choices}}}\n    codes: {{{codes}}}\n"
    wide = text[:begin] + area + text[end:]
    for old, new in (
        ("panel: Marlow", f"panel: Marlow of {areas}"),
        ("areas: 4", f"areas: {areas}"),
        ("  notice: {}\nkinds:", "  notice: {}\n  day-night: {}\nkinds:"),
        ("notice: tell only}", "notice: tell only, day-night: day night}"),
        ("notice: MW}", "notice: MW, day-night: KK}"),
    ):
        assert wide.count(old) == 1, old
        wide = wide.replace(old, new)
    return wide


def _value(each: AreaSet) -> str:
    return "+".join(map(str, each))
