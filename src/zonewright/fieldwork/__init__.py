"""Testing a programmed panel in the field: which slips there may be, which tests show them, and what a symptom means.

May import: findings, site, panel, behaviour, entry, reporting. Start in `slipped.py` (every single slip of a
Programme), then `acting.py` (what a person does at a device becomes what the panel hears) and `observing.py` (what a
person and the station can tell of it), `fieldtests.py` and `candidates.py` (what may be tried), `killing.py` (which
test shows which slip), `testplan.py` (the walk that is chosen of them).
"""
