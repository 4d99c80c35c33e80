"""Cases drawn at random for tests: every field of every value class may take anything its limits allow."""

import dataclasses
import math
from types import NoneType, UnionType
from typing import Annotated, Literal, Union, get_args, get_origin, get_type_hints

import annotated_types
from hypothesis import strategies as st

from coreset.case import (
    PLANT_CHANGES,
    UNIT_SETS,
    Action,
    Actual,
    AllowanceLine,
    Allowances,
    Case,
    Core,
    Correction,
    Driver,
    Element,
    Lift,
    Line,
    Method,
    Money,
    Pattern,
    Place,
    Range,
    RatedPace,
    Readings,
    ScrapCount,
    Setter,
    Step,
    Stop,
    Study,
    WatchedShift,
    plausible,
)
from coreset.case.actual import FIRST, SAVED
from coreset.case.codes import alphabet_rule, code_rule, folded
from coreset.case.kinds import out_of_place, stations
from coreset.case.stops import FORM_OF_STOPS
from coreset.case.study import PICTURE

HOSTILE = [
    "=1+1",
    "'=HYPERLINK(1)",
    "+49",
    "-",
    "@SUM(A1)",
    "<script>alert(1)</script>",
    'say "no", or; not',
    "two\nlines",
    " lead and trail ",
    "$x^2$ *b* _i_ `c` #set",
    "../../etc/passwd",
    "'; drop table study; --",
    "ünïcödé 漢字 🙂",
    "{{ 7*7 }} {0}",
]
TEXT = st.one_of(
    st.sampled_from(HOSTILE),
    st.text(
        st.characters(exclude_categories=["Cs", "Cc"], exclude_characters="\ufffe\uffff", codec="utf-8"), max_size=12
    ),
)
CODE = TEXT.filter(bool)
NAME = CODE.filter(lambda text: not (code_rule(text) or alphabet_rule(text)))
FILE_CODE = st.from_regex(r"[A-Za-z0-9][A-Za-z0-9 ._+-]{0,10}[A-Za-z0-9]", fullmatch=True)


def ordinary(number):
    """Of a size that a reader takes."""
    return number == 0.0 or abs(number) >= 1e-9


def numbers(kind, limits):
    """Numbers of a kind within the annotated limits."""
    low, high, open_low, open_high = (0 if kind is int else -1e12), (10**12 if kind is int else 1e12), False, False
    for limit in limits:
        match limit:
            case annotated_types.Ge(ge):
                low, open_low = ge, False
            case annotated_types.Gt(gt):
                low, open_low = gt, True
            case annotated_types.Le(le):
                high = le
            case annotated_types.Lt(lt):
                high, open_high = lt, True
    if kind is int:
        return st.integers(int(low) + open_low, int(high) - open_high)
    drawn = st.floats(
        float(low), float(high), exclude_min=open_low, exclude_max=open_high, allow_nan=False, allow_infinity=False
    )
    return drawn.filter(ordinary)


def ranges(most=1e9):
    """A figure with low <= likely <= high and perhaps a source."""
    parts = st.lists(st.floats(0, most).filter(ordinary), min_size=3, max_size=3).map(sorted)
    return st.builds(lambda p, s: Range(low=p[0], likely=p[1], high=p[2], source=s), parts, TEXT)


def of(annotation):
    """Values of one annotation of a field."""
    limits = []
    while get_origin(annotation) is Annotated:
        annotation, *more = get_args(annotation)
        limits += more
    origin = get_origin(annotation)
    if origin in (Union, UnionType):
        parts = [part for part in get_args(annotation) if part is not NoneType]
        return st.one_of(st.none(), *map(of, parts))
    if origin is Literal:
        return st.sampled_from(get_args(annotation))
    if origin is tuple:
        inner = get_args(annotation)
        if len(inner) == 2 and inner[1] is ...:
            return st.lists(of(inner[0]), max_size=3).map(tuple)
        return st.tuples(*map(of, inner))
    if annotation is Range:
        return ranges()
    if dataclasses.is_dataclass(annotation):
        return values(annotation)
    if annotation is bool:
        return st.booleans()
    if annotation is str:
        return CODE if limits else TEXT
    return numbers(annotation, limits)


def likely(field):
    """Figures that are questioned in neither unit set, or none where the field may be empty."""
    low, high = zip(*(plausible(field, units) for units in UNIT_SETS), strict=True)
    found = st.floats(max(low), min(high)).filter(lambda x: x > 0 or field.default is None).filter(ordinary)
    return st.one_of(st.none(), found) if field.default is None else found


def of_field(field, hint):
    """What one field may hold."""
    if field.metadata.get("plausible"):
        return likely(field)
    return st.one_of(st.none(), ranges(field.metadata["most"])) if field.metadata.get("most") else of(hint)


