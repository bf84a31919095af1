"""Generated sites as people build them: unlike areas, shared zones and doors, pairs, several entry times, routes.

python -m benchmarks.irregular [--verb walk|diagnose|enter|pack] [NAME ...]

prints how long `prove` takes for each, its memory, and how much is left undecided; or how long another verb takes for
those of at most 75 zones, and its memory. Each site is the same text every time. Rules of this file:
1. Nothing is regular: each area draws its own doors, kinds, chimes and waits; a tenth of the zones is shared.
2. All that the panel model tells apart is in it: zones on a route, life safety, fire verification, day-night zones,
   hold-ups, notices, pairs, duress, wired loops and radio.
"""

from __future__ import annotations

import argparse
import json
import os
import random
import resource
import subprocess
import sys
import tempfile
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field
from itertools import combinations, islice, product
from pathlib import Path
from typing import IO

from benchmarks import proving, wide_panel
from benchmarks.wide_panel import AreaSet
from zonewright.panel.opening import open_site

_DOOR = ("contact", "entry-door", "door")
_LAST = ("contact", "final-door", "last door")
_WAY = ("movement", "on-route", "way")
_USUAL = (  # kind, behaviour, word: drawn at random, windows most often
    ("contact", "perimeter", "window"),
    ("contact", "perimeter", "hatch"),
    ("glass-break", "perimeter", "pane"),
    ("wide-gap contact", "perimeter", "shutter"),
    ("contact", "perimeter", "skylight"),
    ("movement", "interior", "room"),
    ("movement", "interior", "store"),
    _WAY,
    ("smoke", "fire", "smoke"),
    ("heat", "fire", "heat"),
    ("carbon monoxide", "carbon-monoxide", "fumes"),
    ("water", "environment", "drain"),
    ("button", "holdup", "button"),
    ("contact", "24-hour-audible", "cage"),
    ("contact", "24-hour-silent", "safe"),
    ("contact", "day-night", "fire door"),
    ("wide-gap contact", "notice", "gate"),
)
_SHARED = (_DOOR, _WAY, ("movement", "interior", "hall"), ("contact", "perimeter", "roof"), ("smoke", "fire", "stairs"),
           _DOOR, ("contact", "24-hour-audible", "riser"), ("glass-break", "perimeter", "front"))  # fmt: skip
_PAIRED = frozenset({"perimeter", "interior", "on-route"})
_WAITS = frozenset({"perimeter", "entry-door", "final-door", "interior", "on-route", "24-hour-audible"})


@dataclass(frozen=True, slots=True)
class Size:
    """How large and how tangled a site is."""

    name: str
    zones: int
    areas: int
    shared: int = 0
    pairs: int = 0
    doors: int = 3  # of one area at most
    seed: int = 1


@dataclass(slots=True)
class _Zone:
    """One zone to be written."""

    number: int
    areas: AreaSet
    kind: str
    behaviour: str
    word: str
    more: list[str] = field(default_factory=list)


def _zones(size: Size, chance: random.Random) -> list[_Zone]:
    """Return the zones: each area's doors first, then the shared ones, then what else there is."""
    found: list[_Zone] = []

    def add(areas: AreaSet, what: tuple[str, str, str]) -> None:
        found.append(_Zone(len(found) + 1, areas, *what))

    areas = range(1, size.areas + 1)
    for area in areas:
        for n in range(chance.randint(1, size.doors)):
            add((area,), _LAST if n == 1 and chance.random() < 0.3 else _DOOR)
        add((area,), _WAY)
    for n in range(size.shared):
        of = min(size.areas, 3 if chance.random() < 0.25 else 2)
        add(tuple(sorted(chance.sample(areas, of))), _SHARED[n % len(_SHARED)])
    while len(found) < size.zones:
        add((chance.choice(areas),), chance.choice(_USUAL))
    del found[size.zones :]
    for zone in found:
        zone.more = list(_fields(zone, chance))
    _pair(found, size.pairs, chance)
    return found


