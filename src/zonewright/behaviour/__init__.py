"""What a programmed panel does: one `step`, and everything that is computed by running it.

May import: findings, site, panel. Start in `step.py` (where to look up each event; its files list the CHOICES), then
`state.py` (what the panel remembers), `clockwork.py` (the panel in time), `matrix.py`; `setup.py` says what is read of
a Programme, `specification.py` prints what all of it does.
"""

from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.explain import explain
from zonewright.behaviour.matrix import matrix
from zonewright.behaviour.sentence import sentence
from zonewright.behaviour.setup import setup_of
from zonewright.behaviour.step import step

__all__ = ["Clockwork", "explain", "matrix", "sentence", "setup_of", "step"]
