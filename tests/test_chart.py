"""The mold cycle: the mean of the longest way, the loop that sets it, who waits for whom, windows."""

from dataclasses import replace
from time import process_time
from types import SimpleNamespace

import chart_cases
import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st
from scipy import integrate, stats
from study_cases import case, study

from coreset.case import Element, Line, Method, Step
from coreset.errors import OutOfRange
from coreset.line.critical_loop import arcs, critical_loop
from coreset.line.method_steps import Activity, Wait, activities, net
from coreset.line.mold_cycle import mold_cycles, of_net
from coreset.line.recursion import finish_times
from coreset.line.steady_cycle import settled
from coreset.line.timed_steps import untimed_pairs
from coreset.study.pooling import by_pattern, standards


def by_pair(cycles):
    """Rows by pattern and method."""
    return {(row.pattern, row.method): row for row in cycles}


def side_by_side():
    """Two operators, one on each side, and a machine that waits for both; nobody starts before the machine is done."""
    return net(
        (
            Activity(name="left", by="operator", element="left", waits=(Wait(step="close", cycles_back=1),)),
            Activity(name="right", by="operator 2", element="right", waits=(Wait(step="close", cycles_back=1),)),
            Activity(name="close", by="machine", constant_s=0.0, waits=(Wait(step="left"), Wait(step="right"))),
        )
    )


def test_mean_of_the_max_by_quadrature():
    """Two lognormal operators side by side: the mean mold cycle is E[max], found by integrating 1 - F1 F2."""
    one, two = stats.lognorm(s=0.30, scale=20.0), stats.lognorm(s=0.45, scale=19.0)
    exact = integrate.quad(lambda t: 1 - one.cdf(t) * two.cdf(t), 0, 400, limit=400)[0]
    rng = np.random.default_rng(7)
    elements = {"left": one.rvs(200_000, random_state=rng), "right": two.rvs(200_000, random_state=rng)}
    over = finish_times(
        side_by_side(), np.stack([elements["left"], elements["right"], np.zeros(200_000)])[:, None, :].swapaxes(0, 1)
    )
    assert over[0, 2].mean() == pytest.approx(exact, rel=0.004)
    assert exact > max(one.mean(), two.mean()) + 1.0, "the maximum of means is not the mean of the maximum"


def test_mold_cycle_is_the_mean_of_the_max_over_the_timed_cycles():
    """Whole cycles are drawn: with two operators and a memoryless chart the mean is that of the row-wise maximum."""
    rng = np.random.default_rng(1)
    shared = rng.lognormal(0, 0.3, 60)
    elements = {"left": 20 * shared, "right": 21 / shared}
    means = {name: np.full(4_000, x.mean()) for name, x in elements.items()}
    found = of_net(side_by_side(), elements, name=("P", "m"), targets=means, replications=4_000, rng=rng)
    longest = np.maximum(elements["left"], elements["right"])
    assert found.mean_s == pytest.approx(longest.mean(), rel=0.004)
    assert found.deterministic_s < found.mean_s


@st.composite
def charts(draw):
    """A chart of 2-6 steps of up to three workers, random links and windows, durations in eighths of a second."""
    count = draw(st.integers(2, 6))
    names = [f"s{k}" for k in range(count)]
    found = []
    for k in range(count):
        waits = [Wait(step=names[i]) for i in range(k) if draw(st.booleans())]
        waits += [Wait(step=names[i], cycles_back=draw(st.integers(1, 2))) for i in range(count)
                  if draw(st.integers(0, 3)) == 0]  # fmt: skip
        window = draw(st.sampled_from([0.0, 0.0, 3.0]))
        found.append(Activity(name=names[k], by=draw(st.sampled_from("ABC")), constant_s=1.0,
                              waits=tuple(waits), window_s=window))  # fmt: skip
    return net(found), [draw(st.integers(1, 160)) / 8 for _ in range(count)]


@given(drawn=charts())
@settings(max_examples=150, deadline=None)
def test_deterministic_cycle_is_the_maximum_cycle_mean(drawn):
    """On random charts the loop's mean is what the run chart settles to, to 1e-9: over one period, after the transient.

    Over a fixed window it is off by up to a period's wave over the window, and a start that fades slowly.
    """
    chart, seconds = drawn
    pace, loop = critical_loop(chart, seconds)
    found = settled(chart, seconds)
    assert found is not None and pace == pytest.approx(found.pace_s, rel=0, abs=1e-9)
    assert set(loop) <= set(chart.names) and loop


