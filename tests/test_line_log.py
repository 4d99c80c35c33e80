"""A log of molds against a floor whose every second is known: cycles, stops, breaks, changes, shifts, forms of time."""

import json
import shutil
import time
from pathlib import Path

import numpy as np
import pandas as pd
import pytest
from log_floor import CYCLE_S, NAMES, floor
from typer.testing import CliRunner

from coreset.cli.command import app
from coreset.errors import StudyError
from coreset.line.log_analysis import analyze
from coreset.line.log_gaps import Schedule
from coreset.store.folder import read
from coreset.store.folder.line_log import read_log

ROOT = Path(__file__).parents[1]

TWO = Schedule(first_h=6.0, length_h=8.0, per_day=2)


@pytest.fixture(scope="module")
def clean():
    """A floor and what its log says."""
    made = floor()
    return made, analyze(made.t, made.label, NAMES, TWO)


def test_cycles_and_stops_add_up_and_are_near_the_truth(clean):
    """Pace within 3 %, stop time -20 to +5 % (short stops hide in the cycles), break and change found."""
    made, found = clean
    assert (found.molds, found.shifts, found.outside, found.out_of_order) == (made.molds, 80, 0, 0)
    for row, cycle in zip(found.patterns, CYCLE_S, strict=True):
        assert row.cycle_s == pytest.approx(cycle, rel=0.03) and row.cycle_s > 0.99 * cycle
        assert row.changeover_min == pytest.approx(8.0, rel=0.15)
        assert row.runs == pytest.approx(made.molds / 600, abs=2)
    stops = sum(hours for _, _, _, hours in found.stop_classes) * 3_600
    assert -0.20 < stops / made.stop_s - 1 < 0.05
    (first, second) = found.breaks
    assert first[0] == pytest.approx(10.0, abs=0.05) and second[0] == pytest.approx(18.0, abs=0.05)
    assert first[1] == pytest.approx(21.0, abs=1.0) and first[2] > 0.9
    assert found.drift[1] < 1.0 < found.drift[2]


def test_the_sum_does_not_hang_on_the_threshold(clean):
    """Cycle part and stop part are the gaps that there were, to 1e-9: each pattern, one threshold for both."""
    made, found = clean
    gap = np.diff(made.t, prepend=made.t[0] - 1e9)
    for k, row in enumerate(found.patterns):
        inside = (gap < 3_000) & (made.label == k) & (np.diff(made.label, prepend=-1) == 0)
        begun = (made.t - gap) % 86_400
        on_break = (gap > 420) & (gap < 3_600) & ((np.abs(begun - 36_100) < 700) | (np.abs(begun - 64_900) < 700))
        total = gap[inside & ~on_break].sum() / (inside & ~on_break).sum()
        assert row.cycle_s / (1.0 - row.stop_share) == pytest.approx(total, rel=0.01)


def test_counts_have_the_hours_of_the_schedule(clean):
    """Molds of whole shifts, hours 8 less the break; the rate is molds over scheduled hours."""
    made, found = clean
    by_shift: dict[str, float] = {}
    for row in found.counts:
        by_shift[row.shift] = by_shift.get(row.shift, 0.0) + row.hours
    hours = np.array(list(by_shift.values()))
    assert len(hours) == 80 and hours.mean() == pytest.approx(8 - 20 / 60, abs=0.03)
    assert sum(row.molds for row in found.counts) == made.molds
    assert found.scheduled_h == pytest.approx(hours.sum())


def test_late_labels_are_moved_back(clean):
    """One change in five labelled a mold late: changeovers stay at 8 min."""
    found = analyze(*(lambda m: (m.t, m.label))(floor(late=0.2)), NAMES, TWO)
    assert found.moved_labels > 20
    assert [row.changeover_min for row in found.patterns] == pytest.approx([8.0] * 3, rel=0.15)
    assert clean[1].moved_labels <= 3


def test_slips_of_a_log_are_counted_and_do_no_harm(clean):
    """Doubled stamps are one mold, a clock set back is sorted, molds outside the shifts are counted apart."""
    made, plain = clean
    t, label = made.t.copy(), made.label.copy()
    doubled = np.arange(50, len(t), 500)
    t, label = np.insert(t, doubled, t[doubled] + 1.0), np.insert(label, doubled, label[doubled])
    t[[7, 8]] = t[[8, 7]]
    t, label = np.append(t, t[-1] + 5 * 3_600.0), np.append(label, label[-1])
    found = analyze(t, label, NAMES, TWO)
    assert found.doubles == pytest.approx(len(doubled), abs=2) and found.outside == 1 and found.out_of_order >= 1
    assert [r.cycle_s for r in found.patterns] == pytest.approx([r.cycle_s for r in plain.patterns], rel=0.002)


def test_whole_minutes_tell_no_distribution(clean):
    """Stamps of whole minutes: said, no scatter and no stops, the counts all the same."""
    made, plain = clean
    found = analyze(np.floor(made.t / 60) * 60, made.label, NAMES, TWO)
    assert found.coarse and all(np.isnan(row.cycle_cv) and not row.stops for row in found.patterns)
    assert not plain.coarse


def test_a_floor_that_slows_down_is_seen():
    """Ten percent slower over the log: the last third is below the first by more than chance."""
    made = floor(slow=0.10)
    low, high = analyze(made.t, made.label, NAMES, TWO).drift[1:]
    assert low < 1.0 / 1.067 < high < 1.0


