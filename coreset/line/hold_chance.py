"""The chance that the setter holds a pattern's cores, over what is not known of leak, air and supply. In: case.

Permeability is lognormal about its test, the shape of the flow uniform from the least to the most near an edge, inertia
from none to that of a bed of grains, the supply up to a tenth weaker than its curve. A trial settles it.
"""

from __future__ import annotations

import math
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

from coreset.case import Case, Core
from coreset.line.cup_leak import KG_PER_LB, UNKNOWN_LIP, cm2_of, cm_of, cup_radius_cm, shapes
from coreset.line.hold_range import TEST_SPREAD
from coreset.line.leak import AIR_PA_S, M_PER_CM, PA_PER_KPA, cup_leak_l_min_kpa, intrinsic_m2
from coreset.line.setter_hold import N_PER_KPA_CM2, orientations
from coreset.line.supply_curve import SupplyCurve, supply_curve
from coreset.units import AMBIENT_KPA

DRAWS, STREAM = 2_000, 41
TEST_SD = math.log1p(TEST_SPREAD) / 1.96
"""Of the logarithm of a permeability, such that 95 % lie within the spread of one test. [-]"""
WEAKER = 0.1
"""Share by which a supply may be below its curve: own judgement, no source. [-]"""
AIR_KG_M3 = 1.2
POROSITY = 0.4
ERGUN_VISCOUS, ERGUN_INERTIA = 150.0, 1.75
ROUNDS = 60


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldChance:
    """Share of draws in which every core of a pattern is held with the safety factor; vacuum reached with 90 % ends."""

    pattern: str
    chance: float
    reached_kpa: tuple[float, float, float]


def hold_chances(case: Case, *, seed: int | None = None) -> tuple[HoldChance, ...]:
    """The chance of every pattern whose inputs are all entered.

    Parameters
    ----------
    case : Case
        Cores, setter.
    seed : int, optional
        Of the draws; the case's own if left out.

    Returns
    -------
    tuple of HoldChance
        In the order of the case. Cores of unknown grip hang by friction on edge.
    """
    curve, chosen = supply_curve(case.setter), case.seed if seed is None else seed
    found = []
    for place, pattern in enumerate(case.patterns):
        own = case.on_mask(pattern.pattern)
        known = own and all(min(c.print_area, c.permeability_afs, c.leak_path) > 0 for c in own)
        if curve is not None and known:
            rng = np.random.default_rng((chosen, place, STREAM))
            found.append(_chance(case, pattern.pattern, own, curve, rng))
    return tuple(found)


def _chance(case: Case, name: str, own: tuple[Core, ...], curve: SupplyCurve, rng: np.random.Generator) -> HoldChance:
    drawn = [_leak(case, core, rng) for core in own]
    supply = case.setter.generators * (1.0 - WEAKER * rng.random(DRAWS))
    reach = meeting_kpa(curve, supply, drawn)
    held = np.ones(DRAWS, dtype=bool)
    for core in own:
        mass = core.mass * (KG_PER_LB if case.units == "us" else 1.0)
        need = orientations(mass, case.setter.turn_acceleration_m_s2, 0.0, by_form=core.grip == "form")
        force = reach * core.print_area * cm2_of(case) * N_PER_KPA_CM2
        held &= force >= case.setter.safety_factor * max(row.needed_n for row in need)
    low, middle, high = (float(end) for end in np.quantile(reach, (0.05, 0.5, 0.95)))
    return HoldChance(pattern=name, chance=float(held.mean()), reached_kpa=(middle, low, high))


@dataclass(frozen=True, slots=True, kw_only=True)
class LeakDraws:
    """Draws of all cups of a core: leak at little vacuum [l/min per kPa], and what inertia makes of it.

    `inertia_kpa` is F of one kPa: at a vacuum p the leak is 2 / (1 + sqrt(1 + 4 c F p)) of it, `share` of the way to
    that from none.
    """

    leak_l_min_kpa: NDArray[np.float64]
    inertia_kpa: NDArray[np.float64]
    share: NDArray[np.float64]


