"""How property tests run: on CI always the same examples, and never against a clock."""

from __future__ import annotations

import os

from hypothesis import settings

settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.register_profile("here", deadline=None)
settings.load_profile("ci" if os.environ.get("CI") == "true" else "here")
