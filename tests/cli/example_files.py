"""The files that examples name, in the helps of the verbs and on the pages, so that each can be run."""

from __future__ import annotations

import random
from functools import cache
from pathlib import Path

from tests.entry.taking_over import answers, typed_in
from zonewright.desk.job import open_job
from zonewright.panel.profile_file import SHIPPED
from zonewright.panel.readback_file import readback_text

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
KEYED = Path(__file__).parents[1] / "panels/tern"
GETTING_IN, FIRST_ZONE = KEYED / "in-and-out.txt", KEYED / "side-gate.txt"
SCHEDULE = "No,Zone name,Device,area,behaviour\n1,front door,contact,house,entry-door\n2,hall,movement,house,interior\n"
SEEN = "done: arm away; leave by front door; +2 h back door opens\nnoticed: nothing\n"
TYPED = "Larkfield Cottage\ntern\nhouse\n\n"  # for whoever asks


def lay_out(folder: Path) -> None:
    """Put what the examples name into a folder."""
    for name, text in texts().items():
        (folder / name).write_text(text, encoding="utf-8")


@cache
def texts() -> dict[str, str]:
    """Return the text of each file by its name."""
    return {
        **{file.name: file.read_text("utf-8") for file in FILES.glob("larkfield*.yaml")},
        "my-panel.yaml": (SHIPPED / "tern.yaml").read_text("utf-8"),
        "getting-in.txt": GETTING_IN.read_text("utf-8"),
        "first-zone.txt": FIRST_ZONE.read_text("utf-8"),
        "zones.csv": SCHEDULE,
        "schedule.csv": SCHEDULE.replace("No,Zone name,Device", "zone,called,kind"),
        "seen.txt": SEEN,
        "inbox.txt": "1234181131010158\n",
        "larkfield-panel.yaml": read_back(),
    }


def read_back() -> str:
    """Return the readback of the panel of Larkfield."""
    job = open_job(FILES / "larkfield.yaml")
    typed, _ = answers(job.resolved.profile, job.resolved.programme, random.Random(1), 0.0)
    return readback_text(typed_in(job.resolved.profile, typed).readback, "larkfield-panel.yaml")
