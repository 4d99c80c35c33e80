"""The look of an open page: charts turn dark and light with it, without a reload."""

import pytest
from axe import violations
from browsers import settled

from coreset.report import look

pytestmark = pytest.mark.browser
COLOURS = """() => [...document.querySelectorAll('.stVegaLiteChart svg text')].filter(node => node.textContent.trim())
  .map(node => getComputedStyle(node).fill)"""


def rgb(colour):
    """A colour as the browser tells it."""
    return f"rgb({int(colour[1:3], 16)}, {int(colour[3:5], 16)}, {int(colour[5:7], 16)})"


def test_charts_turn_with_the_scheme_of_an_open_page(app, page):
    """The words of every chart are in the ink of the page as it is now, after each turn."""
    server, _ = app
    page.emulate_media(color_scheme="light")
    page.goto(f"{server.url}/brief?case=ostrander_bend")
    settled(page)
    page.locator(".stVegaLiteChart svg text").first.wait_for()
    light = {rgb(look.INK), rgb(look.MUTED)}
    dark = {rgb(look.DARK[look.INK]), rgb(look.DARK[look.MUTED])}
    for scheme, wanted in (("light", light), ("dark", dark), ("light", light)):
        page.emulate_media(color_scheme=scheme)
        page.wait_for_function(
            "want => getComputedStyle(document.querySelector('.stApp')).colorScheme === want", arg=scheme
        )
        assert set(page.evaluate(COLOURS)) == wanted


def test_help_leads_to_its_word_of_the_glossary(app, page):
    """The help of a field on Facts is a sentence with a link, which opens the glossary at that word."""
    server, _ = app
    page.goto(f"{server.url}/facts?case=ostrander_bend&place=lifts")
    settled(page)
    page.get_by_text("One row, with an explanation of each field").click()
    page.get_by_role("tab", name="Origin", exact=True).click()
    page.get_by_role("spinbutton", name="H at the origin, mid-ankles to hands, cm, required").wait_for()
    page.get_by_role("button", name="Help for H at the origin").hover()
    link = page.get_by_role("link", name="Glossary: Horizontal distance")
    link.wait_for()
    with page.expect_popup() as popup:
        link.click()
    guide = popup.value
    settled(guide)
    assert "case=ostrander_bend" in guide.url and guide.url.endswith("#reach")
    word = guide.get_by_role("heading", name="Horizontal distance", exact=True)
    word.wait_for()
    guide.wait_for_function(
        "node => { const box = node.getBoundingClientRect(); return box.top >= 0 && box.bottom < innerHeight; }",
        arg=word.element_handle(),
    )
    guide.close()


def test_the_field_of_a_file_is_a_group_with_its_name(app, page):
    """It has a name and takes the focus, so it is no mere picture (ARIA 1.2, presentational roles conflict)."""
    server, _ = app
    page.goto(f"{server.url}/timing?case=ostrander_bend&view=library")
    settled(page)
    field = page.get_by_role("group", name="Picture of the moment that ends it")
    field.first.wait_for()
    assert page.locator("[data-testid=stFileUploaderDropzone][role=presentation]").count() == 0
    assert not [one for one in violations(page) if one[0] == "presentation-role-conflict"]
