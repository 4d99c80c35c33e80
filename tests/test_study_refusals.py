"""What work study refuses, in words that say what must hold and what was found."""

import pytest
from study_cases import CORE, case, study

from coreset.case import AllowanceLine, Allowances
from coreset.errors import OutOfRange
from coreset.study import rating_scales, rating_test, regression, sample_size, unit_conversion
from coreset.study.allowances import allowed, factor, table_line
from coreset.study.comparison import compare, paired
from coreset.study.distribution_fit import fits
from coreset.study.standard_data import choose

REFUSED = [
    (lambda: factor(100.0, "shift"), "an allowance on the shift must be below 100 %, got 100"),
    (lambda: factor(10.0, "day"), "allowance basis must be normal or shift, got 'day'"),
    (lambda: table_line("boredom", "", table_key="ilo1957"), "must be a row of ilo1957 (personal, "),
    (lambda: table_line("bad light", "dim", table_key="ilo1979"), "condition of 'bad light' must be one of slightly "),
    (lambda: rating_scales.scale("0-150"), "rating_scale must be one of "),
    (lambda: sample_size.by_z(6.4, 2.1), "precision must be a share or an absolute error, got both or neither"),
    (
        lambda: sample_size.by_z(6.4, 2.1, share=0.1, error=0.5),
        "precision must be a share or an absolute error, got both",
    ),
    (lambda: rating_test.check([100.0] * 7, [100.0] * 7), "must be 8 or more, one for each pace, got 7"),
    (lambda: rating_test.check([100.0] * 9, [100.0] * 8), "must be 8 or more, one for each pace, got 8"),
    (lambda: rating_test.check([100.0] * 8, [100.0] * 7 + [0.0]), "paces and ratings must be above 0"),
    (lambda: regression.fit([1, 2, 3], {"mass": [1, 2, 3]}), "must be two more than coefficients, got 3 for 2"),
    (lambda: regression.fit([1, 2, 3, 4], {"mass": [2] * 4}), "drives must vary apart from each other, got mass"),
    (lambda: unit_conversion.with_set_up(50.0, set_up_min=7, run_molds=0), "run_molds must be above 0, got 0"),
    (lambda: choose("set", [5.0, 6.0], {}), "patterns of standard data must be three or more, got 2"),
    (lambda: compare([1, 2, 3], [1, 2, 3, 4, 5]), "cycles of each method must be four or more to compare, got 3 and 5"),
    (lambda: paired([1.0]), "operators timed under both methods must be two or more, got 1"),
    (lambda: fits([5.0] * 40), "positive and not all alike, got 40"),
]


@pytest.mark.parametrize(("asked", "words"), REFUSED, ids=[words[:40] for _, words in REFUSED])
def test_what_cannot_be_is_refused_in_words(asked, words):
    """Each refusal says what must hold and what was found."""
    with pytest.raises(OutOfRange) as refused:
        asked()
    assert words in str(refused.value)


def test_an_allowance_without_percent_or_table_is_refused():
    """A cause of one's own needs a percent; with one it is taken as it is, whatever the table says."""
    line = AllowanceLine(cause="sand dust")
    chosen = Allowances(name="own", basis="normal", lines=(line,))
    with pytest.raises(OutOfRange, match="allowance 'sand dust' must have a percent or the set a table, got neither"):
        allowed(case([]), chosen)
    own = Allowances(name="own", basis="normal", table="ilo1957", lines=(AllowanceLine(cause="sand dust", percent=3),))
    found = allowed(case([study([], "a")]), own, [CORE])
    assert [(row.cause, row.percent) for row in found.lines][0] == ("sand dust", 3)
    assert found.lines[1].source == "ilo1957" and found.percent == 3 + found.lines[1].percent
