"""Parts of one year by name, from the declared figures, and the learning curve summed mold by mold."""

import math
from types import SimpleNamespace

import numpy as np
from plant import money

from coreset.figures import evaluate
from coreset.money.cash_flow import size_of
from coreset.money.figures import MODEL
from coreset.money.option_inputs import option_inputs

ITEMS = tuple(MODEL.kinds["operating"])


def figures(sample, facts, way, chosen, keys):
    """Year 1 of figures, (patterns, n) or (n,)."""
    inputs = option_inputs(sample, facts, way, money(), np.asarray(chosen, dtype=float))
    found = evaluate(MODEL, inputs, size_of(facts, money(), sample.n), keep=keys)
    count = {key: len(facts.patterns) if "p" in MODEL.axes[key] else 1 for key in keys}
    wide = {key: np.broadcast_to(found[key][:, 0], (count[key], sample.n)) for key in keys}
    return {key: value if "p" in MODEL.axes[key] else value[0] for key, value in wide.items()}


def year(sample, facts, way, chosen):
    """Items of a year at today's prices, its hours and molds."""
    more = ("hours_saved", "setter_hours_with_changes", "molds_on_setter", "molds_sold_more", "pay", "crew_proposed")
    found = figures(sample, facts, way, chosen, [*(f"{item}_now" for item in ITEMS), *more])
    return SimpleNamespace(
        items={item: found[f"{item}_now"] for item in ITEMS},
        hours_saved=found["hours_saved"],
        way_hours=found["setter_hours_with_changes"],
        molds=found["molds_on_setter"],
        molds_sold=found["molds_sold_more"],
        labour_per_hour=found["pay"] * found["crew_proposed"],
        pay=found["pay"],
    )


def with_hours(facts, hours):
    """The same plant with so many line hours a year."""
    stated = facts.stated
    shifts = stated["shifts_per_day"] * stated["days_per_year"]
    return facts.changed(hours_per_shift=(hours + stated["other_line_hours_per_year"]) / shifts)


def slope(*, start, molds):
    """Exponent of the learning curve. [crawford1944] unit form."""
    return math.log(start) / math.log(molds) if molds > 1 and start > 1 else 0.0


def extra_molds(made, *, start, molds):
    """Time lost by mold number `made`, in molds at standard time: the sum itself, mold by mold."""
    b = slope(start=start, molds=molds)
    if b == 0.0:
        return np.zeros_like(np.asarray(made, dtype=float))
    lost = np.concatenate([[0.0], np.cumsum(start * np.arange(1.0, math.floor(molds) + 1.0) ** -b - 1.0)])
    return np.interp(made, np.arange(lost.size), lost)
