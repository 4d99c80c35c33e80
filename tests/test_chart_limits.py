"""Charts at their limits: no whole cycle, no machine, steps that cannot be, a line that takes long to settle."""

import importlib
from types import SimpleNamespace

import chart_cases
import numpy as np
import pytest

from coreset.errors import OutOfRange
from coreset.line.critical_loop import critical_loop
from coreset.line.method_steps import Activity, Wait, net
from coreset.line.mold_cycle import mold_cycles
from coreset.line.steady_cycle import settled
from coreset.line.what_if import loading_inside, what_ifs


@pytest.mark.parametrize("rows", [{}, {"set cores": np.array([])}])
def test_without_a_whole_cycle_the_standard_stands_for_the_chart(rows):
    """No cycle with every element read: one step as long as the standard time, without scatter."""
    found = SimpleNamespace(
        study="S", pattern="BOX", method="manual", standard_s=41.5, draws_s=np.full(9, 41.5), cycle_standard_s=rows
    )
    row = mold_cycles(chart_cases.case(), (found,), replications=50)[0]
    assert (row.mean_s, row.low_s, row.high_s) == (41.5, 41.5, 41.5)
    assert [step.by for step in row.steps] == ["operator"] and row.timed_cycles == 0


def test_what_was_not_timed_has_no_what_ifs():
    """Neither timed nor stated in constants: there is no chart to change."""
    assert what_ifs(chart_cases.case(), (), pair=("BOX", "manual"), replications=10) == ()


def test_without_a_machine_nothing_is_loaded_inside_it():
    """An operator and a setter alone: the chart stays as it is."""
    alone = (
        Activity(name="load", by="operator", constant_s=9.0),
        Activity(name="lower", by="setter", constant_s=8.0, waits=(Wait(step="load"),)),
    )
    assert loading_inside(alone) == alone


BROKEN = {
    "none": (),
    "steps of a method must exist and have names of their own, got a, a": (
        Activity(name="a", by="x", constant_s=1.0),
        Activity(name="a", by="y", constant_s=1.0),
    ),
    "step 'a' must wait for a step of its method, got 'b'": (
        Activity(name="a", by="x", constant_s=1.0, waits=(Wait(step="b"),)),
    ),
    "step 'a' must wait for a step of its method, got 'a'": (
        Activity(name="a", by="x", constant_s=1.0, waits=(Wait(step="a", cycles_back=-1),)),
    ),
}


@pytest.mark.parametrize("words", BROKEN)
def test_steps_that_cannot_be_are_refused(words):
    """No step at all, a name twice, a wait for what is not there or for a cycle to come."""
    with pytest.raises(OutOfRange) as refused:
        net(BROKEN[words])
    assert words in str(refused.value)


def test_a_line_that_settles_late_is_run_on_or_given_up(monkeypatch):
    """A head start of some 26 s is used up by 0.01 s a mold: settled after 2,600 molds, and not within 1,024.

    Each of A and Y alone takes 10 and 9.99 s, no round through both more than 57 s in ten molds: A sets the pace.
    """
    back = (Wait(step="a", cycles_back=10),)
    chain = [Activity(name="x1", by="X1", constant_s=9.0, waits=back)]
    chain += [Activity(name=f"x{k}", by=f"X{k}", constant_s=9.0, waits=(Wait(step=f"x{k - 1}"),)) for k in (2, 3, 4)]
    chart = net(
        (
            Activity(name="a", by="A", constant_s=10.0, waits=(Wait(step="y", cycles_back=10),)),
            *chain,
            Activity(name="y", by="Y", constant_s=9.99, waits=(Wait(step="a"), Wait(step="x4"))),
        )
    )
    seconds = [10.0, 9.0, 9.0, 9.0, 9.0, 9.99]
    found = settled(chart, seconds)
    assert found.pace_s == pytest.approx(10.0, abs=1e-9) == critical_loop(chart, seconds)[0]
    assert found.period == 1 and 2_550 < found.transient < 2_650
    monkeypatch.setattr(importlib.import_module("coreset.line.steady_cycle"), "LONGEST_RUN", 1_024)
    assert settled(chart, seconds) is None
