"""The smallest walk that shows every slip of the keying: which tests, in which order, and what is noticed when.

May import: fieldwork, and what it may import. Start in `planner.py` (the walk that is chosen). `killing.py` tells which
test shows which slip, `distinguishing.py` what else would show one, `cover.py` chooses few tests that show all,
`packing.py` puts them into periods of being armed, and `walking.py` tells them in words.
"""
