"""`pack`: the job pack as PDF."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from zonewright.behaviour.devices import without_cover
from zonewright.behaviour.matrix import matrix
from zonewright.behaviour.setup import setup_of
from zonewright.checks.check import check
from zonewright.checks.since import beware
from zonewright.cli.enter import guide_of, sheet_of
from zonewright.cli.opening import files_behind, older_at, plan_of, site_at
from zonewright.cli.paths import FILE
from zonewright.cli.progress import Progress
from zonewright.cli.proofs import verdicts_of
from zonewright.cli.saving import save_all, twice
from zonewright.cli.terminal import screen_of
from zonewright.cli.zones import zones_meant
from zonewright.documents.html import render_html
from zonewright.documents.pack import Paper, pack_data, render
from zonewright.documents.records import PackData
from zonewright.fieldwork.candidates import ground_of
from zonewright.fieldwork.testplan import Planner
from zonewright.fieldwork.ways import ways_of
from zonewright.findings import BadInput
from zonewright.panel.resolve import Resolved
from zonewright.site.plan import Plan
from zonewright.site.record import ZoneNumber

PAPERS: dict[str, Paper] = {"a4": "a4", "letter": "us-letter"}


@click.command()
@click.argument("site", type=FILE)
@click.option("--since", type=FILE, metavar="OLDER", help="The site file as the panel holds it.")
@click.option("--guide", "device", metavar="DEVICE", help="Add the householder's page for this device.")
@click.option("--paper", type=click.Choice(list(PAPERS)), default="a4", show_default=True, help="The size of paper.")
@click.option(
    "--out",
    type=FILE,
    metavar="FILE",
    help="Where to write the PDF; SITE.pdf if left out. The HTML page has its name.",
)
@click.option("--no-proofs", is_flag=True, help="Leave out what can be proved: it takes longest on large sites.")
@click.option("--no-walk", is_flag=True, help="Leave out the test plan: it takes up to a minute on large sites.")
@click.option("--force", is_flag=True, help="Write over an existing file.")
def pack(
    site: Path, since: Path | None, device: str | None, paper: str, out: Path | None, no_proofs: bool, no_walk: bool,
    force: bool,
) -> int:  # fmt: skip
    """Print the job pack of SITE as PDF, and as one HTML page beside it.

    Cover, schedule, what will happen, what each zone does, plan, findings, what is proved, cautions, entry sheet,
    battery, messages, test sheet, hand-over, test plan record and the householder's page. It shows how to get in: keep
    it locked. No code stands in it.

    \b
    zonewright pack larkfield.yaml
    zonewright pack larkfield.yaml --since larkfield-before.yaml --guide side-gate --paper letter
    """
    resolved = site_at(site)
    older = older_at(since, resolved) if since is not None else None
    zone = zones_meant(resolved, device)[0] if device is not None else None
    target = out if out is not None else site.with_suffix(".pdf")
    page = target.with_suffix(".html")
    if page == target:
        raise BadInput([twice([target, page])])
    data = pack_of(resolved, older, zone, plan_of(resolved, site.parent), proofs=not no_proofs, walk=not no_walk)
    read = (*files_behind(site, resolved), *([since] if since is not None else []))
    save_all({target: render(data, PAPERS[paper]), page: render_html(data)}, force=force, inputs=read)
    screen_of(sys.stdout).say(f"{target}: written", f"{page}: written")
    return 0


def pack_of(
    resolved: Resolved,
    older: Resolved | None,
    zone: ZoneNumber | None,
    plan: Plan | None = None,
    *,
    proofs: bool = True,
    walk: bool = True,
) -> PackData:
    """Return the pack of a site; `older` is the site as the panel holds it, `zone` the one the householder keys."""
    setup = setup_of(resolved.programme, resolved.profile)
    sheet = sheet_of(resolved, older.programme if older is not None else None)
    pages = () if zone is None else (guide_of(resolved, sheet, zone),)
    progress = Progress()
    verdicts = verdicts_of(resolved, setup, progress=progress) if proofs else ()
    tests = None
    if walk and resolved.zones:
        tests = Planner(ground_of(resolved), ways_of(plan), older, progress.show).run()
    progress.clear()
    if tests is not None and tests.stopped:  # the planner gives the best that it has; no pack is made of that
        raise KeyboardInterrupt
    made = matrix(setup, bare=without_cover(resolved))
    known = beware(older, resolved) if older is not None else ()
    return pack_data(resolved, made, check(resolved, plan), (sheet,), pages, plan, verdicts, tests, known)
