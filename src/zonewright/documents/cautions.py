"""The cautions that every pack ends with: our own words, from common practice, no source."""

from __future__ import annotations

from zonewright.documents.records import Caution

DISPATCH = "Dispatch"  # people who drive for nothing
CAUTIONS = (
    Caution(
        "Ladder, drill, siren",
        "Stand the ladder right, keep three points on it, nobody below you; never alone above 2 m, and not in wind or "
        "wet. Old ceilings may hold asbestos: ask first, and stop if in doubt. Wear ear protection at arm's length of "
        "a siren, and warn the neighbours before it sounds.",
    ),
    Caution(
        "Mains",
        "Only for those whom the law lets. Lock off, prove dead. Keep low-voltage wiring apart from mains in wire, box "
        "and entry.",
    ),
    Caution(
        "Batteries",
        "Never short them, no flame near them, no tool across the poles. Sealed lead-acid is heavy and holds acid and "
        "gas. Lithium is never recharged or crushed. Old ones go back by the proper way.",
    ),
    Caution(
        "Life safety",
        "Smoke, heat and carbon monoxide work belongs to local code and, where the law says so, to licensed people. "
        "What you read here is arithmetic, not approval, and no plan stands in for a test. Do not leave a working "
        "alarm off overnight; if it must be, tell all who sleep there and write it down.",
    ),
    Caution(
        DISPATCH,
        "Put the account on test first and know when the test ends. Take it off afterwards and have that confirmed, "
        "with a name. Real people drive fast on a false call. A hold-up or duress test without the station's word can "
        "bring armed police.",
    ),
    Caution(
        "Persons at risk",
        "Ask who is deaf, who sleeps in a cot, who needs oxygen or dialysis, who cannot leave without help. For them "
        "add strobes, shakers, messages.",
    ),
    Caution(
        "Data",
        "This paper shows how to get in. Seal it, lock it away, send it only encrypted, shred it when a newer one "
        "replaces it. Codes never stand beside names. Recordings and logs are personal data.",
    ),
    Caution(
        "Limits",
        "Radio, batteries, routers and telephone paths fail. Tell the householder in plain words what the system does "
        "not see.",
    ),
)


def cautions(*, told: bool) -> tuple[Caution, ...]:
    """Return the cautions of a site; where no station is told of anything, no word is said of one."""
    return tuple(each for each in CAUTIONS if told or each.topic != DISPATCH)
