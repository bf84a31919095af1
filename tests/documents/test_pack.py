from __future__ import annotations

import re
from dataclasses import fields, replace
from pathlib import Path

import pytest

import zonewright.documents
from tests.documents.packs import (
    catalogue,
    made,
    opened,
    pack,
    pages,
    pdf,
    reader,
    sheets,
    site,
    squeezed,
    verdicts,
    whole_text,
)
from zonewright.behaviour.setup import setup_of
from zonewright.checks.check import Judged, check
from zonewright.documents.pack import Paper, pack_data, render
from zonewright.documents.proved import proved, proved_number
from zonewright.documents.records import Fact, PackData, PrintedRow, RecordedByHand
from zonewright.entry.sheets.sheet import delta
from zonewright.findings import BadInput, Finding, Severity
from zonewright.proof.prover.refine import Settled, VerdictKind
from zonewright.testplan.walking import LOOPS
from zonewright.words.tracks import called, names_of

HOLDS, FAILS, EMPTY, UNDECIDED, AGREED, ABSENT, OFF = VerdictKind
RESULTS = (HOLDS, HOLDS, FAILS, EMPTY, UNDECIDED, AGREED, ABSENT, ABSENT, OFF)
HOSTILE = '#import "x" *b* $x$ @ref <lab> \\n // `raw` _u_ #panic("x") = ~ --'


def test_pdf_is_tagged_and_has_title_and_language() -> None:
    root = catalogue(pdf())
    assert root["/MarkInfo"]["/Marked"]
    assert root["/StructTreeRoot"]["/K"]
    assert root["/Lang"] == "en"
    assert root["/ViewerPreferences"]["/DisplayDocTitle"]
    metadata = reader(pdf()).metadata
    assert metadata is not None
    assert metadata.title == "Larkfield Cottage, job pack, revision 3"
    assert b"pdfuaid:part" in root["/Metadata"].get_data()


@pytest.mark.parametrize("template", ["pack.typ", "pack.html.jinja"])
def test_every_part_of_a_pack_is_asked_for_by_paper_and_page(template: str) -> None:
    text = (Path(zonewright.documents.__file__).parent / "templates" / template).read_text(encoding="utf-8")
    assert [each.name for each in fields(PackData) if not re.search(rf"\b{each.name}\b", text)] == []


def test_same_data_give_same_bytes() -> None:
    assert render(pack()) == pdf()


def test_pdf_holds_no_date_and_no_place_of_this_machine() -> None:
    metadata = reader(pdf()).metadata
    assert metadata is not None
    assert not {"/CreationDate", "/ModDate"} & metadata.keys()
    assert str(Path(__file__).parents[2]).encode() not in pdf()


@pytest.mark.parametrize(("paper", "size"), [("a4", (595.3, 841.9)), ("us-letter", (612, 792))])
def test_every_page_has_the_paper_asked_for(paper: Paper, size: tuple[float, float]) -> None:
    for page in reader(pdf(paper)).pages:
        assert (float(page.mediabox.width), float(page.mediabox.height)) == pytest.approx(size, abs=0.1)


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_every_label_and_number_of_a_zone_is_printed(paper: Paper) -> None:
    text = whole_text(pdf(paper))
    for zone in pack().schedule:
        assert squeezed(f"{zone.number}{zone.label}") in text
        assert squeezed(zone.serial) in text
    for _, label, does in pack().foreseen.zones:
        assert squeezed(label + does) in text


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_every_step_is_printed_in_the_order_in_which_it_is_done(paper: Paper) -> None:
    text = whole_text(pdf(paper))
    for sheet in pack().sheets:
        for block in sheet.blocks:
            place = text.index(squeezed(block.title + block.serial))
            for step in block.steps:
                place = text.index(printed(step), place)


def printed(step: PrintedRow) -> str:
    """Return a step as its row is read: number, display, keys, what to look at, accepting key."""
    press = step.keys
    looked_at: tuple[str, ...] = ()
    if step.accept and step.keys:
        looked_at = step.look[-1:] if step.only_last else step.look
    middle = looked_at or (step.note,)
    times = () if not step.times else ("until you see", "once" if step.times == 1 else f"{step.times} times")
    trip = ("trip the device", step.trip) if step.trip else ()
    parts = (*step.shows, *trip, *(key for group in press for key in group), *times, *middle, step.accept)
    return squeezed(str(step.number) + "".join(parts) + ("read back" if step.read_back else ""))


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_every_part_of_a_sheet_stands_whole_on_one_page(paper: Paper) -> None:
    texts = [squeezed(text) for text in pages(pdf(paper))]
    for sheet in pack().sheets:
        for block in sheet.blocks:
            on = [text for text in texts if all(printed(step) in text for step in block.steps)]
            assert [text for text in on if squeezed(block.title) in text], block.title


