"""The brief on paper: two pages, tagged for readers of every kind, its own fonts, the long form with all workings."""

import io
import shutil
import subprocess
from dataclasses import replace
from importlib.util import find_spec
from itertools import pairwise

import pikepdf
import pytest
from brief_case import Given, assessment
from lacking import need
from PIL import Image

from coreset.brief.content import content
from coreset.brief.pictures import pictures
from coreset.brief.rendered import pdf, sheets
from coreset.report.blocks import text
from coreset.report.pdf import pdf as typeset


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


@pytest.mark.parametrize(("more", "pages"), [(0, 2), (12, 2), (60, 3)])
def test_a_page_that_would_run_over_is_set_smaller(drawn, more, pages):
    """By a few percent, tags and all; what is still too long runs on rather than being cut. Nothing is lost of it."""
    brief = content(assessment(), drawn)
    lines = tuple(text(f"line {k} of what a case with much to say adds") for k in range(more))
    made = pikepdf.open(io.BytesIO(typeset(replace(brief, two=(*brief.two[:-1], *lines, brief.two[-1])), drawn)))
    assert len(made.pages) == pages
    assert len(tagged(made.Root.StructTreeRoot, "/P")) >= more + len([b for b in brief.one if b.kind == "text"])


def structure(node, path=()):
    """Every structure element with the kinds above it, in reading order."""
    for item in node if isinstance(node, pikepdf.Array) else [node]:
        if isinstance(item, pikepdf.Dictionary) and "/S" in item:
            yield (*path, str(item.S)), item
            yield from structure(item.get("/K", []), (*path, str(item.S)))


def scope(head):
    """What a head of a table is the head of."""
    told = head.A if isinstance(head.A, pikepdf.Array) else [head.A]
    return next((str(attributes.Scope) for attributes in told if "/Scope" in attributes), "")


def test_the_preview_is_the_pages_that_are_printed(paper, drawn):
    """A picture of each page, of the page's own proportions."""
    found = [Image.open(io.BytesIO(page)) for page in sheets(assessment(), drawn)]
    assert len(found) == len(paper.pages)
    for picture, page in zip(found, paper.pages, strict=True):
        left, bottom, right, top = map(float, page.MediaBox)
        assert picture.width / picture.height == pytest.approx((right - left) / (top - bottom), abs=0.002)


@pytest.mark.parametrize("full", [False, True])
def test_a_validator_finds_it_to_be_pdf_ua(drawn, full):
    """ISO 14289-1: every rule of an independent validator holds in both forms; a PDF without tags it refuses."""
    need(find_spec("page"), "NO PDF/UA VALIDATOR: pip install page-validation")
    from page import validate_pdf_bytes

    found = validate_pdf_bytes(pdf(assessment(), drawn, full=full), profile="ua1")
    assert found.is_compliant and found.rules.total > 100, [failure.message for failure in found.failures]
    bare = io.BytesIO()
    empty = pikepdf.new()
    empty.add_blank_page()
    empty.save(bare)
    assert not validate_pdf_bytes(bare.getvalue(), profile="ua1").is_compliant


def test_what_a_validator_cannot_see_is_right_too(drawn):
    """Heads of columns have a scope, tables have heads, headings skip no level, the tab key follows the tags."""
    paper = pikepdf.open(io.BytesIO(pdf(assessment(), drawn, full=True)))
    elements = list(structure(paper.Root.StructTreeRoot.K))
    heads = [element for path, element in elements if path[-1] == "/TH"]
    assert heads and all(scope(head) == "/Column" for head in heads)
    levels = [int(path[-1][2]) for path, _ in elements if path[-1] in {"/H1", "/H2", "/H3"}]
    assert levels[0] == 1 and levels.count(1) == 1
    assert all(after <= before + 1 for before, after in pairwise(levels))
    tables = [element for path, element in elements if path[-1] == "/Table"]
    assert tables and all(tagged(table, "/TH") for table in tables)
    assert all(page.get("/Tabs") == "/S" for page in paper.pages)
    assert paper.Root.get("/StructTreeRoot") and not paper.Root.MarkInfo.get("/Suspects", False)


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
    paper = pdf(Given(**{**vars(found), "case": case}), {})
    assert len(pikepdf.open(io.BytesIO(paper)).pages) == 2


@pytest.mark.slow
def test_its_words_are_those_of_the_content(drawn, tmp_path):
    """What a reader copies out of the PDF is the headline, the figures and the caution."""
    need(shutil.which("pdftotext"), "NO PDFTOTEXT: the words of the PDF were not read; apt-get install poppler-utils")
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
