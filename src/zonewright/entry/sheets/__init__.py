"""Sheets of keys: whole or for a change, as text, for the telephone, to practise, and what is read back at the end.

May import: `entry.keypad`, `entry.slips`. Start in `sheet.py` (what is printed); then `walk.py` (the closing
read-back), `recovery.py` (the way back after a slip), `guide.py` (the householder's page), `practise.py` and
`transcript.py`.
"""