@given(drawn=charts())
@settings(max_examples=40, deadline=None)
def test_no_loop_listed_one_by_one_is_slower(drawn):
    """Every loop of a small chart, listed one by one: the slowest is the pace, to 1e-9."""
    chart, seconds = drawn
    links = arcs(chart, seconds)
    pace, _ = critical_loop(chart, seconds)
    best = max(sum(a[2] for a in ring) / sum(a[3] for a in ring) for ring in simple_loops(links))
    assert pace == pytest.approx(best, rel=0, abs=1e-9)


def simple_loops(links):
    """Every way along the links that comes back to its lowest step and meets no other step twice."""
    todo = [[arc] for arc in links]
    while todo:
        way = todo.pop()
        start, end = way[0][0], way[-1][1]
        if end == start:
            yield way
        elif end > start and end not in [arc[0] for arc in way]:
            todo += [[*way, arc] for arc in links if arc[0] == end]


def test_a_chart_whose_period_is_two_is_measured_over_two():
    """Three workers hand two masks round, 4 + 4 + 5 s: 6.5 s a mold, though no two molds are 6.5 s apart."""
    back = Wait(step="c", cycles_back=2)
    chart = net(
        (
            Activity(name="a", by="A", constant_s=4.0, waits=(back,)),
            Activity(name="b", by="B", constant_s=4.0, waits=(Wait(step="a"),)),
            Activity(name="c", by="C", constant_s=5.0, waits=(Wait(step="b"),)),
        )
    )
    found = settled(chart, [4.0, 4.0, 5.0])
    assert (found.pace_s, found.period) == (6.5, 2)
    over = finish_times(chart, np.broadcast_to(np.array([4.0, 4.0, 5.0])[None, :, None], (40, 3, 1)).copy())
    assert set(np.diff(over[20:, 2, 0]).round(9)) == {5.0, 8.0}


def test_constants_timed_or_stated_give_the_pace_itself():
    """An element that always took the same is as good as a constant: no interval, the mean is the pace to 1e-9."""
    elements = {"left": np.full(30, 20.0), "right": np.full(30, 21.5)}
    means = {name: np.full(50, x.mean()) for name, x in elements.items()}
    rng = np.random.default_rng(1)
    found = of_net(side_by_side(), elements, name=("P", "m"), targets=means, replications=50, rng=rng)
    assert [found.mean_s, found.low_s, found.high_s, found.deterministic_s] == pytest.approx([21.5] * 4, abs=1e-9)


def test_assisted_loading_runs_beside_the_machine():
    """Loading beside the line limits only where it is longer than molding and closing: both loops by hand."""
    chart = net(activities(chart_cases.ASSISTED, "BOX"))
    short, _ = critical_loop(chart, [14.0, 10.0, 8.0, 4.0])
    long, loop = critical_loop(chart, [14.0, 30.0, 8.0, 4.0])
    assert short == 14 + 8 + 4
    assert long == 30 + 8
    assert set(loop) == {"load mask", "lower"}


def test_core_window_costs_nothing_up_to_its_length():
    """Cores set within the window cost the machine nothing; beyond it each second stops it for a second."""
    manual = Method(
        method="manual",
        steps=(
            Step(name="mold", by="machine", constant_s=20.0),
            Step(name="set", by="operator", constant_s=9.0, after=("mold",)),
            Step(name="close", by="machine", constant_s=5.0, after=("set",)),
        ),
    )
    paces = {}
    for seconds in (4.0, 9.0, 15.0):
        chart = net(activities(manual, "BOX", core_window_s=8.0))
        paces[seconds], _ = critical_loop(chart, [20.0, seconds, 5.0])
    assert paces == {4.0: 25.0, 9.0: 26.0, 15.0: 32.0}


def test_window_does_not_make_two_of_an_operator():
    """An operator with more work than the cycle limits it, however wide the window."""
    chart = net(activities(chart_cases.MANUAL, "BOX", core_window_s=30.0))
    pace, loop = critical_loop(chart, [14.0, 20.0, 4.0, 9.0])
    assert pace == 29.0
    assert set(loop) == {"set cores", "fetch cores"}


def test_shares_add_up_and_waiting_is_named():
    """Working, waiting and idle make one; the machine waits for the operator, who waits for the machine."""
    case = chart_cases.case()
    rows = by_pair(mold_cycles(case, chart_cases.standards(), replications=400))
    row = rows["BOX", "manual"]
    for who, (working, waiting) in row.shares.items():
        assert working + waiting + row.idle[who] == pytest.approx(1.0, abs=0.02)
    assert row.waits_for["machine"]["operator"] == pytest.approx(15.0, rel=0.15)
    assert row.left_out == ()


