"""Terms of an offer that come with its price: delivery, warranty, and the cycle that its vendor claims.

Each is one input of [money] or of the offer. What it does is redone by hand on the invented plant with every input
exact; on the demo one changed fact moves the money and the verdict.
"""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from plant import SECONDS, mold_cycles, plant, screened, standards
from test_money_ways import FULL, exactly, timed

from coreset.assess import assess
from coreset.case import Option, Range
from coreset.decision.headline import decision, lines
from coreset.decision.sentences import to_prove
from coreset.money.evaluate import weigh
from coreset.store.folder import read
from coreset.web.shelf import demo_folder
from tests.test_decision import changed, strong

YEARS, RATE = 10, 0.10
YEAR = np.arange(1, YEARS + 1)
PRICES = 1.02**YEAR
KNOWN = SECONDS | {("BOX", "hand and rack"): 50.0}
OWN = ("labour", "mask_changes", "maintenance", "floor_space", "mask_repair", "air", "electricity")
"""Items of the plant that recur; ramp-up and masks worn out follow the molds made."""


@cache
def weighed(options=(), **money):
    """The invented plant, exact, without downtime; its learning left out so that a year is its share of a whole one."""
    case = exactly(plant(line=FULL))
    facts = {"ramp_up_molds": 0.0, "mask_life_molds": 0.0, **money}
    case = replace(
        case,
        money=replace(case.money, **facts),
        setter=replace(case.setter, downtime_share=0.0),
        options=options,
    )
    return weigh(case, standards(), mold_cycles(), timed(KNOWN), screened(), draws=50)


def item(found, name):
    """One item of the years."""
    return np.array([row.parts.get(name, 0.0) for row in found.cash_flow[1:]])


@pytest.mark.parametrize(
    ("months", "share"),
    [(3.0, [0.75] + [1.0] * 9), (12.0, [0.0] + [1.0] * 9), (18.0, [0.0, 0.5] + [1.0] * 8), (0.0, [1.0] * 10)],
)
def test_savings_and_running_costs_begin_with_the_delivery(months, share):
    """Each recurring item at the share of the year after delivery; all is paid at once, whenever it is delivered."""
    now, late = weighed(), weighed(delivery_months=months)
    assert late.nearest == now.nearest and late.first_cost == pytest.approx(now.first_cost)
    for name in OWN:
        assert item(now, name).any()
        assert item(late, name) == pytest.approx(item(now, name) * share), name


def test_a_year_of_delivery_is_worth_its_first_year_less():
    """By the sum of what the items of year 1 were, discounted by a year."""
    now, late = weighed(), weighed(delivery_months=12.0)
    first = now.cash_flow[1].total
    assert first > 0 and now.npv - late.npv == pytest.approx(first / (1 + RATE))


@pytest.mark.parametrize(
    ("months", "warranty", "share"),
    [(0, 0, [1.0] * 10), (0, 2, [0.0] * 2 + [1.0] * 8), (0, 1.5, [0, 0.5] + [1.0] * 8), (6, 1, [0, 0.5] + [1.0] * 8)],
)
def test_repairs_are_not_paid_under_warranty(months, warranty, share):
    """5,000 a year at today's prices, from the end of the warranty on, which runs from the delivery."""
    found = weighed(
        repairs_per_year=Range.exactly(5_000.0), delivery_months=float(months), warranty_years=float(warranty)
    )
    assert item(found, "repairs") == pytest.approx(-5_000 * PRICES * share)


def test_maintenance_masks_and_an_overhaul_are_no_repairs():
    """A warranty of ten years changes nothing but them."""
    once = {"overhaul_cost": Range.exactly(9_000.0), "overhaul_year": 4}
    plain, kept = weighed(**once), weighed(warranty_years=10.0, **once)
    assert [row.parts for row in plain.cash_flow] == [row.parts for row in kept.cash_flow]


def test_terms_of_an_offer_are_its_own():
    """Delivered a year later than the purchase, or with two years of warranty: worth what the items say, run by run."""
    bare = {"repairs_per_year": Range.exactly(5_000.0)}
    offers = (Option(option="late", delivery_months=12.0), Option(option="covered", warranty_years=2.0))
    found = weighed(offers, **bare)
    worth = {row.name: row.npv.mean for row in found.alternatives}
    free = 5_000 * (1.02 / 1.1 + (1.02 / 1.1) ** 2)
    assert worth["covered"] - worth["core setter"] == pytest.approx(free)
    late = weighed(delivery_months=12.0, **bare)
    assert worth["late"] == pytest.approx(late.npv) and worth["late"] < worth["core setter"]
    assert found.npv == pytest.approx(weighed(**bare).npv), "the purchase is as without offers"


