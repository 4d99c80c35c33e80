"""Depreciation. In: a rule and its terms. Out: shares of the cost by year.

Rules change and differ from place to place: these are for a first look. Ask an accountant before relying on them.
"""

from __future__ import annotations

from collections.abc import Sequence
from functools import partial

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.errors import OutOfRange
from coreset.sources import table

DISPOSAL_SHARE = {"half_year": 0.5, "mid_quarter": 0.875}
"""Share of its write-off that counts in the year of sale, the sale at the end of that year. [irs946]"""


def macrs(class_years: int) -> NDArray[np.float64]:
    """Shares of the cost by year, half-year convention, as printed. [-]

    References
    ----------
    [irs946] Table A-1.

    Examples
    --------
    >>> macrs(5).round(4).tolist()
    [0.2, 0.32, 0.192, 0.1152, 0.1152, 0.0576]
    """
    rows = [r for r in table("irs946/table_a1_half_year").rows if r["class_years"] == str(class_years)]
    if not rows:
        raise OutOfRange(f"class_years must be a class of Table A-1, got {class_years}")
    return np.array([float(row["percent"]) for row in rows]) / 100.0


def macrs_mid_quarter(class_years: int, quarter: int) -> NDArray[np.float64]:
    """Shares of the cost by year where it is placed in service in the middle of a quarter, as printed. [-]

    Parameters
    ----------
    class_years : int
        3, 5, 7 or 10.
    quarter : int
        Quarter of the first year, 1 to 4.

    Raises
    ------
    OutOfRange
        If there is no such class or quarter.

    References
    ----------
    [irs946] Tables A-2 to A-5.

    Examples
    --------
    >>> (macrs_mid_quarter(5, 1) * 100).round(2).tolist()
    [35.0, 26.0, 15.6, 11.01, 11.01, 1.38]
    """
    asked = {"class_years": str(class_years), "quarter": str(quarter)}
    rows = [row for row in table("irs946/tables_a2_to_a5_mid_quarter").rows if asked.items() <= row.items()]
    if not rows:
        raise OutOfRange(f"class must be 3, 5, 7 or 10 and quarter 1 to 4, got {class_years} and {quarter}")
    return np.array([float(row["percent"]) for row in rows]) / 100.0


def sum_of_years(life: int) -> NDArray[np.float64]:
    """Sum of the years' digits: in year t of n the share is (n + 1 - t) over 1 + 2 + ... + n. [-]

    Examples
    --------
    >>> sum_of_years(5).round(4).tolist()
    [0.3333, 0.2667, 0.2, 0.1333, 0.0667]
    """
    return np.arange(life, 0.0, -1.0) / (life * (life + 1) / 2)


def straight_line(years: int) -> NDArray[np.float64]:
    """Equal shares of the cost for so many years. [-]"""
    return np.full(years, 1.0 / years)


def declining_shares(life: int, factor: float = 2.0) -> NDArray[np.float64]:
    """Declining balance that turns to straight line once that is more, so that all is written off. [-]

    References
    ----------
    [spreadsheet_docs] DDB, until it turns.

    Examples
    --------
    >>> float(declining_shares(5).sum().round(12))
    1.0
    """
    book, shares = 1.0, []
    for year in range(life):
        shares.append(book * max(min(1.0, factor / life), 1.0 / (life - year)))
        book -= shares[-1]
    return np.array(shares)


def shares_by_year(
    rule: str, *, years: int = 7, own: Sequence[float] = (), first_year_share: float = 0.0, quarter: int = 0
) -> NDArray[np.float64]:
    """Shares of the cost written off in years 1, 2, ... under a rule of `Money.depreciation`. [-]

    Parameters
    ----------
    rule : str
        none, macrs3, macrs5, macrs7, macrs10, straight, declining, sum_of_years or own.
    years : int
        Life under the rules that have none of their own.
    own : sequence of float
        Shares by year of the rule own. [-]
    first_year_share : float
        Written off at once in year 1, the rest by the rule. [-]
    quarter : int
        Quarter of the purchase for the mid-quarter convention of MACRS; 0 takes the half-year convention.

    Raises
    ------
    OutOfRange
        If the rule is not known, or an own table adds up to more than the cost.
    """
    rules = {
        "none": lambda: np.zeros(1),
        **{
            f"macrs{n}": partial(macrs_mid_quarter, n, quarter) if quarter else partial(macrs, n) for n in (3, 5, 7, 10)
        },
        "straight": lambda: straight_line(years),
        "declining": lambda: declining_shares(years),
        "sum_of_years": lambda: sum_of_years(years),
        "own": lambda: np.asarray(own or (0.0,), dtype=float),
    }
    if rule not in rules:
        raise OutOfRange(f"depreciation must be one of {', '.join(rules)}, got {rule!r}")
    shares = rules[rule]() * (1.0 - first_year_share)
    shares[0] += first_year_share
    if shares.sum() > 1.0 + 1e-3:
        raise OutOfRange(f"own depreciation shares must not add up to more than 1, got {shares.sum():.4f}")
    return shares


def written_off(shares: ArrayLike, *, years: int, year_of_sale: float = 1.0) -> NDArray[np.float64]:
    """Shares used until the asset is sold at the end of year `years`, shape (years,). [-]

    Parameters
    ----------
    shares : array_like, (n,)
        Shares of the cost by year of the whole table. [-]
    years : int
        Year at whose end the asset is sold.
    year_of_sale : float
        Part of the share of the year of sale that counts if the table goes on after it, see `DISPOSAL_SHARE`. [-]

    References
    ----------
    [newnan] figure 12-3.
    """
    used = np.zeros(years)
    shares = np.asarray(shares, dtype=float)
    used[: min(years, shares.size)] = shares[:years]
    if years < shares.size:
        used[-1] *= year_of_sale
    return used
