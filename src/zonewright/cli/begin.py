"""`new`, `import` and `number`: beginning a site file, and writing into one what the panel made of it."""

from __future__ import annotations

import os
import sys
from pathlib import Path

import click

from zonewright.cli.opening import job_at, outside_allowed, readback_at
from zonewright.cli.paths import FILE
from zonewright.cli.telling import mistakes
from zonewright.cli.terminal import screen_of
from zonewright.desk.saving import save, save_edited
from zonewright.findings import BadInput, Finding, Severity
from zonewright.findings import Path as FilePath
from zonewright.panel.first_file import first_file
from zonewright.panel.reading import find_profile, is_path, shipped_names
from zonewright.panel.skeleton import skeleton
from zonewright.site.edits import edited
from zonewright.site.files import Folder
from zonewright.site.filetext import read_text
from zonewright.site.schedule_csv import FIELDS, read_schedule
from zonewright.site.sitefile import read_site_text
from zonewright.site.writing import scalar, site_text


@click.command("new")
@click.argument("file", type=FILE)
@click.option("--name", help="What the site is called.")
@click.option("--panel", help="A profile that comes with Zonewright, or the path of one.")
@click.option("--areas", help="Its areas, parted by commas.")
@click.option("--account", help="The monitoring station's account; leave it out if nobody is told.")
@click.option("--from", "read", type=FILE, metavar="READBACK", help="What its panel holds now.")
@click.option("--force", is_flag=True, help="Write over an existing file.")
def new_site(
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
    profile = find_profile(panel, Folder(file.parent, outside=outside_allowed())).usable()
    areas = areas if areas is not None else click.prompt("Areas, parted by commas", default="house")
    if account is None:
        account = click.prompt("Account at the station (empty: none)", default="", show_default=False)
    words = [word.strip() for word in areas.split(",") if word.strip()] or ["house"]
    word = panel if is_path(panel) else scalar(panel)
    text = first_file(profile, word, name.strip() or "A new site", file.name, words, account.strip())
    read_site_text(text, str(file)).usable()
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
    panel = opened.readback.panel
    panel = os.path.relpath(read.parent / panel, file.parent) if is_path(panel) else panel
    text = skeleton(opened.profile, opened.programme, panel, name.strip() or "A new site", file.name)
    save(file, text, force=force, inputs=(read,))
    missing = text.count("not known") - 1  # the head speaks of it
    screen_of(sys.stdout).say(
        f"{file}: begun, {missing} remarks tell what is not known", f"next: zonewright check {file}"
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
    text, findings = read_text(schedule)
    if findings:
        raise BadInput(findings)
    columns = dict(_pair(each) for each in mapped)
    made = read_schedule(text, str(schedule), columns)
    if made.findings:
        raise BadInput(made.findings)
    lines = [f"site: {scalar(name)}", f"panel: {panel if is_path(panel) else scalar(panel)}"]
    lines.append("areas: {" + ", ".join(f"{scalar(area)}: {{}}" for area in made.areas) + "}")
    lines.append("devices:")
    for device, fields in made.devices.items():
        lines += [f"  {scalar(device)}:", *(f"    {field}: {_flow(value)}" for field, value in fields.items())]
    raw = "\n".join(lines) + "\n"
    read = read_site_text(raw, str(file))
    head = f"{name}, imported from {schedule.name}.\nIt shows how to get in: keep it locked. No code belongs in it."
    whole = site_text(read.record, head) if read.record is not None else raw
    save(file, whole, force=force, inputs=(schedule,))
    screen = screen_of(sys.stdout)
    screen.say(f"{file}: {len(made.devices)} devices written")
    if read.record is None:
        screen.say("It can't be used yet:", *mistakes(read.findings, screen.width))
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
    resolved = job_at(site).resolved
    values: dict[FilePath, str] = {}
    for given, origin in resolved.zones.items():
        if not origin.given:
            values[(*origin.path, "number" if origin.path[-1] == "zone" else "zone")] = str(given)
    people, remotes = resolved.site.people, resolved.site.remotes
    values |= {("people", name, "slot"): str(n) for n, name in resolved.users.items() if people[name].slot is None}
    values |= {("remotes", name, "slot"): str(n) for n, name in resolved.remotes.items() if remotes[name].slot is None}
    screen = screen_of(sys.stdout)
    if not values:
        screen.say(f"{site}: every number stands already")
        return 0
    text, _ = read_text(site)
    save_edited(site, edited(text, str(site), values))
    screen.say(*(f"{' '.join(map(str, path))}: {value}" for path, value in values.items()), f"{site}: written")
    return 0


def _pair(text: str) -> tuple[str, str]:
    field, equals, column = text.partition("=")
    if not equals or not field or not column:
        fix = "write --map FIELD=COLUMN"
        raise BadInput([Finding("USE-05", Severity.PROBLEM, f"--map {text}", "it maps nothing", fix=fix)])
    return field.strip(), column.strip()


def _flow(value: object) -> str:
    if isinstance(value, dict):
        return "{" + ", ".join(f"{name}: {_flow(one)}" for name, one in value.items()) + "}"
    return scalar(str(value))
