"""The base case: every figure of year 1 redone from its printed line down to the inputs, and what rests on it."""

import io
import json
import math
import re
from dataclasses import replace
from functools import cache

import numpy as np
import openpyxl
import pytest
from figures_cases import redone

from coreset.assess import assess
from coreset.brief.annex import blocks
from coreset.brief.content import content
from coreset.brief.document import document
from coreset.brief.main_working import main_working
from coreset.brief.workbook import workbook
from coreset.case import Option, Range
from coreset.decision.headline import figures
from coreset.figures.words import words
from coreset.money.cash_flow import FIRST_ITEMS, YEARLY_ITEMS
from coreset.money.discount import npv
from coreset.money.figures import MODEL
from coreset.money.report.base_figures import baseline, lines, shown_unit
from coreset.money.sensitivity import SensitivityInput, at
from coreset.report.numbers import borne
from coreset.store.folder import read
from coreset.web.shelf import demo_folder
from tests.test_decision import changed

BUILT_IN = {"year", "period", "years", "never"}


@cache
def found():
    """The demo, few runs."""
    return assess(read(demo_folder()), resamples=500, draws=4_000, replications=40)


def test_each_item_of_year_1_is_walked_to_inputs_and_redone():
    """In the long form: every name that a printed formula holds has a line of its own or is a listed input."""
    tables = {block.text: block.rows[1:] for block in blocks(found()) if block.rows}
    printed = {row[0].rsplit(", ", 1)[-1] for row in next(r for t, r in tables.items() if t.startswith("Base case"))}
    listed = {row[0] for row in tables["Inputs of the base case"]}
    made, codes = lines(found().money), found().money.base.patterns
    stack, walked = [*YEARLY_ITEMS, *FIRST_ITEMS], set()
    while stack:
        key = stack.pop()
        if key in walked or key in BUILT_IN:
            continue
        walked.add(key)
        if key in MODEL.inputs:
            assert MODEL.inputs[key].label in listed or MODEL.inputs[key].axes in {"y", "py", "pq"}, key
            continue
        assert key in printed, key
        formula = next(line.formula for line in made if line.symbol == key)
        assert formula == words(MODEL.trees[key])[0]
        stack += MODEL.needs(key)
    assert {"hours_saved_paid", "line_crew", "wage_per_h", "rate_today"} <= walked
    for line in made:
        sizes = [abs(float(n.replace(",", ""))) for n in re.findall(r"\d[\d,]*\.?\d*", line.numbers)]
        close = pytest.approx(line.value, rel=1e-4, abs=2e-6 * max([*sizes, 1e-6]))
        assert redone(line.numbers, codes) == close, line


def test_figures_and_inputs_leave_as_json():
    """All figures with formula, inputs and status; NPV from its own flow; an input without source weakens it."""
    money = json.loads(json.dumps(document(found())["money"]))
    figures = {row["key"]: row for row in money["figures"]}
    assert list(figures) == list(MODEL.figures)
    rate = found().case.money.discount_rate
    assert npv(np.array([figures["project_flow"]["value"]]), rate)[0] == pytest.approx(figures["npv"]["value"])
    assert figures["npv"]["value"] == money["npv_at_means"]
    assert figures["labour"]["status"] == "no_source" and figures["line_hours_today"]["inputs"]
    assert len(figures["labour"]["value"]) == money["years"]
    assert list(figures["line_hours_today"]["value"]) == [p.pattern for p in found().case.patterns]
    price = next(row for row in money["inputs"] if row["key"] == "setter_price")
    entered = found().case.money.setter_price
    assert (price["low"], price["likely"], price["high"]) == (entered.low, entered.likely, entered.high)
    assert price["status"] == "sourced" and price["value"] > price["likely"]


def test_break_evens_bring_the_base_case_to_0():
    """Each row put in place of its input leaves no NPV (mask life jumps over 0); of the discount rate it is the IRR."""
    base, rows = found().money.base, {(row.key, row.pattern): row for row in found().money.break_evens}
    known = [row for row in rows.values() if math.isfinite(row.break_even) and row.key != "mask_life_molds"]
    entries = [SensitivityInput(row.key, base.patterns.index(row.pattern) if row.pattern else None) for row in known]
    left = at(MODEL, base.inputs, base.size, entries, [row.break_even for row in known], ["npv"])["npv"]
    assert len(known) > 15 and np.abs(left).max() < 1.0
    assert rows["discount_rate", ""].break_even == pytest.approx(base.number("irr"), abs=1e-9)
    assert 0 < rows["hours_saved_paid", ""].break_even < 1
    assert rows["hours_saved_paid", ""].high == 1.0, "no more than all of the hours saved can be paid"
    price = found().money.highest_price
    assert price.for_npv == pytest.approx(rows["setter_price", ""].break_even, rel=1e-9)


