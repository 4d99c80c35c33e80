"""One worker and machines: published synchronous servicing, and a standard with bare machine time, by the chart."""

import pytest
from printed import as_printed, rows

from coreset.line.critical_loop import critical_loop
from coreset.line.method_steps import Activity, Wait, net


def serving(machines, load, run, walk):
    """One worker who loads each machine in turn and walks on; machine and worker are both bound while loading."""
    steps = []
    for i in range(machines):
        steps += [
            Activity(name=f"load {i}", by="worker", constant_s=load, waits=(Wait(step=f"run {i}", cycles_back=1),)),
            Activity(name=f"walk {i}", by="worker", constant_s=walk),
            Activity(name=f"run {i}", by=f"machine {i}", constant_s=run, waits=(Wait(step=f"load {i}"),)),
        ]
    chart = net(steps)
    return critical_loop(chart, [step.constant_s for step in steps])


@pytest.mark.rules("TIME-machines")
@pytest.mark.parametrize("row", rows("freivalds/worker_machine"))
def test_machines_one_worker_can_serve(row):
    """[freivalds] n' = (l + m)/(l + w): up to it the worker waits and the cycle is l + m, beyond it n (l + w)."""
    load, run, walk = (float(x) for x in (row.load_min, row.run_min, row.walk_min))
    few = int(row.machines_low)
    idle_worker, loop = serving(few, load, run, walk)
    busy_worker, worker_loop = serving(few + 1, load, run, walk)
    assert idle_worker == pytest.approx(load + run) and len(loop) == 2
    assert busy_worker == pytest.approx((few + 1) * (load + walk))
    assert {name.split()[0] for name in worker_loop} == {"load", "walk"}
    assert idle_worker / (busy_worker / (few + 1)) == pytest.approx(float(row.n_prime), abs=0.05)


@pytest.mark.unverified
def test_cost_of_a_piece_with_either_number_of_machines():
    """[freivalds] (memory): four machines are cheaper than three by a tenth of a cent, from the charts' cycles."""
    row = rows("freivalds/worker_machine")[1].values[0]
    load, run, walk = (float(x) for x in (row.load_min, row.run_min, row.walk_min))
    for machines, printed in ((3, row.cost_low), (4, row.cost_high)):
        hours = serving(machines, load, run, walk)[0] / 60
        found = hours * (float(row.worker_per_h) + machines * float(row.machine_per_h)) / machines
        assert found == pytest.approx(float(printed), abs=0.001)


@pytest.mark.rules("TIME-machine")
@pytest.mark.parametrize("row", rows("stevenson/machine_element"))
def test_machine_time_bears_no_allowance(row):
    """[stevenson] problem 7-7: worker's time rated and allowed, machine time bare, one after the other."""
    worker = float(row.worker_min) * float(row.rating_pct) / 100 * (1 + float(row.allowance_pct) / 100)
    assert serving(1, worker, float(row.machine_min), 0.0)[0] == as_printed(row.standard_min)
