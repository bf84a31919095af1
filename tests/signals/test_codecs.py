"""The codecs by themselves: round trips, and an answer to any text."""

from __future__ import annotations

from hypothesis import given
from hypothesis import strategies as st

from zonewright.reporting.table import TABLE
from zonewright.signals import dc03, dc05
from zonewright.signals.codes import event_codes, meaning_of
from zonewright.signals.dc03_codes import dc03_codes, dc03_meaning


def digits(width: int, alphabet: str = dc05.DIGITS) -> st.SearchStrategy[str]:
    return st.text(alphabet, min_size=width, max_size=width)


MESSAGES = st.builds(
    dc05.Dc05,
    account=digits(4),
    event=digits(3, "0123456789"),
    group=digits(2),
    ccc=digits(3),
    qualifier=st.sampled_from(dc05.Qualifier),
    message_type=st.sampled_from(dc05.MESSAGE_TYPES),
)


@given(MESSAGES)
def test_what_is_written_is_read(message: dc05.Dc05) -> None:
    assert dc05.decode(message.digits) == message
    assert sum(map(dc05.value, message.digits)) % 15 == 0


@given(MESSAGES, st.integers(0, 15), st.sampled_from(dc05.DIGITS))
def test_one_wrong_digit_is_noticed_unless_it_counts_the_same(message: dc05.Dc05, place: int, digit: str) -> None:
    wrong = message.digits[:place] + digit + message.digits[place + 1 :]
    same = (dc05.value(digit) - dc05.value(message.digits[place])) % 15 == 0
    if not same:
        assert isinstance(dc05.decode(wrong), dc05.BadLine)


@given(st.text(max_size=60))
def test_any_text_is_answered(text: str) -> None:
    assert isinstance(dc05.decode(text), dc05.Dc05 | dc05.BadLine)
    assert isinstance(dc03.decode(text), dc03.Dc03 | dc03.Dc03Fault)


EVENTS = st.builds(
    dc03.Dc03Event,
    code=st.text("ABCDEFGHIJKLMNOPQRSTUVWXYZ", min_size=2, max_size=2),
    address=digits(3, "0123456789"),
    text=st.text("abc DEF 123", max_size=12),
    modifiers=st.lists(st.sampled_from(["ri", "id", "ti"]), unique=True, max_size=3).map(
        lambda names: tuple((name, "12") for name in sorted(names, key=dc03.IN_ORDER.index))
    ),
    old=st.booleans(),
)


@given(
    st.builds(dc03.Dc03, account=digits(4, "0123456789"), events=st.lists(EVENTS, min_size=1, max_size=3).map(tuple))
)
def test_a_payload_written_is_read(payload: dc03.Dc03) -> None:
    assert dc03.decode(dc03.encode(payload)) == payload


def test_a_huge_payload_is_refused_at_once() -> None:
    assert isinstance(dc03.decode("N" + "BA001/" * 100_000), dc03.Dc03Fault)


def test_every_code_of_the_table_has_a_meaning_and_three_digits() -> None:
    assert len(event_codes()) == 282  # as many as the source lists
    assert all(len(code) == 3 and code.isdigit() and each.meaning for code, each in event_codes().items())


def test_an_unlisted_code_is_kept_and_named_by_its_first_digit() -> None:
    assert meaning_of("199").meaning == "alarm, not in the table"
    assert "local agreement" in meaning_of("760").meaning


def test_every_code_that_the_panel_model_sends_has_a_meaning() -> None:
    for name, row in TABLE.items():
        for code in filter(None, (row.begins, row.over)):
            means = dc03_meaning(code)
            assert code in dc03_codes(), (name, code)
            assert means.meaning


def test_an_unlisted_code_of_dc03_is_told_and_not_refused() -> None:
    assert dc03_meaning("BQ").meaning == "burglary, code BQ, not in the table"
    assert dc03_meaning("ZY").meaning == "freeze, code ZY, not in the table"
    assert dc03_meaning("99").meaning == "code 99, not in the table"


def test_what_is_said_once_in_a_block_holds_for_all_of_its_events() -> None:
    read = dc03.decode("#4021|Nri2/ti10:23/BA003/BH003/ri1/OP2|Nri3/BA004")
    assert isinstance(read, dc03.Dc03)
    assert [(each.code, each.modifier("ri"), each.modifier("ti")) for each in read.events] == [
        ("BA", "2", "10:23"),
        ("BH", "2", "10:23"),
        ("OP", "1", "10:23"),
        ("BA", "3", None),
    ]
