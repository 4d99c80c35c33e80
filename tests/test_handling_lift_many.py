"""The command `coreset lift --file` on long tables: the same text as row by row, worst first, in about two seconds."""

import csv
import random
import time

import pytest
from test_handling_lift import COLUMNS, run

from coreset.cli import lift_many
from coreset.errors import StudyError

MORE = ["task", "horizontal_destination", "vertical_destination", "angle_destination", "hot", "hoist"]


def rows(count, seed=3):
    """Lifts of one end or both, in both unit sets, some without a name, in the heat or by a hoist."""
    rng = random.Random(seed)
    for number in range(count):
        units, length = rng.choice([("metric", 1.0), ("us", 0.4)])
        h, v, a = round(rng.uniform(25, 66) * length, 1), round(rng.uniform(0, 180) * length, 1), rng.choice([0, 30])
        there = [round(rng.uniform(25, 66) * length, 1), v, a] if rng.random() < 0.5 else [""] * 3
        measured = [units, round(rng.uniform(1, 30), 1), h, v, rng.choice([0, 20]), a, round(rng.uniform(0.1, 11), 2)]
        words = [rng.choice(["short", "long"]), rng.choice(["good", " Poor"])]
        said = [rng.choice(["", "yes", "no"]), rng.choice(["", "", "1"])]
        yield [*measured, *words, rng.choice(["", f" core, {number}\n"]), *there, *said]


def written(path, lines, columns=(*COLUMNS, *MORE)):
    """A table of lifts."""
    with path.open("w", newline="", encoding="utf-8-sig") as file:
        csv.writer(file).writerows([columns, *lines])
    return path


def both(path, monkeypatch, *options):
    """What the command says row by row and as arrays."""
    found = []
    for least in (10**9, 1):
        monkeypatch.setattr(lift_many, "ROWS_FROM", least)
        found.append(run("--file", path, *options))
    return found


@pytest.mark.parametrize("options", [(), ("--situation", "hot"), ("--situation", "two_persons")])
def test_a_long_table_is_answered_as_row_by_row(tmp_path, monkeypatch, options):
    """Same lines, order, names, counts and notes."""
    slow, fast = both(written(tmp_path / "lifts.csv", rows(400)), monkeypatch, *options)
    assert fast == slow and "400 lifts (40 shown" in fast


def test_the_worst_come_first_with_their_names(tmp_path, monkeypatch):
    """RWL 0 on top, then by falling index, what is not covered last; a row without a name has its number."""
    columns = ["task", *COLUMNS, "hoist"]
    table = [
        ["light", "metric", 5, 30, 75, 0, 0, 1, "short", "good", ""],
        ["hoisted", "metric", 90, 30, 75, 0, 0, 1, "short", "good", "yes"],
        ["", "metric", 20, 30, 75, 0, 0, 1, "short", "good", ""],
        ["far", "metric", 1, 70, 75, 0, 0, 1, "short", "good", ""],
    ]
    for text in both(written(tmp_path / "lifts.csv", table, columns), monkeypatch):
        names = [line.split(":")[0] for line in text.splitlines()[:4]]
        assert names == ["far", "3", "light", "hoisted"]
        assert "1 above an index of 1, 0 above 3, 2 without" in text


@pytest.mark.parametrize(
    ("column", "cell", "expected"),
    [
        ("mass", "ten", "a number"),
        ("mass", "inf", "a number"),
        ("mass", 400, "150 kg"),
        ("horizontal", 4, "at least 10 cm"),
        ("duration", "brief", "one of short"),
        ("hot", "maybe", "yes, no or empty"),
        ("angle", 190, "180"),
        ("frequency", 70, "60 lifts"),
        ("vertical", -1, "zero or more"),
        ("angle_destination", "", "a number"),
        ("travel", 1, "at least 60"),
    ],
)
def test_what_is_wrong_in_a_long_table_is_still_said(tmp_path, monkeypatch, column, cell, expected):
    """A cell that is not plain is left to the reader of rows, with the row, the column and what was expected."""
    good = ["metric", 10, 40, 80, 60, 0, 1, "short", "good", "a", 40, 20, 0, "", ""]
    columns = [*COLUMNS, *MORE]
    bad = [cell if name == column else value for name, value in zip(columns, good, strict=True)]
    monkeypatch.setattr(lift_many, "ROWS_FROM", 1)
    path = written(tmp_path / "lifts.csv", [good] * 3 + [bad], columns)
    assert lift_many.many_lifts(path, ()) is None
    with pytest.raises(StudyError, match=f"row 5, column {column}.*{expected}"):
        run("--file", path)


@pytest.mark.slow
def test_a_million_lifts_take_two_seconds_of_a_processor(tmp_path):
    """Reading, checking, rating and sorting 1,000,000 rows; time of the processor, so that others' work counts not."""
    path = written(tmp_path / "lifts.csv", list(rows(10_000)) * 100)
    lift_many.many_lifts(written(tmp_path / "first.csv", list(rows(30_000))), ())
    begin = time.process_time()
    text = lift_many.many_lifts(path, ())
    assert text and "1000000 lifts" in text and time.process_time() - begin < 2.5
