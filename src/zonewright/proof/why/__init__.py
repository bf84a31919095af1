"""Why a promise holds or fails: what it depends on, what would mend it, and who can make its premises untrue.

May import: the rest of `proof`. Start in `explaining.py`; then `arguments.py` (situation by situation, or step by
step), `reasons.py`, `mending.py` (the single field that would mend it), `undoing.py` (what can make untrue what is
taken for granted) and `apart.py` (how the verdicts of two programmings differ).
"""
