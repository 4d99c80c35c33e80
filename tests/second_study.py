"""A second standard time, written from the textbook's text, slowly and in exact fractions of the decimals given."""

import itertools
import math
from fractions import Fraction


def exact(number):
    """The decimal that a number is written as."""
    return Fraction(str(number))


def by_allowance(normal, percent, basis):
    """Standard from normal time: the allowance is a share of the work, or of the day."""
    share = exact(percent) / 100
    return normal * (1 + share) if basis == "normal" else normal / (1 - share)


def standard(elements, percent, basis, molds_per_cycle):
    """Observed, normal and standard time of one mold.

    An element has `cycles`: for each cycle the readings and ratings in percent of its occurrences. An occasional one
    counts by how often it came; one that is read once for several a mold counts by its number.
    """
    observed = normal = total = Fraction(0)
    for element in elements:
        readings = [pair for cycle in element["cycles"] for pair in cycle]
        if not readings:
            continue
        times = [exact(seconds) for seconds, _ in readings]
        rated = [exact(seconds) * exact(rating) / 100 for seconds, rating in readings]
        if element["kind"] == "machine":
            rated = times
        if element["per_mold"]:
            share = Fraction(element["per_mold"], len(readings))
        else:
            cycles = len(element["cycles"]) if element["occasional"] else sum(map(bool, element["cycles"]))
            share = Fraction(1, cycles * molds_per_cycle)
        observed += sum(times) * share
        normal += sum(rated) * share
        mine = sum(rated) * share
        total += mine if element["kind"] == "machine" else by_allowance(mine, percent, basis)
    return observed, normal, total


def clock(seconds):
    """What a running clock shows at the end of each of these times."""
    return [float(total) for total in itertools.accumulate(exact(s) for s in seconds)]


def mean_and_sd(readings):
    """Mean and standard deviation with n - 1."""
    x = [exact(r) for r in readings]
    mean = sum(x) / len(x)
    return mean, math.sqrt(sum((r - mean) ** 2 for r in x) / (len(x) - 1))


def needed(mean, sd, z, share):
    """Readings before rounding up."""
    return (z * sd / (share * mean)) ** 2


def needed_by_root(readings):
    """The form with 40 and the square root."""
    n, total, squares = len(readings), sum(map(exact, readings)), sum(exact(r) ** 2 for r in readings)
    return (40 * math.sqrt(n * squares - total**2) / total) ** 2
