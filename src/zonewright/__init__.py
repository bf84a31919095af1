"""Zonewright: one plain site file in, a proved and keyed alarm panel out.

The rooms, from the ground up: `findings` (what is wrong, and where), `site` (what a technician writes), `panel` (what a
panel can hold, and what it holds), `behaviour` (what it then does), `words` (that in words), `proof` (what it does in
every state), `entry` (the keys), `physics` and `survey` (numbers), `signals` and `reporting` (messages), `fieldwork`,
`testplan` and `diagnosis` (work on site), `checks` (the rules), `documents` (paper), `desk` (use cases) and `cli` (the
terminal). Which room may import which stands in `pyproject.toml`. Start reading in `site.model`, then
`panel.programme`.
"""

__version__ = "0.2.0"
