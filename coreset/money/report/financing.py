"""Loan and grant in words and rows: the flow of the plant's own money beside that of the project, told apart."""

from __future__ import annotations

import numpy as np
from numpy.typing import NDArray

from coreset.money.decision import Decision
from coreset.money.report.sentences import about, amount
from coreset.report.numbers import number
from coreset.text import say

RECEIVED = ("loan", "grant_received")
"""Figures that come in at the start."""
PAID = ("loan_payment",)
"""Figures by year that go out."""
LINES = ("project_flow", *RECEIVED, *PAID, "interest_tax", "grant_tax", "equity_flow")
"""The last is the sum of those before it."""


def financed(d: Decision) -> bool:
    """Whether the base case has a loan or a grant."""
    return any(d.base.number(key) > 0 for key in RECEIVED)


def sentences(d: Decision) -> tuple[str, ...]:
    """In which money the flows are; what the purchase is worth without and with loan and grant, where there are any."""
    growth = d.base.number("price_inflation")
    rates = {"rate": d.discount_rate, "inflation": growth, "real": (1.0 + d.discount_rate) / (1.0 + growth) - 1.0}
    found = [say("money.financing.nominal", **{name: f"{number(100.0 * value, 1)} %" for name, value in rates.items()})]
    if financed(d):
        project, own = (about(d.base.number(key), d.currency, 3) for key in ("npv", "equity_npv"))
        found.append(say("money.financing.equity", project=project, equity=own))
    return tuple(found)


def flows(d: Decision) -> dict[str, NDArray[np.float64]]:
    """What leads from the flow of the project to that of the plant's own money, base case, by name in words.

    Returns
    -------
    dict of str to ndarray, shape (years + 1,)
        Now first. [currency] Empty without loan and grant.
    """
    return {say(f"money.financing.{key}"): _by_year(d, key) for key in LINES} if financed(d) else {}


def own_money(d: Decision) -> list[dict[str, str]]:
    """The same as a table: one row a line and a column a year."""
    first = say("money.chart.flow_item", currency=d.currency)
    return [
        {first: what} | {str(year): amount(value) for year, value in enumerate(values)}
        for what, values in flows(d).items()
    ]


def _by_year(d: Decision, key: str) -> NDArray[np.float64]:
    values, found = d.base.flow(key), np.zeros(d.years + 1)
    if key in RECEIVED:
        found[0] = values[0]
    elif values.size == found.size:
        found[:] = values
    else:
        found[1:] = -values if key in PAID else values
    return found
