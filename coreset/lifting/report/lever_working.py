"""The working of platform and tilt: what they make of reach, heights and travel."""

from __future__ import annotations

import math

from coreset.case import UNIT_SETS
from coreset.lifting.report.working import plain_number
from coreset.lifting.task_values import LINKED, TaskAt, linked
from coreset.text import say
from coreset.working import Working


def working_of_levers(task: TaskAt) -> list[Working]:
    """Lines of geometry with the figures put in.

    Parameters
    ----------
    task : TaskAt
        With its platform and tilt.

    Returns
    -------
    list of Working
        Heights at both ends, reach at the destination, travel; empty where there is neither platform nor tilt.
    """
    v, n = task.values, plain_number
    after = linked(task)
    if not any(v[name] for name in LINKED) or math.isnan(after["vertical_origin"] + after["vertical_destination"]):
        return []
    height, tilt, depth = n(v["platform"]), n(v["mask_tilt_deg"]), n(task.depth)
    rises = f"{n(v['vertical_destination'])} + {depth} × sin {tilt}° - {height}"
    nearer = f"{n(v['horizontal_destination'])} - {depth} × (1 - cos {tilt}°)"
    travel = f"|{n(float(after['vertical_destination']))} - {n(float(after['vertical_origin']))}|"
    excess = float(after["travel"]) - abs(float(after["vertical_destination"] - after["vertical_origin"]))
    lines = [
        ("origin", "V1", "V - P", f"{n(v['vertical_origin'])} - {height}", "vertical_origin"),
        ("destination", "V2", "V + r sin t - P", rises, "vertical_destination"),
        ("reach", "H2", "H - r (1 - cos t)", nearer, "horizontal_destination"),
        ("travel", "D", "|V2 - V1|", f"{travel} + {n(excess)}" if task.travel else travel, "travel"),
    ]
    return [
        Working(
            what=say(f"handling.geometry.{code}"),
            symbol=symbol,
            formula=formula,
            numbers=numbers,
            value=float(after[name]),
            unit=UNIT_SETS[task.units]["length"],
            source="",
            where=say("handling.geometry.where"),
            status="",
        )
        for code, symbol, formula, numbers, name in lines
    ]
