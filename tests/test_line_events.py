"""Random lines of each kind against event simulations: of an accumulating row the rate, within the error of both.

Of the other kinds every mold is out when the event simulation has it out, on the same draws, to 1e-6 s.
"""

import math
from dataclasses import replace
from types import SimpleNamespace

import line_events
import line_kind_cases as kinds
import numpy as np
import plant
import pytest
from line_kind_cases import Invented, fixed_s, line, lognormal_s, per_hour

from coreset.line.critical_loop import critical_loop
from coreset.line.mold_cycle import mold_cycles
from coreset.line.rates import rates
from coreset.line.recursion import finish_times
from coreset.line.steady_cycle import settled

MOLDS = 80
WARM_UP, COUNTED, OURS, LEAST_COUNTED = 1_000, 5_000, 50, 400
"""Molds of an event simulation of a row; runs of ours and the least molds counted in each."""
SMALL = {"mold_positions": (1, 4), "cooling_places": (1, 6)}
KINDS = {
    "indexing line": (
        line_events.indexing, kinds.STRING, ("make", "load", "set", "weights", "pouring", "shake-out"),
        {"cooling_places": (2, 8), "pouring_places": (1, 3)}, ("index_s",),
    ),
    "turntable": (
        line_events.turntable, kinds.TABLE, ("make", "load", "set", "pouring", "shake-out"), SMALL, ("index_s",),
    ),
    "setting station": (
        line_events.station, kinds.APART, ("make", "load", "set", "pouring", "shake-out"),
        SMALL | {"setting_places": (0, 3)}, ("move_s",),
    ),
    "flask loop": (
        line_events.flask_loop, kinds.DRAGS, ("make", "walk", "set", "closing", "pouring", "shake-out"),
        SMALL | {"open_drags": (1, 5), "flasks": (3, 20)}, ("flask_return_s",),
    ),
}  # fmt: skip
"""Event simulation, method, steps with a time, whole facts of the line with their ends, and times of it."""


def random_line(kind, seed):
    """One line of a kind, its scattered seconds by step, and the facts that both models take."""
    _, method, steps, counts, times = KINDS[kind]
    rng = np.random.default_rng((seed, list(KINDS).index(kind)))
    facts = {name: int(rng.integers(low, high + 1)) for name, (low, high) in counts.items()}
    facts |= {name: float(rng.uniform(0.0, 6.0)) for name in times}
    means = {name: (float(rng.uniform(2.0, 20.0)), float(rng.uniform(0.0, 0.5))) for name in steps}
    cool_s = float(rng.choice([0.0, 15.0, 60.0]))
    one = Invented(line(kind, **facts), method, cool_s, means)
    return one, lognormal_s(one, molds=MOLDS, runs=1, seed=seed), facts | {"cool_s": cool_s}


def as_events(kind, one, seconds, facts):
    """Molds out by the event simulation."""
    simulate, _, steps, _, _ = KINDS[kind]
    by_step = {name: seconds[:, one.net.names.index(name), 0] for name in steps}
    more = {"people": one.method.operators} if kind == "flask loop" else {}
    return simulate(by_step, **facts, **more)


def agrees(kind, seeds):
    """Each line's molds as the event simulation has them, and its pace at fixed times that of its slowest loop."""
    for seed in seeds:
        one, seconds, facts = random_line(kind, seed)
        ours = finish_times(one.net, seconds)[:, -1, 0]
        assert np.abs(ours - as_events(kind, one, seconds, facts)).max() < 1e-6, (kind, seed)
        rest = settled(one.net, fixed_s(one))
        assert rest is None or rest.pace_s == pytest.approx(critical_loop(one.net, fixed_s(one))[0], rel=1e-6)


@pytest.mark.parametrize("kind", KINDS)
def test_a_few_random_lines_agree_with_events(kind):
    """Four lines of each kind; and the maximum cycle mean is the pace they settle to."""
    agrees(kind, range(4))


@pytest.mark.slow
@pytest.mark.parametrize("kind", KINDS)
def test_a_hundred_random_lines_agree_with_events(kind):
    """100 lines of each kind."""
    agrees(kind, range(1_000, 1_100))


@pytest.mark.parametrize("count", [1, 3, 8])
def test_machines_that_wait_for_one_server_interfere(count):
    """Finite source: N flasks away for 60 s each, one machine of 12 s (exponential): 1 - 1 / sum N!/(N-k)! r^k busy.

    Computed, by the closed form of one server and N customers, which holds whatever the time away is (Palm; memory).
    """
    times = dict.fromkeys(("walk", "set", "closing", "pouring", "shake-out"), (0.0, 0.0)) | {"make": (12.0, 0.0)}
    facts = {"flasks": count, "flask_return_s": 60.0, "open_drags": 20, "mold_positions": 20}
    one = Invented(line("flask loop", **facts), kinds.DRAGS, 0.0, times)
    seconds = lognormal_s(one, molds=2_200, runs=50)
    seconds[:, one.net.names.index("make")] = np.random.default_rng(9).exponential(12.0, (2_200, 50))
    weights = [math.perm(count, k) * (12.0 / 60.0) ** k for k in range(count + 1)]
    busy = 1.0 - 1.0 / sum(weights)
    assert per_hour(one, seconds, warm_up=200) == pytest.approx(3600.0 / 12.0 * busy, rel=0.006)


