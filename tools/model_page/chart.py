"""The chart of an area's round and of a message's, drawn from the trials: every arrow was found, none is drawn by hand.

Rules of this file:
1. Only where a box stands is chosen here. Which arrows there are, and what stands beside them, `tabulated.py` tells.
2. Black lines and plain letters: it must be read in grey, printed small. An arrow has a number, its words stand below.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from html import escape
from textwrap import wrap

from model_page.tabulated import HOUSE, Trial, causes, trials
from zonewright.behaviour.events import DisplayLine, Event, Shown, Timer, TimerKind
from zonewright.behaviour.state import Control, Phase

WIDTH = 960
BOX = (170, 58)  # width and height
LETTERS = 128  # in a line of the legend
LINE = 19  # height of one
APART = 10  # between two arrows that go to and fro

LETTERING = 'font-family="sans-serif" font-size="15" role="img"'
TIP = (
    '<defs><marker id="tip" markerWidth="10" markerHeight="8" refX="9" refY="4" orient="auto">'
    '<path d="M0 0 L10 4 L0 8 z"/></marker></defs>'
)

AREA = {Phase.REST: "off", Phase.EXIT: "exit time", Phase.SET: "armed", Phase.ENTRY: "entry time"}
QUIET, WAITS, SENT = "nothing to tell", "message waits", "message sent"

CENTRES = {
    AREA[Phase.REST]: (115, 165),
    AREA[Phase.EXIT]: (480, 70),
    AREA[Phase.SET]: (845, 165),
    AREA[Phase.ENTRY]: (480, 260),
    QUIET: (115, 380),
    WAITS: (480, 460),
    SENT: (845, 380),
}
BENEATH = {AREA[Phase.SET]: "stay, night, away", WAITS: "abort window", SENT: "cancel window"}


@dataclass(frozen=True, slots=True)
class Arrow:
    """One way from a state to another, and what leads along it."""

    start: str
    end: str
    causes: tuple[str, ...]
    shown: tuple[DisplayLine, ...]  # what the display says whenever it is taken

    @property
    def words(self) -> str:
        """Return the line of the legend, without its number."""
        shown = ", ".join(f'"{line.value}"' for line in self.shown)
        return f"{self.start} → {self.end}: {'; '.join(self.causes)}" + (f" (display: {shown})" if shown else "")


def of_area(control: Control) -> str:
    """Return where the area is in its round."""
    return AREA[control.area(HOUSE).phase]


def of_message(control: Control) -> str:
    """Return how far the messages are that may wait."""
    if control.waiting:
        return WAITS
    return SENT if Timer(TimerKind.CANCEL, HOUSE) in control.running else QUIET


def arrows(state_of: Callable[[Control], str]) -> tuple[Arrow, ...]:
    """Return every arrow between two states, in the order of the boxes."""
    found: dict[tuple[str, str], list[Trial]] = {}
    for trial in trials():
        way = state_of(trial.before), state_of(trial.done.control)
        if way[0] != way[1]:
            found.setdefault(way, []).append(trial)
    order = list(CENTRES)
    return tuple(
        _arrow(*way, found[way]) for way in sorted(found, key=lambda way: (order.index(way[0]), order.index(way[1])))
    )


def _arrow(start: str, end: str, taken: list[Trial]) -> Arrow:
    events: list[Event] = [trial.event for trial in taken]
    lines = [{out.line for out in trial.done.outputs if isinstance(out, Shown)} for trial in taken]
    always = set.intersection(*lines)
    return Arrow(start, end, causes(events), tuple(line for line in DisplayLine if line in always))


def picture() -> str:
    """Return the chart as an SVG."""
    drawn = (*arrows(of_area), *arrows(of_message))
    legend = list(_legend(drawn))
    top = 540
    height = top + LINE * len(legend) + 12
    parts = [
        f'<svg xmlns="http://www.w3.org/2000/svg" viewBox="0 0 {WIDTH} {height}" {LETTERING}>',
        "<title>How an area is armed, entered and disarmed, and what becomes of a message</title>",
        TIP,
        f'<rect width="{WIDTH}" height="{height}" fill="white"/>',
        *(_line(arrow, number) for number, arrow in enumerate(drawn, start=1)),
        *(_box(name) for name in CENTRES),
        *(_text(14, top + LINE * row, text) for row, text in enumerate(legend)),
        "</svg>",
    ]
    return "\n".join(parts) + "\n"


def _legend(drawn: tuple[Arrow, ...]) -> Iterator[str]:
    for number, arrow in enumerate(drawn, start=1):
        first, *more = wrap(arrow.words, LETTERS)
        yield f"{number:>2}  {first}"
        yield from (f"\N{NO-BREAK SPACE}     {line}" for line in more)


def _text(x: float, y: float, text: str, more: str = "") -> str:
    return f'<text x="{x:g}" y="{y:g}" xml:space="preserve"{more}>{escape(text, quote=False)}</text>'


def _box(name: str) -> str:
    (x, y), (width, height) = CENTRES[name], BOX
    beneath = BENEATH.get(name)
    words = [_text(x, y - 3 if beneath else y + 5, name, ' text-anchor="middle" font-weight="bold"')]
    if beneath:
        words.append(_text(x, y + 17, beneath, ' text-anchor="middle" font-size="13"'))
    frame = f'x="{x - width / 2:g}" y="{y - height / 2:g}" width="{width}" height="{height}" rx="8"'
    return f'<rect {frame} fill="white" stroke="black" stroke-width="1.5"/>' + "".join(words)


def _line(arrow: Arrow, number: int) -> str:
    """Return the arrow beside the line from centre to centre, so that its way back has room, and its number."""
    (x1, y1), (x2, y2) = CENTRES[arrow.start], CENTRES[arrow.end]
    dx, dy = x2 - x1, y2 - y1
    length = (dx * dx + dy * dy) ** 0.5
    ox, oy = -dy / length * APART, dx / length * APART
    from_start, to_end = _inside(dx, dy), 1 - _inside(dx, dy)
    sx, sy = x1 + ox + dx * from_start, y1 + oy + dy * from_start
    ex, ey = x1 + ox + dx * to_end, y1 + oy + dy * to_end
    at = 0.28
    nx, ny = sx + (ex - sx) * at, sy + (ey - sy) * at
    return (
        f'<line x1="{sx:.1f}" y1="{sy:.1f}" x2="{ex:.1f}" y2="{ey:.1f}" stroke="black" marker-end="url(#tip)"/>'
        f'<circle cx="{nx:.1f}" cy="{ny:.1f}" r="10" fill="white" stroke="black"/>'
        + _text(round(nx, 1), round(ny + 4.5, 1), str(number), ' text-anchor="middle" font-size="12"')
    )


def _inside(dx: float, dy: float) -> float:
    """Return the share of the way from centre to centre that lies inside a box."""
    width, height = BOX
    across = width / 2 / abs(dx) if dx else 1.0
    down = height / 2 / abs(dy) if dy else 1.0
    return min(across, down)
