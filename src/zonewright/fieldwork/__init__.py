"""Testing a programmed panel in the field: which slips there may be, which tests show them, and what a symptom means.

May import: findings, site, panel, behaviour, entry, reporting. Start in `slipped.py` (every single slip of a
Programme), then `acting.py` (what a person does at a device becomes what the panel hears) and `observing.py` (what a
person and the station can tell of it). A test plan goes on in `fieldtests.py` and `candidates.py` (what may be
tried), `killing.py` (which test shows which slip), `distinguishing.py` (what else would show one) and `testplan.py`
(the walk that is chosen of them); a diagnosis in `hypotheses.py` (all that may be the matter), `questions.py` (all that
can be asked) and `diagnosis.py` (what is left, and what to ask next).
"""
