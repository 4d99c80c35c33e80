"""`coreset lift`: both ends, what must be said and what is assumed; options and columns are obeyed or refused."""

import csv
import json

import pytest
from test_handling_lift import BOTH_ENDS, COLUMNS, EXAMPLE_1, ONE_END, USUAL, run, write

from coreset.cli.command import main
from coreset.errors import StudyError

ROW = ["metric", 10, 40, 75, 10, 0, 1, "long", "poor"]
ENDS = ["horizontal_destination", "vertical_destination", "angle_destination"]


def refused(*options):
    """Options and rows that are refused, with what was expected."""
    with pytest.raises(StudyError) as caught:
        run(*options)
    return {fault.column: fault.expected for fault in caught.value.faults}


def table_of(path, header, *rows):
    """A table with a header of its own."""
    with path.open("w", newline="") as file:
        csv.writer(file).writerows([header, *rows])
    return path


@pytest.mark.unverified
def test_both_ends_are_rated_and_the_lower_limit_governs():
    """[waters1994] section 3, example 1, from memory: 16.3 lb at the origin, 14.5 lb and LI 3.0 at the destination."""
    found = json.loads(run(*BOTH_ENDS, "--by-hand", "--json"))
    assert (found["rwl_origin"], found["rwl_destination"], found["end"]) == (16.3, 14.5, "destination")
    assert (found["rwl"], found["li"], found["travel"]) == (14.5, 3.0, 49)
    assert [line["end"] for line in found["working"]] == ["origin"] * 8 + ["destination"] * 8
    text = run(*BOTH_ENDS, "--by-hand")
    assert "the destination governs: RWL 16.3 lb at the origin, 14.5 lb at the destination" in text
    assert text.index("At the origin:") < text.index("At the destination:")


def test_the_frequency_multiplier_of_both_ends_is_that_of_the_origin():
    """[waters1994] Table 5, long, 9 a minute: 0.15 from 75 cm on; the destination lies below."""
    options = [
        "--mass",
        "1",
        "--horizontal",
        "40",
        "--vertical",
        "90",
        "--angle",
        "0",
        "--frequency",
        "9",
        "--angle-destination",
        "0",
    ]
    found = json.loads(run(*options, "--horizontal-destination", 50, "--vertical-destination", 70, "--json"))
    assert found["fm"] == 0.15 and found["end"] == "destination" and found["rwl"] > 0


def test_what_cannot_be_assumed_is_demanded_all_at_once(capsys):
    """Nothing that could lower the index is assumed; the destination is demanded unless it is said not to count."""
    demanded = {"--mass", "--horizontal", "--vertical", "--angle", "--frequency"}
    ends = {f"--{name.replace('_', '-')}" for name in ENDS}
    assert set(refused()) == demanded | ends
    assert set(refused("--no-control")) == demanded | {"--vertical-destination"}
    assert set(refused("--no-control", "--travel", 20)) == demanded
    assert set(refused(*ONE_END, "--control")) == ends
    assert main(["lift", "--mass", "10"]) == 2 and "or --no-control" in capsys.readouterr().err
    with pytest.raises(SystemExit) as answered:
        main(["lift", *ONE_END])
    assert answered.value.code == 0


def test_what_was_assumed_is_said():
    """Units, long duration, poor coupling, control, D; nothing where all was said."""
    found = json.loads(run(*BOTH_ENDS, "--json"))
    assert [word for word in ("control", "49 in") if any(word in a for a in found["assumed"])] == ["control", "49 in"]
    short = json.loads(run(*ONE_END, "--json"))
    assert (short["units"], short["duration"], short["coupling"]) == ("metric", "long", "poor")
    assert len(short["assumed"]) == 3 and all(sentence in run(*ONE_END) for sentence in short["assumed"])
    said = [*BOTH_ENDS, "--control", "--travel", "49"]
    assert json.loads(run(*said, "--json"))["assumed"] == []
    farther = json.loads(run(*said[:-1], "55", "--json"))
    assert farther["travel"] == 55 and farther["assumed"] == [
        "D is 55 in as given, although the heights differ by 49 in."
    ]
    assert "at the origin alone" in run(*ONE_END)


def test_a_travel_shorter_than_the_difference_of_the_heights_is_refused():
    """D is at least what lies between the two heights, whether the destination is rated or not."""
    assert refused(*BOTH_ENDS, "--travel", 40) == {"--travel": "at least 49, the difference of the two heights"}
    low = [*USUAL, "--vertical", 15, "--vertical-destination", 64, "--no-control"]
    assert refused(*low, "--travel", 40) == {"--travel": "at least 49, the difference of the two heights"}
    assert json.loads(run(*low, "--json"))["travel"] == 49


@pytest.mark.parametrize(
    ("options", "column"),
    [
        ((*BOTH_ENDS, "--horizontal-destination", 300), "--horizontal-destination"),
        ((*BOTH_ENDS, "--vertical-destination", -1), "--vertical-destination"),
        ((*BOTH_ENDS, "--angle-destination", 190), "--angle-destination"),
        ((*EXAMPLE_1, "--horizontal-destination", 20), "--horizontal-destination"),
        ((*EXAMPLE_1, "--angle-destination", 20), "--angle-destination"),
        ((*ONE_END, "--together", 4), "--together"),
    ],
)
def test_a_destination_that_cannot_be_or_has_no_effect_is_refused(options, column):
    """As at the origin; and nothing is given in vain."""
    assert column in refused(*options)


