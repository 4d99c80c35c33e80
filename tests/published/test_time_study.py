"""Worked examples of time study: [stevenson], [heizer], [freivalds], [ilo1957], solved exercises."""

import math

import numpy as np
import pytest
from printed import as_printed, conformance, rows
from study_cases import case, columns

from coreset.bodywork.energy import rest_share
from coreset.sources import tables
from coreset.study import rating_scales, sample_size
from coreset.study.allowances import factor, force_row, table_line
from coreset.study.learning_curve import fit
from coreset.study.machines import cheapest, ideal, tended
from coreset.study.pooling import standards

BOOKS = ("stevenson", "heizer", "freivalds", "work_study_items")


def examples(name, keys=BOOKS):
    """All worked examples of that name, whichever book prints them."""
    have = {f"{key}/{name}" for key in keys}
    return [row for path in tables() if path in have for row in rows(path)]


LEAST_FITTED = 8
"""Times that a curve is fitted to at least."""
FITTED = 0.02
"""Exponents are tried in steps of a few percent, so that a rate is known within 2 %."""


@pytest.mark.rules("TIME-job", "TIME-normal")
@pytest.mark.parametrize("row", examples("standard_times"))
def test_standard_times(row):
    """Each printed observed, normal and standard time comes out of readings, rating, allowance and basis."""
    readings = [[float(x) for x in part.split()] for part in row.readings.split(";")]
    s = columns(readings, [float(r) for r in row.ratings.split()])
    found = standards(case([s], percent=100 * float(row.allowance), basis=row.basis), resamples=50)[0]
    within = float(row.tolerance_normal) * (1 + 1e-9)
    for element, printed in zip(found.elements, row.observed.split(), strict=False):
        assert element.observed_s == pytest.approx(float(printed), abs=max(within, 0.006))
    for element, printed in zip(found.elements, row.normal.split(), strict=False):
        assert element.normal_s == pytest.approx(float(printed), abs=within)
    if row.standard:
        assert found.standard_s == pytest.approx(float(row.standard), abs=float(row.tolerance_standard) * (1 + 1e-9))


@pytest.mark.parametrize(
    ("observed", "rating", "allowance", "basis", "posted", "right"),
    [
        (18.75, 0.96, 15, "normal", 22.456, 20.70),  # rating divides instead of multiplying
        (0.452, 0.90, 13, "normal", 0.468, 0.4597),  # job time taken as 1/(1 - A)
        (100.0, 1.00, 20, "shift", 100.56, 125.0),  # workday taken as 1 + A on a wrong normal time
    ],
)
def test_posted_answers_that_are_wrong_are_not_reproduced(observed, rating, allowance, basis, posted, right):
    """Solved exercises on the web with wrong answers: negative tests (traps 1 and 2)."""
    found = standards(case([columns([[observed]], [rating])], percent=allowance, basis=basis), resamples=50)[0]
    assert found.standard_s == pytest.approx(right, abs=0.001)
    assert found.standard_s != pytest.approx(posted, abs=0.005)


@pytest.mark.rules("TIME-needed")
@pytest.mark.parametrize("row", conformance("readings_needed"))
def test_sample_sizes(row):
    """Readings needed by the z form, relative or absolute, before and after rounding up."""
    x = [float(v) for v in row.readings.split()]
    mean, sd = (np.mean(x), np.std(x, ddof=1)) if x else (float(row.mean), float(row.sd))
    how = {"share": float(row.share)} if row.share else {"error": float(row.error)}
    n = sample_size.by_z(mean, sd, z=float(row.z), **how)
    assert n == pytest.approx(float(row.before_rounding), abs=float(row.tolerance))
    assert math.ceil(n) == int(row.needed)


@pytest.mark.rules("TIME-needed")
def test_trap_10_rounding_down_falls_short():
    """A quiz offers 9 readings for mean 13, s 1, 5 %, 95 %: the exact 9.09 asks for 10."""
    assert math.ceil(sample_size.by_z(13.0, 1.0, z=1.96, share=0.05)) == 10


