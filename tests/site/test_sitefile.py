# ruff: noqa: E501 - a table reads best with one mistake a line
"""Every kind of mistake in a site file is told once, at its place, with the word that was meant."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path

import pytest

from tests.site.marked import FILE, RIGHT, changed, told, without_mark
from zonewright.findings import BadInput, Place, Severity
from zonewright.site.files import Folder
from zonewright.site.record import Record
from zonewright.site.sitefile import read_site, read_site_text

LARKFIELD = Path(__file__).with_name("larkfield.yaml")


def records(value: object) -> Iterator[Record]:
    if isinstance(value, Record):
        yield value
        for name in type(value).model_fields:
            yield from records(getattr(value, name))
    elif isinstance(value, dict):
        for one in value.values():
            yield from records(one)
    elif isinstance(value, tuple):
        for one in value:
            yield from records(one)


def fields_of(kind: type[Record]) -> set[tuple[str, str]]:
    """Return a record's fields, each with the record in which it was first written down."""
    owners = [k for k in reversed(kind.__mro__) if issubclass(k, Record)]
    return {(next(k for k in owners if name in k.model_fields).__name__, name) for name in kind.model_fields}


def test_right_files_give_a_record_and_no_finding() -> None:
    for read in (read_site(Folder(LARKFIELD.parent), LARKFIELD.name), read_site_text(RIGHT, FILE)):
        assert told(read.findings) == []
        assert read.record is not None
        assert read.usable() is read.record


def test_a_field_of_older_files_is_told_with_what_to_write_instead() -> None:
    (found,) = read_site_text(changed("fitted: 2026-11-20", "history: already owned"), FILE).findings
    assert found.fix.startswith("write fitted: 2026-11-20")
    assert "used before: yes" in found.fix


def test_the_example_file_uses_every_field_there_is() -> None:
    site = read_site(Folder(LARKFIELD.parent), LARKFIELD.name).usable()
    there_are = {field for r in records(site) for field in fields_of(type(r))}
    used = {field for r in records(site) for field in fields_of(type(r)) if field[1] in r.model_fields_set}
    assert there_are - used == set()


