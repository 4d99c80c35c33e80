"""The decision's own sums: hours and yearly costs on paper, limits at their edge, the share done, another currency."""

from dataclasses import fields, replace

import numpy as np
import numpy_financial as npf
import pytest
from plant import RUNS, SECONDS, VOLUME, mold_cycles, parts, plant, rates, screened, standards
from test_money_ways import FULL, exactly, timed

from coreset.case import Method, Range
from coreset.money import evaluate, pattern_choice, weighed
from coreset.money.cash_flow import cash_flow
from coreset.money.discount import npv
from coreset.money.evaluate import weigh
from coreset.money.figures import MODEL
from coreset.money.simulation_inputs import draw
from coreset.money.year_plan import plan, ways


def known(draws=40, *, operators=(1, 1), **money):
    """The decision on known figures; three shifts, the later two at 10 % more pay."""
    case = exactly(plant(line=FULL))
    crews = dict(zip(("manual", "core setter"), operators, strict=True))
    methods = tuple(replace(m, operators=crews.get(m.method, 1)) for m in case.methods)
    case = replace(case, methods=methods, money=replace(case.money, shift_premium=0.1, **money))
    return case, weigh(case, *parts(case)[1:3], timed(SECONDS), parts(case)[4], draws=draws)


PAY = 23 * 1.42 * (1 + 0.1 * 2 / 3)


@pytest.mark.parametrize("operators", [(1, 1), (2, 3)])
def test_hours_and_yearly_costs_on_paper(operators):
    """Line hours of today's volume, at the pay of crew and operators; less the payment that is worth the purchase."""
    _, found = known(operators=operators, years=7)
    hours = sum(VOLUME[code] * SECONDS[code, "manual"] for code in VOLUME) / 3600
    assert found.hours_needed == pytest.approx(hours) and found.hours_available == 3 * 300 * 8
    today = hours * PAY * (2 + operators[0])
    assert found.equivalent_annual_cost_baseline == pytest.approx(today)
    saved = npf.pmt(0.10, 7, -found.npv)
    assert found.equivalent_annual_cost_candidate == pytest.approx(today - saved)
    assert found.grid.change_cost == pytest.approx(12 / 60 * (2 + operators[1]) * PAY)
    assert found.npv == found.alternatives[0].npv.mean != found.alternatives[1].npv.mean
    assert found.alternatives[0].payback_years == found.payback_years
    assert found.npv_at_means == pytest.approx(found.npv), "known figures are their means"


def test_sets_stand_by_the_worth_of_the_best():
    """More draws than the sets are compared on: the best has the worth told, the others differ as compared."""
    case, *others = parts()
    found = weigh(case, *others, draws=6_000)
    sample, facts = draw(case, others[2], (), draws=6_000, seed=case.seed), plan(case, others[2])
    way, part = ways(case, others[2])[0], sample.rows(0, pattern_choice.DRAWS)

    def worth(row):
        chosen = np.array([[float(code in row.patterns)] for code in facts.patterns])
        return npv(cash_flow(part, facts, way, case.money, chosen).total, case.money.discount_rate).mean()

    compared = [worth(row) for row in found.sets]
    assert found.sets[0].npv == pytest.approx(found.npv_at_means) and compared[0] != pytest.approx(found.npv, rel=1e-6)
    assert [row.npv - found.npv_at_means for row in found.sets] == pytest.approx(
        [w - compared[0] for w in compared], abs=1e-4
    )


def test_a_payback_at_the_limit_is_within_it():
    """The plant's limit set at the payback found, and a little less: sure, and never."""
    _, found = known()
    for share, chance in ((1.0, 1.0), (0.999, 0.0)):
        _, again = known(payback_limit_years=max(found.payback_draws) * share)
        assert again.chance_payback == again.alternatives[0].chance_payback == chance


def test_what_changes_nothing_does_not_pay():
    """A method that costs nothing and is as fast as today is worth nothing in every draw: not more, so never sure."""
    case = plant()
    free = replace(case, methods=(*case.methods, Method(method="free", operators=1, steps=())), candidate="free")
    found = weigh(free, standards(), mold_cycles(), rates(), screened(), draws=60)
    assert not found.npv_draws.any() and (found.chance_npv_positive, found.verdict) == (0.0, "does_not_pay")


def test_a_pattern_at_the_lifting_limit_is_not_forced():
    """Today's index of HUB is 1.2, of BOX 0.9, of CAP 3: above a limit of 1.2 is CAP alone; without a limit nobody."""
    tasks = [row for row in screened(assisted=9.0) if row.method == "core setter" or row.pattern == "HUB"]
    tasks += [row for row in screened(manual=0.9) if row.pattern == "BOX"]
    tasks += [row for row in screened(manual=3.0) if row.pattern == "CAP"]
    tasks = [replaced(row, 1.2) if (row.pattern, row.method) == ("HUB", "manual") else row for row in tasks]
    for limit, forced in ((1.2, ("CAP",)), (1.1, ("HUB", "CAP")), (0.9, ("HUB", "CAP")), (0.0, ())):
        case = plant()
        assert weighed._forced(replace(case, money=replace(case.money, li_limit=limit)), tasks) == forced