def values(kind, **fixed):
    """Values of a dataclass, some fields fixed to a strategy."""
    hints = get_type_hints(kind, include_extras=True)
    parts = {
        f.name: fixed[f.name] if f.name in fixed else of_field(f, hints[f.name])
        for f in dataclasses.fields(kind)
        if "meaning" in f.metadata or f.name in fixed
    }
    return st.builds(kind, **parts)


DAYS = st.sampled_from(["", "2026-03-31", "1999-12-01"])
PICTURES = st.sampled_from(["", f"{PICTURE}/9j/4AAQ"])
CLOCKS = st.sampled_from(["", "7:05:00", "23:59:59.5"])


@st.composite
def studies(draw, code, patterns, methods, sets, cores):
    """A study that agrees with the rest of the case."""
    names = draw(st.lists(CODE, min_size=1, max_size=3, unique=True))
    pattern = draw(st.sampled_from(patterns))
    own = st.sampled_from(["", *[core.core for core in cores if core.pattern == pattern]])
    elements = tuple(draw(values(Element, name=st.just(name), core=own, picture=PICTURES)) for name in names)
    size = draw(st.integers(0, 6))
    marks = draw(st.lists(st.sampled_from(["", "foreign", "missed", "failed", "split"]), min_size=size, max_size=size))
    clock = sorted(draw(st.lists(st.floats(0, 1e9), min_size=size, max_size=size)))
    start = draw(st.sampled_from([1, 7]))
    rating = st.one_of(st.just(math.nan), st.floats(0, 1e9, exclude_min=True))
    readings = Readings(
        seq=tuple(range(start, start + size)),
        cycle=tuple(draw(st.lists(st.integers(0, 10**6), min_size=size, max_size=size))),
        element=tuple(draw(st.sampled_from(names)) for _ in range(size)),
        reading_s=tuple(math.nan if m == "missed" else t for m, t in zip(marks, clock, strict=True)),
        rating=tuple(draw(st.lists(rating, min_size=size, max_size=size))),
        mark=tuple(marks),
        note=tuple(draw(st.lists(TEXT, min_size=size, max_size=size))),
    )
    change = values(
        Correction, seq=st.just(start), action=st.sampled_from(["exclude", "restore"]), value=TEXT, when=CODE
    )
    return draw(
        values(
            Study,
            study=st.just(code),
            method=st.sampled_from(methods),
            pattern=st.just(pattern),
            date=DAYS,
            effective=DAYS,
            superseded_by=st.just(""),
            clock_in=CLOCKS,
            clock_out=CLOCKS,
            allowances=st.sampled_from(["", *sets]),
            elements=st.just(elements),
            readings=st.just(readings),
            corrections=st.lists(change, max_size=2 if size else 0).map(tuple),
        )
    )


def with_curve(setter):
    """A setter without a curve of its supply, or with one."""
    points = st.sampled_from([((), ()), ((0.0, 20.5, 80.0), (900.0, 400.0, 0.0))])
    return points.map(lambda both: dataclasses.replace(setter, curve_kpa=both[0], curve_l_min=both[1]))


def of_its_kind(line):
    """A line with nothing that its kind does not have."""
    plain = Line()
    line = dataclasses.replace(line, **{name: getattr(plain, name) for name, _, _ in out_of_place(line)})
    return dataclasses.replace(line, stops=tuple(stop for stop in line.stops if stop.station in stations(line.kind)))


def stops_once(line):
    """A line whose overall uptime stands alone."""
    alone = line.uptime is None or not (line.stops or line.other_stops_pct is not None)
    return line if alone else dataclasses.replace(line, uptime=None)


PROGRAM = {
    "starts_in_year": st.integers(0, 3),
    "goes_over_in_year": st.sampled_from([0, 3, 5]),
    "ends_after_year": st.sampled_from([0, 5, 100]),
    "molds_by_year": st.sampled_from([(), (1_200.0,), (900.5, 0.0, 2_000.0)]),
}
"""Years of a program in their order."""


def volumes_once(pattern):
    """A pattern whose volumes come by year or by growth, not by both."""
    return dataclasses.replace(pattern, volume_growth=0.0) if pattern.molds_by_year else pattern


