"""Runs every verb on every demo and on a generated parade of 200 zones in eight areas; prints what each took.

python -m benchmarks.journey [ZONES]
"""

from __future__ import annotations

import os
import shutil
import subprocess
import sys
import tempfile
import time
from collections.abc import Iterator
from pathlib import Path

from benchmarks import parade
from benchmarks.proving import DEMOS, SITES

ZONES = 200


def main() -> None:
    """Run and print; a verb that ends otherwise than with "fine" or "something was found" stops it all."""
    print(f"{'site':18}  {'verb':28}  {'whole process s':>15}  {'MiB':>5}  {'lines':>5}  exit")
    with tempfile.TemporaryDirectory() as name:
        folder = Path(name)
        for path in DEMOS.iterdir():
            shutil.copy(path, folder)
        zones = int(sys.argv[1]) if len(sys.argv) > 1 else ZONES
        for site in (*(folder / f"{name}.yaml" for name in SITES), parade.write(folder, zones)):
            for arguments in verbs(site):
                row(site.stem, arguments)


def verbs(site: Path) -> Iterator[list[str]]:
    """Yield a command line for each verb that asks nothing; an older site file is made for those that compare."""
    text = site.read_text(encoding="utf-8")
    older = site.with_name(f"{site.stem}-older.yaml")
    older.write_text(text.replace("behaviour: notice", "behaviour: perimeter", 1), encoding="utf-8")
    device = next(line for line in text.partition("devices:")[2].splitlines() if line.strip()).split(":")[0].strip()
    yield ["check", str(site)]
    yield ["matrix", str(site)]
    yield ["explain", str(site)]
    yield ["explain", str(site), "--since", str(older)]
    yield ["play", str(site), "--scenes"]
    yield ["prove", str(site)]
    yield ["enter", str(site)]
    yield ["enter", str(site), "--since", str(older)]
    yield ["messages", str(site)]
    yield ["walk", str(site)]
    yield ["diagnose", str(site), "--saw", f"{device} opens: siren"]
    yield ["pack", str(site), "--out", str(site.with_suffix(".pdf"))]


def row(name: str, arguments: list[str]) -> None:
    """Run one verb and print its line."""
    start = time.perf_counter()
    with tempfile.TemporaryFile("w+", encoding="utf-8") as said:
        running = subprocess.Popen(
            [sys.executable, "-m", "zonewright", *arguments], stdin=subprocess.DEVNULL, stdout=said, stderr=said
        )
        _, status, used = os.wait4(running.pid, 0)
        took = time.perf_counter() - start
        said.seek(0)
        lines = said.readlines()
    code = os.waitstatus_to_exitcode(status)
    verb = " ".join(each for each in arguments if not each.startswith(os.sep))
    print(f"{name:18}  {verb[:28]:28}  {took:15.2f}  {used.ru_maxrss / 1024:5.0f}  {len(lines):5}  {code}", flush=True)
    if code not in (0, 1):
        raise SystemExit("".join(lines[-20:]))


if __name__ == "__main__":
    main()