def test_what_people_do_without_a_step_is_not_forgotten():
    """A timed manual element without a step is done after the operator's others; a machine's is left out and named."""
    found = chart_cases.standard(**{"set cores": 30.0, "fetch cores": 6.0, "change pallet": 4.0, "wait": 9.0})
    kinds = {"set cores": "manual", "fetch cores": "manual", "change pallet": "manual", "wait": "machine"}
    found.elements = tuple(SimpleNamespace(element=name, kind=kind) for name, kind in kinds.items())
    row = mold_cycles(chart_cases.case(), (found,), replications=300)[0]
    without = mold_cycles(chart_cases.case(), (chart_cases.standard(**{"set cores": 30.0, "fetch cores": 6.0}),),
                          replications=300)[0]  # fmt: skip
    assert [step.name for step in row.steps][-1] == "change pallet" and row.left_out == ("wait",)
    assert row.mean_s > without.mean_s - 0.5


def test_a_serial_chart_is_the_standard_draw_by_draw():
    """One operator, one element after another, two studies of unlike raters: the mold cycle is the crew's standard."""
    rng = np.random.default_rng(2)
    rows = [[(c, e, 9 * float(rng.lognormal(0, 0.3))) for c in range(12) for e in "ab"] for _ in range(2)]
    rows[0].append((3, "c", 14.0))
    names = ["a", Element(name="b", kind="machine"), Element(name="c", occasional=True)]
    both = [study(r, names, study=f"S{i}", operator=f"W{i}", rater_sd_pct=2.0 * i) for i, r in enumerate(rows)]
    plain = Method(method="manual", steps=())
    found = case(both, methods=(plain,), patterns=(chart_cases.case().patterns[0],))
    found = replace(found, studies=tuple(replace(s, pattern=found.patterns[0].pattern) for s in both))
    (pooled,) = by_pattern(standards(found, resamples=500)).values()
    (cycle,) = mold_cycles(found, [pooled], replications=500)
    assert cycle.draws_s == pytest.approx(pooled.draws_s, abs=1e-11)
    assert (cycle.low_s, cycle.high_s) == pytest.approx((pooled.standard_low_s, pooled.standard_high_s))


def test_bars_are_to_scale_and_do_not_overlap():
    """In the drawn chart nobody does two things at once, and the drawn cycles are as long as the deterministic one."""
    row = by_pair(mold_cycles(chart_cases.case(), chart_cases.standards(), replications=100))["BOX", "core setter"]
    for who in {bar.by for bar in row.bars}:
        own = sorted((bar for bar in row.bars if bar.by == who), key=lambda bar: bar.start_s)
        assert all(b.start_s >= a.end_s - 1e-9 for a, b in zip(own, own[1:], strict=False))
    ends = [bar.end_s for bar in row.bars if bar.step == "close"]
    assert np.diff(ends) == pytest.approx([row.deterministic_s] * 2)


def test_a_step_without_a_time_leaves_its_pair_out():
    """A step that takes an element nobody timed for the pair leaves that pair out, which is told; not the others."""
    case, every = chart_cases.case(), chart_cases.standards()
    unlike = chart_cases.standard(**{"place": 3.0})
    pair = (unlike.pattern, unlike.method)
    found = by_pair(mold_cycles(case, (*(s for s in every if (s.pattern, s.method) != pair), unlike), replications=10))
    assert pair not in found and found
    assert [(p, m) for p, m, _ in untimed_pairs(case, (unlike,))] == [pair]
    assert "set cores" in next(untimed_pairs(case, (unlike,)))[2]


def test_steps_in_a_ring_are_refused():
    """Two steps of one cycle that wait for each other are refused by name."""
    ring = (
        Activity(name="a", by="x", constant_s=1.0, waits=(Wait(step="b"),)),
        Activity(name="b", by="y", constant_s=1.0, waits=(Wait(step="a"),)),
    )
    with pytest.raises(OutOfRange, match="ring, got a, b"):
        net(ring)


def test_no_steps_means_one_operator_after_another():
    """A method without steps takes the standard time of its elements in sequence."""
    case = chart_cases.case(methods=(Method(method="manual", steps=()),), line=Line())
    row = mold_cycles(case, (chart_cases.standard(),), replications=500)[0]
    assert row.mean_s == pytest.approx(chart_cases.standard().standard_s, rel=0.01)


def test_same_seed_same_answer():
    """The draws of a mold cycle are the same each time."""
    case, found = chart_cases.case(), chart_cases.standards()
    first, again = (mold_cycles(case, found, replications=500)[0] for _ in range(2))
    assert np.array_equal(first.draws_s, again.draws_s)


@pytest.mark.slow
def test_many_charts_take_little_time():
    """10,000 resampled studies of four patterns under two methods take a few tenths of a second of the processor."""
    case, found = chart_cases.case(), chart_cases.standards()
    begun = process_time()
    charts = mold_cycles(case, found)
    took = process_time() - begun
    print(f"10,000 replications x {len(charts)} charts: {took:.2f} s")
    assert took < 3.0
