"""What somebody types who takes over a Tern with one door: the siren time and the transmitter's number stay unknown."""

from __future__ import annotations

ZONE = ["1", "contact?", "front door", "01", "two notes?", "door to come in by?", "first time?", "now yes", "now yes",
        "waits?", "first?", "now yes", "hall", ""]  # fmt: skip
PEOPLE = ["/none", "1", "owner?", "both?", "set", "/none"]
HABITS = ["060", "yes", "yes", "no", "030", "060", "30", "05", "2", "", "12 hours?", "T2.6", "yes", "4021", "yes"]
