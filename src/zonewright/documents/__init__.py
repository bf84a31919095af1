"""The job pack on paper: one tagged PDF that a person can read, key from and hand over.

May import: every room but desk and the faces. Start in `records.py` (what is printed, already in words), then `pack.py`
(records -> PDF). `templates/` holds the looks, `fonts/` the letters and their licence.
"""

from zonewright.documents.pack import pack_data, render
from zonewright.documents.records import PackData

__all__ = ["PackData", "pack_data", "render"]