@pytest.mark.rules("TIME-needed-root")
@pytest.mark.unverified
@pytest.mark.parametrize(("readings", "printed"), [([7, 6, 7, 7, 6], 8.81), ([8, 7, 8, 8, 7], 6.64)])
def test_the_forty_root_form(readings, printed):
    """[ilo1992] from memory: 95.45 % and 5 %, with the divisor n: a fifth fewer at five readings."""
    assert sample_size.by_root(readings) == pytest.approx(printed, abs=0.01)
    usual = sample_size.by_z(np.mean(readings), np.std(readings, ddof=1), z=2, share=0.05)
    assert sample_size.by_root(readings) / usual == pytest.approx(0.8)


@pytest.mark.rules("TIME-needed-t")
@pytest.mark.unverified
def test_the_t_form():
    """[freivalds] pilot of 25, mean 0.30, s 0.09: (2.064 x 0.09/(0.05 x 0.30))^2 = 153.3; iterated t asks for less."""
    assert sample_size.by_z(0.30, 0.09, z=2.064, share=0.05) == pytest.approx(153.3, abs=0.1)
    assert 138 < sample_size.by_t(0.30, 0.09) < 154


@pytest.mark.rules("TIME-cycles")
@pytest.mark.parametrize("row", rows("freivalds/cycles_by_length"))
def test_rough_cycles_by_length(row):
    """[freivalds] from memory: the cycles advised for each length of cycle."""
    longest = min(float(row.cycle_min_up_to), 60.0)
    assert sample_size.rough_cycles(60 * longest) == int(row.cycles)


@pytest.mark.rules("RATING-levelling")
@pytest.mark.parametrize("row", rows("lowry1940/levelling"))
def test_levelling_grades(row):
    """[lowry1940] every grade's value enters the factor by addition; the others average."""
    grades = {"skill": "D", "effort": "D", "conditions": "D", "consistency": "D"} | {row.factor: row.code}
    assert rating_scales.levelling(**grades) == pytest.approx(1 + float(row.value))


@pytest.mark.rules("RATING-levelling")
@pytest.mark.unverified
def test_levelling_example():
    """[freivalds] skill C2, effort C1, conditions D, consistency E: 1 + 0.03 + 0.05 + 0 - 0.02 = 1.06."""
    assert rating_scales.levelling(skill="C2", effort="C1", conditions="D", consistency="E") == pytest.approx(1.06)


@pytest.mark.rules("RATING-levelling")
def test_trap_8_only_the_1940_table_is_offered():
    """Another table with steps of 0.05 shares the grade letters: C is no skill grade here, G is none anywhere."""
    for code in ("C", "G"):
        with pytest.raises(ValueError, match="skill must be a grade of the levelling table"):
            rating_scales.levelling(skill=code, effort="D", conditions="D", consistency="D")


@pytest.mark.rules("RATING-objective")
@pytest.mark.unverified
def test_objective_rating():
    """[mundel] as [barnes1980] has it: 0.26 min at 95 % with 20 % difficulty is 0.297 min."""
    assert rating_scales.objective(0.26, pace_pct=95, difficulty=20) == pytest.approx(0.297, abs=0.001)


@pytest.mark.rules("RATING-objective")
def test_difficulty_rows_from_memory_are_not_offered():
    """Body, pedal and two-hand rows were read in a reprint; eye-hand and handling rows were not."""
    assert rating_scales.difficulty_pct(("E", "H2")) == 26
    with pytest.raises(ValueError, match="difficulty must be one of"):
        rating_scales.difficulty_pct(("Q",))


@pytest.mark.rules("RATING-scales")
@pytest.mark.parametrize("row", conformance("rating_scales"))
def test_rating_scales_share_their_daywork_pace(row):
    """[bs3138] the daywork point of every scale is one pace, and four thirds of it the incentive point."""
    assert rating_scales.on_scale(float(row.daywork), row.scale, "100-133") == pytest.approx(100)
    assert rating_scales.on_scale(float(row.incentive), row.scale, "100-133") == pytest.approx(133, abs=0.5)


