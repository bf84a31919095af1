# ruff: noqa: E501, ISC004 - what is said of an edit is read best beside it
"""What is told before a change is keyed: what stays under another name or number, and what really goes."""

from __future__ import annotations

import io
import json
import sys
from pathlib import Path

import pytest

from zonewright.cli import main

SITE = """site: Sailmaker's loft
panel: marlow
station: {account: "6391", by: dc-09}
areas: {loft: {}, shop: {}}
keypads: {desk: {area: loft}}
sirens: {eaves: {outdoors: yes}}
devices:
  door:
    kind: contact
    number: {printed: 60 20 01}
    zone: {number: 1, area: loft, behaviour: entry-door, called: loft door}
  smoke:
    kind: smoke
    number: {printed: 62 05 17}
    at: {room: loft}
    zone: {number: 2, area: loft, behaviour: fire, called: loft smoke}
  both:
    kind: contact with a second input
    number: {printed: 60 88 14}
    inputs:
      reed: {zone: 3, area: shop, behaviour: entry-door, called: shop door}
      wire: {zone: 4, area: shop, behaviour: perimeter, called: hatch}
  push:
    kind: button
    number: {printed: 64 20 77}
    fixed: yes
    at: {room: shop}
    zone: {number: 5, area: shop, behaviour: holdup, called: till push}
  head-one: {kind: smoke, at: {room: shop}, guards: shop ceiling}
  head-two: {kind: heat, at: {room: store}, guards: store ceiling}
  reed: {kind: contact, at: {room: store}, guards: store window}
loops:
  heads: {zone: 6, area: shop, behaviour: fire, called: shop fire, resistor: single, devices: [head-one, head-two]}
  store: {zone: 7, area: shop, behaviour: perimeter, called: store window, resistor: single, devices: [reed]}
remotes:
  Ann's fob: {number: {printed: 65 11 46}, carried by: Ann, area: loft, slot: 1}
people:
  Ann: {role: owner, slot: 1}
  Bea: {role: user, slot: 2}
  Cas: {role: guest, may: [shop], slot: 3}
"""
SMOKE = SITE[SITE.index("  smoke:") : SITE.index("  both:")]
PUSH = SITE[SITE.index("  push:") : SITE.index("  head-one:")]
REMOTES = SITE[SITE.index("remotes:") : SITE.index("people:")]
HATCH = SMOKE.replace("smoke:\n", "hatch:\n").replace("kind: smoke", "kind: contact").replace("62 05 17", "60 21 66")
HATCH = HATCH.replace("behaviour: fire, called: loft smoke", "behaviour: perimeter, called: roof hatch")
OLD_NAME = "Tell the station, whose list still has the old name."
UNWATCHED = "It warns nobody until that is keyed: tell all who are in the building."
AGAIN = "the number is used again, and the sheet keys over it."
Edit = tuple[str, str]


def written(folder: Path, *edits: Edit) -> list[str]:
    """Write the site before and after a change, and return what a verb is told of both."""
    text = SITE
    for old, new in edits:
        assert old in text
        text = text.replace(old, new)
    (folder / "old.yaml").write_text(SITE, encoding="utf-8")
    (folder / "new.yaml").write_text(text, encoding="utf-8")
    return [str(folder / "new.yaml"), "--since", str(folder / "old.yaml")]


def said(capsys: pytest.CaptureFixture[str]) -> str:
    return " ".join(capsys.readouterr().out.split())


TILL = "  till: {kind: contact, at: {room: shop}}\n"
RAID = "  raid: {zone: 5, area: shop, behaviour: holdup, called: till push, resistor: double, devices: [till]}\n"


