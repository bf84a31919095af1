"""The demo sites as diagnosis cases, each made once, and what somebody may say there."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from zonewright.diagnosis.case import Case, Diagnosis, case_of
from zonewright.diagnosis.statements import one_line
from zonewright.panel.opening import open_site

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
SITES = ("larkfield", "rowan", "bakery")


@cache
def case(site: str = "larkfield") -> Case:
    """Return a demo site's case."""
    return case_of(open_site(FILES / f"{site}.yaml"))


def seen(*lines: str, site: str = "larkfield") -> Diagnosis:
    """Return the diagnosis after some observations."""
    diagnosis = Diagnosis(case(site))
    for line in lines:
        observed, slips = one_line(case(site), line, "--saw")
        assert observed is not None, slips
        diagnosis = diagnosis.given(observed)
    return diagnosis


def says(diagnosis: Diagnosis) -> str:
    """Return all that may be the matter, one a line."""
    return "\n".join(str(each) for cause in diagnosis.causes() for each in cause.hypotheses)
