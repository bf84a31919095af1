"""`pack`: the job pack as PDF."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from zonewright.cli.collecting import uncollected
from zonewright.cli.opening import job_at, older_at
from zonewright.cli.paths import FILE
from zonewright.cli.progress import ProgressBar
from zonewright.cli.terminal import screen_of
from zonewright.desk.job_pack import job_pack
from zonewright.desk.saving import save_all, twice
from zonewright.desk.verdicts import Proving
from zonewright.desk.zones import zones_meant
from zonewright.documents.html import render_html
from zonewright.documents.pack import Paper, render
from zonewright.findings import BadInput

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
@uncollected()
def pack(
    site: Path, since: Path | None, device: str | None, paper: str, out: Path | None, no_proofs: bool, no_walk: bool,
    force: bool,
) -> int:  # fmt: skip
    """Print the job pack of SITE as PDF, and as one HTML page beside it.

    Cover, schedule, what will happen, what each zone does, plan, findings, what is proved, cautions, entry sheet,
    battery, messages, test sheet, hand-over, test plan record and the householder's page. It shows how to get in: keep
    it locked. No code stands in it. Setting the pages takes about 8 MB of memory for each zone.

    \b
    zonewright pack larkfield.yaml
    zonewright pack larkfield.yaml --since larkfield-before.yaml --guide side-gate --paper letter
    """
    job = job_at(site)
    older = older_at(since, job)
    zone = zones_meant(job.resolved, device)[0] if device is not None else None
    target = out if out is not None else site.with_suffix(".pdf")
    page = target.with_suffix(".html")
    if page == target:
        raise BadInput([twice([target, page])])
    bar = ProgressBar()
    proving = None if no_proofs else Proving(job)
    try:
        data = job_pack(job, older, zone, proving, walk=not no_walk, progress=bar.show)
    except KeyboardInterrupt:
        unproved = proving is not None and len(proving.verdicts) < len(proving.asked)
        raise KeyboardInterrupt(f"stopped: {proving.how_far}" if proving is not None and unproved else "") from None
    finally:
        bar.clear()
    read = (*job.files, *([since] if since is not None else []))
    save_all({target: render(data, PAPERS[paper]), page: render_html(data)}, force=force, inputs=read)
    screen_of(sys.stdout).say(f"{target}: written", f"{page}: written")
    return 0
