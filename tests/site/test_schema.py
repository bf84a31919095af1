"""The schema that editors get agrees with what reading takes."""

from __future__ import annotations

from pathlib import Path

import pytest
from jsonschema import Draft202012Validator

from tests.site.marked import FILE, RIGHT, changed
from zonewright.site.composer import compose
from zonewright.site.nodes import plain
from zonewright.site.schema import site_schema
from zonewright.site.sitefile import read_site_text

LARKFIELD = Path(__file__).with_name("larkfield.yaml").read_text("utf-8")


def complaints(text: str) -> list[str]:
    tree, _ = compose(text, FILE)
    assert tree is not None
    return [error.message for error in Draft202012Validator(site_schema()).iter_errors(plain(tree))]


def test_it_is_a_schema_of_its_dialect() -> None:
    Draft202012Validator.check_schema(site_schema())


def test_right_files_are_valid() -> None:
    assert complaints(LARKFIELD) == []
    assert complaints(RIGHT) == []


@pytest.mark.parametrize(
    ("old", "new"),
    [
        ("supervise: yes", "supervise: maybe"),
        ("number: 14", "number: fourteen"),
        ("role: owner", "role: boss"),
        ("dated: 2026-11-30", "datd: 2026-11-30"),
        ("kind: wide-gap contact", "kind: [wide, gap]"),
        ("fitted: 2026-11-20", "used before: perhaps"),
        ("areas: {house: {}, shop: {}}", "areas: [house, shop]"),
        ("panel: tern\n", ""),
        ("never: side-gate causes siren", "sometimes: side-gate causes siren"),
        ("  - never: side-gate causes siren", "  - {never: side-gate causes siren, always: side-gate causes chime}"),
        ("    fitted: 2026-11-20\n", "    at: {room: hall, height: high}\n"),
    ],
)
def test_what_reading_refuses_for_its_form_the_schema_refuses_too(old: str, new: str) -> None:
    assert complaints(changed(old, new)) != []
    assert read_site_text(changed(old, new), FILE).record is None


def test_an_editors_numbers_and_texts_are_both_welcome() -> None:
    validator = Draft202012Validator(site_schema())
    zone = {"number": 14, "area": "house", "behaviour": "notice", "called": "gate", "supervise": "yes"}
    device = {"kind": "contact", "number": {"printed": "51 9048", "learnt": 904827}, "zone": zone}
    site = {"site": "x", "panel": "y", "areas": {"house": {"number": 1}}, "devices": {"gate": device}}
    assert list(validator.iter_errors(site)) == []
    assert (
        list(validator.iter_errors({**site, "devices": {"gate": {**device, "zone": {**zone, "number": "14"}}}})) == []
    )


def test_every_record_is_described() -> None:
    definitions = site_schema()["$defs"]
    assert isinstance(definitions, dict)
    assert all(definition.get("description") for definition in definitions.values())
