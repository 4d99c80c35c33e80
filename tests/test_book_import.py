"""Readings from other people's tables: any column order, names, clock form and decimal sign; nothing lost both ways."""

import io
import math
import string
import time
import tracemalloc

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from coreset.case import Reading, Readings
from coreset.errors import StudyError
from coreset.store.folder.readings_import import (
    Reader,
    ReadingsTable,
    as_csv,
    as_xlsx,
    clock_seconds,
    guess,
    readings_from,
)
from coreset.store.intake import take_in
from coreset.store.intake.answers import IntakeAnswers
from coreset.store.intake.cells import grids

OWN = {name: name for name in Reading._fields}


def table_of(name, content):
    """A file whose first row is its head."""
    [[(_, heads), *rows]] = grids(name, content, IntakeAnswers({})).values()
    filled = tuple((number, (*cells, *[""] * (len(heads) - len(cells)))) for number, cells in rows)
    return ReadingsTable(file=name, heads=heads, rows=filled)


@pytest.mark.parametrize(
    ("text", "form", "comma", "seconds"),
    [
        ("12.5", "s", False, 12.5),
        ("12,5", "s", True, 12.5),
        ("1.234,5", "s", True, 1234.5),
        ("0.25", "min", False, 15.0),
        ("37", "cmin", False, 22.2),
        ("30", "cmin", False, 18.0),
        ("0:00:07.125", "clock", False, 7.125),
        ("2:03,5", "clock", True, 123.5),
        ("1:00:00", "clock", False, 3600.0),
        ("59.9", "clock", False, 59.9),
        ("10:00:00", "clock", False, 36000.0),
    ],
)
def test_clock_forms(text, form, comma, seconds):
    """Seconds, minutes, hundredths of a minute (30 of them are 18 s by definition of the minute), h:mm:ss.fff."""
    assert clock_seconds(text, form=form, comma=comma) == seconds


@pytest.mark.parametrize(
    ("text", "form"), [("1:75", "clock"), ("-3", "s"), ("nan", "s"), ("inf", "min"), ("1:2:3:4", "clock"), ("a", "s")]
)
def test_what_is_no_clock_is_refused(text, form):
    """Nothing is guessed: what is not written in the stated form is a fault."""
    with pytest.raises(ValueError):
        clock_seconds(text, form=form)


THEIRS = "Remark;Watch;Step;Pace\n;0,18;fetch;100\nslow;0,61;set;95\n;0,80;fetch;\n;;set;\nforklift;1,9;other work;\n"


def test_columns_of_any_name_and_order():
    """Columns by the user's own names, minutes with a decimal comma, cycles counted where none are given."""
    table = table_of("theirs.csv", THEIRS.encode("cp1252"))
    columns = {"element": "Step", "reading_s": "Watch", "rating": "Pace", "note": "Remark"}
    assert guess(table.heads) == columns
    found = list(readings_from(table, Reader(columns=columns, form="min", comma=True)))
    assert [(r.seq, r.cycle, r.element, r.reading_s, r.note) for r in found[:3]] == [
        (1, 1, "fetch", 10.8, ""),
        (2, 1, "set", 36.6, "slow"),
        (3, 2, "fetch", 48.0, ""),
    ]
    assert math.isnan(found[3].reading_s) and math.isnan(found[3].rating)


def test_their_own_words_for_marks():
    """Words that the user gave for a mark are read as that mark."""
    table = table_of("t.csv", b"element,reading,mark\nfetch,1,\ntruck,2,X\n")
    reader = Reader(columns={"element": "element", "reading_s": "reading", "mark": "mark"}, marks={"X": "foreign"})
    assert readings_from(table, reader).mark == ("", "foreign")


