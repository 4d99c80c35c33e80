"""The brief as one HTML file in a real Chromium without a network."""

import os

import pytest
from brief_case import assessment

from coreset.brief.pictures import pictures
from coreset.brief.rendered import html

pytestmark = pytest.mark.browser


def test_opened_offline_it_makes_no_request_and_fits_a_tablet(chromium, tmp_path):
    """Chromium at 820 px: one request (the file), no error, no sideways scroll, charts drawn."""
    path = tmp_path / "brief.html"
    path.write_text(html(assessment(), pictures(assessment()), full=True), encoding="utf-8")
    asked, errors = [], []
    context = chromium.new_context(viewport={"width": 820, "height": 1100}, offline=True)
    view = context.new_page()
    view.on("request", lambda request: asked.append(request.url))
    view.on("console", lambda message: errors.append(message.text) if message.type == "error" else None)
    view.goto(path.as_uri())
    assert view.locator("figure svg").count() == 4
    assert view.evaluate("document.documentElement.scrollWidth <= window.innerWidth")
    if kept := os.environ.get("CORESET_PICTURES"):
        view.screenshot(path=f"{kept}/brief-html.png", full_page=True)
    context.close()
    assert [url for url in asked if not url.startswith("data:")] == [path.as_uri()] and not errors
