"""One job in each status, from the screen to what leaves: page, register, JSON, brief and record say the same."""

import json
import re
from dataclasses import replace
from functools import cache

import pytest
from assessed import demo
from sizes import FEW

from coreset.assess import assess
from coreset.brief import lift_record
from coreset.brief.content import content
from coreset.brief.document import document
from coreset.brief.pictures import pictures
from coreset.case import Lift, Place
from coreset.lifting.report.job_status import job_rows, status_words
from coreset.lifting.report.register import register

NEAR = {"horizontal_origin": 25.0, "vertical_origin": 75.0, "horizontal_destination": 25.0,
        "vertical_destination": 75.0, "coupling": "good"}  # fmt: skip
WANTED = {
    "beyond": {"mass": 2.0, "horizontal_destination": 70.0},
    "above_3": {"mass": 70.0},
    "above_1": {"mass": 30.0},
    "not_covered": {"mass": 5.0, "persons": 2},
    "at_least": {"mass": 5.0, "hands": 1},
    "within": {"mass": 5.0},
}
"""A lift of each status at 0.2 a minute all shift: RWL 23 × 0.85 = 19.6 kg [waters1994]; the worst first."""
SAFE = re.compile(r"\b(safe|safely|harmless|no risk|cleared)\b", re.IGNORECASE)


def jobs_wanted():
    """A job for each status: the patterns by hand, then the first by the candidate."""
    codes = [pattern.pattern for pattern in demo().patterns]
    pairs = [(code, method) for method in (demo().baseline, demo().candidate) for code in codes]
    return dict(zip(WANTED, pairs, strict=False))


@cache
def walked():
    """The demo with one lift a job, at 22 °C."""
    wanted = {pair: WANTED[status] for status, pair in jobs_wanted().items()}
    lifts = tuple(
        Lift(
            task=f"lift of {pattern} {method}",
            pattern=pattern,
            method=method,
            frequency_per_min=0.2,
            frequency_reason="counted",
            **NEAR | what,
        )
        for (pattern, method), what in wanted.items()
    )
    return assess(replace(demo(), lifts=lifts, place=Place(temperature=22.0), actions=()), **FEW)


@pytest.mark.parametrize("status", WANTED)
def test_a_status_is_the_same_on_the_page_in_the_register_the_json_and_the_record(status):
    """[waters1994] its limits 1 and 3: one job, one status, one name for it wherever it is told; none says safe."""
    found, (pattern, method) = walked(), jobs_wanted()[status]
    (job,) = [one for one in found.jobs if (one.pattern, one.method) == (pattern, method)]
    assert job.status == status
    words = status_words(job)
    (row,) = [
        row
        for row in job_rows(found.jobs)
        if f"{pattern}, {method}" in row["Job"] or row["Job"].startswith(f"{pattern} ") and method in row["Job"]
    ]
    assert row["Status"] == words
    (told,) = [one for one in document(found)["jobs"] if (one["pattern"], one["method"]) == (pattern, method)]
    assert told["status"] == status and set(told) >= {"operators", "index", "kind", "at_least", "worst_task", "because"}
    (line,) = [
        one
        for one in register(found.case, found.jobs, found.handling)
        if (one["pattern"], one["method"]) == (pattern, method)
    ]
    assert line["job_status"] == status
    record = lift_record._content(found, job, [], "brief.record.title")
    assert words in record.headline.replace("\N{NO-BREAK SPACE}", " ")
    assert not SAFE.search(json.dumps([row, told, line, record.headline], default=str))


def test_the_brief_counts_every_status_and_calls_no_lift_safe():
    """Both pages; every status counted; the rotation through a pattern beyond the limits is beyond them too."""
    found = walked()
    brief = content(found, pictures(found))
    texts = [brief.title, brief.line, brief.headline]
    for block in (*brief.one, *brief.two):
        texts += [block.text, *(cell for row in block.rows for cell in row)]
    said = " ".join(texts).replace("\N{NO-BREAK SPACE}", " ")
    for words in (
        "manual: 2 beyond the equation's limits, 1 above 3, 1 above 1, 1 not covered, 1 not proven",
        "1 at 1 or less",
    ):
        assert words in said, words
    assert not SAFE.search(said)
