"""What to say of the second in which a promise broke because nothing came: "1 min 27 s: no siren yet".

Rules of this file:
1. It names what was awaited, from what was promised; the second is that of the run of the whole panel.
2. Of what hadn't come it names the last second that was allowed: a second later it may have come, too late.
"""

from __future__ import annotations

import re

from zonewright.proof.promises.promise import Promise
from zonewright.proof.prover.refine import Settled

_CAUSED = re.compile(r"causes (?P<effect>.+?)(?: while .*| within .*)?$")
_AWAITED = {
    "siren ends": "the siren still sounds",
    "opening sounds": "no siren yet",
    "opening sends": "no message yet",
    "exit error sent": 'no "exit error" message yet',
}


def too_late(promise: Promise, settled: Settled) -> tuple[int, str] | None:
    """Return the second in which a promise broke, with what had not come; None where an event broke it."""
    if settled.too_late is None:
        return None
    says = _not_yet(promise)
    return settled.too_late - (says != _AWAITED["siren ends"]), says


def _not_yet(promise: Promise) -> str:
    caused = _CAUSED.search(promise.aspect)
    if caused is not None:
        return f"no {caused['effect'].removeprefix('any ')} yet"
    if promise.aspect.endswith("too late"):
        return _AWAITED["opening sounds"]
    if promise.aspect.endswith("too late sends"):
        return _AWAITED["opening sends"]
    return _AWAITED.get(promise.aspect, "what was promised has not come yet")
