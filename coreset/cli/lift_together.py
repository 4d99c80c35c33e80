"""What `coreset lift --together` answers: lifts of one job, recorded one by one, as one variable index."""

from __future__ import annotations

import json
from collections.abc import Mapping, Sequence
from typing import Any

from coreset.cli.lift_answer import FEW_ROWS
from coreset.lifting.lift_table import variable_of_rows
from coreset.lifting.report.exposure import rule_text
from coreset.lifting.report.status import index_text
from coreset.text import say


def _lower_limit(found: Any) -> str:
    """The sign of a lower limit, where a condition is not met or a row could not be rated."""
    return say("handling.lift.at_least_sign") if found.variable and (found.at_least or found.left_out) else ""


def together(rows: Sequence[Mapping[str, Any]], per_min: float, *, as_json: bool) -> str:
    """Lifts recorded one by one as one variable index; a row with RWL 0 takes the job beyond the equation.

    Parameters
    ----------
    rows : sequence of mapping
        Lifts, by column.
    per_min : float
        Lifts of all rows together. [1/min]
    as_json : bool
        One document instead of text.
    """
    found = variable_of_rows(rows, per_min)
    one, grid = found.variable, found.gridded
    names = [rows[place].get("task") or place + 1 for place in found.beyond]
    if as_json:
        return json.dumps(
            {
                "vli": one.index if one else None,
                "rule": one.rule if one else None,
                "mean_fili": one.mean_fili.tolist() if one else [],
                "share": one.share.tolist() if one else [],
                "vli_grid": grid.index if grid else None,
                "cells": found.cells,
                "rated": found.rated,
                "left_out": found.left_out,
                "beyond": names,
                "at_least": list(found.at_least),
            }
        )
    if found.beyond:
        shown = ", ".join(str(name) for name in names[:FEW_ROWS])
        words = say("handling.lift.together_beyond", count=len(names), rows=shown, left_out=found.left_out)
    else:
        words = say(
            "handling.lift.together",
            vli=_lower_limit(found) + index_text(one.index if one else None),
            rule=rule_text(one),
            grid=index_text(grid.index if grid else None),
            cells=found.cells,
            rated=found.rated,
            left_out=found.left_out,
        )
    return f"{words}\n{say('handling.lift.caution')}"
