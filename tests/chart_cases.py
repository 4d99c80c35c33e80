"""Small invented charts for tests of the mold cycle."""

from types import SimpleNamespace

import numpy as np
import plant

from coreset.case import Method, Step

MANUAL = Method(
    method="manual",
    steps=(
        Step(name="mold the drag", by="machine", constant_s=14.0, source="machine's data sheet"),
        Step(name="set cores", by="operator", element="set cores", after=("mold the drag",)),
        Step(name="close", by="machine", constant_s=4.0, source="machine's data sheet", after=("set cores",)),
        Step(name="fetch cores", by="operator", element="fetch cores"),
    ),
)
ASSISTED = Method(
    method="core setter",
    mechanised=True,
    steps=(
        Step(name="mold the drag", by="machine", constant_s=14.0, source="machine's data sheet"),
        Step(name="load mask", by="operator", element="load mask", after_previous=("lower",)),
        Step(name="lower", by="setter", constant_s=8.0, source="trial", after=("mold the drag", "load mask")),
        Step(name="close", by="machine", constant_s=4.0, source="machine's data sheet", after=("lower",)),
    ),
)


def standard(pattern="BOX", method="manual", *, cycles=40, seed=2, **means):
    """A stand-in for a standard: skewed element times by cycle."""
    rng = np.random.default_rng(seed)
    means = means or ({"set cores": 15.0, "fetch cores": 6.0} if method == "manual" else {"load mask": 18.0})
    rows = {name: mean * rng.lognormal(-0.02, 0.2, cycles) for name, mean in means.items()}
    total = sum(rows.values())
    return SimpleNamespace(
        study=f"{pattern}-{method}", pattern=pattern, method=method, standard_s=float(total.mean()),
        draws_s=total.mean() * (1 + 0.03 * rng.standard_normal(4_000)), cycle_standard_s=rows,
    )  # fmt: skip


def case(**changes):
    """The invented plant with the steps of both methods."""
    return plant.plant(**{"methods": (MANUAL, ASSISTED), **changes})


def standards(patterns=("HUB", "BOX", "CAP", "JOB")):
    """Both methods timed on every pattern."""
    return tuple(standard(p, m, seed=i) for i, p in enumerate(patterns) for m in ("manual", "core setter"))
