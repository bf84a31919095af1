"""What every shipped panel's keypad and sheets promise, whatever its entry style."""

from __future__ import annotations

import random

import pytest

from zonewright.entry.keypad import pressing, showing, standing
from zonewright.entry.keypad.drive import drive
from zonewright.entry.keypad.strokes import Act, NoWay
from zonewright.entry.keypad.styles import PAUSE, STYLES, Taken, Typing
from zonewright.entry.sheets.guide import guide
from zonewright.entry.sheets.sheet import delta, replay, whole
from zonewright.entry.sheets.text import sheet_lines
from zonewright.panel.answers import any_value
from zonewright.panel.legal import as_shipped, random_change, random_programme, why_illegal
from zonewright.panel.profile import Profile, Style
from zonewright.panel.profile_file import shipped, shipped_names
from zonewright.panel.programme import UNKNOWN, Item, Programme, Value

PANELS = shipped_names()
PICKED = [name for name in PANELS if shipped(name).menu]  # the others are held by test_sheets, example by example
PARTS = 10
WHOLE, PAIRS = 1000, 500


def drawn(profile: Profile, seed: int) -> tuple[Programme, random.Random]:
    rng = random.Random(seed)
    return random_programme(profile, rng, rng.randint(1, 4), rng.randint(0, 2), rng.randint(0, 2)), rng


def driven(profile: Profile, old: Programme, new: Programme) -> Programme:
    """Drive from one to the other, and hold that nothing is answered twice in a job."""
    done = drive(profile, old, new)
    for job in done:
        answered = [stroke.item for stroke in job.strokes if stroke.item is not None and stroke.act is Act.CHANGE]
        assert len(answered) == len(set(answered))
    return Programme(profile.panel, done[-1].strokes[-1].after.held) if done else old


@pytest.mark.deep
@pytest.mark.parametrize("part", range(PARTS))
@pytest.mark.parametrize("name", PICKED)
def test_the_keys_give_back_any_legal_programme_and_any_change_of_it(name: str, part: int) -> None:
    profile = shipped(name)
    for seed in range(part, WHOLE, PARTS):
        plan, rng = drawn(profile, seed)
        assert dict(driven(profile, as_shipped(profile), plan).values) == dict(plan.values), seed
        if seed < PAIRS:
            new = random_change(profile, rng, plan, rng.randint(1, 5))
            assert dict(driven(profile, plan, new).values) == dict(new.values), seed


@pytest.mark.parametrize("name", PANELS)
def test_random_programmes_and_their_changes_are_legal(name: str) -> None:
    profile = shipped(name)
    for seed in range(200):
        plan, rng = drawn(profile, seed)
        assert why_illegal(profile, plan) == []
        assert why_illegal(profile, random_change(profile, rng, plan, 4)) == []


@pytest.mark.parametrize("seed", range(4))
@pytest.mark.parametrize("name", PANELS)
def test_what_is_printed_fits_80_columns_and_is_replayed_to_equality(name: str, seed: int) -> None:
    profile = shipped(name)
    old, rng = drawn(profile, seed)
    new = random_change(profile, rng, old, 3)
    for sheet in (whole(profile, old), delta(profile, old, new)):
        assert replay(sheet).values == sheet.new.values
        assert max(len(line) for line in sheet_lines(sheet)) <= 80


@pytest.mark.parametrize("name", PANELS)
def test_any_keys_in_any_order_are_answered_and_only_legal_things_kept(name: str) -> None:
    profile, rng = shipped(name), random.Random(7)
    state = standing.at_rest(profile, as_shipped(profile))
    ways = list(profile.script[profile.rest].ways_in or {})
    met, kept = {state.node}, 0
    for _ in range(20_000):
        before, draw = state, rng.random()
        if state.node == profile.rest and draw < 0.5:
            for key in rng.choice(ways).split():
                state = pressing.press(profile, state, key)
        elif draw < 0.3 and (node := profile.script[state.node]).place is not None:
            item = rng.choice([item for item in profile.items if not profile.items[item].shown_only])
            for key in standing.address(profile, node, item, rng.randint(1, 2) if "*" in item else None) or ():
                state = pressing.press(profile, state, key)
        elif draw < 0.002:
            state = pressing.idle(profile, state)
        elif draw < 0.05:
            state = pressing.heard(profile, state, f"{rng.randrange(4):06}")
        elif draw < 0.07:
            state = pressing.press(profile, state, PAUSE)
        else:
            state = pressing.press(profile, state, rng.choice(profile.keys.names))
        shown = showing.display(profile, state)
        assert len(shown) == profile.display.lines
        assert all(len(line) <= profile.display.columns for line in shown)
        met.add(state.node)
        if state.held is not before.held and dict(state.held) != dict(before.held):
            kept += 1
            assert why_illegal(profile, standing.programme_of(profile, state)) == []
    assert len(met) > 12


