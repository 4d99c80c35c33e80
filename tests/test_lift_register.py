"""The register of all lifts: every lift once, the worst job first, by command on the screen, as JSON and as CSV."""

import csv
import io
import json
from dataclasses import replace

import pytest
from typer.testing import CliRunner

from coreset.assess import lifting_alone
from coreset.case import Action
from coreset.cli.command import app
from coreset.errors import CoresetError
from coreset.lifting.job_status import STATUSES
from coreset.lifting.report.register import register, register_lines
from coreset.store import folder
from coreset.web import shelf


def bare():
    """The demo without a study or a price: every lift with a pace of its own, and two actions on one job."""
    demo = folder.read(shelf.demo_folder())
    paced = tuple(replace(lift, frequency_per_min=1.0, frequency_reason="counted") for lift in demo.lifts)
    one = Action(action="A1", pattern="HB10", method="manual", change="hoist", owner="SC1", due="2026-05-01")
    actions = (
        one,
        replace(one, action="A2", change="rack nearer", due="2026-04-01"),
        replace(one, action="A3", due="2026-01-01", state="dropped"),
    )
    return replace(demo, studies=(), lifts=paced, actions=actions)


def test_every_lift_stands_once_worst_job_first_without_a_study():
    """Ranks are 1, 2, ...; statuses never get worse down the list; the action due next stands by its job."""
    case = bare()
    found = lifting_alone(case)
    rows = register(case, found.jobs, found.handling)
    assert sorted(row["task"] for row in rows if "task" in row) == sorted(lift.task for lift in case.lifts)
    assert [row["rank"] for row in rows] == list(range(1, len(rows) + 1))
    places = [STATUSES.index(row["job_status"]) for row in rows]
    assert places == sorted(places) and rows[0]["job_status"] == "beyond" and rows[0]["rwl_kg"] == 0
    assert {row["change"] for row in rows if (row["pattern"], row["method"]) == ("HB10", "manual")} == {"rack nearer"}


def run(*arguments):
    """What the command prints."""
    result = CliRunner().invoke(app, ["lifts", *map(str, arguments)])
    if result.exception is not None:
        raise result.exception
    return result.stdout


def test_the_command_gives_the_same_rows_as_json_and_csv(tmp_path):
    """One document, or one file that a spreadsheet opens; a line for each row on the screen."""
    folder.write(bare(), tmp_path / "case")
    rows = json.loads(run(tmp_path / "case", "--json"))
    run(tmp_path / "case", "--out", tmp_path / "r.csv")
    read = list(csv.DictReader(io.StringIO((tmp_path / "r.csv").read_text(encoding="utf-8"))))
    assert [row["task"] for row in read] == [row.get("task", "") for row in rows]
    assert [row["li"] for row in read] == ["" if row.get("li") is None else str(row["li"]) for row in rows]
    lines = run(tmp_path / "case").splitlines()
    assert len(lines) == 1 + len(rows) + 2 and lines[1].startswith("1. ✖✖") and "not a clearance" in lines[-1]
    with pytest.raises(CoresetError, match="must end in .csv"):
        run(tmp_path / "case", "--out", "r.doc")


@pytest.mark.rules("N-l-scope")
def test_the_caution_stands_with_every_answer(tmp_path):
    """[waters1994] foreword, p. xiv: one tool, and lifting is one cause; each answer names what it does not judge."""
    one = "--mass 9 --horizontal 40 --vertical 75 --angle 0 --frequency 1 --travel 20 --no-control"
    one = one.split(" ")
    columns = "units,mass,horizontal,vertical,travel,angle,frequency,duration,coupling"
    (tmp_path / "lifts.csv").write_text(f"{columns}\nmetric,9,40,75,20,0,1,long,poor\n")
    table = ["lift", "--file", str(tmp_path / "lifts.csv")]
    push = ["lift", "--push-start", "100", "--push-keep", "50", "--push-height", "100", "--push-distance", "5"]
    case = ["lifts", str(shelf.demo_folder())]
    several = (["lift", *one], ["lift", *one, "--json"], table, [*table, "--by-hand"], [*table, "--together", "2"])
    for command in (*several, push, case):
        said = CliRunner().invoke(app, command).stdout.replace("\N{NO-BREAK SPACE}", " ")
        assert "A screen, not a clearance: it covers two-handed lifting only" in said, command
        assert "not carrying, pushing, heat" in said and "Local codes and a qualified ergonomist decide." in said


def test_a_lift_by_a_team_has_its_own_index_in_the_register():
    """[hse2004] paragraph 120: half of the sum of three for four people too; never an empty cell, never below a one."""
    case = bare()
    first, *others = case.lifts
    found = lifting_alone(replace(case, lifts=(replace(first, persons=4), *others)))
    rows = register(found.case, found.jobs, found.handling)
    row = next(one for one in rows if one.get("task") == first.task)
    alone = next(one for one in register(case, lifting_alone(case).jobs, lifting_alone(case).handling)
                 if one.get("task") == first.task)  # fmt: skip
    assert row["li"] is None and row["persons"] == 4
    assert row["team_index"] == pytest.approx(alone["li"] / (3 * 0.5), abs=0.01)
    said = next(line for line in register_lines(rows) if first.task in line).replace("\N{NO-BREAK SPACE}", " ")
    assert f"{row['team_index']:.2f} (team of 4)" in said and "\N{GREATER-THAN OR EQUAL TO}" in said
