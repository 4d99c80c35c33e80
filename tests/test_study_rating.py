"""Paces shown to an observer and what the ratings of them come to: by hand."""

import math
from types import SimpleNamespace

import numpy as np
import pytest

from coreset.study import known_paces, rating_test


def ends(at):
    """A generator whose draws are all at one end."""
    return SimpleNamespace(uniform=lambda low, high, count: np.full(count, (low, high)[at]))


def test_paces_shown_by_hand():
    """0.70, 1.025 and 1.35 of daywork pace, two fifths of the step of 0.325 to either side; one alone of 0.65."""
    assert known_paces.spread(3, ends(1)) == pytest.approx([0.83, 1.155, 1.48])
    assert known_paces.spread(3, ends(0)) == pytest.approx([0.57, 0.895, 1.22])
    assert known_paces.spread(1, ends(1)) == pytest.approx([0.70 + 0.4 * 0.65])


@pytest.mark.parametrize(("name", "daywork"), [("100-133", 100), ("0-100 BSI", 75), ("60-80", 60)])
def test_scenes_of_each_kind_cover_the_range(name, daywork):
    """Eight walks and eight deals, each near its place of the range; at daywork 3 mile/h, 52 cards in 30 s."""
    for kind in known_paces.KINDS:
        shown = sorted(
            (s for s in known_paces.scenes(5, scale_name=name) if s.shown == kind), key=lambda s: s.known_pct
        )
        places = daywork * np.linspace(0.70, 1.35, 8)
        assert np.abs([s.known_pct for s in shown] - places).max() <= 0.4 * daywork * 0.65 / 7 + 0.5
        for scene in shown:
            share = scene.known_pct / daywork
            walk, deal = (share * 3 * 1609.344 / 3600, 0.0), (0.0, 30 / 52 / share)
            assert (scene.metres_s, scene.card_s) == pytest.approx(walk if kind == "walking" else deal)


def test_a_rater_by_hand():
    """Eight paces of 80, four rated 84 and four 76: no bias, sd 5.35 %, all just within 5 %; no line can be drawn."""
    found = rating_test.check([80.0] * 8, [84.0, 76.0] * 4)
    sd = 5 * math.sqrt(8 / 7)
    assert (found.bias_pct, found.sd_pct, found.bias_se_pct) == pytest.approx((0.0, sd, sd / math.sqrt(8)))
    assert (found.within_goal, found.slope, found.ratings) == (1.0, 1.0, 8) and math.isnan(found.slope_se)
    assert rating_test.check([100.0] * 8, [105.0, 95.0] * 4).within_goal == 1.0
    assert rating_test.check([100.0] * 8, [105.0, 94.0] * 4).within_goal == 0.5


@pytest.mark.parametrize(("known", "rated"), [(0.0, 90.0), (90.0, 0.0), (-5.0, 90.0)])
def test_paces_of_nothing_are_refused(known, rated):
    """Neither a pace nor a rating can be 0 or less; small ones can."""
    with pytest.raises(ValueError, match="must be above 0"):
        rating_test.check([*[90.0] * 7, known], [*[90.0] * 7, rated])
    assert rating_test.check([0.5] * 8, [0.5] * 8).bias_pct == 0.0
