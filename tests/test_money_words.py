"""Words, tables, charts and workings on money say what the decision holds, and no more."""

import math
from dataclasses import replace

import numpy as np
import pytest
from brief_case import Given
from plant import parts, plant, rates, screened

from coreset.case import Actual, Line, Range
from coreset.case.actual import FIRST, Item
from coreset.decision.headline import decision as sentence
from coreset.money import charts
from coreset.money.evaluate import weigh
from coreset.money.post_audit import audit, not_measured, shortfall
from coreset.money.report import post_audit, sentences, working
from coreset.money.report import tables as tables_money
from coreset.report import look
from coreset.text import catalogue, say

CASES = {
    "as it is": {},
    "hopeless": {"maintenance_per_year": Range.exactly(500_000.0)},
    "sure": {"setter_price": Range.exactly(10_000.0), "lease_per_year": 9_000, "second_hand_price": 2_000.0},
    "taxed": {
        "tax_rate": 0.25,
        "depreciation": "macrs7",
        "li_limit": 1.0,
        "injury_cost_per_year": Range.exactly(900.0),
    },
}


@pytest.fixture(scope="module", params=CASES)
def decision(request):
    """Decisions of every kind."""
    case, *others = parts(**CASES[request.param])
    case = replace(case, setter=replace(case.setter, claimed_cycle_s=29.0))
    return weigh(case, *others, draws=3_000)


def test_sentences_have_no_blank_left(decision):
    """Every sentence and table is filled in; none shows a brace, nan, inf or a code."""
    tables = [
        tables_money.costs,
        tables_money.sets,
        tables_money.studies,
        tables_money.scenarios,
        tables_money.inputs,
        tables_money.flow,
    ]
    cells = [f"{key} {value}" for build in tables for row in build(decision) for key, value in row.items()]
    words = [
        *sentences.sentences(decision),
        *sentences.remarks(decision),
        *sentences.margins(decision),
        sentences.floor(decision),
        *cells,
    ]
    for text in words:
        assert not {"{", "}"} & set(text), text
        assert not {"nan", "inf", "None"} & set(text.replace(",", " ").split()), text


def test_charts_state_a_finding_and_have_words(decision):
    """Each chart has a title, a text alternative, and figures that can be drawn."""
    for build in (
        charts.cash_flow,
        charts.payback_chance,
        charts.waterfall,
        charts.tornado,
        charts.run_length,
        charts.ways,
    ):
        spec = look.dressed(build(decision))
        assert spec["title"] and len(spec["description"]) > 40
        assert "NaN" not in str(spec) and "inf," not in str(spec)


def test_workings_give_the_figures(decision):
    """The lines of working carry the very figures of the decision."""
    lines = {line.what: line for line in working.workings(decision)}
    assert lines["net present value"].value == decision.npv_at_means
    assert lines["initial investment"].value == pytest.approx(decision.first_cost)
    for line in lines.values():
        assert line.formula and line.numbers and math.isfinite(line.value)
    payback = lines.get("simple payback, interpolated")
    assert (payback is None) == (not math.isfinite(decision.payback_years))
    if payback:
        last, rest = payback.numbers.replace("\N{NO-BREAK SPACE}", "").split(" + ")
        short, gain = rest.split(" / ")
        assert int(last) + float(short) / float(gain) == pytest.approx(decision.payback_years, abs=1e-3)


WORDS = {
    "pays": "Buy the setter for HUB and BOX only subject to proof",
    "open": "Not yet decided",
    "does_not_pay": "Do not buy the setter",
}


def test_the_working_of_a_run_is_near_the_draws():
    """The pocket-calculator run length lies in the interval of the draws where hours are neither sold nor overtime."""
    line = Line(shifts_per_day=3, days_per_year=300, saved_hours_used=False)
    case, *others = parts(plant(line=line))
    found = weigh(case, *others, draws=2_000)
    lines = [line for line in working.workings(found) if line.symbol == "Q"]
    rows = {row.pattern: row for row in found.patterns}
    assert {"HUB", "BOX"} <= {line.what.split()[4] for line in lines}
    for line in lines:
        row = rows[line.what.split()[4]]
        assert row.break_even_run_low <= line.value <= row.break_even_run_high


@pytest.mark.parametrize("price, likeliest", [(5_000, "pays"), (190_000, "open"), (900_000, "does_not_pay")])
def test_words_are_never_stronger_than_the_numbers(price, likeliest):
    """The verb of the sentence is the strongest that the chance of a positive NPV bears."""
    case, *others = parts(setter_price=Range.exactly(float(price)))
    found = weigh(case, *others, draws=3_000)
    assert found.verdict == likeliest
    job = Given(money=found, case=case, handling=(), jobs=(), pooled={}, standards=())
    assert sentence(job).startswith(WORDS[likeliest])
    assert (found.verdict == "pays") == (np.mean(found.npv_draws > 0) >= 0.95)


