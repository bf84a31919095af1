"""The page of results as data: what each `--json` prints, key by key."""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

from zonewright.desk.schemas import RESULTS, schema_for

HEAD = """# Results as data

Every verb that prints a table prints it as JSON, too, with `--json`: one object, `decode` one a line. It says first
what `kind` of result it is and in which `version`; a change that a reader could stumble over gets a new version. Keys
are in snake_case, and each key stands in every object of its kind, `null` where there is no value. Texts are those
that the screen shows. Times count seconds from the beginning of a run or a test. Where the input can't be used (exit
code 2) it is `findings` in place of the kind that was asked for.

`zonewright schema KIND` prints the JSON Schema (Draft 2020-12) of a kind.
"""


def page() -> str:
    """Return the page."""
    return "\n".join([HEAD, *(line for kind in RESULTS for line in _kind(kind))])


def _kind(kind: str) -> Iterator[str]:
    schema = schema_for(kind)
    yield from (f"## {kind}", "", _one_line(schema["description"]), "")
    yield from _table(schema)
    parts: Any = schema.get("$defs", {})
    for name, part in parts.items():
        if "properties" in part:
            yield from (f"### {name}", "", _one_line(part["description"]), "")
            yield from _table(part)


def _table(part: dict[str, Any]) -> Iterator[str]:
    yield from ("| key | value |", "| --- | --- |")
    yield from (f"| `{key}` | {_value(value)} |" for key, value in part["properties"].items())
    yield ""


def _value(value: dict[str, Any]) -> str:
    """Return what may stand at a key, in short."""
    if "const" in value:
        return f"`{value['const']}`"
    if "enum" in value:
        return ", ".join(f"`{each}`" for each in value["enum"])
    if "anyOf" in value:
        return " or ".join(map(_value, value["anyOf"]))
    if "$ref" in value:
        return str(value["$ref"]).rpartition("/")[2]
    if "prefixItems" in value:
        return "list of " + " and ".join(map(_value, value["prefixItems"]))
    if value.get("type") == "array":
        return f"list of {_value(value['items'])}"
    words = {"string": "text", "integer": "whole number", "number": "number", "boolean": "true or false"}
    return words.get(str(value["type"]), str(value["type"]))


def _one_line(text: object) -> str:
    return " ".join(str(text).split())
