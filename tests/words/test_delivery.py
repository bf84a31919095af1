"""A message gets through by the line, by the second path, late, or not at all."""

from __future__ import annotations

import pytest

from tests.behaviour.house import COTTAGE, with_settings
from zonewright.behaviour.clockwork import run
from zonewright.behaviour.events import SiteTrouble, SiteTroubleBegins, SiteTroubleEnds
from zonewright.words.delivery import Carrier, delivery, delivery_in_words

LOST, BACK = SiteTroubleBegins(SiteTrouble.LINE), SiteTroubleEnds(SiteTrouble.LINE)
TIMELINE = run(COTTAGE, [(100, LOST), (700, BACK), (900, LOST)])


@pytest.mark.parametrize(
    ("told", "way", "at"),
    [
        (99, Carrier.LINE, 99),
        (100, Carrier.LATE, 700),
        (699, Carrier.LATE, 700),
        (700, Carrier.LINE, 700),
        (900, Carrier.NEVER, None),
        (5_000, Carrier.NEVER, None),
    ],
)
def test_the_line_s_state_decides(told: int, way: Carrier, at: int | None) -> None:
    found = delivery(COTTAGE, TIMELINE, told)
    assert (found.way, found.at) == (way, at)
    assert (delivery_in_words(found, told) == "") is (way is Carrier.LINE)


@pytest.mark.parametrize(("retry", "at"), [(60, 700), (90, 730), (600, 700), (601, 701), (3_600, 3_700)])
def test_a_lost_line_is_tried_again_at_its_times_only(retry: int, at: int) -> None:
    assert delivery(with_settings(COTTAGE, line_retry=retry), TIMELINE, 200).at == at


def test_a_second_path_carries_at_once() -> None:
    found = delivery(with_settings(COTTAGE, second_path=True), TIMELINE, 200)
    assert (found.way, found.at) == (Carrier.SECOND_PATH, 200)