def test_options_that_a_table_would_ignore_are_refused(tmp_path):
    """With --file its rows say everything; with --together there is one index, no rows and no hand arithmetic."""
    path = write(tmp_path / "lifts.csv", [ROW])
    for option in ("mass", "horizontal", "vertical", "travel", "angle", "frequency", "vertical-destination"):
        assert set(refused("--file", path, f"--{option}", 20)) == {f"--{option}"}
    for option in (["--units", "us"], ["--duration", "long"], ["--coupling", "poor"], ["--no-control"], ["--control"]):
        assert len(refused("--file", path, *option)) == 1
    result = tmp_path / "result.csv"
    found = refused("--file", path, "--together", 4, "--result", result, "--by-hand")
    assert set(found) == {"--result", "--by-hand"} and not result.exists()


def test_a_situation_with_a_table_holds_for_all_its_rows(tmp_path):
    """Hoisted, in every row; in the result it stands as yes, so that the table says the same when read again.

    Hot in every row: each index and that of the rows together is a lower limit.
    """
    path, result = write(tmp_path / "lifts.csv", [ROW, ROW]), tmp_path / "result.csv"
    options = ["--file", path, "--situation", "hoist", "--json"]
    assert [(a["applies"], a["li"]) for a in json.loads(run(*options, "--result", result))] == [(False, None)] * 2
    assert [a["applies"] for a in json.loads(run("--file", result, "--json"))] == [False, False]
    assert json.loads(run(*options, "--together", 4))["left_out"] == 2
    hot = ["--file", path, "--situation", "hot"]
    assert all(a["li"] and "26" in a["at_least"] for a in json.loads(run(*hot, "--json")))
    assert json.loads(run(*hot, "--together", 4, "--json"))["at_least"] == ["hot"]
    assert "at least" in run(*hot, "--together", 4)
    assert "--situation" in refused("--file", path, "--situation", "one_hand")


@pytest.mark.parametrize(
    ("name", "expected"),
    [
        ("one_handd", "'one_handed', perhaps"),
        ("horizontal_dest", "'horizontal_destination', perhaps"),
        ("restrictd", "'restricted', perhaps"),
        ("wheelbarrow", "one of "),
    ],
)
def test_an_unknown_column_is_refused_with_the_nearest_name(tmp_path, name, expected):
    """A misspelled situation would otherwise be ignored, and the row rated as covered."""
    path = table_of(tmp_path / "lifts.csv", [*COLUMNS, name], [*ROW, "yes"])
    found = refused("--file", path)
    assert set(found) == {name} and found[name].startswith(expected)


def test_a_column_twice_or_without_a_name_is_refused(tmp_path):
    """Which of two would count; what a nameless cell means; empty cells at the end are nothing."""
    assert set(refused("--file", table_of(tmp_path / "a.csv", [*COLUMNS, "mass"], [*ROW, 30]))) == {"mass"}
    with pytest.raises(StudyError, match="row 2: found '30', expected a name over its column"):
        run("--file", table_of(tmp_path / "b.csv", COLUMNS, [*ROW, 30]))
    assert run("--file", table_of(tmp_path / "c.csv", [*COLUMNS, ""], [*ROW, ""]))


def test_a_table_may_give_both_ends(tmp_path):
    """The same figures as for one lift; a row without a destination is rated at its one end, and this is said."""
    header = [*COLUMNS, *ENDS]
    both = ["us", 44, 23, 15, "", 0, 0.2, "short", "fair", 23, 64, 0]
    path = table_of(tmp_path / "lifts.csv", header, both, [*ROW, "", "", ""])
    first, second = json.loads(run("--file", path, "--json"))
    alone = json.loads(run(*BOTH_ENDS, "--json"))
    assert {name: alone[name] for name in first if name != "why_not"} == {n: first[n] for n in first if n != "why_not"}
    assert second["end"] == "origin" and second["rwl_destination"] is None
    assert "1 rows give no destination" in run("--file", path)
    half = table_of(tmp_path / "half.csv", header, [*both[:-1], ""])
    assert set(refused("--file", half)) == {"angle_destination"}


def test_a_row_in_which_nothing_should_be_lifted_takes_the_job_beyond_the_equation(tmp_path):
    """RWL 0, reach 70 cm, at either end: no index, neither of the rows as they are nor of the grid."""
    far = ["metric", 10, 70, 75, 10, 0, 0.2, "long", "good"]
    path = write(tmp_path / "job.csv", [ROW, far, ROW])
    found = json.loads(run("--file", path, "--together", 4, "--json"))
    assert (found["vli"], found["vli_grid"], found["beyond"], found["rated"]) == (None, None, [2], 3)
    text = run("--file", path, "--together", 4)
    assert "beyond the limits of the equation" in text and "in 1 of its rows: 2." in text
    there = table_of(tmp_path / "there.csv", [*COLUMNS, *ENDS], [*ROW, 70, 75, 0])
    assert json.loads(run("--file", there, "--together", 4, "--json"))["beyond"] == [1]
    apart = table_of(tmp_path / "apart.csv", [*COLUMNS, "seated"], [*far, "yes"], [*ROW, ""])
    found = json.loads(run("--file", apart, "--together", 4, "--json"))
    assert (found["beyond"], found["left_out"], found["vli"]) == ([1], 0, None), "seated makes nothing better"
    hoisted = table_of(tmp_path / "hoisted.csv", [*COLUMNS, "hoist"], [*far, "yes"], [*ROW, ""])
    found = json.loads(run("--file", hoisted, "--together", 4, "--json"))
    assert found["beyond"] == [] and found["left_out"] == 1 and found["vli"] > 0
