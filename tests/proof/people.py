"""A judge of what is proved of people, from outside: random panels with people, and long runs of the whole clockwork.

Rules of this file:
1. What a statement about a person means is written here a second time, from the documentation: what they do in that
   very second, and every message with their name; in the modes of the area that is meant, as the act begins.
2. It takes from the prover its verdicts and nothing else.
"""

from __future__ import annotations

import random
from collections.abc import Iterator
from dataclasses import replace

from tests.behaviour.house import house, zone
from tests.proof.outside import SIRENS, Happened
from zonewright.behaviour.acts import Acts, AreaActs, WayToSet
from zonewright.behaviour.clockwork import Clockwork
from zonewright.behaviour.events import (
    Arm,
    Beeps,
    Bypass,
    Chime,
    Disarm,
    Event,
    Means,
    Message,
    PanelMessage,
    Panic,
    QuickExit,
    Spoken,
    Trouble,
    TroubleBegins,
    TroubleEnds,
    Unbypass,
    ZoneCloses,
    ZoneOpens,
)
from zonewright.behaviour.faults import Right, SettingFault
from zonewright.behaviour.setup import AreaNumber, Settings, Setup, UserNumber
from zonewright.panel.behaviours import ARMED, SHIPPED, Mode, Pattern, modes_meant
from zonewright.proof.promises.promise import WantedByOwner, Window
from zonewright.proof.promises.to_owner import of_owner
from zonewright.proof.prove import prove
from zonewright.proof.prover.refine import VerdictKind
from zonewright.site.must import EffectKind, ModeWord, Statement, WantedEffect
from zonewright.site.names import NamedCause

PEOPLE = {UserNumber(1): "Ann", UserNumber(2): "Bo"}
KINDS = ("perimeter", "interior", "entry-door", "final-door", "environment", "24-hour-audible", "day-night", "fire")
NAMES = (
    "",
    "trouble",
    "tamper",
    "bypass",
    "cancel",
    "alarm",
    "closing",
    "failed to set",
    *(each.value for each in PanelMessage),
)
EFFECTS: tuple[EffectKind, ...] = ("message", "message", "message", "siren", "chime", "any sound")
WORDS: tuple[ModeWord | None, ...] = (None, "off", "stay", "night", "away", "armed")


def some_people(seed: int) -> Setup:
    """Return a random panel of one or two areas, with two people of whom one may do less."""
    chance = random.Random(f"people {seed}")
    areas = (AreaNumber(1), AreaNumber(2))[: chance.randint(1, 2)]
    zones = []
    for number in range(1, chance.randint(2, 4)):
        kind = chance.choice(KINDS)
        made = zone(
            number,
            kind,
            areas=tuple(chance.choice((areas[:1], areas[-1:], areas))),
            message_waits=chance.random() < 0.5,
        )
        if chance.random() < 0.3:
            made = replace(made, behaviour=SHIPPED[kind].model_copy(update={"user_bypass": True}))
        zones.append(made)
    zones.append(zone(9, "perimeter", areas=areas))  # so that each area has one
    flags = ("forced_arming", "recent_closing", "openings", "completing_act", "restores", "exit_error")
    settings = Settings(
        exit_time=40,
        abort_window=chance.choice((0, 20)),
        cancel_window=chance.choice((0, 300)),
        entry_hold=chance.choice((0, 30)),
        siren_time=180,
        swinger_limit=chance.choice((0, 2)),
        told=True,
        **{flag: chance.random() < 0.5 for flag in flags},  # type: ignore[arg-type]
    )
    if chance.random() < 0.3:
        settings = replace(settings, at_setting=frozenset({(SettingFault.TAMPER, Right.USER)}))
    keypads = []
    for area in areas:
        coded = (UserNumber(1), UserNumber(2)) if chance.random() < 0.7 else (UserNumber(1),)
        ways = (
            WayToSet(Means.KEYPAD, coded[0]),
            *((WayToSet(Means.REMOTE, UserNumber(0)),) if chance.random() < 0.3 else ()),
        )
        keypads.append((area, AreaActs(ways, coded, (), ())))
    return replace(house(*zones, settings=settings), acts=Acts(tuple(keypads), anybody=True))


def wishes(setup: Setup, chance: random.Random, most: int) -> Iterator[tuple[UserNumber, AreaNumber | None, Statement]]:
    """Give random statements about these people; an area may stand before the mode."""
    for _ in range(most):
        user = chance.choice(list(PEOPLE))
        kind = chance.choice(EFFECTS)
        effect = WantedEffect(kind, chance.choice(NAMES) if kind == "message" else "")
        word = chance.choice(WORDS)
        area = chance.choice(setup.areas) if word is not None and chance.random() < 0.4 else None
        named = f"area {area}" if area is not None else None
        yield user, area, Statement("never", NamedCause(person=PEOPLE[user]), effect, word, area=named)


