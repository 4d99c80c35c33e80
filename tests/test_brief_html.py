"""The brief as one HTML file: the PDF's words, nothing fetched, nothing that user text could become."""

import re
from dataclasses import replace
from html import escape

import pytest
from brief_case import Given, assessment

from coreset.brief.content import content
from coreset.brief.pictures import pictures
from coreset.brief.rendered import html


@pytest.fixture(scope="module")
def page():
    """The long form."""
    return html(assessment(), pictures(assessment()), full=True)


def test_it_says_what_the_pdf_says(page):
    """Every heading, paragraph and cell of the content is on the page."""
    said = content(assessment(), pictures(assessment()), full=True)
    for block in (*said.one, *said.two, *said.annex):
        for words in (block.text, *(cell for row in block.rows for cell in row)):
            assert escape(words) in page


def test_nothing_in_it_points_outside(page):
    """No address is loaded: what links there are stand in namespaces only."""
    addresses = set(re.findall(r"https?://[^\s\"'<)]+", page))
    assert all(address.startswith("http://www.w3.org/") for address in addresses)
    assert "<script" not in page and "@import" not in page


def test_text_that_somebody_typed_stays_text():
    """A title with markup in it comes out as it was typed."""
    found = assessment()
    hostile = replace(found.case, title="<script>alert(1)</script>", plant='"><img src=x>')
    page = html(Given(**{**vars(found), "case": hostile}), {})
    assert "<script>" not in page and "<img" not in page and "&lt;script&gt;" in page
