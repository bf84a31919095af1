"""Measures how proof, test plan and diagnosis grow, of regular and of irregular sites, and draws it in one picture.

python -m benchmarks.growing [FILE.svg]

Processor seconds in one process, without start-up, nothing known from before. The page `docs/proofs.md` shows the
drawing.
"""

from __future__ import annotations

import gc
import random
import sys
import tempfile
import time
from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from benchmarks import irregular, parade
from benchmarks.diagnosing import measured
from benchmarks.houses import house
from tests.behaviour.house import COTTAGE, with_settings
from zonewright.behaviour.acts import with_acts
from zonewright.behaviour.setup import Setup, setup_of
from zonewright.cli.collecting import uncollected
from zonewright.diagnosis.case import case_of
from zonewright.fieldwork.candidates import ground_of
from zonewright.panel.opening import open_site
from zonewright.panel.resolve import Resolved
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Window
from zonewright.proof.promises.properties import promises
from zonewright.proof.prove import prove
from zonewright.testplan.planner import Planner

DRAWN = Path(__file__).parent.parent / "docs/growth.svg"
TIMES = ("exit_time", "abort_window", "cancel_window", "siren_time", "confirm_window", "cross_window")
FEATURES = (  # each adds timers to the panel
    {"exit_time": 60},
    {"siren_time": 240},
    {"abort_window": 30},
    {"cancel_window": 300},
    {"recent_closing": True},
    {"confirm_window": 1_800},
    {"swinger_limit": 2},
)
BARE = {"exit_time": 0, "siren_time": 0, "abort_window": 0, "cancel_window": 0, "swinger_limit": 0,
        "supervision_window": 0}  # fmt: skip


@dataclass(frozen=True)
class Panel:
    """One drawing: what grows, and how long it takes."""

    title: str
    along: str
    points: tuple[tuple[int, float], ...]


def main(to: Path) -> None:
    """Measure, print and draw."""
    panels = []
    for title, along, places, work in measures():
        points = []
        for place in places:
            took = work(place)
            points.append((place, took))
            print(f"{title:28}  {place:>5} {along:8}  {took:8.2f} s", flush=True)
        panels.append(Panel(title, along, tuple(points)))
    to.write_text(drawing(panels), encoding="utf-8")


def measures() -> Sequence[tuple[str, str, Sequence[int], Callable[[int], float]]]:
    """Return what is measured: its title, what grows, the sizes, and the measuring [s]."""
    return (
        ("prove", "zones", (8, 16, 32, 64, 128, 200), lambda n: proving(setup(n))),
        ("prove, shops that share", "areas", (1, 2, 3, 4, 6, 8), lambda n: proving(shops(n))),
        ("prove", "timers", tuple(range(1, len(FEATURES) + 1)), lambda n: proving(with_features(n))),
        ("prove, all delays longer", "times", (1, 2, 5, 17, 60), lambda n: proving(slower(n))),
        ("walk", "zones", (8, 16, 32, 64, 128), lambda n: timed(Planner(ground_of(site(n))).run)),
        ("diagnose, next question", "zones", (8, 16, 32, 64), lambda n: asking(site(n))),
        ("prove, irregular", "zones", (8, 16, 24, 32, 40), lambda n: proving_irregular(zones=n)),
        ("prove, irregular", "areas", (1, 2, 3, 4), lambda n: proving_irregular(areas=n, shared=min(n - 1, 1))),
        ("prove, irregular", "shared zones", (0, 1, 2, 3, 4), lambda n: proving_irregular(shared=n)),
        ("prove, irregular", "pairs", (0, 1, 2, 3, 4), lambda n: proving_irregular(pairs=n)),
        ("prove, doors unlike", "doors", (1, 2, 4, 6, 9, 12), lambda n: proving_site(irregular.many_doors(n))),
    )


def proving_irregular(zones: int = 20, areas: int = 2, shared: int = 1, pairs: int = 1) -> float:
    """Return how long it takes to prove a site as people build them, of about twenty zones [s]."""
    return proving_site(irregular.site(irregular.Size("Yard", zones, areas, shared, pairs, doors=2)))


def proving_site(made: tuple[str, str]) -> float:
    """Return how long it takes to prove a generated site with its routes [s]."""
    with tempfile.TemporaryDirectory() as folder:
        resolved = open_site(irregular.write(Path(folder), made))
    panel = with_acts(setup_of(resolved.programme, resolved.profile), resolved)
    asked = asked_of(resolved, panel, Window())
    return timed(lambda: list(prove(panel, asked)))


def site(zones: int) -> Resolved:
    """Return a generated house."""
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / f"house-{zones}.yaml"
        path.write_text(house(zones), encoding="utf-8")
        return open_site(path)


def setup(zones: int) -> Setup:
    """Return the panel of a generated house."""
    resolved = site(zones)
    return setup_of(resolved.programme, resolved.profile)


