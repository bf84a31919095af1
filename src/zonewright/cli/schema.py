"""`schema`: the JSON Schema of the site file, for editors."""

from __future__ import annotations

import json

import click

from zonewright.site.schema import site_schema


@click.command()
def schema() -> int:
    """Print the JSON Schema of the site file.

    An editor that knows it completes names while you type and underlines what can't be right.

    \b
    zonewright schema > zonewright.schema.json
    """
    click.echo(json.dumps(site_schema(), ensure_ascii=False, indent=2))
    return 0
