"""Conformance files: up to date with the published tables, and this program held against them as any other can be."""

import numpy as np
import pytest
from line_oracles import throughput
from list_conformance import METHODS, TARGET, listing
from money_kinds import figure_of
from printed import as_printed, conformance, tolerance
from study_cases import case, columns

from coreset.bodywork.carry_energy import Carried, carry_kcal, walk_kcal
from coreset.bodywork.composite_strain import composite_strain, cumulative_strain
from coreset.bodywork.energy import (
    Vertical,
    endurance_min,
    energy_limit_kcal_per_min,
    standing_kcal_per_min,
    vertical_kcal,
)
from coreset.bodywork.hand_work import Hands, revised_strain_index
from coreset.bodywork.static_hold import static_rest_share
from coreset.lifting import equation
from coreset.lifting.by_hand import by_hand
from coreset.lifting.composite import composite_index, sequential_index, variable_index
from coreset.lifting.en_iso import factored_index
from coreset.lifting.lift_end import MULTIPLIERS, Posture, lifting_index, rate
from coreset.money.irr import irr_roots
from coreset.money.tax import macrs, macrs_mid_quarter
from coreset.sources import STATUSES
from coreset.study.pooling import standards

FORMULA = {
    "hm": equation.horizontal_multiplier,
    "vm": equation.vertical_multiplier,
    "dm": equation.distance_multiplier,
    "am": equation.asymmetry_multiplier,
}


@pytest.mark.parametrize("method", METHODS)
def test_files_are_those_of_the_tables(method):
    """Each file is what tests/list_conformance.py writes; each row has a status and a source, none is empty."""
    text = (TARGET / f"{method}.csv").read_text(encoding="utf-8")
    assert text == listing(method) and len(text.splitlines()) > 1
    for one in conformance(method):
        row = one.values[0]
        assert row.status in STATUSES and row.source
    assert f"{method}.csv" in (TARGET / "README.md").read_text(encoding="utf-8")


@pytest.mark.parametrize("row", conformance("lifting_multipliers"))
def test_multipliers(row):
    """[waters1994] Tables 1 to 5 and 7, by hand arithmetic."""
    if row.multiplier == "fm":
        found = equation.frequency_multiplier(float(row.input), row.duration, float(row.vertical), units=row.units)
    elif row.multiplier == "cm":
        found = equation.coupling_multiplier(row.input, float(row.vertical), units=row.units)
    else:
        x = float(row.input)
        units = {} if row.multiplier == "am" else {"units": row.units}
        exact = FORMULA[row.multiplier](x, **units)
        found = by_hand(row.multiplier, exact, x, row.units)
    assert float(found) == pytest.approx(float(row.printed))


@pytest.mark.parametrize("row", conformance("lifting_equation"))
def test_lifting_equation(row):
    """[waters1994] multipliers, limit and index of each end, by hand arithmetic; an empty cell was not printed."""
    end = rate(
        Posture(
            horizontal=float(row.horizontal_in),
            vertical=float(row.vertical_in),
            vertical_at_origin=float(row.vertical_origin_in),
            travel=float(row.travel_in),
            angle_deg=float(row.asymmetry_deg),
            frequency_per_min=float(row.frequency_per_min),
            duration=row.duration,
            coupling=row.coupling,
            units="us",
        ),
        hand_arithmetic=True,
    )
    for name in MULTIPLIERS:
        assert not getattr(row, name) or float(getattr(end, name)) == float(getattr(row, name)), name
    assert float(end.rwl) == float(row.rwl_lb)
    if row.li:
        assert float(lifting_index(float(row.load_lb), end.rwl, hand_arithmetic=True)) == float(row.li)


@pytest.mark.parametrize("row", conformance("composite_index"))
def test_composite_index(row):
    """[waters1994] section 2.4.5; all tasks begin at or above the reference height."""
    lists = row.load_lb, row.firwl_lb, row.frequency_per_min
    load, limit, f = (np.array([float(x) for x in cell.split()]) for cell in lists)
    found = composite_index(
        fili=load / limit,
        stli_independent=load / limit,
        frequency_per_min=f,
        vertical=30 + 0 * f,
        duration=row.duration,
        units="us",
    )
    within = tolerance(row.printed) * (2 if row.status == "computed" else 1)
    assert found.index == pytest.approx(float(row.printed), abs=within)


