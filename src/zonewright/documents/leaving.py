"""What is worked out and left behind beside the sheets: battery, messages, tests to make, and the hand-over record.

Rules of this file:
1. Each is a list that somebody checks or fills in by hand; where nobody has measured yet, the field is empty, and told.
2. What should happen is asked of the panel model, never written here.
3. What is handed over is named after EN 50131-7 and NFPA 72 7.8, both from memory, and common practice.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace

from zonewright.behaviour.setup import ZoneSetup
from zonewright.documents.records import Checklist
from zonewright.documents.schedule import NBSP, unbroken
from zonewright.panel.resolve import Resolved
from zonewright.reporting.expected import ExpectedMessage, expected
from zonewright.site.record import ZoneNumber, span
from zonewright.survey.power import BatterySum, battery_sum
from zonewright.words.matrix import Matrix
from zonewright.words.strips import MatrixBar, bars
from zonewright.words.telling import in_modes_of, ranges

TICK = "\N{BALLOT BOX}"

CONFIRMED_BY_STATION = "Every message confirmed by the station, account off test, by name"
HANDED_OVER = (
    "Zone schedule and what happens, this revision",
    "Household's page, and each person shown how to arm, disarm and cancel",
    "Each person has keyed their own code; the installer's is not theirs",
    "Every zone tried in every mode it is live, results on the test sheet",
    CONFIRMED_BY_STATION,
    "Mains off for 10 minutes: system stays, mains back: no message left over",
    "Battery: date code written, currents measured",
    "What the system does not see, told in plain words",
    "Exceptions accepted in writing",
    "Next visit, and what is due then: battery, cells, alarms past their date",
)


def listings(resolved: Resolved, made: Matrix) -> tuple[Checklist, ...]:
    """Return all lists of a site; one that has nothing to say is left out."""
    account = resolved.site.station.account if resolved.site.station is not None else ""
    found = [
        _battery(battery_sum(resolved.site)),
        _messages(made, expected(resolved, account, made.setup)) if account and made.setup.settings.told else None,
        _tests(made),
        _hand_over(told=made.setup.settings.told),
    ]
    return tuple(each for each in found if each is not None)


def _battery(found: BatterySum | None) -> Checklist | None:
    if found is None:
        return None
    rule = found.requirement
    rows = [
        (line.name, str(line.count), f"{line.standby_a * 1000:.0f}", f"{line.alarm_a * 1000:.0f}", "")
        for line in found.loads
    ]
    rows.append(("together", "", f"{found.standby_a * 1000:.0f}", f"{found.alarm_a * 1000:.0f}", ""))
    verdict = "enough" if found.enough else "too small"
    block = f"; the next common block is {found.block_ah:g} Ah" if found.block_ah and not found.enough else ""
    ending = (
        f"({found.standby_a:.3f} A × {rule.quiet_h:g} h + {found.alarm_a:.3f} A × {rule.alarm_h * 60:.0f} min) × "
        f"{rule.ageing:g} for ageing × {found.cold:.2f} for {found.celsius:g} °C = {found.needed_ah:.2f} Ah. "
        f"Fitted: {found.fitted_ah:g} Ah, {verdict}{block}. Charging needs {found.charge_a * 1000:.0f} mA beside the "
        f"standby load for 80 % in 72 h. Source: {rule.source}; the pack's figures are computed, not measured."
    )
    return Checklist(
        "Standby battery",
        f"{rule.name}: {rule.standby_h:g} h on battery, {rule.alarm_h * 60:.0f} min of alarm "
        f"{'within' if rule.within else 'behind'} them. Measure the currents and write them beside the sum.",
        ("load", "pieces", "standby, mA", "alarm, mA", "measured, mA"),
        (0, 18, 26, 26, 34),
        tuple(rows),
        unbroken(ending),
    )


def _messages(made: Matrix, found: tuple[ExpectedMessage, ...]) -> Checklist | None:
    named = {zone.number: zone.behaviour.alarm for zone in made.setup.zones}
    by_zone: dict[ZoneNumber, list[ExpectedMessage]] = {}
    for each in found:
        if each.message.zone is not None:
            by_zone.setdefault(each.message.zone, []).append(each)
    rows = []
    for zone, sent in sorted(by_zone.items()):
        begun = [each for each in sent if not each.message.restore]
        alarm = next((each for each in begun if each.message.name == named[zone]), None)
        others = ", ".join(f"{each.message.name}{NBSP}{each.dc05.event}" for each in begun if each is not alarm)
        told = f"{alarm.message.name}{NBSP}{alarm.dc05.event}" if alarm is not None else "none"
        digits = spaced(alarm.dc05.digits) if alarm is not None else ""
        rows.append((str(zone), sent[0].label, told, digits, _over(alarm, found), others))
    rows += [
        (
            "",
            each.label,
            f"{each.message.name}{NBSP}{each.dc05.event}",
            spaced(each.dc05.digits),
            _over(each, found),
            "",
        )
        for each in found
        if each.message.zone is None and not each.message.restore
    ]
    note = (
        "What the station must get, and nothing else. Codes are those of DC-05; the digits are the whole message with "
        "its check digit. When it is over, two things change: the third group begins with 3 in place of 1, and the "
        "check digit at the end. Both stand in the column over. Arming is a closing: 3 from the start."
    )
    headings = ("zone", "called", "its alarm", "message", "over", "besides")
    return (
        Checklist("Messages to the station", note, headings, (9, 30, 30, 46, 20, 0), tuple(rows), "") if rows else None
    )


def _over(begun: ExpectedMessage | None, found: tuple[ExpectedMessage, ...]) -> str:
    """Return what changes in a message when it is over: the third group, and the check digit; empty if it never is."""
    over = next(
        (
            each
            for each in found
            if begun is not None and each.message == replace(begun.message, restore=True) and not begun.message.restore
        ),
        None,
    )
    return f"{over.dc05.digits[6:10]}{NBSP}…{NBSP}{over.dc05.digits[15:]}" if over is not None else ""


def spaced(digits: str) -> str:
    """Return a DC-05 message in its fields: 4021 18 1131 01 003 8."""
    parts = (digits[:4], digits[4:6], digits[6:10], digits[10:12], digits[12:15], digits[15:])
    return NBSP.join(parts)


def _tests(made: Matrix) -> Checklist:
    rows = []
    for zone in made.setup.zones:
        first = True
        for bar in bars(made.row(zone.number)):
            rows.append((str(zone.number) if first else "", zone.label if first else "", *_test(zone, bar), "", TICK))
            first = False
    on_test = "Account on test; tell" if made.setup.settings.told else "Tell"
    note = (
        f"From its final place, doors and covers shut, furniture in. {on_test} the house that the siren will sound, "
        'and protect your ears near it. "Nothing" is a result.'
    )
    calls = [zone for zone in made.setup.zones if zone.behaviour.calls_at_once or zone.protects_life]
    if calls:
        word = "only with the station's word" if made.setup.settings.told else "only when all who hear it know"
        which = f"zone{'s' if len(calls) > 1 else ''} {ranges(zone.number for zone in calls)}"
        note += (
            f" What calls for help or warns of danger ({which}) is tripped once, {word}, "
            "a detector by its maker's test button or a listed aerosol: a call that nobody expects brings people."
        )
    headings = ("zone", "called", "mode", "must happen", "message", "seen, time", "ok")
    return Checklist("Test sheet", note, headings, (9, 34, 24, 36, 0, 26, 8), tuple(rows), "", tall=True)


def _test(zone: ZoneSetup, bar: MatrixBar) -> Iterator[str]:
    yield in_modes_of(zone, bar.modes).removeprefix("when ")
    yield unbroken(bar.words)
    after = f" after {span(bar.message_after)}" if bar.message_after else ""
    yield unbroken(f"{bar.message}{after}") if bar.message is not None else "none"


def _hand_over(*, told: bool) -> Checklist:
    items = (item for item in HANDED_OVER if told or item != CONFIRMED_BY_STATION)
    rows = tuple((TICK, item, "", "") for item in items)
    note = "Nothing here is a certificate. Codes never stand on this page; old lists of users are destroyed."
    headings = ("", "handed over or shown", "to whom", "date")
    return Checklist("Hand-over record", note, headings, (9, 0, 40, 28), rows, "", tall=True, signed=True)
