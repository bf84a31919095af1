"""What is planted, of each kind of slip and of fault, is among the causes of what it shows, told as it is printed."""

from __future__ import annotations

import random
import re
from collections import defaultdict
from collections.abc import Iterator
from functools import cache

import pytest

from tests.diagnosis.sites import SITES, case
from zonewright.diagnosis.case import Diagnosis
from zonewright.diagnosis.evidence import acts_of
from zonewright.diagnosis.faults import faults_of
from zonewright.diagnosis.noticing import in_words
from zonewright.diagnosis.statements import observation
from zonewright.entry.slips.keyed_on import parts_of
from zonewright.fieldwork.slipped import slips_of
from zonewright.words import quoting
from zonewright.words.scenario import read_scenario

OF_EACH_KIND = 3
KEYED_ASTRAY, THINGS = "keyed astray or on", re.compile(r"^.*?(zone|remote|person) \d+[^:]*:? ?")


@cache
def by_kind(site: str) -> dict[str, list[int]]:
    """Return the causes of a site by the kind of slip or of fault that they are."""
    known = case(site)
    right = known.hypotheses[0].right
    slips = {parts_of(each.changes.items()): each.kind for each in slips_of(right.profile, right.planned)}
    faults = {fault.says for fault in faults_of(right)}
    found: dict[str, list[int]] = defaultdict(list)
    for place, each in enumerate(known.hypotheses[1:], 1):
        kind = slips.get(parts_of(each.changes.items())) if each.changes else None
        if str(each) in faults:
            found[f"fault: {THINGS.sub('', str(each))}"].append(place)
        else:
            found[f"slip: {kind.value}" if kind is not None else KEYED_ASTRAY].append(place)
    return found


def done_by(site: str, place: int, rng: random.Random) -> Iterator[str]:
    """Give what somebody may do where a cause may show."""
    resolved, hypothesis = case(site).resolved, case(site).hypotheses[place]
    planned = hypothesis.right.setup.zones
    near = [each.number for each in planned if each.number in hypothesis.zones] or [each.number for each in planned]
    zone, door = rng.choice(near), next(each.number for each in planned if each.behaviour.exit_door)
    yield f"{zone} opens; +5 s {zone} closes"
    yield f"arm away; +10 s leave by {door}; +5 min {zone} opens; +5 s {zone} closes; +3 min disarm"
    yield f"{zone} cover off; +1 min {zone} cover on"
    yield f"arm stay; +2 min {zone} opens; +9 h {zone} closes"
    for name in resolved.remotes.values():
        yield f"arm away by {quoting.quoted(name)}; +2 min {zone} opens; +1 min disarm by {quoting.quoted(name)}"


def told(site: str, place: int, done: str, rng: random.Random) -> str:
    """Return what is noticed there of what is done, as it is printed."""
    hypothesis = case(site).hypotheses[place]
    scenario, slips = read_scenario(done, "typed", case(site).resolved)
    assert not slips, slips
    _, around = rng.choice(hypothesis.worlds)
    zones = frozenset(each.event.zone for each in scenario.given if hasattr(each.event, "zone"))
    house = hypothesis.house(around, zones)
    start, entries = house.run(acts_of(scenario, hypothesis.right), None, long=house.slow and rng.random() < 0.5)
    first = next((each.at for each in scenario.given if hasattr(each.event, "zone") and not each.leaving), 0)
    begins = start + first
    noticed = [each for each in house.noticeable(entries, zones) if each[0] >= begins]
    return in_words(hypothesis.panel.setup, hypothesis.right.right, noticed, begins, case(site).names)


@pytest.mark.parametrize("site", SITES)
def test_what_is_planted_is_always_among_the_causes(site: str) -> None:
    rng = random.Random(site)
    tried: dict[str, int] = defaultdict(int)
    for kind, places in by_kind(site).items():
        for place in rng.sample(places, min(OF_EACH_KIND, len(places))):
            for done in done_by(site, place, rng):
                noticed = told(site, place, done, rng)
                observed, slips = observation(case(site), done, noticed, "typed")
                if observed is None and any("nobody leaves by a door" in each.says for each in slips):
                    continue  # it asks who left first
                assert observed is not None, (kind, done, noticed, slips)
                fit = Diagnosis(case(site)).fit(place, observed)
                assert fit > 0, (kind, str(case(site).hypotheses[place]), done, noticed)
                tried[kind] += 1
    assert set(tried) == set(by_kind(site))
    assert sum(kind.startswith("slip") for kind in tried) >= 4
    assert sum(kind.startswith("fault") for kind in tried) >= 12
