"""A second lifting equation, written from the text of the manual, slowly and in exact fractions of the decimals given.

It shares nothing with the program but the printed frequency table, which it reads for itself.
"""

import csv
from fractions import Fraction
from pathlib import Path

TABLE_5 = Path(__file__).parents[1] / "reference" / "waters1994" / "table5_frequency.csv"
ROWS = [
    {name: Fraction(cell) for name, cell in row.items() if name != "status"}
    for row in csv.DictReader(TABLE_5.read_text(encoding="utf-8").splitlines()[2:])
]
KNUCKLES = {"metric": Fraction(75), "us": Fraction(30)}


def exact(number):
    """The decimal that a number is written as."""
    return number if isinstance(number, Fraction) else Fraction(str(number))


def reach(h, units):
    """HM."""
    nearest, farthest = {"metric": (25, 63), "us": (10, 25)}[units]
    if h > farthest:
        return Fraction(0)
    return Fraction(1) if h <= nearest else nearest / h


def height(v, units):
    """VM."""
    highest, slope = {"metric": (175, Fraction("0.003")), "us": (70, Fraction("0.0075"))}[units]
    return Fraction(0) if v > highest else 1 - slope * abs(v - KNUCKLES[units])


def travel(d, units):
    """DM."""
    shortest, longest, over = {"metric": (25, 175, Fraction("4.5")), "us": (10, 70, Fraction("1.8"))}[units]
    if d > longest:
        return Fraction(0)
    return Fraction(1) if d <= shortest else Fraction("0.82") + over / d


def twist(a):
    """AM."""
    return Fraction(0) if a > 135 else 1 - Fraction("0.0032") * a


def hold(coupling, v, units):
    """CM."""
    low = {"good": "1", "fair": "0.95", "poor": "0.9"}[coupling]
    return Fraction(1) if coupling == "fair" and v >= KNUCKLES[units] else Fraction(low)


def often(f, duration, v, units):
    """FM: between rows by straight lines, never between a row and one of zero."""
    column = f"{duration}_{'high' if v >= KNUCKLES[units] else 'low'}"
    points = [(row["frequency_per_min"], row[column]) for row in ROWS]
    if f <= points[0][0]:
        return points[0][1]
    for (left, at_left), (right, at_right) in zip(points, points[1:], strict=False):
        if f == left:
            return at_left
        if left < f < right:
            return at_left + (at_right - at_left) * (f - left) / (right - left) if at_right else Fraction(0)
    return points[-1][1] if f == points[-1][0] else Fraction(0)


def limit(lift, end, units):
    """RWL of one end; FM by V at the origin, CM by V of the end."""
    h, v, a = (exact(lift[f"{name}_{end}"]) for name in ("horizontal", "vertical", "asymmetry"))
    v_origin = exact(lift["vertical_origin"])
    d = abs(exact(lift["vertical_destination"]) - v_origin)
    constant = {"metric": 23, "us": 51}[units]
    product = constant * reach(h, units) * height(v, units) * travel(d, units) * twist(a)
    return (
        product * often(exact(lift["frequency"]), lift["duration"], v_origin, units) * hold(lift["coupling"], v, units)
    )


def composite(tasks, duration, units):
    """CLI of tasks (FILI, mean load over FIRWL, F, V at the origin); None where the table ends before the last."""
    rated = []
    for fili, mean, f, v in ([exact(x) for x in task] for task in tasks):
        alone = often(f, duration, v, units)
        if not alone:
            return None
        rated.append((mean / alone, f, fili, v))
    # Falling STLI, of equal ones the more frequent; beyond that the manual is silent.
    rated.sort(key=lambda task: (-task[0], -task[1], task[2], -task[3]))
    index, together = rated[0][0], rated[0][1]
    for _, f, fili, v in rated[1:]:
        before, after = often(together, duration, v, units), often(together + f, duration, v, units)
        if not before or not after:
            return None
        index += fili * (1 / after - 1 / before)
        together += f
    return index


def parts_of_range(filis):
    """Which of six equal parts of the range each FILI falls in; a border belongs to the part that begins there."""
    low, high = min(filis), max(filis)
    return [sum(x >= low + part * (high - low) / 6 for part in range(1, 6)) if high > low else 0 for x in filis]


def variable(lifts, total, duration, units):
    """VLI of lifts (FILI, weight, V at the origin): each part of the range of FILI is a task of the mean of its lifts.

    Its frequency is its share of the total; the print says nothing of V, and the lowest of its lifts is taken.
    """
    lifts = [tuple(exact(x) for x in lift) for lift in lifts]
    weights = sum(weight for _, weight, _ in lifts)
    places = parts_of_range([fili for fili, _, _ in lifts])
    tasks = []
    for place in sorted(set(places)):
        own = [lift for lift, at in zip(lifts, places, strict=True) if at == place]
        weight = sum(w for _, w, _ in own)
        mean = sum(fili * w for fili, w, _ in own) / weight
        tasks.append((mean, mean, exact(total) * weight / weights, min(v for _, _, v in own)))
    return composite(tasks, duration, units)


