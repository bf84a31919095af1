"""What a keypad can't be brought to hold, told as a finding."""

from __future__ import annotations

from collections.abc import Iterator
from contextlib import contextmanager

from zonewright.entry.keypad.strokes import NoWay
from zonewright.findings import BadInput, Finding, Severity
from zonewright.panel.resolve import Resolved

FIX = "this panel shows it but can't take it; change the site file, or the profile if it is wrong"


@contextmanager
def keyable(resolved: Resolved) -> Iterator[None]:
    """Raise `BadInput` where a site can't be keyed at its panel."""
    try:
        yield
    except NoWay as none:
        found = Finding("ENT-01", Severity.PROBLEM, f"panel {resolved.profile.panel}", str(none), fix=FIX)
        raise BadInput([found]) from none
