"""A site file begun from a panel: what was read resolves to what the panel holds; what wasn't stands as a remark."""

from __future__ import annotations

import random

import pytest

from zonewright.panel.legal import random_programme
from zonewright.panel.profile_file import shipped, shipped_names, shipped_profile
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value
from zonewright.panel.readback import Readback, programme_of
from zonewright.panel.resolve import Resolved, resolve
from zonewright.panel.skeleton import skeleton
from zonewright.site.sitefile import read_site_text

TERN = shipped("tern")


def site_of(name: str, held: Programme) -> Resolved:
    read = read_site_text(skeleton(shipped(name), held, name, "Mill: No. 3", "site.yaml"), "site.yaml")
    return resolve(read.usable(), read.places, shipped(name), shipped_profile(name).places)


@pytest.mark.parametrize("name", shipped_names())
def test_of_a_whole_readback_the_site_is_what_the_panel_holds(name: str) -> None:
    profile = shipped(name)
    for seed in range(40):
        rng = random.Random(seed)
        held = random_programme(profile, rng, rng.randint(0, 5), rng.randint(0, 2), 1)
        resolved = site_of(name, held)
        assert resolved.findings == ()
        assert resolved.programme == held


@pytest.mark.parametrize("name", shipped_names())
def test_what_is_not_known_is_never_a_value_and_all_else_stands(name: str) -> None:
    profile, missing = shipped(name), {"READ-MISSING", "READ-VALUE"}
    for seed in range(40):
        rng = random.Random(seed)
        held = random_programme(profile, rng, 3, 1)
        values = {item: value for item, value in held.values.items() if rng.random() < 0.7}
        known = programme_of(profile, Readback(name, values))
        text = skeleton(profile, known, name, "House", "site.yaml")
        assert UNKNOWN not in "".join(line.partition("#")[0] for line in text.splitlines())
        if any(value == UNKNOWN for value in known.values.values()):
            assert "not known" in text.partition("\nsite:")[2]
        read = read_site_text(text, "site.yaml")
        assert {finding.code for finding in read.findings} <= missing
        if read.record is None:
            continue
        resolved = resolve(read.record, read.places, profile, shipped_profile(name).places)
        if not resolved.findings:  # what was read is as it was read; the rest is what the file means by leaving it out
            for item, value in known.values.items():
                assert resolved.programme[item] == value or UNKNOWN in known.fields(*_thing(item)).values(), item


def _thing(item: str) -> tuple[str, int]:
    parts = item.split("/")
    return (parts[0], int(parts[1])) if len(parts) == 3 else ("zone", 0)


def test_two_inputs_of_one_device_are_one_device() -> None:
    held = random_programme(TERN, random.Random(1), 2)
    first, second = held.numbers("zone")
    both = {"kind": "contact with a second input", "number": "904827"}
    fields = [(first, {**both, "input": "reed"}), (second, {**both, "input": "wire"})]
    held = held.changed({Item(f"zone/{n}/{field}"): Value(v) for n, of in fields for field, v in of.items()})
    resolved = site_of("tern", held)
    assert resolved.findings == ()
    assert len(resolved.site.devices) == 1
    assert resolved.programme == held


def test_two_zones_of_one_label_are_two_devices() -> None:
    held = random_programme(TERN, random.Random(1), 2)
    same = {
        Item(f"zone/{n}/{field}"): Value(v)
        for n in held.numbers("zone")
        for field, v in (("place", "hall"), ("label", "front door"))
    }
    resolved = site_of("tern", held.changed(same))
    assert resolved.findings == ()
    assert set(resolved.site.devices) == {"hall-front-door", f"hall-front-door-{held.numbers('zone')[1]}"}
