"""Injury cost is counted only for exposure that the lifting result removes: none where the index rises."""

import pytest
from plant import SECONDS, VOLUME, parts
from screened_rows import row

from coreset.case import Range
from coreset.money.evaluate import weigh

HUB = VOLUME["HUB"] * SECONDS["HUB", "manual"]
BOX = VOLUME["BOX"] * SECONDS["BOX", "manual"]
CAP = VOLUME["CAP"] * SECONDS["CAP", "manual"]
METHODS = ("manual", "core setter")


def injury(index, **changes):
    """Injury cost avoided in year 1 where all patterns go over; `index` by pattern, by hand and with the setter."""
    screened = [row(code, m, li) for code, pair in index.items() for m, li in zip(METHODS, pair, strict=True)]
    money = {"injury_cost_per_year": Range.exactly(1_000.0), "price_inflation": 0.0, "li_limit": 1.0, **changes}
    case, standards, cycles, rates, _ = parts(**money)
    found = weigh(case, standards, cycles, rates, screened, draws=50)
    assert {code for code, (_, after) in index.items() if after} <= set(found.chosen)
    assert not {code for code, (_, after) in index.items() if after is None} & set(found.chosen)
    return found.cash_flow[1].parts.get("injury", 0.0)


@pytest.mark.parametrize(
    ("index", "share"),
    [
        ({"HUB": (1.8, 0.8), "BOX": (1.5, 1.0)}, 1.0),
        ({"HUB": (1.8, 0.8), "BOX": (1.5, 1.61)}, HUB / (HUB + BOX)),
        ({"HUB": (1.8, 0.8), "BOX": (1.5, 1.2), "CAP": (2.0, 0.9)}, (HUB + CAP) / (HUB + BOX + CAP)),
        ({"HUB": (1.2, 1.61), "BOX": (1.2, 1.3)}, 0.0),
        ({"HUB": (1.2, None)}, 0.0),
        ({"HUB": (None, 0.8)}, 1.0),
    ],
)
def test_injury_cost_by_the_exposure_removed(index, share):
    """By line hours above the limit: what falls to it or below counts, what falls less or rises does not.

    An index of None is RWL 0: no weight is recommended.
    """
    assert injury(index) == pytest.approx(1_000.0 * share, rel=1e-3)


def test_nothing_is_avoided_where_the_lifting_is_not_known():
    """No rows of the setter's lifts, or none at all: no exposure is shown to go away."""
    assert injury({}) == 0.0
    case, standards, cycles, rates, _ = parts(injury_cost_per_year=Range.exactly(1_000.0), li_limit=1.0)
    by_hand = weigh(case, standards, cycles, rates, [row("HUB", "manual", 1.8)], draws=50)
    assert "injury" not in by_hand.cash_flow[1].parts
