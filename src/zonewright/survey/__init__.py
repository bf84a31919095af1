"""Physics applied to a site: what its own numbers come to.

May import: site, panel, physics. `power.py` is the standby battery's sum.
"""
