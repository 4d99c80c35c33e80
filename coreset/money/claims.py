"""The vendor's claimed cycle against the studies. In: a case and its mold cycles. Out: a claim per pattern."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case
from coreset.money.chances import chance


@dataclass(frozen=True, slots=True, kw_only=True)
class Claim:
    """The vendor's cycle against the study of one pattern: chance that the mean core setter mold cycle is no longer.

    `draws`: that mean, resampled. [s]
    """

    pattern: str
    claimed_s: float
    studied_s: float
    low_s: float
    high_s: float
    chance_met: float
    draws: NDArray[np.float64]


def claims(case: Case, mold_cycles: Iterable[Any]) -> tuple[Claim, ...]:
    """The vendor's claim tested against every core setter mold cycle; nothing where none was entered."""
    claimed = case.setter.claimed_cycle_s
    rows = [row for row in mold_cycles if row.method == case.candidate] if claimed else []
    return tuple(
        Claim(
            pattern=row.pattern,
            claimed_s=claimed,
            studied_s=float(row.mean_s),
            low_s=float(row.low_s),
            high_s=float(row.high_s),
            chance_met=chance(np.asarray(row.draws_s) <= claimed),
            draws=np.asarray(row.draws_s),
        )
        for row in rows
    )