@pytest.mark.rules("ALLOW-rows", "ALLOW-rows-kg")
@pytest.mark.parametrize("row", conformance("rest_allowances"))
def test_every_allowance_row_is_found(row):
    """[ilo1957], [ilo1979] each printed row gives its percent, by cause and condition or by mass."""
    if "-" in row.percent:
        with pytest.raises(ValueError, match="the percent must be stated"):
            table_line(row.cause, row.condition, table_key=row.table)
        return
    assert table_line(row.cause, row.condition, table_key=row.table).percent == float(row.percent)
    if mass := row.mass_lb or row.mass_kg:
        units = "us" if row.mass_lb else "metric"
        assert force_row(float(mass), units=units, table_key=row.table)[0].percent == float(row.percent)


@pytest.mark.rules("ALLOW-add")
@pytest.mark.parametrize(
    ("lines", "total"),
    [
        ([("personal", ""), ("basic fatigue", ""), ("standing", ""), ("abnormal position", "slightly awkward"),
          ("use of force", "10 lb"), ("bad light", "slightly below recommended"),
          ("noise level", "intermittent, loud"), ("monotony", "high")], 18),
        ([("personal", ""), ("basic fatigue", ""), ("standing", ""), ("abnormal position", "slightly awkward"),
          ("use of force", "45 lb"), ("bad light", "quite inadequate"), ("noise level", "intermittent, very loud"),
          ("monotony", "low")], 32),
    ],
)  # fmt: skip
def test_built_up_allowances(lines, total):
    """[stevenson] problem 6 of chapter 7 and a variant of it: the rows add to 18 and to 32 %."""
    assert sum(table_line(c, k, table_key="ilo1957").percent for c, k in lines) == total


@pytest.mark.rules("TIME-job", "TIME-shift")
def test_both_bases_of_one_allowance():
    """[stevenson] eq. 7-7 and 7-8: 20 % of the job is 1.20, 20 % of the day 1.25."""
    assert factor(20, "normal") == as_printed("1.20")
    assert factor(20, "shift") == as_printed("1.25")


@pytest.mark.rules("LEARN-unit")
@pytest.mark.parametrize("row", conformance("learning_curve"))
def test_learning_curves_unit_form(row):
    """Unit times and totals of printed curves, and the rate fitted to them; books use factors of three decimals."""
    units = [int(float(u)) for u in row.units.split()]
    first, rate = float(row.first), float(row.rate)
    curve = first * np.arange(1, max(*units, LEAST_FITTED) + 1) ** np.log2(rate)
    for n, printed in zip(units, row.unit_times.split(), strict=True):
        assert curve[n - 1] == pytest.approx(float(printed), abs=float(row.tolerance_unit))
    for n, printed in zip(units, row.totals.split(), strict=False):
        assert curve[:n].sum() == pytest.approx(float(printed), abs=float(row.tolerance_total))
    found = fit(curve)
    assert (found.rate, found.start) == pytest.approx((rate, first), rel=FITTED)
    assert found.plateau == pytest.approx(0.0, abs=0.1 * first)


def test_worker_and_machines_ratio():
    """Solved exercise after [freivalds]: l 1.0, m 2.0, w 0.1 min gives 2.7 machines."""
    assert ideal(load=1.0, machine=2.0, away=0.1) == pytest.approx(2.7, abs=0.05)


@pytest.mark.rules("TIME-machines")
@pytest.mark.unverified
def test_trap_13_rounding_down_is_not_always_cheapest():
    """[freivalds] l 1.41, m 4.34, w 0.08 min, 10 and 20 an hour: 3 machines 2.236, 4 machines 2.235."""
    given = {"load": 1.41, "machine": 4.34, "away": 0.08, "worker_rate": 10 / 60, "machine_rate": 20 / 60}
    assert tended(3, **given).cost == pytest.approx(2.236, abs=0.001)
    assert tended(4, **given).cost == pytest.approx(2.235, abs=0.001)
    assert cheapest(**given).machines == 4


@pytest.mark.rules("REST-energy")
def test_trap_12_murrells_total_time():
    """[murrell1965] K 10, S 4, M 1.5: 42.35 min rest of 60 min in all average 4; beside 60 min of task they do not."""
    rest = 60 * rest_share(10, limit=4, rest=1.5)
    assert rest == pytest.approx(42.35, abs=0.01)
    assert ((60 - rest) * 10 + rest * 1.5) / 60 == pytest.approx(4)
    assert (60 * 10 + rest * 1.5) / (60 + rest) == pytest.approx(6.483, abs=0.001)
