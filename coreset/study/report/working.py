"""The working of a standard time and of the readings needed, to be redone with a pocket calculator."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from coreset.case import Case
from coreset.report.numbers import number
from coreset.report.run_working import both_ends, seeded
from coreset.rounding import fixed
from coreset.sources import table, used
from coreset.study import sample_size
from coreset.study.bootstrap import LEVEL, lag_one
from coreset.study.dependence import shrunk_lag_one
from coreset.study.rating_scales import scale
from coreset.study.series import Series
from coreset.study.standard import ElementTime, Standard
from coreset.study.unit_conversion import units, with_set_up
from coreset.text import say
from coreset.working import Working


def _word(name: str) -> str:
    return say(f"study.working.{name}")


def of_element(row: Standard, e: ElementTime) -> list[Working]:
    """Observed, normal and standard time of one element for one mold."""
    manual = e.kind == "manual"
    factor = e.standard_s / e.normal_s if e.normal_s else math.nan
    lines = [
        Working(
            what=f"{e.element}: {_word('observed')}", symbol="o", formula="o = m f",
            numbers=f"{fixed(e.mean_s, 3)} × {fixed(e.per_mold, 4)}", value=e.observed_s, unit="s",
        )
    ]  # fmt: skip
    if not manual:
        return [*lines, Working(what=f"{e.element}: {_word('machine')}", symbol="S", formula="S = o",
                                numbers=fixed(e.observed_s, 3), value=e.standard_s, unit="s",
                                **used("stevenson", "TIME-machine"))]  # fmt: skip
    unity = scale(row.rating_scale)["unity"] if row.rating_scale else 100.0
    rating = unity * e.normal_s / e.observed_s if e.observed_s else math.nan
    basis = "S = b (1 + A)" if row.allowance_basis == "normal" else "S = b/(1 − A)"
    share = fixed(row.allowance_pct / 100, 4)
    numbers = f"{fixed(e.normal_s, 3)} × (1 + {share})" if row.allowance_basis == "normal" else (
        f"{fixed(e.normal_s, 3)}/(1 − {share})")  # fmt: skip
    return [
        *lines,
        Working(what=f"{e.element}: {_word('normal')}", symbol="b", formula="b = o R/R₀",
                numbers=f"{fixed(e.observed_s, 3)} × {fixed(rating, 2)}/{fixed(unity)}", value=e.normal_s, unit="s",
                where=row.rating_scale, **_scale(row.rating_scale)),
        Working(what=f"{e.element}: {_word('standard')}", symbol="S", formula=basis, numbers=numbers,
                value=e.normal_s * factor, unit="s", where="equations 7-7, 7-8",
                **used("stevenson", "TIME-job" if row.allowance_basis == "normal" else "TIME-shift")),
    ]  # fmt: skip


def _scale(name: str) -> dict[str, Any]:
    """What normal time rests on: the row of its rating scale; without a scale the rule alone."""
    rows = [row.get("status", "") for row in table("bs3138/rating_scales").rows if row["scale"] == name]
    return used("bs3138", rows=rows) if rows else used("stevenson", "TIME-normal")


def of_standard(row: Standard, *, seed: int | None = None) -> list[Working]:
    """All elements of a standard, their sum, the allowance line by line, and the interval."""
    if row.estimated:
        return []
    lines = [line for e in row.elements for line in of_element(row, e)]
    parts = " + ".join(fixed(e.standard_s, 3) for e in row.elements)
    lines.append(
        Working(what=_word("mold"), symbol="S", formula="S = Σ S", numbers=parts, value=row.standard_s, unit="s")
    )
    percents = " + ".join(fixed(line.percent, 1) for line in row.allowance_lines)
    printed = [line for line in row.allowance_lines if line.status]
    rests = used(printed[0].source, rows=[line.status for line in printed]) if printed else {}
    lines.append(
        Working(what=_word("allowance"), symbol="A", formula="A = Σ a", numbers=percents or "0",
                value=row.allowance_pct, unit="%", **rests)
    )  # fmt: skip
    lines += of_ends(row, seed=seed)
    if row.balance is not None and row.balance.elapsed_s > 0:
        b = row.balance
        lines.append(
            Working(what=_word("unaccounted"), formula="|E − K − W − F|/E",
                    numbers=f"|{fixed(b.elapsed_s, 1)} − {fixed(b.check_s, 1)} − {fixed(b.effective_s, 1)} − "
                            f"{fixed(b.ineffective_s, 1)}|/{fixed(b.elapsed_s, 1)}",
                    value=row.unaccounted_pct, unit="%")
        )  # fmt: skip
    return lines


def of_ends(row: Standard, *, seed: int | None = None) -> list[Working]:
    """Both ends of a standard's interval among its draws."""
    shares = (0.5 - LEVEL / 2, 0.5 + LEVEL / 2)
    sd = fixed(row.rater_sd_pct, 2)
    how = "drawn" if row.estimated else "crew" if row.element_draws_s else "resampled"
    names = {end: say(f"study.working.{end}_{how}", sd=sd) for end in ("low", "high")}
    return both_ends(names, row.draws_s, shares, unit="s", where=seeded(seed))


