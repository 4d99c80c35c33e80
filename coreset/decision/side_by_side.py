"""A changed answer with its difference to the saved one, figure by figure. In: two assessments. Out: words."""

from __future__ import annotations

import math
from dataclasses import dataclass
from typing import Any

from coreset.money.report.names import payback_range, payback_value, plain_years
from coreset.report.numbers import between, borne, number, percent, styled
from coreset.text import say

YEAR_DIGITS = 1


@dataclass(frozen=True, slots=True, kw_only=True)
class ChangedFigure:
    """One figure: what it is, its value, its interval, its difference to the saved case (empty where there is none).

    `better` is 1, -1, or 0 where the two are alike or cannot be compared.
    """

    what: str
    value: str
    interval: str
    difference: str
    better: int


def changed_figures(now: Any, saved: Any) -> tuple[ChangedFigure, ...]:
    """Net present value, payback and chance that the purchase pays, of the option of the verdict.

    Parameters
    ----------
    now : Assessment
        As `answered` gives it, of the changed case.
    saved : Assessment
        Of the saved case.

    Returns
    -------
    tuple of ChangedFigure
        Empty where one of them has no money.
    """
    if now.money is None or saved.money is None:
        return ()
    new, old = (each.verdict.option for each in (now, saved))
    return (_npv(new, old, now.case), _payback(new, old, now.case), _chance(new, old, now.case))


def _figure(name: str, texts: tuple[str, str, str], gain: float, case: Any) -> ChangedFigure:
    value, interval, difference = (styled(text, case) for text in texts)
    what = say(f"money.live.{name}")
    better = 0 if not difference or not gain else 1 if gain > 0 else -1
    return ChangedFigure(what=what, value=value, interval=interval, difference=difference, better=better)


def _signed(text: str, value: float) -> str:
    return f"+{text}" if value > 0 else text


def _npv(new: Any, old: Any, case: Any) -> ChangedFigure:
    worth, gain = new.npv, new.base_npv - old.base_npv
    value = f"{borne(new.base_npv, worth.low, worth.high)} {case.currency}"
    interval = say("brief.figure.likely", ends=between(worth.low, worth.high))
    text = borne(gain, worth.low, worth.high)
    difference = f"{_signed(text, gain)} {case.currency}" if _told(text) else ""
    return _figure("npv", (value, interval, difference), gain, case)


def _told(text: str) -> bool:
    """Whether a difference is more than nothing once it is rounded."""
    return any(digit in text for digit in "123456789")


def _payback(new: Any, old: Any, case: Any) -> ChangedFigure:
    value, ends = say("front.number.never"), payback_range(new.payback)
    if math.isfinite(new.payback_years):
        value = say("brief.figure.years", value=payback_value(new.payback_years, new.payback))
    gain = old.payback_years - new.payback_years
    if math.isfinite(gain):
        text = number(-gain, YEAR_DIGITS)
        years = say("brief.figure.years", value=_signed(text, -gain))
        return _figure("payback", (value, ends, years if _told(text) else ""), gain, case)
    if math.isfinite(old.payback_years) == math.isfinite(new.payback_years):
        return _figure("payback", (value, ends, ""), 0.0, case)
    gain = 1.0 if math.isfinite(new.payback_years) else -1.0
    before = say("front.number.never")
    if math.isfinite(old.payback_years):
        before = say("brief.figure.years", value=payback_value(old.payback_years, old.payback))
    return _figure("payback", (value, ends, say("money.live.was", value=before)), gain, case)


def _chance(new: Any, old: Any, case: Any) -> ChangedFigure:
    gain = new.chance_npv_positive - old.chance_npv_positive
    text = number(100.0 * gain)
    difference = say("money.live.points", value=_signed(text, gain)) if _told(text) else ""
    limit = case.money.payback_limit_years
    interval = say("money.live.in_time", chance=percent(new.chance_payback), limit=plain_years(limit)) if limit else ""
    return _figure("chance", (percent(new.chance_npv_positive), interval, difference), gain, case)
