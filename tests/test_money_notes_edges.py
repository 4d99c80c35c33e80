"""What is told and at which edge, from the figures alone: free hours, overtime, injuries, patterns nobody timed."""

from dataclasses import replace
from types import SimpleNamespace

import pytest
from plant import plant

from coreset.case import Range
from coreset.money.notes import SPARE, notes

MIX = SimpleNamespace(unproved=0.0)


def told(case=None, *, needed=990.0, available=1_000.0, irr=(0.1,), changes=1, mix=MIX, ways=(), **known):
    """Notes by code of a decision with these figures; all patterns are weighed and timed unless `known` says less."""
    case = case or plant()
    every = tuple(pattern.pattern for pattern in case.patterns)
    figures = {
        "irr": irr,
        "irr_sign_changes": changes,
        "hours_needed": needed,
        "overtime_limit_h": 500.0,
        "hours_available": available,
        "cash_flow": (),
    }
    case = replace(case, money=replace(case.money, budget=1e9, mask_places=99))
    known = {"patterns": every, "timed": every} | known
    return {note.code: note.blanks for note in notes(case, figures, (), ways, mix, **known)}


def test_nothing_to_tell():
    """One rate, one change of sign, all timed, 1 % of the hours free: silence."""
    assert told() == {}


@pytest.mark.parametrize(
    ("needed", "available", "code", "blanks"),
    [
        (1_010.0, 1_000.0, "overtime_today", {"hours": 10.0}),
        (1_000.5, 1_000.0, "overtime_today", {"hours": 0.5}),
        (1_500.0, 1_000.0, "overtime_today", {"hours": 500.0}),
        (1_501.0, 1_000.0, "overtime_beyond_limit", {"hours": 501.0, "limit": 500.0}),
        (1_000.0, 1_000.0, "", None),
        (980.0, 1_000.0, "", None),  # just the spare share
        (979.0, 1_000.0, "hours_free_today", {"hours": 21.0, "available": 1_000.0}),
        (97.9, 100.0, "hours_free_today", {"hours": pytest.approx(2.1), "available": 100.0}),
        (98.1, 100.0, "", None),
    ],
)
def test_hours_of_the_line(needed, available, code, blanks):
    """Too few hours are told as overtime; free ones above 2 % where more could be sold."""
    assert SPARE == 0.02
    assert told(needed=needed, available=available) == ({code: blanks} if code else {})
    plain = plant()
    none = tuple(replace(p, extra_molds_per_year=Range.exactly(0.0)) for p in plain.patterns)
    few = (replace(none[0], extra_molds_per_year=Range(low=0.0, likely=0.2, high=0.5)), *none[1:])
    assert "hours_free_today" not in told(replace(plain, patterns=none), needed=needed, available=available)
    assert ("hours_free_today" in told(replace(plain, patterns=few), needed=needed, available=available)) is (
        code == "hours_free_today"
    )


@pytest.mark.parametrize(
    ("irr", "changes", "wanted"),
    [
        ((0.1, 0.4), 2, {"irr_several": {"count": 2}}),
        ((), 1, {"irr_none": {}}),
        ((0.1,), 2, {"irr_signs": {"count": 2}}),
        ((0.1,), 1, {}),
    ],
)
def test_rates_of_return(irr, changes, wanted):
    """Several, none, or one where signs change more than once."""
    assert told(irr=irr, changes=changes) == wanted


def test_patterns_left_out_or_not_timed():
    """JOB is not in the decision at all; BOX is, but nobody timed it under the setter; a forced one is told as such."""
    found = told(patterns=("HUB", "BOX", "CAP"), timed=("HUB", "CAP"))
    assert found == {
        "pattern_left_out": {"pattern": "JOB", "method": "manual"},
        "pattern_not_timed": {"pattern": "BOX"},
    }
    forced = told(patterns=("HUB", "BOX", "CAP", "JOB"), timed=("HUB", "CAP", "JOB"), forced=("BOX", "HUB"))
    assert forced == {"forced_not_timed": {"pattern": "BOX"}}


@pytest.mark.parametrize(("high", "on"), [(0.0, False), (0.4, True), (5_000.0, True)])
def test_an_injury_cost_is_told_where_one_was_entered(high, on):
    """However little: the reader must know that it is in the figures."""
    case = plant()
    case = replace(case, money=replace(case.money, injury_cost_per_year=Range(low=0.0, likely=0.0, high=high)))
    assert ("injury_on" in told(case)) is on


def test_limits_and_proofs():
    """Limits that do not hold the forced patterns, a set without proof and what it may miss, a way nobody timed."""
    mix = SimpleNamespace(unproved=0.25)
    ways = [SimpleNamespace(name="rack", timed=False), SimpleNamespace(name="setter", timed=True)]
    assert told(mix=mix, ways=ways) == {
        "set_not_proved": {"more": 0.25},
        "way_not_timed": {"way": "rack"},
    }