# (what stands in the right file, what stands there instead with its place marked, code, thing, says, nearest)
MISTAKES = [
    # fields
    ("    kind: contact\n", "    §knid: contact\n", "READ-FIELD", "device front-door", '"knid" isn\'t a field here', "kind"),
    ("dated: 2026", "§datd: 2026", "READ-FIELD", "site file", '"datd" isn\'t a field here', "dated"),
    ("supervise: yes", "§super vise: yes", "READ-FIELD", "device side-gate: zone", '"super vise" isn\'t a field here', "supervise"),
    ("  side-gate:\n    kind: wide-gap contact\n", "  §side-gate:\n", "READ-MISSING", "device side-gate", "kind is missing", None),
    ("{house: {}, shop: {}}", "{house: {}, shop: {§numbr: 2}}", "READ-FIELD", "area shop", '"numbr" isn\'t a field here', "number"),
    ("slot: 1", "§code: 4711", "READ-FIELD", "person Ida", "codes and pass phrases are never written in a site file", None),
    ("slot: 1", "§PIN: 4711", "READ-FIELD", "person Ida", "codes and pass phrases are never written in a site file", None),
    # types
    ("kind: wide-gap contact", "kind: §[wide, gap]", "READ-VALUE", "device side-gate: kind", "one text belongs here, not a list", None),
    ("called: side gate", "called: §{side: gate}", "READ-VALUE", "device side-gate: zone: called", "one text belongs here, not a map", None),
    ("areas: {house: {}, shop: {}}", "areas: §[house, shop]", "READ-VALUE", "areas", "names with their fields belong here, not a list", None),
    ("{house: {}, shop: {}}", "{house: {}, shop: §second}", "READ-VALUE", "area shop", "fields belong here, not a text", None),
    ("may: [house, shop]", "may: §house", "READ-VALUE", "person Ida", "a list belongs here, not a text", None),
    ("number: {printed: 51 9031 44 B, learnt: 903144}", "number: §903144", "READ-VALUE", "device front-door: number", "fields belong here", None),
    ("{printed: 51 9031 44 B, learnt: 903144}", "{§printed: , learnt: 903144}", "READ-VALUE", "device front-door: number", 'nothing is written after "printed"', None),
    # values
    ("role: owner", "role: §ownr", "READ-VALUE", "person Ida", 'role "ownr" isn\'t one of the words for it', "owner"),
    ("supervise: yes", "supervise: §true", "READ-VALUE", "device side-gate: zone", 'supervise "true": write yes or no', None),
    ("supervise: yes", "report: §trouble", "READ-VALUE", "device side-gate: zone", 'report "trouble" isn\'t one of the words', "troubles"),
    ("number: 14", "number: §fourteen", "READ-VALUE", "device side-gate: zone", 'number "fourteen": write a whole number', None),
    ("number: 14", "number: §14.0", "READ-VALUE", "device side-gate: zone", 'number "14.0": write a whole number', None),
    ("number: 14", "number: §-14", "READ-VALUE", "device side-gate: zone", 'number "-14": write a whole number', None),
    ("dated: 2026-11-30", "dated: §30.11.2026", "READ-VALUE", "site file", 'dated "30.11.2026": write a day as year-month-day', None),
    ("dated: 2026-11-30", "dated: §20261130", "READ-VALUE", "site file", "write a day as year-month-day", None),
    ("dated: 2026-11-30", "dated: §2026-11-31", "READ-VALUE", "site file", "there is no such day", None),
    ("fitted: 2026-11-20", "fitted: §last week", "READ-VALUE", "device side-gate", "write a day as year-month-day", None),
    ("fitted: 2026-11-20", "fitted: 2026-11-20\n    used before: §perhaps", "READ-VALUE", "device side-gate", "write yes or no", None),
    ("fitted: 2026-11-20", "§history: new, fitted 2026-11-20", "READ-FIELD", "device side-gate", '"history" isn\'t a field any more', None),
    ("    fitted: 2026-11-20\n", "    at: {room: hall, height: §2 yards}\n", "READ-VALUE", "device side-gate: at", "write a length", None),
    ("    fitted: 2026-11-20\n", "    at: {room: hall, height: §-2 m}\n", "READ-VALUE", "device side-gate: at", "can't be negative", None),
    ("  - never: side-gate causes siren\n", "  - §{}\n", "READ-VALUE", "must statement 1", "write either never: ... or always: ...", None),
    # the whole file
    ("area: house, behaviour: notice", "area: §hose, behaviour: notice", "SITE-AREA", "zone side gate", 'no area is called "hose"', "house"),
    ("area: house, behaviour: notice", "area: [shop, §hose], behaviour: notice", "SITE-AREA", "zone side gate", 'no area is called "hose"', "house"),
    ("area: house, behaviour: notice", "area: §[], behaviour: notice", "SITE-AREA", "zone side gate", "it is in no area", None),
    ("may: [house, shop]", "may: [house, §shopp]", "SITE-AREA", "person Ida", 'no area is called "shopp"', "shop"),
    ("may: [house, shop]", "may: §[]", "SITE-AREA", "person Ida", "no area is named", None),
    ("{area: house}", "{area: §[]}", "SITE-AREA", "keypad hall-keypad", "no area is named", None),
    ("{area: house}", "{area: §garden}", "SITE-AREA", "keypad hall-keypad", 'no area is called "garden"', None),
    ("number: 14", "number: §1", "SITE-NUMBER", "zone side gate", "zone number 1 is given twice; zone front door has it in line 10, column 20", None),
    ("number: 14", "number: §0", "SITE-NUMBER", "zone side gate", "zone numbers count from 1", None),
    ("{house: {}, shop: {}}", "{house: {number: 1}, shop: {number: §1}}", "SITE-NUMBER", "area shop", "area number 1 is given twice", None),
    ("slot: 1}}", "slot: 1}, Bo: {role: user, slot: §1}}", "SITE-NUMBER", "person Bo", "slot 1 is given twice; person Ida has it", None),
    ("slot: 1}}", "slot: §0}}", "SITE-NUMBER", "person Ida", "slots count from 1", None),
    ("learnt: 903144", "learnt: §90E144", "SITE-DEVICE", "device front-door: number", "digits only", None),
    ("    fitted: 2026-11-20\n", "    number: {printed: x, learnt: §903 144}\n", "SITE-DEVICE", "device side-gate: number", "device front-door has the same number in line 9, column 45", None),
    ("{by: front door, to", "{by: §front dor, to", "SITE-ROUTE", "route home", 'no device or zone is called "front dor"', "front-door"),
    ("{by: front door, to", "{by: front door, through: [side-gate, §sid-gate], to", "SITE-ROUTE", "route home", "no device or zone", "side-gate"),
    ("to: hall-keypad", "to: §hallkeypad", "SITE-ROUTE", "route home", "no keypad is called", "hall-keypad"),
    ("for: side-gate", "for: §sidegate", "SITE-ACCEPT", "acceptance of SUP-03", "no thing is called", "side-gate"),
    ("never: side-gate causes", "never: §sidegate causes", "SITE-MUST", "must statement", 'nothing here is called "sidegate"', "side-gate"),
    ("side-gate causes siren", "side-gate causes §sirn", "SITE-MUST", "must statement", '"sirn" is no effect', "siren"),
    ("never: side-gate causes siren", 'never: "side-gate causes §sirn"', "SITE-MUST", "must statement", '"sirn" is no effect', "siren"),
    ("side-gate causes siren", "side-gate causes siren while §awya", "SITE-MUST", "must statement", '"awya" is no mode', "away"),
    ("never: side-gate causes siren", "always: side-gate causes siren within §60", "SITE-MUST", "must statement", "write a time with its unit", None),
    ("side-gate causes siren", "side-gate causes siren within §60 s", "SITE-MUST", "must statement", "within belongs to always", None),
    ("side-gate causes siren", "§side-gate rings the siren", "SITE-MUST", "must statement", "write CAUSE causes EFFECT", None),
    ("never: side-gate causes siren", "never: side-gate causes siren\n  - always: §side gate causes siren while away", "SITE-MUST", "must statement", '"always: side-gate causes siren while away" and "never: side-gate causes siren" exclude each other; the second is in line 18, column 12', None),
    ("people: {Ida:", "people: {§" + "I" * 61 + ":", "SITE-NAME", "person IIII", "a name of 61 letters", None),
    ("people: {Ida:", 'people: {§"Ida\\nK": {role: user}, Ida:', "SITE-NAME", "person Ida?K", "a name has letters", None),
    ("people: {Ida:", 'people: {§"Ida  K": {role: user}, Ida:', "SITE-NAME", "person Ida K", "single blanks", None),
    # the form of the file
    ("panel: tern\n", "panel: tern\n§panel: marlow\n", "READ-TWICE", "text", '"panel" is written twice here; the first is in line 2, column 1', None),
    ("slot: 1}}", "slot: 1}, §Ida: {role: user}}", "READ-TWICE", "text", '"Ida" is written twice here', None),
    ("panel: tern\n", "panel: §&x tern\n", "READ-FORM", "text", "&x marks this part", None),
    ("panel: tern\n", "panel: §*x\n", "READ-FORM", "text", "*x points at another part", None),
    ("panel: tern\n", "panel: §!x tern\n", "READ-FORM", "text", "a tag (!) is in front", None),
    ("panel: tern\n", "panel: tern\n§<<: {a: b}\n", "READ-FORM", "text", "<< would merge", None),
    ("panel: tern\n", "panel: tern\n? §[a, b]\n: c\n", "READ-FORM", "text", "can't be a key", None),
]  # fmt: skip