@pytest.mark.parametrize("row", conformance("sequential_index"))
def test_sequential_index(row):
    """[waters2007], formula from memory: rotations of one to four jobs."""
    own, whole_shift, hours = ([float(x) for x in cell.split()] for cell in (row.own, row.whole_shift, row.hours))
    assert sequential_index(own=own, whole_shift=whole_shift, hours=hours) == as_printed(row.index)


@pytest.mark.parametrize("row", conformance("variable_index"))
def test_variable_index(row):
    """[waters2016] lifts that all differ, by six equal parts of the range of FILI."""
    fili, weight, v = ([float(x) for x in cell.split()] for cell in (row.fili, row.weight, row.vertical_cm))
    found = variable_index(
        fili=fili, weight=weight, total_per_min=float(row.total_per_min), vertical=v, duration=row.duration
    )
    assert found.index == (as_printed(row.index) if row.index else None)


@pytest.mark.parametrize("row", conformance("factored_limits"))
def test_factored_limits(row):
    """[en1005_2], [iso11228_2021] (memory), [hse2004]: one hand, further tasks, long shifts and teams."""
    found = factored_index(
        float(row.rwl_kg), float(row.load_kg), hands=int(row.hands), persons=int(row.persons),
        hours=float(row.hours), extra_tasks=row.extra_tasks == "yes",
    )  # fmt: skip
    assert found.index == as_printed(row.index)
    assert found.rwl * int(row.persons) == as_printed(row.limit_kg)


@pytest.mark.parametrize("row", conformance("static_rest"))
def test_static_rest(row):
    """[rohmert1960] (memory) with the endurance of [bernard2006]."""
    share = float(row.share_of_strength)
    assert endurance_min(share) == as_printed(row.endurance_min)
    assert static_rest_share(float(row.hold_min), share) == as_printed(row.rest_share)


@pytest.mark.parametrize("row", conformance("standard_time"))
def test_standard_time(row):
    """Standard time of one unit from readings, ratings, allowance and its basis, within the stated tolerance."""
    readings = [[float(x) for x in part.split()] for part in row.readings.split(";")]
    study = columns(readings, [float(r) for r in row.ratings.split()])
    (found,) = standards(case([study], percent=100 * float(row.allowance), basis=row.basis), resamples=50)
    if row.standard:
        assert found.standard_s == pytest.approx(float(row.standard), abs=float(row.tolerance_standard) * (1 + 1e-9))
    for element, printed in zip(found.elements, row.normal.split(), strict=False):
        assert element.normal_s == pytest.approx(float(printed), abs=float(row.tolerance_normal) * (1 + 1e-9))


@pytest.mark.parametrize("row", conformance("money_measures"))
def test_money_measures(row):
    """Worth, rate, payback, yearly cost and depreciation, to half a unit of the last printed digit.

    A worth of flows that are printed rounded is within half a unit of each of them.
    """
    flow = [float(c) for c in row.flow.split()]
    if row.printed == "none":
        assert irr_roots(flow) == ()
    elif row.kind == "irr":
        assert any(root == as_printed(row.printed) for root in irr_roots(flow))
    elif row.kind == "npv_of_rounded":
        assert figure_of(row) == pytest.approx(float(row.printed), abs=0.5 * len(flow))
    else:
        assert figure_of(row) == as_printed(row.printed)


@pytest.mark.parametrize("row", conformance("macrs"))
def test_macrs(row):
    """[irs946] Tables A-1 to A-5."""
    years = int(row.class_years)
    shares = macrs_mid_quarter(years, int(row.quarter)) if row.quarter else macrs(years)
    assert 100 * shares[int(row.year) - 1] == pytest.approx(float(row.percent))


