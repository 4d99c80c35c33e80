"""The command `coreset lift`: one lift, tables of lifts, refusals; run as its own process or in this one."""

import csv
import json
import os
import pty
import subprocess
import sys
import threading

import pytest
import typer
from typer.testing import CliRunner

from coreset.cli.lift import lift
from coreset.errors import OutOfRange, StudyError
from coreset.sources import table

COLUMNS = ["units", "mass", "horizontal", "vertical", "travel", "angle", "frequency", "duration", "coupling"]
ANSWER = {"rwl", "li", "hm", "vm", "dm", "am", "fm", "cm", "binding", "applies", "why_not"}
USUAL = "--units us --mass 44 --horizontal 23 --angle 0 --frequency 0.2 --duration short --coupling fair"
USUAL = USUAL.split(" ")
EXAMPLE_1 = [*USUAL, "--vertical", "64", "--travel", "49", "--no-control"]
BOTH_ENDS = [*USUAL, "--vertical", "15", "--horizontal-destination", "23", "--vertical-destination", "64"]
BOTH_ENDS += ["--angle-destination", "0"]
ONE_END = "--mass 10 --horizontal 30 --vertical 80 --angle 0 --frequency 1 --travel 20 --no-control"
ONE_END = ONE_END.split(" ")


def run(*arguments):
    """Output of the command in this process; what it refuses is raised."""
    app = typer.Typer(pretty_exceptions_enable=False)
    app.command()(lift)
    result = CliRunner().invoke(app, [str(a) for a in arguments])
    if result.exception and not isinstance(result.exception, SystemExit):
        raise result.exception
    return result.stdout


def write(path, rows):
    """A table of lifts."""
    with path.open("w", newline="") as file:
        csv.writer(file).writerows([COLUMNS, *rows])
    return path


def test_one_lift_as_json_has_the_agreed_keys():
    """One JSON document and nothing else."""
    answer = json.loads(run(*EXAMPLE_1, "--json"))
    assert set(answer) >= ANSWER | set(COLUMNS)
    assert answer["applies"] is True and answer["why_not"] == "" and answer["binding"] == "hm"


@pytest.mark.unverified
def test_by_hand_gives_the_printed_figures_of_example_1():
    """[waters1994] section 3, example 1, destination, from memory: RWL 14.5 lb, LI 3.0."""
    answer = json.loads(run(*EXAMPLE_1, "--by-hand", "--json"))
    assert (answer["rwl"], answer["li"], answer["hm"]) == (14.5, 3.0, 0.44)


def test_working_is_shown_line_by_line_and_can_be_redone():
    """Every multiplier with its formula, its figures and its source; the figures multiply to the RWL shown."""
    lines = run(*EXAMPLE_1, "--by-hand").splitlines()
    first = next(place for place, line in enumerate(lines) if line.startswith("HM"))
    symbols = [line.split()[0] for line in lines[first : first + 8]]
    assert symbols == ["HM", "VM", "DM", "AM", "FM", "CM", "RWL", "LI"]
    product = next(line for line in lines if line.startswith("RWL")).split(" = ")[1].split("  [")[0]
    value = 1.0
    for factor in product.split(" × "):
        value *= float(factor)
    assert value == pytest.approx(14.5, abs=0.05)
    assert "10/23 = 0.43; the table prints 0.44" in lines[first]


