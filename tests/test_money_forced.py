"""A pattern that the lifting limit forces but nobody timed with the setter is named, not dropped in silence."""

import pytest
from plant import SECONDS, parts, plant
from screened_rows import row
from test_money_ways import timed

from coreset.money.evaluate import weigh
from coreset.money.report.sentences import note


@pytest.mark.parametrize("without", [["core setter"], ["manual", "core setter"]])
def test_a_forced_pattern_without_times_is_named(without):
    """JOB is at 1.8 by hand and has no times: a note says that it must get a mask and is missing from the set."""
    case, standards, cycles, *_ = parts(plant(), li_limit=1.5)
    seconds = {key: s for key, s in SECONDS.items() if not (key[0] == "JOB" and key[1] in without)}
    found = weigh(case, standards, cycles, timed(seconds), [row("JOB", "manual", 1.8)], draws=50)
    assert "JOB" not in found.chosen and "JOB" not in found.forced
    told = {each.code: note(each) for each in found.notes if each.blanks.get("pattern") == "JOB"}
    assert "must get a mask" in told["forced_not_timed"]
    assert "pattern_not_timed" not in told
    below = weigh(case, standards, cycles, timed(seconds), [row("JOB", "manual", 1.4)], draws=50)
    assert "forced_not_timed" not in {each.code for each in below.notes}