def _fields(zone: _Zone, chance: random.Random) -> Iterator[str]:
    """Give what is written of a zone beside its number, area, behaviour and label."""
    if zone.behaviour in ("entry-door", "final-door"):
        yield f"delay: {chance.choice(('entry time', 'second entry time'))}"
    chime = "bell" if zone.behaviour == "notice" else chance.choice(("none", "none", "two notes", "bell"))
    if chime != "none" and zone.behaviour not in ("holdup", "fire", "carbon-monoxide"):
        yield f"chime: {chime}"
    if zone.behaviour == "notice":
        yield "report: troubles"
    if zone.behaviour in _WAITS and chance.random() < 0.25:
        yield "message delay: none"


def _pair(zones: Sequence[_Zone], pairs: int, chance: random.Random) -> None:
    """Let so many zones be confirmed by another one of the same areas."""
    free = [zone for zone in zones if zone.behaviour in _PAIRED]
    chance.shuffle(free)
    while pairs and free:
        zone = free.pop()
        mate = next((each for each in free if each.areas == zone.areas and each.behaviour == zone.behaviour), None)
        if mate is not None:
            free.remove(mate)
            zone.more.append(f"confirmed by: {_device(mate)}")
            pairs -= 1


def _device(zone: _Zone) -> str:
    return f"{zone.word.replace(' ', '-')}-{zone.number}"


def _is_wired(zone: _Zone) -> bool:
    return zone.number % 3 == 0 and zone.kind != "button"


def site(size: Size) -> tuple[str, str]:
    """Return the texts of the site file and of its panel profile, `./panel.yaml`."""
    chance = random.Random(f"{size.zones} {size.areas} {size.shared} {size.pairs} {size.doors} {size.seed}")
    zones = _zones(size, chance)
    names = [f"unit {n}" for n in range(1, size.areas + 1)]

    def written(areas: AreaSet) -> str:
        return f"[{', '.join(names[area - 1] for area in areas)}]"

    def room(zone: _Zone) -> str:
        inner = " inner" if zone.behaviour == "interior" else ""  # no way in crosses it
        return f"{' and '.join(names[area - 1] for area in zone.areas)}{inner}"

    def loop(zone: _Zone) -> str:
        of = ", ".join([f"zone: {zone.number}", *_said(zone, written)])
        more = "" if zone.behaviour != "fire" else ", verify: yes"
        return f"  {_device(zone)}: {{{of}, resistor: double{more}, devices: [{_device(zone)}-head]}}"

    def device(zone: _Zone) -> Iterator[str]:
        number = f"{100_000 + 137 * zone.number}"
        yield f"  {_device(zone)}:"
        yield f"    kind: {zone.kind}"
        yield f'    number: {{printed: {number[:2]} {number[2:4]} {number[4:]}, learnt: "{number}"}}'
        yield "    fitted: 2026-11-25"
        yield f"    at: {{room: {room(zone)}}}"
        yield f"    zone: {{{', '.join([f'number: {zone.number}', *_said(zone, written)])}}}"

    wired = [zone for zone in zones if _is_wired(zone)]
    doors = {zone.areas: zone for zone in reversed(zones) if zone.behaviour in ("entry-door", "final-door")}
    ways: dict[AreaSet, list[_Zone]] = {}
    for zone in zones:
        if zone.behaviour == "on-route":
            ways.setdefault(zone.areas, []).append(zone)
    pairs = [(n, n % size.areas + 1) for n in range(1, size.areas + 1)] if size.areas > 1 else []
    people = [
        f"  owner: {{role: owner, may: {written(tuple(range(1, size.areas + 1)))}}}",
        *(f"  keeper {n}: {{role: user, may: {written((n,))}}}" for n in range(1, size.areas + 1)),
        *(f"  cleaner {n}: {{role: user, may: {written(tuple(sorted(each)))}}}" for n, each in enumerate(pairs[:2], 1)),
        "  made to: {role: user, may: [unit 1], duress: yes}",
    ]
    lines = [
        f"site: {size.name}",
        "panel: ./panel.yaml",
        'station: {account: "6391", by: dc-09}',
        "settings: {exit time: 60 s, entry time: 30 s, second entry time: 45 s, abort window: 15 s,",
        "           confirm window: 30 min, swinger limit: 2, siren time: 4 min}",
        f"areas: {{{', '.join(f'{name}: {{}}' for name in names)}}}",
        "keypads:",
        *(f"  keypad {n}: {{at: {{room: {name}}}, area: {name}}}" for n, name in enumerate(names, 1)),
        "sirens: {street siren: {at: {room: street}, outdoors: yes}}",
        "loops:",
        *(loop(zone) for zone in wired),
        "devices:",
        *(
            f"  {_device(zone)}-head: {{kind: {zone.kind}, at: {{room: {room(zone)}}}}}" for zone in wired
        ),
        *(line for zone in zones if not _is_wired(zone) for line in device(zone)),
        "people:",
        *people,
        "routes:",
        *(_route(areas, door, ways) for areas, door in sorted(doors.items())),
    ]  # fmt: skip
    sets = [zone.areas for zone in zones] + pairs + [tuple(range(1, size.areas + 1))]
    return "\n".join(lines) + "\n", wide_panel.panel(size.areas, sets)


