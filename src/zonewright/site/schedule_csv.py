"""A zone schedule from a spreadsheet: rows of a CSV file become the devices of a site.

Rules of this file:
1. Columns are mapped by name, never by position; a column that isn't found is reported, never guessed.
2. The mistakes of all rows are reported together, each with its line.
"""

from __future__ import annotations

import csv
import io
import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass

from zonewright.findings import Finding, Place, Severity, nearest
from zonewright.site.mistakes import shown

FIELDS = (
    "zone", "called", "behaviour", "area", "kind", "number", "learnt", "room", "storey", "guards", "chime", "light",
    "report", "supervise", "delay", "fitted", "used before", "device",
)  # fmt: skip
NEEDED = ("called", "behaviour", "kind")
MOST_ROWS = 2_000
MOST_COLUMNS = 200
MOST_SIGNS = 200  # in one cell


@dataclass(frozen=True, slots=True)
class Imported:
    """What a schedule gives: the site file's data, and what to look at."""

    devices: Mapping[str, Mapping[str, object]]
    areas: tuple[str, ...]
    findings: tuple[Finding, ...]


def read_schedule(text: str, file: str, columns: Mapping[str, str]) -> Imported:
    """Return the devices of a CSV text; `columns` maps a field to the name of its column.

    A field that isn't mapped takes the column of its own name, if there is one.
    """
    try:
        dialect: type[csv.Dialect] = csv.Sniffer().sniff(text[:4_000], delimiters=",;\t")
    except csv.Error:
        dialect = csv.excel
    rows = csv.reader(io.StringIO(text, newline=""), dialect, strict=True)
    findings: list[Finding] = []
    devices: dict[str, dict[str, object]] = {}
    areas: dict[str, None] = {}
    try:
        header = [shown(name.strip()) for name in next(rows, [])[:MOST_COLUMNS]]
        places = dict(_places(header, columns, file, findings))
        if findings:
            return Imported({}, (), tuple(findings))
        for row in rows:
            if not any(cell.strip() for cell in row):
                continue
            if len(devices) == MOST_ROWS:
                findings.append(_wrong(file, rows.line_num, "schedule", f"more than {MOST_ROWS} rows", "split it"))
                break
            cells = {field: row[place].strip() for field, place in places.items() if place < len(row)}
            _row(cells, file, rows.line_num, devices, areas, findings)
    except csv.Error as error:
        findings.append(_wrong(file, rows.line_num, "schedule", f"this row can't be read: {error}", "mend its quotes"))
    if not devices and not findings:
        findings.append(
            _wrong(file, 1, "schedule", "it has no rows", "give one row a zone, the names of columns above")
        )
    return Imported(devices, tuple(areas), tuple(findings))


def _places(
    header: list[str], columns: Mapping[str, str], file: str, findings: list[Finding]
) -> Iterator[tuple[str, int]]:
    lower = [name.casefold() for name in header]
    mapped = {column.casefold() for column in columns.values()}
    for field in columns:
        if field not in FIELDS:
            near = nearest(field, FIELDS)
            fix = f"name one of {', '.join(FIELDS)}"
            findings.append(_wrong(file, 1, f'mapping "{field}"', "there is no such field", fix, near))
    for field in FIELDS:
        wanted = columns.get(field, field)
        free = field in columns or wanted.casefold() not in mapped
        if free and wanted.casefold() in lower:
            yield field, lower.index(wanted.casefold())
        elif field in columns or field in NEEDED:
            near = nearest(wanted, header)
            says = f'no column is called "{wanted}"' if field in columns else f'no column for "{field}"'
            fix = f"say which column holds it; the columns are {', '.join(header[:20]) or 'none'}"
            findings.append(_wrong(file, 1, "columns", says, fix, near, code="CSV-02"))


def _row(
    cells: dict[str, str],
    file: str,
    line: int,
    devices: dict[str, dict[str, object]],
    areas: dict[str, None],
    findings: list[Finding],
) -> None:
    thing = f"row {cells.get('zone') or cells.get('called') or line}"
    missing = [field for field in NEEDED if not cells.get(field)]
    long = [field for field, cell in cells.items() if len(cell) > MOST_SIGNS]
    findings += [_wrong(file, line, thing, f'"{field}" is empty', "fill it in") for field in missing]
    findings += [_wrong(file, line, thing, f'"{field}" has more than {MOST_SIGNS} signs', "cut it") for field in long]
    area = cells.get("area") or "house"
    areas.setdefault(area)
    zone = {"number": cells.get("zone") or "next free", "area": area}
    zone |= {field: cells[field] for field in ("behaviour", "called") if cells.get(field)}
    zone |= {field: cells[field] for field in ("chime", "light", "report", "supervise", "delay") if cells.get(field)}
    device: dict[str, object] = {"kind": cells.get("kind", "")}
    if cells.get("number"):
        device["number"] = {"printed": cells["number"], **({"learnt": cells["learnt"]} if cells.get("learnt") else {})}
    device |= {field: cells[field] for field in ("fitted", "used before") if cells.get(field)}
    if cells.get("room"):
        device["at"] = {**({"storey": cells["storey"]} if cells.get("storey") else {}), "room": cells["room"]}
    if cells.get("guards"):
        device["guards"] = cells["guards"]
    device["zone"] = zone
    devices[_name(cells, devices)] = device


def _name(cells: Mapping[str, str], taken: Mapping[str, object]) -> str:
    said = cells.get("device") or " ".join(cells[field] for field in ("room", "called") if cells.get(field)) or "device"
    name = re.sub(r"[^\w]+", "-", said.lower()).strip("-")[:40] or "device"
    found, n = name, 2
    while found in taken:
        found, n = f"{name}-{n}", n + 1
    return found


def _wrong(
    file: str, line: int, thing: str, says: str, fix: str, near: tuple[str, ...] = (), code: str = "CSV-01"
) -> Finding:
    nearest_word = near[0] if near else None
    return Finding(code, Severity.PROBLEM, thing, says, place=Place(file, line), nearest=nearest_word, fix=fix)
