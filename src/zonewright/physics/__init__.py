"""Pure functions of numbers: one published rule or model each, with its source, units and limits.

May import: nothing of Zonewright. `standby.py` is the battery that rides out a mains failure.
"""
