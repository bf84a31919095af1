"""`play`: let things happen at a site, and see what the household and the station get, and when."""

from __future__ import annotations

import sys
from collections.abc import Iterable
from pathlib import Path

import click

from zonewright.behaviour.clockwork import Timeline
from zonewright.behaviour.setup import Setup
from zonewright.cli.opening import job_at, text_at
from zonewright.cli.paths import FILE
from zonewright.cli.plain_data import print_result
from zonewright.cli.terminal import Screen, paragraph, screen_of
from zonewright.cli.timelines import timeline_lines
from zonewright.desk.job import Job
from zonewright.desk.playing import scenario_played
from zonewright.desk.results.runs import run_of, scenario_forms, scenes_of
from zonewright.desk.saving import save_all
from zonewright.documents.timeline_drawing import timeline_drawing
from zonewright.findings import nearest
from zonewright.words.scenario import FORMS
from zonewright.words.scenes import Came, Played, play_scene, play_scenes, scenes
from zonewright.words.tracks import Names, tracks

INLINE = "scenario"  # what a finding calls a scenario that was typed on the command line
NO_PEOPLE = "The site names no people, so somebody with slot 1 acts here. `prove` takes it that nobody has a code."


@click.command()
@click.argument("site", type=FILE)
@click.argument("scenario", required=False)
@click.option("--scenes", "all_scenes", is_flag=True, help="Play every everyday scene, and tell which goes amiss.")
@click.option("--scene", metavar="NAME", help="Play one of them: a word of its name is enough.")
@click.option("--svg", type=FILE, metavar="FILE", help="Draw the timeline, too.")
@click.option("--json", "as_json", is_flag=True, help="Print everything as JSON.")
@click.option("--force", is_flag=True, help="Draw over an existing file.")
def play(
    site: Path,
    scenario: str | None,
    all_scenes: bool,
    scene: str | None,
    svg: Path | None,
    as_json: bool,
    force: bool,
) -> int:
    """Play a SCENARIO at SITE: a file, or events with semicolons between them.

    Everything is shut and off at the start, and it runs until the panel is at rest. Things are called as in the site
    file. Devices check in by themselves, unless one falls silent or the air is jammed; `missing` means that the panel
    finds it so now. An expiry comes before what happens in the same second. Without SCENARIO the forms of events are
    listed.
    Exit code 1: a scene goes amiss.

    \b
    zonewright play larkfield.yaml "arm away by Ida; +10 s leave by front door; +2 h small window opens"
    zonewright play larkfield.yaml --scenes
    zonewright play larkfield.yaml --scene umbrella --svg umbrella.svg
    """
    if sum((scenario is not None, all_scenes, scene is not None)) > 1:
        raise click.UsageError("give a scenario, --scenes, or --scene NAME")
    if scenario is not None and not scenario.strip():
        raise click.UsageError("the scenario is empty; name a file, or write events with semicolons between them")
    job = job_at(site)
    resolved, setup, names = job.resolved, job.setup, job.names
    screen = screen_of(sys.stdout)
    if all_scenes:
        if svg is not None:
            raise click.UsageError("a picture is drawn of one scene: give --scene NAME")
        return _suite(screen, job, as_json)
    if scene is not None:
        one = play_scene(resolved, setup, _scene_named(scene))
        if as_json:
            print_result(scenes_of(setup, [one], names))
        else:
            screen.say(*paragraph(_verdict(one), screen.width), "")
            screen.say(*paragraph(one.script, screen.width, "  ", "    "), "") if one.script else None
            screen.say(*timeline_lines(setup, one.timeline, screen.width, names))
        _draw(svg, setup, one.timeline, one.name, names, force=force, inputs=job.files)
        return 1 if one.came is Came.OTHERWISE else 0
    if scenario is None and as_json:
        print_result(scenario_forms())
        return 0
    if scenario is None:
        screen.say("What can be written, each perhaps after a time (+20 s, at 5 min):", "", *(f"  {f}" for f in FORMS))
        screen.say("", "Scenes that are known:", "", *(f"  {name}: {wish}" for name, wish in scenes()))
        return 0
    path = Path(scenario)
    given = text_at(path) if _is_file(path) else scenario
    run = scenario_played(job, given, str(path) if _is_file(path) else INLINE)
    if as_json:
        print_result(run_of(setup, run.timeline, names))
    else:
        screen.say(*timeline_lines(setup, run.timeline, screen.width, names))
        if run.doors:
            hint = (
                "The panel takes it that nobody left, so it armed stay. If somebody goes out in the exit time, write: "
                f"+10 s leave by {run.doors[0]}"
            )
            screen.say("", *paragraph(hint, screen.width))
        if run.no_people:
            screen.say("", *paragraph(NO_PEOPLE, screen.width))
    read_here = (*job.files, *([path] if _is_file(path) else []))
    _draw(svg, setup, run.timeline, path.stem if _is_file(path) else INLINE, names, force=force, inputs=read_here)
    return 0


def _is_file(path: Path) -> bool:
    """Return whether a scenario is the name of a file; what has a suffix is meant as one even if it isn't there."""
    try:
        return path.exists() or path.suffix in (".txt", ".scn")
    except (OSError, ValueError):  # events with semicolons may be no possible name
        return False


def _draw(
    svg: Path | None, setup: Setup, timeline: Timeline, title: str, names: Names, *, force: bool, inputs: Iterable[Path]
) -> None:
    if svg is not None:
        save_all({svg: timeline_drawing(tracks(setup, timeline, names), title).svg}, force=force, inputs=inputs)


def _suite(screen: Screen, job: Job, as_json: bool) -> int:
    told: list[Played] = []
    stopped = False
    try:
        told.extend(play_scenes(job.resolved, job.setup))  # those before a Ctrl-C are in it
    except KeyboardInterrupt:
        stopped = True
    if as_json:
        print_result(scenes_of(job.setup, told, job.names))
    else:
        for each in told:
            screen.say(*paragraph(_verdict(each), screen.width, _MARK[each.came], "     "))
        amiss = [each for each in told if each.came is Came.OTHERWISE]
        if amiss:
            screen.say("", f'See one in full: --scene "{amiss[0].name}"')
    if stopped:
        raise KeyboardInterrupt(f"stopped: {len(told)} of {len(list(scenes()))} scenes played")
    return 1 if any(each.came is Came.OTHERWISE for each in told) else 0


_MARK = {Came.WISHED: " ok  ", Came.OTHERWISE: "  x  ", Came.LACKS: "  -  "}


def _verdict(one: Played) -> str:
    match one.came:
        case Came.WISHED:
            return f"{one.name}: as wished ({one.wish})"
        case Came.OTHERWISE:
            return f"{one.name}: not as wished: {one.why}; wished: {one.wish}"
        case Came.LACKS:
            return f"{one.name}: can't be played here: {one.why}"


def _scene_named(word: str) -> str:
    known = [name for name, _ in scenes()]
    found = [name for name in known if word.casefold() in name.casefold()]
    if len(found) == 1 or word in known:
        return word if word in known else found[0]
    near = nearest(word, known)
    hint = f"; did you mean {near[0]!r}?" if near else ""
    many = f"{len(found)} scenes have {word!r} in their names" if found else f"no scene has {word!r} in its name"
    raise click.UsageError(f"{many}{hint}\n" + "\n".join(f"  {name}" for name in known))