@pytest.mark.parametrize(("old", "new", "code", "thing", "says", "near"), MISTAKES)
def test_each_mistake_is_told_once_at_its_place(
    old: str, new: str, code: str, thing: str, says: str, near: str | None
) -> None:
    text, place = without_mark(changed(old, new))
    read = read_site_text(text, FILE)
    assert len(read.findings) == 1, told(read.findings)
    (found,) = read.findings
    assert (found.code, found.place) == (code, place), told(read.findings)
    assert found.thing.startswith(thing)
    assert says in found.says
    assert found.nearest == near
    assert found.severity is Severity.PROBLEM
    assert read.record is None
    with pytest.raises(BadInput):
        read.usable()


def test_a_device_needs_a_zone_inputs_or_a_loop_and_not_two_of_them() -> None:
    zone = "    zone: {number: 14, area: house, behaviour: notice, called: side gate, supervise: yes}\n"
    neither = read_site_text(changed(zone, "").replace("side-gate causes", "front door causes"), FILE)
    assert told(neither.findings) == [f"{FILE}:11:3 SITE-DEVICE device side-gate: it has no zone"]
    both = read_site_text(
        changed(zone, zone + "    inputs: {wire: {zone: 15, area: shop, behaviour: perimeter, called: lane window}}\n"),
        FILE,
    )
    assert told(both.findings) == [f"{FILE}:15:5 SITE-DEVICE device side-gate: it has both a zone and inputs"]
    looped = "loops: {lane: {zone: 3, area: shop, behaviour: perimeter, called: lane, devices: [side-gate]}}\n"
    on_a_loop = read_site_text(changed(zone, "") + looped, FILE)
    assert told(on_a_loop.findings) == []


