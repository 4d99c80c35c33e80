"""Delays found: sizes and charts of work sampling by printed examples, allowances of studies, and what is refused."""

import json
import math
import sys

import jsonschema
import numpy as np
import pytest
from study_cases import case, study

from coreset.assess import assess
from coreset.brief.document import document, schema
from coreset.case import AllowanceLine, Allowances, WatchedShift
from coreset.cli.command import main
from coreset.errors import OutOfRange, StudyError
from coreset.store import folder
from coreset.study.delay_study import delay_studies, ratio
from coreset.study.pooling import standards
from coreset.study.report.delays import delay_rows, delay_sentences, look_lines
from coreset.study.work_sampling import consistency, looks_needed, random_times, wilson

AIDES = [5, 8, 11, 15, 4, 2, 7, 1, 4, 6, 14, 19, 3, 5, 8]
CLUSTERS = [9, 3, 7, 2, 12, 4, 8, 1, 6, 8]


@pytest.mark.parametrize(
    ("p", "how", "needed"),
    [
        (0.30, {"error": 0.04, "z": 2.0}, 525),  # typing pool, solved exercise, reprinted
        (0.30, {"error": 0.025}, 1291),  # tellers of a text, inputs reprinted, result computed
        (0.20, {"error": 0.02, "z": 2.33}, 2172),  # packing room, inputs reprinted, result computed
        (0.22, {"error": 0.03}, 733),  # students of a text, inputs reprinted, result computed
        (0.45, {"relative": 0.15, "z": 1.64}, 147),  # printer queue of a course, inputs reprinted, result computed
    ],
)
def test_looks_needed(p, how, needed):
    """Printed or printed inputs; each rounded up."""
    assert math.ceil(looks_needed(p, **how)) == needed


@pytest.mark.rules("SAMPLING-chart")
def test_a_chart_of_days_as_printed():
    """Aides absent, 100 on duty (solved exercise, reprinted): 0.0747, limits 0 and 0.1536, day 12 out."""
    found = consistency(AIDES, [100] * 15)
    assert (found.p, *found.limits[0]) == pytest.approx((0.0747, 0.0, 0.1536), abs=1e-4) and found.out == (11,)


@pytest.mark.rules("SAMPLING-chart")
def test_a_chart_with_and_without_a_sample_as_printed():
    """[montgomery_spc] exercise 6-1, reprinted: 117 of 20 x 100; without 15 in one sample 0.0537 and 0.1213."""
    for hits, p, upper in (([5.85] * 20, 0.0585, 0.1289), ([102 / 19] * 19, 0.0537, 0.1213)):
        found = consistency(hits, [100] * len(hits))
        assert (found.p, *found.limits[0]) == pytest.approx((p, 0.0, upper), abs=6e-5)


@pytest.mark.rules("SAMPLING-days")
def test_looks_of_one_day_are_not_independent():
    """Ten days of 60 (made up, computed): chi-square 20 on 9, p .018, ratio 2.2; 10 % +/- 4.1, not 2.4."""
    found = consistency(CLUSTERS, [60] * 10)
    assert (found.chi_square, found.p_value, found.ratio) == pytest.approx((20.0, 0.0179, 2.2222), abs=1e-4)
    assert ratio(CLUSTERS, [60] * 10) == pytest.approx((0.10, 0.0413), abs=1e-4)


def test_few_hits_have_an_interval_above_nothing():
    """None of 60 is 0 to 6.0 % (Wilson, computed)."""
    assert wilson(0, 60) == pytest.approx((0.0, 0.060), abs=5e-4)