def test_the_first_answer_is_what_a_stranger_asks():
    """Index, status, what costs most, the best that can be reached and what is left; the mold pace and hours serve."""
    options = "--mass 24 --horizontal 60 --vertical 75 --angle 0 --horizontal-destination 60 --vertical-destination 75"
    options = [*options.split(" "), "--angle-destination", "0", "--lifts-per-mold", "0.2", "--molds-per-h", "60"]
    lines = run(*options, "--hours", "8").splitlines()
    assert lines[0].startswith("LI 3.27: ") and "Above 3" in lines[1]
    assert lines[3].startswith("Costs most: horizontal reach (HM)")
    first = lines[4].replace("\N{NO-BREAK SPACE}", " ")
    assert first.startswith("Change first: Reach at the origin, H from 60") and first.count(" from ") == 2
    assert "That is not enough." in first and "by itself: a hoist." in first
    behind = lines[lines.index("All changes, and the core box:") + 1 :]
    assert "The best that can: Reach at the origin, H from 60" in behind[0] and "index then 1.36 (90 %" in behind[0]
    assert behind[1].startswith("So near a reach needs a load of at most 10"), "25 - 20 cm, twice"
    assert "more than 10 % of cycles" in behind[2].replace("\N{NO-BREAK SPACE}", " "), (
        "with 2 cm of measuring error at both ends, 13 % of cycles pass the limit of H, 63 cm"
    )
    longer = json.loads(run(*options, "--hours", "10", "--json"))
    assert longer["at_least"] and longer["best_li"] == pytest.approx(24 / (23 * 0.85 * 0.90)) and not longer["changes"]
    light = [*options[:1], "9", *options[2:]]
    answer = json.loads(run(*light, "--json"))
    (change,) = answer["changes"]
    assert change["li"] < change["li_90_pct"] <= 1 < answer["li"]
    assert sorted(change["after"]) == ["horizontal_destination", "horizontal_origin"]
    assert answer["first_change"] == change
    assert answer["core_box"] == {"mass": 0.0, "mass_good": 0.0, "depth": None}
    with pytest.raises(StudyError, match="not both"):
        run(*options, "--hours", "8", "--duration", "long")
    with pytest.raises(StudyError, match="molds-per-h"):
        run(*options[:-2])


def test_no_reach_is_advised_that_the_core_does_not_allow():
    """[waters1994] p. 8: H is at least 20 + W/2, so a core of 40 cm is held at 40 cm or farther, as printed."""
    options = "--mass 9 --horizontal 60 --vertical 75 --angle 0 --horizontal-destination 60 --vertical-destination 75"
    options = [*options.split(" "), "--angle-destination", "0", "--frequency", "0.2"]
    unknown, deep = json.loads(run(*options, "--json")), json.loads(run(*options, "--core-depth", "40", "--json"))
    assert unknown["best_li"] == pytest.approx(9 / (23 * 0.85 * 0.90)), "H 25 at both ends"
    assert deep["best_li"] == pytest.approx(9 / (23 * 25 / 40 * 0.85 * 0.90))
    assert deep["li"] == unknown["li"], "the index is that of the reach as measured"
    first = unknown["first_change"]
    assert first["deepest_core"] == 2 * (min(first["after"].values()) - 20)
    said = run(*options).replace("\N{NO-BREAK SPACE}", " ")
    assert f"a load of at most {first['deepest_core']:g} cm front to back. Its depth is not entered" in said
    assert "depth is not entered" not in run(*options, "--core-depth", "40")
    near = run(*options, "--core-depth", "90").replace("\N{NO-BREAK SPACE}", " ")
    assert "Measure again: a core of 90 cm front to back keeps the hands at least 65 cm out at the origin" in near


def test_a_table_is_answered_in_its_order(tmp_path):
    """Mixed unit sets, thousands of rows, in the order of the file; li is null where RWL is 0, and says why."""
    rows = [
        ["us", 44, 23, 64, 49, 0, 0.2, "short", "fair"],
        ["metric", 10, 70, 80, 10, 0, 1, "long", "poor"],
        ["metric", 10, 25, 75, 10, 0, 0.2, "short", "good"],
    ] * 1000
    answers = json.loads(run("--file", write(tmp_path / "lifts.csv", rows), "--json"))
    assert len(answers) == 3000 and all(set(a) >= ANSWER for a in answers)
    first, second, third = answers[-3:]
    assert first["rwl"] == pytest.approx(14.1534, abs=1e-3)
    assert second["rwl"] == 0 and second["li"] is None and "63 cm" in second["why_not"]
    assert third["rwl"] == 23 and third["li"] == pytest.approx(10 / 23) and third["binding"] is None


def test_a_workbook_and_a_result_file_say_the_same(tmp_path):
    """XLSX in, XLSX and CSV out."""
    from openpyxl import Workbook, load_workbook

    book = Workbook()
    for row in (COLUMNS, ["us", 44, 23, 64, 49, 0, 0.2, "short", "fair"]):
        book.active.append(row)
    book.save(tmp_path / "lifts.xlsx")
    for name in ("result.csv", "result.xlsx"):
        text = run("--file", tmp_path / "lifts.xlsx", "--result", tmp_path / name)
        assert "1 above an index of 1, 1 above 3" in text
    with (tmp_path / "result.csv").open() as file:
        assert float(next(csv.DictReader(file))["li"]) == pytest.approx(3.1088, abs=1e-3)
    header, row = load_workbook(tmp_path / "result.xlsx").active.iter_rows(values_only=True)
    assert dict(zip(header, row, strict=True))["li"] == pytest.approx(3.1088, abs=1e-3)


