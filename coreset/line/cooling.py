"""How long a pattern's molds must cool: as entered, or by its section between two that the plant knows."""

from __future__ import annotations

import math

from coreset.case import Case, Pattern


def by_section(case: Case, section: float) -> float:
    """Cooling time of a section from the plant's own thin and thick one, on a power of the section; 0 if not stated.

    No rule of the trade is put in: shake-out times are set by experience, so that both points must be the plant's.

    Parameters
    ----------
    case : Case
        Its line with both sections and their times.
    section : float
        Governing section, in the unit of the case. [mm or in]

    Returns
    -------
    float
        t1 (s / s1)^n with n = ln(t2 / t1) / ln(s2 / s1). [min]
    """
    line = case.line
    known = (line.thin_section, line.thin_cooling_min, line.thick_cooling_min, section)
    if min(known) <= 0 or line.thick_section <= line.thin_section:
        return 0.0
    return line.thin_cooling_min * (section / line.thin_section) ** power(case)


def power(case: Case) -> float:
    """By which power of the section the cooling time grows between the two sections that the plant knows. [-]"""
    line = case.line
    return math.log(line.thick_cooling_min / line.thin_cooling_min) / math.log(line.thick_section / line.thin_section)


def cooling_min(case: Case, pattern: Pattern) -> float:
    """Minutes that a pattern's molds must stay in the sand: its own, else by its section; 0 where neither is known."""
    return pattern.cooling_min or by_section(case, pattern.section)


def taken_from_section(case: Case, pattern: Pattern) -> bool:
    """Whether the cooling time is the section's and not entered."""
    return not pattern.cooling_min and by_section(case, pattern.section) > 0


def beyond_known(case: Case, pattern: Pattern) -> bool:
    """Whether that section lies outside the two known ones."""
    return (
        taken_from_section(case, pattern) and not case.line.thin_section <= pattern.section <= case.line.thick_section
    )
