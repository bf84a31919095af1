"""What `play`, `explain` and `matrix` print of a panel's doing can be pasted as an observation, and means just that."""

from __future__ import annotations

from collections.abc import Iterator

import pytest

from tests.diagnosis.sites import SITES, case, says, seen
from zonewright.behaviour.events import Output
from zonewright.behaviour.setup import Setup
from zonewright.diagnosis.noticing import Whereabouts, fits, sensed
from zonewright.diagnosis.noticing_text import read_noticing
from zonewright.panel.behaviours import Mode
from zonewright.words.explain import explain
from zonewright.words.matrix import matrix, site_troubles
from zonewright.words.scenario import played, read_scenario
from zonewright.words.scenes import play_scenes
from zonewright.words.strips import cell_in_words
from zonewright.words.telling import output_in_words
from zonewright.words.tracks import called


def setup_at(site: str) -> Setup:
    return case(site).hypotheses[0].panel.setup


def printed(site: str) -> Iterator[Output]:
    """Give every output of the everyday scenes and of the matrix."""
    for cell in matrix(setup_at(site)).cells:
        yield from (output for _, output in cell.outcome)
    for row in site_troubles(setup_at(site)):
        yield from (output for _, output in row.outcome)
    for scene in play_scenes(case(site).resolved, setup_at(site)):
        yield from (output for entry in scene.timeline for output in entry.outputs)


@pytest.mark.parametrize("site", SITES)
def test_every_output_is_read_as_it_is_printed_and_fits_itself_alone(site: str) -> None:
    setup, names, words = setup_at(site), case(site).names, case(site).vocabulary
    outputs = list(dict.fromkeys(printed(site)))
    runs = {output: sensed(setup, setup, [(0, output)], 0, names) for output in outputs}
    texts = {called(output_in_words(setup, output), names): output for output in outputs}
    assert len(texts) > 40
    for text, output in texts.items():
        for pasted in (text, f"{text} after 0 s", output_in_words(setup, output)):
            noticing, unread = read_noticing(f"{pasted}, from {Whereabouts.KEYPAD.value}", words)
            assert not unread, (pasted, unread)
            assert len(noticing.came) == 1, pasted
            assert fits(noticing, runs[output], runs[output]), pasted
        if text.startswith(("display", "message")):
            fitting = {other for other, meant in texts.items() if fits(noticing, runs[meant], runs[meant])}
            assert all(other == text or text in other for other in fitting), (text, fitting)


@pytest.mark.parametrize("site", SITES)
def test_every_bar_of_the_matrix_is_read_and_fits_its_own_cell(site: str) -> None:
    setup, words = setup_at(site), case(site).vocabulary
    for cell in matrix(setup).cells:
        run = sensed(setup, setup, cell.outcome, 0)
        for text in (cell.words, cell_in_words(cell)):
            noticing, unread = read_noticing(text, words)
            assert not unread, (text, unread)
            assert fits(noticing, run, run), (text, run)


@pytest.mark.parametrize("site", SITES)
def test_every_moment_that_explain_tells_is_read(site: str) -> None:
    setup, words = setup_at(site), case(site).vocabulary
    lines = [
        line.partition(": ")[2]
        for zone in setup.zones
        for paragraph in explain(setup, zone.number).paragraphs
        for line in paragraph.lines
        if line.startswith(("at once: ", "after ")) and " ends): " not in line.partition(": ")[2]
    ]
    assert lines
    for line in lines:
        told = line.rpartition("): ")[2] if "): " in line else line
        noticing, unread = read_noticing(told, words)
        assert not unread, (told, unread)
        assert noticing.came


def test_a_pasted_line_of_play_finds_what_shows_it() -> None:
    done = "arm away by Pia; leave by shop-door; +2 h shop-front opens"
    scenario, _ = read_scenario(done, "typed", case("bakery").resolved)
    entries = [entry for entry in played(setup_at("bakery"), scenario) if entry.at >= 2 * 3600]
    outputs = [output for entry in entries for output in entry.outputs]
    told = ", ".join(called(output_in_words(setup_at("bakery"), output), case("bakery").names) for output in outputs)
    assert "all is as planned" in says(seen(f"{done}: {told}", site="bakery"))
    changed = told.replace("siren sounds", "not siren").replace(", it is silent", "")
    assert "the siren is dead" in says(seen(f"{done}: {changed}", site="bakery"))


def test_what_is_printed_whole_must_be_so_and_single_words_may_be_any_of_it() -> None:
    setup, words = setup_at("bakery"), case("bakery").vocabulary
    cell = matrix(setup).cell(setup.zones[0].number, Mode.AWAY)
    run = sensed(setup, setup, cell.outcome, 0)
    shown = next(min(each.whole) for each in run if each.kind == "display")
    part, _ = read_noticing(f"display {shown.split()[0]}", words)
    less, _ = read_noticing(f'display: "{shown.split()[0]}"', words)
    assert fits(part, run, run)
    assert not fits(less, run, run)
