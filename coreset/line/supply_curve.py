"""Vacuum supply as points of vacuum and free flow, straight between: vacuum reached, generators needed.

Suction of a maker's sheet is free air. Hoses and valves take pressure at high flow: measure the points at the mask.
"""

from __future__ import annotations

import math
from dataclasses import dataclass
from itertools import pairwise

import numpy as np

from coreset.case import Setter
from coreset.errors import OutOfRange
from coreset.units import AMBIENT_KPA


@dataclass(frozen=True, slots=True, kw_only=True)
class SupplyCurve:
    """Points of one generator: rising vacuum [kPa], falling free flow [l/min]; beyond the last it gives nothing.

    Raises
    ------
    OutOfRange
        If a vacuum is more than the pressure of the air.
    """

    kpa: tuple[float, ...]
    flow_l_min: tuple[float, ...]

    def __post_init__(self) -> None:
        if self.most_kpa > AMBIENT_KPA:
            raise OutOfRange(f"vacuum must be at most that of empty space, {AMBIENT_KPA} kPa, got {self.most_kpa:g}")

    @property
    def most_kpa(self) -> float:
        """Highest vacuum. [kPa]"""
        return self.kpa[-1]

    def flow_at(self, kpa: float) -> float:
        """Free flow of one generator at a vacuum. [l/min]"""
        return float(np.interp(kpa, self.kpa, self.flow_l_min, right=0.0))


def supply_curve(setter: Setter) -> SupplyCurve | None:
    """The setter's measured points, else a straight line from free flow to highest vacuum; None where neither is known.

    Examples
    --------
    >>> supply_curve(Setter(vacuum_max_kpa=55.0, vacuum_flow_l_min=1400.0)).kpa
    (0.0, 55.0)
    """
    if setter.curve_kpa:
        return SupplyCurve(kpa=setter.curve_kpa, flow_l_min=setter.curve_l_min)
    if min(setter.vacuum_max_kpa, setter.vacuum_flow_l_min) <= 0:
        return None
    return SupplyCurve(kpa=(0.0, setter.vacuum_max_kpa), flow_l_min=(setter.vacuum_flow_l_min, 0.0))


def reached_kpa(curve: SupplyCurve, *, leak_l_min_kpa: float, generators: float) -> float:
    """Vacuum at which the supply gives what the cores leak: one crossing, always. [kPa]

    Parameters
    ----------
    curve : SupplyCurve
        One generator.
    leak_l_min_kpa : float
        Leak of all cores for each kPa. [l/min per kPa]
    generators : float
        How many.

    Returns
    -------
    float
        Highest vacuum of the supply where the leak is less than all of its flow there.

    Examples
    --------
    >>> reached_kpa(SupplyCurve(kpa=(0.0, 80.0), flow_l_min=(160.0, 0.0)), leak_l_min_kpa=2.0, generators=1)
    40.0
    """
    ends = list(zip(curve.kpa, curve.flow_l_min, strict=True))
    for (p0, q0), (p1, q1) in pairwise(ends):
        spare0, spare1 = generators * q0 - leak_l_min_kpa * p0, generators * q1 - leak_l_min_kpa * p1
        if spare1 <= 0 <= spare0:
            return p1 if spare0 == spare1 else p0 + (p1 - p0) * spare0 / (spare0 - spare1)
    return curve.most_kpa


def crossing(setter: Setter, kpa: float) -> tuple[tuple[float, float], tuple[float, float], float]:
    """The piece of all generators' curve on which a vacuum lies, as two points, and the leak that meets it there.

    Raises
    ------
    OutOfRange
        If the setter's supply is not entered.
    """
    curve = supply_curve(setter)
    if curve is None:
        raise OutOfRange("supply of vacuum must be entered, got none")
    points = [(p, q * setter.generators) for p, q in zip(curve.kpa, curve.flow_l_min, strict=True)]
    first, last = next(pair for pair in pairwise(points) if kpa <= pair[1][0] or pair[1] == points[-1])
    return first, last, setter.generators * curve.flow_at(kpa) / kpa


def generators_needed(curve: SupplyCurve, *, leak_l_min_kpa: float, kpa: float) -> float:
    """Least whole number of generators that hold a vacuum against the leak; infinite from their highest vacuum on.

    Parameters
    ----------
    curve : SupplyCurve
        Flow of one generator over vacuum.
    leak_l_min_kpa : float
        Air through all cores of the mold for each kPa. [l/min per kPa]
    kpa : float
        Vacuum to be held. [kPa]

    Examples
    --------
    >>> line = SupplyCurve(kpa=(0.0, 80.0), flow_l_min=(100.0, 0.0))
    >>> generators_needed(line, leak_l_min_kpa=2.0, kpa=40.0), generators_needed(line, leak_l_min_kpa=2.0, kpa=90.0)
    (2.0, inf)
    """
    flow = curve.flow_at(kpa)
    if kpa >= curve.most_kpa or flow <= 0:
        return math.inf
    return float(max(1, math.ceil(leak_l_min_kpa * kpa / flow - 1e-9)))