def test_every_finding_is_printed_with_its_code_and_who_accepted_it() -> None:
    judged = check(site())
    text = whole_text(pdf())
    assert judged.findings
    assert judged.accepted
    for finding in judged.findings:
        assert squeezed(f"{finding.code}{finding.thing}") in text
    for word in judged.accepted:
        assert squeezed(f"{word.finding.code}{word.finding.thing}") in text
        assert squeezed(f"Accepted: {word.by}, 30 September 2025: {word.because}") in text


def test_every_promise_is_printed_with_its_verdict_and_a_failure_with_its_timeline() -> None:
    text = whole_text(pdf())
    for each in verdicts():
        assert squeezed(called(each.promise.says, names_of(site()))) in text
    for word in ("What is proved", "Fails:", "undecided", "it never comes to that", "kitchen small window opens"):
        assert squeezed(word) in text


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_the_covers_numbers_stand_in_one_row(paper: Paper) -> None:
    rows: dict[str, float] = {}

    def seen(text: str, page: list[float], at: list[float], *_font: object) -> None:
        first = [word for word in words if text.strip().startswith(word) and word not in rows]
        rows.update(dict.fromkeys(first, at[5] * page[3] + page[5]))

    numbers = pack().cover.numbers
    words = [each.words.split()[0] for each in numbers]
    reader(pdf(paper)).pages[0].extract_text(visitor_text=seen)
    assert len(numbers) == 5
    assert len({round(y) for y in rows.values()}) == 1, rows


def test_the_first_line_of_what_is_proved_says_how_much_is_undecided() -> None:
    """It claims every state; where a promise is too large to settle, that claim is cut down at once."""
    setup = setup_of(site().programme, site().profile)
    settled = [replace(each, settled=Settled(VerdictKind.HOLDS)) for each in verdicts()]
    undecided = [replace(settled[0], settled=Settled(VerdictKind.UNDECIDED)), *settled[1:]]
    assert "undecided" not in proved(setup, settled, names_of(site()), 0).basis
    assert "but for what is called undecided (1)" in proved(setup, undecided, names_of(site()), 0).basis


def test_what_a_panel_lacks_does_not_read_like_a_failure() -> None:
    told = [replace(each, settled=Settled(result)) for each, result in zip(verdicts(), RESULTS, strict=False)]
    number = proved_number(told)
    assert number.number == 2
    words = number.words.replace("\u00a0", " ")
    apart = "1 otherwise, as agreed; 1 of what can't come up; 2 not on this panel; 1 not in use here"
    assert words == f"proved of 4; 1 undecided; {apart}"


def test_every_test_of_the_plan_is_printed_with_what_must_be_noticed_and_what_none_shows() -> None:
    text, record = whole_text(pdf()), pack().walked
    assert record is not None
    place = text.index(squeezed("Test plan record"), text.index(squeezed("Hand-over record")))
    for period in record.periods:
        for test in period.tests:
            place = text.index(squeezed(test.number + test.title), place)
            for row in (*test.do, *test.expect):
                assert squeezed(row.text) in text[place:]
    assert record.unshown
    for row in (*record.unshown, *(row for extra in record.by_hand for row in extra.rows)):
        assert squeezed(row.name) in text
        assert squeezed(row.text) in text[place:]


def test_each_device_of_a_loop_has_its_box() -> None:
    record = pack().walked
    assert record is not None
    loops = (Fact("shop front", "left-pane"), Fact("shop front", "right-pane"))
    extra = (RecordedByHand("Every device of a loop", LOOPS, loops),)
    text = whole_text(render(replace(pack(), walked=replace(record, by_hand=extra))))
    assert squeezed(LOOPS) in text
    assert all(squeezed(f"{row.name}: {row.text}") in text for row in loops)


def test_worst_findings_come_first_and_are_counted_on_the_cover() -> None:
    found = [Finding(f"T-{rank}", each, "zone 1", "it is so") for rank, each in enumerate(reversed(Severity))]
    data = pack_data(site(), made(), Judged((*found, found[0]), ()))
    assert [row.mark for row in data.found.open] == ["must mend", "look at", "not known", "not known"]
    assert [number.number for number in data.cover.numbers] == [1, 1, 2, 10]


def test_contents_name_the_page_on_which_each_part_begins() -> None:
    printed_pages = pages(pdf())
    cover = squeezed(printed_pages[0])
    for name in ("Zone schedule", "What happens", "Findings", "Cautions", "Entry sheet: everything", "Your side gate"):
        number = next(at for at, text in enumerate(printed_pages[1:], 2) if squeezed(name) in squeezed(text))
        assert squeezed(f"{number}{name}") in cover


def test_only_the_householders_pages_go_without_the_warning() -> None:
    without = [text for text in pages(pdf()) if "keep locked" not in text]
    assert without
    assert all("For the people who live here" in text for text in without)