@pytest.mark.parametrize("row", conformance("revised_strain_index"))
def test_revised_strain_index(row):
    """[garg2017] five multipliers and their product."""
    given = ("effort_borg", "efforts_per_min", "exertion_s", "wrist_deg", "hours")
    found = revised_strain_index(Hands(**{name: float(getattr(row, name)) for name in given}))
    printed = {"intensity": row.im, "rate": row.em, "exertion": row.dm, "wrist": row.pm, "hours": row.hm}
    assert found.multipliers == {name: as_printed(text) for name, text in printed.items()}
    assert found.index == as_printed(row.rsi)


@pytest.mark.parametrize("row", conformance("strain_sums"))
def test_strain_sums(row):
    """[garg2017cosi] tasks of a job and jobs of a day, also where more work lowers the sum."""
    indices, amounts = ([float(x) for x in cell.split()] for cell in (row.indices, row.amounts))
    if row.kind == "cosi":
        found = composite_strain(indices=indices, efforts_per_min=amounts)
    else:
        found = cumulative_strain(indices=indices, hours=amounts)
    assert found.index == as_printed(row.index)


@pytest.mark.parametrize("row", conformance("energy_terms"))
def test_energy_terms(row):
    """[garg1978] each task element."""
    number = {name: float(text) for name, text in vars(row).items() if name[-2:] in ("kg", "_m", "_s") and text}
    if row.term == "standing":
        found = standing_kcal_per_min(number["body_kg"])
    elif row.distance_m:
        carried = Carried(**{"load_kg": 0.0} | number, place=row.term.removeprefix("carry_"))
        found = walk_kcal(carried) if row.term == "walk" else carry_kcal(carried)
    else:
        style, _, up = row.term.rpartition("_")
        found = vertical_kcal(Vertical(**number, style=style, lowering=up == "lower", men=row.men == "yes"))
    assert found == as_printed(row.kcal)


@pytest.mark.parametrize("row", conformance("energy_limits"))
def test_energy_limits(row):
    """[waters1993] by zone and duration; two digits are cut where the rule gives 4.75 and 3.80."""
    found = energy_limit_kcal_per_min(row.duration, 50 if row.zone == "low" else 75)
    assert found == pytest.approx(float(row.kcal_per_min), abs=0.101 if row.kcal_per_min in ("4.7", "3.7") else 0.0501)


def repairs(row, rng):
    """Cycles of two stages that stop with a stated chance in a cycle, for a constant time or until a chance ends it."""
    size = (5_000, 200)
    if row.p_fail_1:
        stages = [(float(row.p_fail_1), float(row.p_repair_1)), (float(row.p_fail_2), float(row.p_repair_2))]
        return np.stack([1.0 + np.where(rng.random(size) < p, rng.geometric(r, size), 0) for p, r in stages])
    lasts = float(row.repair_min) / float(row.cycle_min)
    down = lasts if row.downtime == "constant" else rng.geometric(1 / lasts, (2, *size))
    return 1.0 + np.where(rng.random((2, *size)) < float(row.stops_per_cycle), down, 0.0)


@pytest.mark.parametrize("row", conformance("two_stage_line"))
def test_two_stage_lines(row):
    """[buzacott1967] our own chain of it within 1 %, between no buffer and an endless one; [groover] within 2 %.

    The book's approximation (memory) stops the whole line with its last place; blocking after service holds one mold
    more. Without a buffer a stop of either stage stops both.
    """
    if not int(row.buffer):
        share = float(row.stops_per_cycle) * float(row.repair_min) / float(row.cycle_min)
        assert float(row.efficiency) == pytest.approx(1 / (1 + 2 * share))
        return
    chances = bool(row.p_fail_1)
    mean, _ = throughput(repairs(row, np.random.default_rng(8)), (int(row.buffer) - (not chances),))
    assert mean == pytest.approx(float(row.efficiency), rel=0.01 if chances else 0.02)
    if chances:
        ends = [(float(row.p_fail_1), float(row.p_repair_1)), (float(row.p_fail_2), float(row.p_repair_2))]
        assert 1 / (1 + sum(p / r for p, r in ends)) < mean < min(r / (r + p) for p, r in ends)
