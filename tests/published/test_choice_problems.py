"""Selection problems with known best answers: [fsu_knapsack], [orlib], and the trap of [scipy24141]."""

import numpy as np
import pytest
from printed import rows
from scipy.optimize import linprog

from coreset.money.set_selection import NoSet, all_sets, by_program, kept
from coreset.sources import table


def numbers(text):
    """A row of printed numbers."""
    return np.array([float(value) for value in text.split()])


def relaxed_bound(worth, uses, limits):
    """What could be reached if candidates could be in by parts, by SciPy's linear programming: no set is worth more."""
    found = linprog(-np.asarray(worth), A_ub=uses, b_ub=limits, bounds=(0, 1))
    assert found.status == 0
    return -found.fun


def by_search(worth, uses, limits):
    """The best set by trying every one."""
    sets = all_sets(np.size(worth))
    return sets[:, np.argmax(np.where(kept(uses, limits, sets), np.asarray(worth) @ sets, -np.inf))] > 0


@pytest.mark.parametrize("solve", [by_search, by_program])
@pytest.mark.parametrize("row", rows("fsu_knapsack/instances") + rows("exam_rationing/instances"))
def test_knapsack_instances(row, solve):
    """[fsu_knapsack] P01 to P07 and [exam_rationing]: both ways reach the printed best profit within the capacity."""
    worth, uses = numbers(row.profits), numbers(row.weights)[None]
    chosen = solve(worth, uses, [float(row.capacity)])
    assert worth @ chosen == float(row.optimum)
    assert kept(uses, [float(row.capacity)], chosen)
    assert relaxed_bound(worth, uses, [float(row.capacity)]) >= float(row.optimum) - 1e-9


@pytest.mark.parametrize("solve", [by_search, by_program])
def test_one_alternative_of_each_proposal(solve):
    """[newnan] rationing of 250 with at most one alternative for each proposal: 1A, 2A and 3A."""
    found = table("newnan/rationing").rows
    worth, cost = (np.array([float(row[name]) for row in found]) for name in ("worth", "cost"))
    of_proposal = [[float(row["proposal"] == name) for row in found] for name in "123"]
    chosen = solve(worth, np.vstack([cost, *of_proposal]), [250.0, 1.0, 1.0, 1.0])
    assert [bool(take) for take in chosen] == [row["chosen"] == "yes" for row in found]


@pytest.mark.parametrize("solve", [by_search, by_program])
def test_several_limits_at_once(solve):
    """[orlib] mknap1 problem 1: best profit 3800 under ten limits."""
    found = table("orlib/mknap1_1").rows
    worth = numbers(found[0]["coefficients"])
    uses = np.array([numbers(row["coefficients"]) for row in found[1:]])
    limits = [float(row["limit"]) for row in found[1:]]
    assert worth @ solve(worth, uses, limits) == 3800


def test_solver_keeps_equalities():
    """[scipy24141]: SciPy 1.15 and 1.16 call a point that breaks equalities by 28 a success; ours must not."""
    from scipy.optimize import LinearConstraint, milp

    from coreset.quiet import off_stdout

    *equalities, point = table("scipy24141/equalities").rows
    a = np.array([numbers(row["coefficients"]) for row in equalities])
    b = np.array([float(row["right_hand_side"]) for row in equalities])
    assert (a @ numbers(point["coefficients"]) == b).all()
    with off_stdout():
        found = milp(np.ones(8), integrality=np.ones(8), constraints=LinearConstraint(a, b, b))
    assert not found.success or np.abs(a @ np.round(found.x) - b).max() < 1e-6


def test_a_wrong_solver_is_caught(monkeypatch):
    """A point that the solver calls best but that breaks a limit is refused, not used."""
    from types import SimpleNamespace

    import scipy.optimize

    from coreset.errors import CoresetError

    monkeypatch.setattr(scipy.optimize, "milp", lambda *a, **k: SimpleNamespace(x=np.ones(3), status=0, fun=-3.0))
    with pytest.raises(CoresetError, match="must keep every limit when checked again"):
        by_program([1, 1, 1], [[1, 1, 1]], [2])


def test_forced_beyond_the_limits():
    """Forced candidates that do not fit are refused in words."""
    with pytest.raises(NoSet, match="limits must leave room"):
        by_program([1, 2], [[5, 5]], [4], [0])
    assert by_program([1, 9], [[5, 5]], [5], [0]).tolist() == [True, False]


def test_search_and_program_agree_and_never_beat_the_bound():
    """40 random problems with two limits: the same worth both ways, and never above the relaxed bound."""
    rng = np.random.default_rng(8)
    for _ in range(40):
        n = int(rng.integers(2, 11))
        worth, uses = rng.normal(5, 10, n), rng.uniform(0, 10, (2, n))
        limits = uses.sum(axis=1) * rng.uniform(0.2, 0.9)
        first, second = by_search(worth, uses, limits), by_program(worth, uses, limits)
        assert worth @ first == pytest.approx(worth @ second)
        assert worth @ first <= relaxed_bound(worth, uses, limits) + 1e-6


def test_nothing_reaches_standard_output(capfd):
    """The solver's stray line stays off standard output, which belongs to the answer."""
    rng = np.random.default_rng(2)
    for _ in range(10):
        by_program(rng.normal(5, 3, 30), rng.uniform(0, 10, (2, 30)), [60, 60])
    assert capfd.readouterr().out == ""