@pytest.mark.parametrize(
    ("edits", "says"),
    [
        ([("  smoke:", "  landing-smoke:")],
         ["Zone 2 smoke is now called landing-smoke: the same device, which stays."]),
        ([("  smoke:", "  landing-smoke:"), ("called: loft smoke", "called: landing")],
         ["Zone 2 smoke is now called landing-smoke: the same device, which stays. Tell the station its new name."]),
        ([("number: 2,", "number: 9,"), ("  both:", HATCH + "  both:")],
         [f"Zone 2 was smoke and is now hatch: {AGAIN} Leave smoke up: it is now zone 9. {UNWATCHED} {OLD_NAME}"]),
        ([("number: 2,", "number: 9,")],
         [f"Zone 2 smoke has another number. Leave smoke up: it is now zone 9. {UNWATCHED} {OLD_NAME}"]),
        ([("number: 1,", "number: 99,"), ("number: 2,", "number: 1,"), ("number: 99,", "number: 2,")],
         [f"Zone 1 was door and is now smoke: {AGAIN} Leave door up: it is now zone 2. {OLD_NAME}",
          f"Zone 2 was smoke and is now door: {AGAIN} Leave smoke up: it is now zone 1. {UNWATCHED} {OLD_NAME}"]),
        ([(SMOKE, HATCH)],
         [f"Zone 2 was smoke and is now hatch: {AGAIN} Take smoke down. {OLD_NAME}",
          "Nothing watches for smoke in the loft any more; it is still watched in the shop."]),
        ([(PUSH, "")], [f"Zone 5 push is taken out. Take push down. {OLD_NAME}",
                        "Nobody can call for help in the shop any more."]),
        ([(PUSH, TILL), ("  heads: {", RAID + "  heads: {")],
         [f"Zone 5 was push and is now raid: {AGAIN} Take push down. {OLD_NAME}"]),
        ([("behaviour: holdup, called: till push", "behaviour: notice, chime: bell, called: till push")],
         ["Nobody can call for help in the shop any more."]),
        ([("      wire: {zone: 4, area: shop, behaviour: perimeter, called: hatch}\n", "")],
         [f"Zone 4 both wire is taken out. Leave both up. {OLD_NAME}"]),
        ([("62 05 17", "62 08 71")],
         ["Zone 2 smoke has another transmitter number than before: where the device is another, take the old one down."]),
        ([("60 20 01", "OTHER"), ("64 20 77", "60 20 01"), ("OTHER", "64 20 77")],
         ["Zone 1 door and zone 5 push have exchanged their transmitters: both stay in use, take neither down."]),
        ([("60 20 01", "OTHER"), ("62 05 17", "60 20 01"), ("OTHER", "62 05 17")],
         ["Zone 1 door and zone 2 smoke have exchanged their transmitters: both stay in use, take neither down. "
          "Fire and gas there warn nobody until both are keyed: tell all who are in the building."]),
        ([("60 20 01", "OTHER"), ("62 05 17", "60 20 01"), ("64 20 77", "62 05 17"), ("OTHER", "64 20 77")],
         ["Zone 1 door has another transmitter number than before: the one that it had is in zone 2 now.",
          "Zone 2 smoke has another transmitter number than before: the one that it had is in zone 5 now.",
          "Zone 5 push has another transmitter number than before: the one that it had is in zone 1 now."]),
        ([("reed: {zone: 3", "reed: {zone: 99"), ("wire: {zone: 4", "wire: {zone: 3"), ("zone: 99", "zone: 4")],
         [f"Zone 3 was both reed and is now both wire: {AGAIN} Leave both up: its reed is now zone 4. {OLD_NAME}",
          f"Zone 4 was both wire and is now both reed: {AGAIN} Leave both up: its wire is now zone 3. {OLD_NAME}"]),
        ([("heads: {zone: 6", "heads: {zone: 8")],
         ["Zone 6 heads has another number. Leave its devices up and see to its wires: it is now zone 8. "
          f"{UNWATCHED} {OLD_NAME}"]),
        ([("  heads: {", "  ceilings: {")], ["Zone 6 heads is now called ceilings: the same loop, which stays."]),
        ([("reed: {kind", "window-reed: {kind"), ("devices: [reed]", "devices: [window-reed]")], []),
        ([("devices: [reed]", "devices: [reed, pane]"), ("  head-one:", "  pane: {kind: glass-break}\n  head-one:")],
         ["pane is new on the loop of zone 7 store, and nothing of it is keyed: trip each device of this loop, since one "
          "that isn't on its loop guards nothing."]),
        ([("devices: [head-one, head-two]", "devices: [head-one, head-two, head-three]"),
          ("  head-one:", "  head-three: {kind: heat, at: {room: shop}}\n  head-one:")],
         ["head-three is new on the loop of zone 6 heads, and nothing of it is keyed: trip each device of this loop, "
          "since one that isn't on its loop guards nothing. Only by its maker's test button or a listed aerosol, with "
          "the station's word."]),
        ([("  head-two: {kind: heat, at: {room: store}, guards: store ceiling}\n", ""), ("[head-one, head-two]", "[head-one]")],
         ["head-two is no longer on the loop of zone 6 heads, which hears nothing of it. Take head-two down.",
          "Nothing watches for heat in the store any more; it is watched nowhere else."]),
        ([("Ann's fob:", "key ring:")], ["Remote 1 Ann's fob is now called key ring: the same remote, which stays in use."]),
        ([("area: loft, slot: 1", "area: loft, slot: 2")],
         ["Remote 1 Ann's fob is now remote 2: the same one, which stays in use."]),
        ([("65 11 46", "65 11 64")],
         ["Remote 1 Ann's fob is another one than before: the old one then does nothing. Ask Ann to give Ann's fob back."]),
        ([(REMOTES, ""), ("  Ann: {role: owner, slot: 1}\n", ""), ("Bea: {role: user", "Bea: {role: owner")],
         ["Remote 1 Ann's fob is taken out: it then does nothing. Ask Ann to give Ann's fob back.",
          f"Person 1 Ann is taken out: their code then opens nothing. {OLD_NAME}"]),
        ([("Cas: {role: guest, may: [shop], slot: 3}", "Cas: {role: guest, may: [shop], slot: 4}")],
         ["Person 3 Cas is now person 4, who keys a new code: the old one then opens nothing."]),
        ([("areas: {loft: {}, shop: {}}", "areas: {loft: {number: 2}, shop: {number: 1}}")],
         [f"Area 1 was loft and is now shop: tell everybody who arms it. {OLD_NAME}",
          f"Area 2 was shop and is now loft: tell everybody who arms it. {OLD_NAME}"]),
        ([("areas: {loft: {}, shop: {}}", "areas: {loft: {number: 1}, shop: {number: 3}, yard: {number: 2}}")],
         [f"Area 2 was shop and is now yard: tell everybody who arms it. Shop is area 3 now. {OLD_NAME}"]),
        ([('account: "6391"', 'account: "6392"')],
         ["The station's account was 6391 and is 6392 now: have the new one opened first, put both on test, and have the "
          "old one closed once all is tried. Until it is opened, no message reaches anybody."]),
        ([("Cas: {role: guest,", "Cas: {role: guest, duress: yes,")],
         ["The code of person 3 Cas calls for help from now on. So they key a new one: whoever has the old one would call "
          "for help each time they come in, and needs a code of their own."]),
        ([("desk:", "till:"), ("eaves:", "gable:")], []),
    ],
)  # fmt: skip
def test_only_what_is_nowhere_in_the_new_file_is_taken_down_or_asked_back(
    edits: list[Edit], says: list[str], tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["enter", *written(tmp_path, *edits), "--json"]) == 0
    assert json.loads(capsys.readouterr().out)["beware"] == says


