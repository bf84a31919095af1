"""Proofs held to SPIN, a model checker that knows nothing of this project: the same controls, the same verdicts.

Needs the Debian packages spin and gcc. Without them these tests are skipped and say so; under CI they fail.
"""

from __future__ import annotations

import os
from collections.abc import Iterable
from dataclasses import dataclass, field, replace
from pathlib import Path

import pytest

from tests.behaviour.house import with_settings
from tests.proof.promela import Table, model
from tests.proof.spin import Found, missing, verifier, verify
from tests.proof.ticks import Plain, exactly
from zonewright.behaviour.faults import Right, SettingFault
from zonewright.behaviour.setup import Setup, setup_of
from zonewright.behaviour.state import Control
from zonewright.panel.behaviours import SHIPPED
from zonewright.panel.opening import open_site
from zonewright.panel.resolve import Resolved
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Promise, Window
from zonewright.proof.prove import prove
from zonewright.proof.prover.refine import VerdictKind

DOOR = "contact", "entry-door", "front door", "delay: entry time"
HALL = "movement", "on-route", "movement", ""
LOUNGE = "movement", "interior", "movement", ""
WINDOW = "contact", "perimeter", "window", ""
GATE = "contact", "notice", "side gate", "chime: two notes"
SMOKE = "smoke", "fire", "landing", ""
SKYLIGHT = "contact", "perimeter", "skylight", "message delay: none"
STAIRS = "movement", "interior", "stairs", "confirmed by: landing-eye, message delay: none"
LANDING = "movement", "interior", "landing", "message delay: none"
FLATS = "upper", "lower"
PRINTED = {"tern": "51 1000{} A", "quill": "410 55{}", "marlow": "60 41 {}"}
TERN_ASKS = "supervise: no, report: "


@dataclass(frozen=True)
class Programming:
    """A small site, the times that its panel has in seconds, and what is broken in it."""

    name: str
    devices: dict[str, tuple[str, str, str, str]]  # kind, behaviour, label, more answers
    wanted: tuple[str, ...] = ()
    route: str = ""  # the device that a walk in by the front door passes
    panel: str = "tern"
    areas: tuple[str, ...] = ("house",)  # every device is in all of them,
    apart: bool = False  # or each in one of its own
    entry_s: int = 3
    set_to: dict[str, object] = field(default_factory=dict)  # settings other than `PLAIN` and `SHORT`
    behaves: dict[str, str] = field(default_factory=dict)  # label -> a behaviour that the panel doesn't offer
    broken: frozenset[str] = frozenset()  # promises that fail, by name

    @property
    def text(self) -> str:
        """Return its site file."""
        lines = [
            f"site: {self.name}",
            f"panel: {self.panel}",
            'station: {account: "4021"}',
            "settings: {exit time: 60 s, entry time: 30 s, abort window: 30 s}",
            f"areas: {{{', '.join(f'{area}: {{}}' for area in self.areas)}}}",
            f"keypads: {{hall-keypad: {{at: {{room: hall}}, area: {_listed(self.areas)}}}}}",
            "people: {Ida: {role: owner}}",
            "devices:",
        ]
        for number, (name, (kind, behaviour, label, more)) in enumerate(self.devices.items(), 1):
            areas = self.areas[number - 1 : number] if self.apart else self.areas
            asks = [f"number: {number}, area: {_listed(areas)}, behaviour: {behaviour}, called: {label}"]
            if self.panel == "tern":
                asks.append(TERN_ASKS + ("troubles" if behaviour == "notice" else "everything"))
            printed = PRINTED[self.panel].format(16 + 7 * number)
            lines += [
                f"  {name}:",
                f"    kind: {kind}",
                f"    number: {{printed: {printed}}}",
                "    fitted: 2026-11-25",
                "    at: {room: hall}",
                f"    zone: {{{', '.join(filter(None, (*asks, more)))}}}",
            ]
        if self.route:
            way = f"by: front-door, through: [{self.route}], to: hall-keypad, takes: {self.entry_s - 1} s"
            lines += ["routes:", f"  home: {{{way}}}"]
        lines += ["must:", *(f"  - {each}" for each in self.wanted)] if self.wanted else []
        return "\n".join(lines) + "\n"


