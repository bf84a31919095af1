"""Small sites on the shipped panel that offers most, as site files: two areas, shared zones, pairs, remotes, rights."""

from __future__ import annotations

from pathlib import Path
from tempfile import TemporaryDirectory

from hypothesis import strategies as st

from zonewright.panel.opening import open_site
from zonewright.panel.resolve import Resolved

AREAS = ("shop", "flat", "[shop, flat]")
BEHAVIOURS = (
    "perimeter",
    "interior",
    "on-route",
    "24-hour-audible",
    "24-hour-silent",
    "holdup",
    "fire",
    "notice",
)
PEOPLE = (
    "  Ann: {role: owner, may: [shop, flat]}\n  Bo: {role: user, may: [flat]}\n",
    "  Ann: {role: owner, may: [shop]}\n  Bo: {role: user, may: [flat]}\n",
    "  Ann: {role: owner, may: [shop, flat]}\n  Cy: {role: user, may: [shop, flat], duress: yes}\n",
)
REMOTES = (
    "",
    """remotes:
  Bo's ring:
    number: {printed: 66 12 08}
    carried by: Bo
    area: flat
    first button: arm away
    second button: panic
""",
)
SETTINGS = (
    "exit time: 60 s, entry time: 30 s, abort window: 15 s",
    "exit time: 60 s, entry time: 30 s, abort window: 0 s, forced arming: yes",
    "exit time: 60 s, entry time: 30 s, abort window: 15 s, confirm window: 30 min",
    "exit time: 60 s, entry time: 30 s, abort window: 15 s, completing act: yes",
    "exit time: 60 s, entry time: 30 s, tamper at setting: user, missing at setting: installer, line at setting: user",
)


@st.composite
def site_texts(draw: st.DrawFn) -> str:
    """Return the text of a small site."""
    door = draw(st.sampled_from(("entry-door", "final-door")))
    areas = draw(st.sampled_from((AREAS[:1] * 2, (AREAS[0], AREAS[1]), (AREAS[2], AREAS[1]))))
    loops = [
        f"  door{n}: {{zone: {n}, area: {area}, behaviour: {door if n == 1 else 'entry-door'}, called: door {n}, "
        f"delay: entry time, resistor: double}}"
        for n, area in enumerate(areas, 1)
    ]
    devices, last = [], ""
    for n in range(3, 3 + draw(st.integers(1, 3))):
        behaviour, area = draw(st.sampled_from(BEHAVIOURS)), draw(st.sampled_from(AREAS))
        pair = n > 3 and {behaviour, last} <= {"perimeter", "interior", "on-route"} and draw(st.booleans())
        zone = f"{{number: {n}, area: {area}, behaviour: {behaviour}, called: zone {n}"
        zone += f", confirmed by: thing{n - 1}" if pair else ""
        devices.append(f"  thing{n}:\n    kind: contact\n    number: {{printed: 60 31 {10 + n}}}\n    zone: {zone}}}")
        last = behaviour
    people = draw(st.sampled_from(PEOPLE))
    remotes = draw(st.sampled_from(REMOTES)) if "Bo" in people else ""
    settings = draw(st.sampled_from(SETTINGS))
    return (
        f"site: Made\npanel: marlow\nareas: {{shop: {{}}, flat: {{}}}}\nstation: {{account: \"6391\", by: dc-09}}\n"
        f"settings: {{{settings}}}\nloops:\n" + "\n".join(loops) + "\ndevices:\n" + "\n".join(devices)
        + f"\n{remotes}people:\n{people}"
    )  # fmt: skip


def opened(text: str) -> Resolved:
    """Return a site by its text."""
    with TemporaryDirectory() as folder:
        file = Path(folder) / "made.yaml"
        file.write_text(text, encoding="utf-8")
        return open_site(file)
