"""The keypad: a virtual one that follows a profile's script, and everything that is written by driving it.

May import: findings, site, panel. `keypad` is the only interpreter of a script, and finds the keys for a wanted
Programme; `slips` works out what wrong keys lead to, and when they show; `sheets` is what is printed and practised.
"""
