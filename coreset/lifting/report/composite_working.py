"""The working of indices of several tasks: composite (CLI) and variable (VLI), line by line."""

from __future__ import annotations

from typing import Any

from coreset.rounding import fixed
from coreset.text import say
from coreset.working import Working

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
    lines = [
        _several_line("fili", name, "L / FIRWL", f"{fixed(tasks[name].largest, 2)} / {fixed(tasks[name].limit, 4)}", x)
        for name, x in zip(names, map(float, parts.fili), strict=True)
    ]
    worst, stli = tasks[names[0]], float(parts.stli[0])
    numbers = f"{fixed(worst.mean, 2)} / ({fixed(worst.limit, 4)} × {fixed(worst.fili_mean / stli, 4)})"
    lines.append(_several_line("stli", names[0], "L / (FIRWL × FM(F1))", numbers, stli))
    return [*lines, *_sum("cli", names, parts)]


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
    lines, names = [], [say("handling.composite.category", number=place + 1) for place in range(len(found.share))]
    for name, fili, share in zip(names, map(float, found.mean_fili), map(float, found.share), strict=True):
        lines.append(
            _several_line(
                "fili", name, "mean of L / FIRWL", say("handling.composite.share", share=fixed(100 * share, 1)), fili
            )
        )
    order = [names[place] for place in parts.order]
    stli = float(parts.stli[0])
    numbers = f"{fixed(float(parts.fili[0]), 4)} / {fixed(float(parts.fili[0]) / stli, 4)}"
    lines.append(_several_line("stli", order[0], "FILI / FM(F1)", numbers, stli))
    return [*lines, *_sum("vli", order, parts)]


def _sum(what: str, names: list[str], parts: Any) -> list[Working]:
    """What each further task adds, and the sum."""
    lines = []
    for k in range(1, len(names)):
        before, after = (float(parts.cumulated_per_min[j]) for j in (k - 1, k))
        numbers = f"{fixed(float(parts.fili[k]), 4)} × (1/FM({fixed(after, 2)}) - 1/FM({fixed(before, 2)}))"
        lines.append(_several_line("add", names[k], ADDED, numbers, float(parts.increments[k])))
    numbers = " + ".join(fixed(float(x), 4) for x in parts.increments)
    return [*lines, _several_line(what, "", "STLI1 + sum", numbers, parts.index)]


def _several_line(what: str, task: str, formula: str, numbers: str, value: float) -> Working:
    return Working(
        what=say(f"handling.composite.{what}", task=task),
        symbol="" if what == "add" else what.upper(),
        formula=formula,
        numbers=numbers,
        value=value,
        source="waters2016" if what == "vli" else "waters1994",
        where="" if what == "vli" else "section 2.4.5",
        status="memory",
    )
