"""From a named message of the panel to what the monitoring station gets.

May import: behaviour, signals. Start in `table.py` (the one table), then `expected.py` (every message a Programme can
send).
"""
