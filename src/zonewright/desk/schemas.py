"""The JSON Schemas of the files that people type, for editors that help while typing."""

from __future__ import annotations

from collections.abc import Mapping
from typing import cast

from zonewright.panel.behaviours import Behaviour
from zonewright.panel.profile import Profile
from zonewright.site.plan import Plan
from zonewright.site.record import Record
from zonewright.site.schema import DIALECT, schema_of, site_schema

OTHERS: Mapping[str, type[Record]] = {"plan": Plan, "profile": Profile}
KINDS = ("site", *OTHERS)


def schema_for(kind: str) -> dict[str, object]:
    """Return the JSON Schema (Draft 2020-12) of a kind of file, one of `KINDS`; raises `KeyError` for another."""
    if kind == "site":
        return site_schema()
    schema = schema_of(OTHERS[kind])
    if kind == "profile":  # a shipped behaviour is taken as it is, or with few fields changed
        cast("dict[str, dict[str, object]]", schema["$defs"])[Behaviour.__name__].pop("required")
    return {"$schema": DIALECT, "title": f"Zonewright {kind} file", **schema}
