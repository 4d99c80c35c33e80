"""Several studies of one pattern and method: what is weighted, and how far studies that differ widen the interval."""

from dataclasses import replace

import numpy as np
import pytest
from statsmodels.regression.mixed_linear_model import MixedLM
from study_cases import case, study

from coreset.assess import Warned
from coreset.brief.warnings import warnings
from coreset.case import Element
from coreset.study.counting import challenges, counting
from coreset.study.crew_errors import between
from coreset.study.pooling import by_pattern, standards


def several(means, *, cycles=12, operators=None, observers=None, seed=1, sd=0.1, **facts):
    """Standards of one case, a study of each mean; operators W0, W1 ... and one observer unless said otherwise."""
    rng, made = np.random.default_rng(seed), []
    for i, mean in enumerate(means):
        z = rng.standard_normal(cycles)
        rows = [(c, "a", float(mean * (1 + sd * x))) for c, x in enumerate((z - z.mean()) / z.std(), start=1)]
        who = {"operator": (operators or [f"W{k}" for k in range(len(means))])[i]}
        made.append(study(rows, "a", study=f"S{i}", observer=(observers or ["E1"] * len(means))[i], **who, **facts))
    return standards(case(made), resamples=4000)


def halves(row):
    """Half-widths as shares of the standard: of those timed, of the crew."""
    return tuple(
        (high - low) / 2 / row.standard_s
        for low, high in ((row.timed_low_s, row.timed_high_s), (row.standard_low_s, row.standard_high_s))
    )


def pooled(found):
    """The one standard of the pattern and method."""
    return by_pattern(found)["P1", "manual"]


@pytest.mark.rules("SPREAD-few-groups")
def test_one_operator_is_not_the_crew():
    """200 cycles of one: he is known to 2 %, the crew to no better than the usual difference of 5 % and 2 % a day."""
    timed, crew = halves(pooled(several([20.0], cycles=200)))
    assert timed < 0.03 and 1.9 * np.hypot(0.05, 0.02) < crew < 2.9 * np.hypot(0.05, 0.02)
    assert halves(pooled(several([20.0] * 4)))[1] < 0.7 * halves(pooled(several([20.0])))[1]


def test_the_usual_difference_is_an_input_of_the_case():
    """With none between operators and days, the crew is as well known as those timed."""
    rows = [(c, "a", 10.0 + c % 3) for c in range(1, 13)]
    found = standards(case([study(rows, "a")], operator_sd_pct=0.0, day_sd_pct=0.0), resamples=500)
    timed, crew = halves(pooled(found))
    assert timed == pytest.approx(crew)


def test_a_rater_does_not_average_out_over_his_studies():
    """Four studies of 4,000 cycles each: one observer leaves his 2.5 % in full, four leave half of it."""
    alike = {"cycles": 4000, "operators": ["W1"] * 4, "rater_sd_pct": 2.5}
    one = halves(pooled(several([20.0] * 4, **alike, rating_pct=100.0)))[0]
    four = halves(pooled(several([20.0] * 4, observers=["E1", "E2", "E3", "E4"], **alike)))[0]
    assert four < 0.75 * one


@pytest.mark.rules("SPREAD-few-groups")
@pytest.mark.parametrize("count", [8, 20])
def test_operators_that_differ_are_told_as_a_mixed_model_tells_them(count):
    """Two days of each of many operators: the difference between operators is near that of MixedLM (REML)."""
    rng = np.random.default_rng(count)
    people = np.repeat(rng.normal(0, 0.08, count), 2)
    means = 20 * np.exp(people + rng.normal(0, 0.015, 2 * count))
    names = [f"W{i // 2}" for i in range(2 * count)]
    found = several(means, cycles=20, operators=names, sd=0.05)
    ours = between([row.errors for row in found]).mean_sds()[0]
    logs = 100 * np.log([row.standard_s for row in found])
    model = MixedLM(logs, np.ones((2 * count, 1)), groups=names).fit(reml=True)
    assert 100 * ours == pytest.approx(float(np.sqrt(model.cov_re[0, 0])), rel=0.25)
    assert pooled(found).operator_sd_pct == pytest.approx(100 * ours)


def test_studies_without_a_whole_cycle_weigh_the_same():
    """In neither was any cycle read whole: the mean of the two; the facts that do not add are those of the first."""
    broken = [(1, "a", 10.0), (2, "b", 4.0)], [(1, "a", 14.0), (2, "b", 4.0)]
    rows = [study(each, "ab", study=f"S{i + 1}", crew=1.0 + i) for i, each in enumerate(broken)]
    found = by_pattern(standards(case(rows), resamples=50))["P1", "manual"]
    assert (found.standard_s, found.cycles, found.crew, found.study) == (16.0, 0, 1.0, "S1 + S2")


def test_studies_of_unlike_elements_are_not_averaged():
    """Of studies divided otherwise those like the newest count, of one day the one of most cycles; which, is told."""
    first = study([(1, "a", 5.0), (1, "b", 2.0), (2, "a", 7.0), (2, "b", 4.0)], "ab", study="A", date="2026-03-01")
    other = study([(1, "a", 9.0)], "a", study="B", date="2026-03-01")
    found = standards(case([first, other]), resamples=50)
    assert by_pattern(found)["P1", "manual"].standard_s == 9.0  # (5 + 7 + 2 + 4)/2
    assert [note.blanks["element"] for note in challenges(found)] == ["b"]
    later = standards(case([first, replace(other, date="2026-03-02")]), resamples=50)
    assert by_pattern(later)["P1", "manual"].study == "B"
    rare = study([(1, "a", 9.0)], [Element(name="a"), Element(name="c", occasional=True, per_mold=0.1)], study="C")
    assert [row.study for row in counting(standards(case([other, rare]), resamples=2))] == ["B", "C"]


def test_studies_divided_alike_are_not_told_of():
    """The same elements in another order, another method, a single study: nothing to tell; else which, and of whom."""
    both = (
        study([(1, "a", 5.0), (1, "b", 2.0)], "ab", study="A"),
        study([(1, "b", 2.0), (1, "a", 5.0)], "ba", study="B"),
    )
    assert not list(challenges(standards(case(list(both)), resamples=2)))
    assert not list(challenges(standards(case([both[0], study([(1, "c", 1.0)], "c", method="setter")]), resamples=2)))
    one = study([(1, "c", 1.0), (1, "a", 1.0)], "ca", study="C")
    (note,) = challenges(standards(case([*both, one]), resamples=2))
    assert note.blanks == {"pattern": "P1", "method": "manual", "element": "b, c"}
    told = warnings([Warned(room="study", code=note.code, blanks=note.blanks)])
    assert told[0].endswith("rename their elements: P1 manual (b, c).")
