"""The example of a rule as a site that can be judged: a demo with the example's lines laid over its own.

Rules of this file:
1. How lines are laid over others is told in the head of `checks/catalogue.py`; here it is done.
2. What the demo has accepted is left out, so that what is found is shown.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from importlib import resources

import yaml

from zonewright.checks.catalogue import Example, Rule
from zonewright.checks.job import Design
from zonewright.desk.job import Job, open_text
from zonewright.findings import Finding
from zonewright.panel.profile_file import SHIPPED

LEFT_OUT = "(left out)"
DEMOS = resources.files("zonewright.cli") / "demo_files"

Written = str | list["Written"] | dict[str, "Written"]
Lines = Mapping[str, Written]


def found_in_example(rule: Rule) -> tuple[Finding, ...]:
    """Return what a rule finds in its own example; raises `BadInput` where that is no site that its panel can hold."""
    return found_by(rule, example_job(rule.example))


def found_by(rule: Rule, job: Job) -> tuple[Finding, ...]:
    """Return what one rule finds in a site, whatever others find."""
    return tuple(rule.findings(Design(job.resolved, plan=job.plan)))


def example_job(example: Example, *further: str) -> Job:
    """Return the site of an example, further lines laid over it; raises `BadInput` where it can't be opened."""
    return open_text(example_files(example, *further), example.site_file)


def example_files(example: Example, *further: str) -> dict[str, str]:
    """Return the texts of an example by their names: the site file, its plan and its panel's profile."""
    site = {**_demo(example.site_file), "accept": LEFT_OUT}
    for lines in ("\n".join(example.lines), *further):
        site = laid_over(_data(lines), site)
    files = {}
    for key, name in _named(example.site_file).items():
        if isinstance(site[key], dict):
            site, files[name] = {**site, key: name}, _text(site[key])
    return {example.site_file: _text(site), **files}


def stood_before(example: Example) -> tuple[str, ...]:
    """Return the lines that an example's take the place of, each once: a text or a list of texts with its key."""
    return tuple(dict.fromkeys(_before(_data("\n".join(example.lines)), _demo(example.site_file))))


def laid_over(changes: Lines, lines: Lines) -> dict[str, Written]:
    """Return lines with changes laid over them; what is new stands at the end of its map."""
    joined = {**lines, **{key: _joined(change, lines.get(key)) for key, change in changes.items()}}
    return {key: value for key, value in joined.items() if value != LEFT_OUT}


def _joined(change: Written, old: Written | None) -> Written:
    return laid_over(change, old if isinstance(old, dict) else {}) if isinstance(change, dict) else change


def _before(changes: Lines, lines: Lines) -> Iterator[str]:
    for key, change in changes.items():
        old = lines.get(key)
        if isinstance(change, dict) and isinstance(old, dict):
            yield from _before(change, old)
        elif isinstance(old, str):
            yield f"{key}: {old}"
        elif isinstance(old, list) and all(isinstance(each, str) for each in old):
            yield f"{key}: [{', '.join(map(str, old))}]"


@cache
def _demo(site_file: str) -> Lines:
    """Return what a demo's site file says, its plan and its panel's profile in place of their names."""
    site = _data(_demo_text(site_file))
    profile = (SHIPPED / f"{site['panel']}.yaml").read_text(encoding="utf-8")
    return {**site, "plan": _data(_demo_text(str(site["plan"]))), "panel": _data(profile)}


@cache
def _named(site_file: str) -> Mapping[str, str]:
    """Return the names of the files that a demo's site file names."""
    site = _data(_demo_text(site_file))
    return {"plan": str(site["plan"]), "panel": f"{site['panel']}.yaml"}


def _demo_text(name: str) -> str:
    return (DEMOS / name).read_text(encoding="utf-8")


def _data(text: str) -> dict[str, Written]:
    """Return what lines say, each plain scalar a text as in a site file."""
    return dict(yaml.load(text, yaml.CBaseLoader) or {})  # noqa: S506 - it makes texts, lists and maps alone


def _text(data: Written) -> str:
    return str(yaml.dump(data, Dumper=yaml.CSafeDumper, allow_unicode=True, sort_keys=False))