def test_every_fault_has_its_row_and_column():
    """All faults at once, each with row, column, what was found and what was expected."""
    table = table_of("t.csv", b"element,watch,mark\nfetch,one,\n,2,\nset,3,odd\n")
    reader = Reader(columns={"element": "element", "reading_s": "watch", "mark": "mark"})
    with pytest.raises(StudyError) as refused:
        readings_from(table, reader)
    assert str(refused.value).splitlines() == [
        "t.csv, row 2, column watch: found one, expected seconds",
        "t.csv, row 3, column element: found nothing, expected an element",
        "t.csv, row 4, column mark: found odd, expected foreign, missed, failed, split",
    ]


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("t.csv", b"", "an empty file"),
        ("t.xlsx", b"PK nonsense", "no XLSX workbook"),
    ],
)
def test_what_is_no_table_is_refused(name, content, words):
    """An empty, damaged or ambiguous file is refused in words."""
    with pytest.raises(StudyError, match=words):
        table_of(name, content)


def test_a_missing_column_is_named():
    """Without a column for element or reading nothing is read."""
    with pytest.raises(StudyError, match="column reading_s: found no column for it"):
        readings_from(table_of("t.csv", b"element,x\nfetch,1\n"), Reader(columns={"element": "element"}))


TEXT = st.text(string.ascii_letters + " =+-@;,\"'äß", min_size=1, max_size=12).map(str.strip).filter(bool)
NUMBER = st.floats(0, 1e6, allow_nan=False) | st.just(math.nan)
READING = st.builds(
    Reading,
    seq=st.just(0),
    cycle=st.integers(1, 999),
    element=TEXT,
    reading_s=NUMBER,
    rating=st.floats(50, 150) | st.just(math.nan),
    mark=st.sampled_from(["", "foreign", "missed", "failed"]),
    note=TEXT | st.just(""),
)


def same(one, other):
    """Whether two readings are equal, not-a-number counting as equal to itself."""
    return all(a == b or (a != a and b != b) for a, b in zip(one, other, strict=True))


@settings(max_examples=40, deadline=None)
@given(st.lists(READING, min_size=1, max_size=8))
def test_export_and_import_lose_nothing(rows):
    """What is exported as CSV or XLSX is read back to the last bit, texts that look like formulas included."""
    readings = Readings.of([row._replace(seq=seq) for seq, row in enumerate(rows, start=1)])
    for name, content in (("t.csv", as_csv(readings).encode()), ("t.xlsx", as_xlsx(readings))):
        back = readings_from(table_of(name, content), Reader(columns=OWN))
        assert all(same(a, b) for a, b in zip(back, readings, strict=True)), name


def test_no_text_is_a_formula_in_the_workbook():
    """A text that begins with = stays a text for the spreadsheet that opens the file."""
    from openpyxl import load_workbook

    readings = Readings.of([Reading(1, 1, "=1+1", 2.0, math.nan, "", "@x")])
    sheet = load_workbook(io.BytesIO(as_xlsx(readings))).active
    assert [(cell.value, cell.data_type) for cell in (sheet["C2"], sheet["G2"])] == [("=1+1", "s"), ("@x", "s")]


def test_a_large_file_is_refused_at_the_door():
    """60 MB, as text or as a workbook: refused by its size, within a second and 100 MB of memory more than the file."""
    for name in ("t.csv", "t.xlsx"):
        content = b"1,set core,12.3\n" * 3_750_000
        tracemalloc.start()
        begun = time.process_time()
        with pytest.raises(StudyError, match="found 60 MB, expected at most 10 MB"):
            take_in(name, content)
        assert time.process_time() - begun < 1
        assert tracemalloc.get_traced_memory()[1] < 1e6
        tracemalloc.stop()


@pytest.mark.parametrize(
    ("cells", "column", "expected"),
    [
        ("-3,set,9,100", "cycle", "a whole number, not below 0"),
        ("1,set,9,0", "rating", "a rating above 0, or an empty cell"),
        ("1,set,9,0 %", "rating", "a rating above 0, or an empty cell"),
    ],
)
def test_a_cycle_below_zero_and_a_rating_of_zero_are_refused(cells, column, expected):
    """Nothing wrong is taken: the row, the column and what was expected are named."""
    table = table_of("t.csv", f"cycle,element,reading_s,rating\n{cells}\n".encode())
    with pytest.raises(StudyError, match=f"row 2, column {column}: found .*, expected {expected}"):
        readings_from(table, Reader(columns={n: n for n in table.heads}))
