"""A case in a workbook reads as the same case; what a workbook may hide is refused by name."""

import datetime
import io
import random
from importlib.resources import files
from pathlib import Path

import openpyxl
import pytest
from mutations import small, spoilt
from workbooks import repacked, workbook_of

from coreset.errors import StudyError
from coreset.store import folder
from coreset.store.folder.sheets import sheets
from coreset.store.folder.workbook import case_in, read_workbook

DEMO = folder.read(Path(str(files("coreset.studies") / "ostrander_bend")))
SECOND = folder.read(Path(str(files("coreset.studies") / "tamarack_flat")))
SMALL = workbook_of(small(DEMO))


@pytest.mark.parametrize("case", [DEMO, SECOND], ids=["metric", "us"])
def test_a_workbook_holds_a_whole_case(case, tmp_path):
    """Every value of both invented cases goes through a workbook unchanged."""
    (tmp_path / "case.xlsx").write_bytes(workbook_of(case))
    assert read_workbook(tmp_path / "case.xlsx") == case


def edited(change):
    """The small workbook after a change made with a spreadsheet library."""
    book = openpyxl.load_workbook(io.BytesIO(SMALL))
    change(book)
    stream = io.BytesIO()
    book.save(stream)
    return stream.getvalue()


def set_cell(sheet, cell, value):
    """A change of one cell."""
    return lambda book: book[sheet].__setitem__(cell, value)


FAULTS = [
    (set_cell("cores", "C2", "=1+1"), "sheet cores, row 2, column C: found a formula '=1+1', expected its value"),
    (set_cell("cores", "C2", datetime.date(2026, 4, 12)), "found '2026-04-12', expected a number, not a date"),
    (set_cell("cores", "C2", "heavy"), "sheet cores, row 2, column"),
    (set_cell("cores", "A1", "patern"), "found column 'patern', expected 'pattern', perhaps"),
    (set_cell("readings", "E3", datetime.time(0, 1)), "sheet readings, row 3, column reading_s"),
    (set_cell("case", "A1", "name"), "a sheet 'case' with the columns key, value"),
    (lambda book: book.create_sheet("Sheet9"), "sheet Sheet9: found a sheet, expected one of"),
    (lambda book: book.remove(book["case"]), "a sheet 'case'"),
    (set_cell("elements", "A2", "ZZ"), "found 'ZZ', expected one of 'A', 'B'"),
]


@pytest.mark.parametrize(("change", "words"), FAULTS)
def test_a_broken_cell_of_a_workbook_is_named(change, words):
    """Formulas, dates for numbers, texts for numbers, unknown heads, sheets and codes: sheet, row, column."""
    with pytest.raises(StudyError) as refused:
        case_in(edited(change), file="case.xlsx")
    assert words in str(refused.value)


def bomb(name, content):
    """A sheet blown up with blanks, as a bomb is."""
    return content.replace(b"<sheetData>", b"<sheetData>" + b" " * 60_000_000) if "sheet1.xml" in name else content


def entities(name, content):
    """A sheet whose head declares entities that multiply."""
    laughs = b'<!DOCTYPE x [<!ENTITY a "aaaa"><!ENTITY b "&a;&a;&a;&a;">]>'
    return content.replace(b"?>", b"?>" + laughs, 1) if "sheet1.xml" in name else content


HIDDEN = {
    "macros": (lambda: repacked(SMALL, lambda n, c: c, {"xl/vbaProject.bin": b"x"}), "macros"),
    "links": (lambda: repacked(SMALL, lambda n, c: c, {"xl/externalLinks/externalLink1.xml": b"<x/>"}), "links"),
    "bomb": (lambda: repacked(SMALL, bomb), "unpacks to too much"),
    "entities": (lambda: repacked(SMALL, entities), "entities"),
    "no zip": (lambda: b"PK\x03\x04 but not really", "an XLSX workbook"),
    "old format": (lambda: b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1" + b"\0" * 600, "an XLSX workbook"),
    "too large": (lambda: b"\0" * 30_000_001, "at most"),
    "no sheets": (lambda: repacked(SMALL, lambda n, c: None if "worksheets" in n else c), "a sheet 'case'"),
    "half": (lambda: SMALL[: len(SMALL) // 2], "an XLSX workbook"),
}


@pytest.mark.parametrize("what", HIDDEN)
def test_what_a_workbook_may_hide_is_refused(what):
    """Macros, links, bombs, entities, old formats and halves are refused."""
    make, words = HIDDEN[what]
    content = make()
    with pytest.raises(StudyError) as refused:
        case_in(content, file="case.xlsx")
    assert words in str(refused.value)


def broken(seed):
    """The small workbook broken by a seed: its bytes, or one of its parts."""
    rng = random.Random(seed)
    if rng.random() < 0.3:
        return spoilt(SMALL, rng)
    names = rng.sample(["sheet1", "sheet2", "sheet5", "workbook.xml", "sharedStrings", "styles", "Content_Types"], 2)
    return repacked(SMALL, lambda name, content: spoilt(content, rng) if any(n in name for n in names) else content)


def tried(seeds):
    """How many broken workbooks were refused; the rest read as a case."""
    refused = 0
    for seed in seeds:
        try:
            case_in(broken(seed), file="case.xlsx")
        except StudyError as error:
            assert error.faults, seed
            refused += 1
    return refused


@pytest.mark.filterwarnings("ignore")
def test_broken_workbooks_are_refused_or_read():
    """60 workbooks broken at random by fixed seeds: no other error than the documented one."""
    assert tried(range(60)) > 30


@pytest.mark.slow
@pytest.mark.filterwarnings("ignore")
def test_thousands_of_broken_workbooks():
    """The same for 4,000 others."""
    assert tried(range(1_000, 5_000)) > 2_000


def test_sheets_come_with_their_rows():
    """Row numbers are the spreadsheet's own; empty rows are left out."""
    book = openpyxl.Workbook()
    book.active.append(["a", 1, True, 2.5])
    book.active.append([])
    book.active.append(["b"])
    stream = io.BytesIO()
    book.save(stream)
    assert sheets(stream.getvalue(), file="x.xlsx") == {"Sheet": [(1, ["a", 1, True, 2.5]), (3, ["b"])]}
