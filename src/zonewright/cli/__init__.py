"""The command line: thin verbs over the rooms below, computing nothing of their own.

May import: every room; what is computed it asks of `desk`. Start in `verbs.py` (the table of verbs), then `running.py`
and `main.py` (what surrounds each verb); `terminal.py` says things within 80 columns, `findings_text.py` findings,
`tables.py` tables.
"""

from zonewright.cli.main import main

__all__ = ["main"]