def of_needed(series: Series) -> list[Working]:
    """Readings needed for 5 % at 95 %, step by step."""
    x = series.kept
    mean, sd, n = float(x.mean()), float(x.std(ddof=1)), len(x)
    by_z = sample_size.by_z(mean, sd, share=sample_size.PRECISION)
    effective, by_t = n * sample_size.share_counting(x), sample_size.by_t(mean, sd)
    return [
        Working(what=_word("mean"), symbol="x̄", formula="Σx/n", numbers=f"{fixed(float(x.sum()), 2)}/{n}", value=mean,
                unit="s"),
        Working(what=_word("sd"), symbol="SD", formula="√(Σ(x − x̄)²/(n − 1))",
                numbers=f"√({fixed(float(((x - mean) ** 2).sum()), 2)}/{n - 1})", value=sd, unit="s"),
        Working(what=_word("by_z"), symbol="n", formula="(z SD/(k x̄))²",
                numbers=f"(1.96 × {fixed(sd, 3)}/(0.05 × {fixed(mean, 3)}))²", value=by_z,
                where="equation 7-1", **used("stevenson", "TIME-needed")),
        Working(what=_word("by_t"), symbol="n", formula="t(n − 1) SD/√n ≤ k x̄",
                numbers=f"n = {by_t}", value=by_t, **used("freivalds", "TIME-needed-t")),
        Working(what=_word("lag"), symbol="r₁", formula="Σ(xᵢ − x̄)(xᵢ₊₁ − x̄)/Σ(x − x̄)²",
                numbers=f"n = {n}", value=lag_one(x), **used("nist_strd", rows=[table("nist_strd/certified").status])),
        Working(what=_word("effective"), symbol="n′", formula="n (1 − r)/(1 + r)",
                numbers=f"n = {n}, r = {fixed(shrunk_lag_one(x), 3)}", value=effective),
        Working(what=_word("asked"), symbol="N", formula="t(N − 1) SD √(n/n′)/√N ≤ k x̄",
                numbers=f"SD √({n}/{fixed(effective, 1)}) = {fixed(sd * math.sqrt(n / effective), 3)}",
                value=sample_size.needed(x)),
    ]  # fmt: skip


def of_units(case: Case, row: Standard, *, set_up_min: float, run_molds: float) -> list[Working]:
    """The standard in other units, and with the set-up of a run laid on its molds.

    Parameters
    ----------
    case : Case
        Pattern with its castings, cores, hours of a shift.
    row : Standard
        The standard of one mold. [s]
    set_up_min : float
        Set-up before a run. [min]
    run_molds : float
        Molds that share it, above 0.
    """
    pattern = case.listed(row.pattern)
    cores = case.core_count(row.pattern)
    s, castings = fixed(row.standard_s, 3), pattern.castings_per_mold if pattern else 1
    hours, crew = fixed(case.place.hours_per_shift, 2), fixed(row.crew, 1)
    forms = {
        "core": ("S/k", f"{s}/{cores}"),
        "castings_100": ("100 S/c", f"100 × {s}/{castings}"),
        "work_100": ("100 S w/(3600 c)", f"100 × {s} × {crew}/(3600 × {castings})"),
        "shift": ("3600 h/S", f"3600 × {hours}/{s}"),
    }
    lines = [
        Working(what=say(f"study.unit.{u.unit}"), formula=forms[u.unit][0], numbers=forms[u.unit][1], value=u.value)
        for u in units(case, row)
        if u.unit in forms
    ]
    total = with_set_up(row.standard_s, set_up_min=set_up_min, run_molds=run_molds)
    numbers = f"{s} + 60 × {fixed(set_up_min, 1)}/{fixed(run_molds)}"
    return [*lines, Working(what=_word("set_up"), formula="S + 60 u/n", numbers=numbers, value=total, unit="s")]


def set_up_sentence(row: Standard, *, set_up_min: float, run_molds: float) -> str:
    """The standard with the set-up of a run laid on its molds.

    Parameters
    ----------
    row : Standard
        The standard of one mold. [s]
    set_up_min : float
        Set-up before a run. [min]
    run_molds : float
        Molds that share it, above 0.
    """
    value = fixed(with_set_up(row.standard_s, set_up_min=set_up_min, run_molds=run_molds), 1)
    return say("study.standard.with_set_up", minutes=fixed(set_up_min, 1), molds=number(run_molds), value=value)


def of_pooled(pooled: Standard, rows: Iterable[Standard], *, seed: int | None = None) -> list[Working]:
    """The standard of a pattern and method with its interval for the crew; of several studies, how each weighs.

    Parameters
    ----------
    pooled : Standard
        Of the pattern and method.
    rows : iterable of Standard
        Standards of single studies.
    seed : int, optional
        Of the draws behind the interval.
    """
    own = [row for row in rows if (row.pattern, row.method) == (pooled.pattern, pooled.method) and not row.estimated]
    if len(own) < 2:
        return of_ends(pooled, seed=seed) if own else []
    total = sum(row.cycles for row in own)
    numbers = " + ".join(f"{row.cycles}/{total} × {fixed(row.standard_s, 3)}" for row in own)
    what = say("study.working.pooled", method=pooled.method)
    line = Working(what=what, symbol="S", formula="Σ n S/Σ n", numbers=numbers, value=pooled.standard_s, unit="s")
    return [line, *of_ends(pooled, seed=seed)]
