"""Published tables as test cases: one case a row, tolerance half a unit of the last printed digit."""

import csv
from importlib.resources import files
from types import SimpleNamespace

import pytest

from coreset.sources import table


def rows(path, computed=False):
    """Rows of a reference table as pytest parameters; rows from memory carry the mark `unverified`.

    Rows that are computed are no print: they come alone, and only where they are asked for.
    """
    found = table(path)
    return [
        pytest.param(
            SimpleNamespace(**row),
            id="-".join(list(row.values())[:4]).replace(" ", "_")[:60],
            marks=[pytest.mark.unverified] if found.row_status(row) == "memory" else [],
        )
        for row in found.rows
        if (found.row_status(row) == "computed") == computed
    ]


def conformance(method):
    """Rows of a conformance file as pytest parameters, computed ones with them; those from memory are `unverified`."""
    text = (files("coreset.reference") / "conformance" / f"{method}.csv").read_text(encoding="utf-8")
    return [
        pytest.param(
            SimpleNamespace(**row),
            id="-".join(list(row.values())[:5]).replace(" ", "_")[:60],
            marks=[pytest.mark.unverified] if row["status"] == "memory" else [],
        )
        for row in csv.DictReader(text.splitlines())
    ]


def tolerance(text):
    """Half a unit of the last printed digit."""
    decimals = len(text.partition(".")[2])
    return 0.5 * 10.0**-decimals


def as_printed(text):
    """The printed number, equal to anything that rounds to it."""
    return pytest.approx(float(text), abs=tolerance(text) * (1 + 1e-9) + 1e-12)