def row_of(seed, crew):
    """A random row by the product, from timed cycles to molds an hour, and by events: both rates, and their error."""
    rng, two = np.random.default_rng((seed, crew)), {"operators": 2, "crew": "alternate molds"}
    means = {s.name: (float(rng.uniform(2.0, 20.0)), float(rng.uniform(0.0, 0.5))) for s in kinds.PLATE.steps}
    at_mold_s = sum(means[name][0] for name in ("make", "set", "clear", "close"))
    by_hand_s = sum(means[name][0] for name in ("load", "set", "clear")) / (crew + 1)
    cycle_s, places = max(at_mold_s, by_hand_s), int(rng.integers(1, 40))
    facts = {"mold_positions": int(rng.integers(1, 7)), "cooling_places": places}
    own = {"pouring_s": cycle_s * float(rng.uniform(0.4, 1.2)), "pouring_cv": float(rng.uniform(0.0, 0.4)),
           "shakeout_s": cycle_s * float(rng.uniform(0.1, 0.9))}  # fmt: skip
    cool_s = cycle_s * places * float(rng.choice([0.0, 0.5, 0.9]))

    def drawn(mean, cv, count):
        s = np.sqrt(np.log1p(cv**2))
        return mean * rng.lognormal(-(s**2) / 2, s, count)

    seconds = {name: drawn(*both, WARM_UP + COUNTED) for name, both in means.items()}
    seconds["pouring"] = drawn(own["pouring_s"], own["pouring_cv"], WARM_UP + COUNTED)
    seconds["shake-out"] = np.full(WARM_UP + COUNTED, own["shakeout_s"])
    out = line_events.accumulating(seconds, people=1 + crew, cool_s=cool_s, **facts)
    timed = {name: drawn(*both, 4_000) for name, both in means.items()}
    timed = {name: means[name][0] * each / each.mean() for name, each in timed.items()}
    steps = tuple(replace(step, constant_s=None, element=step.name) for step in kinds.PLATE.steps)
    case = plant.plant(
        form=2, line=line("accumulating conveyor", **facts, **own),
        methods=(replace(kinds.PLATE, steps=steps, **(two if crew else {})),),
        patterns=(replace(plant.plant().patterns[0], cooling_min=cool_s / 60),),
    )  # fmt: skip
    whole_s = float(sum(mean for mean, _ in means.values()))
    study = SimpleNamespace(study="S", pattern=case.patterns[0].pattern, method="m", standard_s=whole_s, elements=(),
                            cycle_standard_s=timed, draws_s=np.full(9, whole_s))  # fmt: skip
    (found,) = rates(case, mold_cycles(case, (study,), replications=50), replications=OURS)
    error = found.mold_cv * np.sqrt(1 / COUNTED + 1 / (OURS * LEAST_COUNTED))
    return found.molds_per_h, 3600 * COUNTED / (out[-1] - out[WARM_UP - 1]), max(error, 1e-4)


def rows_agree(crew, seeds):
    """Molds an hour within the error of both, over all lines; none is off by more than chance and 0.3 %."""
    ours, theirs, error = np.array([row_of(seed, crew) for seed in seeds]).T
    away = (ours / theirs - 1) / error
    print(
        f"{1 + crew} on a row: {np.sqrt(np.mean(away**2)):.2f} errors of both, worst {abs(ours / theirs - 1).max():.2%}"
    )
    assert np.sqrt(np.mean(away**2)) < 1 + 3 / np.sqrt(2 * len(seeds))
    assert (abs(ours / theirs - 1) < 4 * error + 0.003).all()


@pytest.mark.parametrize("crew", [0, 1], ids=["one operator", "two on alternate molds"])
def test_a_few_random_rows_make_the_molds_of_events(crew):
    """Three accumulating rows, each operator timed and the whole line run."""
    rows_agree(crew, range(3))


@pytest.mark.long
@pytest.mark.parametrize("crew", [0, 1], ids=["one operator", "two on alternate molds"])
def test_a_hundred_random_rows_make_the_molds_of_events(crew):
    """100 accumulating rows: the mold cycle, taken as one station of the row, loses nothing against all its steps."""
    rows_agree(crew, range(2_000, 2_100))