def test_hostile_texts_are_printed_as_they_stand() -> None:
    data = pack()
    row = replace(data.schedule[0], label=HOSTILE, place=HOSTILE)
    zone = data.foreseen.zones[0]
    foreseen = replace(data.foreseen, zones=((zone[0], HOSTILE, HOSTILE),), same=(HOSTILE,))
    finding = replace(data.found.open[0], says=HOSTILE, why=HOSTILE, fix=HOSTILE)
    block = replace(data.sheets[1].blocks[0], title=HOSTILE, changes=((HOSTILE, HOSTILE, HOSTILE),))
    hostile = replace(
        data,
        title=HOSTILE,
        cover=replace(data.cover, name=HOSTILE),
        schedule=(row,),
        foreseen=foreseen,
        found=replace(data.found, open=(finding,)),
        sheets=(replace(data.sheets[1], blocks=(block,), untouched=HOSTILE),),
        householder=(replace(data.householder[0], title=HOSTILE, does=HOSTILE),),
    )
    content = render(hostile)
    metadata = reader(content).metadata
    assert metadata is not None
    assert metadata.title == HOSTILE
    assert whole_text(content).count(squeezed(HOSTILE)) >= 15


@pytest.mark.parametrize(("text", "letter"), [("Haus \u4f60", "U+4F60"), ("gate \U0001f512", "U+1F512")])
def test_letter_that_the_fonts_lack_is_told_with_its_text(text: str, letter: str) -> None:
    with pytest.raises(BadInput) as refused:
        render(replace(pack(), cover=replace(pack().cover, name=text)))
    (finding,) = refused.value.findings
    assert text in finding.thing
    assert letter in finding.says


def test_letter_that_only_a_display_lacks_is_told() -> None:
    sheet = pack().sheets[1]
    block = replace(sheet.blocks[0], after=("Kept \N{CHECK MARK}",))
    with pytest.raises(BadInput, match="Kept \N{CHECK MARK}"):
        render(replace(pack(), sheets=(replace(sheet, blocks=(block,)),)))


def test_no_digit_of_anybodys_code_gets_into_a_pack() -> None:
    sheet = sheets()[0]
    secret = ("8", "6", "4", "2")
    jobs = tuple(
        replace(job, steps=tuple(replace(step, keys=(secret,)) if step.own_code else step for step in job.steps))
        for job in sheet.jobs
    )
    assert sum(step.own_code for job in jobs for step in job.steps) >= 3  # the way in, and two people's own
    walk = replace(
        sheet.walk,
        parts=tuple(
            replace(
                part,
                strokes=tuple(
                    stroke._replace(keys=secret) if stroke.node == "code" else stroke for stroke in part.strokes
                ),
            )
            for part in sheet.walk.parts
        ),
    )
    data = pack_data(site(), made(), check(site()), [replace(sheet, jobs=jobs, walk=walk)])
    assert "'8', '6', '4', '2'" not in repr(data)
    assert "8642" not in whole_text(render(data))


def test_sheet_without_anything_to_key_is_left_out() -> None:
    now = site()
    nothing = delta(now.profile, now.programme, now.programme)
    assert pack_data(now, made(), check(now), [nothing]).sheets == ()


HOUSE = """\
site: Longmeadow
panel: tern
areas: {house: {}, barn: {}}
devices:
"""
PLACES = ("hall", "kitchen", "lounge", "study", "garage", "loft", "cellar", "porch")
words = ("front window", "back window", "left hatch", "upper skylight", "side door", "big safe", "lower drawer", "pump")
ACTS = ("perimeter", "interior", "24-hour-audible", "notice", "environment", "on-route")


def big_house(zones: int) -> str:
    lines = [
        f"  d{n}: {{kind: contact, number: {{printed: 51 {n:06d} A}}, at: {{room: {PLACES[n % 8]}}},\n"
        f"    zone: {{number: {n}, area: {'house' if n % 3 else 'barn'}, behaviour: {ACTS[n % 6]}, "
        f"called: {words[n // 8 % 8]}}}}}\n"
        for n in range(1, zones + 1)
    ]
    return HOUSE + "".join(lines)


@pytest.mark.parametrize("paper", ["a4", "us-letter"])
def test_pack_of_64_zones_prints_every_zone(paper: Paper, tmp_path: Path) -> None:
    resolved, matrix = opened(big_house(64), tmp_path)
    data = pack_data(resolved, matrix, check(resolved))
    text = whole_text(render(data, paper))
    for zone in data.schedule:
        assert squeezed(f"{zone.number}{zone.label}") in text


def test_site_with_the_fewest_words_prints(tmp_path: Path) -> None:
    resolved, matrix = opened("site: Shed\npanel: tern\nareas: {shed: {}}\n", tmp_path)
    text = whole_text(render(pack_data(resolved, matrix, check(resolved))))
    assert "0zones" in text
