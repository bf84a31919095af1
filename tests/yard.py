"""A small site of two areas with one statement, for tests that need wired smoke, water and an area of one's own."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from zonewright.panel.opening import open_site
from zonewright.panel.resolve import Resolved

YARD = """
site: Yard
panel: marlow
station: {account: "4172", by: dc-09}
settings: {exit time: 45 s, entry time: 30 s, abort window: 15 s, supervision window: 4 h, completing act: ACT}
areas: {house: {}, shed: {}}
devices:
  door:
    kind: contact
    number: {printed: "100001"}
    zone: {number: 1, area: house, behaviour: entry-door, called: door}
  window:
    kind: contact
    number: {printed: "100002"}
    zone: {number: 2, area: house, behaviour: perimeter, called: window}
  smoke:
    kind: smoke
    number: {printed: "100003"}
    zone: {number: 3, area: house, behaviour: fire, called: smoke}
  hatch:
    kind: contact
    number: {printed: "100004"}
    zone: {number: 4, area: shed, behaviour: perimeter, called: hatch}
  back:
    kind: contact
    number: {printed: "100005"}
    zone: {number: 5, area: shed, behaviour: entry-door, called: shed door}
loops:
  loft: {zone: 6, area: house, behaviour: fire, called: loft smoke, resistor: double, verify: yes}
  sink: {zone: 7, area: house, behaviour: environment, called: sink, resistor: double}
people:
  Abe: {role: owner, may: [house]}
  Bea: {role: user, may: [house]}
must:
  - MUST
"""


def yard(must: str, act: str = "no") -> Resolved:
    with TemporaryDirectory() as folder:
        file = Path(folder) / "yard.yaml"
        file.write_text(YARD.replace("MUST", must).replace("ACT", act), encoding="utf-8")
        return open_site(file)
