"""The small records that every room speaks in: a place in a file, a finding, a severity.

May import: nothing of Zonewright. Start in `finding.py`; `catalogue.py` says what each code means that is
no rule of `check`; `nearest.py` is the "did you mean".
"""

from zonewright.findings.finding import BadInput, Finding, Mending, Path, Place, Severity, in_report_order, place_key
from zonewright.findings.nearest import nearest

__all__ = ["BadInput", "Finding", "Mending", "Path", "Place", "Severity", "in_report_order", "nearest", "place_key"]
