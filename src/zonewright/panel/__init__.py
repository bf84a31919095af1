"""Panels: profiles of what one can hold and how it is keyed, behaviours, and the Programme a panel holds.

May import: findings, site. Start in `programme.py`, then `profile.py` (the records of a profile), `profile_file.py`
and `reachability.py` (what a profile is refused for) and `resolve.py` (site + profile -> Programme).
"""
