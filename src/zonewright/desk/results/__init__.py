"""What each verb finds out, as plain data: a frozen record for each, with one way to JSON and a schema of its own.

Rules of this room:
1. A result is one object with `kind` and `version`, its keys in snake_case; a key stands in every object of its kind,
   null where there is no value. A change that a reader could stumble over gets a new version.
2. The texts in it are those that a person reads, with areas and people called by their names.
3. A record holds what was found, never how it is printed, and no code that opens anything.

May import: every room but the faces. Start in `result.py`; `desk/schemas.py` lists them all.
"""
