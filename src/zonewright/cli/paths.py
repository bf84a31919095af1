"""Files as people name them on the command line."""

from __future__ import annotations

from pathlib import Path
from typing import Any

import click


class _NamedFile(click.Path):
    """A path, but no empty one, which would be the folder one is in."""

    def convert(self, value: Any, param: click.Parameter | None, ctx: click.Context | None) -> Any:
        """Return the path; fails where nothing is named."""
        if value == "":
            self.fail("it is empty; name a file", param, ctx)
        return super().convert(value, param, ctx)


FILE = _NamedFile(path_type=Path)
