"""Which messages a panel may send, whose doing they are, and whether an owner's word for a kind means any of them.

Rules of this file:
1. A statement protects somebody only where what it names can be: a kind that the panel can't send under any setting, or
   that a device, or a person, never causes, is told to whoever wrote it and is never said to hold.
2. That a setting is off is the programming, which is what is proved: it is no reason to refuse a statement.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from enum import Enum

from zonewright.behaviour.events import PanelMessage, SiteTrouble, Trouble
from zonewright.behaviour.faults import SettingFault
from zonewright.findings import nearest
from zonewright.panel.behaviours import ALWAYS, ARMED, Behaviour
from zonewright.panel.profile import Profile
from zonewright.panel.programme import Item
from zonewright.site.must import Statement
from zonewright.words.telling import is_meant


class By(Enum):
    """Whose doing a message is."""

    DEVICE = "device"
    SWITCH = "switch"  # a device whose turning arms and disarms
    PERSON = "person"
    PANEL = "panel"


_DEVICE, _SWITCH, _PERSON, _PANEL = (frozenset({by}) for by in By)
_TURNED = _SWITCH | _PERSON
_OPENINGS, _OWN_TROUBLES = "station/openings", "station/troubles"
_FAULTS = " ".join(f"setting/{fault.value}-at-setting" for fault in SettingFault)
# Whose doing each message is that the panel names itself, and what it must have for it: of each text one of the items.
_TOLD: Mapping[PanelMessage, tuple[frozenset[By], tuple[str, ...]]] = {
    PanelMessage.EXIT_ERROR: (_DEVICE, ("setting/exit-error",)),
    PanelMessage.RECENT_CLOSING: (_DEVICE | _PERSON, ("setting/recent-closing",)),
    PanelMessage.CANCEL: (_TURNED, ("setting/cancel-window",)),
    PanelMessage.BYPASS: (_TURNED, ()),
    PanelMessage.OVER_FAULT: (_PERSON, (_FAULTS,)),
    PanelMessage.TAMPER_ALARM: (_DEVICE, ()),
    PanelMessage.NOT_SET: (_TURNED, ("setting/completing-act", _OPENINGS)),
    PanelMessage.OPENING: (_PERSON, (_OPENINGS,)),
    PanelMessage.CLOSING: (_PERSON, (_OPENINGS,)),
    PanelMessage.SWITCH_OPENING: (_SWITCH, (_OPENINGS,)),
    PanelMessage.SWITCH_CLOSING: (_SWITCH, (_OPENINGS,)),
    PanelMessage.DURESS: (_PERSON, ("user/*/duress",)),
    PanelMessage.UNVERIFIED: (_DEVICE, ("setting/cross-window",)),
    PanelMessage.CONFIRMED: (_DEVICE, ("setting/confirm-window",)),
    PanelMessage.PANIC: (_PERSON, ()),
    PanelMessage.RESTART: (_PANEL, (_OWN_TROUBLES,)),
    PanelMessage.INSTALLER_IN: (_PANEL, (_OWN_TROUBLES,)),
    PanelMessage.INSTALLER_OUT: (_PANEL, (_OWN_TROUBLES,)),
}
_TOLD_ALIKE = {"battery low": Trouble.LOW_BATTERY.value, "missing": Trouble.MISSING.value}  # and nothing else follows
BY_TURNING = frozenset(told.value for told, (by, _) in _TOLD.items() if by == _TURNED)  # besides that it arms, disarms


def message_names(behaviours: Iterable[Behaviour]) -> frozenset[str]:
    """Return the names of all messages that any panel with these behaviours may send, whatever it can be set to."""
    return frozenset({*_of_behaviours(behaviours), *(each.value for each in (*PanelMessage, *Trouble, *SiteTrouble))})


def no_such_message(profile: Profile, statement: Statement, *, of_switch: bool = False) -> str:
    """Return why what a statement names can't come of its cause on this panel, with what was perhaps meant.

    `of_switch`: the device that it is about arms and disarms.
    """
    effect, trouble = statement.effect, statement.cause.trouble
    told_alike = _TOLD_ALIKE.get(trouble or "") if statement.wanted == "never" else None
    if told_alike is not None and effect.kind in ("siren", "chime"):
        return f"no panel sounds a {effect.kind} of a device {trouble}, whatever it is set to"
    if effect.kind != "message" or not effect.of:
        return ""
    known = _can_be_sent(profile)
    meant = {name for name in known if is_meant(effect.of, name)}
    if not meant:
        words = {word for each in known for word in each.split()}
        near = nearest(effect.of, [*known, *words])
        hint = f'; did you mean "{near[0]} message"?' if near else ""
        return f'this panel sends no message that is called "{effect.of}"{hint}'
    if told_alike is not None:
        says = f'of a device {trouble} the panel sends "{told_alike}" and nothing else'
        return "" if told_alike in meant else says
    of_person = statement.cause.person is not None
    causing = _PERSON if of_person else _DEVICE | _SWITCH if of_switch else _DEVICE
    if any(known[name] & causing for name in meant):
        return ""
    name = min({effect.of} & meant or meant)
    cause = "person" if of_person else "switch" if of_switch else "device"
    by = next(by for by in (By.PERSON, By.SWITCH, By.DEVICE, By.PANEL) if by in known[name])
    instead = "the panel sends it of itself" if by is By.PANEL else f"name a {by.value} instead"
    return f'no {cause} causes the message "{name}"; {instead}'


def _can_be_sent(profile: Profile) -> Mapping[str, frozenset[By]]:
    """Return the messages that a panel can send under some setting, each with whose doing it may be."""
    behaviours = list(profile.behaviours.values())
    switches = any(behaviour.arms is not None for behaviour in behaviours)
    found = dict.fromkeys((*_of_behaviours(behaviours), *(trouble.value for trouble in Trouble)), _DEVICE)
    for behaviour in behaviours:  # whoever ends a bypass, or disarms, may bring these about
        if behaviour.alarm and behaviour.live == ALWAYS and behaviour.user_bypass and not behaviour.life_safety:
            found[behaviour.alarm] = found[PanelMessage.CONFIRMED.value] = _DEVICE | _TURNED
        if behaviour.tamper_alarm & ARMED:
            found[Trouble.TAMPER.value] = _DEVICE | _TURNED
    for told, (by, needs) in _TOLD.items():
        can = all(any(_can_be_on(profile, Item(item)) for item in each.split()) for each in needs)
        if can and (switches or by != _SWITCH):
            found[told.value] = found.get(told.value, frozenset()) | by
    if _can_be_on(profile, Item(_OWN_TROUBLES)):
        waits = {own: Item(f"setting/{own.kind.value}-wait") for own in SiteTrouble}
        found |= {own.value: _PANEL for own, wait in waits.items() if wait in profile.items or wait in profile.fixed}
    return found


def _can_be_on(profile: Profile, item: Item) -> bool:
    """Return whether a panel can be set to have something, or has it whatever it is set to."""
    return item in profile.items or profile.fixed.get(item, "no").split()[0] not in ("no", "none", "0")


def _of_behaviours(behaviours: Iterable[Behaviour]) -> Iterator[str]:
    for one in behaviours:
        yield from (each for each in (one.alarm, one.warning) if each)
