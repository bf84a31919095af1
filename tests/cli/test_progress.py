"""The bar that tells how far a long piece of work has come."""

from __future__ import annotations

import io

from zonewright.cli.progress import ProgressBar


class Terminal(io.StringIO):
    def isatty(self) -> bool:
        return True


def bar(stream: io.StringIO, seconds: list[float]) -> ProgressBar:
    return ProgressBar(stream, lambda: seconds.pop(0))


def test_nothing_is_shown_at_once_then_a_bar_that_grows_and_goes() -> None:
    stream = Terminal()
    progress = bar(stream, [0.0, 0.5, 1.5, 2.0])
    progress.show("proving", 3, 40)
    assert stream.getvalue() == ""
    progress.show("proving", 10, 40)
    assert stream.getvalue() == "\rproving [#####...............] 10 of 40"
    progress.show("a", 4, 4)
    assert stream.getvalue().endswith("\ra [####################] 4 of 4" + " " * 8)
    progress.clear()
    assert stream.getvalue().endswith("\r" + " " * 39 + "\r")


def test_a_pipe_gets_nothing_and_nought_of_nought_is_no_mistake() -> None:
    pipe = io.StringIO()
    progress = bar(pipe, [0.0, 9.0, 9.0])
    progress.show("proving", 0, 0)
    progress.clear()
    assert pipe.getvalue() == ""
    stream = Terminal()
    bar(stream, [0.0, 9.0]).show("proving", 0, 0)
    assert "0 of 0" in stream.getvalue()
