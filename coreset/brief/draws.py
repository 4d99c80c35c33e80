"""The draws themselves as tables, so that who doubts a chance or an interval can sort and count them."""

from __future__ import annotations

from itertools import zip_longest
from typing import Any

import numpy as np
from numpy.typing import ArrayLike

Columns = dict[str, ArrayLike]
DIGITS = 8
"""Digits of a draw that are written; figures shown have at most five."""


def columns(assessment: Any) -> dict[str, Columns]:
    """Draws by table and column: the money's, those of single patterns, of standards, of mold cycles, of the line.

    Rows of one table were drawn together where they stand side by side in the money; elsewhere a column stands alone.
    """
    money = assessment.money
    return {
        **({} if money is None else _money(money)),
        "standards_s": {row.study or f"{row.pattern} {row.method}": row.draws_s for row in assessment.standards},
        "mold_cycles_s": {f"{row.pattern} {row.method}": row.draws_s for row in assessment.mold_cycles},
        "molds_per_h": {f"{row.pattern} {row.method}": row.draws for row in assessment.line},
    }


def _money(money: Any) -> dict[str, Columns]:
    of_patterns = {f"{name} {row.pattern}": draws for row in money.patterns for name, draws in row.draws.items()}
    return {
        "money": {
            "npv": money.npv_draws,
            "saving_per_year": money.saving_draws,
            "payback_years": money.payback_draws,
            "discounted_payback_years": money.discounted_payback_draws,
            **{f"npv {row.name}": money.worth_draws[:, i] for i, row in enumerate(money.alternatives, start=1)},
        },
        "patterns": of_patterns,
        "volumes": {f"npv {row.name}": row.draws for row in money.scenarios},
    }


def lines(table: Columns) -> list[list[str]]:
    """Rows of text; what never comes is left empty, so that it stands last when a column is sorted.

    Examples
    --------
    >>> lines({"a": [1.0, 2.5], "b": [float("inf")]})
    [['1', ''], ['2.5', '']]
    """
    texts = [[_text(value) for value in np.asarray(draws, dtype=float).tolist()] for draws in table.values()]
    return [list(row) for row in zip_longest(*texts, fillvalue="")]


def _text(value: float) -> str:
    return f"{value:.{DIGITS}g}" if np.isfinite(value) else ""
