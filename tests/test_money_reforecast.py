"""The forecast after the purchase: what was measured carries on, and the reasons add up to the difference."""

from dataclasses import replace
from functools import cache

import jsonschema
import pytest
from brief_case import Given, assessment
from plant import SECONDS, parts, rates

from coreset.brief.document import document, schema
from coreset.case import Actual, Range
from coreset.money.evaluate import weigh
from coreset.money.reforecast import REASONS, entered_by_place, reforecast, updated_flow
from coreset.money.report.post_audit import forecast


@cache
def decided(**money):
    """The decision of the invented plant, as it was taken."""
    return weigh(*parts(**money), draws=500)


@cache
def now(volume=1.0, slower=1.0, wage=None, **money):
    """The same plant later: other volumes, slower with the setter, another wage."""
    case, studies, cycles, _, tasks = parts(**money)
    likely = [replace(p, molds_per_year=Range.exactly(volume * p.molds_per_year.likely)) for p in case.patterns]
    changed = replace(case, patterns=tuple(likely) if volume != 1 else case.patterns)
    if wage:
        changed = replace(changed, money=replace(case.money, wage_per_h=Range.exactly(wage)))
    speed = rates({key: s * (slower if key[1] == "core setter" else 1.0) for key, s in SECONDS.items()})
    return weigh(changed, studies, cycles, speed, tasks, draws=500)


def entry(year, item, amount):
    """One amount that was paid or saved."""
    return Actual(year=year, item=item, amount=amount, origin="invoice 7")


def share(found, year, item, part):
    """An amount of so large a part of what a decision has in a year."""
    return entry(year, item, part * abs(found.cash_flow[year].parts[item]))


@pytest.mark.parametrize(
    ("facts", "reason"),
    [({"volume": 0.8}, "volume"), ({"slower": 1.1}, "time"), ({"wage": 20.0}, "price")],
)
def test_one_changed_fact_is_the_one_reason(facts, reason):
    """Labor measured exactly as the changed case implies: the whole difference has that reason, up to the runs' gap."""
    before, after = decided(), now(**facts)
    found = reforecast(before, after, [share(after, 1, "labour", 1.0)])
    lost = after.cash_flow[1].parts["labour"] - before.cash_flow[1].parts["labour"]
    assert sum(found.reasons.values()) == pytest.approx(lost)
    assert found.reasons[reason] == pytest.approx(lost, rel=0.15) and lost < 0
    assert all(abs(found.reasons[other]) < 0.15 * -lost for other in REASONS if other != reason)
    assert found.factors == {"labour": pytest.approx(1.0)}


def test_reasons_add_up_whatever_changed():
    """Volume, time, wage, hours not realized, a dearer setter and scrap that nobody promised."""
    before, after = decided(), now(volume=0.8, slower=1.1, wage=20.0)
    paid = [share(after, 1, "labour", 0.7), share(before, 0, "setter", 1.2), entry(1, "scrap", 300.0)]
    found = reforecast(before, after, paid)
    gap = sum(v - before.cash_flow[t].parts.get(i, 0.0) for (t, i), v in entered_by_place(paid).items())
    assert sum(found.reasons.values()) == pytest.approx(gap) and min(found.reasons, key=found.reasons.get) == "price"
    assert found.reasons["share"] == pytest.approx(-0.3 * after.cash_flow[1].parts["labour"])


def test_labor_at_half_goes_on_at_half_after_tax():
    """By hand: half of each year's labor is lost, less tax at 25 %; the first year's as every later one's."""
    before = decided(tax_rate=0.25)
    flow = updated_flow(before, entered_by_place([share(before, 1, "labour", 0.5)]))
    for row, value in zip(before.cash_flow, flow, strict=True):
        assert value == pytest.approx(row.total - 0.75 * 0.5 * row.parts.get("labour", 0.0))


def test_a_dearer_setter_is_written_off():
    """10,000 more at a tax of 25 %: what is written off over the years, and at the end, comes back as 2,500."""
    before = decided(tax_rate=0.25)
    flow = updated_flow(before, {(0, "setter"): before.cash_flow[0].parts["setter"] - 10_000.0})
    lost = flow - [row.total for row in before.cash_flow]
    assert lost[0] == pytest.approx(-10_000.0) and lost[1:].sum() == pytest.approx(2_500.0)
    entered = {(1, "tax"): -123.0, (1, "labour"): 0.0}
    taxed = updated_flow(before, entered)[1] - before.cash_flow[1].total
    parts_of = before.cash_flow[1].parts
    assert taxed == pytest.approx(-123.0 - parts_of["tax"] - parts_of["labour"])


@pytest.mark.parametrize(
    ("part", "years", "claim"), [(None, 0, "open"), (1.0, 2, "so_far"), (0.9, 1, "so_far"), (0.2, 1, "refuted")]
)
def test_the_claim_is_judged_by_the_updated_forecast(part, years, claim):
    """Labor alone is measured: met so far; at a fifth the purchase does not pay any more."""
    before = decided()
    paid = [share(before, t, "labour", part) for t in range(1, years + 1)]
    assert reforecast(before, before, paid).claim == claim


def test_all_amounts_as_promised_confirm_the_claim():
    """Every item of two years, entered to the cent: the promised worth, all of it measured."""
    before = decided()
    paid = {(t, item): value for t in range(3) for item, value in before.cash_flow[t].parts.items()}
    flow = updated_flow(before, paid)
    assert flow == pytest.approx([row.total for row in before.cash_flow])
    rows = [share(before, t, item, 1.0) for t, item in paid if paid[t, item] < 0 or item in ("labour", "throughput")]
    found = reforecast(before, before, rows)
    assert found.coverage == pytest.approx(1.0) and found.claim == "confirmed"
    assert found.npv.mean == pytest.approx(before.npv_at_means)


def test_other_patterns_leave_the_reasons_open():
    """A case with a pattern less than the one decided on: the forecast stands, the reasons are not told apart."""
    case, *others = parts()
    fewer = weigh(replace(case, patterns=case.patterns[:-1]), *others, draws=500)
    found = reforecast(decided(), fewer, [share(fewer, 1, "labour", 0.5)])
    assert found.reasons == {} and "cannot be separated" in forecast(found, "USD")[-1]


def test_the_document_has_the_audit_where_amounts_were_entered():
    """By the schema; none of it without an amount."""
    a = assessment()
    paid = (share(a.money, 1, "labour", 0.5),)
    told = document(Given(**{**vars(a), "case": replace(a.case, actuals=paid)}))
    jsonschema.validate(told, schema())
    assert told["audit"]["forecast"]["factors"]["labour"] == pytest.approx(0.5)
    assert {row["basis"] for row in told["audit"]["rows"]} >= {"entered", "missing", "forecast"}
    assert "audit" not in document(a)
