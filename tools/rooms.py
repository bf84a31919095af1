"""An import-linter contract that holds the rooms to the table "who may import whom" in `pyproject.toml`.

Rules of this file:
1. The table is the only statement of it: one row a room, from the ground up, "room: rooms it may import". A `*` stands
   for all rooms above the row. A room may also know what the rooms it names may know.
2. A room that isn't built yet may have its row already; a package without a row breaks the contract.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence

from grimp import ImportGraph
from importlinter import Contract, ContractCheck, fields, output


class WrongTable(ValueError):
    """A row of the table can't be read or names a room that doesn't stand above it."""


def allowed(rows: Iterable[str]) -> dict[str, frozenset[str]]:
    """Read the table: for each room all rooms that it may import, itself included."""
    table: dict[str, frozenset[str]] = {}
    for row in rows:
        room, colon, named = row.partition(":")
        room = room.strip()
        if not colon or not room or room in table:
            raise WrongTable(f"{row!r} is no row, or its room has one already")
        words = set(named.replace(",", " ").split()) - {"-"}
        names = set(table) if words == {"*"} else words
        if unknown := names - set(table):
            raise WrongTable(f"{room} names {', '.join(sorted(unknown))}, which doesn't stand above it")
        table[room] = frozenset({room}.union(*(table[name] for name in names)))
    return table


def room_of(module: str, root: str) -> str:
    """Return the room that a module is in; nothing for the root package itself and for modules outside."""
    return module.removeprefix(f"{root}.").partition(".")[0] if module.startswith(f"{root}.") else ""


def breaches(imports: Iterable[tuple[str, str]], root: str, table: Mapping[str, frozenset[str]]) -> list[str]:
    """Return one sentence for each import (importer, imported) that the table doesn't allow."""
    found: list[str] = []
    for importer, imported in sorted(imports):
        source, target = room_of(importer, root), room_of(imported, root)
        if not source or not target or source == target:
            continue
        if target not in table.get(source, frozenset()):
            found.append(f"{importer} imports {imported}: room {source} may not know room {target}")
    return found


class RoomTable(Contract):
    """The contract: `rows` is the table."""

    type_name = "room_table"
    rows = fields.ListField(subfield=fields.StringField())

    def check(self, graph: ImportGraph, verbose: bool) -> ContractCheck:
        """Look at every import between rooms and at every room's having a row."""
        root = self.session_options["root_packages"][0]
        rows: Sequence[str] = self.rows  # type: ignore[assignment]
        table = allowed(rows)
        modules = sorted(module for module in graph.modules if module.startswith(f"{root}."))
        imports = [(module, other) for module in modules for other in graph.find_modules_directly_imported_by(module)]
        found = [
            f"{root}.{room} has no row in the table"
            for room in sorted({room_of(module, root) for module in modules} - set(table))
        ]
        found += breaches(imports, root, table)
        return ContractCheck(kept=not found, metadata={"found": found})

    def render_broken_contract(self, check: ContractCheck) -> None:
        """Print what was found."""
        for sentence in check.metadata["found"]:
            output.print_error(sentence)
