"""The JSON Schema of the site file, for editors that help while typing.

Rules of this file:
1. It is computed from the records, never written by hand.
2. It describes what is typed, not the value read from it: a yes, a time with its unit, a number that an editor may take
   for a text or for a number.
3. It checks less than reading does: nothing that depends on the whole file or on the panel.
"""

from __future__ import annotations

from typing import cast

from zonewright.site.model import Must, Site
from zonewright.site.record import Record

DIALECT = "https://json-schema.org/draft/2020-12/schema"


def site_schema() -> dict[str, object]:
    """Return the JSON Schema (Draft 2020-12) of a site file."""
    schema = schema_of(Site)
    definitions = cast("dict[str, dict[str, object]]", schema["$defs"])
    definitions[Must.__name__]["oneOf"] = [{"required": ["never"]}, {"required": ["always"]}]
    return {"$schema": DIALECT, "title": "Zonewright site file", **schema}


def schema_of(model: type[Record]) -> dict[str, object]:
    """Return the schema of any record, its fields by the names used in files."""
    return cast("dict[str, object]", _as_typed(model.model_json_schema(by_alias=True)))


def _as_typed(part: object, names_below: bool = False) -> object:
    """Return a part of the schema without what only programs see: None, titles, defaults.

    `names_below` is set if the keys are the file's own names, which may also be `title` or `default`.
    """
    if isinstance(part, list):
        return [_as_typed(one) for one in part]
    if not isinstance(part, dict):
        return part
    if names_below:
        return {name: _as_typed(one) for name, one in part.items()}
    kept = {
        key: _as_typed(value, names_below=key in ("properties", "$defs"))
        for key, value in part.items()
        if key not in ("title", "default", "anyOf")
    }
    choices = [_as_typed(one) for one in part.get("anyOf", ()) if one != {"type": "null"}]
    if len(choices) == 1:
        kept.update(cast("dict[str, object]", choices[0]))
    elif choices:
        kept["anyOf"] = choices
    if kept == {"type": "string"}:  # to an editor 904827 is a number; in a site file it is a text
        kept["type"] = ["string", "number"]
    if isinstance(kept.get("description"), str):
        kept["description"] = " ".join(str(kept["description"]).split())
    return kept