def replaced(row, li):
    """The same task with another index."""
    return replace(row, li=li)


@pytest.mark.parametrize(
    ("limit", "today", "named"),
    [(0.0, 1.0, ""), (0.0, 1.01, "cheap"), (2.0, 1.5, ""), (2.0, 2.0, ""), (2.0, 2.01, "cheap"), (0.5, 0.7, "cheap")],
)
def test_a_step_is_named_where_today_is_above_the_limit(limit, today, named):
    """Above 1 where the plant has no limit of its own; the cheapest of the ways that take the risk away."""
    costs = {"dear": (9.0, True), "cheap": (5.0, True), "useless": (1.0, False)}
    row = known()[1].alternatives[0]
    rows = [replace(row, name=n, first_cost=cost, removes_risk=able) for n, (cost, able) in costs.items()]
    case = plant()
    case = replace(case, money=replace(case.money, li_limit=limit))
    assert evaluate._cheapest_step(rows, today, case) == named
    assert evaluate._cheapest_step(rows[2:], today, case) == ""


def test_the_share_done_goes_by_draws_and_ways():
    """Two ways in a block of draws each: nothing, drawn, one way, both, all; three of them alike."""
    case = plant()
    more = replace(case, methods=(*case.methods, Method(method="other", operators=1, steps=())))
    for each, count in ((case, 2), (more, 3)):
        told = []
        weigh(each, *parts()[1:], draws=300, progress=told.append)
        shares = np.linspace(weighed.DRAWN, weighed.WEIGHED, count + 1)
        assert told == pytest.approx([0.0, *shares, 1.0], abs=1e-12)
    assert 0 < weighed.DRAWN < weighed.WEIGHED < 1


def in_currency(case, unit):
    """The case with every price in another currency."""
    own = {f.name: _times(getattr(case.money, f.name), unit) for f in fields(case.money)
           if isinstance(getattr(case.money, f.name), Range) and "currency" in MODEL.unit(f.name)}  # fmt: skip
    costs = ("study_cost_per_cycle", "volume_quote_cost", "vacuum_trial_cost", "lease_per_year", "budget")
    own |= {name: None if (cost := getattr(case.money, name)) is None else cost * unit for name in costs}
    patterns = tuple(
        replace(
            p,
            margin_per_casting=_times(p.margin_per_casting, unit),
            cost_per_scrapped_casting=p.cost_per_scrapped_casting * unit,
        )
        for p in case.patterns
    )
    methods = tuple(replace(m, step_cost=m.step_cost * unit) for m in case.methods)
    return replace(case, money=replace(case.money, **own), patterns=patterns, methods=methods)


def _times(figure, unit):
    return replace(figure, low=figure.low * unit, likely=figure.likely * unit, high=figure.high * unit)


def test_another_currency_changes_no_decision():
    """All prices a millionth of what they were: the same set, chances, paybacks, rates, studies; worth a millionth.

    A law (common practice, no source): a decision does not depend on the unit that money is counted in.
    """
    case = plant()
    doubtful = tuple(replace(p, hold_chance=0.8) if p.pattern == "BOX" else p for p in case.patterns)
    case = replace(case, patterns=doubtful, money=replace(case.money, lease_per_year=30_000))
    one, other = (weigh(each, *parts()[1:], draws=500) for each in (case, in_currency(case, 1e-6)))
    assert other.chosen == one.chosen and set(one.chosen) != set(RUNS)
    assert 0.01 < one.chance_npv_positive < 0.99 and other.chance_npv_positive == one.chance_npv_positive
    assert [row.chance_npv_positive for row in other.alternatives] == [r.chance_npv_positive for r in one.alternatives]
    assert [row.chance_npv_positive for row in other.scenarios] == [r.chance_npv_positive for r in one.scenarios]
    assert [row.why_not for row in other.patterns] == [row.why_not for row in one.patterns]
    assert other.irr == pytest.approx(one.irr) and other.payback_years == pytest.approx(one.payback_years)
    runs = [[row.break_even_run_molds for row in found.patterns] for found in (one, other)]
    assert runs[1] == pytest.approx(runs[0])
    for name in ("npv", "evpi", "noise_floor", "loss_if_bought", "loss_if_not", "first_cost"):
        assert getattr(other, name) == pytest.approx(getattr(one, name) * 1e-6), name
    key = [[(row.kind, row.pattern, row.method, row.more, row.worth_doing) for row in d.studies] for d in (one, other)]
    assert key[1] == key[0]
    seconds = [[cell.saving_per_mold for cell in found.grid.cells] for found in (one, other)]
    assert seconds[1] == pytest.approx(np.multiply(seconds[0], 1e-6))


def test_a_hundred_thousand_draws_unless_told():
    """What the command weighs by: 100,000 draws, the seed that of the case."""
    import inspect

    assert inspect.signature(weigh).parameters["draws"].default == 100_000
    case = replace(plant(), seed=77)
    by_case, by_hand = (weigh(case, standards(), mold_cycles(), rates(), screened(), draws=60, **seed)
                        for seed in ({}, {"seed": 77}))  # fmt: skip
    assert by_case.seed == 77 and (by_case.npv_draws == by_hand.npv_draws).all()
