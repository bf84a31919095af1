"""What the documentation site needs beyond docs/: the pages that are kept at the root of the project.

The builder of the site loads this file as a hook (`properdocs.yml`) and calls it by the names that it knows.
"""

from __future__ import annotations

import re
from pathlib import Path

from properdocs.config.defaults import MkDocsConfig
from properdocs.structure.files import File, Files

ROOT_PAGES = {  # file at the root: page of the site
    "README.md": "index.md",
    "CHANGELOG.md": "changes.md",
    "CONTRIBUTING.md": "contributing.md",
}


def on_files(files: Files, config: MkDocsConfig) -> Files:
    """Put the pages of the root beside those of docs/."""
    for name, page in ROOT_PAGES.items():
        text = (Path(config.config_file_path).parent / name).read_text(encoding="utf-8")
        files.append(File.generated(config, page, content=as_in_docs(text)))
    return files


def as_in_docs(text: str) -> str:
    """Return a page of the root with its links as they are from docs/."""
    links = re.sub(r"\]\(docs/", "](", text)
    for name, page in ROOT_PAGES.items():
        links = links.replace(f"]({name})", f"]({page})")
    return links