def _said(zone: _Zone, written: Callable[[AreaSet], str]) -> list[str]:
    label = f"{zone.word} {zone.number}"
    return [f"area: {written(zone.areas)}", f"behaviour: {zone.behaviour}", f"called: {label}", *zone.more]


def _route(areas: AreaSet, door: _Zone, ways: Mapping[AreaSet, Sequence[_Zone]]) -> str:
    through = ", ".join(map(_device, ways.get(areas, ())))
    through = f"through: [{through}], " if through else ""
    return f"  in by {_device(door)}: {{by: {_device(door)}, {through}to: keypad {areas[0]}, takes: 20 s}}"


# Two that are hard each in its own way --------------------------------------------------------------------------------


def windows_of_two(zones: int = 24, areas: int = 4, windows: int = 10) -> tuple[str, str]:
    """Return a plain house in which each of some windows is shared by another pair of areas."""
    pairs = list(combinations(range(1, areas + 1), 2))
    plain = site(Size(f"{zones} zones, {windows} windows of two", zones - windows, areas, doors=1, seed=2))
    names = [f"unit {n}" for n in range(1, areas + 1)]
    more = []
    for n in range(windows):
        one, other = pairs[n % len(pairs)]
        chime = "two notes" if n >= len(pairs) else "none"
        number = f"{200_000 + 137 * n}"
        more += [
            f"  sash-{n}:",
            "    kind: contact",
            f'    number: {{printed: {number[:2]} {number[2:4]} {number[4:]}, learnt: "{number}"}}',
            "    fitted: 2026-11-25",
            f"    at: {{room: {names[one - 1]}}}",
            f"    zone: {{number: {zones - windows + 1 + n}, area: [{names[one - 1]}, {names[other - 1]}],",
            f"           behaviour: perimeter, called: sash {n}, chime: {chime}}}",
        ]
    text = plain[0].replace("people:\n", "\n".join([*more, "people:\n"]), 1)
    return text, wide_panel.panel(areas, [*pairs, tuple(range(1, areas + 1))])


def many_doors(doors: int = 12) -> tuple[str, str]:
    """Return one area with so many entry doors, no two of them alike."""
    unlike = product(("entry time", "second entry time"), ("none", "two notes", "bell"), ("abort window", "none"))
    lines = [
        f"site: {doors} unlike doors",
        "panel: ./panel.yaml",
        'station: {account: "6391", by: dc-09}',
        "settings: {exit time: 60 s, entry time: 30 s, second entry time: 45 s, abort window: 15 s}",
        "areas: {unit 1: {}}",
        "keypads: {keypad 1: {at: {room: unit 1}, area: unit 1}}",
        "people: {owner: {role: owner, may: [unit 1]}}",
        "devices:",
    ]
    for n, (delay, chime, waits) in enumerate(islice(unlike, doors), 1):
        number = f"{100_000 + 137 * n}"
        lines += [
            f"  door-{n}:",
            "    kind: contact",
            f'    number: {{printed: {number[:2]} {number[2:4]} {number[4:]}, learnt: "{number}"}}',
            "    fitted: 2026-11-25",
            "    at: {room: unit 1}",
            f"    zone: {{number: {n}, area: unit 1, behaviour: entry-door, called: door {n}, delay: {delay},",
            f"           chime: {chime}, message delay: {waits}}}",
        ]
    return "\n".join(lines) + "\n", wide_panel.panel(1, [])


# What is measured -----------------------------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class Aim:
    """A site and what is wanted of its proof: processor seconds, memory, and how much may stay undecided."""

    name: str
    made: Callable[[], tuple[str, str]]
    seconds: float
    mib: int | None = None
    undecided: float = 0.0


