"""Why a promise holds or fails: what it rests on, what would mend it, and who can make it untrue.

May import: the rest of `proof`. Start in `explaining.py`; then `arguments.py` (situation by situation, or step by
step), `reasons.py`, `mending.py` (the single field that would mend it), `undoing.py` (what can make untrue what is
taken for granted) and `apart.py` (which verdicts two sites share).
"""