def _listed(names: Iterable[str]) -> str:
    return f"[{', '.join(names)}]"


# Alarms aren't counted: a zone that used up its own waits for two days. The rest keeps the number of controls small.
PLAIN = {"swinger_limit": 0, "supervision_window": 0, "exit_error": False, "unvacated_stay": False}
# No panel here takes times as short as these; they are put in after the site is resolved.
SHORT = {"exit_time": 2, "abort_window": 2, "siren_time": 3, "cancel_window": 0}


PROGRAMMINGS = (
    Programming(
        "walk in by the front door",
        {"front-door": DOOR, "hall-movement": HALL},
        ("never: front-door causes siren while off", "always: front-door causes siren while away within 3 s"),
        route="hall-movement",
    ),
    Programming(
        "window and side gate, with a cancel window",
        {"kitchen-window": WINDOW, "side-gate": GATE},
        ("never: side-gate causes siren", "never: side-gate causes alarm message", "always: side-gate causes chime"),
        set_to={"cancel_window": 4},
    ),
    Programming(
        "smoke, in odd seconds",
        {"front-door": DOOR, "hall-smoke": SMOKE},
        ("always: hall-smoke causes fire message",),
        panel="quill",
        entry_s=5,
        set_to={"exit_time": 3, "siren_time": 7},
    ),
    Programming(
        "left in a hurry, the alarm of an entry held",
        {"front-door": DOOR, "side-gate": GATE},
        set_to={"exit_error": True, "cancel_window": 3, "entry_hold": 4},
    ),
    Programming(
        "a last door to close",
        {"front-door": DOOR},
        set_to={"completing_act": True},
        behaves={"hall front door": "final-door"},
    ),
    Programming(
        "no siren outside while off",
        {"kitchen-window": WINDOW},
        set_to={"inside_when_off": True},
        behaves={"hall window": "24-hour-audible"},
    ),
    Programming(
        "a cover that is off stops setting",
        {"front-door": DOOR},
        set_to={"at_setting": frozenset({(SettingFault.TAMPER, Right.NOBODY)})},
    ),
    Programming(
        "the movement in the hall does not follow",
        {"front-door": DOOR, "hall-movement": LOUNGE},
        route="hall-movement",
        broken=frozenset({"route-home-in-time-zone-1-zone-2"}),
    ),
    Programming(
        "the side gate is a window",
        {"kitchen-window": WINDOW, "side-gate": ("contact", "perimeter", "side gate", "chime: two notes")},
        ("never: side-gate causes siren", "always: kitchen-window causes siren while away"),
        broken=frozenset({"must-never-side-gate-causes-siren-zone-2"}),
    ),
    Programming(
        "the entry time is longer than the owner wants",
        {"front-door": DOOR, "side-gate": GATE},
        ("always: front-door causes siren while away within 3 s",),
        entry_s=4,
        broken=frozenset({"must-always-front-door-causes-siren-while-away-within-3-s-zone-1"}),
    ),
    Programming(
        "a door of two flats",
        {"front-door": DOOR},
        ("never: front-door causes siren while lower off",),
        panel="marlow",
        areas=FLATS,
        set_to={"cancel_window": 4},
    ),
    Programming(
        "a skylight of two flats",
        {"skylight": SKYLIGHT},
        (
            "never: skylight causes siren while lower off",
            "always: skylight causes siren while armed",
            "always: skylight causes siren while lower away",
        ),
        panel="marlow",
        areas=FLATS,
        set_to={"cancel_window": 4},
        broken=frozenset({"must-always-skylight-causes-siren-while-lower-away-zone-1"}),
    ),
    Programming(
        "two movements that confirm each other",
        {"stairs-eye": STAIRS, "landing-eye": LANDING},
        ("never: stairs-eye causes siren while off",),
        panel="marlow",
        set_to={"cross_window": 3},
    ),
    Programming(
        "two movements of two flats that confirm each other, without a siren",
        {"stairs-eye": STAIRS, "landing-eye": LANDING},
        ("never: stairs-eye causes alarm message while upper off",),
        panel="marlow",
        areas=FLATS,
        apart=True,
        set_to={"cross_window": 3, "siren_time": 0},
    ),
)


