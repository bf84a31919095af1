"""`schema`: the JSON Schemas of the files that people type, for editors, and of what `--json` prints."""

from __future__ import annotations

import click

from zonewright.cli.plain_data import print_json
from zonewright.desk.schemas import KINDS, schema_for


@click.command()
@click.argument("kind", type=click.Choice(KINDS), default="site", metavar="[KIND]")
def schema(kind: str) -> int:
    """Print the JSON Schema of the site file, or of the KIND that is named.

    KIND is site, plan or profile for a file that you type, else a kind of result that --json prints, as `kind` in it
    says. An editor that knows a file's schema completes names while you type and underlines what can't be right. Most
    find it by the first line of a file, as `zonewright new` writes it:
    # yaml-language-server: $schema=zonewright.schema.json

    \b
    zonewright schema > zonewright.schema.json
    zonewright schema profile > profile.schema.json
    zonewright schema verdicts
    """
    print_json(schema_for(kind))
    return 0
