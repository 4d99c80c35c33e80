"""Vacuum against a leaking core: what the generators reach, and the air that goes through. In: curves. Out: kPa, l/min.

A generator's flow falls straight from its free flow to nothing at its highest vacuum; the leak through a core rises
straight with vacuum (Darcy). Where the two lines cross is what is reached. Real curves bend: an order of magnitude.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.sources import table
from coreset.units import S_PER_MIN

AIR_PA_S = 1.82e-5
"""Viscosity of air at 20 degrees C, common value, no source."""
CM_WATER_PA = 98.0665
L_PER_M3 = 1_000.0
PA_PER_KPA = 1_000.0
M_PER_CM = 0.01


def afs_number(*, pressure_cm_water: ArrayLike, time_s: ArrayLike) -> NDArray[np.float64]:
    """AFS permeability of the standard specimen: 2000 cm3 of air in t at a pressure p.

    Parameters
    ----------
    pressure_cm_water : array_like
        p. [cm of water]
    time_s : array_like
        t. [s]

    Returns
    -------
    ndarray
        P = V H / (p A t), t in minutes. [AFS]

    References
    ----------
    [afs_moldtest] definition of the permeability number.

    Examples
    --------
    >>> round(float(afs_number(pressure_cm_water=9.6, time_s=36)))
    87
    """
    rows = {row["quantity"]: float(row["value"]) for row in table("afs_moldtest/definition").rows}
    minutes = np.asarray(time_s, dtype=float) / S_PER_MIN
    volume, height, area = rows["specimen_volume"], rows["specimen_height"], rows["specimen_area"]
    return volume * height / (np.asarray(pressure_cm_water, dtype=float) * area * minutes)


def intrinsic_m2(permeability_afs: ArrayLike) -> NDArray[np.float64]:
    """Permeability as an area, by the units of the AFS definition and the viscosity of air at 20 degrees C. [m2]

    Examples
    --------
    >>> f"{float(intrinsic_m2(1.0)):.3e}"
    '3.093e-13'
    """
    per_unit = M_PER_CM**2 / (CM_WATER_PA * S_PER_MIN) * AIR_PA_S
    return np.asarray(permeability_afs, dtype=float) * per_unit


def leak_l_min_kpa(*, permeability_afs: ArrayLike, area_cm2: ArrayLike, path_cm: ArrayLike) -> NDArray[np.float64]:
    """Air through a core for each kPa of vacuum under a pad, one-dimensional Darcy flow: k A / (mu H).

    Parameters
    ----------
    permeability_afs : array_like
        AFS number as measured on the core.
    area_cm2 : array_like
        Face under vacuum. [cm2]
    path_cm : array_like
        Length of the way air takes through the core. [cm]

    Returns
    -------
    ndarray
        Leak. [l/min per kPa]

    Examples
    --------
    >>> area = 3.14159265 * 1.5**2
    >>> round(30 * float(leak_l_min_kpa(permeability_afs=100, area_cm2=area, path_cm=3.0)))
    72
    """
    area, path = np.asarray(area_cm2, dtype=float) * M_PER_CM**2, np.asarray(path_cm, dtype=float) * M_PER_CM
    m3_s_pa = intrinsic_m2(permeability_afs) * area / (AIR_PA_S * path)
    return m3_s_pa * PA_PER_KPA * L_PER_M3 * S_PER_MIN


def reached_kpa(
    *, leak_l_min_kpa: ArrayLike, max_kpa: float, flow_l_min: float, generators: ArrayLike
) -> NDArray[np.float64]:
    """Vacuum where the generators' line meets the leak's: p Q / (Q + G p), Q the flow of all generators. [kPa]

    Examples
    --------
    >>> float(reached_kpa(leak_l_min_kpa=2.0, max_kpa=80.0, flow_l_min=160.0, generators=1))
    40.0
    """
    flow = flow_l_min * np.asarray(generators, dtype=float)
    return max_kpa * flow / (flow + np.asarray(leak_l_min_kpa, dtype=float) * max_kpa)


def generators_needed(*, leak_l_min_kpa: float, wanted_kpa: float, max_kpa: float, flow_l_min: float) -> float:
    """Least whole number of generators that hold a vacuum against the leak; infinite beyond their highest vacuum.

    Examples
    --------
    >>> generators_needed(leak_l_min_kpa=2.0, wanted_kpa=40.0, max_kpa=80.0, flow_l_min=100.0)
    2.0
    >>> generators_needed(leak_l_min_kpa=2.0, wanted_kpa=90.0, max_kpa=80.0, flow_l_min=100.0)
    inf
    """
    if wanted_kpa >= max_kpa or flow_l_min <= 0:
        return float("inf")
    return float(max(1.0, np.ceil(leak_l_min_kpa * wanted_kpa / (flow_l_min * (1 - wanted_kpa / max_kpa)) - 1e-9)))
