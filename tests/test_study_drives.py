"""Lines of times over what drives them by statsmodels; which driver is chosen, and where one begins to count."""

import math

import numpy as np
import pytest
import statsmodels.api as sm

from coreset.study import standard_data
from coreset.study.regression import fit

CORES = np.array([1.0, 2, 6, 3, 4, 8, 2, 5])
MASS = np.array([12.0, 7, 21, 15, 4, 30, 22, 9])
SECONDS = np.array([21.3, 22.2, 45.9, 31.0, 24.1, 63.8, 34.8, 33.4])


@pytest.mark.parametrize("level", [0.8, 0.95])
@pytest.mark.parametrize("names", [(), ("cores",), ("cores", "mass")])
def test_a_line_and_its_prediction_by_statsmodels(names, level):
    """Coefficients, sd, r squared, leverage, standard error and interval of a new case, errors with one left out."""
    drives = {name: {"cores": CORES, "mass": MASS}[name] for name in names}
    found = fit(SECONDS, drives)
    theirs = sm.OLS(SECONDS, np.column_stack([np.ones(8), *drives.values()])).fit()
    at = [5.5, 13.0][: len(names)]
    assert found.coefficients == pytest.approx(theirs.params)
    assert (found.sd, found.freedom) == pytest.approx((math.sqrt(theirs.mse_resid), theirs.df_resid))
    assert found.r_squared == pytest.approx(theirs.rsquared, abs=1e-12)
    new = theirs.get_prediction([[1.0, *at]])
    assert found.predict(at, level) == pytest.approx(
        (new.predicted_mean[0], *new.conf_int(obs=True, alpha=1 - level)[0])
    )
    assert found.spread(at) == pytest.approx(new.se_obs[0])
    assert found.leverage(at) == pytest.approx(new.se_mean[0] ** 2 / theirs.mse_resid)
    assert found.left_out_sd == pytest.approx(np.sqrt(np.mean(theirs.get_influence().resid_press ** 2)))
    assert found.drives == names


@pytest.mark.parametrize("far", [0.0, 1e5, 1e7])
def test_a_driver_that_is_counted_from_far_away_costs_no_digits(far):
    """A driver moved by any constant leaves error and leverage: 1/n + (x - mean)^2 / sum (x - mean)^2."""
    found, away = fit(SECONDS, {"mass": far + MASS}), 15.0 - MASS.mean()
    leverage = 1 / 8 + away**2 / ((MASS - MASS.mean()) ** 2).sum()
    assert found.leverage(far + 15.0) == pytest.approx(leverage, rel=1e-6)
    assert found.left_out_sd == pytest.approx(fit(SECONDS, {"mass": MASS}).left_out_sd, rel=1e-6)


def test_a_line_holds_up_to_the_ends_of_what_it_was_drawn_from():
    """1 to 8 cores and 4 to 30 kg, both with their ends; outside on one side is outside."""
    found = fit(SECONDS, {"cores": CORES, "mass": MASS})
    assert found.covers([1.0, 4.0]) and found.covers([8.0, 30.0]) and found.covers([3.0, 10.0])
    for at in ([0.99, 10.0], [8.01, 10.0], [3.0, 3.99], [3.0, 30.01]):
        assert not found.covers(at)


def test_times_all_alike_are_told_entirely_by_their_mean():
    """Nothing is left to tell: r squared 1, no error."""
    found = fit([5.0] * 4, {})
    assert (found.r_squared, found.sd, found.left_out_sd) == (1.0, 0.0, 0.0)


def test_a_pattern_far_from_all_others_weighs_alone():
    """Without it the others do not vary: its leverage is 1, and the line that it draws misses nothing elsewhere."""
    found = fit([4.0, 4.0, 4.0, 9.0], {"cores": [1.0, 1.0, 1.0, 2.0]})
    assert found.leverage(2.0) == pytest.approx(1.0) and np.isfinite(found.left_out_sd)


def test_sets_of_drivers_that_may_be_tried():
    """Three different values, all known; two from six patterns on, if they are not alike up or down."""
    cores, alike = [1.0, 2, 3, 1, 2, 3], [1.0, 2, 3, 1, 2, 3.1]
    other = [3.0, 5.0, 1.0, 9.0, 2.0, 4.0]
    assert standard_data.sets({}) == ((),)
    assert standard_data.sets({"mass": other, "cores": cores}) == ((), ("cores",), ("mass",), ("cores", "mass"))
    assert standard_data.sets({"cores": cores[:5], "mass": other[:5]}) == ((), ("cores",), ("mass",))
    assert standard_data.sets({"cores": [1.0, 2, 2, 1, 2, 1], "mass": other}) == ((), ("mass",))
    assert standard_data.sets({"cores": [*cores[:5], math.nan], "mass": other}) == ((), ("mass",))
    for second in (alike, [-x for x in alike]):
        assert standard_data.sets({"cores": cores, "mass": second}) == ((), ("cores",), ("mass",))
    level = np.array([1.0, 2, 3, 4, 5, 6])
    near = level + 0.62 * np.array([1.0, -1, 1, -1, 1, -1])
    assert 0.9 < np.corrcoef(level, near)[0, 1] < 0.95
    assert ("cores", "mass") in standard_data.sets({"cores": level, "mass": near})
    third = standard_data.sets({"cores": near, "mass": level, "heaviest": other})
    assert set(third[4:]) == {("cores", "mass"), ("cores", "heaviest"), ("mass", "heaviest")}