def _leak(case: Case, core: Core, rng: np.random.Generator) -> LeakDraws:
    permeability = core.permeability_afs * np.exp(TEST_SD * rng.standard_normal(DRAWS))
    least, _, most = shapes(case, core)
    radius = cup_radius_cm(case, core)
    shape = rng.uniform(least, most, DRAWS)
    leak = core.per_mold * core.cups * cup_leak_l_min_kpa(permeability_afs=permeability, radius_cm=radius, shape=shape)
    lip = core.cup_lip * cm_of(case) / radius if core.cup_lip > 0 else UNKNOWN_LIP[0]
    return LeakDraws(
        leak_l_min_kpa=leak,
        inertia_kpa=_inertia_of_one_kpa(permeability, radius_cm=radius, lip_over_radius=lip),
        share=rng.random(DRAWS),
    )


def _inertia_of_one_kpa(
    permeability_afs: NDArray[np.float64], *, radius_cm: float, lip_over_radius: float
) -> NDArray[np.float64]:
    """c F for one kPa: how far inertia holds air back at a cup, by the coefficient of a bed of grains. [-]

    F = rho beta k2 p / (mu2 a), beta = 1.75 (1 - e) / (e3 d) with d of the grains from k = d2 e3 / (150 (1 - e)2), e
    0.4 (Ergun); c = 1.0 + 0.135 a/w, our own fit (computed) within 10 % of a non-linear solution.

    Examples
    --------
    >>> f = _inertia_of_one_kpa(np.array([100.0]), radius_cm=2.0, lip_over_radius=0.2)
    >>> phi = 30 * (1 - 30 / 202.65)
    >>> round(float(2 / (1 + np.sqrt(1 + 4 * f[0] * phi))), 2)
    0.67
    """
    k = intrinsic_m2(permeability_afs)
    open_share, solid = POROSITY**3, 1.0 - POROSITY
    grain = np.sqrt(ERGUN_VISCOUS * k * solid**2 / open_share)
    beta = ERGUN_INERTIA * solid / (open_share * grain)
    per_pa = AIR_KG_M3 * beta * k**2 / (AIR_PA_S**2 * radius_cm * M_PER_CM)
    return np.asarray((1.0 + 0.135 / lip_over_radius) * per_pa * PA_PER_KPA)


def flow_l_min(drawn: LeakDraws, kpa: NDArray[np.float64]) -> NDArray[np.float64]:
    """Free air through a core at a vacuum: Darcy, thinned as air expands, held back by its share of inertia. [l/min]"""
    driven = kpa * (1.0 - kpa / (2.0 * AMBIENT_KPA))
    full = 2.0 / (1.0 + np.sqrt(1.0 + 4.0 * drawn.inertia_kpa * driven))
    return np.asarray(drawn.leak_l_min_kpa * driven * (1.0 - drawn.share * (1.0 - full)))


def meeting_kpa(curve: SupplyCurve, generators: NDArray[np.float64], cores: list[LeakDraws]) -> NDArray[np.float64]:
    """Vacuum of each draw at which the supply gives what all cores take, by halving. [kPa]

    Parameters
    ----------
    curve : SupplyCurve
        Flow of one generator over vacuum.
    generators : ndarray (draws,)
        Number of generators, less where they are weaker than their curve.
    cores : list of LeakDraws
        What each core takes, (draws,) each.

    Returns
    -------
    ndarray (draws,)
        Between 0 and the curve's highest vacuum.
    """
    low, high = np.zeros(len(generators)), np.full(len(generators), curve.most_kpa)
    for _ in range(ROUNDS):
        middle = (low + high) / 2.0
        more = generators * np.interp(middle, curve.kpa, curve.flow_l_min) > sum(flow_l_min(c, middle) for c in cores)
        low, high = np.where(more, middle, low), np.where(more, high, middle)
    return (low + high) / 2.0
