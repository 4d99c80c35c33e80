"""People are codes: a name is told, and a code can be deleted from the whole book by a command."""

import dataclasses
from pathlib import Path

import pytest

from coreset.assess import assess
from coreset.brief.warnings import warnings
from coreset.case.people import named, named_raters
from coreset.case.study import RatedPace
from coreset.cli import main
from coreset.store.book import Book
from coreset.store.folder import read

DEMO = Path(__file__).parents[1] / "studies" / "ostrander_bend"


def test_a_name_where_a_code_belongs_is_told_without_repeating_it():
    """The warning names study and field, and not the name itself."""
    case = read(DEMO)
    first = dataclasses.replace(case.studies[0], operator="Anna Example")
    case = dataclasses.replace(case, studies=(first, *case.studies[1:]))
    found = assess(case, resamples=200, draws=1_000, replications=20)
    told = [line for line in warnings(found.warnings) if "a person's code belongs" in line]
    assert len(told) == 1 and f"{first.study} (operator)" in told[0] and "Anna" not in told[0]


def test_names_in_signatures_and_checks_of_raters_are_seen():
    """A signature bears a code and a time, a check of a rater the code of the observer."""
    first = read(DEMO).studies[0]
    at = "2026-11-25T10:00:00+00:00"
    assert "signed" in named(dataclasses.replace(first, signed=f"Anna Example {at}"))
    assert "signed" not in named(dataclasses.replace(first, signed=f"AP1 {at}"))
    row = {"taken": at, "shown": "walking", "known_pct": 100.0, "rated_pct": 95.0, "rating_scale": "100-133"}
    assert named_raters([RatedPace(observer="Anna Example", **row)]) == ("observer",)
    assert named_raters([RatedPace(observer="OB7", **row)]) == ()


def test_the_demo_has_codes_only():
    """No study of the demo is told of."""
    assert [study.study for study in read(DEMO).studies if named(study)] == []


def test_the_command_deletes_a_code_everywhere(tmp_path, capsys):
    """After it no file of the book holds the code; the readings are as they were; asked again it says so."""
    url = f"sqlite:///{tmp_path / 'book.sqlite'}"
    case = read(DEMO)
    studies = (dataclasses.replace(case.studies[0], operator="QXZ77"), *case.studies[1:])
    book = Book(url)
    book.keep("c", dataclasses.replace(case, studies=studies), who="QXZ77", why="entered")
    before = book.open("c").studies[0].readings
    book.close()
    with pytest.raises(SystemExit) as ended:
        raise SystemExit(main(["forget", "QXZ77", "--book", url]))
    assert ended.value.code == 0
    assert "Deleted in 2 places" in capsys.readouterr().out
    assert not any(b"QXZ77" in path.read_bytes() for path in tmp_path.iterdir())
    again = Book(url)
    assert again.open("c").studies[0].readings == before
    again.close()
    assert main(["forget", "removed", "--book", url]) == 2