def test_audit_finds_what_fell_short():
    """Slower core setter cycles than promised: no actual yet, so nothing is measured; the studies imply less."""
    from plant import SECONDS

    line = Line(shifts_per_day=3, days_per_year=300, saved_hours_used=False)
    case, times, cycles, molds, tasks = parts(plant(line=line))
    slower = rates({key: s * (1.2 if key[1] == "core setter" else 1.0) for key, s in SECONDS.items()})
    before = weigh(case, times, cycles, molds, tasks, draws=3_000)
    after = weigh(case, times, cycles, slower, tasks, draws=3_000)
    rows = audit(before, after)
    assert shortfall(rows) is None and post_audit.answer(rows, "USD").startswith("Nothing has been measured yet")
    implied, promised = (row.achieved for row in rows if row.item == "saving"), before.yearly_saving.mean
    assert next(implied) < promised
    third = paid(1, "labour", 0.3 * before.cash_flow[1].parts["labour"])
    assert "falls short" in post_audit.answer(audit(before, before, [third]), "USD")
    assert "labor" in post_audit.answer(audit(before, before, [third]), "USD")
    full = paid(1, "labour", before.cash_flow[1].parts["labour"])
    assert "meets its plan" in post_audit.answer(audit(before, before, [full]), "USD")
    assert len(post_audit.table(rows, "USD")) + len(post_audit.figures(rows, "USD")) == len(rows)


def paid(year, item, amount):
    """One amount after the purchase."""
    return Actual(year=year, item=item, amount=float(amount), origin="invoice 7")


def test_audit_takes_what_was_paid_and_says_what_is_missing():
    """A setter 40,000 dearer and twice the maintenance: both go on as measured; the rest is named."""
    case, *others = parts()
    found = weigh(case, *others, draws=2_000)
    promised = found.cash_flow[0].parts["setter"]
    spent = (
        paid(0, "setter", -promised + 30_000),
        paid(0, "setter", 10_000),
        paid(1, "maintenance", 14_000),
        paid(1, "labour", 30_000),
    )
    rows = audit(found, found, spent)
    by = {(row.year, row.item): row for row in rows}
    assert by[0, "setter"].difference == pytest.approx(-40_000) and by[0, "setter"].basis == "entered"
    assert by[1, "labour"].achieved == 30_000 and by[1, "maintenance"].achieved == -14_000
    parts_1, rate = found.cash_flow[1].parts, 1 + found.discount_rate
    goes_on = {"maintenance": -14_000 / parts_1["maintenance"], "labour": 30_000 / parts_1["labour"]}
    lost = 40_000 + sum(
        (1 - share) * row.parts[item] / rate**row.year for row in found.cash_flow[1:] for item, share in goes_on.items()
    )
    assert by[None, "npv"].difference == pytest.approx(-lost)
    assert by[0, "measured"].difference == pytest.approx(-40_000)
    assert by[None, "payback"].achieved > found.payback_years
    left = not_measured(rows)
    assert "masks" in left[0] and "electricity" in left[1] and "labour" not in left[1] and 2 not in left
    words = post_audit.not_entered(rows)
    assert (
        words[0].startswith("Net present value and payback are forecasts")
        and words[1].startswith("Year 0, not measured")
        and "core masks" in words[1]
    )
    table = post_audit.table(rows, "USD")
    assert {row[say("money.audit.basis")].partition(" imply ")[0] for row in table} == {
        "entered",
        "not measured; the studies",
        "not measured",
        "",
    }
    assert len(post_audit.entries(spent, "USD")) == 4


def test_items_that_can_be_entered_are_those_of_the_cash_flow():
    """The items of actuals.csv are the words of the cash flow, no more and no fewer."""
    from typing import get_args

    from coreset.money.cash_flow import FIRST_ITEMS, NAMES, YEARLY_ITEMS

    assert set(get_args(Item)) == {NAMES.get(key, key) for key in (*YEARLY_ITEMS, *FIRST_ITEMS)}
    assert set(FIRST) == {NAMES.get(key, key) for key in FIRST_ITEMS}
    assert all(f"money.item.{item}" in catalogue() for item in get_args(Item))


def test_cheapest_step_is_said_whether_the_setter_pays_or_not():
    """The sentence on the cheapest handling step stands in both decisions."""
    for price in (5_000.0, 900_000.0):
        case, *others = parts(setter_price=Range.exactly(price))
        found = weigh(case, *others[:-1], screened(), draws=2_000)
        assert any("hand and rack" in text and "most cheaply" in text for text in sentences.sentences(found))


def test_the_overtime_limit_is_shown():
    """The sentence on hours names the limit, 0 where none was entered, and that it holds for any method."""
    for limit in (0.0, 120.0):
        words = " ".join(sentences.sentences(weigh(*parts(overtime_limit_h_per_year=limit), draws=60)))
        assert f"scheduled (overtime limit {limit:.0f} h/year, under any method)" in words
