"""What to key so that a panel holds the plan again, once the cause is known.

Rules of this file:
1. Where one hypothesis is left, the sheet starts from exactly what the panel then holds. Where several with one cure
   are left, what they hold otherwise isn't known: keys are then pressed until the display shows what is wanted.
"""

from __future__ import annotations

from zonewright.diagnosis.case import CureGroup
from zonewright.entry.sheets.sheet import EntrySheet, delta
from zonewright.panel.programme import UNKNOWN
from zonewright.panel.resolve import Resolved


def sheet_of_cure(resolved: Resolved, cause: CureGroup) -> EntrySheet | None:
    """Return the delta sheet from what the panel holds to the plan; None where nothing is to be keyed.

    Raises `NoWay` where the keypad can't do it.
    """
    if not cause.cure.keys:
        return None
    first = cause.hypotheses[0].panel
    held = first.held
    if len(cause.hypotheses) > 1:
        otherwise = {item for each in cause.hypotheses for item in each.changes}
        held = resolved.programme.changed(dict.fromkeys(otherwise, UNKNOWN))
    return delta(resolved.profile, held, resolved.programme, resolved.users)
