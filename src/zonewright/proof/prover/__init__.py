"""Everything that a panel may do when not all of it is known, and every run of it: the search behind a verdict.

May import: findings, site, panel, behaviour. What one event may do: `facts.py` (what can be asked), `unknowns.py`,
`table.py`, `other_areas.py`, `doors.py`, `reading.py`, `slices.py`. All runs: `explore.py`, with `timeset.py`. From a
run to a verdict: `refine.py`, `replay.py`. What it may cost: `purse.py`.
"""
