"""Pages of docs/ that list what the code knows: verbs, rules, slips, messages, and the results as data.

One module a page, with a function `page` that gives its whole text; `../docs.py` lists them.
"""
