"""Every chart of a case from the page, in a real browser: drawn at a first press, taken with a second."""

import io
import xml.etree.ElementTree as ElementTree
import zipfile
from dataclasses import replace
from pathlib import Path

import pytest
from browsers import settled

from coreset.assess import assess
from coreset.brief.detail import detail
from coreset.brief.every_chart import every
from coreset.case import Reading, Readings
from coreset.study.report.practice_case import practice_case

pytestmark = pytest.mark.browser
SLOW_MS = 120_000
CYCLES = 12
PNG = b"\x89PNG\r\n\x1a\n"
SVG = "{http://www.w3.org/2000/svg}"


def timed():
    """The practice case with twelve cycles on the watch: few charts, each for real."""
    case, rows, clock = practice_case(), [], 0.0
    study = case.studies[0]
    for cycle in range(1, CYCLES + 1):
        for at, element in enumerate(study.elements):
            clock += 3.0 + at + 0.1 * (cycle % 4)
            rows.append(
                Reading(
                    seq=len(rows) + 1,
                    cycle=cycle,
                    element=element.name,
                    reading_s=clock,
                    rating=100.0,
                    mark="",
                    note="",
                )
            )
    taken = replace(study, readings=Readings.of(rows), taken_with="watch")
    return replace(case, studies=(taken,))


def test_every_chart_is_taken_along_as_svg_and_png(app, page):
    """The archive opens and holds each chart of the list twice: a well-formed SVG and a PNG."""
    server, book = app
    page.context.set_default_timeout(SLOW_MS)
    book.keep("charts", timed(), who="T1", why="test")
    page.goto(f"{server.url}/brief?case=charts")
    settled(page, SLOW_MS)
    page.get_by_text("More files", exact=True).click()
    page.get_by_role("button", name="Draw every chart").click()
    button = page.get_by_role("button", name="Every chart (ZIP)")
    button.wait_for()
    settled(page, SLOW_MS)
    with page.expect_download(timeout=SLOW_MS) as download:
        button.click()
    assert download.value.suggested_filename == "charts_charts.zip"
    found = assess(timed(), resamples=200, draws=500, replications=20)
    names = {one.name for one in every(found, detail(found)) if one.draw(*one.parts) is not None}
    with zipfile.ZipFile(io.BytesIO(Path(download.value.path()).read_bytes())) as pack:
        assert pack.testzip() is None
        there = {name.removeprefix("chart_").removesuffix(".svg") for name in pack.namelist() if name.endswith(".svg")}
        assert len(there) > 5 and there == names
        for name in there:
            assert ElementTree.fromstring(pack.read(f"chart_{name}.svg")).tag == f"{SVG}svg", name
            assert pack.read(f"chart_{name}.png").startswith(PNG), name
        assert len(pack.namelist()) == 2 * len(there)
