"""The register of standards: which studies count, what is challenged, the units of a routing, the command."""

import csv
import io
import json
import sys
from dataclasses import replace

import numpy as np
import pytest
from study_cases import case, study

from coreset.assess import assess
from coreset.brief.document import document
from coreset.brief.register import register_csv, register_table
from coreset.brief.warnings import warnings
from coreset.case import Method, Pattern, Range, Readings, ShiftCount, Step
from coreset.case.signature import content_hash
from coreset.cli.command import main
from coreset.errors import BookError, StudyError
from coreset.store import folder
from coreset.store.book import Book
from coreset.study.counting import challenges, chance_of, counting
from coreset.study.pooling import by_pattern, standards
from coreset.study.register import register
from coreset.study.report.new_study import first_status


def timed(name, seconds, *, cycles=12, seed=1, **facts):
    """A study of one element, its times about so many seconds."""
    times = np.random.default_rng(seed).normal(seconds, 0.04 * seconds, cycles)
    return study([(c, "a", float(t)) for c, t in enumerate(times, start=1)], "a", study=name, **facts)


def counted(*studies):
    """Codes of the studies that count, and the codes of what is challenged."""
    found = standards(case(list(studies)), resamples=400)
    return [row.study for row in counting(found)], [note.code for note in challenges(found)]


def test_status_and_version_decide_what_counts():
    """Current before trial, never the rest; of versions the newest by day, without days the one of higher number."""
    old, new = timed("S1", 20, version="1", date="2026-01-10"), timed("S2", 15, version="2", date="2026-06-10")
    assert counted(old, new) == (["S2"], ["older_version"])
    assert counted(replace(old, status="superseded"), new) == (["S2"], [])
    assert counted(old, replace(new, status="withdrawn", status_reason="wrong cores")) == (["S1"], [])
    assert counted(old, replace(new, status="draft")) == (["S1"], [])
    assert counted(replace(old, status="withdrawn"), replace(new, status="trial")) == (["S2"], ["trial_only"])
    assert counted(replace(old, effective="2026-07-01"), new)[0] == ["S1"]
    undated = [replace(one, date="", version=version) for one, version in ((old, "9"), (new, "10"))]
    assert counted(*undated)[0] == ["S2"]


def test_a_study_that_is_begun_enters_deliberately():
    """The first of a pair counts at once; a later one is on trial, and moves the standard only when it is current."""
    first, begun = timed("S1", 20), case([timed("S1", 20)])
    assert first_status(case([]), "P1", "manual") == "current" == first_status(begun, "P1", "setter")
    assert first_status(case([replace(first, readings=Readings())]), "P1", "manual") == "current"
    status = first_status(begun, "P1", "manual")
    trial = timed("S2", 90, cycles=1, status=status)
    alone, both = (by_pattern(standards(case(rows), resamples=200)) for rows in ([first], [first, trial]))
    assert status == "trial" and both["P1", "manual"].standard_s == alone["P1", "manual"].standard_s
    entered = by_pattern(standards(case([first, replace(trial, status="current")]), resamples=200))
    assert entered["P1", "manual"].standard_s > alone["P1", "manual"].standard_s


def test_studies_that_differ_beyond_chance_are_challenged_not_fatal():
    """One operator before and after an unnoted change of 30 % is told; two alike are not; both still count."""
    same = timed("S1", 20, operator="17"), timed("S2", 20, operator="17", seed=2)
    assert counted(*same) == (["S1", "S2"], [])
    apart = timed("S1", 20, operator="17"), timed("S2", 26, operator="17", seed=2)
    assert counted(*apart) == (["S1", "S2"], ["studies_disagree"])
    found = assess(case(list(apart)), resamples=200)
    assert any("more than chance" in line and "P1 manual" in line for line in warnings(found.warnings))


def test_few_false_challenges():
    """Operators who differ by 5 % and days by 2 %, as assumed: 1 % of pairs challenged, at most 3 in 100 here."""
    rng, alarms = np.random.default_rng(4), 0
    base = standards(case([timed("S1", 20), timed("S2", 20, operator="18")]), resamples=400)
    for _ in range(400):
        rows = []
        for row in base:
            factor = float(np.exp(rng.normal(0, 0.05) + rng.normal(0, 0.02) + rng.normal(0, 0.04 / np.sqrt(12))))
            rows.append(replace(row, standard_s=20 * factor, draws_s=row.draws_s / row.standard_s * 20 * factor))
        alarms += chance_of(rows) < 0.01
    assert alarms <= 12


def test_a_withdrawn_study_moves_no_figure():
    """Pooled standard, mold cycles and the list of pairs are those of the case without it; its readings stay."""
    kept, bad = timed("S1", 20), timed("S2", 90, seed=3, status="withdrawn", status_reason="clock stood")
    with_it, without = (assess(case(list(rows)), resamples=200) for rows in ((kept, bad), (kept,)))
    pair = ("P1", "manual")
    assert with_it.pooled[pair].standard_s == without.pooled[pair].standard_s
    assert [row.mean_s for row in with_it.mold_cycles] == [row.mean_s for row in without.mold_cycles]
    assert {row.study for row in with_it.standards} == {"S1", "S2"}
    only = assess(case([bad]), resamples=200)
    assert only.pooled == {} and only.register[0].status == "withdrawn"
    assert np.isnan(only.register[0].standard_min_per_mold)


def test_a_signature_does_not_cover_the_place_in_the_register():
    """A signed study can be superseded; the hash of what was signed stays."""
    one = timed("S1", 20)
    assert content_hash(replace(one, status="superseded", superseded_by="S2", restudy="2027")) == content_hash(one)


