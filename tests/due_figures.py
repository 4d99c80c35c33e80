"""What each figure must be, and the rule of rounding written a second time. Nothing of ours rounds here."""

from decimal import ROUND_HALF_UP, Decimal
from math import inf, isfinite

CHANCES = ("chance payback", "chance npv", "chance loss", "rate", "irr")


def study_of(row):
    """What a study is called; an estimate by its pattern and method."""
    return f"study {row.study or f'{row.pattern} {row.method}'}"


def due(a):
    """Label to value and decimals, for everything that an assessment says."""
    return _of_money(a.money) | _of_rooms(a)


def _spread(label, value, low, high, most):
    digits = kept(low, high, most)
    return {label: (value, digits), f"{label} low": (low, digits), f"{label} high": (high, digits)}


def _of_money(m):
    amounts = {
        "first cost": (m.first_cost, 3),
        "loss": (m.mean_loss_if_it_loses, 2),
        "bought": (m.loss_if_bought, 2),
        "missed": (m.loss_if_not, 2),
        "evpi": (m.evpi, 2),
        "knowing": (max((row.worth for row in m.knowing), default=0.0), 2),
    }
    limit = m.payback_limit_years
    wanted = {label: (value, counted(value, digits)) for label, (value, digits) in amounts.items()}
    wanted |= _spread("payback", m.payback_years, m.payback_spread.low, m.payback_spread.high, 1)
    wanted |= _spread("saving", m.saving_at_means, m.yearly_saving.low, m.yearly_saving.high, 3)
    wanted |= _spread("npv", m.npv_at_means, m.npv_spread.low, m.npv_spread.high, 3)
    wanted |= {"npv mean": (m.npv, kept(m.npv_spread.low, m.npv_spread.high, 3))}
    wanted |= {"years": (m.years, 0), "payback limit": (limit, 0 if limit == int(limit) else 1)}
    wanted |= {
        "chance payback": (m.chance_payback, 0),
        "chance npv": (m.chance_npv_positive, 0),
        "chance loss": (m.chance_npv_negative, 0),
    }
    wanted |= {"rate": (m.discount_rate, 0)} | ({"irr": (m.irr[0], 0)} if len(m.irr) else {})
    for row in m.patterns:
        wanted |= _spread(f"saving {row.pattern}", row.saving_per_year, row.saving_low, row.saving_high, 0)
        ends = row.break_even_run_low, row.break_even_run_high
        wanted |= {f"least run {row.pattern}": (row.break_even_run_molds, kept(*ends, 0))}
        wanted |= {f"seconds {row.pattern}": (row.seconds_saved, 1), f"run {row.pattern}": (row.run_molds, 0)}
    return wanted | {f"flow {row.year}": (row.total, 0) for row in m.cash_flow}


def _of_rooms(a):
    wanted = {}
    for row in a.standards:
        label = study_of(row)
        wanted |= _spread(label, row.standard_s, row.standard_low_s, row.standard_high_s, 1)
        wanted |= {f"{label} cycles": (row.cycles, 0), f"{label} allowance": (row.allowance_pct, 1)}
    for (pattern, method), row in a.pooled.items():
        name = f"standard {pattern} {method}"
        wanted |= _spread(name, row.standard_s, row.standard_low_s, row.standard_high_s, 1)
    for row in a.line:
        wanted |= _spread(f"molds/h {row.pattern} {row.method}", row.molds_per_h, row.low, row.high, 1)
    for row in a.mold_cycles:
        wanted |= _spread(f"cycle {row.pattern} {row.method}", row.mean_s, row.low_s, row.high_s, 1)
    worst = {}
    for row in a.handling:
        name, pace = f"{row.pattern} {row.method} {row.task}", row.frequency_per_min
        wanted[f"pace {name}"] = (pace, 1 if pace >= 1 else 2 if pace >= 0.1 else 3)
        if row.li is not None:
            wanted[f"index {name}"] = (row.li, 2)
            worst[row.method] = max(row.li, worst.get(row.method, 0.0))
    before, after = a.case.baseline, a.case.candidate
    return wanted | {"worst before": (worst[before], 2), "worst after": (worst[after], 2)}


def kept(low, high, most):
    """Decimals that an interval bears: two digits of its half-width, by the exponent that it prints with."""
    half = abs(high - low) / 2
    return most if not isfinite(half) or half == 0 else min(most, 1 - int(f"{half:.17e}".partition("e")[2]))


def counted(value, digits):
    """Decimals, none below zero, that leave so many digits that count."""
    return 0 if abs(value) < 1 else min(0, digits - 1 - int(f"{abs(value):.17e}".partition("e")[2]))


def rounded(value, digits):
    """Half away from zero, by decimal arithmetic on the shortest text of the value."""
    return Decimal(repr(float(value))).quantize(Decimal(1).scaleb(-digits), ROUND_HALF_UP)


def agrees(said, value, digits):
    """Whether a printed figure is the value in so many decimals."""
    if value == inf or said == "never":
        return value == inf and said == "never"
    decimals = len(said.partition(".")[2])
    return decimals == max(0, digits) and Decimal(said) == rounded(value, digits)


def agrees_chance(said, share):
    """Whether a printed chance is the share in whole percent, `over 99` and `under 1` where it is only near."""
    if 0.995 <= share < 1 or 0 < share < 0.005:
        return said == ("over99" if share > 0.5 else "under1")
    return said == str(rounded(100 * share, 0))