def shops(count: int) -> Setup:
    """Return the first shops of a parade, six zones each, every shop with a time of its own."""
    with tempfile.TemporaryDirectory() as folder:
        resolved = open_site(parade.write(Path(folder), 6 * parade.AREAS))
    whole = setup_of(resolved.programme, resolved.profile)
    here = whole.areas[:count]
    zones = tuple(
        replace(zone, areas=zone.areas & set(here), entry_s=zone.entry_s + min(zone.areas) if zone.entry_s else 0)
        for zone in whole.zones
        if zone.areas & set(here)
    )
    return replace(whole, zones=zones, areas=here)


def with_features(count: int) -> Setup:
    """Return a small house whose panel has the first so many features that need timers."""
    changes: dict[str, object] = dict(BARE)
    for feature in FEATURES[:count]:
        changes |= feature
    return with_settings(COTTAGE, **changes)


def slower(times: int) -> Setup:
    """Return a small house with each of its times so many times as long, and a second, so that nothing divides them."""
    settings = COTTAGE.settings
    longer = {name: getattr(settings, name) * times + 1 for name in TIMES if getattr(settings, name)}
    zones = tuple(replace(zone, entry_s=zone.entry_s * times + 7 if zone.entry_s else 0) for zone in COTTAGE.zones)
    return with_settings(replace(COTTAGE, zones=zones), **longer)


def proving(panel: Setup) -> float:
    """Return how long it takes to prove all that a panel promises [s]."""
    return timed(lambda: list(prove(panel, promises(panel))))


def asking(resolved: Resolved) -> float:
    """Return the longest that it took to find a next question, twelve causes planted [s of the processor]."""
    with uncollected():
        told, _ = measured(case_of(resolved), 12, random.Random(4))
    return max(each.slowest for each in told)


def timed(work: Callable[[], object]) -> float:
    """Return the processor seconds of some work."""
    gc.collect()
    gc.disable()
    start = time.process_time()
    work()
    took = time.process_time() - start
    gc.enable()
    return took


# The drawing ----------------------------------------------------------------------------------------------------------

ACROSS, WIDE, HIGH, LEFT, TOP, GAP = 3, 190, 110, 46, 34, 74


def drawing(panels: Sequence[Panel]) -> str:
    """Return small drawings side by side, each with its own scale from zero."""
    rows = (len(panels) + ACROSS - 1) // ACROSS
    wide, high = ACROSS * (WIDE + GAP) + 8, rows * (HIGH + GAP) + 8
    told = "; ".join(f"{each.title}: {each.points[-1][0]} {each.along} {each.points[-1][1]:.1f} s" for each in panels)
    looks = 'role="img" font-family="sans-serif" font-size="11" fill="#1a1a1a"'
    lines = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {wide} {high}" {looks}>',
        f"<title>How long it takes. {told}</title>",
        f'<rect width="{wide}" height="{high}" fill="#ffffff"/>',
    ]
    for place, panel in enumerate(panels):
        row, column = divmod(place, ACROSS)
        lines += _panel(panel, LEFT + column * (WIDE + GAP), TOP + row * (HIGH + GAP))
    return "\n".join([*lines, "</svg>"]) + "\n"


def _panel(panel: Panel, left: float, top: float) -> list[str]:
    most_x = panel.points[-1][0]
    most_y = _round_up(max(took for _, took in panel.points))

    def at(x: float, y: float) -> tuple[float, float]:
        return round(left + WIDE * x / most_x, 1), round(top + HIGH * (1 - y / most_y), 1)

    bottom = top + HIGH
    dots = [at(*point) for point in panel.points]
    lines = [
        f'<text x="{left}" y="{top - 12}" font-weight="bold">{panel.title}</text>',
        f'<path d="M{left} {top}V{bottom}H{left + WIDE}" fill="none" stroke="#555555"/>',
        f'<text x="{left - 5}" y="{top + 4}" text-anchor="end">{most_y:g} s</text>',
        f'<text x="{left - 5}" y="{bottom + 4}" text-anchor="end">0</text>',
        f'<text x="{left + WIDE}" y="{bottom + 30}" text-anchor="end">{panel.along}</text>',
        '<polyline fill="none" stroke="#1f4e79" stroke-width="2" points="'
        + " ".join(f"{x},{y}" for x, y in dots)
        + '"/>',
    ]
    last = -99.0
    for (x, y), (size, _) in zip(dots, panel.points, strict=True):
        lines.append(f'<circle cx="{x}" cy="{y}" r="3" fill="#1f4e79"/>')
        if x - last > 16:
            lines.append(f'<text x="{x}" y="{bottom + 15}" text-anchor="middle">{size}</text>')
            last = x
    return lines


def _round_up(value: float) -> float:
    """Return the next of 1, 2, 5 times a power of ten."""
    step = 0.01
    while True:
        for most in (step, 2 * step, 5 * step):
            if value <= most:
                return most
        step *= 10


if __name__ == "__main__":
    main(Path(sys.argv[1]) if len(sys.argv) > 1 else DRAWN)
