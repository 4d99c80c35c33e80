"""The brief as one HTML file: the PDF's words, nothing fetched, nothing that user text could become."""

import os
import re
import shutil
from dataclasses import replace
from html import escape
from types import SimpleNamespace

import pytest
from brief_case import assessment
from conftest import IN_CI

from coreset.brief.content import content
from coreset.brief.html import html
from coreset.charts.pictures import pictures

CHROMIUM = shutil.which("chromium")


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
    page = html(SimpleNamespace(**{**vars(found), "case": hostile}), {})
    assert "<script>" not in page and "<img" not in page and "&lt;script&gt;" in page


@pytest.mark.browser
@pytest.mark.skipif(not CHROMIUM and not IN_CI, reason="LOUD: no Chromium, the brief was not opened in a browser")
def test_opened_offline_it_makes_no_request_and_fits_a_tablet(page, tmp_path):
    """Chromium at 820 px: one request (the file), no error, no sideways scroll, charts drawn."""
    from playwright.sync_api import sync_playwright

    path = tmp_path / "brief.html"
    path.write_text(page, encoding="utf-8")
    asked, errors = [], []
    with sync_playwright() as playwright:
        browser = playwright.chromium.launch(executable_path=CHROMIUM, args=["--no-sandbox"])
        view = browser.new_context(viewport={"width": 820, "height": 1100}, offline=True).new_page()
        view.on("request", lambda request: asked.append(request.url))
        view.on("console", lambda message: errors.append(message.text) if message.type == "error" else None)
        view.goto(path.as_uri())
        assert view.locator("figure svg").count() == 4
        assert view.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
        if kept := os.environ.get("CORESET_PICTURES"):
            view.screenshot(path=f"{kept}/brief-html.png", full_page=True)
        browser.close()
    assert [url for url in asked if not url.startswith("data:")] == [path.as_uri()] and not errors
