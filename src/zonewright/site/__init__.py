"""The site file: what a technician writes about one job, and reading it with every mistake placed.

May import: findings. Start in `model.py` (the records), then `composer.py` (text to a tree with places) and
`reading.py` (tree to records).
"""