@st.composite
def cases(draw):
    """A whole case whose parts agree."""
    patterns = draw(st.lists(NAME, min_size=1, max_size=3, unique_by=folded))
    methods = draw(st.lists(NAME, min_size=2, max_size=3, unique_by=folded))
    sets = draw(st.lists(CODE, max_size=2, unique=True))
    made = ranges().filter(lambda molds: molds.likely > 0)  # a pattern that is not made has no row
    pattern, method = st.sampled_from(patterns), st.sampled_from(methods)
    cores = tuple(
        draw(values(Core, pattern=st.just(p), core=st.just(c)))
        for p in patterns
        for c in draw(st.lists(CODE, max_size=2, unique=True))
    )
    lift = values(
        Lift,
        method=method,
        pattern=pattern,
        core=st.just(""),
        mass=st.floats(0.1, 100),
        lifts_per_mold=st.floats(0.1, 9),
        frequency_reason=CODE.filter(str.strip),
    )
    tasks = draw(st.lists(CODE, max_size=2, unique=True))
    steps = st.lists(CODE, max_size=3, unique=True).flatmap(
        lambda names: st.tuples(
            *[
                values(
                    Step,
                    name=st.just(name),
                    element=st.just(""),
                    constant_s=st.floats(0, 100).filter(ordinary),
                    after=st.just(tuple(names[:i])),
                    after_previous=st.just(tuple(names)),
                    places=st.sampled_from(["", *(core.core for core in cores)]),
                    patterns=st.lists(pattern, max_size=1).map(tuple),
                )
                for i, name in enumerate(names)
            ]
        )
    )
    codes = draw(st.lists(FILE_CODE, max_size=2, unique_by=folded))
    counts = values(
        ScrapCount,
        pattern=pattern,
        method=method,
        castings_poured=st.integers(9, 99),
        castings_scrapped=st.integers(0, 9),
    )
    own_lines = st.lists(values(AllowanceLine, study=st.just("")), max_size=2).map(tuple)
    parts = ("contingency", "delay", "personal", "avoidable", "foreign", "not_seen")
    minutes = {name: st.floats(0.0, 200.0).filter(ordinary) for name in parts}
    own = {"watched": st.just(0.0), "counted": st.just("minutes"), "effective": st.floats(1.0, 200.0)}
    watched = values(WatchedShift, **own, **minutes)
    done = values(
        Action,
        pattern=pattern,
        method=method,
        due=DAYS.filter(bool),
        measured=DAYS.filter(bool),
        assessed=DAYS,
        reassess_by=DAYS,
        state=st.just("done"),
        index_after=st.floats(0.01, 9),  # files take no smaller figure but 0
        picture=st.sampled_from(["", f"{PICTURE}/9j/4AAQ", f"{PICTURE}+A=="]),
    )
    agreed = st.one_of(done, done.map(lambda one: dataclasses.replace(one, state="open", index_after=None)))
    spent = st.one_of(
        values(Actual, year=st.just(0), item=st.sampled_from(FIRST), amount=st.floats(0, 1e9).filter(ordinary)),
        values(Actual, year=st.just(1), item=st.sampled_from(SAVED)),
    )
    return draw(
        values(
            Case,
            currency=st.sampled_from(["USD", "EUR"]),
            date=DAYS,
            baseline=method,
            candidate=method,
            place=values(
                Place,
                clothing=st.sampled_from(["work clothes (woven)", "polyolefin coverall"]),
                steps_allowed=st.lists(st.sampled_from(PLANT_CHANGES), max_size=2).map(tuple),
            ),
            form=st.just(FORM_OF_STOPS),
            setter=values(Setter).flatmap(with_curve),
            line=values(Line, stops=st.lists(values(Stop), max_size=2).map(tuple)).map(of_its_kind).map(stops_once),
            money=values(Money),
            allowances=st.tuples(*[values(Allowances, name=st.just(name), lines=own_lines) for name in sets]),
            methods=st.tuples(*[values(Method, method=st.just(name), steps=steps) for name in methods]),
            patterns=st.tuples(
                *[
                    values(Pattern, pattern=st.just(name), molds_per_year=made, **PROGRAM).map(volumes_once)
                    for name in patterns
                ]
            ),
            cores=st.just(cores),
            lifts=st.tuples(*[lift.map(lambda one, name=name: dataclasses.replace(one, task=name)) for name in tasks]),
            actions=st.lists(agreed, max_size=2, unique_by=lambda a: a.action).map(tuple),
            scrap=st.lists(counts, max_size=2, unique_by=lambda c: (c.pattern, c.method, c.cause)).map(tuple),
            raters=st.lists(values(RatedPace), max_size=2).map(tuple),
            delays=st.lists(watched, max_size=2, unique_by=lambda row: (row.study, row.shift)).map(tuple),
            actuals=st.lists(spent, max_size=3).map(tuple),
            drivers=st.lists(values(Driver, method=method), max_size=2, unique_by=lambda d: (d.method, d.element)).map(
                tuple
            ),
            studies=st.tuples(*[studies(code, patterns, methods, sets, cores) for code in codes]),
        )
    )
