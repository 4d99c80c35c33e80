"""Where rest is taken and how fast a crew works: the factor on manual times of a study, never twice. Out: factors."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

from coreset.case import Case, Method
from coreset.case.study import DELAY_CAUSES
from coreset.study.allowances import factor
from coreset.units import MIN_PER_H

PERCENT = 100.0
CYCLE, BREAKS = "in the cycle", "in breaks"


@dataclass(frozen=True, slots=True, kw_only=True)
class RestOfMethod:
    """Rest of one pattern under one method, as a share of basic time.

    `allowed` is what the study's allowances grant but for contingency and delays, `in_cycle` what of it lengthens the
    manual times. `short_min` is what a shift's breaks lack of the rest granted where the cycle holds none.
    `performance` is the crew's pace over the standard's. `times` multiplies the standard's manual times;
    `all_in_cycle_s` is the mold cycle at fixed times were all rest in it at standard pace, `cycle_s` the one taken.
    """

    taken: str
    allowed: float
    in_cycle: float
    short_min: float
    performance: float
    times: float
    all_in_cycle_s: float = 0.0
    cycle_s: float = 0.0


def rest_of(case: Case, method: Method, standard: Any) -> RestOfMethod:
    """Rest and pace of the manual times of one standard.

    Parameters
    ----------
    case : Case
        Hours of a shift without its breaks, and the breaks.
    method : Method
        Where its people take their rest, and their performance.
    standard : Standard
        Its allowances and their basis.

    Returns
    -------
    RestOfMethod
        With breaks of B minutes in a paid shift of T and an allowance A of basic time, A - B (1 + A) / T is left for
        the cycle: breaks that the hours of the line leave out are never in the cycle too.
    """
    whole = factor(float(getattr(standard, "allowance_pct", 0.0)), getattr(standard, "allowance_basis", "") or "normal")
    lines = getattr(standard, "allowance_lines", ())
    total = sum(line.percent for line in lines)
    delays = sum(line.percent for line in lines if line.cause in DELAY_CAUSES)
    allowed = (whole - 1.0) * (1.0 - (delays / total if total else 0.0))
    breaks, paid = case.line.breaks_min, case.line.hours_per_shift * MIN_PER_H + case.line.breaks_min
    left = max(0.0, allowed - breaks * (1.0 + allowed) / paid)
    in_cycle = left if method.rest == CYCLE else 0.0
    short = max(0.0, paid * allowed / (1.0 + allowed) - breaks) if method.rest == BREAKS else 0.0
    performance = method.performance_pct / PERCENT
    return RestOfMethod(
        taken=method.rest,
        allowed=allowed,
        in_cycle=in_cycle,
        short_min=short,
        performance=performance,
        times=(whole - allowed + in_cycle) / whole / performance,
    )
