"""`matrix`: what the programmed panel will do, zone by zone, in every mode."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from zonewright.cli.matrix_text import matrix_lines
from zonewright.cli.opening import job_at
from zonewright.cli.paths import FILE
from zonewright.cli.plain_data import print_result
from zonewright.cli.terminal import screen_of
from zonewright.desk.results.matrices import matrix_data
from zonewright.panel.readback_file import is_readback


@click.command("matrix")
@click.argument("site", type=FILE)
@click.option("--json", "as_json", is_flag=True, help="Print every cell as JSON.")
@click.option("--ascii", "ascii_only", is_flag=True, help="Use plain letters only.")
def show_matrix(site: Path, as_json: bool, ascii_only: bool) -> int:
    """Show what follows from each zone's opening in each mode, and from troubles.

    Every line is computed by letting the panel model run: nothing here is written by hand. "sent" tells that the
    station hears of it; `zonewright explain` tells when and what. SITE may be a readback, too: then what isn't known is
    told in place of a guess.

    \b
    zonewright matrix larkfield.yaml
    """
    if is_readback(site):
        from zonewright.cli.readback_text import show_matrix_of_readback

        return show_matrix_of_readback(site, screen_of(sys.stdout, ascii_only=ascii_only), as_json=as_json)
    job = job_at(site)
    if as_json:
        print_result(matrix_data(job))
        return 0
    screen = screen_of(sys.stdout, ascii_only=ascii_only)
    screen.say(*matrix_lines(job.resolved, job.matrix, screen.width))
    return 0
