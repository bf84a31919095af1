"""What a programmed panel keeps in every state it can come to, at any second: promises, and how they are settled.

May import: findings, site, panel, behaviour. Start in `promise.py` (what a promise is) and `properties.py` (which
there are; each stands in a `promised_*.py`), then `prove.py`. What one event may do where not all is known:
`facts.py` (what is asked), `unknowns.py`, `table.py`, `other_areas.py`, `doors.py`, `reading.py`, `slices.py`. All
runs of it: `explore.py`, with `timeset.py`; from a run to a verdict: `refine.py`, `replay.py`. `docs/proofs.md` tells
why it is sound.
"""
