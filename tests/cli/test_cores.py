"""Copies of a process hear no signal, and whoever makes them hears as before."""

from __future__ import annotations

import signal

import pytest

from zonewright.cli import cores

pytestmark = pytest.mark.skipif(not hasattr(signal, "pthread_sigmask"), reason="a system without masks")


def blocked(_task: int = 0) -> set[int]:
    return {int(each) for each in signal.pthread_sigmask(signal.SIG_BLOCK, ())}


def test_copies_are_deaf_to_both_signals_and_their_maker_is_not() -> None:
    before = blocked()
    with cores.copies(1) as pool:
        assert {signal.SIGINT, signal.SIGTERM} <= pool.apply(blocked)
    assert blocked() == before
    assert not {signal.SIGINT, signal.SIGTERM} & before
