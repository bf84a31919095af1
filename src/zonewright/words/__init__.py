"""What a panel does, told: events and outputs in words, the matrix, sentences, timelines, and what somebody types.

May import: findings, site, panel, behaviour. Start in `telling.py` (each event and output in words), then `matrix.py`
(what each zone does in each mode, by runs), `sentence.py` and `explain.py` (the same in sentences) and `scenario.py`
(what somebody types to happen). `known_matrix.py` tells what is certain of a panel of which not all is known.
"""
