"""`schema`: the JSON Schema of the site file, for editors."""

from __future__ import annotations

import click

from zonewright.cli.plain_data import print_json
from zonewright.site.schema import site_schema


@click.command()
def schema() -> int:
    """Print the JSON Schema of the site file.

    An editor that knows it completes names while you type and underlines what can't be right.

    \b
    zonewright schema > zonewright.schema.json
    """
    print_json(site_schema())
    return 0
