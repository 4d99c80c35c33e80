"""Data out: tidy tables that another program reads back to the same figures, charts, one archive."""

import io
import json
import zipfile

import jsonschema
import pandas as pd
import pytest
from brief_case import assessment

from coreset.brief.dataset import archive, dataset
from coreset.charts.pictures import pictures


@pytest.fixture(scope="module")
def files():
    """Every file by name."""
    return dataset(assessment(), pictures(assessment()))


def test_each_table_reads_back_to_the_figures(files):
    """pandas reads each CSV; standards, handling and cash flow are the assessment's to the last digits of a reader."""
    read = {name: pd.read_csv(io.BytesIO(data)) for name, data in files.items() if name.endswith(".csv")}
    assert {"standards.csv", "handling.csv", "line.csv", "cash_flow.csv", "patterns.csv"} <= set(read)
    found = assessment()
    assert read["standards.csv"].standard_s.tolist() == pytest.approx(
        [row.standard_s for row in found.standards], rel=1e-14
    )
    assert read["handling.csv"].li_destination.tolist() == pytest.approx(
        [row.destination.li for row in found.handling], rel=1e-14
    )
    assert read["cash_flow.csv"].total.tolist() == pytest.approx(
        [row.total for row in found.money.cash_flow], rel=1e-14
    )
    parts = set(found.money.cash_flow[1].parts)
    assert read["cash_flow.csv"][sorted(parts)].iloc[1].sum() == pytest.approx(found.money.cash_flow[1].total)


def test_the_document_travels_with_its_schema(files):
    """The JSON in the data validates against the schema beside it."""
    jsonschema.validate(json.loads(files["assessment.json"]), json.loads(files["assessment.schema.json"]))


def test_every_chart_is_there_as_svg_and_png(files):
    """Each chart of the brief comes in both forms."""
    for name in pictures(assessment()):
        assert files[f"chart_{name}.svg"].startswith(b"<svg") and files[f"chart_{name}.png"].startswith(b"\x89PNG")


def test_the_archive_holds_the_files_and_is_the_same_each_time(files):
    """One ZIP, byte for byte the same for the same case."""
    packed = archive(files)
    assert packed == archive(files)
    with zipfile.ZipFile(io.BytesIO(packed)) as pack:
        assert pack.testzip() is None and set(pack.namelist()) == set(files)
