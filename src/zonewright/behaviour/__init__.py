"""What a programmed panel does: one `step`, and the panel in time. No words are made here.

May import: findings, site, panel. Start in `step.py` (where to look up each event; its files list the CHOICES), then
`state.py` (what the panel remembers) and `clockwork.py` (the panel in time); `setup.py` says what the model reads of a
Programme.
"""
