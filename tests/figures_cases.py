"""Fixed values of the demo plant for tests of the figures, with what twelve single changes come to."""

import copy
import json
import math
import re
from pathlib import Path

import numpy as np

from coreset.figures import Size
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


def redone(numbers, codes):
    """What a printed line comes to: its own digits and signs, nothing else."""
    for code in codes:
        numbers = numbers.replace(f"{code} ", "")
    text = numbers.replace(",", "").replace("−", "-").replace("·", "*").replace("^", "**").replace(";", ",")
    assert re.fullmatch(r"[-0-9.+*/() ,a-z]*", text), text
    known = {"max": max, "min": min, "ceil": math.ceil, "log": math.log, "exp": math.exp, "never": math.inf}
    return float(eval(text, {"__builtins__": {}}, known))
