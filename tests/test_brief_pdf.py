"""The brief on paper: two pages, tagged for readers of every kind, its own fonts, the long form with all workings."""

import io
import shutil
import subprocess
from dataclasses import replace
from types import SimpleNamespace

import pikepdf
import pytest
from brief_case import assessment

from coreset.brief.content import content
from coreset.brief.pdf import pdf
from coreset.charts.pictures import pictures


@pytest.fixture(scope="module")
def drawn():
    """The charts of the brief."""
    return pictures(assessment())


@pytest.fixture(scope="module")
def paper(drawn):
    """The short brief, opened."""
    return pikepdf.open(io.BytesIO(pdf(assessment(), drawn)))


def tagged(node, kind, found=None):
    """Every structure element of one kind below a node."""
    found = [] if found is None else found
    if isinstance(node, pikepdf.Array):
        for item in node:
            tagged(item, kind, found)
    elif isinstance(node, pikepdf.Dictionary):
        if node.get("/S") == kind:
            found.append(node)
        if "/K" in node:
            tagged(node.K, kind, found)
    return found


def test_two_pages_that_claim_and_carry_what_pdf_ua_asks(paper, drawn):
    """ISO 14289-1: tags, language, a title that is shown, text alternatives, the claim in the metadata."""
    assert len(paper.pages) == 2
    assert paper.Root.MarkInfo.Marked and str(paper.Root.Lang).startswith("en")
    assert paper.Root.ViewerPreferences.DisplayDocTitle
    with paper.open_metadata() as metadata:
        assert metadata["pdfuaid:part"] == "1" and metadata["dc:title"]
    pictured = tagged(paper.Root.StructTreeRoot, "/Figure")
    assert sorted(str(figure.Alt) for figure in pictured) == sorted(found.alt for found in drawn.values())
    assert tagged(paper.Root.StructTreeRoot, "/H1") and tagged(paper.Root.StructTreeRoot, "/TH")


def test_its_fonts_travel_with_it(paper):
    """Every font is the shipped one and embedded."""
    names = {
        str(font.BaseFont) for page in paper.pages for font in page.get("/Resources", {}).get("/Font", {}).values()
    }
    assert names and all("SourceSansPro" in name for name in names)


@pytest.mark.parametrize(
    "title", ["Łódź, Жуковка, Ελλάδα", "鋳造所", "\U00013000 \U0001f9ff", '#read("/etc/passwd") $x$ *b* <l>']
)
def test_any_title_that_somebody_types_is_set(title):
    """Other scripts, rare signs and marks of the typesetter neither stop the brief nor run."""
    found = assessment()
    case = replace(found.case, title=title)
    paper = pdf(SimpleNamespace(**{**vars(found), "case": case}), {})
    assert len(pikepdf.open(io.BytesIO(paper)).pages) == 2


@pytest.mark.skipif(not shutil.which("pdftotext"), reason="LOUD: pdftotext (poppler-utils) is missing")
def test_its_words_are_those_of_the_content(drawn, tmp_path):
    """What a reader copies out of the PDF is the headline, the figures and the caution."""
    path = tmp_path / "brief.pdf"
    path.write_bytes(pdf(assessment(), drawn))
    text = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True, check=True).stdout
    plain = " ".join(text.split())
    said = content(assessment(), drawn)
    for words in (said.headline, *(figure.value for block in said.one for figure in block.figures), "Local codes"):
        assert " ".join(words.split()) in plain


def test_the_long_form_holds_every_working(drawn):
    """The annex has each rated lift's working to its limit, and each source with its status."""
    blocks = content(assessment(), drawn, full=True).annex
    words = " ".join(cell for block in blocks for row in block.rows for cell in row)
    for row in assessment().handling:
        assert any(row.task in block.text for block in blocks)
    assert "LC × HM × VM × DM × AM × FM × CM" in words and "waters1994" in words
    assert len(pikepdf.open(io.BytesIO(pdf(assessment(), drawn, full=True))).pages) > 2