ANSWERS = [
    (name, how)
    for name in PANELS
    for how, answer in shipped(name).answers.items()
    if answer.style not in (Style.TRIP, Style.SECRET)
    and (answer.style is not Style.SCROLL or how not in ("zone number", "slot number", "remote number"))
]


@pytest.mark.parametrize(("name", "how"), ANSWERS, ids=[f"{name}-{how}" for name, how in ANSWERS])
def test_from_any_present_value_the_keys_give_the_wanted_one_at_the_last_and_never_before(name: str, how: str) -> None:
    answer, rng = shipped(name).answers[how], random.Random(how)
    style = STYLES[answer.style]
    for _ in range(60):
        wanted = any_value(answer, rng)
        for present in (None, UNKNOWN, any_value(answer, rng), wanted):
            buffer = style.start(answer, present)
            keys = style.keys(answer, present, wanted)
            for key in keys[:-1]:
                result = style.press(answer, present, buffer, key)
                assert isinstance(result, Typing), (present, wanted, keys)
                assert result.message == ""
                buffer = result.buffer
            assert style.press(answer, present, buffer, keys[-1]) == Taken(wanted), (present, wanted, keys)


@pytest.mark.parametrize(("name", "how"), ANSWERS, ids=[f"{name}-{how}" for name, how in ANSWERS])
def test_a_display_just_met_is_read_back_as_the_value_that_it_shows(name: str, how: str) -> None:
    answer, rng = shipped(name).answers[how], random.Random(how)
    style = STYLES[answer.style]
    for present in (any_value(answer, rng) for _ in range(60)):
        assert style.parse(answer, style.show(answer, present, style.start(answer, present))) == present


def test_on_marlow_an_empty_set_keeps_nothing_new() -> None:
    marlow = shipped("marlow")
    state = standing.at_rest(marlow, as_shipped(marlow))
    for key in ("where", "where", "R", *"1234", *"130KK", "set"):
        state = pressing.press(marlow, state, key)
    assert dict(state.held) == dict(as_shipped(marlow).values)
    assert showing.display(marlow, state) == ("130 KM longer again", "yes")


def test_on_marlow_a_changed_behaviour_resets_what_hangs_on_it() -> None:
    marlow = shipped("marlow")
    plan, _ = drawn(marlow, 3)
    number = plan.numbers("zone")[0]
    old = plan.changed({
        Item(f"zone/{number}/behaviour"): Value("perimeter"),
        Item(f"zone/{number}/delay"): Value("none"),
        Item(f"zone/{number}/tells-alarm"): Value("no"),
        Item(f"zone/{number}/message-delay"): Value("none"),
    })  # fmt: skip
    new = old.changed({
        Item(f"zone/{number}/behaviour"): Value("entry-door"),
        Item(f"zone/{number}/delay"): Value("entry time"),
    })  # fmt: skip
    (job,) = drive(marlow, old, new)
    answered = [stroke.item for stroke in job.strokes if stroke.act.value == "change"]
    assert f"zone/{number}/tells-alarm" in answered  # it didn't change, but the panel puts it back to yes


def test_on_quill_a_zone_never_tripped_is_not_kept() -> None:
    quill = shipped("quill")
    state = standing.at_rest(quill, as_shipped(quill))
    for key in ("right", "right", "ok", *["up"] * 6, "ok", "ok", "ok", "ok", "left", "ok"):
        state = pressing.press(quill, state, key)
    assert showing.display(quill, state) == ("001 leave zone", "Keep all this", "needs number")
    assert state.waiting


def test_an_item_that_no_question_sets_is_named() -> None:
    marlow = shipped("marlow")
    old = as_shipped(marlow)
    with pytest.raises(NoWay, match="panel/edition"):
        drive(marlow, old, old.changed({Item("panel/edition"): Value("M9.9")}))


@pytest.mark.parametrize("name", PICKED)
def test_a_guide_names_a_line_that_only_the_right_place_shows(name: str) -> None:
    # Told "until you see -", a householder would stop at the first entry without a value.
    profile = shipped(name)
    plan, _ = drawn(profile, 7)
    zone = plan.numbers("zone")[0]
    others = {item: None for item in plan if item.startswith(f"zone/{zone}/")}
    sheet = delta(profile, plan.changed(others), plan)
    job = next(job for job in sheet.jobs if job.job.number == zone)
    page = guide(sheet, zone, "", "a chime")
    for step, action in zip(job.steps, page.actions, strict=True):
        if step.until and step.look is not None:
            told = action.do.partition('until you see "')[2].partition('"')[0]
            assert told in step.look
            assert told not in step.shows


@pytest.mark.parametrize(
    ("name", "told"), [("tern", "four numbers"), ("marlow", "four numbers"), ("quill", "six keys")]
)
def test_a_guide_says_how_many_keys_an_own_code_has(name: str, told: str) -> None:
    profile = shipped(name)
    plan, _ = drawn(profile, 7)
    zone = plan.numbers("zone")[0]
    says = [action.do for action in guide(whole(profile, plan), zone, "", "a chime").actions]
    assert f"Press your own {told}." in says
