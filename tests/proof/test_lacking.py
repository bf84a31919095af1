"""What isn't promised: not on this panel only where no setting could give it, else which setting is how, and where."""

from __future__ import annotations

from pathlib import Path

import pytest

from tests.proof.test_premises import setup_at, shed
from zonewright.panel.opening import open_site
from zonewright.panel.resolve import Resolved
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Window
from zonewright.proof.prove import prove
from zonewright.proof.prover.refine import VerdictKind

FILES = Path(__file__).resolve().parents[2] / "src/zonewright/cli/demo_files"


def not_promised(site: Resolved) -> dict[str, tuple[VerdictKind, str]]:
    setup = setup_at(site)
    asked = [each for each in asked_of(site, setup, Window()) if each.outright is not None]
    found = {each.promise.aspect: (each.settled.result, each.settled.why) for each in prove(setup, asked)}
    return {aspect: each for aspect, each in found.items() if each[0] in (VerdictKind.ABSENT, VerdictKind.OFF)}


@pytest.mark.parametrize(
    ("setting", "value", "aspect"),
    [("abort window", "0 s", "called off"), ("unvacated stay", "no", "unvacated")],
)
def test_what_is_switched_off_is_told_with_its_setting_and_line(
    setting: str, value: str, aspect: str, tmp_path: Path
) -> None:
    shed(tmp_path)
    file = tmp_path / "shed.yaml"
    text = file.read_text(encoding="utf-8").replace("exit time: 60 s", f"exit time: 60 s, {setting}: {value}")
    file.write_text(text, encoding="utf-8")
    result, why = not_promised(open_site(file))[aspect]
    assert result is VerdictKind.OFF
    line = next(n for n, each in enumerate(text.splitlines(), 1) if setting in each)
    assert why.endswith(f"setting {setting}: {value}, shed.yaml:{line}")


def test_what_was_never_set_is_told_as_shipped(tmp_path: Path) -> None:
    result, why = not_promised(shed(tmp_path))["completing act"]
    assert result is VerdictKind.OFF
    assert why.endswith("setting completing act: no, as shipped")


def test_who_has_no_station_and_no_duress_code_is_told_so(tmp_path: Path) -> None:
    shed(tmp_path)
    file = tmp_path / "shed.yaml"
    file.write_text(file.read_text(encoding="utf-8").replace('station: {account: "1234"}\n', ""), encoding="utf-8")
    found = not_promised(open_site(file))
    assert found["alarms sent"] == (VerdictKind.OFF, "it tells no station; the site file names no station")
    assert found["duress"] == (VerdictKind.OFF, "no slot is one for duress; nobody of the site file has duress: yes")


@pytest.mark.parametrize("name", ["larkfield.yaml", "rowan.yaml", "bakery.yaml"])
def test_not_on_this_panel_is_said_only_where_no_setting_could_give_it(name: str) -> None:
    site = open_site(FILES / name)
    for promise in asked_of(site, setup_at(site), Window()):
        if promise.outright is not None and promise.outright.what.value.startswith("the panel lacks"):
            assert not set(promise.outright.items) & set(site.profile.items), promise.says