def test_of_a_station_that_is_told_no_more_no_other_word_is_said(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    arguments = written(tmp_path, (SMOKE, HATCH), ('station: {account: "6391", by: dc-09}\n', ""), ("Cas:", "Dot:"))
    assert main(["enter", *arguments]) == 0
    beware = said(capsys).partition("Sailmaker")[0]
    assert "Take smoke down." in beware
    assert beware.count("station") == 1
    assert "No station is told of anything any more" in beware


def test_a_device_with_another_number_is_tried_by_that_and_not_as_one_that_is_gone(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert (
        main(
            ["walk", *written(tmp_path, ("number: 5,", "number: 9,"), ("may: [shop], slot: 3", "may: [shop], slot: 4"))]
        )
        == 0
    )
    walk = said(capsys)
    assert "nothing must come of it" not in walk
    moved = walk.partition("under its new number")[2]
    assert "zone 5: it had label till push; it is zone 9 now" in moved
    assert "person 3: it had role guest; it is person 4 now" in moved


def test_what_hangs_on_a_loop_now_is_tripped_and_what_was_taken_off_is_tried(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    two = "  head-two: {kind: heat, at: {room: store}, guards: store ceiling}\n"
    paths = written(
        tmp_path,
        (two, "  head-three: {kind: heat, at: {room: shop}}\n"),
        ("[head-one, head-two]", "[head-one, head-three]"),
    )
    assert main(["walk", *paths]) == 0
    walk = said(capsys)
    way = ", by its maker's test button or a listed aerosol, with the station's word"
    assert f"[ ] shop fire: head-one{way} [ ] shop fire: head-three{way}" in walk
    assert f"[ ] shop fire: head-two is off its loop{way}" in walk
    assert "store window" not in walk
    assert main(["explain", *paths]) == 0
    explained = said(capsys)
    assert "head-three is new on the loop" in explained
    assert "Nothing that happens is different" not in explained


def test_who_carries_a_remote_changes_nothing_that_the_panel_does(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """Nothing is keyed about it, so the panel knows no name that it could send."""
    paths = written(tmp_path, ("carried by: Ann", "carried by: Bea"))
    script = "arm away loft by Ann's fob; leave by door; +2 h door opens; +90 s disarm loft by Ann's fob"
    told = []
    for site in (paths[0], paths[2]):
        assert main(["play", site, script]) == 0
        told.append(capsys.readouterr().out)
        assert main(["messages", site]) == 0
        told.append(capsys.readouterr().out)
    assert told[:2] == told[2:]
    assert 'message "cancel"' in told[0]
    assert "Bea" not in told[0]
    assert main(["explain", *paths]) == 0
    assert said(capsys) == "Nothing that happens is different."
    assert main(["enter", *paths]) == 0
    assert "Nothing to key" in said(capsys)


def test_a_code_that_becomes_one_for_duress_is_keyed_again_and_tried(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The code in daily use would call for help with nobody knowing."""
    paths = written(tmp_path, ("Cas: {role: guest,", "Cas: {role: guest, duress: yes,"))
    assert main(["enter", *paths, "--json"]) == 0
    (job,) = json.loads(capsys.readouterr().out)["jobs"]
    assert "user/3/code" in [row["item"] for row in job["rows"] if row["press"] is None]
    assert main(["walk", *paths]) == 0
    walk = said(capsys)
    assert "Cas's code opens; the one before it opens nothing; it is for duress and calls for help" in walk
    assert "Each of these calls for help" in walk
    assert main(["enter", paths[2], "--since", paths[0], "--json"]) == 0
    (back,) = json.loads(capsys.readouterr().out)["beware"]
    assert back.startswith("The code of person 3 Cas called for help and does so no more.")


def test_what_is_said_before_a_change_is_printed_also_where_nothing_is_keyed(
    tmp_path: Path, capsys: pytest.CaptureFixture[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    """A smoke detector that hangs in another room now, and whose zone is the same as before."""
    paths = written(tmp_path, ("at: {room: loft}", "at: {room: attic}"))
    lost = "Nothing watches for smoke in the loft any more"
    assert main(["pack", *paths, "--no-proofs", "--no-walk"]) == 0
    page = (tmp_path / "new.html").read_text(encoding="utf-8")
    sheet = page[page.index("<h2>Entry sheet: what changes") :].partition("<h2>")[2].partition("<h2>")[0]
    assert "Nothing to key" in sheet
    assert lost in sheet
    assert "<h3>First" not in sheet
    capsys.readouterr()
    monkeypatch.setattr(sys, "stdin", io.StringIO("quit\n"))
    main(["practise", *paths])
    assert said(capsys).startswith(f"BEFORE YOU KEY IT - {lost}")


def test_the_page_for_the_household_says_that_something_must_be_mended_first(tmp_path: Path) -> None:
    supervised = ("called: loft door}", "called: loft door, supervise: no}")
    assert main(["pack", written(tmp_path, supervised)[0], "--no-proofs", "--no-walk", "--guide", "door"]) == 0
    page = (tmp_path / "new.html").read_text(encoding="utf-8")
    assert "Not ready to key." in page[page.index("<h2>Your loft door") :]


def test_the_first_input_of_a_device_with_two_warns_of_no_fire(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """What hangs on the second one may: nobody knows it."""
    for name, seen in (("shop door", True), ("hatch", False)):
        behaviour = "entry-door" if name == "shop door" else "perimeter"
        site, _, _ = written(tmp_path, (f"behaviour: {behaviour}, called: {name}", f"behaviour: fire, called: {name}"))
        assert main(["check", site]) == 1
        assert ("KIND-03" in capsys.readouterr().out) is seen


def test_the_new_owner_is_keyed_before_the_old_one_is_taken_out(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The owner's code opens programming: one must always be held."""
    edits = ("Ann: {role: owner, slot: 1}", "Ann: {role: owner, slot: 5}")
    assert main(["enter", *written(tmp_path, edits)]) == 0
    sheet = said(capsys)
    assert sheet.index("PERSON 5") < sheet.index("PERSON 1: TAKE OUT")


def test_a_role_is_read_back_since_it_opens_programming(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    assert main(["walk", *written(tmp_path, ("Bea: {role: user", "Bea: {role: owner"))]) == 0
    left = said(capsys).partition("What this walk can't show")[2]
    assert "It decides who gets into programming, which no test tries: read it back at the panel." in left
    assert "person 2: role" in left


def test_each_site_is_told_with_the_names_of_its_own_areas(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """Shop has another number: what is said of it is the same as before, and no word is said of a yard before."""
    edits = ("areas: {loft: {}, shop: {}}", "areas: {loft: {number: 1}, yard: {number: 2}, shop: {number: 3}}")
    assert main(["explain", *written(tmp_path, edits)]) == 0
    told = said(capsys)
    assert "before shop" not in told
    assert "yard disarmed" not in told
    assert "before there is no area 3" in told


STATION = ('station: {account: "6391", by: dc-09}\n', "")


def test_a_station_that_is_dropped_hears_of_it_all_until_the_last_key(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    paths = written(tmp_path, STATION, ("called: till push", "called: desk push"))
    assert main(["enter", *paths]) == 0
    sheet = said(capsys)
    assert "Put the account on test with the monitoring station" in sheet
    assert "Take the account off test" in sheet
    assert main(["walk", *paths]) == 0
    walk = said(capsys)
    assert "Put the account on test." in walk
    assert "Ask the station for its list: nothing of this may have come." in walk


def test_a_householder_keys_no_device_while_anything_else_changes(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    """The page tells what the panel does once all is keyed, and it keys one device alone."""
    label = ("called: shop door", "called: front door")
    assert main(["enter", *written(tmp_path, label), "--guide", "both reed"]) == 0
    capsys.readouterr()
    changes = (STATION, ("keypads:", "settings: {exit time: 90 s}\nkeypads:"), (REMOTES, ""), (PUSH, ""),
               ("  Cas: {role: guest, may: [shop], slot: 3}\n", ""))  # fmt: skip
    for change in changes:
        assert main(["enter", *written(tmp_path, label, change), "--guide", "both reed"]) == 2
        assert "more than this device changes" in " ".join(capsys.readouterr().err.split())


def test_a_page_for_one_input_names_the_other_one_that_is_keyed_too(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    assert main(["enter", *written(tmp_path, ("60 88 14", "60 88 41")), "--guide", "both reed"]) == 0
    assert "Its other part, hatch, has a page of its own: I do that, too." in said(capsys)


def test_a_device_that_left_its_loop_is_told_where_it_is_now(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    edits = (("[head-one, head-two]", "[head-one]"), ("devices: [reed]", "devices: [reed, head-two]"))
    assert main(["walk", *written(tmp_path, *edits)]) == 0
    walk = said(capsys)
    assert "head-two is off its loop, and shows zone 7 store window now" in walk
    assert "nothing must come of it" not in walk


def test_a_householder_keys_no_half_of_an_exchange(tmp_path: Path, capsys: pytest.CaptureFixture[str]) -> None:
    """The other device would be in no zone, though the page's own test goes well."""
    transmitters = (("60 20 01", "OTHER"), ("60 88 14", "60 20 01"), ("OTHER", "60 88 14"))
    numbers = (("number: 1,", "number: 99,"), ("number: 2,", "number: 1,"), ("number: 99,", "number: 2,"))
    for edits in (transmitters, numbers):
        assert main(["enter", *written(tmp_path, *edits), "--guide", "door"]) == 2
        assert "more than this device changes" in " ".join(capsys.readouterr().err.split())


def test_who_becomes_an_owner_is_keyed_before_who_no_longer_is(
    tmp_path: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    edits = (("Ann: {role: owner", "Ann: {role: user"), ("Bea: {role: user", "Bea: {role: owner"))
    assert main(["enter", *written(tmp_path, *edits)]) == 0
    sheet = said(capsys)
    assert sheet.index("PERSON 2 BEA") < sheet.index("PERSON 1 ANN")
