"""Choosing under limits: every set, limits to the last bit, and what the compiled solver hands back checked again."""

from itertools import product
from types import SimpleNamespace

import numpy as np
import pytest

from coreset.errors import CoresetError
from coreset.money.set_selection import NoSet, NotProved, all_sets, by_program, kept


@pytest.mark.parametrize("count", [1, 2, 5])
def test_every_set_is_there_once_and_the_empty_one_first(count):
    """All columns of 0 and 1, by the product of itertools."""
    found = [tuple(column) for column in all_sets(count).T]
    assert found[0] == (0.0,) * count and sorted(found) == sorted(product((0.0, 1.0), repeat=count))


def test_limits_by_hand():
    """Uses 1 2 4 and 3 1 1 under limits of 5 and 4: of the eight sets those that keep both."""
    uses, limits = [[1, 2, 4], [3, 1, 1]], [5, 4]
    sets = all_sets(3)
    wanted = [a + 2 * b + 4 * c <= 5 and 3 * a + b + c <= 4 for a, b, c in sets.T]
    assert kept(uses, limits, sets).tolist() == wanted and sum(wanted) == 6
    for column, keeps in zip(sets.T, wanted, strict=True):
        assert kept(uses, limits, column) == keeps
    assert kept(uses, limits, [1, 0, 0]) and not kept(uses, [5, 2.9], [1, 0, 0])


@pytest.mark.parametrize("limit", [1e6, 1.0, 1e-3, 0.0, -1e6])
def test_limits_are_kept_but_for_rounding(limit):
    """A billionth of the limit, or of one, is rounding; twice that is not."""
    room = 1e-9 * max(1.0, abs(limit))
    assert kept([[limit]], [limit], [1.0])
    assert kept([[limit + 0.5 * room]], [limit], [1.0]) and not kept([[limit + 2 * room]], [limit], [1.0])


@pytest.mark.parametrize("seed", range(6))
def test_programs_of_two_limits_equal_trying_all(seed):
    """Eight candidates under two limits, two of them forced, some worth less than nothing."""
    rng = np.random.default_rng(seed)
    worth, uses = rng.normal(20, 30, 8), rng.uniform(1, 10, (2, 8))
    limits, forced = uses.sum(axis=1) * 0.5, [2, 5]
    sets = all_sets(8)
    able = kept(uses, limits, sets) & (sets[forced] > 0).all(axis=0)
    best = sets[:, np.argmax(np.where(able, worth @ sets, -np.inf))]
    assert by_program(worth, uses, limits, forced).tolist() == (best > 0).tolist()
    with pytest.raises(NoSet, match="leave room for the patterns that must go over"):
        by_program(worth, uses, limits * 0.01, forced)


def solver(monkeypatch, **found):
    """The compiled solver replaced by one that answers this; what it was asked is kept."""
    import scipy.optimize

    asked = {}

    def milp(c, **given):
        asked.update(given, c=c)
        return SimpleNamespace(**{"x": None, "status": 0, "mip_dual_bound": None} | found)

    monkeypatch.setattr(scipy.optimize, "milp", milp)
    return asked


@pytest.mark.parametrize(
    ("x", "good"),
    [((1.0, 0.0), True), ((1 - 9e-6, 9e-6), True), ((1 - 2e-5, 0.0), False), ((1.0, 2e-5), False), ((0.6, 0.4), False)],
)
def test_an_answer_that_is_not_whole_is_refused(x, good, monkeypatch):
    """A hundred-thousandth is rounding of the solver; more is no set."""
    solver(monkeypatch, x=np.array(x))
    if good:
        assert by_program([3, 1], [[1, 1]], [2]).tolist() == [True, False]
    else:
        with pytest.raises(CoresetError, match="must keep every limit when checked again"):
            by_program([3, 1], [[1, 1]], [2])


def test_an_answer_beyond_a_limit_is_refused(monkeypatch):
    """Both patterns where one place is left: checked again and refused; no gap was allowed, whole numbers asked for."""
    asked = solver(monkeypatch, x=np.array([1.0, 1.0]))
    with pytest.raises(CoresetError, match="must keep every limit when checked again"):
        by_program([3, 1], [[1, 1]], [1], [1])
    assert asked["options"]["mip_rel_gap"] == 0.0 and asked["integrality"].tolist() == [1, 1]
    assert asked["bounds"].lb.tolist() == [0.0, 1.0] and np.all(np.asarray(asked["bounds"].ub) == 1.0)
    assert asked["c"].tolist() == [-3.0, -1.0]


@pytest.mark.parametrize(("bound", "more"), [(-7.5, 4.5), (-3.0, 0.0), (-2.9, 0.0)])
def test_what_is_open_without_a_proof(bound, more, monkeypatch):
    """The set found is worth 3, nothing can be worth more than the bound: the difference, never below nothing."""
    solver(monkeypatch, x=np.array([1.0, 0.0]), status=1, mip_dual_bound=bound)
    with pytest.raises(NotProved) as late:
        by_program([3, 1], [[1, 1]], [2])
    assert late.value.more == pytest.approx(more) and late.value.chosen.tolist() == [True, False]


@pytest.mark.parametrize(("status", "raised"), [(1, NotProved), (2, NoSet)])
def test_no_answer_for_want_of_time_or_of_a_set(status, raised, monkeypatch):
    """Time passed: nothing proved, anything may be missing. Else there is no set."""
    solver(monkeypatch, status=status)
    with pytest.raises(raised) as refused:
        by_program([3, 1], [[1, 1]], [2])
    if raised is NotProved:
        assert refused.value.more == np.inf and refused.value.chosen is None