def a_run(setup: Setup, chance: random.Random, length: int) -> list[Happened]:
    """Return a long random run in which people do all that they may, and devices speak."""
    panel, found = Clockwork(setup), list[Happened]()
    given = list(_given(setup))

    def note(before_control: object, entry: object) -> None:
        found.append(Happened(entry.at, before_control, entry.event, panel.control, entry.outputs))  # type: ignore[attr-defined,arg-type]

    def wait(until: int) -> None:
        while panel.due and min(panel.due.values()) <= until:
            before = panel.control
            note(before, panel.to_next())
        panel.advance(until)

    while len(found) < length:
        if chance.random() < 0.4:
            wait(panel.now + chance.choice((1, 2, 5, 21, 31, 41, 100, 400)))
        else:
            before = panel.control
            note(before, panel.give(chance.choice(given)))
    return found


def _given(setup: Setup) -> Iterator[Event]:
    for each in setup.zones:
        yield from (ZoneOpens(each.number), ZoneCloses(each.number))
        yield from (TroubleBegins(each.number, Trouble.TAMPER), TroubleEnds(each.number, Trouble.TAMPER))
    for user in PEOPLE:
        for area in setup.areas:
            yield from theirs(setup, user, area)


def theirs(setup: Setup, user: UserNumber, area: AreaNumber) -> Iterator[Event]:
    """Give what a code does in an area."""
    assert setup.acts is not None
    if user not in setup.acts.of(area).codes:
        return
    over = any(Right.USER.sets_over(right) for _, right in setup.settings.at_setting)
    for mode in sorted(ARMED, key=list(Mode).index):
        yield Arm(area, mode, user)
        if over:
            yield Arm(area, mode, user, over=Right.USER)
    yield from (Disarm(area, user), QuickExit(area, user), Panic(area, user))
    for each in setup.zones_of(area):
        if all(user in setup.acts.of(other).codes for other in each.areas):
            yield from (Bypass(each.number, user), Unbypass(each.number, user))


def broken_at(
    setup: Setup, run: list[Happened], user: UserNumber, area: AreaNumber, whose: AreaNumber, statement: Statement
) -> Happened | None:
    """Return where a run breaks what is claimed of somebody in an area; `whose` mode is meant."""
    done, modes = set(theirs(setup, user, area)), modes_meant(statement.while_)
    for one in run:
        if one.before.area(whose).mode not in modes:
            continue
        sent = [each for each in one.outputs if isinstance(each, Message) and not each.restore]
        mine = sent if one.event in done else [each for each in sent if each.user == user and each.area == area]
        if statement.effect.kind == "message":
            if any(_means(statement.effect.of, each.name) for each in mine):
                return one
        elif one.event in done and _heard(statement.effect.kind, one):
            return one
    return None


def _means(word: str, name: str) -> bool:
    return word in name or (word == "trouble" and name in {each.value for each in Trouble})


def _heard(kind: str, one: Happened) -> bool:
    began = {pattern for pattern, _ in one.after.causes - one.before.causes}
    rings = any(isinstance(each, Chime | Spoken) for each in one.outputs)
    if kind == "siren":
        return bool(began & SIRENS)
    if kind == "chime":
        return rings
    return rings or bool(began - {Pattern.NONE}) or any(isinstance(each, Beeps) for each in one.outputs)


def contradictions(seed: int, statements: int, runs: int, length: int) -> tuple[list[str], dict[VerdictKind, int]]:
    """Return what random runs of a random panel show that isn't as was proved, and how many verdicts there were."""
    chance = random.Random(f"claims {seed}")
    setup = some_people(seed)
    played = [a_run(setup, chance, length) for _ in range(runs)]
    found, count = list[str](), dict.fromkeys(VerdictKind, 0)
    for user, area, statement in wishes(setup, chance, statements):
        wanted = WantedByOwner(statement, (), area=area, person=user)
        for verdict in prove(setup, of_owner(setup, wanted, Window())):
            count[verdict.settled.result] += 1
            if verdict.settled.result not in (VerdictKind.HOLDS, VerdictKind.EMPTY) or len(verdict.promise.areas) != 1:
                continue
            (where,) = verdict.promise.areas
            shown = [each for run in played if (each := broken_at(setup, run, user, where, area or where, statement))]
            claim = f"{seed}: {statement} in area {where} {verdict.settled.result.value}"
            found += [f"{claim}: {one.at} s {one.event} {one.outputs}" for one in shown[:1]]
    return found, count
