"""Several cases under one budget: against every set tried by hand, with what must be done, and in words."""

import json
from dataclasses import replace
from itertools import combinations
from types import SimpleNamespace

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from typer.testing import CliRunner

from coreset.cli.command import app
from coreset.decision import portfolio as room
from coreset.decision.headline import decision
from coreset.decision.portfolio_words import (
    portfolio_document,
    portfolio_lines,
    portfolio_rows,
    portfolio_working,
)
from coreset.errors import OutOfRange
from coreset.money.chances import spread
from coreset.store.folder import write
from tests.test_decision import changed, demo


def offers(costs, worths, levels=None):
    """Cases that offer one option each, by their verdicts."""
    levels = levels or ["buy"] * len(costs)
    found = {}
    for i, (cost, worth, level) in enumerate(zip(costs, worths, levels, strict=True)):
        draws = worth + np.random.default_rng(i).normal(0, 1, 400)
        option = SimpleNamespace(name="x", first_cost=float(cost), npv=spread(draws), patterns=("P",))
        taken = level in {"buy", "must_do"}
        found[f"case {i}"] = room.Offer(
            currency="USD", decimal="point", candidate="x", seed=1, level=level, option=option if taken else None,
            runs=draws if taken else np.empty(0), sentence="",
        )  # fmt: skip
    return found


def of_cases(**assessments):
    """What assessments offer."""
    return {name: room.offer(one, decision(one)) for name, one in assessments.items()}


@settings(max_examples=40, deadline=None)
@given(
    st.lists(st.tuples(st.integers(1, 50), st.integers(-20, 60)), min_size=1, max_size=7),
    st.integers(0, 150),
)
def test_the_best_set_is_that_of_all_sets_tried_by_hand(rows, budget):
    """Worth of the best set within the budget, and of the next-best one."""
    found = offers(*zip(*rows, strict=True))
    got = room.portfolio(found, float(budget))
    options = {name: one.option for name, one in found.items()}
    sets = [set(each) for n in range(len(options) + 1) for each in combinations(options, n)]
    able = [each for each in sets if sum(options[n].first_cost for n in each) <= budget]
    worth = sorted((sum(options[n].npv.mean for n in each) for each in able), reverse=True)
    assert got.worth == pytest.approx(worth[0], abs=1e-6)
    assert {row.name for row in got.projects if row.funded} in able
    if len(worth) > 1:
        assert got.ahead.mean == pytest.approx(worth[0] - worth[1], abs=1e-6)
    more = [sum(options[n].npv.mean for n in each) for each in sets if sum(options[n].first_cost for n in each)
            <= (got.needed if got.next_up else budget)]  # fmt: skip
    assert max(more) == pytest.approx(got.worth + (got.gain if got.next_up else 0.0), abs=1e-6)


def test_what_must_be_done_is_funded_first_and_refused_without_the_money():
    """Though the other is worth more."""
    found = offers([40, 40], [-5, 90], ["must_do", "buy"])
    assert [row.name for row in room.portfolio(found, 60.0).projects if row.funded] == ["case 0"]
    with pytest.raises(OutOfRange, match="must cover what must be done, 40, got 30"):
        room.portfolio(found, 30.0)


def test_a_case_that_recommends_nothing_offers_nothing():
    """Whatever its option would be worth."""
    found = offers([10, 10], [500, 5], ["not_feasible", "buy"])
    assert [(row.name, row.funded) for row in room.portfolio(found, None).projects] == [
        ("case 1", True), ("case 0", False)
    ]  # fmt: skip


def test_cases_of_the_program_in_words_and_for_another_program():
    """The demo, and the demo with a used setter: one budget takes one of them, and says what more would add."""
    both = of_cases(line_A=demo(), line_B=changed(money={"second_hand_price": 90_000.0}))
    costs = [one.option.first_cost for one in both.values()]
    found = room.portfolio(both, max(costs) + 1.0)
    said = portfolio_lines(found, both)
    assert said[0].startswith("Within ") and "fund line_B. Together" in said[0]
    assert "next-best choice (line_A) in" in said[1] and "line_A would be funded" in said[2]
    assert said[3].startswith("line_B (") and "the used setter" in said[3] and said[4].startswith("line_A waits (")
    got = json.loads(json.dumps(portfolio_document(found, both), allow_nan=False))
    assert [row["funded"] for row in got["projects"]] == [True, False] and got["next_up"] == ["line_A"]
    room_for_both = room.portfolio(both, sum(costs) + 1.0)
    assert room_for_both.next_up == () and all(row.funded for row in room_for_both.projects)


def test_rows_and_working_lead_from_the_budget_to_what_is_left():
    """Ordered by worth per cost; what is left after each falls to that of the set; each working is redone."""
    made = offers([40, 30, 50], [20, 60, 5])
    found = room.portfolio(made, 80.0)
    rows = portfolio_rows(found, made)
    assert [(row["order"], row["case"]) for row in rows] == [("1", "case 1"), ("2", "case 0"), ("waits", "case 2")]
    assert [row["left of the budget after it, USD"] for row in rows] == ["50", "10", ""]
    assert found.left == 10.0 and "Left of the budget: 10 USD." in portfolio_lines(found, made)[0]
    for line in portfolio_working(found):
        assert eval(line.numbers.replace("−", "-")) == pytest.approx(line.value, rel=1e-3)


def test_cases_in_unlike_currencies_are_refused():
    """No rate of exchange is assumed."""
    both = offers([10, 10], [5, 5])
    both["case 1"] = replace(both["case 1"], currency="EUR")
    with pytest.raises(OutOfRange, match="one currency, got EUR, USD"):
        room.portfolio(both, None)


def test_the_command_asks_for_names_of_their_own(tmp_path):
    """Two folders of one name could not be told apart."""
    for place in ("x", "y"):
        write(demo().case, tmp_path / place / "line")
    got = CliRunner().invoke(app, ["portfolio", str(tmp_path / "x" / "line"), str(tmp_path / "y" / "line")])
    assert isinstance(got.exception, OutOfRange)
