"""Data out: tidy tables that another program reads back to the same figures, every chart, the case, one archive."""

import importlib
import inspect
import io
import json
import re
import zipfile
from pathlib import Path

import jsonschema
import pandas as pd
import pytest
from sizes import make_small

from coreset.assess import assess
from coreset.brief import every_chart as every_module
from coreset.brief.dataset import archive, dataset
from coreset.brief.detail import detail
from coreset.brief.every_chart import drawn, every
from coreset.case.digest import digest
from coreset.store.folder import read
from coreset.web.shelf import demo_folder

ROOT = Path(__file__).parents[1]
CHARTS = [
    path
    for room in ("coreset/*/charts.py", "coreset/*/charts/*.py")
    for path in ROOT.glob(room)
    if path.stem != "__init__"
]
CHART = re.compile(r"alt\.\w*Chart|Any")
"""What a function that draws says it returns."""


@pytest.fixture(scope="module")
def found():
    """The smaller invented plant, weighed with few draws."""
    case = read(demo_folder().parent / "tamarack_flat")
    return assess(case, resamples=500, draws=2_000, replications=40)


@pytest.fixture(scope="module")
def beside(found):
    """What the pages calculate beside it."""
    with pytest.MonkeyPatch.context() as patch:
        make_small(patch)
        return detail(found)


@pytest.fixture(scope="module")
def drawings(found, beside):
    """Every chart to be drawn."""
    return every(found, beside)


def one_each(drawings):
    """The last drawing of each function."""
    return tuple({drawing.draw: drawing for drawing in drawings}.values())


@pytest.fixture(scope="module")
def files(found, beside, drawings):
    """Every file by name, with some of the charts."""
    return dataset(found, drawn(one_each(drawings)[:4]), beside)


@pytest.fixture(scope="module")
def tables(files):
    """Every CSV as pandas reads it."""
    own = {name.removesuffix(".csv"): data for name, data in files.items() if name.endswith(".csv") and "/" not in name}
    return {name: pd.read_csv(io.BytesIO(data)) for name, data in own.items()}


def test_each_table_reads_back_to_the_figures(found, tables):
    """pandas reads each CSV; standards, handling and cash flow are the assessment's to the last digits of a reader."""
    assert tables["standards"].standard_s.tolist() == pytest.approx([r.standard_s for r in found.standards], rel=1e-14)
    rated = [row.destination.li for row in found.handling if row.destination.li is not None]
    assert rated
    assert tables["handling"].li_destination.dropna().tolist() == pytest.approx(rated, rel=1e-14)
    flow = tables["cash_flow"]
    assert flow.total.tolist() == pytest.approx([row.total for row in found.money.cash_flow], rel=1e-14)
    parts = sorted(found.money.cash_flow[1].parts)
    assert flow[parts].iloc[1].sum() == pytest.approx(found.money.cash_flow[1].total)


def test_the_tables_of_the_pages_are_there_too(found, tables):
    """Every study has its cycles; shares of a cycle (looked at in samples) and of a station make 1."""
    assert set(tables["cycle_times"].study) == {study.study for study in found.case.studies}
    for name, last in (("cycle_shares", "idle_share"), ("stations", "starved_share")):
        shares = tables[name].loc[:, "working_share":last]
        assert len(shares) and shares.sum(axis=1).tolist() == pytest.approx([1.0] * len(shares), abs=1e-3), name
    assert tables["ways"].npv_mean.tolist() == pytest.approx([way.npv.mean for way in found.money.alternatives])
    assert tables["ideal_effects"].li.gt(0).all() and tables["index_by_pace"]["index"].dropna().ge(0).all()


OF_A_PAGE = {"side_view.places_view", "series.judging"}
"""Charts of what was typed on a page and belongs to no case, and one in which a reading is picked to be corrected."""


def test_every_chart_function_is_in_the_list(drawings):
    """No function of a room's charts that returns a chart is left out, and no two drawings share a name."""
    source, charting = inspect.getsource(every_module), []
    for path in CHARTS:
        module = importlib.import_module(".".join(path.relative_to(ROOT).with_suffix("").parts))
        for said, function in inspect.getmembers(module, inspect.isfunction):
            own = function.__module__ == module.__name__ and not said.startswith("_")
            if own and CHART.match(str(function.__annotations__.get("return", ""))):
                charting.append(f"{path.parent.name if path.parent.name == 'money' else path.stem}.{said}")
    assert len(charting) > 25
    listed = (name for name in charting if name not in OF_A_PAGE)
    assert not [name for name in listed if not re.search(rf"\b{re.escape(name)}\b", source)]
    names = [drawing.name for drawing in drawings]
    assert len(set(names)) == len(names)


@pytest.mark.parametrize("share", [0.1, pytest.param(1.0, marks=pytest.mark.slow)])
def test_charts_are_there_as_svg_and_png(found, beside, drawings, share):
    """A share of the functions that draw: each comes in both forms, but for a chart whose figures are wanting."""
    asked = one_each(drawings)[: round(share * len(one_each(drawings)))]
    files = dataset(found, drawn(asked), beside)
    there = [drawing for drawing in asked if f"chart_{drawing.name}.svg" in files]
    assert len(asked) > 2 and {d.draw for d in asked} == {d.draw for d in there}
    for drawing in there:
        assert files[f"chart_{drawing.name}.svg"].startswith(b"<svg"), drawing.name
        assert files[f"chart_{drawing.name}.png"].startswith(b"\x89PNG"), drawing.name


def test_the_case_comes_back_from_the_archive(found, files, tmp_path):
    """The folder `case` of the archive is read to the same case."""
    with zipfile.ZipFile(io.BytesIO(archive(files))) as pack:
        pack.extractall(tmp_path, [name for name in pack.namelist() if name.startswith("case/")])
    assert digest(read(tmp_path / "case")) == digest(found.case)


def test_the_document_travels_with_its_schema(files):
    """The JSON in the data validates against the schema beside it."""
    jsonschema.validate(json.loads(files["assessment.json"]), json.loads(files["assessment.schema.json"]))


def test_the_archive_holds_the_files_and_is_the_same_each_time(files):
    """One ZIP, byte for byte the same for the same case."""
    packed = archive(files)
    assert packed == archive(files)
    with zipfile.ZipFile(io.BytesIO(packed)) as pack:
        assert pack.testzip() is None and set(pack.namelist()) == set(files)
