"""Air through one core of a case: cups on its face, the shape of the flow, with the ends of what is not known."""

from __future__ import annotations

import math

from coreset.case import Case, Core
from coreset.line.leak import cup_leak_l_min_kpa, shape_factor

KG_PER_LB, CM_PER_IN, CM2_PER_IN2, CM_PER_MM = 0.45359237, 2.54, 6.4516, 0.1
LEAST_SHAPE, EDGE = 4.0, 1.2
"""Shape factor of a cup with all around it sealed, and how much more it is at an edge: our own computation. [-]"""
UNKNOWN_LIP = (0.2, 0.05)
"""Lip over radius where none was entered: for the middle figure and for the most leak. [-]"""


def leak_of(case: Case, core: Core) -> float:
    """Leak of all cups of one core; NaN where an input is missing. [l/min per kPa]"""
    if min(core.print_area, core.permeability_afs, core.leak_path) <= 0:
        return math.nan
    radius, shape = cup_radius_cm(case, core), shapes(case, core)[1]
    return core.cups * float(cup_leak_l_min_kpa(permeability_afs=core.permeability_afs, radius_cm=radius, shape=shape))


def cup_radius_cm(case: Case, core: Core) -> float:
    """Radius of a round cup of its share of the face. [cm]"""
    return math.sqrt(core.print_area * cm2_of(case) / core.cups / math.pi)


def shapes(case: Case, core: Core) -> tuple[float, float, float]:
    """Shape factor of a core's cups: the least that a core in the air has, that of the fit, the most near an edge.

    A lip that was not entered is between 0.05 and 0.5 of the radius, and 0.2 for the middle figure.
    """
    radius = cup_radius_cm(case, core)
    path, lip = core.leak_path * cm_of(case) / radius, core.cup_lip * cm_of(case) / radius
    lips = (lip, lip) if lip > 0 else UNKNOWN_LIP
    middle, most = (float(shape_factor(lip_over_radius=one, path_over_radius=path)) for one in lips)
    return LEAST_SHAPE, middle, EDGE * most


def cm_of(case: Case) -> float:
    """Centimetres of one unit of size (mm or in)."""
    return CM_PER_IN if case.units == "us" else CM_PER_MM


def cm2_of(case: Case) -> float:
    return CM2_PER_IN2 if case.units == "us" else 1.0
