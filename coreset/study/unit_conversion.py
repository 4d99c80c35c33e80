"""A standard time in other units: a core, 100 castings, a shift, a run with its set-up, a crew."""

from __future__ import annotations

from dataclasses import dataclass

from coreset.case import Case
from coreset.errors import OutOfRange
from coreset.study.standard import Standard

SECONDS_PER_HOUR = 3600.0


@dataclass(frozen=True, slots=True, kw_only=True)
class PerUnit:
    """A standard in one unit with its interval: `seconds` of elapsed time, or a count where the unit is `shift`."""

    unit: str
    value: float
    low: float
    high: float


def units(case: Case, standard: Standard) -> tuple[PerUnit, ...]:
    """The standard per mold, core, 100 castings, person-hour of 100 castings, and molds a shift.

    Parameters
    ----------
    case : Case
        For cores and castings in a mold, and hours of a shift. Of a pattern that it does not list, castings are not
        known, and the units that count them are left out.
    standard : Standard
        Seconds for one mold.

    Returns
    -------
    tuple of PerUnit
        Units mold, core, castings_100, work_100 [person-h], shift [molds].
    """
    pattern = case.listed(standard.pattern)
    cores = case.core_count(standard.pattern)
    factors = {"mold": 1.0}
    if pattern:
        factors["castings_100"] = 100 / pattern.castings_per_mold
    factors |= {"core": 1 / cores} if cores else {}
    if pattern:
        factors["work_100"] = factors["castings_100"] * standard.crew / SECONDS_PER_HOUR
    found = [
        PerUnit(unit=name, value=standard.standard_s * f, low=standard.standard_low_s * f,
                high=standard.standard_high_s * f)
        for name, f in factors.items()
    ]  # fmt: skip
    shift = case.place.hours_per_shift * SECONDS_PER_HOUR
    ends = (standard.standard_s, standard.standard_high_s, standard.standard_low_s)
    return (*found, PerUnit(unit="shift", **dict(zip(("value", "low", "high"), _molds(shift, ends), strict=True))))


def _molds(shift_s: float, ends: tuple[float, float, float]) -> list[float]:
    return [shift_s / end if end > 0 else float("nan") for end in ends]


def with_set_up(standard_s: float, *, set_up_min: float, run_molds: float) -> float:
    """Seconds for one mold with the set-up of the run laid on its molds.

    Parameters
    ----------
    standard_s : float
        Standard time of one mold. [s]
    set_up_min : float
        Set-up before a run. [min]
    run_molds : float
        Molds that share it.

    Raises
    ------
    OutOfRange
        If no mold shares it.

    Examples
    --------
    >>> with_set_up(50.0, set_up_min=7, run_molds=40)
    60.5
    """
    if run_molds <= 0:
        raise OutOfRange(f"run_molds must be above 0, got {run_molds}")
    return standard_s + 60 * set_up_min / run_molds
