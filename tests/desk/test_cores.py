"""Copies of a process hear no signal, and whoever makes them hears as before."""

from __future__ import annotations

import errno
import json
import multiprocessing
import os
import signal
import threading
from pathlib import Path

import pytest

from zonewright.cli import main
from zonewright.desk import cores

DEMO = Path(__file__).parents[2] / "src/zonewright/cli/demo_files/bakery.yaml"

pytestmark = pytest.mark.skipif(not hasattr(signal, "pthread_sigmask"), reason="a system without masks")


def blocked(_task: int = 0) -> set[int]:
    return {int(each) for each in signal.pthread_sigmask(signal.SIG_BLOCK, ())}


def test_copies_are_deaf_to_both_signals_and_their_maker_is_not() -> None:
    before = blocked()
    with cores.copies(1) as pool:
        assert {signal.SIGINT, signal.SIGTERM} <= pool.apply(blocked)
    assert blocked() == before
    assert not {signal.SIGINT, signal.SIGTERM} & before


def test_without_room_for_a_copy_nothing_is_begun_and_it_says_so(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    def no_room() -> int:
        raise OSError(errno.ENOMEM, "Cannot allocate memory")

    monkeypatch.setattr(cores, "available", lambda: 2)
    monkeypatch.setattr(os, "fork", no_room)
    assert main(["prove", str(DEMO), "--json"]) == 2
    out, err = capsys.readouterr()
    assert json.loads(out)["stopped"] is True
    assert err.startswith("zonewright: the machine has not enough memory for this: ")
    assert not multiprocessing.active_children()


def test_without_room_for_threads_no_pool_is_half_begun(monkeypatch: pytest.MonkeyPatch) -> None:
    """One that is would wait for itself at the end."""

    def no_room(_thread: threading.Thread) -> None:
        raise RuntimeError("can't start new thread")

    monkeypatch.setattr(threading.Thread, "start", no_room)
    with pytest.raises(MemoryError):
        cores.copies(2)
    assert not multiprocessing.active_children()


@pytest.mark.parametrize(("free", "processes"), [(None, 4), (100, 1), (1_000, 1), (2_500, 2), (10_000, 4)])
def test_no_more_processes_work_than_the_memory_has_room_for(
    free: int | None, processes: int, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setattr(cores, "available", lambda: 4)
    monkeypatch.setattr(cores, "_free_bytes", lambda: free)
    assert cores.with_room(1_000) == processes
