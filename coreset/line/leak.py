"""The air that goes through a core under a vacuum cup. In: permeability, sizes. Out: l/min for each kPa.

The leak through a core rises straight with vacuum (Darcy). Air
comes to a cup from all sides of its lip: a shape factor says how much, over the size of the cup. That air thins out as
it enters (5 % less flow at 10 kPa, 15 % at 30 kPa) and is held back by inertia is left out, which is the cautious side.
"""

from __future__ import annotations

import numpy as np
from numpy.typing import ArrayLike, NDArray

from coreset.units import S_PER_MIN

AIR_PA_S = 1.82e-5
"""Viscosity of air at 20 degrees C, common value, no source."""
CM_WATER_PA = 98.0665
L_PER_M3 = 1_000.0
PA_PER_KPA = 1_000.0
M_PER_CM = 0.01


def intrinsic_m2(permeability_afs: ArrayLike) -> NDArray[np.float64]:
    """Permeability as an area, by the units of the AFS definition and the viscosity of air at 20 degrees C. [m2]

    Examples
    --------
    >>> f"{float(intrinsic_m2(1.0)):.3e}"
    '3.093e-13'
    """
    per_unit = M_PER_CM**2 / (CM_WATER_PA * S_PER_MIN) * AIR_PA_S
    return np.asarray(permeability_afs, dtype=float) * per_unit


def shape_factor(*, lip_over_radius: ArrayLike, path_over_radius: ArrayLike) -> NDArray[np.float64]:
    """Leak of a round cup on a wide core, open below, over permeability and radius: Q = s k a p / mu.

    Parameters
    ----------
    lip_over_radius : array_like
        Lip w over inner radius a of the cup, fitted from 0.05 to 0.5. [-]
    path_over_radius : array_like
        Thickness L of the core over a, fitted from 0.5 on. [-]

    Returns
    -------
    ndarray
        s = 4 + 2 ln(1.25 + 0.62 a/w) + (0.6 + 0.75 w/a) (a/L)^2, our own fit (computed, not published) to finite
        differences of the flow, within -2 to +3 % of them; near an edge of the core up to 20 % more. The last term is
        at most that of straight flow, pi a/L, below the thicknesses fitted. A disk on a half space has 4 exactly.

    Examples
    --------
    >>> round(float(shape_factor(lip_over_radius=0.2, path_over_radius=2.0)), 2)
    7.13
    """
    lip, path = np.asarray(lip_over_radius, dtype=float), np.asarray(path_over_radius, dtype=float)
    thick = 4.0 + 2.0 * np.log(1.25 + 0.62 / lip)
    return thick + np.minimum((0.6 + 0.75 * lip) / path**2, np.pi / path)


def cup_leak_l_min_kpa(*, permeability_afs: ArrayLike, radius_cm: ArrayLike, shape: ArrayLike) -> NDArray[np.float64]:
    """Air through a core under one round cup for each kPa of vacuum, s k a / mu. [l/min per kPa]

    Parameters
    ----------
    permeability_afs : array_like
        AFS permeability number of the core's sand, k by `intrinsic_m2`.
    radius_cm : array_like
        Inner radius of the cup's lip, a. [cm]
    shape : array_like
        Shape factor s of the flow from the core's faces to the cup, by `shape_factor`. [-]

    Returns
    -------
    ndarray, the three broadcast
        For small pressure differences; at a vacuum p it is lowered by the expansion of the air, see `flow_l_min`.

    Examples
    --------
    >>> s = shape_factor(lip_over_radius=4 / 15, path_over_radius=2.0)
    >>> round(30 * float(cup_leak_l_min_kpa(permeability_afs=100, radius_cm=1.5, shape=s)) * (1 - 30 / 202.65))
    264
    """
    radius = np.asarray(radius_cm, dtype=float) * M_PER_CM
    m3_s_pa = np.asarray(shape, dtype=float) * intrinsic_m2(permeability_afs) * radius / AIR_PA_S
    return m3_s_pa * PA_PER_KPA * L_PER_M3 * S_PER_MIN
