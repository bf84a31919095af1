"""A sign with a time fits what came then, and nothing that came much sooner or later."""

from __future__ import annotations

import pytest

from zonewright.diagnosis.noticing import Noticing, Sensed, Sign, fits
from zonewright.fieldwork.conditions import Channel


@pytest.mark.parametrize(("at", "fit"), [(1, False), (2, True), (5, True), (8, True), (9, False), (3600, False)])
def test_after_five_seconds_fits_no_siren_of_an_hour_later(at: int, fit: bool) -> None:
    run = [Sensed(at, "siren", "", Channel.SIREN)]
    assert fits(Noticing(came=(Sign("siren", after=5),)), run, run) is fit
    late = Noticing(came=(Sign("siren", after=3600),))
    assert fits(late, run, run) is (at == 3600)
