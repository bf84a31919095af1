"""The packs that these tests look at: the demo house's, and the text of a PDF."""

from __future__ import annotations

from functools import cache
from importlib.resources import files
from io import BytesIO
from pathlib import Path
from typing import Any

from pypdf import PdfReader

from zonewright.behaviour.setup import setup_of
from zonewright.checks.check import check
from zonewright.documents.pack import Paper, pack_data, render
from zonewright.documents.records import PackData
from zonewright.entry.sheets.guide import guide
from zonewright.entry.sheets.sheet import EntrySheet, delta, whole
from zonewright.fieldwork.candidates import ground_of
from zonewright.panel.opening import open_site
from zonewright.panel.resolve import Resolved
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Window
from zonewright.proof.prove import Verdict
from zonewright.proof.prover.refine import Settled, VerdictKind
from zonewright.site.record import ZoneNumber
from zonewright.testplan.planner import Planner, TestPlan
from zonewright.words.matrix import Cause, Matrix, matrix
from zonewright.words.scenario import played, read_scenario
from zonewright.words.sentence import sentence

DEMO = Path(str(files("zonewright.cli"))) / "demo_files"


@cache
def site(name: str = "larkfield.yaml") -> Resolved:
    return open_site(DEMO / name)


@cache
def made() -> Matrix:
    return matrix(setup_of(site().programme, site().profile))


@cache
def sheets() -> tuple[EntrySheet, EntrySheet]:
    now, before = site(), site("larkfield-before.yaml")
    return (
        whole(now.profile, now.programme, now.users),
        delta(now.profile, before.programme, now.programme, now.users),
    )


@cache
def pack() -> PackData:
    page = guide(sheets()[1], 7, sentence(made(), ZoneNumber(7)), "two notes")
    return pack_data(site(), made(), check(site()), sheets(), [page], verdicts=verdicts(), walk=walk())


@cache
def walk() -> TestPlan:
    """Return the test plan of what was changed: it has every part that a record has, and is soon made."""
    return Planner(ground_of(site()), before=site("larkfield-before.yaml")).run()


@cache
def verdicts() -> tuple[Verdict, ...]:
    """Return a verdict of each sort on the house's promises; what they say is the prover's business, not the pages'."""
    setup = setup_of(site().programme, site().profile)
    scenario, _ = read_scenario("arm away by Ida; +5 s front-door trips; +2 h small window opens", "", site())
    results = (
        Settled(VerdictKind.FAILS, 9, timeline=played(setup, scenario)),
        Settled(VerdictKind.EMPTY, 9, why="it never comes to that"),
        Settled(VerdictKind.UNDECIDED, 9, why="too large to look at all of it"),
    )
    asked = asked_of(site(), setup, Window())
    settled = [*results, *[Settled(VerdictKind.HOLDS, 9)] * (len(asked) - len(results))]
    return tuple(Verdict(promise, each) for promise, each in zip(asked, settled, strict=True))


@cache
def pdf(paper: Paper = "a4") -> bytes:
    return render(pack(), paper)


def reader(content: bytes) -> PdfReader:
    return PdfReader(BytesIO(content))


def catalogue(content: bytes) -> Any:
    """Return what stands at the root of a PDF."""
    return reader(content).trailer["/Root"].get_object()


def pages(content: bytes) -> list[str]:
    return [page.extract_text().replace("\N{NO-BREAK SPACE}", " ") for page in reader(content).pages]


def squeezed(text: str) -> str:
    """Return a text without any white space: lines break where the page ends, words do not change."""
    return "".join(text.split()).replace("\N{ZERO WIDTH SPACE}", "")


def whole_text(content: bytes) -> str:
    return squeezed("".join(pages(content)))


def opened(text: str, tmp_path: Path) -> tuple[Resolved, Matrix]:
    """Return a site written in a test, with its matrix of every cause."""
    path = tmp_path / "site.yaml"
    path.write_text(text, encoding="utf-8")
    resolved = open_site(path)
    return resolved, matrix(setup_of(resolved.programme, resolved.profile), Cause)
