"""The working of indices of several tasks: composite (CLI) and variable (VLI), line by line."""

from __future__ import annotations

import math
from collections.abc import Iterable
from typing import Any

from coreset.lifting.constants import constant_status, coupling_status, frequency_status, limit_status
from coreset.rounding import fixed
from coreset.sources import used, weakest
from coreset.text import say
from coreset.working import Working

COMPOSITE, VARIABLE, SEQUENTIAL = "waters1994", "waters2016", "waters2007"
SUM_RULES = ("N-m-cli", "N-m-order", "N-m-fmsum", "N-v-cli", "N-m-duration")
"""Rules of a sum over several tasks."""
STLI_RULES = ("N-m-strwl", "N-load-fili")
ADDED = "FILI × (1/FM(F1 + .. + Fi) - 1/FM(F1 + .. + Fi-1))"


def working_of_composite(job: Any, found: Any) -> list[Working]:
    """Lines of working of a composite index: every FILI, the worst STLI, what each further task adds, the sum.

    Parameters
    ----------
    job : handling.job.Job
        Tasks of one pattern and method.
    found : handling.job.JobIndex
        Its composite index at a pace.

    Returns
    -------
    list of Working
        Empty where the index is outside the table or not a composite.
    """
    parts = found.composite
    if parts is None or parts.index is None:
        return []
    names = [found.tasks[place] for place in parts.order]
    tasks = {task.lift.task: task for task in job.tasks}
    hold = {name: task.lift.coupling for name, task in tasks.items()}
    rows = [limit_status(float(f), hold[name]) for name, f in zip(names, parts.cumulated_per_min, strict=True)]
    lines = [
        _several_line("fili", name, "L / FIRWL", f"{fixed(tasks[name].largest, 2)} / {fixed(tasks[name].limit, 4)}", x,
                      COMPOSITE, "N-m-firwl", "N-load-fili", rows=[constant_status(), coupling_status(hold[name])])
        for name, x in zip(names, map(float, parts.fili), strict=True)
    ]  # fmt: skip
    worst, stli = tasks[names[0]], float(parts.stli[0])
    numbers = f"{fixed(worst.mean, 2)} / ({fixed(worst.limit, 4)} × {fixed(worst.fili_mean / stli, 4)})"
    lines.append(
        _several_line("stli", names[0], "L / (FIRWL × FM(F1))", numbers, stli, COMPOSITE, *STLI_RULES, rows=rows[:1])
    )
    total = _several_line("cli", "", *_total(parts), COMPOSITE, *SUM_RULES, rows=rows)
    return [*lines, *_sum(names, parts, rows), total]


def working_of_variable(found: Any) -> list[Working]:
    """Lines of working of a variable index: mean FILI and share of each category, then the composite index of them.

    Parameters
    ----------
    found : handling.composite.Variable
        Its categories, lowest first.

    Returns
    -------
    list of Working
        Empty where the index is outside the table.
    """
    parts = found.composite
    if parts.index is None:
        return []
    rules = ("VLI-lifts", "VLI-six" if found.rule == "ranges" else "VLI-sextiles")
    lines, names = [], [say("handling.composite.category", number=place + 1) for place in range(len(found.share))]
    for name, fili, share in zip(names, map(float, found.mean_fili), map(float, found.share), strict=True):
        lines.append(
            _several_line(
                "fili",
                name,
                "mean of L / FIRWL",
                say("handling.composite.share", share=fixed(100 * share, 1)),
                fili,
                VARIABLE,
                *rules,
            )  # fmt: skip
        )
    order = [names[place] for place in parts.order]
    rows = [weakest((frequency_status(float(f)), constant_status())) for f in parts.cumulated_per_min]
    stli = float(parts.stli[0])
    numbers = f"{fixed(float(parts.fili[0]), 4)} / {fixed(float(parts.fili[0]) / stli, 4)}"
    lines.append(_several_line("stli", order[0], "FILI / FM(F1)", numbers, stli, COMPOSITE, *STLI_RULES, rows=rows[:1]))
    return [*lines, *_sum(order, parts, rows), _several_line("vli", "", *_total(parts), VARIABLE, *rules, rows=rows)]


def working_of_rotation(turn: Any, *, method: str) -> list[Working]:
    """The line of a sequential index (SLI): which slot leads and what the others add; none outside the table.

    Parameters
    ----------
    turn : handling.pace_and_mix.Rotation
        A shift in which one person does several patterns in turn.
    method : str
        Its method of setting cores.
    """
    if turn is None or not math.isfinite(turn.index):
        return []
    own, longest, hours = zip(*turn.parts, strict=True)
    lead = own.index(max(own))
    means = " + ".join(f"{fixed(x, 4)} × {fixed(h, 3)}" for x, h in zip(longest, hours, strict=True))
    share = f"({means}) / ({fixed(longest[lead], 4)} × {fixed(sum(hours), 3)})"
    numbers = f"{fixed(own[lead], 4)} + ({fixed(longest[lead], 4)} − {fixed(own[lead], 4)}) × {share}"
    rules = ("SLI-formula", "SLI-max", "SLI-time")
    formula = "LI1 + (LImax1 − LI1) × Σ LImax T / (LImax1 Σ T)"
    return [_several_line("sli", method, formula, numbers, turn.index, SEQUENTIAL, *rules)]


def _sum(names: list[str], parts: Any, rows: list[str]) -> list[Working]:
    """What each further task adds."""
    lines = []
    for k in range(1, len(names)):
        before, after = (float(parts.cumulated_per_min[j]) for j in (k - 1, k))
        numbers = f"{fixed(float(parts.fili[k]), 4)} × (1/FM({fixed(after, 2)}) - 1/FM({fixed(before, 2)}))"
        added = float(parts.increments[k])
        lines.append(_several_line("add", names[k], ADDED, numbers, added, COMPOSITE, *SUM_RULES, rows=rows[: k + 1]))
    return lines


def _total(parts: Any) -> tuple[str, str, float]:
    """Formula, figures and value of the sum."""
    return "STLI1 + sum", " + ".join(fixed(float(x), 4) for x in parts.increments), parts.index


def _several_line(
    what: str, task: str, formula: str, numbers: str, value: float, source: str, *rules: str, rows: Iterable[str] = ()
) -> Working:
    return Working(
        what=say(f"handling.composite.{what}", task=task),
        symbol="" if what == "add" else what.upper(),
        formula=formula,
        numbers=numbers,
        value=value,
        where="section 2.4" if source == COMPOSITE else "",
        **used(source, *rules, rows=rows),
    )
