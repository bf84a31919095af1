"""Zonewright: one plain site file in, a proved and keyed alarm panel out.

The rooms, from the ground up: `findings`, `site`, `panel`, then `behaviour` and `entry`, then `checks`, `documents`
and `cli`. Start reading in `site.model` (what a technician writes), then `panel.programme` (what a panel holds).
"""

__version__ = "0.2.0"
