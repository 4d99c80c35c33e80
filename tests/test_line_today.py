"""Today first: prediction against molds counted on the floor, the factor on every method, what the verdict says."""

from dataclasses import replace
from types import SimpleNamespace

import chart_cases
import jsonschema
import numpy as np
import pytest

from coreset.brief.document import plain, schema
from coreset.brief.warnings import warnings
from coreset.case import Line, ShiftCount
from coreset.decision.constraints import constraints
from coreset.line.mold_cycle import mold_cycles
from coreset.line.notes import floor_notes
from coreset.line.rates import rates
from coreset.line.report import sentences
from coreset.line.today import calibrated, factor_noise, floor_check
from coreset.money.simulation_inputs import draw
from coreset.store.folder import read, write

HOURS = 8.0


@pytest.fixture(scope="module")
def line():
    """Two patterns on a line with changes, both methods timed."""
    case = chart_cases.case(line=Line(uptime=0.8, pouring_s=14.0, cooling_places=60, changeover_min=10.0))
    cycles = mold_cycles(case, chart_cases.standards(("HUB", "BOX")), replications=500)
    return SimpleNamespace(case=case, cycles=cycles, rates=rates(case, cycles, replications=50))


def counted(line, share, *, shifts=20, spread=0.03, pattern="HUB", seed=1):
    """Shifts of a floor that makes this share of what the model predicts for today's method."""
    rate = next(r for r in line.rates if (r.pattern, r.method) == (pattern, "manual"))
    noise = np.random.default_rng(seed).normal(1.0, spread, shifts)
    return tuple(
        ShiftCount(pattern=pattern, molds=float(round(share * rate.changed[0] * HOURS * off)), hours=HOURS)
        for off in noise
    )


def test_without_a_count_it_is_said_and_nothing_changes(line):
    """No count: no factor, the same rates, a weakness in words; a count of an unknown method's pattern is no count."""
    assert floor_check(line.case, line.rates) is None
    assert calibrated(line.rates, None, seed=1) == line.rates
    said = " ".join(sentences.note(note) for note in floor_notes(None))
    assert "not checked against the floor" in said and sentences.floor(None) == [said]
    elsewhere = replace(line.case, counts=(ShiftCount(pattern="CAP", molds=300.0, hours=8.0),))
    assert floor_check(elsewhere, line.rates) is None


def test_a_floor_as_predicted_agrees_and_one_far_off_differs(line):
    """Counts at the prediction hold 1; at 80 % of it they do not, and the verdict says so with what would settle it."""
    for share, differs in ((1.0, False), (0.8, True)):
        check = floor_check(replace(line.case, counts=counted(line, share)), line.rates)
        (row,) = check.patterns
        assert row.counts == 20 and check.differs is row.differs is differs
        assert row.counted[0] == pytest.approx(share * row.predicted[0], rel=0.02)
        # the change before a run takes the same time on a slow floor, so that the factor is a little below the share
        assert check.factor[0] == pytest.approx(share, rel=0.03) and check.factor[0] <= share * 1.02
        told = " ".join(sentences.floor(check))
        assert ("differ by more than chance" in told) is differs and "multiplied by" in told
        codes = [note.code for note in floor_notes(check)]
        assert codes == (["calibrated", "floor_differs"] if differs else ["calibrated"])
        option = SimpleNamespace(name="bought", method="core setter", patterns=("HUB",), methods=("core setter",),
                                 needs=(),
                                 chance_payback=1.0, chance_budget=1.0, chance_hours=1.0)  # fmt: skip
        assessment = SimpleNamespace(case=line.case, today=check, pooled={}, standards=(), handling=(), jobs=())
        floor = next(row for row in constraints(assessment, option) if row.key == "floor")
        assert (floor.status, floor.proof) == (("not_proven", "floor") if differs else ("met", ""))


def test_the_factor_is_on_both_methods_alike(line):
    """Every rate, its draws and its ends times the factor; in the money one noise on all rates of a run."""
    case = replace(line.case, counts=counted(line, 0.9))
    check = floor_check(case, line.rates)
    found = calibrated(line.rates, check, seed=case.seed)
    for before, after in zip(line.rates, found, strict=True):
        assert after.molds_per_h == pytest.approx(check.factor[0] * before.molds_per_h)
        assert after.draws == pytest.approx(check.factor[0] * before.draws)
        assert after.high / after.low > before.high / before.low
        lost = 1 / after.changed[0] - 1 / after.molds_per_h
        assert lost == pytest.approx(1 / before.changed[0] - 1 / before.molds_per_h)
        assert after.good_per_shift == pytest.approx(HOURS * after.changed[0])
    plain = draw(case, [replace(r, factor_sd=0.0) for r in found], (), draws=4_000, seed=3).values
    noisy = draw(case, found, (), draws=4_000, seed=3).values
    shares = [noisy[name] / plain[name] for name in plain if name.startswith("rate.")]
    assert len(shares) == 4 and all(share == pytest.approx(shares[0]) for share in shares)
    assert np.log(shares[0]).std() == pytest.approx(check.sd, rel=0.05)
    assert factor_noise(20_000, check.sd, 1).mean() == pytest.approx(1.0, abs=0.002)


def test_the_interval_of_the_count_covers_the_truth(line):
    """Shifts with 5 % scatter about a known 92 %: the count's 95 % interval holds it in 90 to 99 % of 200 floors."""
    truth, held = 0.92, 0
    for seed in range(200):
        counts = counted(line, truth, shifts=8, spread=0.05, seed=seed)
        row = floor_check(replace(line.case, counts=counts), line.rates).patterns[0]
        held += row.counted[1] <= truth * row.predicted[0] <= row.counted[2]
    assert 0.90 <= held / 200 <= 0.99


def test_one_typed_figure_has_the_scatter_of_the_simulated_line(line):
    """A single count has an interval too, narrower for a longer count; two patterns are pooled by their molds."""
    one, long = (
        floor_check(replace(line.case, counts=(ShiftCount(pattern="HUB", molds=n * 500.0, hours=n * 8.0),)), line.rates)
        for n in (1, 9)
    )
    width = [row.patterns[0].counted[2] / row.patterns[0].counted[1] for row in (one, long)]
    assert width[0] > width[1] > 1.0
    both = replace(line.case, counts=(*counted(line, 0.8), *counted(line, 1.0, pattern="BOX", shifts=20)))
    check = floor_check(both, line.rates)
    assert {row.pattern: row.differs for row in check.patterns} == {"HUB": True, "BOX": False}
    assert check.patterns[0].factor[0] < check.factor[0] < check.patterns[1].factor[0]


def test_counts_are_a_table_of_the_case(line, tmp_path):
    """counts.csv is written and read back; the check keeps to the schema of the document."""
    case = replace(line.case, counts=counted(line, 1.0, shifts=2))
    write(case, tmp_path / "c")
    assert read(tmp_path / "c").counts == case.counts
    check = floor_check(case, line.rates, line.cycles)
    jsonschema.validate(plain(check), schema()["properties"]["today"])
    assert warnings([SimpleNamespace(room="line", code=n.code, blanks=n.blanks) for n in floor_notes(None)])
