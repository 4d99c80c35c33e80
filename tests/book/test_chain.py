"""The chain of acts: a row altered, removed or added past coreset is found, on either store."""

import dataclasses

import pytest
from book_cases import CORRECTION, case, sitting, study
from sqlalchemy import text

from coreset.case import Readings
from coreset.errors import BookError
from coreset.store.book import Book, chain, schema
from coreset.store.book.backup import backup
from coreset.store.book.restore import restore
from coreset.store.book.verify import verify_store


@pytest.fixture
def full(kept):
    """A database with every kind of act."""
    kept.keep("c", case(study(), study("S2", readings=Readings())), who="OB7", why="second study")
    kept.take("c", "S2", "d1", sitting()[:6])
    kept.take("c", "S2", "d1", sitting())
    kept.correct("c", "S1", CORRECTION)
    kept.sign("c", "S1", who="AP1")
    kept.new_version("c", "S1", who="AP1", why="another layout")
    kept.keep("other", case(), who="OB7", why="entered")
    return kept


def test_every_table_of_a_case_is_in_the_chain():
    """A table whose rows belong to a case has the number of the act that wrote them, and is covered by its hash."""
    of_a_case = {table for table in schema.METADATA.tables.values() if "case_id" in table.c}
    assert of_a_case == {schema.ACT, *chain.TABLES}
    assert all("act" in table.c for table in chain.TABLES)


def alter(book, words):
    """Change the database past coreset."""
    with book._engine.begin() as connection:
        assert connection.execute(text(words)).rowcount > 0


@pytest.mark.parametrize(
    "words",
    [
        "update reading set clock_s = clock_s + 0.1 where study = 'S2' and seq = 3",
        "update correction set why = 'none' where id = 1",
        "update signature set who = 'AP2'",
        "update revision set why = 'nothing' where case_id = 'c' and revision = 2",
        "update part set body = replace(body, 'Setter?', 'Setter!') where case_id = 'c' and revision = 1",
        "delete from reading where study = 'S2' and seq = 12",
        "delete from correction where id = 1",
        "delete from act where case_id = 'c' and number = 2",
        "update act set number = 99 where case_id = 'c' and number = 6",
        "insert into correction (case_id, study, seq, action, value, who, at, why, act) "
        "values ('c', 'S1', 3, 'exclude', '', 'X', '2026', 'x', 4)",
    ],
)
def test_what_was_altered_past_the_program_is_found(full, url, words):
    """One value of any table, a row taken out or put in, an act taken out: verify names the case, and only that."""
    assert verify_store(url) == []
    alter(full, words)
    wrong = verify_store(url)
    assert any("case 'c'" in said and "act" in said for said in wrong)
    assert not any("'other'" in said for said in wrong)


STRAY = "insert into correction (case_id, study, seq, action, value, who, at, why) "
STRAY += "values ('c', 'S2', 3, 'exclude', '', 'X', '2026', 'x')"


@pytest.mark.parametrize("words", ["update reading set clock_s = clock_s + 0.1 where study = 'S2' and seq = 3", STRAY])
def test_what_comes_later_does_not_hide_it(full, url, words):
    """A further act takes no row for its own that was there before; the deletion of a code makes nothing whole."""
    alter(full, words)
    found = verify_store(url)
    full.take("c", "S2", "d3", sitting())
    assert full.forget("OB7") > 0
    assert verify_store(url) == found and len(found) == 1


def test_each_act_has_one_number(full):
    """Presses sent again add nothing; acts count on."""
    full.take("c", "S2", "d1", sitting())
    with full._reading() as connection:
        numbers = connection.scalars(text("select number from act where case_id = 'c' order by number")).all()
        counts = dict(
            connection.execute(text("select act, count(*) from reading where study = 'S2' group by act")).all()
        )
    assert numbers == [1, 2, 3, 4, 5, 6, 7]
    assert counts == {3: 6, 4: 6}


def test_a_deleted_code_and_a_restore_leave_a_whole_chain(full, url, tmp_path):
    """What coreset itself changes or moves stays verified."""
    full.forget("OB7")
    assert verify_store(url) == []
    backup(url, tmp_path / "one.zip")
    other = f"sqlite:///{tmp_path / 'other.sqlite'}"
    restore(tmp_path / "one.zip", other, tmp_path / "videos")
    assert verify_store(other) == []


def test_a_chain_written_anew_differs_from_the_backup(full, url, tmp_path):
    """Whoever alters a row and writes every hash anew is found by a backup of before; later acts are no difference."""
    backup(url, tmp_path / "one.zip")
    full.take("c", "S2", "d2", sitting())
    assert verify_store(url, tmp_path / "one.zip") == []
    alter(full, "update reading set clock_s = clock_s + 0.1 where study = 'S2' and seq = 3")
    with full._engine.begin() as connection:
        chain.rewrite(connection, "c", range(1, 99))
    assert verify_store(url) == []
    found = verify_store(url, tmp_path / "one.zip")
    assert len(found) == 5 and "act 3 is not the one of the backup" in found[0]


def test_a_running_server_stops_when_the_tables_become_newer(full):
    """Another server brought the tables forward: this one reads and writes no more, and says what to do."""
    alter(full, "update form set version = 99")
    before = full._engine
    for act in (
        lambda: full.take("c", "S2", "d2", sitting()),
        lambda: full.keep("c", dataclasses.replace(case(), title="Two"), who="OB7", why="title"),
        lambda: full.remember("heads", "{}"),
        lambda: full.open("c"),
    ):
        with pytest.raises(BookError, match="got 99: a newer coreset"):
            act()
    with before.begin() as connection:
        assert connection.scalar(text("select count(*) from sitting where device = 'd2'")) == 0
    alter(full, "update form set version = 3")
    assert isinstance(full, Book) and full.take("c", "S2", "d2", sitting()[:1]) == (1,)
