"""Where rest is taken and how fast a crew works: the factor on manual times of a study, never twice. Out: factors."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Any

from coreset.case import Case, Method
from coreset.case.kinds import MACHINE
from coreset.case.stops import list_leaves
from coreset.case.study import DELAY_CAUSES
from coreset.line.line_kinds import CLOSER, LINE, POURER
from coreset.line.method_steps import SETTER
from coreset.study.allowances import factor
from coreset.units import MIN_PER_H

PERCENT = 100.0
NO_PERSON = frozenset({MACHINE, SETTER, LINE, CLOSER, POURER})
CYCLE, STOPS, WAITING = "in the cycle", "in stops", "in waiting"


@dataclass(frozen=True, slots=True, kw_only=True)
class RestOfMethod:
    """Rest of one pattern under one method, as a share of basic time.

    `allowed` is what the study's allowances grant but for contingency and delays, `in_cycle` what of it lengthens the
    manual times. `short_min` is what breaks, and listed stops or waiting where rest is taken there, lack of the rest
    granted for a shift, at least: all stops are taken as standing everybody.
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
    whole = _whole(standard)
    lines = getattr(standard, "allowance_lines", ())
    total = sum(line.percent for line in lines)
    delays = sum(line.percent for line in lines if line.cause in DELAY_CAUSES)
    allowed = (whole - 1.0) * (1.0 - (delays / total if total else 0.0))
    breaks, paid = case.line.breaks_min, case.line.hours_per_shift * MIN_PER_H + case.line.breaks_min
    left = max(0.0, allowed - breaks * (1.0 + allowed) / paid)
    in_cycle = left if method.rest == CYCLE else 0.0
    stood = (paid - breaks) * (1.0 - list_leaves(case.line.stops)[0]) if method.rest == STOPS else 0.0
    elsewhere = method.rest not in (CYCLE, WAITING)
    short = max(0.0, paid * allowed / (1.0 + allowed) - breaks - stood) if elsewhere else 0.0
    performance = method.performance_pct / PERCENT
    return RestOfMethod(
        taken=method.rest,
        allowed=allowed,
        in_cycle=in_cycle,
        short_min=short,
        performance=performance,
        times=(whole - allowed + in_cycle) / whole / performance,
    )


def wait_s(row: Any) -> float:
    """What the busiest person stands in a mold cycle. [s]"""
    return float(row.mean_s * (1.0 - _busiest(row.shares)))


def _busiest(shares: Mapping[str, tuple[float, float]]) -> float:
    return max((share for name, (share, _) in shares.items() if name not in NO_PERSON), default=0.0)


def _whole(standard: Any) -> float:
    """Standard time over basic time of manual work. [-]"""
    return factor(float(getattr(standard, "allowance_pct", 0.0)), getattr(standard, "allowance_basis", "") or "normal")


def short_min(case: Case, rest: RestOfMethod, standard: Any, shares: Mapping[str, tuple[float, float]]) -> float:
    """Rest granted for a shift less what the places hold where it is taken, waiting in the mold cycle with them. [min]

    Parameters
    ----------
    case : Case
        Hours of a shift without its breaks, and the breaks.
    rest : RestOfMethod
        Rest of the method; where its people do not take it while they wait, its own figure is given back.
    standard : Standard
        Its allowances.
    shares : mapping
        Working and waiting of each worker as shares of the mold cycle; the busiest person counts. [-]
    """
    if rest.taken != WAITING:
        return rest.short_min
    work = _busiest(shares)
    each = rest.performance * rest.allowed / (_whole(standard) - rest.allowed)
    manned, breaks = case.line.hours_per_shift * MIN_PER_H, case.line.breaks_min
    return max(0.0, (manned + breaks) * each / (1.0 + each) - breaks - manned * (1.0 - work))
