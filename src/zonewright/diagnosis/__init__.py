"""From what was noticed to what is wrong: all possible causes, what each shows, what to ask next, and the cure.

May import: fieldwork, and what it may import. Start in `case.py` (what is left, and what to ask next), then
`hypotheses.py` (all possible causes), `questions.py` (all that can be asked), `evidence.py` and `noticing.py` (what
somebody saw), `statements.py` (how they write it) and `curing.py` (the keys that mend it).
"""
