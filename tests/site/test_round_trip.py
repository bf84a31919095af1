"""Any site, written as a file, is read back as the same site."""

from __future__ import annotations

from datetime import date
from typing import Literal

from hypothesis import given, settings
from hypothesis import strategies as st

from tests.site.marked import FILE, told
from zonewright.findings import Severity
from zonewright.site.model import (
    Acceptance,
    Area,
    Device,
    DeviceZone,
    InputZone,
    Installer,
    Keypad,
    Load,
    Loop,
    Must,
    Person,
    Power,
    Report,
    Role,
    Route,
    Site,
    Spot,
    Station,
    TransmitterNumber,
)
from zonewright.site.record import AreaName, DeviceName, ZoneNumber
from zonewright.site.sitefile import read_site_text
from zonewright.site.writing import site_text

LETTERS = st.characters(codec="utf-8", categories=["L", "N", "P", "S"])
NAMES = st.text(LETTERS, min_size=1, max_size=10)
TEXTS = st.lists(NAMES, max_size=3).map(" ".join)
DAYS = st.dates(date(1990, 1, 1), date(2099, 12, 31))
HEIGHTS = st.integers(0, 100_000).map(lambda tenths_of_mm: tenths_of_mm / 10_000)

SUMS = st.integers(0, 50_000).map(lambda thousandths: thousandths / 1_000)
LOADS = st.dictionaries(
    NAMES, st.builds(Load, standby=SUMS, alarm=st.none() | SUMS, count=st.integers(0, 9)), max_size=2
)


@st.composite
def sites(draw: st.DrawFn) -> Site:
    names = draw(st.lists(NAMES, min_size=8, max_size=8, unique=True))
    areas = tuple(AreaName(name) for name in names[:2])
    numbers = iter(draw(st.permutations([ZoneNumber(n) for n in range(1, 9)])))
    maybe_text = st.none() | TEXTS

    def some_areas() -> tuple[AreaName, ...]:
        return draw(st.sampled_from([(areas[0],), (areas[1],), areas]))

    def number() -> ZoneNumber | None:
        return draw(st.sampled_from([None, next(numbers)]))

    def spot() -> Spot | None:
        return draw(st.none() | st.builds(Spot, storey=maybe_text, room=TEXTS, height=st.none() | HEIGHTS))

    reports, flags = st.none() | st.sampled_from(Report), st.none() | st.booleans()
    delays: st.SearchStrategy[Literal["abort window", "none"] | None] = st.sampled_from([None, "abort window", "none"])

    def input_zone() -> InputZone:
        return InputZone(
            area=some_areas(), behaviour=draw(TEXTS), called=draw(TEXTS), place=draw(maybe_text),
            delay=draw(maybe_text), chime=draw(maybe_text), report=draw(reports), message_delay=draw(delays),
            supervise=draw(flags), number=number(),
        )  # fmt: skip

    single, double, looped = (DeviceName(name) for name in names[2:5])
    zone = DeviceZone(
        area=some_areas(), behaviour=draw(TEXTS), called=draw(TEXTS), number=number(), supervise=draw(flags),
        report=draw(reports),
    )  # fmt: skip
    learnt = draw(st.none() | st.integers(0, 999_999).map("{:06d}".format))
    devices = {
        single: Device(
            kind=draw(TEXTS), zone=zone, at=spot(), guards=draw(TEXTS),
            number=draw(st.none() | st.builds(TransmitterNumber, printed=TEXTS, learnt=st.just(learnt))),
            fitted=draw(st.none() | DAYS), used_before=draw(st.booleans()),
        ),
        double: Device(kind=draw(TEXTS), inputs={"reed": input_zone(), "wire": input_zone()}),
        looped: Device(kind=draw(TEXTS)),
    }  # fmt: skip
    loop = Loop(
        **input_zone().model_dump(), resistor=draw(st.sampled_from(["none", "single", "double", "triple"])),
        devices=(looped,),
    )  # fmt: skip
    slots = iter(draw(st.permutations(range(1, 10))))
    people = {
        name: Person(
            role=draw(st.sampled_from(Role)), may=some_areas(), slot=draw(st.sampled_from([None, next(slots)]))
        )
        for name in draw(st.lists(NAMES, max_size=3, unique=True))
    }
    keypad = names[5]
    acceptances = st.builds(Acceptance, rule=TEXTS, for_=st.just(single), by=TEXTS, on=DAYS, because=TEXTS)
    return Site(
        site=draw(TEXTS), revision=draw(st.integers(0, 999)), dated=draw(st.none() | DAYS), panel=draw(TEXTS),
        units=draw(st.sampled_from(["metres", "feet"])), plan=draw(maybe_text),
        installer=draw(st.none() | st.builds(Installer, name=TEXTS, telephone=TEXTS)),
        station=draw(st.none() | st.builds(Station, account=TEXTS, by=TEXTS, telephone=TEXTS)),
        power=draw(st.none() | st.builds(Power, standard=TEXTS, battery=SUMS, coldest=SUMS, loads=LOADS)),
        settings=draw(st.dictionaries(NAMES, TEXTS, max_size=3)),
        areas={name: Area(number=draw(st.sampled_from([None, i]))) for i, name in enumerate(areas, start=1)},
        keypads={keypad: Keypad(at=spot(), area=some_areas())},
        devices=devices, loops={names[6]: loop}, people=people,
        routes={names[7]: Route(by=single, through=(looped, double), to=keypad)},
        must=(
            Must(never=f"{single} causes siren while night"),
            Must(always=f"{double} reed causes {draw(st.sampled_from(['', 'fire ']))}message within 9 s"),
        ),
        accept=tuple(draw(st.lists(acceptances, max_size=2))),
    )  # fmt: skip


def ambiguous(site: Site) -> bool:
    """Return whether a label happens to be the name that a must statement or a route uses for something else."""
    zones = [z for d in site.devices.values() for z in (d.zone, *d.inputs.values()) if z is not None]
    single, double, _ = site.devices
    labels = [zone.called for zone in (*zones, *site.loops.values())]
    return any(label in (single, f"{double} reed") for label in labels)


@settings(max_examples=60)
@given(sites().filter(lambda site: not ambiguous(site)))
def test_a_written_site_reads_back_equal(site: Site) -> None:
    read = read_site_text(site_text(site), FILE)
    assert [
        line for line, f in zip(told(read.findings), read.findings, strict=True) if f.severity is Severity.PROBLEM
    ] == []
    assert read.record == site


@given(HEIGHTS, st.sampled_from(["metres", "feet"]))
def test_a_height_with_its_unit_means_the_same_whatever_the_file_counts_in(height: float, units: str) -> None:
    text = "site: x\npanel: y\nunits: {}\nkeypads: {{k: {{at: {{room: hall, height: {}}}}}}}\n"

    def read(written_height: str) -> float:
        at = read_site_text(text.format(units, written_height), FILE).usable().keypads["k"].at
        assert at is not None
        assert at.height is not None
        return at.height

    assert read(f"{height:.4f} m") == height
    assert abs(read(f"{height:.4f} ft") - 0.3048 * height) < 1e-9
    assert read(f"{height:.4f}") == read(f"{height:.4f} {'m' if units == 'metres' else 'ft'}")
