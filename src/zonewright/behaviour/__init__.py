"""What a programmed panel does: one `step`, and everything that is computed by running it.

May import: findings, site, panel. Start in `step.py` (the specification, with its CHOICES), then `state.py` (what the
panel remembers), `clockwork.py` (the panel in time) and `matrix.py`; `setup.py` says what is read of a Programme.
"""
