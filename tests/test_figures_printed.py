"""Printed lines: each figure of the cash flow, redone from the digits that are printed, down to the inputs."""

import math
import re

import pytest
from figures_cases import DEMO, SIZE, demo_inputs, redone
from figures_workbook import model_values

from coreset.figures.printed import line
from coreset.money.figures import MODEL

CODES = DEMO["patterns"]


@pytest.mark.parametrize("tax", [False, True], ids=["untaxed", "taxed"])
@pytest.mark.parametrize("year", [1, 2, 5, 10])
def test_every_line_is_redone_from_its_printed_digits(year, tax):
    """Each figure, for each pattern, to 1e-4 of itself or of the largest number in the line where terms cancel."""
    values, count = model_values(demo_inputs(tax=tax), SIZE), 0
    for key in MODEL.figures:
        if key == "irr":
            continue
        for pattern in range(SIZE.patterns if "p" in MODEL.axes[key] else 1):
            told = line(MODEL, key, values, codes=CODES, years=SIZE.years, pattern=pattern, year=year)
            sizes = [abs(float(n.replace(",", ""))) for n in re.findall(r"\d[\d,]*\.?\d*", told.numbers)]
            got = redone(told.numbers, CODES)
            if math.isinf(told.value):
                assert math.isinf(got)
                continue
            assert got == pytest.approx(told.value, rel=1e-4, abs=2e-6 * max([*sizes, 1e-6])), (key, told)
            count += 1
    assert count > 150


def test_labor_is_walked_down_to_inputs():
    """From the labor of year 1 every name leads to another line or to an input; hours, crew, pay and share are met."""
    met, stack = set(), ["labour"]
    while stack:
        key = stack.pop()
        if key not in met:
            met.add(key)
            stack += MODEL.needs(key)
    entered = met & set(MODEL.inputs)
    assert {"rate_today", "rate_proposed", "downtime_share", "line_crew", "operators_today", "wage_per_h"} <= entered
    assert {"employer_factor", "hours_saved_paid", "molds_per_year", "wage_inflation"} <= entered
    assert entered == set(MODEL.behind("labour"))


def test_a_line_reads_as_its_formula():
    """Names with blanks, numbers with commas, only the brackets needed."""
    values = model_values(demo_inputs(), SIZE)
    told = line(MODEL, "pay", values, codes=CODES, years=SIZE.years)
    assert told.formula == "wage per h · employer factor · shift factor"
    assert told.numbers == "23.6586 · 1.42436 · 1"
    told = line(MODEL, "line_hours_today", values, codes=CODES, years=SIZE.years, pattern=0)
    assert told.numbers == "42,005.6 · 0.0194904"
    told = line(MODEL, "hours_saved_at_rate", values, codes=CODES, years=SIZE.years, pattern=0)
    assert told.formula == "on method · volume · (mold hours today − mold hours at rate)"