def test_a_loop_names_only_devices_that_exist_and_shares_no_name_with_one() -> None:
    loops = (
        "loops:\n  lane: {zone: 3, area: shop, behaviour: perimeter, called: lane, devices: [sid-gate]}\n"
        "  side-gate: {zone: 4, area: shop, behaviour: perimeter, called: gate}\n"
    )
    read = read_site_text(RIGHT.replace("never: side-gate", "never: front door") + loops, FILE)
    assert told(read.findings) == [
        f'{FILE}:22:77 SITE-DEVICE loop lane: no device is called "sid-gate"',
        f"{FILE}:23:3 SITE-NAME loop side-gate: a device has the same name",
    ]
    assert read.findings[0].nearest == "side-gate"


def test_a_device_is_named_on_one_loop_and_once() -> None:
    loops = (
        "  one: {zone: 3, area: shop, behaviour: perimeter, called: lane, devices: [side-gate]}\n"
        "  two: {zone: 4, area: shop, behaviour: perimeter, called: yard, devices: [side-gate]}\n"
    )
    zone = "    zone: {number: 14, area: house, behaviour: notice, called: side gate, supervise: yes}\n"
    plain = changed(zone, "").replace("never: side-gate", "never: front door")
    (twice,) = read_site_text(plain + "loops:\n" + loops, FILE).findings
    assert (twice.code, twice.thing, twice.says) == (
        "SITE-DEVICE", "loop two", "side-gate is already on the loop one",
    )  # fmt: skip
    (again,) = read_site_text(
        plain + "loops:\n" + loops.split("\n", maxsplit=1)[0].replace("-gate]", "-gate, side-gate]"), FILE
    ).findings
    assert again.says == "side-gate is already named before"


def test_a_label_of_two_zones_is_no_cause() -> None:
    text = changed("called: front door}", "called: side gate}").replace("by: front door", "by: front-door")
    text, place = without_mark(text.replace("never: side-gate", "never: §side gate"))
    (found,) = read_site_text(text, FILE).findings
    assert (found.place, found.says) == (place, '"side gate" may mean front-door or side-gate')


def test_a_fitting_after_the_files_day_is_advice_and_leaves_the_site_usable() -> None:
    read = read_site_text(changed("fitted: 2026-11-20", "fitted: 2026-12-01"), FILE)
    (found,) = read.findings
    assert found.severity is Severity.ADVICE
    assert found.place == Place(FILE, 13, 13)
    assert read.record is not None


def test_two_inputs_of_one_transmitter_may_be_two_devices_but_not_the_same_input() -> None:
    inputs = "    inputs: {{{}: {{zone: {}, area: shop, behaviour: perimeter, called: pane {}}}}}\n"
    one = "  pane-{0}:\n    kind: contact\n    number: {{printed: x, learnt: 777 000}}\n"

    def site(first: str, second: str) -> str:
        devices = one.format(1) + inputs.format(first, 20, 1) + one.format(2) + inputs.format(second, 21, 2)
        return RIGHT.replace("people:", devices + "people:")

    assert told(read_site_text(site("reed", "wire"), FILE).findings) == []
    (found,) = read_site_text(site("wire", "wire"), FILE).findings
    assert found.says == "device pane-1 has the same number with input wire in line 17, column 34"
    assert found.place == Place(FILE, 21, 34)