def test_a_method_by_hand_waits_for_no_delivery_and_has_no_repairs():
    """The rack of the plant is worth the same whatever is said of the setter."""
    facts = {"repairs_per_year": Range.exactly(5_000.0), "delivery_months": 12.0, "warranty_years": 1.0}
    plain, told = ({row.name: row for row in weighed(**each).alternatives} for each in ({}, facts))
    assert plain["hand and rack"].npv == told["hand and rack"].npv and plain["hand and rack"].npv.mean > 0
    assert plain["core setter"].npv.mean > told["core setter"].npv.mean


SURE = {"payback_limit_years": 12.0, "repairs_per_year": Range.exactly(2_000.0)}


def test_delivery_and_repairs_turn_the_verdict_of_the_demo():
    """Within twelve years it is to be bought; delivered after two, and with repairs of 30,000 a year, it is not."""
    before = changed(money=SURE, setter=strong())
    after = changed(
        money={**SURE, "delivery_months": 24.0, "repairs_per_year": Range.exactly(30_000.0)}, setter=strong()
    )
    assert before.verdict.level == "buy_if_proven" and after.verdict.level in {"not_decided", "do_not_buy"}
    assert after.money.npv < before.money.npv and decision(after) != decision(before)


def test_of_two_offers_at_one_price_the_one_with_warranty_and_early_delivery_is_taken():
    """The other as the purchase: the sentence names the better one, and by how much it is ahead."""
    terms = {"delivery_months": 9.0, "warranty_years": 0.0}
    a = changed(money={**SURE, **terms}, options=(Option(option="offer B", delivery_months=2.0, warranty_years=3.0),))
    v = a.verdict
    assert v.option.name == "offer B" and v.rival.option.name == "core setter" and v.rival.chance > 0.99
    assert "“offer B”" in decision(a)


@cache
def offered(claim):
    """The demo, its line run anew, with an offer at the price of the purchase; None without a claim."""
    options = (Option(option="offer B", claimed_cycle_s=claim),)
    return assess(replace(read(demo_folder()), options=options), resamples=200, draws=1_000, replications=40)


def of_offer(a):
    """Place and row of the offer."""
    return next((i, row) for i, row in enumerate(a.money.alternatives) if row.name == "offer B")


@pytest.mark.slow
def test_a_faster_cycle_that_is_only_claimed_earns_nothing_and_is_to_be_proven():
    """Valued as timed; a slower one costs what its molds per hour are fewer. No figure of the purchase moves."""
    plain, fast, slow = (offered(claim) for claim in (None, 20.0, 75.0))
    worth = {name: of_offer(a)[1].npv.mean for name, a in (("plain", plain), ("fast", fast), ("slow", slow))}
    assert worth["fast"] == worth["plain"] > worth["slow"]
    for a in (fast, slow):
        np.testing.assert_array_equal(a.money.worth_draws[:, 1], plain.money.worth_draws[:, 1])


def test_a_claimed_cycle_is_said_not_to_be_proven():
    """The cheaper offer is taken, on the proof that its setter is as fast: in what is to be proven and in the lines."""
    cheap = Option(option="offer B", setter_price=Range.exactly(90_000.0))
    facts = {"money": {"payback_limit_years": 12.0}, "setter": strong()}
    a, b = (changed(options=(each,), **facts) for each in (cheap, replace(cheap, claimed_cycle_s=20.0)))
    for found in (a, b):
        assert found.verdict.option.name == "offer B"
    keys = {row.key: row for row in b.verdict.constraints}
    assert keys["timing"].why == ("claimed",) and keys["timing"].of == b.verdict.option.patterns
    assert "claimed cycle" in to_prove(b.verdict.constraints)
    assert "claimed cycle" not in to_prove(a.verdict.constraints)
    assert any("not timed yet" in line for line in lines(b)) and not any("not timed yet" in line for line in lines(a))


def test_an_offer_by_a_method_of_its_own_studies_is_valued_by_these():
    """Its claim is no evidence then: nothing is slowed, nothing to be proven for it."""
    option = Option(option="offer B", method="gantry", claimed_cycle_s=75.0)
    assert option.claim("core setter") == 0.0 and replace(option, method="core setter").claim("core setter") == 75.0
    assert Option(option="plain").claim("core setter") == 0.0
