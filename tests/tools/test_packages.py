"""What the locks hold: pinned, hashed, without a registry's address, under licences that this project may use."""

from __future__ import annotations

import re
from importlib.metadata import Distribution, distribution
from pathlib import Path

import pytest
from packaging.requirements import Requirement

import ready

ROOT = Path(ready.ROOT)
LOCKS = ("run", "dev", "solver")
ALLOWED = {
    "MIT", "MIT License", "BSD License", "BSD-2-Clause", "BSD-3-Clause", "ISC", "Apache-2.0", "PSF-2.0",
    "Apache Software License", "Python Software Foundation License",
}  # fmt: skip
# Weak copyleft, used as they are and never copied from.
ALLOWED_AS_THEY_ARE = {
    "numpy": "BSD-3-Clause AND 0BSD AND MIT AND Zlib AND CC0-1.0",  # all of them permissive
    "hypothesis": "MPL-2.0",
    "pathspec": "Mozilla Public License 2.0 (MPL 2.0)",
}


def locked(kind: str) -> list[Requirement]:
    text = (ROOT / "requirements" / f"{kind}.txt").read_text(encoding="utf-8").replace("\\\n", " ")
    rows = [
        row.partition(" --hash")[0] for row in text.splitlines() if row.strip() and not row.lstrip().startswith("#")
    ]
    return [Requirement(row) for row in rows]


def licences(package: Distribution) -> list[str]:
    expression = package.metadata.get_all("License-Expression")
    if expression:
        return re.split(r"\s+OR\s+", expression[0])
    classified = [
        line.rpartition(" :: ")[2]
        for line in package.metadata.get_all("Classifier") or []
        if line.startswith("License ::")
    ]
    return classified or package.metadata.get_all("License") or ["none stated"]


@pytest.mark.parametrize("kind", LOCKS)
def test_every_package_is_pinned_with_hashes(kind: str) -> None:
    text = (ROOT / "requirements" / f"{kind}.txt").read_text(encoding="utf-8")
    packages = locked(kind)
    assert len(packages) > 10
    assert all(str(package.specifier).startswith("==") for package in packages)
    blocks = re.split(r"\n(?=[a-zA-Z0-9])", text)
    assert len(blocks) == len(packages)
    assert all("--hash=sha256:" in block for block in blocks)


def test_running_uses_the_very_versions_that_were_tested() -> None:
    tested = {package.name: str(package.specifier) for package in locked("dev")}
    assert {package.name: str(package.specifier) for package in locked("run")}.items() <= tested.items()


def test_the_second_solver_changes_no_version_that_is_tested() -> None:
    tested = {(package.name, str(package.marker)): str(package.specifier) for package in locked("dev")}
    for package in locked("solver"):
        assert tested.get((package.name, str(package.marker)), str(package.specifier)) == str(package.specifier)


def test_no_lock_holds_an_address() -> None:
    files = [ROOT / "requirements" / f"{kind}.txt" for kind in LOCKS]
    files += [path for path in ROOT.rglob("package-lock.json") if "node_modules" not in path.parts]
    for path in files:
        text = path.read_text(encoding="utf-8")
        assert not re.search(r"index-url|find-links|trusted-host|\"resolved\"|\s@\s", text), path.name
        # npm's lock names the funding pages of packages, which are no registry's.
        assert path.suffix == ".json" or "://" not in text, path.name


@pytest.mark.parametrize(
    "package", [p for p in locked("dev") if not p.marker or p.marker.evaluate()], ids=lambda p: p.name
)
def test_every_package_is_under_a_licence_that_may_be_used(package: Requirement) -> None:
    stated = licences(distribution(package.name))
    allowed = ALLOWED | {ALLOWED_AS_THEY_ARE.get(package.name, "")}
    assert set(stated) & allowed, f"{package.name}: {stated}"
