"""The site file: what a technician writes about one job, and reading it with every mistake placed.

May import: findings. Start in `model.py` (the records), then `composer.py` (text to a tree with places), `reading.py`
(tree to any record), `sitefile.py` (a whole site file: `read_site`) and `must.py` (what the owner wants). Names are
imported from these files, so that asking for the records alone doesn't load the parser.
"""