@pytest.mark.parametrize("unit", [1 / 60, 1.0, 60.0])
def test_the_choice_does_not_ask_for_the_unit(unit):
    """One driver, two, none: as the times were made, in minutes, seconds or sixtieths of them."""
    drives = {"cores": CORES, "mass": MASS}
    off = np.array([0.3, -0.5, 0.2, 0.5, -0.4, -0.1, 0.1, -0.2])
    for names, times in (
        (("mass",), 3 + 0.8 * MASS),
        (("cores", "mass"), 3 + 4 * CORES + 0.9 * MASS),
        ((), 20 + 0 * MASS),
    ):
        assert standard_data.choose("e", unit * (times + off), drives).fitted.drives == names
        exact = standard_data.choose("e", unit * times, drives)
        assert exact.fitted.predict(exact.at({"cores": 7.0, "mass": 10.0}))[0] == pytest.approx(
            unit * {("mass",): 11.0, ("cores", "mass"): 40.0, (): 20.0}[names]
        )


def error(x, times):
    """Root mean square of the misses with one left out, one by one."""
    misses = []
    for i in range(len(times)):
        line = np.polyfit(np.delete(x, i), np.delete(times, i), 1) if x is not None else [np.delete(times, i).mean()]
        misses.append(times[i] - np.polyval(line, 0.0 if x is None else x[i]))
    return float(np.sqrt(np.mean(np.square(misses))))


def test_a_driver_must_cut_the_error_by_three_tenths():
    """A slope that leaves 71 % of the error is not taken, one that leaves 67 % is: by naive lines with one left out."""
    x, off = np.arange(1.0, 9), np.array([1.0, -1, -1, 1, 1, -1, -1, 1])
    for slope, share, names in ((0.60, 0.711, ()), (0.65, 0.674, ("cores",))):
        times = 20 + slope * x + off
        assert error(x, times) / error(None, times) == pytest.approx(share, abs=0.001)
        found = standard_data.choose("e", times, {"cores": x})
        assert found.fitted.drives == names
        assert dict(found.tried) == pytest.approx({"constant": error(None, times), "cores": error(x, times)})


def test_of_two_that_do_as_well_the_simpler_is_taken():
    """Errors within 1 % are alike: the number of cores goes before their mass; 1.2 % more are not alike."""
    x, off = np.arange(1.0, 9), np.array([1.0, -1, -1, 1, 1, -1, -1, 1])
    times = 20 + 2 * x + off
    for tilt, names in ((1.009, ("cores",)), (1.012, ("mass",))):
        worse = x - (tilt - 1) * off / 2
        assert error(worse, times) / error(x, times) == pytest.approx(tilt, abs=0.0005)
        assert standard_data.choose("e", times, {"cores": worse, "mass": x}).fitted.drives == names


@pytest.mark.parametrize("seconds", [4.1, 8.9, 12.3, 0.7])
def test_what_is_left_by_rounding_follows_no_driver(seconds):
    """Times all alike are constant, times on a line follow it alone, whatever the last digits of their sums are."""
    drives = {"cores": CORES, "mass": MASS, "heaviest": MASS / CORES, "distance": 1.7 * CORES + MASS % 3}
    assert standard_data.choose("e", [seconds] * 8, drives).fitted.drives == ()
    assert standard_data.choose("e", seconds + 0.8 * MASS, drives).fitted.drives == ("mass",)
    assert standard_data.choose("e", 1e-3 * (seconds + 0.8 * MASS), drives).fitted.drives == ("mass",)


def test_what_is_stated_is_taken_if_it_can_be_fitted():
    """A constant may be stated as well; what is no driver, or does not vary, leaves the choice to the rule."""
    drives, times = {"cores": CORES, "mass": MASS}, 3 + 0.8 * MASS
    for stated, names in (("cores", ("cores",)), ("constant", ()), ("cores + mass", ("cores", "mass"))):
        found = standard_data.choose("e", times, drives, stated=stated)
        assert (found.fitted.drives, found.stated) == (names, True)
    for stated in ("", "distance"):
        found = standard_data.choose("e", times, drives, stated=stated)
        assert (found.fitted.drives, found.stated) == (("mass",), False)
    assert found.at({"mass": 3.0, "cores": 1.0}) == (3.0,)
