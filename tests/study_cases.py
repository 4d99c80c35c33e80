"""Small studies for tests: readings laid out by hand, so that the sums can be redone on paper."""

from coreset.case import AllowanceLine, Allowances, Case, Core, Element, Money, Range, Reading, Readings, Study

NAN = float("nan")
MONEY = Money(setter_price=Range.exactly(1.0), wage_per_h=Range.exactly(20.0), discount_rate=0.1)


def readings(rows, start=1):
    """Readings from (cycle, element, reading_s[, rating[, mark]])."""
    full = [(*row, *(NAN, "")[len(row) - 3 :]) for row in rows]
    return Readings.of([Reading(start + i, c, e, s, r, m, "") for i, (c, e, s, r, m) in enumerate(full)])


def study(rows, elements, **facts):
    """A study of these rows; snapback unless said otherwise."""
    defaults = {
        "study": "S1", "method": "manual", "pattern": "P1", "observer": "E1", "operator": "W1", "timing": "snapback",
        "consent": True, "rater_sd_pct": 0.0,
    }  # fmt: skip
    elements = tuple(Element(name=e) if isinstance(e, str) else e for e in elements)
    return Study(**{**defaults, **facts}, elements=elements, readings=readings(rows))


def case(studies, percent=0.0, basis="normal", **facts):
    """A case with these studies, each with an allowance of that percent in all."""
    flat = Allowances(
        name="flat", basis=basis, force_from_core=False, lines=(AllowanceLine(cause="all", percent=percent),)
    )
    defaults = {"title": "Test", "units": "metric", "currency": "USD", "allowances": (flat,)}
    return Case(**{**defaults, **facts}, money=MONEY, studies=tuple(studies))


def columns(table, ratings, per_mold=None, kinds=None):
    """A snapback study whose element i has the readings table[i] and rating ratings[i]."""
    rows = [(c + 1, f"e{i}", x) for i, column in enumerate(table) for c, x in enumerate(column)]
    elements = [
        Element(name=f"e{i}", rating_pct=100 * r, kind=(kinds or {}).get(i, "manual"), per_mold=(per_mold or {}).get(i))
        for i, r in enumerate(ratings)
    ]
    return study(rows, elements, allowances="flat")


CORE = Core(pattern="P1", core="A", per_mold=2, mass=10.0)
