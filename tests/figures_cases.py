"""Fixed values of the demo plant for tests of the figures, with what twelve single changes come to."""

import copy
import json
import math
import re
from pathlib import Path

import numpy as np

from coreset.figures import Size, evaluate
from coreset.money.figures import MODEL

DEMO = json.loads((Path(__file__).parent / "figures_demo.json").read_text(encoding="utf-8"))
SIZE = Size(patterns=len(DEMO["patterns"]), years=DEMO["years"])
RESULTS = tuple(DEMO["results"]["as_given"])
CHANGES = tuple(DEMO["changes"])
ZERO = {key: 0.0 for key, each in MODEL.inputs.items() if each.default is None and key not in DEMO["inputs"]}


def demo_inputs(*changes, tax=False):
    """Inputs of the demo at fixed values, some of the named changes made, without or with tax."""
    found = copy.deepcopy(ZERO | DEMO["inputs"] | (DEMO["tax"] if tax else {}))
    found["runs_counted"] = found["runs_per_year"]
    found.setdefault("volume_share", np.ones((SIZE.patterns, SIZE.years)).tolist())
    for name in changes:
        change = DEMO["changes"][name]
        place = change["place"]
        if not place:
            found[change["key"]] = change["value"]
            continue
        target = found[change["key"]]
        for index in place[:-1]:
            target = target[index]
        target[place[-1]] = change["value"]
    return found


KEEP = ("npv", "irr", "payback_years", "project_flow", "equity_flow", "equity_npv", "net", "loan_owed", "interest")


def purchase(years, shares=(), **changes):
    """Figures of a purchase with one pattern and nothing but what is named; shares are written off by year.

    A yearly saving stands in as injury cost avoided, on which nothing else depends.
    """
    by_year = np.zeros(years)
    by_year[: min(years, len(shares))] = np.asarray(shares, dtype=float)[:years]
    plain = dict.fromkeys(ZERO, 0.0) | {
        "rate_today": 60.0,
        "rate_proposed": 60.0,
        "moved": 1.0,
        "runs_counted": 1.0,
        "shifts_per_day": 1.0,
        "castings_per_mold": 1.0,
        "write_off_share": by_year,
        "write_off_share_later": by_year,
    }
    inputs = {key: 0.0 for key, each in MODEL.inputs.items() if each.default is None} | plain | changes
    found = evaluate(MODEL, inputs, Size(patterns=1, years=years), keep=KEEP)
    return {key: value[0, :, 0] if value.size > 1 else float(value.item()) for key, value in found.items()}


def redone(numbers, codes):
    """What a printed line comes to: its own digits and signs, nothing else."""
    for code in codes:
        numbers = numbers.replace(f"{code} ", "")
    text = numbers.replace(",", "").replace("−", "-").replace("·", "*").replace("^", "**").replace(";", ",")
    assert re.fullmatch(r"[-0-9.+*/() ,a-z]*", text), text
    known = {"max": max, "min": min, "ceil": math.ceil, "log": math.log, "exp": math.exp, "never": math.inf}
    return float(eval(text, {"__builtins__": {}}, known))
