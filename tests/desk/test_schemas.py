"""What reading takes, the schema of its kind of file takes, too."""

from __future__ import annotations

from pathlib import Path

import pytest
import yaml
from jsonschema import Draft202012Validator

from zonewright.desk.schemas import KINDS, RESULTS, schema_for
from zonewright.panel.profile_file import SHIPPED, shipped_names

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
GIVEN = [
    *(("site", FILES / f"{name}.yaml") for name in ("larkfield", "rowan", "bakery")),
    *(("plan", FILES / f"{name}-plan.yaml") for name in ("larkfield", "rowan", "bakery")),
    *(("profile", Path(str(SHIPPED / f"{name}.yaml"))) for name in shipped_names()),
]


def plain(path: Path) -> object:
    """Return a file as an editor sees it, every scalar a text."""
    return yaml.load(path.read_text(encoding="utf-8"), Loader=yaml.BaseLoader)


@pytest.mark.parametrize("kind", KINDS)
def test_a_schema_is_one(kind: str) -> None:
    Draft202012Validator.check_schema(schema_for(kind))


@pytest.mark.parametrize("kind", RESULTS)
def test_a_result_is_closed_and_each_of_its_keys_is_there(kind: str) -> None:
    schema = schema_for(kind)
    definitions = schema.get("$defs", {})
    assert isinstance(definitions, dict)
    for part in (schema, *definitions.values()):
        assert part["additionalProperties"] is False
        assert set(part["required"]) == set(part["properties"])
        assert part["description"]


@pytest.mark.parametrize(("kind", "path"), GIVEN, ids=[f"{kind} {path.name}" for kind, path in GIVEN])
def test_each_file_of_ours_is_what_its_schema_says(kind: str, path: Path) -> None:
    assert [error.message for error in Draft202012Validator(schema_for(kind)).iter_errors(plain(path))] == []


@pytest.mark.parametrize(("kind", "path"), GIVEN, ids=[f"{kind} {path.name}" for kind, path in GIVEN])
def test_a_field_that_is_not_there_is_underlined(kind: str, path: Path) -> None:
    tree = plain(path)
    assert isinstance(tree, dict)
    told = [error.message for error in Draft202012Validator(schema_for(kind)).iter_errors({**tree, "colour": "red"})]
    assert any("colour" in each for each in told)
