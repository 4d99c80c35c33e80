"""Objective rating in words and working: pace against one standard, then an addition for the difficulty of the job."""

from __future__ import annotations

from collections.abc import Iterable

from coreset.rounding import fixed
from coreset.sources import table, used
from coreset.study.rating_scales import difficulty_pct, objective, scale
from coreset.study.standard import Standard
from coreset.text import say
from coreset.working import Working

TABLE = "mundel/difficulty"


def factors() -> dict[str, dict[str, str]]:
    """Rows that may be chosen by factor: code and condition with percent; those known from memory only are left out."""
    found: dict[str, dict[str, str]] = {}
    printed = table(TABLE)
    for row in printed.rows:
        if printed.row_status(row) != "memory":
            found.setdefault(row["factor"], {})[row["code"]] = f"{row['condition']}, {row['percent']} %"
    return found


def times(row: Standard) -> dict[str, float]:
    """Observed times that may be rated: the whole study's work by hand, then each element by hand. [s]"""
    manual = {e.element: e.observed_s for e in row.elements if e.kind == "manual" and e.observed_s > 0}
    return {"": sum(manual.values()), **manual}


def name_of(element: str) -> str:
    """Name of an element, or of the work by hand as a whole."""
    return element or say("study.pace.whole")


def working(observed_s: float, *, pace_pct: float, codes: Iterable[str], scale_name: str) -> list[Working]:
    """Difficulty, normal time and the rating that says the same, step by step.

    Parameters
    ----------
    observed_s : float
        Observed time. [s]
    pace_pct : float
        Pace against the one standard pace. [%]
    codes : iterable of str
        Secondary adjustments, as printed.
    scale_name : str
        Scale that the rating which says the same is stated on.
    """
    codes = tuple(codes)
    percents = {row["code"]: row["percent"] for row in table(TABLE).rows}
    d = difficulty_pct(codes)
    unity = scale(scale_name)["unity"]
    normal = objective(observed_s, pace_pct=pace_pct, difficulty=d)
    o, p, share = fixed(observed_s, 3), fixed(pace_pct / 100, 3), fixed(d / 100, 3)
    rows = [row.get("status", "") for row in table(TABLE).rows if row["code"] in codes]
    return [
        Working(what=say("study.pace.difficulty"), symbol="D", formula="Σ d",
                numbers=" + ".join(percents[code] for code in codes) or "0", value=d, unit="%",
                where=", ".join(codes), **used("mundel", rows=rows or ["reprinted"])),
        Working(what=say("study.pace.normal"), symbol="b", formula="o P (1 + D)", numbers=f"{o} × {p} × (1 + {share})",
                value=normal, unit="s", **used("mundel", "RATING-objective")),
        Working(what=say("study.pace.rating", scale=scale_name), symbol="R", formula="R₀ P (1 + D)",
                numbers=f"{fixed(unity)} × {p} × (1 + {share})", value=unity * pace_pct / 100 * (1 + d / 100)),
    ]  # fmt: skip


def sentence(lines: list[Working]) -> str:
    """What comes out, and what to enter."""
    d, normal, rating = lines
    return say("study.pace.result", difficulty=fixed(d.value), normal=fixed(normal.value, 1),
               rating=fixed(rating.value, 1))  # fmt: skip
