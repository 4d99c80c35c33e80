"""Actions on lifting jobs: stored with the case, told where they do not fit, overdue ones in the verdict."""

from dataclasses import replace

import pytest
from assessed import assessed

from coreset.case import Action
from coreset.decision import people_words
from coreset.decision.verdict import decide
from coreset.errors import StudyError
from coreset.lifting.report.actions import overdue_sentence
from coreset.store import folder
from coreset.store.book import Book
from coreset.web import shelf

HEAD = "action,pattern,method,change,owner,due,state,index_before,index_after,measured,note\n"
GOOD = "A1,HB10,manual,rack nearer,SC1,2026-03-31,open,2.1,,,\n"
GOOD += "A2,HB10,manual,hoist,SC1,2026-04-30,done,,,2026-05-02,hoist\n"
FAULTS = [
    ("A1,HB10,manual,x,SC1,2026-03-31,open,,,,", "action", "once"),
    ("A3,HB99,manual,x,SC1,2026-03-31,open,,,,", "pattern", "HB10"),
    ("A3,HB10,manual,x,SC1,31 March,open,,,,", "due", "a day as"),
    ("A3,HB10,manual,x,SC1,,open,,,,", "due", ""),
    ("A3,HB10,manual,x,SC1,2026-03-31,done,2.1,,2026-03-31,", "index_after", "measured again"),
    ("A3,HB10,manual,x,SC1,2026-03-31,done,2.1,0.9,,", "measured", "measured again"),
    ("A3,HB10,manual,x,SC1,2026-03-31,later,,,,", "state", "open"),
]


@pytest.fixture
def place(tmp_path):
    """The demo as a folder of its own."""
    folder.write(folder.read(shelf.demo_folder()), tmp_path / "case")
    return tmp_path / "case"


def test_actions_go_through_folder_and_database(place, tmp_path):
    """What actions.csv holds is in the case, in the database, and in the folder that is written from it."""
    (place / "actions.csv").write_text(HEAD + GOOD, encoding="utf-8")
    case = folder.read(place)
    assert [(one.action, one.state, one.index_before) for one in case.actions] == [
        ("A1", "open", 2.1),
        ("A2", "done", None),
    ]
    book = Book(f"sqlite:///{tmp_path / 'book.sqlite'}")
    book.keep("a", case, who="T1", why="test")
    assert book.open("a").actions == case.actions and book.open("a").form == case.form == 2
    folder.write(book.open("a"), tmp_path / "again")
    assert folder.read(tmp_path / "again").actions == case.actions
    book.close()


@pytest.mark.parametrize("line, column, expected", FAULTS)
def test_a_wrong_action_is_told_by_row_and_column(place, line, column, expected):
    """Every fault of actions.csv: file, row, column and what was expected."""
    (place / "actions.csv").write_text(f"{HEAD}{GOOD}{line}\n", encoding="utf-8")
    with pytest.raises(StudyError) as error:
        folder.read(place)
    (fault,) = error.value.faults
    assert (fault.file, fault.row, fault.column) == ("actions.csv", 4, column)
    assert expected in fault.expected


def test_overdue_actions_stand_in_the_verdict_and_name_the_owner():
    """On the day of the case: what is past is told; the open action of a job stands for "owner to be named"."""
    demo = assessed()
    (left,) = decide(demo).must_do
    one = Action(
        action="A1", pattern=left.pattern, method="manual", change="rack nearer", owner="SC1", due="2026-11-01"
    )
    assert demo.case.date == "2026-11-02"
    found = replace(demo, case=replace(demo.case, actions=(one, replace(one, action="A2", state="dropped"))))
    lift, late = people_words.must_do(decide(found), found)
    assert lift.endswith(": rack nearer, SC1, due 2026-11-01")
    assert (
        late.startswith("Overdue actions on 2026-11-02 (1): rack nearer for ")
        and "Overdue" in people_words.people(decide(found), found)[0]
    )
    found = replace(demo, case=replace(demo.case, actions=(replace(one, due="2026-11-02"),)))
    assert overdue_sentence([one], "2026-11-29", told="2026-11-02") == "" != overdue_sentence([one], "2026-11-29")
    assert len(people_words.must_do(decide(found), found)) == 1, "due on the day itself is not overdue"
