"""A second set of measures of money, written from the definitions, slowly and in exact fractions."""

import itertools
import math
from fractions import Fraction


def exact(number):
    """The decimal that a number is written as."""
    return Fraction(str(number))


def worth(flows, rate):
    """Present value: year by year, back from the last."""
    value = Fraction(0)
    for flow in reversed(flows):
        value = value / (1 + exact(rate)) + exact(flow)
    return value


def totals(flows, rate):
    """What has come in less what went out, each year discounted, year by year."""
    return [worth(flows[: year + 1], rate) for year in range(len(flows))]


def payback(flows, rate):
    """Years until the total stays at or above nothing, by a straight line within the year; None if it never does."""
    run = totals(flows, rate)
    if run[-1] < 0:
        return None
    for year in range(len(run) - 1, -1, -1):
        if run[year] < 0:
            return year + -run[year] / (run[year + 1] - run[year])
    return Fraction(0)


def whole_payback(flows, rate):
    """First year with a total at or above nothing."""
    return next((year for year, total in enumerate(totals(flows, rate)) if total >= 0), None)


def yearly(first, annual, rate, years):
    """Equivalent annual cost: the first cost as a payment that is worth as much, and the yearly cost."""
    return exact(first) / worth([0] + [1] * years, rate) + exact(annual)


def modified_rate(flows, finance, reinvest):
    """The rate at which outlays of today would grow to the gains of the last year."""
    n = len(flows) - 1
    gains = sum(exact(f) * (1 + exact(reinvest)) ** (n - t) for t, f in enumerate(flows) if f > 0)
    outlays = sum(-exact(f) / (1 + exact(finance)) ** t for t, f in enumerate(flows) if f < 0)
    return math.exp(math.log(gains / outlays) / n) - 1 if gains and outlays else None


def crossings(flows, growths):
    """Pairs of neighboring growths in a year, in whole tenths, between which the worth changes its sign.

    The sign is that of the worth in the last year, and that in whole numbers: of 10^n times it.
    """
    last = len(flows) - 1
    values = [sum(int(f) * g ** (last - year) * 10**year for year, f in enumerate(flows)) for g in growths]
    return [
        pair for pair, (a, b) in zip(itertools.pairwise(growths), itertools.pairwise(values), strict=True) if a * b < 0
    ]


def half_year_shares(life):
    """200 % declining balance with half a year at both ends, turned to straight line where that is more, exactly."""
    left, shares, years_left = Fraction(1), [], Fraction(life)
    for year in range(life + 1):
        part = Fraction(1, 2) if year in {0, life} else Fraction(1)
        amount = min(left, max(left * Fraction(2, life) * part, left * part / max(years_left, part)))
        shares.append(amount)
        left -= amount
        years_left -= part
    return shares


def declining(life, factor):
    """Declining balance over the life, turned to straight line where that is more."""
    left, shares = Fraction(1), []
    for year in range(life):
        shares.append(left * max(min(Fraction(1), exact(factor) / life), Fraction(1, life - year)))
        left -= shares[-1]
    return shares


def taxed(flows, cost, shares, tax, salvage):
    """Flows after tax: profit is flow less what is written off; the sale is taxed above the book value."""
    net, book = [exact(flows[0])], exact(cost)
    for year, flow in enumerate(flows[1:]):
        written = exact(cost) * shares[year]
        book -= written
        net.append(exact(flow) - exact(tax) * (exact(flow) - written))
    net[-1] += exact(salvage) - exact(tax) * (exact(salvage) - book)
    return net


def best_worth(worths, uses, limits):
    """Most that any set within the limits is worth, None if no set is: every set is tried."""
    best = None
    for chosen in itertools.product([0, 1], repeat=len(worths)):
        inside = all(
            sum(u * c for u, c in zip(row, chosen, strict=True)) <= most for row, most in zip(uses, limits, strict=True)
        )
        if inside:
            value = sum(w * c for w, c in zip(worths, chosen, strict=True))
            best = value if best is None else max(best, value)
    return best


def unit_normal_loss(z):
    """Mean of what a standard normal exceeds z by: phi(z) - z (1 - Phi(z))."""
    density = math.exp(-0.5 * z * z) / math.sqrt(2 * math.pi)
    return density - z * 0.5 * math.erfc(z / math.sqrt(2))