def test_a_situation_outside_the_method_leaves_a_lower_limit():
    """[waters1994] section 1.2: one hand, seated and so on are outside the method; the index stands as "at least".

    Nobody, or not one person alone, lifts with a hoist or in two: a reason instead of a number.
    """
    plain = json.loads(run(*EXAMPLE_1, "--json"))
    answer = json.loads(run(*EXAMPLE_1, "--situation", "one_handed", "--json"))
    assert answer["applies"] is True and answer["li"] == plain["li"] and plain["at_least"] == ""
    assert answer["at_least"] == "it is lifted with one hand"
    assert "LI at least" in run(*EXAMPLE_1, "--situation", "seated") and "lower limit" in run(
        *EXAMPLE_1, "--situation", "hot"
    )
    hoisted = json.loads(run(*EXAMPLE_1, "--situation", "hoist", "--json"))
    assert hoisted["applies"] is False and hoisted["li"] is None and hoisted["rwl"] is None
    assert "Not covered by the lifting equation, because" in run(*EXAMPLE_1, "--situation", "two_persons")


@pytest.mark.parametrize(
    ("options", "text"),
    [
        (["--mass", 400], "--mass: found 400, expected at most 150 kg .*lost decimal point"),
        (["--mass", 0], "--mass: found 0, expected a load above zero"),
        (["--mass", -3], "--mass: found -3, expected a load above zero"),
        (["--horizontal", 4], "--horizontal: found 4, expected at least 10 cm .*inches entered"),
        (["--vertical", -1], "--vertical: found -1, expected zero or more"),
        (["--angle", 190], "--angle: found 190, expected at most 180 degrees"),
        (["--frequency", 90], "--frequency: found 90, expected at most 60 .*lifts an hour"),
        (["--duration", "day"], "--duration: found 'day', expected one of short, moderate, long"),
        (["--core-depth", 400], "--core-depth: found 400, expected at most 100 cm .*millimetres entered"),
        (["--core-depth", 0], "--core-depth: found 0, expected a depth above zero"),
        (["--units", "imperial"], "--units: found 'imperial'"),
    ],
)
def test_what_cannot_be_is_refused_with_the_likely_slip(options, text):
    """Refusals name the option, what was found, what was expected and the likely slip."""
    with pytest.raises(StudyError, match=text):
        run(*ONE_END, *options)


def test_every_fault_of_a_table_comes_at_once(tmp_path):
    """File, row and column of each fault; a missing column is one too."""
    path = write(
        tmp_path / "lifts.csv",
        [
            ["us", 44, 23, 64, 49, 0, 0.2, "short", "fair"],
            ["us", "heavy", 23, 64, 49, 0, 0.2, "short", "firm"],
            ["metric", 10, 4, 64, 49, 190, 0.2, "short", "fair"],
        ],
    )
    with pytest.raises(StudyError) as caught:
        run("--file", path)
    places = {(fault.row, fault.column) for fault in caught.value.faults}
    assert places == {(3, "mass"), (3, "coupling"), (4, "horizontal"), (4, "angle")}
    (tmp_path / "short.csv").write_text("units,mass\nus,4\n")
    with pytest.raises(StudyError, match="column horizontal: found nothing"):
        run("--file", tmp_path / "short.csv")
    with pytest.raises(StudyError, match="no such table"):
        run("--file", tmp_path / "none.csv")


def test_the_government_example_that_does_not_follow_the_equation():
    """[ccohs]: prints 1.97 kg by its own condensed tables; the equation gives 4.26 kg for the same lift."""
    row = table("ccohs/example").rows[0]
    options = ["--mass", row["load_kg"], "--horizontal", row["horizontal_cm"], "--vertical", row["vertical_cm"]]
    options += [
        "--travel",
        row["travel_cm"],
        "--angle",
        row["asymmetry_deg"],
        "--frequency",
        row["frequency_per_min"],
        "--no-control",
    ]
    options.append("--no-control")
    rwl = json.loads(run(*options, "--duration", row["duration"], "--coupling", row["coupling"], "--json"))["rwl"]
    assert rwl == pytest.approx(4.26, abs=0.005)
    assert abs(rwl - float(row["rwl_kg"])) > 2


