"""What knowledge is asked for: cycles timed, patterns whose hold is in doubt, and a claim that is taken at its word."""

import math
from dataclasses import replace
from types import SimpleNamespace

import numpy as np
import pytest
from plant import mold_cycles, plant, rates, screened
from test_money_ways import FULL

from coreset.money import study_value
from coreset.money.cash_flow import cash_flow
from coreset.money.discount import npv
from coreset.money.evaluate import weigh
from coreset.money.simulation_inputs import draw
from coreset.money.what_to_learn import Weighing, _without_doubt, if_claim_held
from coreset.money.year_plan import plan, rate_name, ways

CODES = ("HUB", "BOX", "CAP", "JOB")


def weighing(chosen=(1, 1, 0, 0), doubt=(), draws=20):
    """HUB and BOX chosen; some patterns' hold in doubt."""
    case = plant(line=FULL)
    patterns = tuple(replace(p, hold_chance=0.5 if p.pattern in doubt else 1.0) for p in case.patterns)
    case, known = replace(case, patterns=patterns), rates(draws=50)
    sample, facts, way = draw(case, known, (), draws=draws, seed=1), plan(case, known), ways(case, known)[0]
    mix = SimpleNamespace(chosen=np.array(chosen, dtype=float)[:, None])
    return Weighing(
        case=case, sample=sample, facts=facts, way=way, mix=mix, flow=None, base_flow=None, worth=np.zeros((draws, 2))
    )


def worth(w, sample, codes):
    """Worth of one set on that sample."""
    chosen = np.array([[float(code in codes)] for code in CODES])
    return npv(cash_flow(sample, w.facts, w.way, w.case.money, chosen).total, w.rate)


def test_a_failed_trial_leaves_each_doubtful_pattern_out():
    """BOX in doubt and chosen, JOB in doubt and not: one column, HUB alone. Both of the set: one column each."""
    w = weighing(doubt=("BOX", "JOB"))
    found = _without_doubt(w, w.sample)
    assert found.shape == (20, 1) and found[:, 0] == pytest.approx(worth(w, w.sample, ("HUB",)))
    w = weighing(doubt=("HUB", "BOX"))
    found = _without_doubt(w, w.sample.rows(0, 7))
    assert found.shape == (7, 2)
    for column, left in zip(found.T, ("BOX", "HUB"), strict=True):
        assert column == pytest.approx(worth(w, w.sample.rows(0, 7), (left,)))
    for w in (weighing(doubt=("CAP",)), weighing()):
        assert _without_doubt(w, w.sample) is None


def test_cycles_of_a_pattern_are_added_up(monkeypatch):
    """25 and 15 cycles of one pattern and method in two studies are 40; each method by itself."""
    asked = {}
    plain = study_value.studies
    monkeypatch.setattr(study_value, "studies", lambda *a, **k: asked.update(a[3]) or plain(*a, **k))
    rows = [("HUB", "core setter", 25), ("HUB", "core setter", 15), ("HUB", "manual", 7), ("BOX", "core setter", 0)]
    standards = [SimpleNamespace(pattern=p, method=m, cycles=n) for p, m, n in rows]
    assert weigh(plant(), standards, mold_cycles(), rates(), screened(), draws=60).studies
    assert asked == {("HUB", "core setter"): 40, ("HUB", "manual"): 7, ("BOX", "core setter"): 0}


def rate(pattern, method="core setter", *, pouring=math.inf, cooling=math.inf):
    """A rate of the line: 120 molds an hour at the studied mold cycle, and what the rest of it takes."""
    most = min(pouring, cooling)
    return SimpleNamespace(pattern=pattern, method=method, at=lambda share: min(120.0 / share, most))


@pytest.mark.parametrize(
    ("claimed", "limits", "factor"),
    [
        (24.0, {}, 30 / 24),  # as fast as claimed: 30 s studied over 24 s claimed
        (40.0, {}, 30 / 40),
        (0.5, {"pouring": 130.0}, None),
        (24.0, {"cooling": 140.0, "pouring": 150.0}, 140 / 120),  # held down by cooling
    ],
)
def test_a_claim_taken_at_its_word(claimed, limits, factor):
    """The mean rate by studied over claimed seconds, as far as the rest of the line takes it; no other changes."""
    w = weighing()
    centre, name = w.sample.centre(), rate_name("HUB", "core setter")
    centre = centre.changed({name: 120.0})
    w = replace(w, sample=w.sample.changed({name: 120.0}))
    row = SimpleNamespace(pattern="HUB", claimed_s=claimed, studied_s=30.0)
    known = [rate("HUB", "manual", pouring=9.0), rate("HUB", **limits), rate("BOX", pouring=1.0)]
    wanted = centre.changed({name: 130.0 if factor is None else 120.0 * factor})
    assert if_claim_held(w, [row], known) == pytest.approx(worth(w, wanted, ("HUB", "BOX"))[0])
    assert math.isnan(if_claim_held(w, [], known))
