"""Can the setter hold each core by vacuum: force over weight while it turns, pads, generators, air, size, prints.

An order of magnitude: real generator curves bend, cores leak unevenly, pads seal badly on sand. It never clears a core.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

from coreset.case import Case, Core
from coreset.errors import OutOfRange
from coreset.line.cup_leak import CM_PER_MM, KG_PER_LB, cm2_of, cm_of, leak_of
from coreset.line.setter_limits import breaks as breaks_of
from coreset.line.supply_curve import generators_needed, reached_kpa, supply_curve
from coreset.sources import table

GRAVITY_M_S2 = 9.80665
FRICTION = 0.4
"""Of a pad on sand, where the load hangs sideways: common practice, no source."""
N_PER_KPA_CM2 = 0.1
MOST_PAD, HALVINGS = 1e4, 40
L_PER_M3 = 1_000.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Held:
    """One orientation: force needed to hold the core there while it is accelerated, and force held over it."""

    orientation: str
    needed_n: float
    factor: float


@dataclass(frozen=True, slots=True, kw_only=True)
class HoldCheck:
    """Whether the setter can hold one core, as far as can be calculated; codes in `lacks`, `breaks` and `reminds`.

    `factor` is the least over the orientations: the force at the vacuum reached, over weight with acceleration.
    `holds` is None where inputs are missing (`lacks` says which). `pad_area_cm2` is the pad a
    core that the safety factor needs, were all pads of the mask to grow alike; infinite
    where more pad only leaks more or the core's face is smaller.
    """

    pattern: str
    core: str
    per_mold: int
    mass_kg: float
    area_cm2: float
    leak_l_min_kpa: float
    reached_kpa: float
    leak_l_min: float
    force_n: float
    held: tuple[Held, ...]
    factor: float
    wanted: float
    holds: bool | None
    wanted_kpa: float
    pad_area_cm2: float
    generators: int
    generators_needed: float
    lacks: tuple[str, ...]
    breaks: tuple[str, ...]
    reminds: tuple[str, ...]
    grip: str = "unknown"


@dataclass(frozen=True, slots=True, kw_only=True)
class FitOfPattern:
    """All cores of a pattern on one mask: whether they fit together, the air of a mold and what it costs."""

    pattern: str
    holds: bool | None
    cores: tuple[HoldCheck, ...]
    mask_share: float
    air_l_per_mold: float
    air_cost_per_mold: float


def fits(case: Case) -> tuple[FitOfPattern, ...]:
    """The setter's fit for every pattern with cores.

    Parameters
    ----------
    case : Case
        Cores with mass, size, print area, permeability; setter with generator, acceleration, mask, safety factor.

    Returns
    -------
    tuple of FitOfPattern
        In the order of the case.

    Raises
    ------
    OutOfRange
        If the safety factor is below 1, at which a core falls.
    """
    if case.setter.safety_factor < 1.0:
        raise OutOfRange(f"safety_factor must be at least 1, got {case.setter.safety_factor:g}")
    found = []
    for pattern in case.patterns:
        own = case.on_mask(pattern.pattern)
        if own:
            found.append(_pattern(case, pattern.pattern, own))
    return tuple(found)


def least_safety_factor() -> float:
    """Safety factor below which a porous load is flagged: common practice, no source. [-]"""
    return float(
        next(r["low"] for r in table("common_practice/vacuum").rows if r["quantity"] == "safety_factor_porous")
    )


def _pattern(case: Case, name: str, own: tuple[Core, ...]) -> FitOfPattern:
    setter = case.setter
    leaks = [leak_of(case, core) for core in own]
    total = sum(leak * core.per_mold for leak, core in zip(leaks, own, strict=True))
    reach, curve = math.nan, supply_curve(setter)
    if curve is not None and math.isfinite(total):
        reach = reached_kpa(curve, leak_l_min_kpa=total, generators=setter.generators)
    rows = tuple(_core(case, core, (leak, total), reach) for core, leak in zip(own, leaks, strict=True))
    mask = setter.mask_length * setter.mask_width
    taken = sum(core.length * core.width * core.per_mold for core in own)
    known = [row.holds for row in rows]
    return FitOfPattern(
        pattern=name,
        holds=False if False in known else None if None in known else True,
        cores=rows,
        mask_share=taken / mask if mask > 0 else math.nan,
        air_l_per_mold=setter.air_l_per_cycle,
        air_cost_per_mold=setter.air_l_per_cycle / L_PER_M3 * case.money.air_per_m3.likely,
    )


def _core(case: Case, core: Core, leak: tuple[float, float], reach: float) -> HoldCheck:
    """One core; all cores of the mask hang on the same generators, so the leak of all sets the vacuum."""
    setter = case.setter
    mass = core.mass * (KG_PER_LB if case.units == "us" else 1.0)
    area = core.print_area * cm2_of(case)
    force = reach * area * N_PER_KPA_CM2
    held = orientations(mass, setter.turn_acceleration_m_s2, force, by_form=core.grip == "form")
    factor = min((row.factor for row in held), default=math.nan)
    worst = max(row.needed_n for row in held)
    wanted_kpa = setter.safety_factor * worst / (area * N_PER_KPA_CM2) if area > 0 else math.inf
    lacks, breaks = _lacks(case, core), breaks_of(case, core)
    if math.isfinite(factor) and factor < setter.safety_factor:
        breaks = (*breaks, "force")
    return HoldCheck(
        pattern=core.pattern,
        core=core.core,
        per_mold=core.per_mold,
        mass_kg=mass,
        area_cm2=area,
        leak_l_min_kpa=leak[0],
        reached_kpa=reach,
        leak_l_min=leak[0] * reach,
        force_n=force,
        held=held,
        factor=factor,
        wanted=setter.safety_factor,
        holds=False if breaks else None if lacks else True,
        wanted_kpa=wanted_kpa,
        pad_area_cm2=_on_its_face(case, core, _pad_area(case, core, area, setter.safety_factor * worst)),
        generators=setter.generators,
        generators_needed=_generators(case, leak[1], wanted_kpa),
        lacks=lacks,
        breaks=breaks,
        reminds=_reminds(case, core),
        grip=core.grip,
    )


def orientations(
    mass_kg: float, acceleration_m_s2: float, force_n: float, *, by_form: bool = False
) -> tuple[Held, ...]:
    """Force needed in each position of the turn, and the force held over it.

    Hanging, the weight and the acceleration pull straight off the pads; on edge the weight slides along them and only
    friction holds it while the acceleration pulls off; lying on the mask only the acceleration pulls. With `by_form`
    nests or pins carry the weight on edge, and vacuum holds against lifting off alone.

    Parameters
    ----------
    mass_kg : float
        Mass of the core. [kg]
    acceleration_m_s2 : float
        Largest acceleration while it is turned and lowered. [m/s2]
    force_n : float
        Vacuum times area of the pads. [N]
    by_form : bool
        Whether nests or pins carry it on edge.

    Examples
    --------
    >>> [(row.orientation, round(row.needed_n, 1)) for row in orientations(10.0, 2.0, 500.0)]
    [('hanging', 118.1), ('on edge', 265.2), ('lying', 20.0)]
    """
    needed = {
        "hanging": mass_kg * (GRAVITY_M_S2 + acceleration_m_s2),
        "on edge": mass_kg * ((0.0 if by_form else GRAVITY_M_S2 / FRICTION) + acceleration_m_s2),
        "lying": mass_kg * acceleration_m_s2,
    }
    return tuple(
        Held(orientation=name, needed_n=n, factor=force_n / n if n > 0 else math.inf) for name, n in needed.items()
    )


def _pad_area(case: Case, core: Core, area_cm2: float, needed_n: float) -> float:
    """Pad of one core that holds it, all pads of the mask growing alike: more pad leaks more, by its radius."""
    curve, count = supply_curve(case.setter), case.setter.generators
    own = case.on_mask(core.pattern)

    def spare(times: float) -> float:
        leak = sum(one.per_mold * leak_of(case, replace(one, print_area=one.print_area * times)) for one in own)
        reach = reached_kpa(curve, leak_l_min_kpa=leak, generators=count) if curve else math.nan
        return times * area_cm2 * N_PER_KPA_CM2 * reach - needed_n

    if not (area_cm2 > 0 and math.isfinite(spare(1.0))):
        return math.nan
    low, high = 1.0 / MOST_PAD, MOST_PAD
    if spare(high) < 0:
        return math.inf
    for _ in range(HALVINGS):
        middle = math.sqrt(low * high)
        low, high = (low, middle) if spare(middle) >= 0 else (middle, high)
    return area_cm2 * high


def _on_its_face(case: Case, core: Core, pad_cm2: float) -> float:
    """A pad area, infinite where it would be larger than the core's own face."""
    face = core.length * core.width * cm_of(case) ** 2
    return math.inf if 0 < face < pad_cm2 else pad_cm2