def written(path, made, form, *, sep=",", names=("time", "pattern")):
    moments = pd.to_datetime(made.t, unit="s").strftime(form)
    pd.DataFrame({names[0]: moments, names[1]: [NAMES[k] for k in made.label]}).to_csv(path, index=False, sep=sep)
    return path


@pytest.mark.parametrize(
    ("form", "sep"), [("%Y-%m-%d %H:%M:%S", ","), ("%d.%m.%Y %H:%M:%S", ";"), ("%m/%d/%Y %I:%M:%S %p", ",")]
)
def test_forms_of_time_are_found_out(tmp_path, form, sep):
    """Other column names and forms are read to the same seconds and codes."""
    made = floor(days=20)
    path = written(tmp_path / "x.csv", made, form, sep=sep, names=("made at", "job"))
    found = read_log(path, time="made at", pattern="job")
    assert np.array_equal(found.times_s, made.t) and found.names == NAMES and np.array_equal(found.pattern, made.label)


@pytest.mark.parametrize("encoding", ["utf-8-sig", "utf-16", "cp1252"])
def test_a_log_as_other_programs_write_it(tmp_path, encoding):
    """A day and a time of day in two columns, an offset after the time, blanks about a code, a name beyond ASCII.

    The clock on the wall is kept: shifts go by it, in summer as in winter.
    """
    made = floor(days=5)
    moments = pd.to_datetime(made.t, unit="s")
    codes = np.array(["Außen 1", "B", "C"], dtype=object)[made.label]
    codes[::7] = [f" {code} " for code in codes[::7]]
    columns = {"Tag": moments.strftime("%d.%m.%Y"), "Uhr": moments.strftime("%H:%M:%S+01:00"), "Modell": codes}
    pd.DataFrame(columns).to_csv(tmp_path / "x.csv", index=False, sep=";", encoding=encoding)
    found = read_log(tmp_path / "x.csv", time="Tag + Uhr", pattern="Modell")
    assert np.array_equal(found.times_s, made.t) and found.names == ("Außen 1", "B", "C")
    assert np.array_equal(found.pattern, made.label)
    whole = {"at": moments.strftime("%Y-%m-%dT%H:%M:%S.250Z"), "code": codes}
    pd.DataFrame(whole).to_csv(tmp_path / "y.csv", index=False, encoding=encoding)
    for form in ("", "%Y-%m-%dT%H:%M:%S.%f%z"):
        again = read_log(tmp_path / "y.csv", time="at", pattern="code", form=form)
        assert np.allclose(again.times_s, made.t + 0.25, rtol=0, atol=1e-5), form


def test_what_cannot_be_told_is_refused(tmp_path):
    """Day or month first with no day above 12, a column that is not there, text for a time: refused with what to do."""
    made = floor(days=3)
    made.t = made.t - made.t[0] + pd.Timestamp("2026-03-02 06:00").timestamp()
    path = written(tmp_path / "x.csv", made, "%d/%m/%Y %H:%M:%S")
    with pytest.raises(StudyError, match="no day above 12"):
        read_log(path)
    assert np.array_equal(read_log(path, form="%d/%m/%Y %H:%M:%S").times_s, made.t)
    with pytest.raises(StudyError, match="no column 'stamp'"):
        read_log(path, time="stamp")
    (tmp_path / "y.csv").write_text("time,pattern\nsoon,A\n", encoding="utf-8")
    with pytest.raises(StudyError, match="a time such as"):
        read_log(tmp_path / "y.csv")


def test_the_command_says_it_and_writes_the_counts(tmp_path):
    """The demo with a log: sentences, JSON, counts in the case; patterns that it does not have are named."""
    folder = Path(shutil.copytree(ROOT / "studies" / "ostrander_bend", tmp_path / "case"))
    made = floor(days=12)
    path = written(folder / "line_log.csv", made, "%Y-%m-%d %H:%M:%S")
    path.write_text(path.read_text(encoding="utf-8").replace(",A\n", ",HB10\n"), encoding="utf-8")
    ran = CliRunner().invoke(app, ["log", str(folder), "--save"])
    assert ran.exit_code == 0, ran.output
    assert "HB10:" in ran.stdout and "do not" not in ran.stdout and "B, C" in ran.stdout
    assert "{" not in ran.stdout and "Break about 10:0" in ran.stdout
    counts = read(folder).counts
    assert counts and {row.pattern for row in counts} == {"HB10"} and path.exists()
    told = json.loads(CliRunner().invoke(app, ["log", str(folder), "--json"]).stdout)
    assert told["molds"] == made.molds and len(told["patterns"]) == 3


@pytest.mark.slow
def test_a_million_rows_in_ten_seconds(tmp_path):
    """Read and analyzed."""
    made = floor(days=40)
    count = 1_000_000 // made.molds + 1
    made.t = np.concatenate([made.t + k * 40 * 86_400.0 for k in range(count)])
    made.label = np.tile(made.label, count)
    path = written(tmp_path / "x.csv", made, "%Y-%m-%d %H:%M:%S")
    begun = time.perf_counter()
    log = read_log(path)
    found = analyze(log.times_s, log.pattern, log.names, TWO)
    took = time.perf_counter() - begun
    print(f"{found.molds:,} molds read and analyzed in {took:.1f} s")
    assert found.molds >= 1_000_000 and took < 10.0
