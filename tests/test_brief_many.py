"""The brief of a plant with many patterns: two pages, the first that count, and how many more there are."""

import io
from dataclasses import replace

import pikepdf
import pytest

from coreset.assess import assess
from coreset.brief.pictures import pictures
from coreset.brief.rendered import pdf
from coreset.case import Range
from coreset.store.folder import read
from coreset.web.shelf import demo_folder


def many(case, count):
    """The demo with so many patterns: its own over and over, at a share of their volumes."""
    codes = {f"P{i:02}": case.patterns[i % len(case.patterns)] for i in range(count)}
    share = len(case.patterns) / count

    def of(rows, key):
        return tuple(
            replace(row, pattern=code, **{key: f"{getattr(row, key)} {code}"} if key else {})
            for code, source in codes.items()
            for row in rows
            if row.pattern == source.pattern
        )

    volumes = {code: p.molds_per_year for code, p in codes.items()}
    patterns = tuple(
        replace(
            p,
            pattern=code,
            runs_per_year=max(1, round(p.runs_per_year * share)),
            molds_per_year=replace(v, low=v.low * share, likely=v.likely * share, high=v.high * share),
        )
        for (code, p), v in zip(codes.items(), volumes.values(), strict=True)
    )
    methods = tuple(
        replace(m, steps=tuple(replace(s, patterns=tuple(c for c, p in codes.items() if p.pattern in s.patterns))
                               for s in m.steps))
        for m in case.methods
    )  # fmt: skip
    studies = of(case.studies, "study")
    return replace(
        case, patterns=patterns, cores=of(case.cores, ""), lifts=of(case.lifts, "task"), studies=studies,
        methods=methods, scrap=(), actuals=(), actions=(),
    )  # fmt: skip


@pytest.mark.slow
@pytest.mark.parametrize(("count", "price"), [(1, None), (5, None), (60, None), (5, 900_000.0)])
def test_the_brief_has_two_pages_whatever_the_number_of_patterns(count, price):
    """One pattern, five, and sixty; and a setter that does not pay."""
    case = many(read(demo_folder()), count)
    if price:
        case = replace(case, money=replace(case.money, setter_price=Range.exactly(price), budget=None))
    found = assess(case, resamples=200, draws=2_000, replications=40)
    assert len(pikepdf.open(io.BytesIO(pdf(found, pictures(found)))).pages) == 2
