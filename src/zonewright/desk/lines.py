"""Lines as a receiver gives them, read from a stream, and the messages that a site's station is to expect."""

from __future__ import annotations

from collections.abc import Iterator
from typing import BinaryIO

from zonewright.desk.job import Job
from zonewright.desk.results.messages import MOST_SIGNS
from zonewright.findings import BadInput, Finding, Severity
from zonewright.reporting.expected import ExpectedMessage, expected

MOST_LINES = 200_000
NO_ACCOUNT = "0000"  # where a site has no station


def lines_of(stream: BinaryIO) -> Iterator[str]:
    """Give the lines of a stream, blank ones left out; of a very long one only as much as shows that it is too long.

    Raises `BadInput` where there are too many.
    """
    for count, line in enumerate(iter(lambda: stream.readline(4 * MOST_SIGNS), b"")):
        if count == MOST_LINES:
            says = f"more than {MOST_LINES} lines"
            raise BadInput([Finding("USE-04", Severity.PROBLEM, "input", says, fix="read it in parts")])
        text = line.decode("ascii", errors="backslashreplace").strip()
        if text:
            yield text


def expected_of(job: Job) -> tuple[ExpectedMessage, ...]:
    """Return every message that can leave a site's panel."""
    station = job.resolved.site.station
    return expected(job.resolved, station.account if station is not None else NO_ACCOUNT, job.setup)
