"""Slips at the keypad: what each wrong key leads to, and when it would be noticed.

May import: `entry.keypad`. Start in `invited.py` (every slip that a sheet invites, tried) and `astray.py` (where the
rest of a sheet goes after one wrong key); `misreading.py` has the wrong answers that a head gives.
"""
