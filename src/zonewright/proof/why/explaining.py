"""One promise explained: its verdict, why it is so, what decides it, and which single change would make it hold."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from zonewright.behaviour.setup import Setup
from zonewright.panel.programme import Item, item_of, setting_item
from zonewright.panel.resolve import Resolved
from zonewright.proof.promises.promise import Promise, Window
from zonewright.proof.prove import Verdict, prove
from zonewright.proof.prover.purse import OutOfBounds
from zonewright.proof.prover.refine import VerdictKind
from zonewright.proof.prover.table import TooLarge
from zonewright.proof.why.arguments import Reasons, settings_of, why
from zonewright.proof.why.mending import Mend, mends

RESTS_ON = ("behaviour", "area", "delay", "tells-alarm", "message-delay", "chime", "crosses", "verify")


@dataclass(frozen=True, slots=True)
class Explained:
    """A promise with its verdict, why it is so, what decides it, and what would make it hold."""

    verdict: Verdict
    reasons: Reasons
    rests_on: tuple[Item, ...]
    mends: tuple[Mend, ...]

    @property
    def is_broken(self) -> bool:
        """Return whether it fails by what the panel does; if as a sum or for want of people, the verdict says all."""
        return _is_broken(self.verdict)


def explain_promise(resolved: Resolved, setup: Setup, promise: Promise, window: Window) -> Explained:
    """Return all that there is to say about one promise."""
    (verdict,) = prove(setup, [promise], window)
    try:
        reasons = why(setup, promise, window)
    except (OutOfBounds, TooLarge):
        reasons = Reasons()  # the verdict says that it is too large
    settings = settings_of(reasons, promise)
    rests_on = tuple(_items(resolved, promise, settings))
    fails = _is_broken(verdict)
    names = [item.removeprefix("setting/").replace("-", " ") for item in rests_on if item.group == "setting"]
    found = tuple(mends(resolved, setup, promise, verdict.settled.timeline, names, window)) if fails else ()
    return Explained(verdict, reasons, rests_on, found)


def _is_broken(verdict: Verdict) -> bool:
    return verdict.settled.result is VerdictKind.FAILS and verdict.promise.outright is None


def _items(resolved: Resolved, promise: Promise, settings: tuple[str, ...]) -> Iterator[Item]:
    """Give the fields of the promise's zones, then the settings that decide it, with entry times that zones name."""
    delays = set()
    for number in promise.zones:
        for field, value in resolved.programme.fields("zone", number).items():
            item = item_of("zone", number, field)
            if field == "delay" and value != "none":
                delays.add(value)
            if field in RESTS_ON and item in resolved.places:
                yield item
    for name in sorted({*delays, *settings}):
        item = setting_item(name)
        if item in resolved.programme or item in resolved.profile.fixed:
            yield item
