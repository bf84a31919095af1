"""Files that a site file or a readback names: a panel profile, a plan.

Rules of this file:
1. A file that came by mail must not make Zonewright read whatever else lies on the disk: what it names stays inside its
   own folder, links followed, unless whoever calls allows more.
"""

from __future__ import annotations

from pathlib import Path

from zonewright.findings import Finding, Place
from zonewright.site.filetext import mistake


def leads_out(folder: Path, name: str) -> bool:
    """Return whether a name, taken relative to a folder, means something outside it."""
    try:
        return not (folder / name).resolve().is_relative_to(folder.resolve())
    except (OSError, RuntimeError, ValueError):  # a loop of links, a NUL in the name
        return True


def led_out(field: str, name: str, place: Place | None = None) -> Finding:
    """Return the finding that says so."""
    says = "it leads out of the folder of the file that names it"
    fix = f"copy the file into that folder and write {field}: {Path(name).name}, or allow it with --outside"
    return mistake("READ-OUT", place, f"{field} {name}", says, wrote=f"{field}: {name}", fix=fix)
