"""Pages on paper: black on white from either theme, nothing to press, folds open, charts whole, nothing cut off."""

import io
import shutil
import subprocess

import pikepdf
import pytest
from browsers import settled
from lacking import need

from coreset.assess import assess
from coreset.brief.pictures import pictures
from coreset.brief.rendered import html
from coreset.store.folder import read
from coreset.web.shelf import demo_folder

A4_PX = 794
"""Width of A4 at 96 pixels an inch."""
SEEN = """() => {
  const shown = (e) => { const s = getComputedStyle(e), r = e.getBoundingClientRect();
    return s.display !== 'none' && s.visibility !== 'hidden' && r.width * r.height > 0; };
  const size = (e) => parseFloat(getComputedStyle(e).fontSize);
  const all = (what) => [...document.querySelectorAll(what)];
  const main = document.querySelector('.stMain');
  return {
    pressed: all('header, .stButton, .stDownloadButton, .stFormSubmitButton, .stFileUploader, .st-key-who input')
      .filter(shown).length,
    small: Math.min(...all('.stMain table :is(td, th)').filter(shown).map(size)),
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
    assert seen["small"] >= 9
    assert seen["folds"] == seen["open"] > 0
    assert 1 < len(pikepdf.open(io.BytesIO(page.pdf(format="A4"))).pages) <= 20
    context.close()


PAPER = {"A4": (680, 1025), "Letter": (702, 958)}
"""What the margins leave of a sheet, in pixels."""


@pytest.mark.parametrize("full", [False, True])
@pytest.mark.parametrize("name", ["ostrander_bend", "tamarack_flat"])
def test_the_brief_as_a_web_page_prints_as_the_pdf_does(chromium, tmp_path, name, full):
    """Two pages in short, on both papers; nothing beyond the margin; no heading at the foot of a page."""
    need(shutil.which("pdftotext"), "NO PDFTOTEXT: the printed pages were not read; apt-get install poppler-utils")
    found = assess(read(demo_folder().parent / name), draws=2_000, resamples=500, replications=40)
    path, sheet = tmp_path / "brief.html", tmp_path / "brief.pdf"
    path.write_text(html(found, pictures(found), full=full), encoding="utf-8")
    page = chromium.new_page()
    page.goto(path.as_uri())
    page.emulate_media(media="print")
    heads = {" ".join(head.split()) for head in page.locator("h2, h3").all_inner_texts()}
    assert len(heads) >= 6
    for paper, (width, height) in PAPER.items():
        page.set_viewport_size({"width": width, "height": height})
        assert page.evaluate("document.documentElement.scrollWidth") <= width
        sheet.write_bytes(page.pdf(format=paper))
        text = subprocess.run(["pdftotext", "-layout", sheet, "-"], capture_output=True, text=True, check=True).stdout
        printed = [[" ".join(line.split()) for line in one.splitlines() if line.strip()] for one in text.split("\f")]
        lasts = [lines[-1] for lines in printed if lines]
        assert len(lasts) > 8 if full else len(lasts) == 2, paper
        assert not heads & set(lasts)
    page.close()
