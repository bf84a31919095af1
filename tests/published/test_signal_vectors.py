"""DC-05 messages and DC-03 payloads as others print them; each vector names its source in the data file beside this."""

from __future__ import annotations

import json
from pathlib import Path

import pytest

from zonewright.desk.results.messages import line_of
from zonewright.signals import dc03, dc05

VECTORS = json.loads((Path(__file__).parent / "signal_vectors.json").read_text("utf-8"))


@pytest.mark.parametrize("vector", VECTORS["dc05"], ids=[each["id"] for each in VECTORS["dc05"]])
def test_dc05(vector: dict[str, object]) -> None:
    digits = str(vector["digits"])
    read = dc05.decode(digits)
    told = line_of(digits).to_data()
    assert told["valid"] is vector["valid"]
    if vector["valid"]:
        assert isinstance(read, dc05.Dc05)
        assert read.digits == digits
        assert told["fields"] == vector["fields"]
    else:
        assert isinstance(read, dc05.BadLine)
        assert told["error"]


@pytest.mark.parametrize("vector", VECTORS["dc03"], ids=[each["id"] for each in VECTORS["dc03"]])
def test_dc03(vector: dict[str, str]) -> None:
    read = dc03.decode(vector["data"])
    assert isinstance(read, dc03.Dc03)
    assert read.events
