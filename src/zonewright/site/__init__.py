"""The site file: what a technician writes about one job, and reading it with the place of every mistake.

May import: findings. Start in `model.py` (the records), then `composer.py` (text to a tree with places), `reading.py`
(tree to any record), `sitefile.py` (a whole site file: `read_site`) and `must.py` (what the owner wants). Import names
from these files directly, so that using only the records doesn't load the parser.
"""
