"""Prints how long `prove` takes, and its memory: demo houses, a pack, and up to 200 zones in 8 areas.

Whole processes on all cores of the machine, nothing known from before. The panel whose areas are all unlike, more than
a site file can say, is proved as the verb would. What is compiled and fetched from disk is so before the clock starts.

python -m benchmarks.proving
"""

from __future__ import annotations

import os
import subprocess
import sys
import tempfile
import time
from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path

from benchmarks import parade
from benchmarks.houses import house
from zonewright.behaviour.setup import AreaNumber, Setup, ZoneSetup, setup_of
from zonewright.desk.verdicts import settle_all
from zonewright.panel.behaviours import Timing
from zonewright.panel.opening import open_site
from zonewright.proof.promises.promise import Window
from zonewright.proof.promises.properties import promises

DEMOS = Path(__file__).parent.parent / "src/zonewright/cli/demo_files"
SITES = ("larkfield", "larkfield-wrong", "rowan", "bakery")
DEMO_AIM_S = 1.0
PACK_AIM_S = 5.0
GENERATED = {32: 1.0, 64: 1.5, 200: 10.0}  # zones and aim [s], whole process
MOST = 200  # zones in eight areas
MOST_AIM_S = 10.0
PROVE = ("-m", "zonewright", "prove", "--afresh")


def main() -> None:
    """Measure and print."""
    print(f"{'what':32}  {'whole process s':>15}  {'processor s':>11}  {'MiB':>5}  {'aim s':>5}")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for demo in SITES:
            row(f"demo {demo}", [*PROVE, str(DEMOS / f"{demo}.yaml")], DEMO_AIM_S)
        pack = ["-m", "zonewright", "pack", str(DEMOS / "larkfield.yaml"), "--out", str(folder / "pack.pdf")]
        row("pack of demo larkfield", pack, PACK_AIM_S)
        for zones, aim in GENERATED.items():
            site = folder / f"house-{zones}.yaml"
            site.write_text(house(zones), encoding="utf-8")
            row(f"{zones} zones, 2 areas", [*PROVE, str(site)], aim)
        row(f"{MOST} zones, 8 areas", [*PROVE, str(parade.write(folder, MOST))], MOST_AIM_S)
        unlike = ["-m", "benchmarks.proving", str(folder / f"house-{MOST}.yaml"), "8"]
        row(f"{MOST} zones, 8 unlike areas", unlike, MOST_AIM_S)


def row(name: str, arguments: Sequence[str], aim: float) -> None:
    """Run Python with these arguments and print what it took; exit code 1 only means that something fails."""
    start = time.perf_counter()
    running = subprocess.Popen([sys.executable, *arguments], stdout=subprocess.DEVNULL)
    _, status, used = os.wait4(running.pid, 0)
    took = time.perf_counter() - start
    if os.waitstatus_to_exitcode(status) > 1:
        raise SystemExit(f"{name}: stopped")
    print(f"{name:32}  {took:15.2f}  {used.ru_utime + used.ru_stime:11.2f}  {used.ru_maxrss / 1024:5.0f}  {aim:5.1f}")


def spread(setup: Setup, areas: int) -> Setup:
    """Return the panel with its zones spread over so many areas, no two alike; each shares its first zone."""

    def moved(place: int, zone: ZoneSetup) -> ZoneSetup:
        n, part = divmod(place, areas)
        own = AreaNumber(part + 1)
        shared = {own, AreaNumber((part + 1) % areas + 1)} if n == 0 else {own}
        entry_s = zone.entry_s + part if zone.behaviour.timing is Timing.DELAYED else 0
        return replace(zone, areas=frozenset(shared), entry_s=entry_s)

    zones = tuple(moved(place, zone) for place, zone in enumerate(setup.zones))
    return replace(setup, zones=zones, areas=tuple(AreaNumber(n + 1) for n in range(areas)))


def prove_spread(site: Path, areas: int) -> None:
    """Prove all that the panel of a site promises, spread over so many areas."""
    resolved = open_site(site)
    setup = spread(setup_of(resolved.programme, resolved.profile), areas)
    verdicts = list(settle_all(setup, promises(setup), Window()))
    print(len(verdicts), {verdict.settled.result.value for verdict in verdicts})


if __name__ == "__main__":
    if len(sys.argv) > 1:
        prove_spread(Path(sys.argv[1]), int(sys.argv[2]))
    else:
        main()
