"""One worker and machines that call at random: [freivalds], [work_study_items], and a simulation as second opinion."""

import numpy as np
import pytest
import simpy
from printed import as_printed, rows

from coreset.line.interference import binomial, by_chance, waiting_pct

FREIVALDS = rows("freivalds/interference")


@pytest.mark.parametrize("row", [r for r in FREIVALDS if r.values[0].down_share])
def test_three_machines_by_the_binomial(row):
    """[freivalds] (memory): chances of 0 to 3 machines down, 3.328 of 24 machine hours lost, 13.9 %."""
    found = binomial(int(row.machines), down_share=float(row.down_share))
    assert found.chances == tuple(as_printed(x) for x in (row.all_run, row.one_down, row.two_down, row.three_down))
    assert found.lost == as_printed(row.lost_share)
    assert found.lost * int(row.machines) * 8 == as_printed(row.lost_hours_of_8)


@pytest.mark.parametrize("row", [r for r in FREIVALDS if r.values[0].waiting_pct])
def test_sixty_machines_by_the_formula_of_1936(row):
    """[freivalds] (memory): 1160 % and 34.8 min as remembered; the formula gives 1158.9 % and 34.77 min."""
    found = waiting_pct(int(row.machines), run=float(row.run_min), service=float(row.service_min))
    assert found == pytest.approx(float(row.waiting_pct), abs=2)
    assert found / 100 * float(row.service_min) == pytest.approx(float(row.waiting_min), abs=0.05)
    assert np.isnan(waiting_pct(6, run=10.0, service=1.0))


@pytest.mark.parametrize("row", rows("work_study_items/finite_source"))
def test_four_machines_and_one_repairer(row):
    """[work_study_items]: chances within 0.0015, for the exercise rounds as it goes; 0.822 down and 3.178 running."""
    found = by_chance(int(row.machines), run=1 / float(row.fails_per_h), service=1 / float(row.repairs_per_h))
    printed = (row.none_down, row.one_down, row.two_down, row.three_down, row.four_down)
    assert found.chances == pytest.approx([float(x) for x in printed], abs=0.0015)
    assert (found.down, found.running) == pytest.approx((float(row.mean_down), float(row.mean_running)), abs=0.005)


@pytest.mark.parametrize(("machines", "workers"), [(4, 1), pytest.param(6, 2, marks=pytest.mark.slow)])
def test_machines_that_call_at_random_by_simpy(machines, workers):
    """The same machines as processes that ask for a worker: machines waiting, within four errors over 40 stretches."""
    run, service, stretch, count = 12.0, 2.0, 4_000.0, 40
    rng, env, waits = np.random.default_rng(11), simpy.Environment(), np.zeros(count + 1)
    crew = simpy.Resource(env, capacity=workers)

    def machine():
        while True:
            yield env.timeout(rng.exponential(run))
            begun = env.now
            with crew.request() as asked:
                yield asked
                waits[min(count, int(env.now / stretch))] += env.now - begun
                yield env.timeout(rng.exponential(service))

    for _ in range(machines):
        env.process(machine())
    env.run(until=stretch * count)
    each = waits[1:count] / (stretch * machines)
    found = by_chance(machines, run=run, service=service, workers=workers)
    assert each.mean() == pytest.approx(found.lost, abs=4 * each.std(ddof=1) / np.sqrt(len(each)))


@pytest.mark.parametrize("machines", [2, 3, 5, 8])
@pytest.mark.parametrize("service", [0.5, 1.5, 4.0])
def test_the_binomial_leaves_out_that_waiting_adds_up(machines, service):
    """A machine that waits is down longer and meets more others: the binomial loses less than the exact chance."""
    rough = binomial(machines, down_share=service / (6.0 + service)).lost
    assert 0 < rough < by_chance(machines, run=6.0, service=service).lost
