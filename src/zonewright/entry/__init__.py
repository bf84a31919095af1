"""The keypad: a virtual one that follows a profile's script, and everything that is written by driving it.

May import: findings, site, panel. Start in `keypad.py` (the only interpreter of a script) and `styles.py` (how each
kind of answer takes keys); then `drive.py` (from a wanted Programme to keys) and `sheet.py` (what is printed).
"""

from zonewright.entry.keypad import heard, idle, press
from zonewright.entry.sheet import EntrySheet, delta, whole
from zonewright.entry.showing import display
from zonewright.entry.standing import State, at_rest

__all__ = ["EntrySheet", "State", "at_rest", "delta", "display", "heard", "idle", "press", "whole"]
