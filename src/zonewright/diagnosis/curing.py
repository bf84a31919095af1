"""What to key so that a panel holds the plan again, once the cause is known.

Rules of this file:
1. If one hypothesis is left, the sheet starts from exactly what the panel then holds. If several with one cure are
   left, the items in which they differ from the plan aren't known: keys are pressed until the display shows what is
   wanted.
"""

from __future__ import annotations

from zonewright.diagnosis.case import CureGroup
from zonewright.entry.sheets.sheet import EntrySheet, delta
from zonewright.panel.programme import UNKNOWN
from zonewright.panel.resolve import Resolved


def sheet_of_cure(resolved: Resolved, cause: CureGroup) -> EntrySheet | None:
    """Return the delta sheet from what the panel holds to the plan; None if there is nothing to key.

    Raises `NoWay` if the keypad can't do it.
    """
    if not cause.cure.keys:
        return None
    first = cause.hypotheses[0].panel
    held = first.held
    if len(cause.hypotheses) > 1:
        changed = {item for each in cause.hypotheses for item in each.changes}
        held = resolved.programme.changed(dict.fromkeys(changed, UNKNOWN))
    return delta(resolved.profile, held, resolved.programme, resolved.users)
