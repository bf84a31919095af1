"""Ten generated houses with random mistakes, written down before they are judged: which of them `check`, `prove` and
`explain --since` find.

`python -m benchmarks.planted` prints the mistakes first, then what found them. The houses are invented, the mistakes
are those of a tired hand: an answer that belongs to another zone, a flag left out, a wait typed wrong.
"""

from __future__ import annotations

import random
import re
import sys
import tempfile
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from pathlib import Path

from benchmarks.houses import house
from zonewright.behaviour.setup import setup_of
from zonewright.checks.check import check
from zonewright.panel.opening import open_site
from zonewright.panel.resolve import Resolved
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Window
from zonewright.proof.prove import prove
from zonewright.proof.prover.refine import VerdictKind
from zonewright.words.changes import changes

HOUSES, MISTAKES, ZONES = 10, 3, (12, 20)
WAYS = """keypads: {house-keypad: {area: house}, annexe-keypad: {area: annexe}}
routes: {home: {by: device-8, through: [device-5], to: house-keypad, takes: 25 s}}
must:
  - never: device-6 causes siren
  - never: device-6 causes alarm message
  - always: device-8 causes chime while off
  - always: device-7 causes environment message
"""


@dataclass(frozen=True, slots=True)
class Mistake:
    """One planted mistake: what was done to which zone (0: to a setting)."""

    zone: int
    says: str


@dataclass(frozen=True, slots=True)
class Kind:
    """A sort of mistake: which zones it can happen to, and the text that it turns into another."""

    says: str
    behaviours: tuple[str, ...]
    turned: Callable[[str], str]


def _becomes(old: str, new: str) -> Callable[[str], str]:
    return lambda text: text.replace(old, new, 1)


def _announcing(text: str) -> str:
    return text.replace("behaviour: perimeter", "behaviour: notice").replace("everything", "troubles")


_OUTSIDE, _WATCHED, _LABEL = "behaviour: perimeter", "supervise: yes", "called: front windows"
_AT_ONCE = "message delay: none, supervise: yes"
KINDS = (
    Kind("a gate alarms in place of announcing", ("notice",), _becomes("behaviour: notice", "behaviour: perimeter")),
    Kind("a window only announces", ("perimeter",), _announcing),
    Kind("the sensor on the way doesn't wait", ("on-route",), _becomes("on-route", "interior")),
    Kind("a sensor inside guards when armed stay", ("interior",), _becomes("behaviour: interior", _OUTSIDE)),
    Kind("water sounds the siren", ("environment",), _becomes("behaviour: environment", "behaviour: 24-hour-audible")),
    Kind("a zone's alarms aren't told", ("perimeter", "entry-door", "interior"), _becomes("everything", "troubles")),
    Kind("a device isn't supervised", ("perimeter", "entry-door", "interior"), _becomes(_WATCHED, "supervise: no")),
    Kind("a zone is in the other area", ("on-route", "interior"), _becomes("area: house", "area: annexe")),
    Kind("a door doesn't chime", ("entry-door",), _becomes("chime: two notes", "chime: none")),
    Kind("a zone has its neighbour's label", ("perimeter",), lambda text: re.sub("called: [a-z ]+", _LABEL, text)),
    Kind("a movement sensor chimes", ("interior",), _becomes("chime: none", "chime: two notes")),
    Kind("an alarm doesn't wait for the abort window", ("perimeter",), _becomes(_WATCHED, _AT_ONCE)),
)  # fmt: skip


def planted(seed: int) -> tuple[str, str, list[Mistake]]:
    """Return a house as it was meant, the same with mistakes, and the mistakes."""
    rng = random.Random(seed)
    meant = house(rng.randint(*ZONES))
    blocks = re.split(r"(?m)^(?=  device-\d+:)", meant)
    found: list[Mistake] = []
    for kind in rng.sample(KINDS, len(KINDS)):
        fits = [
            n
            for n, block in enumerate(blocks)
            if (of := re.search("behaviour: ([a-z0-9-]+)", block)) is not None and of[1] in kind.behaviours
        ]
        fits = [n for n in fits if n not in {mistake.zone for mistake in found} and kind.turned(blocks[n]) != blocks[n]]
        if fits and len(found) < MISTAKES:
            n = rng.choice(fits)
            blocks[n] = kind.turned(blocks[n])
            found.append(Mistake(n, kind.says))
    return meant + WAYS, "".join(blocks) + WAYS, found


def main() -> None:
    """Print the mistakes of every house, then which of them were found by what."""
    houses = [planted(seed) for seed in range(HOUSES)]
    for number, (_, _, mistakes) in enumerate(houses, 1):
        told = "; ".join(f"zone {each.zone}: {each.says}" for each in mistakes)
        print(f"house {number}: {told}")
    print()
    rows = [row for number, house_ in enumerate(houses, 1) for row in judged(number, *house_)]
    print(f"{'house':>5}  {'mistake':58}  check           prove  explain --since")
    for row in rows:
        print(row[0])
    total = len(rows)
    for name, place in (("check", 1), ("prove", 2), ("explain --since", 3), ("any", 4)):
        print(f"found by {name}: {sum(bool(row[place]) for row in rows)} of {total}")
    sys.stdout.flush()


def judged(
    number: int, meant: str, wrong: str, mistakes: list[Mistake]
) -> Iterator[tuple[str, bool, bool, bool, bool]]:
    """Give a line for each mistake of a house, with whether each verb found it."""
    with tempfile.TemporaryDirectory() as folder:
        sites = []
        for name, text in (("meant", meant), ("wrong", wrong)):
            path = Path(folder) / f"{name}.yaml"
            path.write_text(text, encoding="utf-8")
            sites.append(open_site(path))
    right, other = sites
    found = {(each.code, f"{each.subject} {each.thing} {each.says}") for each in check(other).findings}
    found -= {(each.code, f"{each.subject} {each.thing} {each.says}") for each in check(right).findings}
    broken = failing(other) - failing(right)
    setups = [setup_of(site.programme, site.profile) for site in sites]
    told = {each.thing.split()[1] for each in changes(*setups) if each.thing.startswith("zone")}
    for mistake in mistakes:
        named = re.compile(rf"\b(?:device-|zone ){mistake.zone}\b")
        codes = sorted({code for code, text in found if named.search(text)})
        proofs = [zones for zones in broken if mistake.zone in zones]
        since = str(mistake.zone) in told
        line = f"{number:>5}  zone {mistake.zone:>2}: {mistake.says:49}  {', '.join(codes) or '-':14}  "
        line += f"{'fails' if proofs else '-':5}  {'told' if since else '-'}"
        yield line, bool(codes), bool(proofs), since, bool(codes or proofs or since)


def failing(site: Resolved) -> set[tuple[int, ...]]:
    """Return the zones of each promise that fails."""
    setup = setup_of(site.programme, site.profile)
    verdicts = prove(setup, asked_of(site, setup, Window()))
    return {tuple(each.promise.zones) for each in verdicts if each.settled.result is VerdictKind.FAILS}


if __name__ == "__main__":
    main()