def sequential(own, whole_shift, hours):
    """SLI."""
    own, longest, hours = ([exact(x) for x in values] for values in (own, whole_shift, hours))
    worst = own.index(max(own))
    weighted = sum(index * t for index, t in zip(longest, hours, strict=True))
    return own[worst] + (longest[worst] - own[worst]) * weighted / (longest[worst] * sum(hours))


def busiest(rate, spells):
    """Lifts a minute over the busiest 15 minutes, minute by minute; spells of whole minutes go round."""
    minutes = [lifting for work, light in spells for lifting in [1] * work + [0] * light]
    if rate > 15:
        return exact(rate)
    most = max(sum(minutes[(start + i) % len(minutes)] for i in range(15)) for start in range(len(minutes)))
    return exact(rate) * most / 15


def duration_class(spells, edition):
    """Class of spells of whole minutes, again and again all day: too little recovery, and the next one is added.

    A spell counts a quarter of an hour at least. A short session needs its ratio of recovery, and that of a quarter of
    an hour with the quarter of an hour itself; a moderate one 0.3 of an hour at least.
    """
    ratio = {"1994": Fraction("1.2"), "2021": Fraction(1)}[edition]
    for name, most in (("short", 60), ("moderate", 120)):
        worst, together = 0, 0
        for work, light in spells * 20:
            together += max(15, work)
            worst = max(worst, together)
            needed = max(ratio * together, ratio * 15 + 15) if name == "short" else Fraction("0.3") * max(together, 60)
            together = 0 if light >= needed else together
        if worst <= most:
            return name
    return "long"


def share(lift, end, units):
    """RWL of one end over the load constant, apart from the pace: the limit with F of nothing."""
    rare = {**lift, "frequency": "0", "duration": "short"}
    return limit(rare, end, units) / {"metric": 23, "us": 51}[units]


CLASSES = ("short", "moderate", "long")


def class_of(minutes):
    """Duration class of an unbroken session."""
    return "short" if minutes <= 60 else "moderate" if minutes <= 120 else "long"


def lasting(spells, hours, edition):
    """Duration class of a shift: that of its spells, or of its hours where those are shorter or there are no spells."""
    minutes = max(exact(hours) * 60, sum(work for work, _ in spells))
    return min(duration_class(spells, edition) if spells else "long", class_of(minutes), key=CLASSES.index)


def job(lifts, units, *, seconds, spells=(), hours=8, edition="1994", duration=None):
    """Kind and index of all lifts of a mold as one job, by the worst end of each; None where nothing may be lifted.

    A lift has its load, largest load and how often a mold, or its own frequency; the longest class of them holds, or
    the duration that is given.
    """
    shift = lasting(spells, hours, edition)
    longest = duration or max((lift["duration"] or shift for lift in lifts), key=CLASSES.index)
    tasks = []
    for lift in lifts:
        ends = ("origin", "destination") if lift["control"] else ("origin",)
        most = {"metric": 23, "us": 51}[units] * min(share(lift, end, units) for end in ends)
        if not most:
            return ("beyond", None)
        rate = exact(lift["per_mold"]) * 60 / exact(seconds)
        f = exact(lift["own"]) if lift["own"] else busiest(rate, list(spells)) if spells else rate
        tasks.append((exact(lift["largest"]) / most, exact(lift["mass"]) / most, f, exact(lift["vertical_origin"])))
    if len(tasks) > 10:
        loads = [(fili, f, v) for fili, _, f, v in tasks]
        return "VLI", variable(loads, sum(f for _, _, f, _ in tasks), longest, units)
    return ("CLI" if len(tasks) > 1 else "LI"), composite(tasks, longest, units)


def rotation(slots, units, *, spells=(), hours=8):
    """SLI of a shift of slots (lifts of a mold, seconds of one, molds a year) in turn; None where a slot has no index.

    A slot lasts its share of the year's work. Its index at the class of the shift is never taken below that at its own
    class: an index may fall with the order of its tasks.
    """
    year = sum(exact(seconds) * molds for _, seconds, molds in slots)
    times = [exact(hours) * 60 * exact(seconds) * molds / year for _, seconds, molds in slots]
    whole, indices = class_of(exact(hours) * 60), []
    for (lifts, seconds, _), minutes in zip(slots, times, strict=True):
        own = min(class_of(minutes), whole, key=CLASSES.index)
        found = [job(lifts, units, seconds=seconds, spells=spells, duration=name)[1] for name in (own, whole)]
        if None in found:
            return None
        indices.append((found[0], max(found)))
    return sequential(*zip(*indices, strict=True), times)
