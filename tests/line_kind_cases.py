"""Lines of each kind with fixed or scattered times: nets of the product, and lognormal times drawn step by step."""

from dataclasses import dataclass, field, replace
from types import SimpleNamespace

import numpy as np
import plant
from scipy.stats import norm

from coreset.case import Line, Method, Step, Stop
from coreset.line.line_kinds import front_of, whole
from coreset.line.method_steps import activities, net
from coreset.line.recursion import finish_times


@dataclass(frozen=True)
class Invented:
    """One line: its facts, a method's steps, cooling, and (mean, cv) of every step that takes time. [s]"""

    line: Line
    method: Method
    cool_s: float = 0.0
    times: dict = field(default_factory=dict)

    @property
    def net(self):
        """The whole line."""
        return net(whole(self.line, front_of(self.line, activities(self.method, "P")), cool_s=self.cool_s))


def method(*steps, **facts):
    """A method of steps (name, by, more facts); times come from the case's own table."""
    return Method(
        method="m", steps=tuple(Step(name=n, by=by, constant_s=1.0, **more) for n, by, more in steps), **facts
    )


def fixed_s(case):
    """Mean time of each step of the whole line. [s]"""
    return np.array([case.times[a.name][0] if a.name in case.times else a.constant_s for a in case.net.activities])


def lognormal_s(case, *, molds, runs, seed=1):
    """Independent times of each step (molds, steps, runs). [s]"""
    rng, means = np.random.default_rng(seed), fixed_s(case)
    found = np.broadcast_to(means[None, :, None], (molds, len(means), runs)).copy()
    for k, a in enumerate(case.net.activities):
        mean, cv = case.times.get(a.name, (0.0, 0.0))
        if cv > 0:
            s = np.sqrt(np.log1p(cv**2))
            found[:, k] = rng.lognormal(np.log(mean) - s**2 / 2, s, (molds, runs))
    return found


def per_hour(case, seconds, *, warm_up):
    """Molds an hour after a warm-up, molds over mean time."""
    out = finish_times(case.net, seconds)[:, -1]
    return 3600.0 * (len(out) - warm_up) / float((out[-1] - out[warm_up - 1]).mean())


MAKE = ("make", "machine", {})
STRING = method(MAKE, ("load", "operator", {}), ("set", "operator", {"after": ("index",)}))
STRING_MASKS = method(
    MAKE,
    ("load", "operator", {"after_previous": ("set",), "cycles_back": 2}),
    ("set", "setter", {"after": ("index", "load")}),
)
PLATE = method(
    MAKE,
    ("load", "operator", {}),
    ("set", "operator", {"after": ("make",)}),
    ("clear", "operator", {}),
    ("close", "machine", {"after": ("clear",)}),
)
PALLETS = method(MAKE, *((f"set{n}", f"operator {n}", {"after": ("index",)}) for n in (1, 2, 3)))
DRAGS = method(
    MAKE, ("walk", "operator", {}), ("set", "operator", {"after": ("make",)}), operators=2, crew="alternate molds"
)
TABLE = method(MAKE, ("load", "operator", {}), ("set", "operator", {"after": ("index",)}))
APART = method(MAKE, ("load", "operator", {}), ("set", "operator", {"after": ("make",)}))


def line(kind, **facts):
    """A line of one kind."""
    return Line(kind=kind, **facts)


