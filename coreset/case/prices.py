"""A case without its prices, for people who may not see them."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from coreset.case.case import Case
from coreset.case.fields import Range
from coreset.case.money import NO_PRICES

OPEN_MONEY = (
    "years",
    "range_meaning",
    "mask_life_molds",
    "spare_masks",
    "mask_places",
    "li_limit",
    "other_line_hours_per_year",
    "ramp_up_molds",
    "ramp_up_start",
)
"""What [money] holds that is neither a price, a wage nor a rate; everything else in it, new fields too, is a price."""
NONE = Range.exactly(0.0)
OF_PATTERN: dict[str, Any] = {
    "margin_per_casting": NONE,
    "cost_per_scrapped_casting": 0.0,
    "mask_cost": None,
    "note": "",
}
OF_CORE: dict[str, Any] = {"cost": 0.0, "note": ""}
OF_METHOD: dict[str, Any] = {"rework_cost": 0.0, "step_cost": 0.0, "step_cost_source": "", "supply_source": ""}

OF_CASE: dict[str, Any] = {"options": (), "growth": (), "actuals": (), "promised": ()}
"""Tables that are all prices."""


def without_prices(case: Case) -> Case:
    """The case with no price, cost, margin, wage, rate, offer, amount paid or promised, nor notes that may name one."""
    return replace(
        case,
        money=replace(NO_PRICES, **{name: getattr(case.money, name) for name in OPEN_MONEY}),
        patterns=tuple(replace(one, **OF_PATTERN) for one in case.patterns),
        cores=tuple(replace(one, **OF_CORE) for one in case.cores),
        methods=tuple(replace(one, **OF_METHOD) for one in case.methods),
        **OF_CASE,
    )


def with_prices_of(case: Case, priced: Case) -> Case | None:
    """A case that was changed without its prices, with those of the stored one.

    Parameters
    ----------
    case : Case
        As changed by somebody who saw `without_prices` of it.
    priced : Case
        As stored.

    Returns
    -------
    Case or None
        None where a price was entered, or where a pattern, core or method that has prices is gone: its prices would be
        lost unseen.
    """
    if without_prices(case) != case:
        return None
    lists = (
        ("patterns", lambda one: one.pattern, OF_PATTERN),
        ("cores", lambda one: (one.pattern, one.core), OF_CORE),
        ("methods", lambda one: one.method, OF_METHOD),
    )
    put: dict[str, Any] = {}
    for name, key, prices in lists:
        stored = {key(one): one for one in getattr(priced, name)}
        lost = stored.keys() - {key(one) for one in getattr(case, name)}
        if any(replace(stored[one], **prices) != stored[one] for one in lost):
            return None
        put[name] = tuple(
            replace(one, **{field: getattr(stored[key(one)], field) for field in prices}) if key(one) in stored else one
            for one in getattr(case, name)
        )
    money = replace(priced.money, **{name: getattr(case.money, name) for name in OPEN_MONEY})
    return replace(case, money=money, **{name: getattr(priced, name) for name in OF_CASE}, **put)
