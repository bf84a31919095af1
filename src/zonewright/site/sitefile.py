"""Reading a site file: first the record, then the checks that need the whole file.

Rules of this file:
1. A bare length counts in the file's own `units`, which are looked up before anything is read.
2. A mistake in one part doesn't hide those in another: what can still be read is checked as a whole.
"""

from __future__ import annotations

from zonewright.site.composer import compose
from zonewright.site.crosscheck import across
from zonewright.site.files import Files
from zonewright.site.model import Site
from zonewright.site.nodes import MapNode, Places, TextNode, Tree
from zonewright.site.reading import Read, in_file_order, read_tree, to_mend
from zonewright.site.salvage import Salvaged, salvage


def read_site(files: Files, name: str) -> Read[Site]:
    """Read a site file with every mistake at once."""
    text, findings = files.text(name)
    file = files.called(name)
    return Read(None, findings, Places(None, file)) if findings else read_site_text(text, file)


def read_site_text(text: str, file: str) -> Read[Site]:
    """Read the text of a site file with every mistake at once; `file` is the name that the places show."""
    tree, findings = compose(text, file)
    context = {"units": _units(tree)}
    read = read_tree(Site, tree, findings, file, context)
    if tree is None:
        return read
    whole = Salvaged(read.record, read.places) if read.record is not None else salvage(Site, tree, file, context)
    if whole is None:
        return read
    told = {finding.place for finding in read.findings}
    found = in_file_order([*read.findings, *(f for f in across(whole) if f.place not in told)])
    return Read(None if to_mend(found) else read.record, found, read.places)


def _units(tree: Tree | None) -> str:
    if isinstance(tree, MapNode):
        for entry in tree.entries:
            if entry.key == "units" and isinstance(entry.value, TextNode):
                return entry.value.text
    return "metres"
