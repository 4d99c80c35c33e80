"""The declared cash flow at fixed values: what the demo comes to, as given and changed, without and with tax."""

import numpy as np
import pytest
from figures_cases import CHANGES, DEMO, RESULTS, SIZE, demo_inputs

from coreset.figures import evaluate
from coreset.money.figures import MODEL


@pytest.mark.parametrize("tax", [False, True], ids=["untaxed", "taxed"])
@pytest.mark.parametrize("name", ["as_given", *CHANGES, "all_twelve"])
def test_results_of_the_demo_and_of_twelve_changes(name, tax):
    """Worked out apart from this program, by an independent implementation of the same formulas."""
    changes = {"as_given": (), "all_twelve": CHANGES}.get(name, (name,))
    found = evaluate(MODEL, demo_inputs(*changes, tax=tax), SIZE, keep=RESULTS)
    expected = DEMO["results_tax" if tax else "results"][name]
    for key, value in expected.items():
        got = float(found[key][0, 0, 0])
        assert got == pytest.approx(np.inf if value is None else value, rel=2e-9, abs=1e-9), key
