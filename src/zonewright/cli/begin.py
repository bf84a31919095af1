"""`new`, `import` and `number`: beginning a site file, and writing into one what the panel made of it."""

from __future__ import annotations

import sys
from pathlib import Path

import click

from zonewright.cli.findings_text import mistakes
from zonewright.cli.opening import job_at, outside_allowed, readback_at, text_at
from zonewright.cli.paths import FILE
from zonewright.cli.terminal import screen_of
from zonewright.desk.beginning import ONE_AREA, new_site, site_from_readback, site_from_schedule
from zonewright.desk.numbering import numbered
from zonewright.desk.profiles import profile_named
from zonewright.desk.saving import save, save_edited
from zonewright.findings import BadInput, Finding, Severity
from zonewright.panel.profile_file import is_path, shipped_names
from zonewright.site.files import Folder
from zonewright.site.schedule_csv import FIELDS


@click.command("new")
@click.argument("file", type=FILE)
@click.option("--name", help="What the site is called.")
@click.option("--panel", help="A profile that comes with Zonewright, or the path of one.")
@click.option("--areas", help="Its areas, parted by commas.")
@click.option("--account", help="The monitoring station's account; leave it out if nobody is told.")
@click.option("--from", "read", type=FILE, metavar="READBACK", help="What its panel holds now.")
@click.option("--force", is_flag=True, help="Write over an existing file.")
def new(
    file: Path,
    name: str | None,
    panel: str | None,
    areas: str | None,
    account: str | None,
    read: Path | None,
    force: bool,
) -> int:
    """Begin a site file: a few questions, then a commented file to go on with.

    What is given as an option isn't asked. With --from only the name is asked: all else is what the panel holds, and
    what isn't known of it stands as a remark.

    \b
    zonewright new larkfield.yaml
    zonewright new larkfield.yaml --name "Larkfield Cottage" --panel tern --areas house --account ""
    zonewright new larkfield.yaml --from larkfield-panel.yaml
    """
    if read is not None:
        return from_readback(file, read, name, force=force, unused=(panel, areas, account))
    name = name if name is not None else click.prompt("What is the site called")
    if panel is None:
        panel = click.prompt(
            f"Panel ({', '.join(shipped_names())}, or the path of a profile)", default=shipped_names()[0]
        )
    profile = profile_named(panel, Folder(file.parent, outside=outside_allowed()))
    areas = areas if areas is not None else click.prompt("Areas, parted by commas", default=ONE_AREA)
    if account is None:
        account = click.prompt("Account at the station (empty: none)", default="", show_default=False)
    text = new_site(profile, panel, str(file), name, areas.split(","), account)
    save(file, text, force=force, inputs=(file.parent / panel,) if is_path(panel) else ())
    screen_of(sys.stdout).say(f"{file}: begun", f"next: fill in the devices, then zonewright check {file}")
    return 0


def from_readback(file: Path, read: Path, name: str | None, *, force: bool, unused: tuple[str | None, ...]) -> int:
    """Begin a site file with what a panel holds."""
    if any(each is not None for each in unused):
        says, fix = "panel, areas and account are those of the readback", "leave out --panel, --areas and --account"
        raise BadInput([Finding("USE-06", Severity.PROBLEM, f"--from {read}", says, fix=fix)])
    opened = readback_at(read)
    name = name if name is not None else click.prompt("What is the site called")
    begun = site_from_readback(opened, file, name)
    save(file, begun.text, force=force, inputs=(read,))
    screen_of(sys.stdout).say(
        f"{file}: begun, {begun.unknown} remarks tell what is not known", f"next: zonewright check {file}"
    )
    return 0


@click.command("import")
@click.argument("schedule", type=FILE)
@click.argument("file", type=FILE)
@click.option("--map", "mapped", multiple=True, metavar="FIELD=COLUMN", help=f"Fields: {', '.join(FIELDS)}.")
@click.option("--name", default="Imported site", show_default=True, help="What the site is called.")
@click.option("--panel", default="tern", show_default=True, help="The panel's profile.")
@click.option("--force", is_flag=True, help="Write over an existing file.")
def import_schedule(schedule: Path, file: Path, mapped: tuple[str, ...], name: str, panel: str, force: bool) -> int:
    """Make a site FILE from a zone SCHEDULE in CSV.

    Columns are found by name; --map tells which column holds a field whose name differs. Exit code 1 if the file was
    written but has mistakes still to mend.

    \b
    zonewright import zones.csv shop.yaml --map zone=No --map called="Zone name" --map kind=Device
    """
    text, columns = text_at(schedule), dict(_pair(each) for each in mapped)
    made = site_from_schedule(text, str(schedule), str(file), columns, name=name, panel=panel)
    save(file, made.text, force=force, inputs=(schedule,))
    screen = screen_of(sys.stdout)
    screen.say(f"{file}: {made.devices} devices written")
    if made.findings:
        screen.say("It can't be used yet:", *mistakes(made.findings, screen.width))
        return 1
    screen.say(f"next: zonewright check {file}")
    return 0


@click.command("number")
@click.argument("site", type=FILE)
def number(site: Path) -> int:
    """Write into SITE the numbers of zones, people and remotes that were "next free", once they are keyed.

    Only those values change; remarks, order and blanks stay as they are. What the panel `learnt` of a transmitter is
    yours to write: it is what its display showed, and nobody else has seen it.

    \b
    zonewright number larkfield.yaml
    """
    found = numbered(job_at(site))
    screen = screen_of(sys.stdout)
    if not found.values:
        screen.say(f"{site}: every number stands already")
        return 0
    save_edited(site, found.text)
    screen.say(*(f"{' '.join(map(str, path))}: {value}" for path, value in found.values.items()), f"{site}: written")
    return 0


def _pair(text: str) -> tuple[str, str]:
    field, equals, column = text.partition("=")
    if not equals or not field or not column:
        fix = "write --map FIELD=COLUMN"
        raise BadInput([Finding("USE-05", Severity.PROBLEM, f"--map {text}", "it maps nothing", fix=fix)])
    return field.strip(), column.strip()
