"""How each pattern sounds: pulses, pauses, and where the timing is published. Data for documents; the model needs none.

Rules of this file:
1. Times in seconds, each with its tolerance as a share. A pattern that is not in a standard is a choice of ours.
2. No two patterns that a person must tell apart sound alike.
"""

from __future__ import annotations

from dataclasses import dataclass

from zonewright.panel.behaviours import Pattern


@dataclass(frozen=True, slots=True)
class Cadence:
    """One pattern: so many pulses, then a pause, over and over. No pulses: it sounds without a pause."""

    name: str
    pulses: int
    on_s: float  # one pulse [s]
    off_s: float  # between two pulses [s]
    pause_s: float  # after the last pulse [s]
    tolerance: float  # of each time, as a share; 0: none is published
    source: str

    @property
    def cycle_s(self) -> float:
        """Return the length of one round [s]; 0 for a steady sound."""
        return self.pulses * self.on_s + max(self.pulses - 1, 0) * self.off_s + self.pause_s

    def window_s(self, seconds: float) -> tuple[float, float]:
        """Return the least and the most that one of its times may be [s]."""
        return seconds * (1 - self.tolerance), seconds * (1 + self.tolerance)

    @property
    def words(self) -> str:
        """Return it for a person: "3 pulses of 0.5 s, 0.5 s apart, then 1.5 s of silence"."""
        if self.pulses == 0:
            return "steady or sweeping"
        several = f"{self.pulses} pulses of {self.on_s:g} s, {self.off_s:g} s apart"
        pulses = several if self.pulses > 1 else f"a pulse of {self.on_s:g} s"
        return f"{pulses}, then {self.pause_s:g} s of silence"


CADENCES: dict[Pattern, Cadence] = {
    Pattern.FIRE: Cadence(
        "temporal-three", 3, 0.5, 0.5, 1.5, 0.1,
        "ISO 8201, tolerances seen second-hand; the pause counted from the third pulse's end as in NFPA 72's figure,"
        " from memory (readings differ: 4.5 s in all); for at least 180 s, NFPA 72 18.4.2, from memory",
    ),
    Pattern.GAS: Cadence(
        "temporal-four", 4, 0.1, 0.1, 5.0, 0.1,
        "NFPA 720 and UL 2034: four beeps and about 5 s seen second-hand, the pulses from memory; that the pause counts"
        " from the fourth pulse's end is a choice; after 4 min it may be 60 s, from memory",
    ),
    Pattern.BURGLARY: Cadence("burglary", 0, 0, 0, 0, 0, "common practice, no source: unlike both above"),
    Pattern.INSIDE: Cadence(
        "burglary, inside only", 0, 0, 0, 0, 0,
        "where a panel keeps its outside siren silent while off: EN 50131-1:2006 note 5 to table 7, seen",
    ),
    Pattern.MEDICAL: Cadence("medical", 2, 0.2, 0.2, 1.4, 0, "a choice, at the keypad only"),
    Pattern.TROUBLE: Cadence("trouble", 1, 0.1, 0, 9.9, 0, "a choice, at the keypad only"),
}  # fmt: skip
"""Every pattern that sounds, the one that comes before all others first."""