def test_units_of_a_routing_from_the_unrounded_standard():
    """50.49 s: 0.8415 min, 1.4025 h/100, 71.3012 molds/h by hand; with one decimal 0.8, 1.4 and 71.3."""
    one = study(
        [(1, "a", 50.0), (2, "a", 50.98)], "a", study="S1", date="2026-03-01", approver="E02", restudy="2027-03"
    )
    found = standards(case([one]), resamples=50)
    [entry] = register(case([one]), found, by_pattern(found))
    assert entry.standard_min_per_mold == pytest.approx(50.49 / 60)
    for digits, cells in ((4, ("0.8415", "1.4025", "71.3012")), (1, ("0.8", "1.4", "71.3"))):
        [row] = csv.DictReader(io.StringIO(register_csv([entry], digits=digits).decode()))
        assert (row["standard_min_per_mold"], row["h_per_100_molds"], row["molds_per_h"]) == cells
        assert (row["effective"], row["status"], row["version"], row["approved_by"], row["restudy"]) == (
            "2026-03-01", "current", "1", "E02", "2027-03",
        )  # fmt: skip


def test_molds_counted_beyond_the_limit_call_for_a_new_study():
    """Counts a quarter slower than predicted are due at a limit of 10 %, not at 30 %; the day by the calendar.

    Of the current method alone; without counts nothing is known.
    """
    pattern = Pattern(pattern="P1", molds_per_year=Range.exactly(1e3), runs_per_year=1.0)
    both = [timed("S1", 20, restudy="2027-03-01"), timed("S2", 15, method="core setter")]
    plain = case(
        both, methods=(Method(method="manual", steps=()), Method(method="core setter", steps=())), patterns=(pattern,)
    )
    predicted = {row.method: row.changed[0] for row in assess(plain, resamples=200, replications=20).line}["manual"]
    counts = tuple(ShiftCount(pattern="P1", molds=predicted * 8 / 1.25 + k, hours=8.0) for k in (-2, -1, 0, 1, 2))
    for limit, due in ((10.0, ("drift",)), (30.0, ())):
        found = assess(replace(plain, counts=counts, restudy_drift_pct=limit), resamples=200, replications=20)
        entries = {entry.method: entry for entry in found.register}
        assert entries["manual"].drift_pct == pytest.approx(25, abs=1.5) and entries["manual"].restudy_due == due
        assert np.isnan(entries["core setter"].drift_pct) and entries["core setter"].restudy_due == ()
        assert ("due" in register_table(found.register)[0]["next study"]) == bool(due)
    steps = (Step(name="a", by="operator", element="a"), Step(name="tilt", by="operator", element="tilt"))
    changed = replace(plain, methods=(replace(plain.methods[0], steps=steps), plain.methods[1]))
    assert [row.restudy_due for row in assess(changed, resamples=200, replications=20).register] == [("method",), ()]
    later = replace(assess(plain, resamples=200, replications=20), day="2027-03-01")
    assert later.register[0].restudy_due == ("date",)


def test_the_command_and_the_document_have_the_register(tmp_path, capsys):
    """One row a pattern and method, the same in the table, the file and JSON."""
    made = case([timed("S1", 20, date="2026-03-01"), timed("S2", 15, method="setter")])
    folder.write(made, tmp_path / "case")
    given = ["register", str(tmp_path / "case"), "--csv", str(tmp_path / "register.csv")]
    for more in ([], ["--json"]):
        with pytest.raises(SystemExit) as ended:
            sys.exit(main([*given, *more]))
        assert ended.value.code == 0
    said = capsys.readouterr().out
    entries = json.loads(said[said.index("[\n") :])
    rows = list(csv.DictReader((tmp_path / "register.csv").read_text().splitlines()))
    pairs = [("P1", "manual"), ("P1", "setter")]
    assert [(one["pattern"], one["method"]) for one in entries] == pairs
    assert [(one["pattern"], one["method"]) for one in rows] == pairs
    assert "molds/h" in said and "2026-03-01" in said
    [first, _] = register_table(assess(made, resamples=200).register)
    assert (first["status"], first["studies"], first["effective"]) == ("current", "S1", "2026-03-01")
    assert document(assess(made, resamples=200))["register"][0]["studies"] == ["S1"]


def test_a_day_that_is_none_and_a_successor_that_is_not_there_are_faults():
    """Both are named by their column."""
    parts = folder.plain(case([timed("S1", 20), timed("S2", 20)]))
    parts["studies"][0] |= {"effective": "soon", "superseded_by": "S3"}
    with pytest.raises(StudyError) as refused:
        folder.build(parts)
    assert {fault.column.split(".")[-1] for fault in refused.value.faults} == {"effective", "superseded_by"}


def test_a_signed_study_can_be_withdrawn_but_not_changed(tmp_path):
    """In the database its place in the register changes, in a revision of its own; its header does not."""
    book = Book(f"sqlite:///{tmp_path / 'book.sqlite'}")
    signed = timed("S1", 20, signed="E02 2026-03-02T10:00")
    book.keep("c", case([signed]), who="E02", why="begun")
    withdrawn = replace(signed, status="withdrawn", status_reason="wrong cores")
    book.keep("c", case([withdrawn]), who="E02", why="withdrawn")
    assert book.open("c").studies[0].status == "withdrawn" and book.revision("c") == 2
    with pytest.raises(BookError, match="must be open"):
        book.keep("c", case([replace(withdrawn, crew=2.0)]), who="E02", why="changed")
    book.close()
