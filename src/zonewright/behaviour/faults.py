"""What may stop arming an area apart from open zones, and who may arm it in spite of that.

Rules of this file:
1. Which of them stop arming, and whose right overrides each, is set in each panel: nothing is taken for granted here.

Source: that they prevent setting, and that overriding them goes by access level and grade: EN 50131-1 8.3.5, from
memory. Its tables were not seen.
"""

from __future__ import annotations

from enum import Enum


class SettingFault(Enum):
    """What may stop arming; the value with "-at-setting" is the name of the panel's setting for it."""

    __hash__ = object.__hash__  # each member is one object; the usual hash of its name is slow

    TAMPER = "tamper"  # a device's cover is off
    MISSING = "missing"  # a device isn't heard, or not lately
    SUPPLY = "supply"  # mains lost, or the panel's battery low
    SIREN_CIRCUIT = "siren-circuit"
    LINE = "line"
    JAMMING = "jamming"


class Right(Enum):
    """Who may arm an area in spite of a trouble; the value is that of the panel's setting."""

    __hash__ = object.__hash__  # as above

    USER = "user"
    INSTALLER = "installer"
    NOBODY = "nobody"

    def sets_over(self, asked: Right) -> bool:
        """Return whether somebody with this right may arm in spite of a trouble that asks for the right `asked`."""
        if asked is Right.NOBODY:
            return False
        return self is asked or (self is Right.INSTALLER and asked is Right.USER)
