"""Ways other than the usual: another setter, no setter at all, a pattern's own mask, patterns that nobody timed."""

import math
from dataclasses import replace
from types import SimpleNamespace

import pytest
from plant import RUNS, SECONDS, mold_cycles, parts, plant, rates, screened, standards
from test_money_weigh import exactly

from coreset.case import Line, Method, Range
from coreset.money.evaluate import weigh

DRAWS = 400
FULL = Line(shifts_per_day=3, days_per_year=300, saved_hours_used=False)
"""Free hours stay unsold, so that every sum can be redone on paper."""


def decide(case=None, known=None, cycles=None, **money):
    """A decision on few draws."""
    case, times, all_cycles, molds, tasks = parts(case, **money)
    return weigh(case, times, all_cycles if cycles is None else cycles, molds if known is None else known, tasks,
                 draws=DRAWS)  # fmt: skip


def timed(seconds):
    """Rates without scatter from seconds a mold."""
    return tuple(
        SimpleNamespace(
            pattern=p, method=m, molds_per_h=3600 / s, draws=[3600 / s] * 3, at=lambda times, s=s: 3600 / (s * times)
        )
        for (p, m), s in seconds.items()
    )


def test_another_setter_has_a_set_of_its_own():
    """A second kind of setter that was timed on BOX alone takes BOX alone, and pays machine, training and one mask."""
    case = exactly(plant(line=FULL))
    case = replace(case, methods=(*case.methods, Method(method="gantry", operators=1, mechanised=True, steps=())))
    found = decide(case, timed(SECONDS | {("BOX", "gantry"): 36.0}))
    rows = {row.name: row for row in found.alternatives}
    assert rows["gantry"].patterns == ("BOX",) and rows["gantry"].timed
    assert rows["gantry"].first_cost == 170_000 + 25_000 + 6_000 + 9_000
    assert rows["core setter"].patterns == found.chosen == ("HUB", "BOX")
    assert rows["gantry"].npv.mean < rows["core setter"].npv.mean


def test_a_way_without_a_machine_costs_its_step_and_no_mask():
    """A rack: 4,000 once, no mask, no air, no change; a mold costs its seconds times the pay of the crew."""
    case = exactly(plant(line=FULL, candidate="hand and rack"))
    known = timed({key: s for key, s in SECONDS.items() if key[1] == "manual"} | {("BOX", "hand and rack"): 50.0})
    found = decide(case, known)
    assert (found.chosen, found.first_cost) == (("BOX",), 4_000.0)
    row = next(row for row in found.patterns if row.pattern == "BOX")
    pay = 23 * 1.42
    assert row.mask_per_year == 0.0
    assert row.cost_per_mold_candidate == pytest.approx(50 / 3600 * pay * 3)
    assert row.cost_per_mold_baseline == pytest.approx(62 / 3600 * pay * 3)
    assert row.saving_per_year == pytest.approx(40_000 * 12 / 3600 * pay * 3)
    assert row.break_even_run_molds == pytest.approx(1.0, rel=1e-2)
    assert not {"mask_changes", "masks", "air"} & {name for year in found.cash_flow for name in year.parts}


def test_a_pattern_pays_for_its_own_mask():
    """HUB's mask at 20,000 in place of 9,000, all patterns forced: 11,000 more at once, and by annuity a year."""
    case = exactly(plant(line=FULL))
    dear = replace(
        case,
        patterns=tuple(
            replace(p, mask_cost=Range.exactly(20_000.0)) if p.pattern == "HUB" else p for p in case.patterns
        ),
    )
    before, after = (
        decide(each, timed(SECONDS), li_limit=1.0, discount_rate=0.0, mask_life_molds=0.0) for each in (case, dear)
    )
    assert before.chosen == after.chosen == tuple(RUNS) == after.forced
    assert after.first_cost - before.first_cost == 11_000
    hub = [next(row for row in found.patterns if row.pattern == "HUB") for found in (before, after)]
    assert hub[1].mask_per_year - hub[0].mask_per_year == pytest.approx(11_000 / 10)
    uncertain = replace(
        dear,
        patterns=tuple(replace(p, mask_cost=p.mask_cost and Range(low=16e3, likely=20e3, high=24e3))
                       for p in dear.patterns),
    )  # fmt: skip
    names = [row.name for row in decide(uncertain, timed(SECONDS), li_limit=1.0).drivers]
    assert names == ["mask_cost.HUB"]


def test_patterns_that_nobody_timed_are_left_out_or_stay():
    """CAP is not timed as today and left out; JOB is not timed under the setter: it stays, and no figure is given."""
    known = timed({key: s for key, s in SECONDS.items() if key[0] != "CAP" and key != ("JOB", "core setter")})
    found = decide(plant(), known)
    assert [row.pattern for row in found.patterns] == ["HUB", "BOX", "JOB"]
    job = found.patterns[-1]
    assert (job.masked, job.why_not) == (False, "not_timed")
    for name in ("seconds_candidate", "seconds_saved", "saving_per_year", "saving_per_second", "mask_per_year"):
        assert math.isnan(getattr(job, name))
    assert job.break_even_run_molds == job.break_even_molds_per_year == math.inf
    told = {(note.code, note.blanks.get("pattern")) for note in found.notes}
    assert {("pattern_left_out", "CAP"), ("pattern_not_timed", "JOB")} <= told
    assert ("pattern_not_timed", "HUB") not in told and ("pattern_left_out", "JOB") not in told


def test_a_claim_on_what_has_no_rate_changes_nothing():
    """The claim stands beside every core setter cycle, but moves the worth only through patterns with a rate."""
    case = exactly(plant())
    case = replace(case, setter=replace(case.setter, claimed_cycle_s=20.0))
    none = timed({key: s for key, s in SECONDS.items() if key[1] == "manual"})
    unknown = decide(case, none)
    assert len(unknown.claims) == len(RUNS) and math.isnan(unknown.claim_npv)
    some = timed({key: s for key, s in SECONDS.items() if key[1] == "manual" or key[0] == "BOX"})
    only_box = [cycle for cycle in mold_cycles() if cycle.pattern == "BOX"]
    assert decide(case, some).claim_npv == decide(case, some, cycles=only_box).claim_npv


def test_the_risk_step_is_none_where_none_is_needed():
    """Today's lifts within the limit: no way is named as the cheapest step."""
    case, times, cycles, molds, _ = parts()
    assert weigh(case, times, cycles, molds, screened(manual=0.9, assisted=0.5), draws=DRAWS).cheapest_risk_step == ""
    assert weigh(case, standards(), cycles, rates(), screened(), draws=DRAWS).cheapest_risk_step == "hand and rack"


def test_a_lifting_index_at_the_limit_is_within_it():
    """A rack that leaves an index of just 1 takes the risk away, one that leaves 1.5 does not, whatever it was."""
    case, times, cycles, molds, _ = parts()
    for rack, removed in ((1.0, True), (1.001, False), (1.5, False)):
        found = weigh(case, times, cycles, molds, screened(rack=rack), draws=DRAWS)
        row = next(row for row in found.alternatives if row.name == "hand and rack")
        assert (row.removes_risk, row.worst_li) == (removed, rack)
        assert (found.cheapest_risk_step == "hand and rack") is removed