def test_all_mistakes_of_all_kinds_are_told_in_one_reading() -> None:
    text = (
        RIGHT.replace("role: owner", "role: ownr")
        .replace("panel: tern", "panle: tern")
        .replace("number: 14", "number: x")
        .replace("may: [house, shop]", "may: [huose]")
        .replace("front-door:\n", "front-door:\n    gards: a\tdoor\n")
        .replace("causes siren", "causes sirn")
        .replace("to: hall-keypad", "to: hal-keypad")
        .replace("{by: front door", "{by: side gate")
    )
    read = read_site_text(text, FILE)
    assert told(read.findings) == [
        f'{FILE}:2:1 READ-FIELD site file: "panle" isn\'t a field here',
        f'{FILE}:8:5 READ-FIELD device front-door: "gards" isn\'t a field here',
        f"{FILE}:8:13 READ-HIDDEN text: a tab is here",
        f'{FILE}:15:20 READ-VALUE device side-gate: zone: number "x": write a whole number, digits only, or next free',
        f'{FILE}:16:22 READ-VALUE person Ida: role "ownr" isn\'t one of the words for it',
        f'{FILE}:17:36 SITE-ROUTE route home: no keypad is called "hal-keypad"',
        f'{FILE}:19:29 SITE-MUST must statement: "sirn" is no effect',
    ]  # the area of Ida waits until her role is mended: she could not be read; the gate's label may still be right


def test_what_hangs_on_a_left_out_part_is_no_second_mistake() -> None:
    read = read_site_text(changed("    kind: wide-gap contact\n", "    kind: [wide, gap]\n"), FILE)
    assert len(read.findings) == 1, told(read.findings)


def test_no_finding_repeats_what_may_be_a_code() -> None:
    for wrong in (
        "{Ida: 4711}",
        "{Ida: {role: 4711}}",
        "{Ida: {role: user, code: 4711}}",
        "{Ida: {role: user, slot: 4711x}}",
    ):
        text = "\n".join(f"people: {wrong}" if line.startswith("people") else line for line in RIGHT.split("\n"))
        read = read_site_text(text, FILE)
        assert len(read.findings) == 1
        assert "4711" not in repr(read.findings)


def test_bare_lengths_count_in_the_files_units() -> None:
    high = changed("    fitted: 2026-11-20\n", "    at: {room: porch, height: 10}\n")
    for units, metres in (("metres", 10.0), ("feet", 3.048)):
        at = read_site_text(f"units: {units}\n{high}", FILE).usable().devices["side-gate"].at  # type: ignore[index]
        assert at is not None
        assert at.height == pytest.approx(metres, abs=1e-12)


def test_a_places_map_answers_with_the_nearest_part_that_is_site_text() -> None:
    places = read_site_text(RIGHT, FILE).places
    assert places["devices", "side-gate", "zone", "number"] == Place(FILE, 14, 20)
    assert places["devices", "side-gate", "zone", "chime"] == Place(FILE, 14, 5)
    assert places["devices", "side-gate"] == places["devices", "side-gate", "at", "room"] == Place(FILE, 11, 3)
    assert places["routes", "home", "by", 0] == Place(FILE, 16, 21)
    assert places["loops", "none"] == Place(FILE, 1, 1)
    assert places.key(("devices", "side-gate", "zone", "number")) == Place(FILE, 14, 12)


def test_a_file_that_cannot_be_read_says_why(tmp_path: Path) -> None:
    (tmp_path / "larkfield.yaml").write_text(RIGHT)
    read = read_site(Folder(tmp_path), "larkfeild.yaml")
    assert read.record is None
    assert [(f.says, f.nearest) for f in read.findings] == [("there is no such file", "larkfield.yaml")]


def test_a_mistyped_field_hides_no_other_mistake_beside_it() -> None:
    text = changed("area: house, behaviour: notice", "area: hose, behavior: notice")
    assert told(read_site_text(text, FILE).findings) == [
        f'{FILE}:14:30 SITE-AREA zone side gate: no area is called "hose"',
        f'{FILE}:14:36 READ-FIELD device side-gate: zone: "behavior" isn\'t a field here',
    ]
    empty = read_site_text(RIGHT.replace("{house: {}, shop: {}}", "\n  house:\n  shop: {}"), FILE)
    assert told(empty.findings) == [f'{FILE}:5:3 READ-VALUE areas: nothing is written after "house"']
    headless = read_site_text(changed("panel: tern\n", "").replace("may: [house", "may: [hose"), FILE)
    assert told(headless.findings) == [
        f"{FILE}:1:1 READ-MISSING site file: panel is missing",
        f'{FILE}:14:35 SITE-AREA person Ida: no area is called "hose"',
    ]
