"""Two cases on the same runs: equal ones are equal, a cheaper machine is ahead in every run."""

from dataclasses import replace

from coreset.brief.compare import answer, changed_rows
from coreset.case import Range
from tests.test_decision import changed, demo


def test_a_case_and_its_copy_are_worth_the_same_in_every_run():
    """Not `no clear lead`, as intervals of each by itself would have it."""
    assert answer(demo(), changed(), ("A", "B")) == "A and B have the same net present value in every run."


def test_a_price_that_is_lower_by_30_000_for_certain_is_ahead_in_every_run():
    """Though the intervals of the two overlap widely; and the same the other way round."""
    price = demo().case.money.setter_price
    less = Range(low=price.low - 30_000, likely=price.likely - 30_000, high=price.high - 30_000)
    cheaper = changed(money={"setter_price": less})
    for said in (answer(cheaper, demo(), ("B", "A")), answer(demo(), cheaper, ("A", "B"))):
        assert said.startswith("B has 30") and "more in 100 % of the runs" in said.replace("\N{NO-BREAK SPACE}", " ")


def test_cases_of_other_seeds_are_compared_by_their_intervals():
    """Runs that share nothing are not paired."""
    other = replace(demo(), seed=demo().seed + 1)
    assert "overlap" in answer(demo(), other, ("A", "B"))


def test_cases_are_compared_by_the_options_of_their_verdicts():
    """The purchase is the same in both; one verdict is a used setter, worth more: the figures are its own."""
    used = changed(money={"second_hand_price": 90_000.0})
    assert used.money.npv == demo().money.npv and used.verdict.option.name == "second-hand"
    said = answer(demo(), used, ("A", "B"))
    gap = used.verdict.option.npv.mean - demo().verdict.option.npv.mean
    assert said.startswith("B has") and f"{gap:,.0f}"[:2] in said.replace("\N{NO-BREAK SPACE}", ",")
    cost = next(row for row in changed_rows(demo(), used, ("A", "B")) if row["figure"] == "initial investment")
    assert cost["A"] != cost["B"]
    poor = changed(money={"setter_price": Range.exactly(900_000.0), "budget": None})
    assert answer(demo(), poor, ("A", "C")).endswith("Not recommended by its own verdict: C.")


def test_a_case_whose_used_setter_is_feasible_is_ranked():
    """The budget is too small for the purchase, not for the used one of the verdict."""
    used = changed(money={"second_hand_price": 60_000.0, "budget": 160_000.0})
    assert used.money.needs and used.verdict.recommended
    assert "Not feasible" not in answer(demo(), used, ("A", "B"))
