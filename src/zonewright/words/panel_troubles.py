"""What is said of the panel's own troubles: of each how it begins and ends, and what a scenario calls that."""

from __future__ import annotations

from typing import NamedTuple

from zonewright.behaviour.events import SiteTrouble


class TroubleWords(NamedTuple):
    """The words of one trouble."""

    begins: str
    ends: str
    stands: str  # at the end of its timer
    written: tuple[str, str]  # in a scenario: that it begins, and that it ends


def words_of(trouble: SiteTrouble) -> TroubleWords:
    """Return the words of a trouble."""
    match trouble:
        case SiteTrouble.MAINS:
            return TroubleWords("mains lost", "mains back", "mains still lost", ("mains lost", "mains back"))
        case SiteTrouble.PANEL_BATTERY:
            begins, ends = "panel battery low", "panel battery good"
            return TroubleWords(begins, ends, "panel battery still low", (begins, ends))
        case SiteTrouble.SIREN_CIRCUIT:
            begins, ends = "siren circuit in trouble", "siren circuit mended"
            written = ("siren wire cut", "siren wire mended")
            return TroubleWords(begins, ends, "siren circuit still in trouble", written)
        case SiteTrouble.AUXILIARY:
            begins, ends = "auxiliary supply overloaded", "auxiliary supply good"
            return TroubleWords(begins, ends, "auxiliary supply still overloaded", (begins, ends))
        case SiteTrouble.LINE:
            return TroubleWords("line lost", "line back", "line still lost", ("line lost", "line back"))
        case SiteTrouble.JAMMING:
            written = ("jamming begins", "jamming ends")
            return TroubleWords("radio jammed", "jamming ends", "radio still jammed", written)
