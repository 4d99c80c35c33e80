"""Pages on paper: black on white from either theme, nothing to press, folds open, charts whole, nothing cut off."""

import io

import pikepdf
import pytest
from browsers import settled

A4_PX = 794
"""Width of A4 at 96 pixels an inch."""
SEEN = """() => {
  const shown = (e) => { const s = getComputedStyle(e), r = e.getBoundingClientRect();
    return s.display !== 'none' && s.visibility !== 'hidden' && r.width * r.height > 0; };
  const all = (what) => [...document.querySelectorAll(what)];
  const main = document.querySelector('.stMain');
  return {
    pressed: all('header, .stButton, .stDownloadButton, .stFormSubmitButton, .stFileUploader').filter(shown).length,
    paper: getComputedStyle(document.querySelector('.stApp')).backgroundColor,
    ink: getComputedStyle(document.querySelector('h1')).color,
    charts: all('.stVegaLiteChart svg text').filter(shown).map((e) => getComputedStyle(e).fill),
    folds: all('[data-testid=stExpander] table').length,
    open: all('[data-testid=stExpander] table').filter(shown).length,
    split: all('.stVegaLiteChart').filter((e) => getComputedStyle(e).breakInside !== 'avoid').length,
    wide: main.scrollWidth - main.clientWidth,
  };
}"""


def darkness(color):
    """Mean of the three parts of a colour, 0 black to 255 white."""
    return sum(float(part) for part in color.partition("(")[2].rstrip(")").split(",")[:3]) / 3


@pytest.mark.parametrize("scheme", ["light", "dark"])
def test_a_page_prints_as_a_sheet(app, chromium, scheme):
    """Payback, with charts, tables and folds, from both themes."""
    context = chromium.new_context(viewport={"width": A4_PX, "height": 1123}, color_scheme=scheme)
    context.set_default_timeout(60_000)
    page = context.new_page()
    page.goto(f"{app[0].url}/payback")
    settled(page, 120_000)
    page.locator(".stVegaLiteChart svg text").first.wait_for()
    page.emulate_media(media="print", color_scheme=scheme)
    seen = page.evaluate(SEEN)
    assert seen["pressed"] == 0 and seen["split"] == 0 and seen["wide"] <= 1
    assert darkness(seen["paper"]) == 255 and darkness(seen["ink"]) == 0
    assert seen["charts"] and max(darkness(color) for color in seen["charts"]) < 200
    assert seen["folds"] == seen["open"] > 0
    assert 1 < len(pikepdf.open(io.BytesIO(page.pdf(format="A4"))).pages) < 20
    context.close()
