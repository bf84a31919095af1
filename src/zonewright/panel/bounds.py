"""How large a profile may be: checked before anything is built from its numbers.

Rules of this file:
1. A profile may come from anybody. Every number that says how often something is repeated has a bound here, generous
   for any real panel (our choice), so that reading a small file never uses up the machine.
2. It looks only at single numbers and builds nothing from them.
"""

from __future__ import annotations

from collections.abc import Iterator

from zonewright.panel.profile import MOST_PLACES, Answer, Profile, Style
from zonewright.panel.reachability import Complaint

MOST = {"zones": 1000, "areas": 64, "users": 2000, "remotes": 1000}  # of `limits`
LEAST = {"zones": 1, "areas": 1, "users": 1, "remotes": 0}
MOST_LINES, MOST_COLUMNS, MOST_KEYS = 20, 80, 100
MOST_WIDTH = 20  # digits of one answer, of a label and of a place
MOST_CHOICES = 2000  # choices, words and steps that one answer may have
MOST_ITEMS, MOST_NODES = 1000, 3000
MOST_SECONDS = 7 * 24 * 3600  # of a time-out


def out_of_bounds(profile: Profile) -> Iterator[Complaint]:
    """Yield everything that is too large, or too small to mean anything."""
    for name, most in MOST.items():
        yield from _within(("limits", name), name, getattr(profile.limits, name), LEAST[name], most)
    yield from _within(("display", "lines"), "lines", profile.display.lines, 1, MOST_LINES)
    yield from _within(("display", "columns"), "columns", profile.display.columns, 1, MOST_COLUMNS)
    yield from _within(("keys", "rows"), "the number of keys", len(profile.keys.names), 1, MOST_KEYS)
    yield from _within(("items",), "the number of items", len(profile.items), 1, MOST_ITEMS)
    yield from _within(("script",), "the number of nodes", len(profile.script), 1, MOST_NODES)
    yield from _within(("place width",), "place width", profile.place_width, 1, MOST_WIDTH)
    yield from _within(("timer tolerance",), "timer tolerance", profile.timer_tolerance, 0, 50)
    yield from _within(("times out", "after"), "the time-out in seconds", profile.times_out.after, 1, MOST_SECONDS)
    for name, answer in profile.answers.items():
        yield from _answer(("answers", name), answer)
    for name, node in profile.script.items():
        for at, block in enumerate(node.place or ()):
            fields = len(block.fields) + len(block.leads)
            yield from _within(("script", name, "place", str(at)), "the number of places", fields, 1, MOST_PLACES)


def _answer(path: tuple[str, ...], answer: Answer) -> Iterator[Complaint]:
    if answer.width is not None:
        yield from _within((*path, "width"), "width", answer.width, 1, MOST_WIDTH)
    if answer.most is not None:
        yield from _within((*path, "most"), "most", answer.most, 1, MOST_COLUMNS)
    yield from _within((*path, "step"), "step", answer.step, 1, 10**9)
    for field, count in (("choices", len(answer.choices)), ("codes", len(answer.codes))):
        yield from _within((*path, field), f"the number of {field}", count, 0, MOST_CHOICES)
    if answer.most_value is None or answer.step < 1:
        return
    least = answer.least or 0
    if answer.most_value < least:
        yield Complaint(
            "PRO-37", (*path, "to"), f"it goes from {least} to {answer.most_value}", "write the lower first"
        )
    elif answer.style is Style.SCROLL and not answer.choices:
        steps = (answer.most_value - least) // answer.step + 1
        yield from _within(path, "the number of values to scroll through", steps, 1, MOST_CHOICES)
    elif answer.width is not None and len(str(answer.most_value)) > answer.width:
        says = f"{answer.most_value} doesn't fit into {answer.width} digits"
        yield Complaint("PRO-37", (*path, "to"), says, "mend the width, or the highest value")


def _within(path: tuple[str, ...], what: str, number: int, least: int, most: int) -> Iterator[Complaint]:
    if not least <= number <= most:
        yield Complaint("PRO-36", path, f"{what} is {number}; it may be {least} to {most}", "write what the panel has")
