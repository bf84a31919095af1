"""`demo`: four invented sites from the site file to the whole job pack, in a folder of their own.

Rules of this file:
1. Only a folder that a demo made and nobody has edited since is written again; else a new, numbered one is made.
2. The mark in that folder holds a checksum of each file; an edited, added or missing file makes the folder the user's.
"""

from __future__ import annotations

import hashlib
import io
import json
import sys
from importlib import resources
from pathlib import Path

import click

from zonewright.cli.check import check_lines
from zonewright.cli.enter import guide_lines
from zonewright.cli.opening import job_at
from zonewright.cli.paths import FILE
from zonewright.cli.prove import tell
from zonewright.cli.terminal import WIDEST, Styled, screen_of
from zonewright.desk.job import Job, older_job
from zonewright.desk.job_pack import job_pack
from zonewright.desk.saving import save_all
from zonewright.desk.sheets import guide_of, keying
from zonewright.desk.verdicts import Proving
from zonewright.documents.html import render_html
from zonewright.documents.pack import render
from zonewright.entry.sheets.text import sheet_lines
from zonewright.findings import BadInput, Finding, Severity
from zonewright.site.record import ZoneNumber

MARK = ".zonewright-demo"
HOUSE, BEFORE, WRONG = "larkfield.yaml", "larkfield-before.yaml", "larkfield-wrong.yaml"
NEW_JOBS = ("rowan.yaml", "bakery.yaml")
SITES = (HOUSE, BEFORE, WRONG, "larkfield-plan.yaml", *NEW_JOBS, "rowan-plan.yaml", "bakery-plan.yaml")
NEW_ZONE = ZoneNumber(7)
MOST_FOLDERS = 1_000


@click.command()
@click.argument("folder", type=FILE, default=Path("zonewright-demo"))
def demo(folder: Path) -> int:
    """Make the job packs of four invented sites in FOLDER (zonewright-demo if you name none).

    Larkfield Cottage has eight devices on its panel already; the side gate is new and must only announce: the sheet of
    keys for the gate, the householder's guide, the pack on A4 and on Letter. The same house with seven mistakes, and
    what finds them. Rowan House, a new job on two storeys. Maddox Lane Bakery, wired loops and two areas with a shared
    hall. A folder that you have edited is left alone, and a numbered one made beside it.
    """
    target = free_folder(folder)
    texts = {name: (resources.files("zonewright.cli") / "demo_files" / name).read_text("utf-8") for name in SITES}
    newly_made = not target.exists()
    _make(target)
    try:
        save_all({target / name: text for name, text in texts.items()}, force=True)
        files = made_from(target)
        sums = {path.name: _sum(content) for path, content in files.items()}
        sums |= {name: _sum(text.encode()) for name, text in texts.items()}
        save_all({**files, target / MARK: json.dumps(sums, indent=1, sort_keys=True) + "\n"}, force=True)
    except BaseException:
        if newly_made:
            _take_back(target)
        raise
    screen_of(sys.stdout).say(
        f"The demo sites are in {target}/",
        "",
        "  larkfield.pdf            look at this first: the job pack, A4 (and -letter)",
        "  larkfield.html           the same for a screen or a telephone",
        "  side-gate-keys.txt       every key to add the side gate to the live panel",
        "  side-gate-guide.txt      the same for a householder on the telephone",
        "  larkfield.yaml           the site file it all comes from; change it and see",
        "  larkfield-before.yaml    the house before the gate",
        "  larkfield-wrong.yaml     the house with seven mistakes; larkfield-wrong.txt finds them,",
        "                           larkfield-wrong-proofs.txt shows how three of them break",
        "  rowan.yaml, .pdf         a new house on two storeys: smoke, remotes, a menu keypad",
        "  bakery.yaml, .pdf        a shop: wired loops, hold-up, two areas and their shared hall",
        "  ...-plan.yaml            their plans",
        "",
        "Then try:",
        f"  zonewright check {target}/larkfield.yaml",
        f"  zonewright matrix {target}/bakery.yaml",
        f"  zonewright practise {target}/larkfield.yaml --since {target}/larkfield-before.yaml",
    )
    return 0


def made_from(folder: Path) -> dict[Path, bytes]:
    """Return what is computed from the demo's site files."""
    new, wrong = (job_at(folder / name) for name in (HOUSE, WRONG))
    old = older_job(job_at(folder / BEFORE), new)
    keys = keying(new, old)
    guide, site = guide_of(keys, NEW_ZONE), new.resolved.site
    head = [f"{site.site}, revision {site.revision}", ""]
    pack = job_pack(new, old, NEW_ZONE, Proving(new))
    made = {
        folder / "larkfield.pdf": render(pack, "a4"),
        folder / "larkfield-letter.pdf": render(pack, "us-letter"),
        folder / "larkfield.html": render_html(pack).encode(),
        folder / "larkfield-wrong.txt": _printed(check_lines(wrong.resolved, wrong.judged, WIDEST)),
        folder / "larkfield-wrong-proofs.txt": _proofs(wrong),
        folder / "side-gate-keys.txt": ("\n".join([*head, *sheet_lines(keys.sheet)]) + "\n").encode(),
        folder / "side-gate-guide.txt": ("\n".join(guide_lines(guide)) + "\n").encode(),
    }
    for name in NEW_JOBS:
        job = job_at(folder / name)
        pack = job_pack(job, proving=Proving(job), walk=False)
        made[(folder / name).with_suffix(".pdf")] = render(pack, "a4")
        made[(folder / name).with_suffix(".html")] = render_html(pack).encode()
    return made


def _proofs(job: Job) -> bytes:
    """Return what `prove` prints of a site."""
    proving = Proving(job)
    proving.run()
    printed = io.StringIO()
    tell(screen_of(printed), proving)
    return printed.getvalue().encode()


def _printed(lines: list[str | Styled]) -> bytes:
    return ("\n".join(line.text if isinstance(line, Styled) else line for line in lines) + "\n").encode()


def free_folder(folder: Path) -> Path:
    """Return the folder to write into: the named one if it is new or the demo's own, else the first free number."""
    if not folder.name or folder.name == "..":
        says, fix = f'the demo makes a folder of its own, and "{folder}" has no name', "name one, such as demo"
        raise BadInput([Finding("DEM-03", Severity.PROBLEM, "demo", says, fix=fix)])
    names = [folder, *(folder.with_name(f"{folder.name}-{n}") for n in range(2, MOST_FOLDERS))]
    found = next((each for each in names if not each.exists() or is_own(each)), None)
    if found is None:
        says = f"{folder} and all its {MOST_FOLDERS} numbered neighbours are taken"
        raise BadInput([Finding("DEM-01", Severity.PROBLEM, "demo", says, fix="name another folder")])
    return found


def is_own(folder: Path) -> bool:
    """Return whether a demo made a folder and nobody has changed anything in it since."""
    try:
        sums = json.loads((folder / MARK).read_text("utf-8"))
        found = {path.name: _sum(path.read_bytes()) for path in folder.iterdir() if path.name != MARK}
    except (OSError, ValueError):
        return False
    return bool(sums == found)


def _make(folder: Path) -> None:
    try:
        folder.mkdir(parents=True, exist_ok=True)
    except OSError as error:
        fix = "name a folder that you may write to"
        raise BadInput([Finding("DEM-02", Severity.PROBLEM, str(folder), str(error.strerror), fix=fix)]) from error


def _take_back(folder: Path) -> None:
    """Leave nothing half-made behind."""
    for path in folder.iterdir():
        path.unlink()
    folder.rmdir()


def _sum(content: bytes) -> str:
    return hashlib.sha256(content).hexdigest()
