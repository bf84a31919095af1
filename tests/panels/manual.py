"""Reads a panel's one-page manual as its tests need it: text under a heading, table rows, the keypad as drawn."""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import cached_property
from pathlib import Path

import yaml

from zonewright.panel.profile import Answer, ItemRule, Profile, Style, When
from zonewright.panel.profile_file import SHIPPED
from zonewright.panel.programme import Item

COUNTED = ("no", "one", "two", "three", "four", "five", "six")


def rows(text: str) -> list[list[str]]:
    """Return the cells of a text's table rows, without heads and rulers."""
    lines = [line for line in text.splitlines() if line.startswith("|")]
    cells = [[cell.strip() for cell in line[1:-1].split("|")] for line in lines]
    ruler = [number for number, row in enumerate(cells) if set("".join(row)) == {"-"}]
    return [row for number, row in enumerate(cells) if number not in ruler and number + 1 not in ruler]


def conditions_written(text: str, rule: ItemRule) -> set[When]:
    """Return the conditions that a table of Marlow's or Quill's tells, in the words of the display."""
    if text in ("always", "**first**"):
        return set()
    told, _, listed = text.partition(", and ")
    if told == "alarms told":
        values = frozenset(re.split(r", | or ", listed))
        return {When(field="tells-alarm", values=frozenset({"yes"})), When(field="behaviour", values=values)}
    parts = text.split(", and ") if len(rule.when) > 1 else [text]
    found = set()
    for when, part in zip(rule.when, parts, strict=True):
        negated, named = part.startswith("all but "), part.removeprefix("all but ")
        found.add(When(field=when.field, values=frozenset(re.split(r", | or ", named)), negated=negated))
    return found


@dataclass(frozen=True)
class Manual:
    """One panel's manual beside its profile."""

    name: str

    @cached_property
    def text(self) -> str:
        return (Path(__file__).parents[2] / "docs" / "panels" / f"{self.name}.md").read_text(encoding="utf-8")

    @cached_property
    def profile(self) -> Profile:
        # As text, never by YAML's own types: `yes` may be a key of the keypad.
        text = (SHIPPED / f"{self.name}.yaml").read_text(encoding="utf-8")
        return Profile.model_validate(yaml.load(text, yaml.BaseLoader))

    def section(self, title: str) -> str:
        """Return the manual's text under one heading."""
        return self.text.split(f"\n## {title}\n", 1)[1].split("\n## ", 1)[0]

    def prose(self, title: str) -> str:
        """Return the text under one heading on one line, so that it doesn't matter where lines end."""
        return " ".join(self.section(title).split())

    def keys_drawn(self) -> tuple[tuple[str, ...], ...]:
        """Return the keys of the drawn keypad, row by row."""
        drawn = self.section("Keys and display").split("```")[1].splitlines()
        found = (tuple(key.strip() for key in re.findall(r"\[([^]]+)]", line)) for line in drawn)
        return tuple(row for row in found if row)

    def keys_of_profile(self) -> tuple[tuple[str, ...], ...]:
        """Return the profile's keys, row by row, without empty spots."""
        return tuple(tuple(key for key in row if key != ".") for row in self.profile.keys.rows)

    def answer(self, item: str) -> Answer:
        """Return how an item is answered."""
        return self.profile.answers[self.profile.items[Item(item)].how or ""]

    def as_shown(self, item: str, value: str | None) -> str:
        """Return what the display shows for a value of an item, as its question is met; empty for none."""
        answer = self.answer(item)
        if value is None:
            return ""
        if answer.style in (Style.OFFER, Style.SCROLL, Style.LETTERS):
            return answer.choices.get(value) or f"{value} {answer.unit or ''}".rstrip()
        return value.zfill(answer.width or 0) if answer.style is Style.DIGITS else value

    def told(self, rule: ItemRule) -> set[When]:
        """Return an item's conditions in the words of the display."""
        said: set[When] = set()
        for when in rule.when:
            (item,) = [item for item in self.profile.items if item.endswith(f"/{when.field}")]
            values = frozenset(self.as_shown(item, value) for value in when.values)
            said.add(When(field=when.field, values=values, negated=when.negated))
        return said
