"""Panel profiles: found by their names, looked at, and tried with what somebody keyed at the panel."""

from __future__ import annotations

from zonewright.panel.profile import Profile
from zonewright.panel.reading import find_profile
from zonewright.site.files import Files


def profile_named(name: str, files: Files) -> Profile:
    """Return a shipped profile, or that of a path among the files; raises `BadInput` with all that is wrong with it."""
    return find_profile(name, files).usable()
