"""The rule catalogue: what is doubtful about a design that a panel would nevertheless take.

May import: every room but testplan, diagnosis, documents, desk and the faces. Start in `catalogue.py` (what a rule is),
`job.py` (what a rule sees) and `check.py` (all of them at once); the rules stand in one module a topic.
"""
