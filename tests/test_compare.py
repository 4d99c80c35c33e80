"""Two cases on the same runs: equal ones are equal, a cheaper machine is ahead in every run."""

from dataclasses import replace

from coreset.brief.compare import answer
from coreset.case import Range
from tests.test_decision import changed, demo


def test_a_case_and_its_copy_are_worth_the_same_in_every_run():
    """Not `no clear lead`, as intervals of each by itself would have it."""
    assert answer(demo(), changed(), ("A", "B")) == "A and B are worth the same in every run."


def test_a_price_that_is_lower_by_30_000_for_certain_is_ahead_in_every_run():
    """Though the intervals of the two overlap widely; and the same the other way round."""
    price = demo().case.money.setter_price
    less = Range(low=price.low - 30_000, likely=price.likely - 30_000, high=price.high - 30_000)
    cheaper = changed(money={"setter_price": less})
    for said in (answer(cheaper, demo(), ("B", "A")), answer(demo(), cheaper, ("A", "B"))):
        assert said.startswith("B is worth 30") and "more in 100 % of the runs" in said.replace(
            "\N{NO-BREAK SPACE}", " "
        )


def test_cases_of_other_seeds_are_compared_by_their_intervals():
    """Runs that share nothing are not paired."""
    other = replace(demo(), seed=demo().seed + 1)
    assert "overlap" in answer(demo(), other, ("A", "B"))