AIMS = (
    Aim("50 zones, 3 areas", lambda: site(Size("Mill", 50, 3, 5, 3)), 5, 300),
    Aim("75 zones, 4 areas, 7 shared", lambda: site(Size("Arcade", 75, 4, 7, 4)), 10, 500, 0.01),
    Aim("100 zones, 5 areas, 10 shared", lambda: site(Size("Wharf", 100, 5, 10, 5)), 20, 700, 0.02),
    Aim("150 zones, 8 areas, 15 shared", lambda: site(Size("Court", 150, 8, 15, 8)), 60, 1024, 0.05),
    Aim("24 zones, 10 windows of two", windows_of_two, 3),
    Aim("one area, 12 unlike doors", many_doors, 3),
)


def write(folder: Path, made: tuple[str, str], name: str = "site") -> Path:
    """Write a site and its panel into a folder, and return the site's file."""
    (folder / "panel.yaml").write_text(made[1], encoding="utf-8")
    path = folder / f"{name}.yaml"
    path.write_text(made[0], encoding="utf-8")
    return path


def main(words: Sequence[str]) -> None:
    """Prove each site whose name has one of these words in it, or do another verb with it, and print a row each."""
    parser = argparse.ArgumentParser(prog="python -m benchmarks.irregular")
    parser.add_argument("names", nargs="*", metavar="NAME")
    parser.add_argument("--verb", choices=("prove", *VERBS), default="prove")
    asked = parser.parse_args(words)
    aims = [aim for aim in AIMS if not asked.names or any(name in aim.name for name in asked.names)]
    if asked.verb == "prove":
        proofs(aims)
    else:
        other_verb(asked.verb, aims)


def other_verb(verb: str, aims: Sequence[Aim]) -> None:
    """Do a verb with each site that isn't too large for it, and print a row each."""
    print(f"{verb:32}  {'processor s':>11}  {'MiB':>5}")
    for aim in aims:
        with tempfile.TemporaryDirectory() as name:
            path = write(Path(name), aim.made())
            if len(open_site(path).programme.numbers("zone")) > MOST_ZONES:
                continue
            out = ("--out", str(Path(name) / "pack.pdf")) if verb == "pack" else ()
            used = ran(aim.name, ("-m", "zonewright", verb, str(path), *out), subprocess.DEVNULL)
        print(f"{aim.name:32}  {used.ru_utime + used.ru_stime:11.2f}  {used.ru_maxrss / 1024:5.0f}", flush=True)


def ran(name: str, arguments: Sequence[str], out: int | IO[str]) -> resource.struct_rusage:
    """Run Python with these arguments in a process of its own; return what it used, what it began with it."""
    running = subprocess.Popen([sys.executable, *arguments], stdout=out)
    _, status, used = os.wait4(running.pid, 0)
    if os.waitstatus_to_exitcode(status) > 1:
        raise SystemExit(f"{name}: stopped")
    return used


def proofs(aims: Sequence[Aim]) -> None:
    """Prove each site, and print a row each."""
    heads = f"{'site':32}  {'processor s':>11}  {'MiB':>5}  {'promises':>8}  {'undecided':>9}"
    print(f"{heads}  {'aim s':>5}  {'aim MiB':>7}")
    for aim in aims:
        with tempfile.TemporaryDirectory() as name, Path(name, "told.json").open("w+", encoding="utf-8") as told:
            path = write(Path(name), aim.made())
            used = ran(aim.name, (*PROVE, str(path)), told)
            told.seek(0)
            verdicts = [each["verdict"] for each in json.load(told)["verdicts"]]
        took, mib, open_ = used.ru_utime + used.ru_stime, used.ru_maxrss / 1024, verdicts.count("undecided")
        measured = f"{aim.name:32}  {took:11.2f}  {mib:5.0f}  {len(verdicts):8}  {open_:9}"
        print(f"{measured}  {aim.seconds:5.0f}  {aim.mib or '':>7}", flush=True)


PROVE = (*proving.PROVE, "--json")
VERBS = ("walk", "diagnose", "enter", "pack")
MOST_ZONES = 75  # for a verb other than `prove`

if __name__ == "__main__":
    main(sys.argv[1:])
