"""How property tests run: on CI always the same examples, and never against a clock."""

from __future__ import annotations

import gc
import os
from collections.abc import Iterator

import pytest
from hypothesis import settings

settings.register_profile("ci", deadline=None, derandomize=True, print_blob=True)
settings.register_profile("here", deadline=None)
settings.register_profile("quick", deadline=None, max_examples=5)  # `./dev quick`
settings.load_profile("ci" if os.environ.get("CI") == "true" else "here")


def pytest_collection_modifyitems(config: pytest.Config, items: list[pytest.Item]) -> None:
    """Leave out the tests marked `deep`, but on CI and where one is asked for by its name."""
    if "ZONEWRIGHT_ALL_TESTS" in os.environ or any("::" in each for each in config.args):
        return
    deep = [each for each in items if each.get_closest_marker("deep")]
    config.hook.pytest_deselected(items=deep)
    items[:] = [each for each in items if not each.get_closest_marker("deep")]


@pytest.fixture(scope="session", autouse=True)
def _proofs_by_themselves() -> Iterator[None]:
    """Keep no proof from test to test, nor where a user's are; and copy no process as large as this."""
    with pytest.MonkeyPatch.context() as patch:
        patch.setenv("ZONEWRIGHT_CACHE", "off")
        patch.setattr("zonewright.desk.cores.available", lambda: 1)
        yield


@pytest.fixture(scope="module", autouse=True)
def _what_is_kept_so_far_is_left_alone() -> None:
    """Let no collection go through what the files before keep: proofs collect often, and it grows to gigabytes."""
    gc.collect()
    gc.freeze()
