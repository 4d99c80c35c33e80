"""Random lines of each kind: every mold out when an event simulation has it out, on the same draws, to 1e-6 s."""

import math

import line_events
import line_kind_cases as kinds
import numpy as np
import pytest
from line_kind_cases import Invented, fixed_s, line, lognormal_s, per_hour

from coreset.line.critical_loop import critical_loop
from coreset.line.recursion import finish_times
from coreset.line.steady_cycle import settled

MOLDS = 80
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
