"""Tables of counts: what is read, what is refused in a sentence, and the answer from them."""

import pytest

from printcrib.core.errors import ShopError
from printcrib.core.life import LifeUnit
from printcrib.core.life_answer import NO_GUESS, tell_life
from printcrib.core.life_fit import NOT_YET, LifeFit
from printcrib.core.life_rows import MOST_ROWS, read_rows


def test_rows_are_read_by_their_names() -> None:
    text = "\ufeffFailed, Count,note,entry,last_good,weight\r\n1,400,x,100,300,2\r\n\r\n0,5,,,,\r\n"
    units, faults = read_rows(text.encode(), "a.csv")
    assert units == {1: LifeUnit(400.0, True, 100.0, 300.0, 2.0), 2: LifeUnit(5.0, False)}
    assert faults == []


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"", "a.csv is empty"),
        (b"\n\n", "a.csv is empty"),
        (b"\xff\xfec\0", "is not text in UTF-8"),
        (b"count;failed\n1;0\n", "is not parted by commas"),
        (b"count\tfailed\n1\t0\n", "is not parted by commas"),
        (b"count,dead\n1,0\n", "has no column called failed"),
        (b"failed,age\n1,0\n", "has no column called count"),
        (b"count,failed,count\n1,0,1\n", "has the column count twice"),
        (b"count,failed\n\n", "holds no rows"),
        (b"count,failed\n" + b"1" * 200_000 + b",0\n", "cannot be read as a table"),
        (b"count,failed\n" + b"1,0\n" * (MOST_ROWS + 1), "has more than 100000 rows"),
    ],
)
def test_what_is_no_table_is_refused(content: bytes, words: str) -> None:
    with pytest.raises(ShopError, match=words):
        read_rows(content, "a.csv")


@pytest.mark.parametrize(
    ("row", "words"),
    [
        (",0", "there is no count"),
        ("x,0", 'count is "x", not a number'),
        ("nan,0", 'count is "nan", not a number'),
        ("inf,0", 'count is "inf", not a number'),
        ("1_0,0", 'count is "1_0", not a number'),
        ("-1,0", "count is -1"),
        ("1e300,0", r"count is 1e\+300"),
        ("1e-300,0", "count is 1e-300"),
        ('"12,5",0', 'count is "12,5", not a number'),
        ("12,5,0,0,0,0", "it has more cells than the first line"),
        ("5", 'failed is ""'),
        ("5,yes", 'failed is "yes"'),
        ("5,0,6", "entry 6 is past count 5"),
        ("5,1,0,5", "last_good 5 is not before count 5"),
        ("5,0,0,6", "last_good 6 is not before count 5"),
        ("5,0,0,,0", "weight is 0"),
        ("5,0,0,,1e7", r"weight is 1e\+07"),
    ],
)
def test_a_bad_row_is_one_sentence_with_its_line(row: str, words: str) -> None:
    import re

    units, faults = read_rows(f"count,failed,entry,last_good,weight\n7,0\n{row}\n".encode(), "a.csv")
    assert list(units) == [1]
    assert len(faults) == 1
    assert re.match(f"Line 3: {words}", faults[0])


def test_an_answer_without_a_guess_or_failures() -> None:
    told = tell_life({1: LifeUnit(300.0, False), 2: LifeUnit(0.0, True)}, at=100.0)
    assert (told.number, told.failures, told.left_out) == (2.0, 0.0, (2,))
    assert told.why == f"{NOT_YET}. {NO_GUESS}."
    assert told.remaining == ()
    assert told.at == (100.0, None)


def test_an_answer_with_both() -> None:
    units = {row: LifeUnit(100.0 * row, row % 2 == 0) for row in range(1, 11)}
    told = tell_life(units, 700.0, at=300.0)
    assert told.why == ""
    assert isinstance(told.fit, LifeFit)
    assert told.forecast is not None
    assert [row for row, _, _ in told.remaining] == [1, 3, 5, 7, 9]
    assert all(lefts[0] > lefts[1] > lefts[2] > 0.0 for _, _, lefts in told.remaining)
    assert told.at is not None
    assert told.at[1] == told.forecast.lasts(300.0)
    fitted = tell_life(units, at=300.0)
    assert fitted.at == (300.0, told.fit.lasts(300.0))


@pytest.mark.parametrize(
    ("options", "words"),
    [
        ({"expected": 0.0}, "The expected life is 0"),
        ({"expected": float("nan")}, "The expected life is nan"),
        ({"worth": 0.0}, "The worth of the guess is 0"),
        ({"at": -1.0}, "The count asked about is -1"),
    ],
)
def test_options_nobody_can_mean(options: dict[str, float], words: str) -> None:
    with pytest.raises(ShopError, match=words):
        tell_life({1: LifeUnit(1.0, False)}, **options)