LINES = {
    "string_hand": Invented(
        line("indexing line", index_s=3.0, cooling_places=120),
        STRING,
        1500.0,
        {"make": (9.5, 0.02), "load": (6, 0.25), "set": (7, 0.2), "pouring": (8, 0.12), "shake-out": (5, 0)},
    ),
    "string_mask": Invented(
        line("indexing line", index_s=3.0, cooling_places=160),
        STRING_MASKS,
        1700.0,
        {"make": (9.5, 0.02), "load": (10.5, 0.3), "set": (5.5, 0.03), "pouring": (7.5, 0.15), "shake-out": (5, 0)},
    ),
    "index_hand": Invented(
        line("indexing line", index_s=5.0, cooling_places=140),
        PLATE,
        3000.0,
        {
            "make": (18, 0.03), "load": (8, 0.25), "set": (14, 0.2), "clear": (3, 0.2), "close": (5, 0),
            "weights": (9, 0), "pouring": (20, 0.2), "shake-out": (10, 0),
        },
    ),
    "index_zone": Invented(
        line("indexing line", index_s=5.0, cooling_places=110, pouring_places=3),
        PLATE,
        2700.0,
        {
            "make": (15, 0.03), "load": (12, 0.25), "set": (6, 0.04), "clear": (2.5, 0.2), "close": (5, 0),
            "weights": (9, 0), "pouring": (29, 0.25), "shake-out": (10, 0),
        },
    ),
    "flask_open": Invented(
        line("flask loop", open_drags=4, mold_positions=5, cooling_places=60, flasks=85, flask_return_s=240.0),
        DRAGS,
        3600.0,
        {
            "make": (50, 0.03), "walk": (6, 0.2), "set": (88, 0.2), "closing": (30, 0),
            "pouring": (35, 0.2), "shake-out": (30, 0),
        },
    ),
    "flask_pallets": Invented(
        line("indexing line", index_s=7.0, cooling_places=70),
        PALLETS,
        3500.0,
        {
            "make": (44, 0.03), "set1": (40, 0.18), "set2": (38, 0.22), "set3": (36, 0.3),
            "weights": (34, 0), "pouring": (37, 0.15), "shake-out": (30, 0),
        },
    ),
    "turntable": Invented(
        line("turntable", index_s=4.0, mold_positions=4, cooling_places=1000),
        TABLE,
        0.0,
        {"make": (21, 0.04), "load": (6, 0.25), "set": (16, 0.25), "pouring": (20, 0.2), "shake-out": (0, 0)},
    ),
    "shuttle_direct": Invented(
        line("setting station", move_s=3.0, mold_positions=5, cooling_places=1000),
        APART,
        0.0,
        {"make": (24, 0.04), "load": (5, 0.3), "set": (17, 0.25), "pouring": (21, 0.25), "shake-out": (0, 0)},
    ),
}  # fmt: skip

STOPS = {
    "string_mask": (("pouring", 60.0, 3.0), ("core setting", 90.0, 2.0)),
    "index_zone": (("molding", 50.0, 3.0), ("pouring", 90.0, 4.0)),
    "flask_pallets": (("molding", 80.0, 5.0),),
    "shuttle_direct": (("molding", 50.0, 3.0), ("pouring", 70.0, 4.0)),
}
"""Listed stops: station, running minutes between, minutes that one lasts."""


def cased(name, *, cycles=4_000, seed=3):
    """A case with one pattern on that line, and its one study: independent times of each step in many cycles."""
    invented, rng = LINES[name], np.random.default_rng(seed)
    own = {s.name for s in invented.method.steps}
    steps = tuple(replace(s, constant_s=None, element=s.name) for s in invented.method.steps)
    rows = {}
    for step in own:
        mean, cv = invented.times[step]
        s = np.sqrt(np.log1p(cv**2))
        drawn = rng.permutation(np.exp(s * norm.ppf((np.arange(cycles) + 0.5) / cycles)))
        rows[step] = mean * drawn / drawn.mean()
    facts = {"pouring_s": invented.times["pouring"][0], "pouring_cv": invented.times["pouring"][1]}
    facts |= {"shakeout_s": invented.times["shake-out"][0]}
    facts |= {f"{n}_s": invented.times[n][0] for n in ("weights", "closing") if n in invented.times}
    stops = tuple(Stop(cause=s, station=s, every_min=e, lasts_min=m) for s, e, m in STOPS.get(name, ()))
    pattern = replace(plant.plant().patterns[0], cooling_min=invented.cool_s / 60.0)
    case = plant.plant(
        form=2,
        line=replace(invented.line, **facts, stops=stops),
        methods=(replace(invented.method, steps=steps),),
        patterns=(pattern,),
    )
    study = SimpleNamespace(
        study="S", pattern=pattern.pattern, method="m", standard_s=float(sum(r.mean() for r in rows.values())),
        cycle_standard_s=rows, elements=(), draws_s=np.full(9, float(sum(r.mean() for r in rows.values()))),
    )  # fmt: skip
    return case, (study,)
