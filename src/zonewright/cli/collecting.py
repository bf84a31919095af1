"""Long work of one verb without the collector of garbage: this process does nothing else."""

from __future__ import annotations

import gc
from collections.abc import Iterator
from contextlib import contextmanager


@contextmanager
def uncollected() -> Iterator[None]:
    """Collect no garbage: much is kept to the end, and looking through it over and over takes up to a third of it."""
    gc.disable()
    try:
        yield
    finally:
        gc.enable()
