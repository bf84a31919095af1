"""What a shared door does while one of its areas is off: `check` finds what `play` and `prove` show."""

from __future__ import annotations

from pathlib import Path

import pytest

from zonewright.cli import main

SITE = """site: Quayside rooms
panel: marlow
station: {account: "6391", by: dc-09}
settings: {abort window: 15 s, entry time: 30 s, exit time: 60 s}
areas: {club: {}, flat: {}}
keypads: {hall: {area: club}, upstairs: {area: flat}}
sirens: {eaves: {outdoors: yes}}
devices:
  front:
    kind: contact
    number: {printed: 60 20 01}
    zone: {number: 1, area: FRONT, behaviour: entry-door, called: front door}
  stairs:
    kind: contact
    number: {printed: 60 20 17}
    zone: {number: 2, area: [club, flat], behaviour: entry-door, called: stair door}
  eye:
    kind: movement
    number: {printed: 61 30 55}
    zone: {number: 3, area: club, behaviour: on-route, called: lobby}
  window:
    kind: contact
    number: {printed: 60 41 12}
    zone: {number: 4, area: flat, behaviour: perimeter, called: flat window}
people:
  Orla: {role: owner, slot: 1}
  Fergus: {role: user, may: [club], slot: 2}
routes:
  down: {by: stairs, through: [THROUGH], to: hall, takes: 20 s}
must:
  - "STATEMENT"
"""
ALONE = "sounds the siren at once while club is armed away and flat is off, when the door is free"


def found(
    folder: Path, capsys: pytest.CaptureFixture[str], front: str = "club", must: str = "", through: str = "eye"
) -> str:
    kind, _, text = (must or "never: window causes chime").partition(": ")
    made = SITE.replace("FRONT", front).replace("THROUGH", through).replace('"STATEMENT"', f"{kind}: {text}")
    (folder / "site.yaml").write_text(made, encoding="utf-8")
    main(["check", str(folder / "site.yaml")])
    return " ".join(capsys.readouterr().out.split())


def test_a_way_in_by_a_shared_door_is_walked_also_while_its_other_area_is_off(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said = found(tmp_path, capsys)
    assert "BEH-03" in said
    assert ALONE in said
    script = "arm away club by Fergus; leave by front; +2 h stairs opens; +3 s eye trips; +17 s disarm club by Orla"
    assert main(["play", str(tmp_path / "site.yaml"), script]) == 0
    assert "siren sounds" in capsys.readouterr().out


@pytest.mark.parametrize(("through", "sounds"), [("front, eye", False), ("eye, front", True)])
def test_a_way_in_by_two_doors_is_walked_in_its_order(
    through: str, sounds: bool, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The club's own door starts its entry time before its sensor is passed, or too late."""
    said = found(tmp_path, capsys, through=through)
    assert ("BEH-03" in said) is sounds
    trips = "; ".join(f"+2 s {name} {'opens' if name == 'front' else 'trips'}" for name in through.split(", "))
    script = f"arm away club by Fergus; leave by front; +2 h stairs opens; {trips}; +13 s disarm club by Orla"
    assert main(["play", str(tmp_path / "site.yaml"), script]) == 0
    assert ("siren sounds" in capsys.readouterr().out) is sounds


def test_an_area_whose_only_doors_are_shared_has_no_way_in_while_the_other_is_off(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The flat has the stairs alone; the club has its front door until that is shared, too."""
    said = found(tmp_path, capsys)
    shared = "area flat Its door, zone 2 stair door, starts an entry time only while club is armed, too"
    assert f"{shared}; else whatever guards flat alone gives an alarm at once when it trips" in said
    assert "area club Its door" not in said
    assert "BEH-04" not in said
    said = found(tmp_path, capsys, front="[club, flat]")
    assert "area club Its door" in said
    assert "ront door starts an entry time only while other areas are armed, too" in said


@pytest.mark.parametrize(
    ("must", "told"),
    [
        ("always: stairs causes siren while club armed",
         "club stay and flat off, club night and flat off, club away and flat off"),
        ("always: stairs causes siren while armed", ""),
        ("never: stairs causes siren while flat off", ""),
        ("never: stairs causes siren while flat night", "zone 2 stair door opens, night:"),
        ("always: front causes siren while flat off", "zone 1 front door opens, off:"),
    ],
)  # fmt: skip
def test_a_statement_about_one_area_is_held_with_the_others_in_every_mode(
    must: str, told: str, tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    said = found(tmp_path, capsys, must=must)
    assert ("MUST-01" in said) is bool(told)
    assert told in said
    main(["prove", str(tmp_path / "site.yaml"), "--only", "must"])
    assert ("Fails:" in capsys.readouterr().out) is bool(told)
    main(["enter", str(tmp_path / "site.yaml")])
    assert ("MUST-01" in capsys.readouterr().out) is bool(told)