def test_lifts_recorded_one_by_one_are_one_job(tmp_path):
    """[waters2016]: equal lifts give VLI = LI at the total frequency; rows that are not covered are counted apart."""
    same = ["metric", 10, 25, 75, 10, 0, 0.2, "long", "good"]
    path = write(tmp_path / "job.csv", [same] * 40)
    found = json.loads(run("--file", path, "--together", 4, "--json"))
    assert found["vli"] == pytest.approx(10 / (23 * 0.45)) and (found["rated"], found["left_out"], found["beyond"]) == (
        40,
        0,
        [],
    )
    assert found["vli_grid"] == pytest.approx(found["vli"]) and found["cells"] == 1
    text = run("--file", path, "--together", 4)
    assert "Variable lifting index 0.97 for the job of 40 lifts" in text and "0 rows are left out" in text
    assert "0.97 on the simplified grid" in text and "six equal shares of the lifts" in text
    mixed = write(tmp_path / "mixed.csv", [same, ["us", 20, 12, 30, 5, 0, 0.2, "long", "good"]])
    with pytest.raises(OutOfRange, match="rows of one job must be in one unit set, got metric, us"):
        run("--file", mixed, "--together", 4)


def test_files_that_are_not_what_they_seem_are_refused(tmp_path):
    """A broken workbook, text that is not UTF-8, a result of another kind or at no place: a sentence each."""
    (tmp_path / "broken.xlsx").write_bytes(b"no workbook")
    (tmp_path / "latin.csv").write_bytes("units;Höhe".encode("latin-1"))
    for name in ("broken.xlsx", "latin.csv"):
        with pytest.raises(StudyError, match="unreadable"):
            run("--file", tmp_path / name)
    with pytest.raises(StudyError, match="expected a file .csv or .xlsx"):
        run(*EXAMPLE_1, "--result", tmp_path / "answer.pdf")
    with pytest.raises(StudyError, match="expected a place to write"):
        run(*EXAMPLE_1, "--result", tmp_path / "nowhere" / "answer.csv")


def test_lifting_seldom_is_told(tmp_path):
    """[waters1994] section 1.3, reprinted: below 0.1 a minute the short duration is allowed and told."""
    options = [*ONE_END, "--horizontal", 40, "--vertical", 75]
    assert "with --duration short" in run(*options, "--frequency", 0.05)
    assert "with --duration short" not in run(*options, "--frequency", 0.05, "--duration", "short")
    assert "with --duration short" not in run(*options, "--frequency", 0.1)


def watched(*options):
    """Standard output and standard error of the command where standard error is a terminal."""
    screen, end = pty.openpty()
    command = [sys.executable, "-m", "coreset", "lift", *map(str, options)]
    done = subprocess.Popen(command, stdout=subprocess.PIPE, stderr=end, env=os.environ | {"TERM": "xterm"})
    os.close(end)
    shown = b""
    reader = threading.Thread(target=lambda: [out.append(part) for part in iter(lambda: _read(screen), b"")])
    out = []
    reader.start()
    answer = done.communicate(timeout=120)[0].decode()
    reader.join(timeout=30)
    shown = b"".join(out).decode(errors="replace")
    return answer, shown


def _read(screen):
    """What stands on the terminal now; nothing once it is closed."""
    try:
        return os.read(screen, 65536)
    except OSError:
        return b""


@pytest.mark.slow
def test_a_long_table_shows_how_far_it_is(tmp_path):
    """1,200 rows, three blocks: each stage with rows done of all, on standard error; nothing with --quiet or --json."""
    row = ["metric", 10, 40, 75, 10, 0, 1, "long", "poor"]
    path, result = write(tmp_path / "many.csv", [row] * 1200), tmp_path / "result.xlsx"
    answer, shown = watched("--file", path, "--result", result)
    for stage in ("reading rows", "checking rows", "rating, in blocks", "writing rows"):
        assert stage in shown, stage
    assert "1200/1200" in shown and "1200/1200" not in answer and "1200 lifts (40 shown, the worst first)" in answer
    assert watched("--file", path, "--quiet")[1] == ""
    answer, shown = watched("--file", result.with_suffix(".csv"), "--json")
    assert "no such table" in shown
    answer, shown = watched("--file", path, "--json")
    assert shown == "" and len(json.loads(answer)) == 1200
    again = run("--file", result, "--json")
    assert len(json.loads(again)) == 1200