def test_the_gap_to_the_runs_is_named_item_by_item():
    """The items' differences add up to that of the NPV; the sentence names the largest."""
    money = found().money
    assert sum(money.gap.values()) == pytest.approx(money.npv - money.npv_at_means, rel=1e-6, abs=1e-3)
    assert "additional molds sold" in baseline(money)


def test_every_output_names_the_gap_in_the_same_words():
    """Brief beside its working (so PDF and HTML, short and long), workbook; the base case in the figure of page one.

    The page of the business case takes the sentence from the same function. What the sentence says of the difference
    is that of its two values, each rounded as printed.
    """
    a, said = found(), baseline(found().money)
    for full in (False, True):
        blocks_ = content(a, {}, full=full)
        texts = [block.text for block in (*blocks_.one, *blocks_.two, *blocks_.annex)]
        assert texts.count(said) == 1
        at = texts.index(said)
        assert texts[at - 1].startswith("Working of the main figures")
    written = openpyxl.load_workbook(io.BytesIO(workbook(a)))["Results"]
    assert said in [cell.value for row in written.iter_rows() for cell in row]
    base, mean, apart = (int("".join(n.split())) for n in re.findall(r"\d[\d\s]*(?= USD)", said)[:3])
    assert base == pytest.approx(a.money.npv_at_means, rel=5e-3) and mean == pytest.approx(a.money.npv, rel=5e-3)
    assert apart == pytest.approx(abs(a.money.npv - a.money.npv_at_means), rel=5e-2)
    worth = next(figure for figure in figures(a) if figure.what == "Net present value")
    spread = a.money.npv_spread
    assert worth.value == f"{borne(a.money.npv_at_means, spread.low, spread.high)} USD"
    assert worth.interval.endswith(f"mean of the runs {borne(a.money.npv, spread.low, spread.high)}")


def test_the_figure_of_an_option_that_is_no_purchase_is_its_own_base_case():
    """An offer that the verdict prefers is headed by its own base case, not by that of the purchase."""
    a = changed(options=(Option(option="offer B", setter_price=Range.exactly(120_000.0)),))
    assert a.verdict.option.name == "offer B"
    worth = a.verdict.option.npv
    assert figures(a)[3].value == f"{borne(a.verdict.option.base_npv, worth.low, worth.high)} USD"
    same = replace(found().money, npv=found().money.npv_at_means)
    assert "difference" not in baseline(same)


def test_the_main_figures_of_page_two_are_redone_from_what_is_printed():
    """Sums of whole amounts to half a unit a term, the product of six digits to the unit, the discounted flows."""
    rows = {row[0]: row[1:] for row in main_working(found())}
    assert len(rows) == 4
    for what, (terms, value) in rows.items():
        printed = float(re.sub(r"[^\d.−]", "", value.split("USD")[0]).replace("−", "-"))
        parts = re.sub(r"(?<=\d)\s(?=\d)", "", terms).replace("− ", "−").replace("−", "-")
        numbers = [float(n) for n in re.findall(r"-?\d+(?:\.\d+)?(?![\d^])", re.sub(r"/[\d.]+\^\d+", "", parts))]
        signs = [-1 if f"-{word}" in parts else 1 for word in re.findall(r"([a-z][^\d+·-]*) \d", parts)] or [1]
        if "·" in terms:
            assert numbers[0] * numbers[1] == pytest.approx(printed, abs=1.0)
        elif "/1.09^1 " in parts:
            made = sum(flow / 1.09**year for year, flow in enumerate(_flows(parts)))
            assert made == pytest.approx(printed, abs=0.5 * 11)
        else:
            made = sum(sign * abs(n) for sign, n in zip(signs, numbers, strict=True))
            assert made == pytest.approx(printed, abs=0.5 * len(numbers) + 0.5), what
            assert re.match(r"[a-z]", terms), "each term has its name"


def _flows(parts):
    """Signed amounts of the discounted flows as printed, now first."""
    return [float(sign + n) for sign, n in re.findall(r"([+-]?) ?(\d+)(?:/[\d.]+\^\d+)?(?= |$)", parts)]


def test_units_are_printed_as_words():
    """A declared unit in the signs of print."""
    assert shown_unit("hour*person/year", "USD") == "hour·person/year"