@pytest.fixture(autouse=True)
def _needed() -> None:
    packages = missing()
    if packages and os.environ.get("CI"):
        pytest.fail(f"CI must install what the proofs are held to: {' '.join(packages)}")
    if packages:
        pytest.skip(f"NOT CHECKED BY SPIN: apt-get install {' '.join(packages)}")


def opened(programming: Programming, folder: Path) -> tuple[Resolved, Setup]:
    """Return the site and its panel."""
    site = folder / "site.yaml"
    site.write_text(programming.text, encoding="utf-8")
    resolved = open_site(site)
    return resolved, with_settings(setup_of(resolved.programme, resolved.profile), **PLAIN)


def hurried(setup: Setup, programming: Programming) -> Setup:
    """Return the panel with times of a few seconds."""
    zones = tuple(
        replace(
            zone,
            entry_s=programming.entry_s if zone.entry_s else 0,
            behaviour=SHIPPED[programming.behaves[zone.label]] if zone.label in programming.behaves else zone.behaviour,
        )
        for zone in setup.zones
    )
    return with_settings(replace(setup, zones=zones), **{**SHORT, **programming.set_to})


def can_be_counted(promise: Promise) -> bool:
    """Return whether it is about what happens here: no sum, and nobody bypasses anything in a plain panel."""
    return promise.outright is None and promise.aspect != "no bypass"


def reached(whole: Plain, table: Table) -> set[Control]:
    """Return the controls that our sets of times come to."""
    return {*exactly(whole, table.timers).reached.values(), whole.first()}


def said_by(found: Found, promise: Promise) -> VerdictKind:
    """Return the verdict that a run of the verifier comes to."""
    assert not found.stopped
    if found.broken or promise.wants:
        return VerdictKind.HOLDS if found.broken is promise.wants else VerdictKind.FAILS
    return VerdictKind.HOLDS if found.came else VerdictKind.EMPTY


@pytest.mark.deep
@pytest.mark.parametrize("programming", PROGRAMMINGS, ids=lambda each: each.name)
def test_spin_comes_to_the_same_controls_and_the_same_verdicts(programming: Programming, tmp_path: Path) -> None:
    resolved, setup = opened(programming, tmp_path)
    setup = hurried(setup, programming)
    asked = [each for each in asked_of(resolved, setup, Window()) if can_be_counted(each)]
    whole = Plain(setup, frozenset(setup.areas), None)
    table = Table(whole)
    pan = verifier(model(table, asked, programming.name), tmp_path / "spin", "-DBFS")
    alone = verify(pan)
    assert not alone.stopped
    assert {table.controls[number] for number in alone.controls} == reached(whole, table)
    ours = {verdict.promise.name: verdict.settled.result for verdict in prove(setup, asked)}
    theirs = {promise.name: said_by(verify(pan, number), promise) for number, promise in enumerate(asked)}
    assert ours == theirs
    assert {name for name, result in ours.items() if result is VerdictKind.FAILS} == programming.broken


@pytest.mark.deep
def test_a_tick_of_ten_seconds_is_enough_for_times_that_are_whole_multiples(tmp_path: Path) -> None:
    """The times of the site file as they are: the same controls, and the same of all that needs no times."""
    programming = PROGRAMMINGS[3]
    resolved, setup = opened(programming, tmp_path)
    asked = [each for each in asked_of(resolved, setup, Window()) if not each.timed and can_be_counted(each)]
    whole = Plain(setup, frozenset(setup.areas), None)
    table = Table(whole)
    made = model(table, asked, programming.name)
    assert made.tick == 10
    pan = verifier(made, tmp_path / "spin", "-DBFS")
    alone = verify(pan)
    assert not alone.stopped
    assert {table.controls[number] for number in alone.controls} == reached(whole, table)
    ours = {verdict.promise.name: verdict.settled.result for verdict in prove(setup, asked)}
    assert ours == {promise.name: said_by(verify(pan, number), promise) for number, promise in enumerate(asked)}
