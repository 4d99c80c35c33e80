"""Whether the setter can take the cores of a pattern, over the range of what is not known of leak and grip.

In: a case. Out: one status a pattern: met, not met or not proven.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from coreset.case import Case, Core
from coreset.line.cup_leak import shapes
from coreset.line.setter_hold import FitOfPattern, HoldCheck, fits

TEST_SPREAD = 0.3
"""Share by which one test of permeability may be off, either way: common practice, no source. [-]"""
UNKNOWN = "unknown"
MET, NOT_MET, NOT_PROVEN = "met", "not_met", "not_proven"


@dataclass(frozen=True, slots=True, kw_only=True)
class PatternHold:
    """Whether the cores of one pattern can be taken by the setter.

    `status`: met where they are held at the unfavorable end of leak and grip, not_met where a core is too large or is
    not held at the favorable end, not_proven between, or where an input is missing. `why` holds codes: size, mask_area,
    force, no_cores, or the inputs that are missing. `factor`: force held over force needed, at the unfavorable and the
    favorable end; NaN where it is not known. [-]
    """

    pattern: str
    status: str
    why: tuple[str, ...]
    factor: tuple[float, float] = (float("nan"), float("nan"))


def taken(case: Case) -> tuple[PatternHold, ...]:
    """The status of every pattern of a case, in its order.

    Parameters
    ----------
    case : Case
        Cores, setter, patterns.

    Returns
    -------
    tuple of PatternHold
        Favorable end: least leak (shape factor 4, permeability 30 % below its test), and cores of unknown grip located
        by form, so that none of them hangs by friction alone. Unfavorable end: most leak (the fit for the cup and 20 %
        for an edge, permeability 30 % above), and friction on edge. A vacuum trial with real cores decides between.

    Raises
    ------
    OutOfRange
        If the safety factor is below 1, at which a core falls.
    """
    good, poor = ({row.pattern: row for row in fits(_leaking(case, end))} for end in (0, 2))
    return tuple(_taken(code, good.get(code), poor.get(code)) for code in (p.pattern for p in case.patterns))


def not_taken(case: Case) -> frozenset[str]:
    """Patterns whose cores the setter cannot take, whatever leak and grip turn out to be."""
    return frozenset(row.pattern for row in taken(case) if row.status == NOT_MET)


def _leaking(case: Case, end: int) -> Case:
    """The same case with the leak at one end, 0 or 2, of shape and permeability; the leak is in proportion to both."""
    return replace(case, cores=tuple(_at_end(case, core, end) for core in case.cores))


def _at_end(case: Case, core: Core, end: int) -> Core:
    if min(core.print_area, core.leak_path, core.permeability_afs) <= 0:
        return core
    shape, spread = shapes(case, core), 1.0 + (end - 1) * TEST_SPREAD
    return replace(core, permeability_afs=core.permeability_afs * spread * shape[end] / shape[1])


def _taken(code: str, good: FitOfPattern | None, poor: FitOfPattern | None) -> PatternHold:
    if good is None or poor is None:
        return PatternHold(pattern=code, status=NOT_PROVEN, why=("no_cores",))
    too_large = {why for core in good.cores for why in core.breaks} - {"force"}
    if too_large:
        return PatternHold(pattern=code, status=NOT_MET, why=tuple(sorted(too_large)))
    lacks = dict.fromkeys(name for core in good.cores for name in core.lacks)
    low, high = min(row.factor for row in poor.cores), min(_by_form(row) for row in good.cores)
    if high < good.cores[0].wanted:
        return PatternHold(pattern=code, status=NOT_MET, why=("force",), factor=(low, high))
    if lacks:
        return PatternHold(pattern=code, status=NOT_PROVEN, why=tuple(lacks), factor=(low, high))
    met = low >= poor.cores[0].wanted
    return PatternHold(
        pattern=code, status=MET if met else NOT_PROVEN, why=() if met else ("force",), factor=(low, high)
    )


def _by_form(core: HoldCheck) -> float:
    """Force held over force needed where the mask carries a core of unknown grip on edge by its form."""
    return min(row.factor for row in core.held if row.orientation != "on edge" or core.grip != UNKNOWN)
