"""The virtual keypad: what it shows, how it takes keys, what it holds, and the keys that bring it to a Programme.

May import: findings, site, panel. Start in `pressing.py` (the only interpreter of a script) and `styles.py` (how each
kind of answer takes keys), then `showing.py` and `standing.py`; `drive.py` goes from a wanted Programme to keys, with
`search.py`. A panel that somebody else programmed is read in by `review.py`.
"""
