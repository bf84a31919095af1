"""Use cases: what somebody does with a site, each as a function of one `Job`.

May import: every room but the faces. Start in `job.py` (a site that somebody works on). A site begins in `beginning.py`
or `taking_over.py`; then `sheets.py` (what is keyed), `verdicts.py` (what is proved, by all cores), `comparing.py`
(what a change changes), `test_plans.py`, `diagnoses.py` and `job_pack.py`. `results/` is what all of them find out, as
plain data; `saving.py` writes files whole or not at all.

Nothing here reads a terminal, a signal or a command line, and nothing is printed. What takes long is handed a
`Progress` to tell how far it is (`progress.py`).
"""
