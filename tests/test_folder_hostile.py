"""Stored text is never markup: a hostile string in every field of a case goes through files, assessment and outputs."""

import csv
import io
import json
import re
import shutil
import subprocess
from functools import cache
from html.parser import HTMLParser
from importlib.resources import files
from pathlib import Path

import openpyxl
import pytest
from assessed import assessed
from hostile import STINGS, hostile
from lacking import need
from workbooks import workbook_of

from coreset.assess import assess
from coreset.brief.pictures import pictures
from coreset.store import folder
from coreset.store.folder.workbook import case_in

DEMO = folder.read(Path(str(files("coreset.studies") / "ostrander_bend")))
HOSTILE = hostile(DEMO)
FORMULA = re.compile(r"[=+@\t\r]|-(?!\s*[\d.])")


@cache
def found():
    """The assessment of the hostile case."""
    return assess(HOSTILE, resamples=200, draws=500, replications=50)


@cache
def drawn():
    """Its charts."""
    return pictures(found())


def test_it_goes_through_files_json_and_workbook(tmp_path):
    """A hostile case is written and read unchanged, in each form."""
    folder.write(HOSTILE, tmp_path / "case")
    assert folder.read(tmp_path / "case") == HOSTILE
    assert folder.build(json.loads(json.dumps(folder.plain(HOSTILE)))) == HOSTILE
    for path in (tmp_path / "case").rglob("*.csv"):
        rows = csv.reader(io.StringIO(path.read_text(encoding="utf-8"), newline=""))
        assert not [cell for row in rows for cell in row if FORMULA.match(cell)], path.name


def test_it_goes_through_a_workbook():
    """What a spreadsheet would take for a formula is text in a workbook, and read as text."""
    assert case_in(workbook_of(HOSTILE), file="x.xlsx") == HOSTILE


class Tags(HTMLParser):
    """Every tag and attribute of a page, and its text."""

    def __init__(self):
        super().__init__()
        self.tags, self.attributes, self.text = set(), set(), []

    def handle_starttag(self, tag, attrs):
        self.tags.add(tag)
        self.attributes |= {name for name, _ in attrs}

    def handle_data(self, data):
        self.text.append(data)


@pytest.mark.slow
def test_html_has_no_tag_of_it():
    """The page has the tags of the harmless case's page and no others, no handler, and the text as it was typed."""
    from coreset.brief.rendered import html

    page, harmless = Tags(), Tags()
    page.feed(html(found(), drawn(), full=True))
    usual = assessed()
    harmless.feed(html(usual, pictures(usual), full=True))
    assert page.tags <= harmless.tags
    assert page.attributes <= harmless.attributes
    assert not [name for name in page.attributes if name.startswith("on")]
    assert any(sting in "".join(page.text) for sting in STINGS)


def test_charts_carry_it_as_text():
    """No chart has a script, a handler or a link, whatever its labels."""
    for name, picture in drawn().items():
        assert not re.search(r"<script|<foreignObject|javascript:\S*\"|\son\w+=\"", picture.svg), name


def test_workbook_has_no_formula_of_it():
    """Formulas of the workbook hold none of it, and nothing is a link."""
    from coreset.brief.workbook import workbook

    book = openpyxl.load_workbook(io.BytesIO(workbook(found())))
    for sheet in book:
        for cell in (cell for row in sheet.iter_rows() for cell in row):
            assert cell.hyperlink is None
            assert cell.data_type != "f" or not any(sting in str(cell.value) for sting in STINGS), cell.coordinate


@pytest.mark.slow
def test_pdf_prints_it(tmp_path):
    """The PDF is set, and prints what was typed."""
    from coreset.brief.rendered import pdf

    (tmp_path / "brief.pdf").write_bytes(pdf(found(), drawn(), full=True))
    need(shutil.which("pdftotext"), "NO PDFTOTEXT: the words of the PDF were not read; apt-get install poppler-utils")
    command = ["pdftotext", "-layout", str(tmp_path / "brief.pdf"), "-"]
    words = subprocess.run(command, check=True, capture_output=True, text=True, timeout=60).stdout
    assert "alert(1)" in words or "7*7" in words


def test_tables_have_no_formula_of_it():
    """No cell of the exported tables begins as a formula does; the document is JSON."""
    from coreset.brief.dataset import dataset
    from coreset.brief.document import document

    json.dumps(document(found()), allow_nan=False)
    for name, content in dataset(found(), drawn()).items():
        if name.endswith(".csv"):
            for row in csv.reader(io.StringIO(content.decode("utf-8-sig"))):
                assert not [cell for cell in row if FORMULA.match(cell)], name


def test_the_screen_shows_it_without_control_characters():
    """What is printed holds no escape sequence."""
    from coreset.brief.screen import screen

    assert not re.search(r"[\x00-\x08\x0b-\x1f\x7f-\x9f]", screen(found()))
