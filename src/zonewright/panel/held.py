"""What a panel will hold, while it is put together: each value is judged before it is held.

Rules of this file:
1. What the panel can't do is refused here, with the lines of the site and the profile, never silently left out.
2. Every item remembers the line of the site file it comes from, so that a finding can point there.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from typing import NamedTuple

from zonewright.findings import Finding, Path, Severity
from zonewright.panel.answers import nearest_words, refuses
from zonewright.panel.behaviours import RENAMED, likely_names
from zonewright.panel.legal import as_shipped, beside, exists
from zonewright.panel.profile import Profile, Style
from zonewright.panel.programme import Item, Value, areas_value
from zonewright.site.model import Site
from zonewright.site.nodes import Places

_FEATURE = {
    "crosses": "confirmation of one zone by another",
    "verify": "verification of fire detectors",
    "tells-trouble": "question whether a zone's troubles are told",
    "tells-alarm": "question whether a zone's alarms are told",
    "light": "lights that show which zone is open",
    "duress": "code for somebody who is forced to disarm: it would disarm and call nobody",
    "areas": "question which areas a person may set: the code would set all of them",
    "role": "question what a person may do: the code would do everything",
    "first-button": "question what a remote's first button does",
    "second-button": "question what a remote's second button does",
    "told": "monitoring station: nobody would be told anything",
    "account": "account number to enter",
}
_INSTEAD = {
    "tells-trouble": "write `report: alarms`, or `report: nothing`",
    "tells-alarm": "write `report: troubles`, or `report: nothing`",
    "duress": "take `duress: yes` out, and agree on a word with the station; or choose a panel that has it",
    "areas": "let them set every area, or choose a panel that asks for it",
    "role": "give them the role user or owner, or choose a panel that asks for it",
    "told": "take the station out of the site file, or choose a panel that tells one",
    "account": "take the station out of the site file, or choose a panel that tells one",
}


class WantedField(NamedTuple):
    """One field as the site wants it; `asked`: the site said so itself."""

    value: str
    path: Path
    asked: bool


class ValuesSoFar:
    """The values so far, with the place that each comes from, and all that was refused."""

    def __init__(self, site: Site, places: Places, profile: Profile, profile_places: Places) -> None:
        self.site, self.places, self.profile, self.profile_places = site, places, profile, profile_places
        self.values: dict[Item, Value] = dict(as_shipped(profile).values)
        self.origins: dict[Item, Path] = {}
        self.findings: list[Finding] = []

    def put(self, item: Item, thing: str, wanted: WantedField) -> None:
        """Hold a value, or say why the panel can't."""
        rule = self.profile.rule_of(item)
        field = item.field
        if rule is None or rule.how is None:
            return
        answer = self.profile.answers[rule.how]
        self.origins[item] = wanted.path
        pattern = item.pattern
        if not exists(rule, beside(item, self.values)):
            self.values[item] = Value(rule.otherwise or "")
            decided = all(beside(item, self.values)(when.field) is not None for when in rule.when)
            if decided and wanted.asked and wanted.value not in (rule.otherwise, "no", "none"):
                told = " and ".join(_condition(when.field, when.values, when.negated) for when in rule.when)
                says = f"{_name_of(field)} has no meaning here: this panel asks for it only when {told}"
                fix = "write report: troubles, or report: nothing" if wanted.path[-1] == "report" else "take it out"
                self.refuse("PAN-15", thing, says, wanted.path, ("items", pattern), wrote=wanted.value, fix=fix)
            return
        why = refuses(answer, wanted.value)
        if why is None:
            self.values[item] = Value(wanted.value)
            return
        allowed = list(answer.choices) or None
        near = likely_names(wanted.value, answer.choices)
        if answer.style is Style.WORDS:
            near, allowed = nearest_words(answer, wanted.value), None
        if field == "behaviour" and wanted.value in RENAMED:
            says = f'the behaviour "{wanted.value}" is now called {RENAMED[wanted.value]}'
        elif answer.style is Style.OFFER:
            says = f'{_name_of(field)} "{wanted.value}" is not one this panel offers'
        else:
            says = f"{_name_of(field)} can't be {wanted.value or 'empty'}: {why}"
        self.refuse(
            "PAN-16",
            thing,
            says,
            wanted.path,
            ("answers", rule.how),
            wrote=wanted.value,
            allowed=allowed,
            near=near,
            fix="" if near or allowed or answer.style is Style.DIGITS else "write a value that this panel takes",
        )

    def lacks(self, item: Item, thing: str, wanted: WantedField) -> bool:
        """Refuse what the site wants of an item that the panel lacks, or has fixed at another value; True if so.

        What isn't wanted needs no item.
        """
        if not wanted.asked or wanted.value in ("none", "no") or item in self.profile.items:
            return False
        pattern = item.pattern
        fixed = self.profile.fixed.get(item, self.profile.fixed.get(pattern))
        if pattern in self.profile.items or fixed == wanted.value:
            return False
        field = item.field
        says = f"this panel has no {_FEATURE.get(field, field.replace('-', ' '))}"
        fix = _INSTEAD.get(field, "take it out of the site file")
        self.refuse("PAN-08", thing, says, wanted.path, ("items",), wrote=wanted.value, fix=fix)
        return True

    def refuse(
        self,
        code: str,
        thing: str,
        says: str,
        path: Path,
        profile_path: Path,
        *,
        key: bool = False,
        wrote: str | None = None,
        allowed: list[str] | None = None,
        near: tuple[str, ...] = (),
        fix: str = "",
    ) -> None:
        """Note what the panel can't do: at the line of the site, with the line of the profile that says so."""
        place = self.places.key(path) if key else self.places[path]
        line = self.profile_places[profile_path]
        where = f"(profile {line.file}:{line.line})"
        self.findings.append(
            Finding(
                code,
                Severity.PROBLEM,
                thing,
                says if allowed else f"{says} {where}",
                place=place,
                wrote=f"{path[-1]}: {wrote}" if wrote is not None and not key else wrote,
                allowed=f"{', '.join(allowed)} {where}" if allowed else None,
                nearest=", ".join(near) or None,
                fix=fix,
                mending=self.places.mending(path, near[0]) if len(near) == 1 and not key else None,
            )
        )


def flag(value: bool) -> str:
    """Return how a Programme writes a yes or a no."""
    return "yes" if value else "no"


def numbers_of(names: Iterable[str], areas: Mapping[str, int]) -> str:
    """Return how a Programme writes areas: `1` or `1+2`."""
    return areas_value(areas[name] for name in names if name in areas)


def _name_of(field: str) -> str:
    return {
        "label": "the label",
        "place": "the place",
        "number": "the number",
        "tells-alarm": "telling its alarms",
        "crosses": "confirmation by another zone",
    }.get(field, field.replace("-", " "))


def _condition(field: str, values: frozenset[str], negated: bool) -> str:
    return f"{field.replace('-', ' ')} is {'not ' if negated else ''}{' or '.join(sorted(values))}"
