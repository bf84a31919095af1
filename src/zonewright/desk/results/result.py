"""The base of every result and of its parts."""

from __future__ import annotations

from typing import Any, Literal

from pydantic import BaseModel, ConfigDict


class Part(BaseModel):
    """A part of a result, frozen; a field that isn't named can't be in it."""

    model_config = ConfigDict(frozen=True, extra="forbid", json_schema_serialization_defaults_required=True)


class Result(Part):
    """What a verb found out. `kind` says what it is; `version` counts the shapes that this kind has had."""

    version: Literal[1] = 1

    def to_data(self) -> dict[str, Any]:
        """Return it as plain data, ready for JSON: what it is first, then its parts in the order of their fields."""
        data = self.model_dump(mode="json")
        return {"kind": data.pop("kind"), "version": data.pop("version"), **data}