def test_random_times_are_spread_and_apart():
    """One in each of 24 stretches of 20 min, 2 min apart at least, another list each day, every minute as likely."""
    lists = [random_times(24, minutes=480, seed=day) for day in range(300)]
    for times in lists:
        assert [minute // 20 for minute in times] == list(range(24)) and min(np.diff(times)) >= 2
    assert len(set(lists)) == 300
    seen = np.bincount(np.concatenate(lists) % 20, minlength=20) / 360
    assert seen.min() > 0.8 and seen.max() < 1.2
    with pytest.raises(OutOfRange, match="looks must be 1 to 120"):
        random_times(200, minutes=480, seed=1)


def shifts(code="D1", **facts):
    """The made-up study of three shifts: 1,380 min, 1,180 of them work rated 96."""
    rows = zip((398.0, 380.0, 402.0), (22.0, 41.0, 25.0), (20.0, 14.0, 18.0), (20.0, 25.0, 15.0), strict=True)
    return tuple(
        WatchedShift(study=code, shift=f"day {i}", counted="minutes", effective=e, rating_pct=96.0, delay=d,
                     contingency=c, personal=p, **facts)
        for i, (e, d, c, p) in enumerate(rows)
    )  # fmt: skip


def test_a_production_study_by_hand():
    """52 and 88 of 1,132.8 min of basic time: 4.590 and 7.768 %; 6.377 % of what was watched (computed)."""
    found = delay_studies(shifts())["D1"]
    assert (found.watched, found.basic) == pytest.approx((1380.0, 1132.8))
    shares = found.shares
    assert [shares[name].percent for name in ("contingency", "delay")] == pytest.approx([4.590, 7.768], abs=1e-3)
    assert shares["delay"].of_watched == pytest.approx(6.377, abs=1e-3)
    assert shares["delay"].high - shares["delay"].percent == pytest.approx(100 * 0.06977 / 0.96, abs=0.01)
    assert found.few and "too few" in " ".join(delay_sentences([found]))
    assert delay_rows([found])[1][:6] == ["D1", "minutes", "3", "1380", "delay", "7.8"]


def cited(basis="normal"):
    """A set of allowances whose lines cite the study."""
    lines = tuple(AllowanceLine(cause=cause, study="D1") for cause in ("contingency", "delay"))
    return (Allowances(name="found", basis=basis, force_from_core=False, lines=lines),)


@pytest.mark.parametrize("basis", ["normal", "shift"])
def test_an_allowance_line_takes_the_percent_of_its_study(basis):
    """Both lines lengthen the time by 4.590 + 7.768 % of work, whichever basis the set is stated on; few is told."""
    one = study([(1, "a", 100.0)], "a", allowances="found")
    row = standards(case([one], allowances=cited(basis), delays=shifts()), resamples=50)[0]
    shares = np.array([0.04590, 0.07768])
    factor = 1 + shares.sum() if basis == "normal" else 1 / (1 - (shares / (1 + shares)).sum())
    assert row.standard_s == pytest.approx(100 * factor, abs=0.01)
    assert row.allowance_lines[1].source.startswith("D1: 3 shifts, 1380 minutes, 95 %")
    assert "delays_few" in [note.code for note in row.warnings]


def test_delays_leave_by_folder_and_come_back(tmp_path, capsys):
    """delays.csv and the lines that cite it; the command tells them, and times for the next looks."""
    one = study([(1, "a", 100.0)], "a", allowances="found")
    made = case([one], allowances=cited(), delays=shifts())
    folder.write(made, tmp_path / "case")
    assert folder.read(tmp_path / "case").delays == made.delays
    for more in ([], ["--json", "--looks", "4", "--days", "2"]):
        with pytest.raises(SystemExit) as ended:
            sys.exit(main(["delays", str(tmp_path / "case"), *more]))
        assert ended.value.code == 0
    said = capsys.readouterr().out
    found = json.loads(said[said.index("{\n") :])
    assert "7.8" in said and found["studies"]["D1"]["shares"]["delay"]["percent"] == pytest.approx(7.768, abs=1e-3)
    assert [len(day) for day in found["minutes"]] == [4, 4]
    written = document(assess(folder.read(tmp_path / "case"), resamples=50))
    jsonschema.validate(written["delays"], schema()["properties"]["delays"])
    assert written["delays"][0] == found["studies"]["D1"]
    assert len(list(look_lines(made, looks=4, days=2, seed=1))) == 2


def test_what_does_not_close_or_is_not_there_is_a_fault():
    """Minutes that do not add up, a unit that changes within a study, an unknown study, a percent of its own."""
    parts = folder.plain(case([study([(1, "a", 1.0)], "a")], allowances=cited(), delays=shifts()))
    parts["delays"][0] |= {"watched": 500.0}
    parts["delays"][1] |= {"counted": "looks"}
    parts["allowances"]["found"]["line"][0] |= {"study": "D9"}
    parts["allowances"]["found"]["line"][1] |= {"percent": 3.0}
    with pytest.raises(StudyError) as refused:
        folder.build(parts)
    assert [fault.column.split(".")[-1] for fault in refused.value.faults] == ["watched", "counted", "study", "cause"]


@pytest.mark.parametrize(
    ("changed", "said"),
    [
        ({1: {"shift": "same"}, 0: {"shift": "same"}}, "found 'D1' 'same' again"),
        ({0: {"rating_pct": 0.95}}, "is it a share instead of per cent?"),
        ({0: {"effective": 28_000.0}}, "at most the 1440 min of a day; is it seconds?"),
        ({n: {"effective": 0.0} for n in range(9)}, "some work in one of the shifts of D1"),
        ({n: {"counted": "looks"} | ({} if n else {"delay": 2.5}) for n in range(9)}, "whole looks"),
    ],
)
def test_a_slip_in_a_study_of_delays_is_a_fault(changed, said):
    """A shift entered twice would narrow its interval to nothing, a rating of 0.95 make 582 % of 5.5 %."""
    parts = folder.plain(case([study([(1, "a", 1.0)], "a")], allowances=cited(), delays=shifts()))
    for place, row in enumerate(parts["delays"]):
        row |= {"watched": 0.0} | changed.get(place, {})
    with pytest.raises(StudyError) as refused:
        folder.build(parts)
    assert said in " ".join(str(refused.value).split())
