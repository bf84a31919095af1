"""From what is known about a job to the bytes of its pack.

Rules of this file:
1. `pack_data` is pure; `render` reads nothing but the templates and fonts that come with it, and writes nothing.
2. The same data give the same bytes: no date, no name of a machine in the file.
3. Texts go to the templates as data, never as markup. A letter that the fonts lack is a finding, not an empty box.
"""

from __future__ import annotations

import json
from collections.abc import Iterator, Sequence
from dataclasses import asdict, fields, is_dataclass
from importlib.resources import as_file, files
from typing import Literal

import typst

from zonewright.checks.check import Judged
from zonewright.checks.readiness import not_ready
from zonewright.documents.cautions import cautions
from zonewright.documents.entry_pages import entry_pages
from zonewright.documents.foreseen import foreseen
from zonewright.documents.found import found
from zonewright.documents.glyphs import missing, missing_on_displays
from zonewright.documents.leaving import listings
from zonewright.documents.plan_drawing import drawings
from zonewright.documents.proved import proved, proved_number
from zonewright.documents.records import BigNumber, CoverPage, Fact, PackData
from zonewright.documents.schedule import area_names, chart, day_in_words, schedule
from zonewright.documents.walked import walked
from zonewright.entry.sheets.guide import Guide
from zonewright.entry.sheets.sheet import EntrySheet
from zonewright.findings import BadInput, Finding, Severity
from zonewright.panel.resolve import Resolved
from zonewright.proof.prove import Verdict
from zonewright.site.plan import Plan
from zonewright.testplan.planner import TestPlan
from zonewright.words.matrix import Matrix
from zonewright.words.tracks import names_of

Paper = Literal["a4", "us-letter"]
ON_DISPLAYS = frozenset({"shows", "look", "after"})  # fields of records that are set like a keypad's display


def pack_data(
    resolved: Resolved,
    made: Matrix,
    judged: Judged,
    sheets: Sequence[EntrySheet] = (),
    householder: Sequence[Guide] = (),
    plan: Plan | None = None,
    verdicts: Sequence[Verdict] = (),
    walk: TestPlan | None = None,
    beware: tuple[str, ...] = (),
) -> PackData:
    """Return all that a pack prints about one site; `made` is its matrix of every cause.

    `beware` is what somebody must know before a change is keyed. A sheet by which nothing is keyed has
    no more than what stands before its first key; where that is nothing, it is left out.
    """
    site, setup, unready = resolved.site, made.setup, not_ready(judged)
    return PackData(
        title=f"{site.site}, job pack, revision {site.revision}",
        cover=_cover(resolved, made, judged, verdicts),
        schedule=schedule(resolved, setup),
        chart=chart(setup, site.station.account if site.station is not None else ""),
        foreseen=foreseen(made, area_names(resolved), names_of(resolved), resolved.on_one_device()),
        found=found(judged),
        proved=proved(setup, verdicts, names_of(resolved)) if verdicts else None,
        not_ready=unready,
        sheets=tuple(entry_pages(each, resolved, unready, beware) for each in sheets if each.jobs or unready or beware),
        drawings=drawings(plan, resolved) if plan is not None else (),
        listings=listings(resolved, made),
        walked=walked(walk, names_of(resolved)) if walk is not None else None,
        householder=tuple(householder),
        call=_call(resolved),
        cautions=cautions(told=setup.settings.told or any(each.station for each in sheets)),
    )


def render(data: PackData, paper: Paper = "a4") -> bytes:
    """Return the pack as a tagged PDF (PDF/UA-1 by the typesetter's own check).

    Raises `BadInput` with a finding for each text that has letters which the fonts lack.
    """
    unprintable = list(findings(data))
    if unprintable:
        raise BadInput(unprintable)
    with as_file(files("zonewright.documents")) as room:
        pdf, warnings = typst.compile_with_warnings(
            room / "templates" / "pack.typ",
            root=room / "templates",
            font_paths=[room / "fonts"],
            ignore_system_fonts=True,
            format="pdf",
            sys_inputs={"paper": paper, "data": json.dumps(asdict(data), ensure_ascii=False)},
            pdf_standards=["ua-1"],
        )
    if warnings:
        raise AssertionError("; ".join(str(each) for each in warnings))
    assert isinstance(pdf, bytes)
    return pdf


def findings(data: PackData) -> Iterator[Finding]:
    """Give a finding for each text that can't be printed as it stands, each text once."""
    told = set()
    for field, text in _texts(data, ""):
        lacking = missing_on_displays(text) if field in ON_DISPLAYS else missing(text)
        if lacking and (text, lacking) not in told:
            told.add((text, lacking))
            names = ", ".join(f"{letter} (U+{ord(letter):04X})" for letter in lacking)
            yield Finding(
                "PRN-01",
                Severity.PROBLEM,
                f'text "{text}"',
                f"the pages have no letter for {names}",
                why="an empty box would be printed there",
                fix="write it in Latin, Greek or Cyrillic letters",
            )


def _texts(value: object, field: str) -> Iterator[tuple[str, str]]:
    """Give every text of a record with the name of the field it stands in."""
    if isinstance(value, str):
        yield field, value
    elif isinstance(value, tuple):
        for each in value:
            yield from _texts(each, field)
    elif is_dataclass(value):
        for each in fields(value):
            yield from _texts(getattr(value, each.name), each.name)


def _cover(resolved: Resolved, made: Matrix, judged: Judged, verdicts: Sequence[Verdict]) -> CoverPage:
    site, profile = resolved.site, resolved.profile
    zones, areas = len(made.setup.zones), len(resolved.areas)
    number = {each: sum(finding.severity is each for finding in judged.findings) for each in Severity}
    facts = [
        Fact("panel", f"{profile.panel}, edition {profile.edition}"),
        Fact("size", f"{zones} zone{'s' * (zones != 1)} in {areas} area{'s' * (areas != 1)}"),
    ]
    if site.installer is not None:
        facts.append(Fact("installer", ", ".join(filter(None, (site.installer.name, site.installer.telephone)))))
    if site.station is not None:
        account = f"account {site.station.account}"
        facts.append(Fact("monitoring station", ", ".join(filter(None, (account, site.station.telephone)))))
    dated = f" · {day_in_words(site.dated)}" if site.dated is not None else ""
    return CoverPage(
        name=site.site,
        revision=f"revision {site.revision}{dated}",
        facts=tuple(facts),
        numbers=(
            *(BigNumber(number[each], each.value) for each in Severity),
            BigNumber(zones, "zone" if zones == 1 else "zones"),
            *((proved_number(verdicts),) if verdicts else ()),
        ),
    )


def _call(resolved: Resolved) -> str:
    installer = resolved.site.installer
    if installer is None:
        return ""
    return f"If not, call {', '.join(filter(None, (installer.name, installer.telephone)))}."
