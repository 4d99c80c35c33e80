"""The post-audit in words: what nobody measured is shown as not measured, and a first cost has no margin."""

import pytest
from plant import parts

from coreset.case import Actual
from coreset.money.evaluate import weigh
from coreset.money.post_audit import audit, verdict
from coreset.money.report import post_audit as say_audit
from coreset.text import say


@pytest.fixture(scope="module")
def decision():
    """One decision on the invented plant."""
    return weigh(*parts(), draws=500)


def entered(decision, year, item, share):
    """An amount of so large a share of what was promised."""
    flow = decision.cash_flow[year].parts[item]
    return Actual(year=year, item=item, amount=abs(flow) * share, origin="invoice 7")


def test_no_forecast_stands_under_achieved(decision):
    """Maintenance entered, labor not: the labor that the studies imply is named beside the row, not as achieved."""
    rows = audit(decision, decision, [entered(decision, 1, "maintenance", 1.0)])
    achieved, difference = say("money.column.achieved"), say("money.column.difference")
    shown = {(row[say("money.chart.year")], row[say("money.audit.item", currency="USD")]): row
             for row in say_audit.table(rows, "USD")}  # fmt: skip
    labor, paid = shown["1", say("money.item.labour")], shown["1", say("money.item.maintenance")]
    assert labor[achieved] == labor[difference] == "–"
    assert labor[say("money.audit.basis")].startswith("not measured; the studies imply ")
    assert paid[achieved] != "–" and paid[say("money.audit.basis")] == "entered"
    assert all(achieved not in row and say("money.column.now") in row for row in say_audit.figures(rows, "USD"))


@pytest.mark.parametrize(("share", "answer"), [(1.2, "short"), (1.0, "kept"), (0.9, "kept")])
def test_a_first_cost_above_its_promise_is_short(decision, share, answer):
    """The setter 20 % dearer than promised keeps no promise, however uncertain the saving was."""
    rows = audit(decision, decision, [entered(decision, 0, "setter", share)])
    assert verdict(rows) == answer
    assert ("falls short" in say_audit.answer(rows, "USD")) is (answer == "short")
