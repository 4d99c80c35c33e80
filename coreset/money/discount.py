"""What yearly flows are worth today: present value, payback, equivalent yearly cost, real and nominal.

In: flows, last axis the years, index 0 is now. Out: money of today, or years. A flow belongs to the end of its year.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.errors import OutOfRange


def factors(rate: float, years: int) -> NDArray[np.float64]:
    """Discount factors of now and each year's end, 1/(1 + rate)^t, shape (years + 1,). [-]

    Raises
    ------
    OutOfRange
        If the rate is -100 % or lower.
    """
    if rate <= -1.0:
        raise OutOfRange(f"rate must be above -1, got {rate}")
    return (1.0 + rate) ** -np.arange(years + 1.0)


def npv(flows: ArrayLike, rate: float) -> NDArray[np.float64]:
    """Net present value: every flow discounted to now; the first is not discounted.

    Parameters
    ----------
    flows : array_like, shape (..., years + 1)
        Money in (positive) and out (negative). [currency]
    rate : float
        Discount rate a year; nominal for nominal flows. [1/year]

    Returns
    -------
    ndarray, shape (...)
        Sum of flow_t/(1 + rate)^t. [currency] NaN stays NaN.

    References
    ----------
    [numpy_financial] npv.

    Examples
    --------
    >>> round(float(npv([-40_000, 5_000, 8_000, 12_000, 30_000], 0.08)), 5)
    3065.22267
    """
    flows = np.asarray(flows, dtype=float)
    return (flows @ factors(rate, flows.shape[-1] - 1))[()]


def limit_rate(rule: str, discount_rate: float) -> float:
    """Rate of the payback that the plant's limit means: `simple` is not discounted, `discounted` is. [1/year]

    Examples
    --------
    >>> limit_rate("simple", 0.1), limit_rate("discounted", 0.1)
    (0.0, 0.1)
    """
    return discount_rate if rule == "discounted" else 0.0


def payback(flows: ArrayLike, rate: float = 0.0) -> NDArray[np.float64] | float:
    """Years until the money is back for good, interpolated within the year; infinite if never.

    Parameters
    ----------
    flows : array_like, shape (..., years + 1)
        Money in and out by year. [currency]
    rate : float
        0 gives simple payback, the discount rate gives discounted payback. [1/year]

    Returns
    -------
    ndarray, shape (...)
        Last year with a negative cumulative flow, plus its shortfall over the next year's flow. [years]

    Examples
    --------
    >>> round(float(payback([-200_000, 60_000, 80_000, 70_000, 60_000, 50_000], 0.12)), 4)
    3.8609
    >>> float(payback([-100, 30, 30, 30]))
    inf
    """
    by_year = np.moveaxis(np.asarray(flows, dtype=float), -1, 0)
    total, years = np.zeros(by_year.shape[1:]), np.zeros(by_year.shape[1:])
    for year, (flow, factor) in enumerate(zip(by_year, factors(rate, len(by_year) - 1), strict=True)):
        flow = flow * factor if rate else flow
        with np.errstate(divide="ignore", invalid="ignore"):
            years = np.where(total < 0, year - 1 - total / flow, years)
        total = total + flow
    years = np.where(total < 0, np.inf, years)
    return np.where(np.isnan(total), np.nan, years)[()]


def whole_payback(flows: ArrayLike, rate: float = 0.0) -> NDArray[np.float64] | float:
    """First whole year at whose end the cumulative flow is not negative; infinite if there is none.

    The other convention for payback; each is shown with its name. Arguments as for :func:`payback`.

    References
    ----------
    [mqriskr] discounted_payback_period.

    Examples
    --------
    >>> float(whole_payback([-15.00, 8.42, 8.39, 8.58], 0.10))
    3.0
    """
    flows = np.asarray(flows, dtype=float)
    total = np.cumsum(flows * factors(rate, flows.shape[-1] - 1), axis=-1)
    back = total >= 0
    return np.where(back.any(axis=-1), np.argmax(back, axis=-1), np.inf)[()].astype(float)


def annuity_factor(rate: float, years: int) -> float:
    """What 1 a year, paid at the end of each year, is worth now. [years]

    Examples
    --------
    >>> round(annuity_factor(0.13, 2), 4)
    1.6681
    """
    return float(factors(rate, years)[1:].sum())
