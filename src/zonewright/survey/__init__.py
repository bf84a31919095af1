"""Physics applied to a site: what follows from its own numbers.

May import: site, panel, physics. `power.py` works out the standby battery; `layout.py` is the geometry of the plan.
"""
