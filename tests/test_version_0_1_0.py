"""A case folder and a database that version 0.1.0 wrote, kept as they are: this version opens both.

Made with 0.1.0: the demo in US units brought into a database, a study timed by presses with one reading excluded,
another study signed, the case exported. The expected times are those that 0.1.0 answered then.
"""

import json
import re
import shutil
from dataclasses import replace
from pathlib import Path

import pytest
from typer.testing import CliRunner

from coreset import __version__
from coreset.case.digest import digest
from coreset.cli.command import app
from coreset.store.book import Book
from coreset.store.book.verify import verify_store
from coreset.store.folder import read, write

OLD = Path(__file__).parent / "version_0_1_0"
NAME = "tamarack_flat"
STANDARD_S = {"EL6-H1": 68.46611, "EL6-S1": 46.30603, "WH2-H1": 61.50952, "WH2-S1": 45.44058, "EL6-H2": 68.03526}
"""Standard time of each study as 0.1.0 answered. [s per mold]"""


@pytest.fixture
def database(tmp_path):
    """A copy of the old database, so that opening it leaves the original as it was."""
    url = f"sqlite:///{shutil.copy(OLD / 'database.db', tmp_path)}"
    book = Book(url)
    yield book
    book.close()


def test_the_old_folder_gives_an_answer():
    """The command reads it without a fault and answers with the standard times of then."""
    run = CliRunner().invoke
    assert run(app, ["check", str(OLD / NAME)]).exit_code == 0
    answered = run(app, ["assess", str(OLD / NAME), "--json", "--quiet", "--draws", "1000", "--resamples", "1000"])
    assert answered.exit_code == 0
    answer = json.loads(answered.stdout)
    standards = {row["study"]: row["standard_s"] for row in answer["standards"]}
    assert standards == pytest.approx(STANDARD_S, abs=5e-6)
    assert answer["money"]["payback_years"] > 0


def test_the_old_database_holds_the_same_case(database):
    """Presses, correction, signature and revisions of 0.1.0 are there; the content is that of the folder."""
    assert [row.case_id for row in database.cases()] == [NAME]
    case = database.open(NAME)
    assert digest(case) == digest(read(OLD / NAME))
    timed = next(study for study in case.studies if study.study == "EL6-H2")
    assert (len(timed.readings), [(made.action, made.why) for made in timed.corrections]) == (
        60,
        [("exclude", "cores dropped")],
    )
    assert database.signed(NAME, "EL6-S1").startswith("EN2")
    assert verify_store(database.url) == []
    assert "EL6-H2 begun" in {row.why for row in database.trail(NAME)}


def test_work_goes_on_in_the_old_database(database):
    """A new revision can be saved and undone."""
    before = database.open(NAME)
    database.keep(NAME, replace(before, title="later"), who="AP1", why="title")
    assert database.open(NAME).title == "later"
    database.undo(NAME, who="AP1")
    assert database.open(NAME) == before


def test_a_limit_of_0_in_the_old_database_stays_no_limit(database):
    """0.1.0 stored 0 where there was no limit; a 0 that is saved now is kept as one that allows nothing."""
    before = database.open(NAME)
    assert (before.money.budget, before.money.mask_places) == (None, None)
    database.keep(NAME, replace(before, money=replace(before.money, budget=0.0)), who="AP1", why="frozen")
    assert (database.open(NAME).money.budget, database.open(NAME).money.mask_places) == (0.0, None)
    database.undo(NAME, who="AP1")
    assert database.open(NAME) == before


def test_a_limit_of_0_in_a_folder_is_told(tmp_path):
    """A file cannot say which version it was typed for: 0 allows nothing, and the command tells what it meant."""
    folder = tmp_path / NAME
    shutil.copytree(OLD / NAME, folder)
    file = folder / "case.toml"
    file.write_text(file.read_text(encoding="utf-8").replace("[money]", "[money]\nbudget = 0\nmask_places = 0"))
    case = read(folder)
    assert (case.money.budget, case.money.mask_places) == (0, 0)
    told = CliRunner().invoke(app, ["check", str(folder)])
    assert told.exit_code == 0 and "money.budget is 0" in told.stderr and "money.mask_places is 0" in told.stderr
    assert "0.1.0 took 0 as no limit" in told.stderr
    write(case, tmp_path / "again")
    assert read(tmp_path / "again").money == case.money


def test_the_version_is_the_newest_in_the_change_log():
    """One number, in the package: the change log begins with it, dated."""
    log = (Path(__file__).parents[1] / "CHANGELOG.md").read_text(encoding="utf-8")
    assert re.search(r"^## (\S+) – \d{4}-\d\d-\d\d$", log, flags=re.MULTILINE)[1] == __version__
