"""Panels: profiles of what a panel can hold and how it is keyed, behaviours, and the Programme that a panel holds.

May import: findings, site. Start in `programme.py`, then `profile.py` (the records of a profile file), `reading.py` and
`reachability.py` (the reasons to refuse a profile) and `resolve.py` (site + profile -> Programme).
"""