def _generators(case: Case, total: float, wanted_kpa: float) -> float:
    curve = supply_curve(case.setter)
    if curve is None or not math.isfinite(total):
        return math.nan
    return generators_needed(curve, leak_l_min_kpa=total, kpa=wanted_kpa)


def _lacks(case: Case, core: Core) -> tuple[str, ...]:
    """Inputs without which nothing can be said."""
    face = core.length * core.width * cm_of(case) ** 2
    needed = {
        "permeability": core.permeability_afs,
        "print_area": core.print_area,
        "face": 0.0 if 0 < face < core.print_area * cm2_of(case) else 1.0,
        "leak_path": core.leak_path,
        "vacuum_max": case.setter.vacuum_max_kpa or max(case.setter.curve_kpa, default=0.0),
        "vacuum_flow": case.setter.vacuum_flow_l_min or max(case.setter.curve_l_min, default=0.0),
        "size": core.length * core.width,
        "mask": case.setter.mask_length * case.setter.mask_width,
        "mask_mass": case.setter.mask_mass if case.setter.payload else 1.0,
    }
    return tuple(name for name, value in needed.items() if value <= 0)


def _reminds(case: Case, core: Core) -> tuple[str, ...]:
    """What to check on the pattern: prints need taper and clearance to be entered from above; tall cores tip."""
    rows = {row["quantity"]: row for row in table("common_practice/vacuum").rows}
    least = float(rows["print_clearance_per_side"]["low"])
    clearance_mm = core.print_clearance * cm_of(case) / CM_PER_MM
    found = []
    if core.print_taper_deg <= 0:
        found.append("taper")
    if core.print_clearance <= 0:
        found.append("clearance")
    elif clearance_mm < least:
        found.append("clearance_small")
    if core.height > min(core.length, core.width) > 0:
        found.append("tilt")
    if case.setter.safety_factor < least_safety_factor():
        found.append("safety_factor")
    return tuple(found)
