"""Plain lines become events, every slip is told with its line, and the everyday scenes run at any site."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from shutil import copy

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from benchmarks.houses import house
from tests.yard import yard
from zonewright.behaviour.clockwork import run
from zonewright.behaviour.events import (
    Arm,
    Disarm,
    Means,
    Panic,
    Shown,
    Siren,
    SiteTrouble,
    SiteTroubleBegins,
    ZoneOpens,
)
from zonewright.behaviour.setup import AreaNumber, Setup, UserNumber, setup_of
from zonewright.panel.behaviours import SHIPPED, Mode
from zonewright.panel.opening import open_site
from zonewright.panel.resolve import Resolved
from zonewright.proof.promises.asked import asked_of
from zonewright.proof.promises.promise import Window
from zonewright.site.record import ZoneNumber
from zonewright.words import quoting
from zonewright.words import scenes as scenes_of_a_site
from zonewright.words.scenario import FORMS, Scenario, doors_unsaid, played, read_scenario
from zonewright.words.scenes import Came, play_scene, play_scenes, scenes
from zonewright.words.telling import event_in_words, output_in_words
from zonewright.words.tracks import called, names_of

FILES = Path(__file__).parents[2] / "src/zonewright/cli/demo_files"
LARKFIELD, ROWAN, BAKERY = (open_site(FILES / f"{name}.yaml") for name in ("larkfield", "rowan", "bakery"))


def read(text: str, site: Resolved = LARKFIELD) -> Scenario:
    scenario, slips = read_scenario(text, "x.txt", site)
    assert not slips, slips
    return scenario


def test_times_count_from_the_line_before_or_from_the_start() -> None:
    scenario = read(
        "arm away house by Ida\n+1 min 30 s front door opens  # shopping\n\nat 2 min disarm house by Ida; +5 s"
    )
    assert [(each.at, type(each.event), each.line) for each in scenario.given] == [
        (0, Arm, 1),
        (90, ZoneOpens, 2),
        (120, Disarm, 4),
    ]
    assert scenario.until == 125


def test_who_acts_decides_the_slot_the_means_and_the_areas() -> None:
    (mine,) = read("disarm by Bertil").given
    assert (mine.event.area, mine.event.user) == (1, 2)  # type: ignore[union-attr]
    (arm,) = read("arm away by Mara's key ring", ROWAN).given
    assert arm.event == Arm(arm.event.area, arm.event.mode, arm.event.user, Means.REMOTE)  # type: ignore[union-attr]
    assert len(read("arm away").given) == 2  # every area


@pytest.mark.parametrize("tail", ["", " by Ida", " silently over faults by Ida"])
def test_arming_may_be_written_in_the_order_of_a_checklist(tail: str) -> None:
    """`walk` prints "arm house away" of one area, `play` and `diagnose` name the mode first."""
    mode, _, who = tail.partition(" by ")
    by = f" by {who}" if who else ""
    (checklist,), (line,) = (read(text).given for text in (f"arm house away{tail}", f"arm away{mode} house{by}"))
    assert checklist.event == line.event


@pytest.mark.parametrize("name", ["side-gate", "side gate", "porch side gate", "7"])
def test_a_thing_may_be_called_by_device_label_place_or_number(name: str) -> None:
    assert read(f"{name} opens").given[0].event == ZoneOpens(7)  # type: ignore[arg-type]


def test_an_input_and_a_loop_are_told_apart_from_their_device() -> None:
    assert read("workshop-door wire opens").given[0].event.zone == 10  # type: ignore[union-attr]
    assert read("oven-gas cover off", BAKERY).given[0].event.zone == 13  # type: ignore[union-attr]


@pytest.mark.parametrize(
    ("text", "line", "says"),
    [
        ("arm awy", 1, "no such way to arm"),
        ("\narm away attic", 2, "no area is called so"),
        ("disarm workshop by Bertil", 1, "Bertil may not set workshop"),
        ("disarm by Nobody", 1, "no person and no remote"),
        ("frontdoor opens", 1, "nothing here is called so"),
        ("workshop-door opens", 1, "it may mean the zones 9, 10"),
        ("front door opns", 1, "says nothing that can happen"),
        ("+5 front door opens", 1, "no time can be read here"),
        ("+5 s front door opens\nat 2 s front door closes", 2, "time goes backwards"),
        ("+999 h front door opens", 1, "14 days at most"),
        ("", 1, "nothing happens"),
        ("x" * 400, 1, "at most 300 letters"),
        ("front door opens;" * 1100, 1, "1100 events"),
        ("front door opens\n" * 1100, 1000, "1100 events"),
    ],
)
def test_a_slip_is_told_at_its_line(text: str, line: int, says: str) -> None:
    _, slips = read_scenario(text, "x.txt", LARKFIELD)
    assert any(says in slip.says and slip.place is not None and slip.place.line == line for slip in slips), slips


def test_all_slips_are_told_at_once_and_the_nearest_word_with_them() -> None:
    _, slips = read_scenario("arm awy; sidegate opens; front door opns; nobody leavs", "x.txt", LARKFIELD)
    assert [slip.nearest for slip in slips] == ["away", "side-gate", "opens", "nobody leaves"]


@pytest.mark.parametrize("text", ["", " ; # nothing", "nobody leaves"])
def test_a_scenario_in_which_nothing_happens_says_so(text: str) -> None:
    _, (slip,) = read_scenario(text, "x.txt", LARKFIELD)
    assert slip.says == "nothing happens in it"


@given(st.text(max_size=200))
def test_any_text_is_answered(text: str) -> None:
    scenario, slips = read_scenario(text, "x.txt", LARKFIELD)
    assert scenario.given or scenario.until is not None or slips


def test_every_form_that_is_listed_can_be_written() -> None:
    words = {
        "MODE": "away",
        "[silently] ": "silently ",
        "[over faults [as installer]] ": "over faults as installer ",
        "[AREA]": "house",
        "[by WHO]": "by Ida",
        "by WHO": "by Ida",
        "THING": "side gate",
    }
    for form in FORMS:
        text = form
        for word, mine in words.items():
            text = text.replace(word, mine)
        events = {"leave by side gate": 2, "nobody leaves": 0}  # a door opens and shuts; nothing happens
        assert len(read(f"{text}; +1 s").given) == events.get(text, 1), text


def test_who_leaves_by_a_door_arms_away_and_who_does_not_arms_stay_unless_it_says_so() -> None:
    setup = setup_of(LARKFIELD.programme, LARKFIELD.profile)
    left = read("arm away; +10 s leave by front door; +2 h lounge movement trips")
    assert [(each.at, each.leaving) for each in left.given[2:]] == [(10, True), (15, True), (7215, False)]
    assert doors_unsaid(setup, left) == ()
    assert any(isinstance(each, Siren) for entry in played(setup, left) for each in entry.outputs)
    stayed = read("arm away house; +2 h lounge movement trips")
    assert doors_unsaid(setup, stayed) == ("hall front door", "kitchen back door")
    assert not any(isinstance(each, Siren) for entry in played(setup, stayed) for each in entry.outputs)
    assert doors_unsaid(setup, read("arm away house; nobody leaves; +2 h lounge movement trips")) == ()
    bypassed = read("bypass front door; arm away house; leave by front door; +2 h lounge movement trips")
    assert doors_unsaid(setup, bypassed) == ()  # it armed stay, but not for want of a door


def without_ida(tmp_path: Path) -> Resolved:
    """Larkfield with only Bertil, who may set the house alone."""
    lines = (FILES / "larkfield.yaml").read_text("utf-8").splitlines(keepends=True)
    copy(FILES / "larkfield-plan.yaml", tmp_path)
    site = tmp_path / "bertil.yaml"
    site.write_text("".join(line for line in lines if not line.startswith("  Ida:")), "utf-8")
    return open_site(site)


def test_where_nobody_is_named_somebody_acts_who_may(tmp_path: Path) -> None:
    site = without_ida(tmp_path)
    (arm,) = read("arm away house", site).given
    assert arm.event == Arm(arm.event.area, Mode.AWAY, UserNumber(2))  # type: ignore[union-attr]
    for text in ("disarm workshop", "arm away"):
        _, (slip,) = read_scenario(text, "x.txt", site)
        assert "nobody of the site file may set workshop" in slip.says


def test_no_proof_holds_of_a_code_that_nobody_has(tmp_path: Path) -> None:
    site = without_ida(tmp_path)
    asked = asked_of(site, setup_of(site.programme, site.profile), Window())
    why = {(*each.areas, each.outright and each.outright.why) for each in asked if each.kind == "disarm"}
    assert why == {(1, None), (2, "nobody's code disarms it")}


def test_what_happens_is_what_the_clockwork_does() -> None:
    setup = setup_of(LARKFIELD.programme, LARKFIELD.profile)
    timeline = played(setup, read("arm away house by Ida; +5 s front-door trips; +2 min small window opens"))
    assert any(isinstance(each, Siren) for entry in timeline for each in entry.outputs if entry.at == 125)
    assert played(setup, read("mains lost; +1 h"))[0].event == SiteTroubleBegins(SiteTrouble.MAINS)


def test_people_and_areas_have_their_names() -> None:
    setup = setup_of(LARKFIELD.programme, LARKFIELD.profile)
    (arm,) = read("arm away house by Bertil").given
    assert called(event_in_words(setup, arm.event), names_of(LARKFIELD)) == "house armed away by keypad, Bertil"


@pytest.mark.parametrize("site", [LARKFIELD, ROWAN, BAKERY], ids=lambda site: site.site.site)
def test_every_scene_goes_well_at_the_demo_sites(site: Resolved) -> None:
    setup = setup_of(site.programme, site.profile)
    amiss = [(each.name, each.why) for each in play_scenes(site, setup) if each.came is Came.OTHERWISE]
    assert amiss == []


def test_a_scene_goes_amiss_where_the_design_is_wrong(tmp_path: Path) -> None:
    text = (FILES / "larkfield.yaml").read_text("utf-8").replace("behaviour: notice", "behaviour: perimeter")
    text = text.replace("behaviour: on-route", "behaviour: interior")
    wrong = tmp_path / "wrong.yaml"
    wrong.write_text(text, encoding="utf-8")
    site = open_site(wrong)
    played_there = {each.name: each for each in play_scenes(site, setup_of(site.programme, site.profile))}
    home = played_there["coming home with shopping"]
    assert (home.came, "siren sounds" in home.why) == (Came.OTHERWISE, True)
    assert played_there["parcel at the gate while armed"].came is Came.LACKS


def _last_door() -> tuple[Resolved, Setup]:
    """The yard, in which time alone sets nothing, with a last door in each area."""
    site = yard("always: window causes siren while away", "yes")
    setup = setup_of(site.programme, site.profile)
    made = (replace(z, behaviour=SHIPPED["final-door"]) if z.number in (1, 5) else z for z in setup.zones)
    return site, replace(setup, zones=tuple(made))


ARMED_AWAY = ["coming home with shopping", "power cut of six hours while armed",
              "somebody with fewer rights, by their own code", "burglar by a window",
              "burglar by the door"]  # fmt: skip


def test_people_leave_by_the_last_door_where_that_sets(monkeypatch: pytest.MonkeyPatch) -> None:
    """They left by any door: a burglar met a house that was off, and the power cut went well in one."""
    found = {each.name: each for each in play_scenes(*_last_door())}
    assert {found[name].came for name in ARMED_AWAY} == {Came.WISHED}
    monkeypatch.setattr(scenes_of_a_site._Stage, "last_door_sets", False)
    monkeypatch.setattr(scenes_of_a_site._Stage, "exit_door", lambda stage, _zone: stage.setup.zone(ZoneNumber(5)))
    found = {each.name: each for each in play_scenes(*_last_door())}
    assert {(found[name].came, found[name].why) for name in ARMED_AWAY} == {
        (Came.OTHERWISE, "house is never armed away")
    }


def test_a_scene_lacks_a_last_door_where_only_that_would_set() -> None:
    site = yard("always: window causes siren while away", "yes")
    found = {each.name: each for each in play_scenes(site, setup_of(site.programme, site.profile))}
    assert found["burglar by a window"].came is Came.LACKS
    assert found["burglar by a window"].why == "no last door that sets house, which time alone doesn't"
    assert found["back for the umbrella"].came is Came.WISHED  # nobody sets anything in it


@pytest.mark.parametrize("zones", [1, 3, 40])
def test_the_scenes_run_at_any_site(zones: int, tmp_path: Path) -> None:
    path = tmp_path / "house.yaml"
    path.write_text(house(zones), encoding="utf-8")
    site = open_site(path)
    setup = setup_of(site.programme, site.profile)
    assert [each.name for each in play_scenes(site, setup)] == [name for name, _ in scenes()]
    for name, _ in scenes():
        assert play_scene(site, setup, name).name == name


@settings(max_examples=30)
@given(
    st.lists(
        st.sampled_from(
            [
                "front door opens",
                "front door closes",
                "disarm by Ida",
                "arm stay by Ida",
                "+7 s",
                "sink-water cover off",
                "+2 min",
                "lounge-movement trips",
                "chime off",
            ]
        ),
        max_size=12,
    )
)
def test_any_scenario_is_played_in_order(parts: list[str]) -> None:
    setup = setup_of(LARKFIELD.programme, LARKFIELD.profile)
    scenario, _ = read_scenario("; ".join(parts), "x", LARKFIELD)
    timeline = played(setup, scenario)
    assert [entry.at for entry in timeline] == sorted(entry.at for entry in timeline)
    given_events = [each.event for each in scenario.given]
    assert [entry.event for entry in timeline if entry.event in given_events][: len(given_events)] == given_events


def test_a_device_on_a_loop_means_its_loop() -> None:
    assert [each.event for each in read("hall-eye opens", BAKERY).given] == [ZoneOpens(ZoneNumber(6))]
    assert read("left-pane opens", BAKERY).given == read("shop-front opens", BAKERY).given


def test_a_device_may_be_called_like_the_first_word_of_a_line(tmp_path: Path) -> None:
    path = tmp_path / "site.yaml"
    path.write_text((FILES / "larkfield.yaml").read_text("utf-8").replace("back-door", "panic"), "utf-8")
    copy(FILES / "larkfield-plan.yaml", tmp_path)
    site = open_site(path)
    (opens,) = read("panic opens", site).given
    assert isinstance(opens.event, ZoneOpens)
    (called,) = read("panic by Ida", site).given
    assert isinstance(called.event, Panic)


PUZZLING = st.text(alphabet="abc;#\" ':/by,+", min_size=1, max_size=12).map(lambda text: " ".join(text.split()))


@given(PUZZLING.filter(bool))
@settings(max_examples=200)
def test_a_quoted_name_is_read_as_the_name_it_was(name: str) -> None:
    written = quoting.quoted(name)
    assert quoting.parts(written, ";") == [written]
    assert quoting.meant(*quoting.set_aside(written)) == name


@pytest.mark.parametrize("name", ["shed; left", "door #2", "room by the sea", "arm away", 'the "old" door', "by"])
def test_every_scene_runs_at_a_site_whose_names_would_part_a_line(name: str, tmp_path: Path) -> None:
    text = (FILES / "larkfield.yaml").read_text("utf-8")
    written = '"' + name.replace('"', '\\"') + '"'
    path = tmp_path / "site.yaml"
    path.write_text(text.replace("  Ida:", f"  {written}:"), "utf-8")
    for plan in FILES.glob("larkfield*"):
        copy(plan, tmp_path)
    site = open_site(path)
    assert name in site.users.values()
    played_ = list(play_scenes(site, setup_of(site.programme, site.profile)))
    assert [each.came for each in played_] == [each.came for each in play_scenes(*_larkfield())]
    (mine,) = read(f"disarm house by {quoting.quoted(name)}", site).given
    assert mine.event == Disarm(AreaNumber(1), UserNumber(1))


@pytest.mark.parametrize("name", ["room by the sea", "Arm chair", "by", "Ida", "At last"])
def test_an_area_or_a_device_with_a_word_of_a_line_in_its_name_is_read_where_it_is_written(
    name: str, tmp_path: Path
) -> None:
    text = (
        (FILES / "larkfield.yaml")
        .read_text("utf-8")
        .replace("hall-movement", name)
        .replace("workshop: {}", f"{name}: {{}}")
    )
    path = tmp_path / "site.yaml"
    path.write_text(
        text.replace("area: workshop", f"area: {name}").replace("[house, workshop]", f"[house, {name}]"), "utf-8"
    )
    for plan in FILES.glob("larkfield-plan*"):
        copy(plan, tmp_path)
    site, written = open_site(path), quoting.quoted(name)
    found = [read(line, site).given[0].event for line in (f"disarm {written} by Ida", f"{written} opens")]
    assert found == [Disarm(AreaNumber(2), UserNumber(1)), ZoneOpens(ZoneNumber(5))]


def _larkfield() -> tuple[Resolved, Setup]:
    return LARKFIELD, setup_of(LARKFIELD.programme, LARKFIELD.profile)


def test_times_have_plain_digits_only() -> None:
    assert read_scenario("+١٠ s front door opens", "x.txt", LARKFIELD)[1]


def shown(site: Resolved, text: str) -> list[tuple[int, str, int | None]]:
    scenario, slips = read_scenario(text, "typed", site)
    assert not slips
    setup = setup_of(site.programme, site.profile)
    return [
        (entry.at, out.line.value, out.area if out.zone is None else out.zone)
        for entry in played(setup, scenario)
        for out in entry.outputs
        if isinstance(out, Shown)
    ]


def test_nothing_is_told_missing_in_a_week_at_the_bakery() -> None:
    lines = [line for _, line, _ in shown(BAKERY, "arm away by Pia; +10 s leave by shop-door; +160 h")]
    assert "missing" not in lines
    assert lines.count("armed away") == 2  # Pia armed both areas, and left both by one door


def test_a_device_that_falls_silent_is_told_missing() -> None:
    assert (60, "missing", 7) in shown(BAKERY, "at 1 min shop-movement missing; +160 h")


def test_a_bypass_by_somebody_without_the_right_for_the_area_is_refused() -> None:
    assert shown(BAKERY, "bypass shop-front by Jost") == [(0, "not with this code", 2)]
    assert shown(BAKERY, "bypass shop-front by Lena") == [(0, "bypassed", 2)]
    assert shown(BAKERY, "bypass hall by Lena") == [(0, "not with this code", 6)]
    assert shown(BAKERY, "bypass hall") == [(0, "bypassed", 6)]  # the first who may


def test_a_remote_disarms() -> None:
    lines = shown(BAKERY, "arm away bakehouse by baker's key ring; +90 s; disarm by baker's key ring")
    assert (90, "disarmed", 2) in lines


@pytest.mark.parametrize("site", [LARKFIELD, ROWAN, BAKERY])
def test_no_demo_accepts_a_finding_by_a_bypass_that_its_panel_refuses(site: Resolved) -> None:
    for word in site.site.accept:
        if "zone out" in word.because or "bypass" in word.because:
            assert "bypassed" in [line for _, line, _ in shown(site, f"bypass {word.for_}")]


@pytest.mark.parametrize(
    ("line", "last", "says"),
    [
        ("stairs-smoke falls silent", 4 * 3600, 'message "missing", stairs'),
        ("mains lost", 1800, 'message "mains lost"'),
        ("at 10 s mains lost; at 60 s mains back", 60, ""),
    ],
)
def test_a_scene_goes_on_until_what_went_wrong_is_found(line: str, last: int, says: str) -> None:
    setup = setup_of(ROWAN.programme, ROWAN.profile)
    timeline = played(setup, read(line, ROWAN))
    told = [output_in_words(setup, each) for entry in timeline for each in entry.outputs]
    assert (says in told) if says else not told
    if says:
        at = [entry.at for entry in timeline for each in entry.outputs if output_in_words(setup, each) == says]
        assert at[0] == last


@pytest.mark.parametrize("does", ["panic", "arm stay", "bypass side gate"])
def test_a_remote_does_only_what_its_buttons_do(does: str) -> None:
    _, slips = read_scenario(f"{does} by Mara's key ring", "x.txt", ROWAN)
    assert "its buttons do: arm away, disarm" in slips[0].says
    assert not read_scenario("arm away by Mara's key ring; +5 s disarm by Mara's key ring", "x.txt", ROWAN)[1]


def test_no_button_of_a_remote_is_heard_through_jammed_air() -> None:
    setup = setup_of(ROWAN.programme, ROWAN.profile)
    for means, heard in ((Means.REMOTE, False), (Means.KEYPAD, True)):
        press = Panic(AreaNumber(1), UserNumber(1), means)
        jammed = run(setup, [(0, SiteTroubleBegins(SiteTrouble.JAMMING)), (5, press)], until=6)
        assert bool(jammed[-1].outputs) is heard
