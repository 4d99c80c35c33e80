"""A broken file is refused with file, row, column, what was found and what was expected; all faults at once."""

import os
import re
import shutil
import tomllib
from importlib.resources import files
from pathlib import Path

import pytest

from coreset.errors import CoresetError, StudyError
from coreset.store import folder

DEMO = Path(str(files("coreset.studies") / "ostrander_bend"))


@pytest.fixture
def case(tmp_path):
    """A copy of the demo that a test may break."""
    return Path(shutil.copytree(DEMO, tmp_path / "case"))


def change(path, old, new, count=1):
    """Put one text in another's place; the old one must be there."""
    text = path.read_text(encoding="utf-8")
    assert old in text, f"{old!r} is not in {path.name}"
    path.write_text(text.replace(old, new, count), encoding="utf-8")


def faults(case):
    """Faults of a case that must be refused."""
    with pytest.raises(StudyError) as refused:
        folder.read(case)
    return refused.value.faults


def only(case):
    """The one fault of a case: file, row, column."""
    found = faults(case)
    assert len(found) == 1, "\n".join(map(str, found))
    return found[0]


def row_of(path, text):
    """Number of the first line with a text in it."""
    lines = path.read_text(encoding="utf-8").splitlines()
    return next(row for row, line in enumerate(lines, start=1) if text in line)


EDITS = [
    ("patterns.csv", "42000,34000", "many,38000", "molds_per_year", "'many'", "a number"),
    ("patterns.csv", "42000,34000", "42000,48000", "molds_per_year", "48000, 42000, 50000", "low <= likely <= high"),
    ("patterns.csv", "54000,42000,62000", "54000,,62000", "molds_per_year_low", "nothing", "low value of the range"),
    ("patterns.csv", "54000,42000", "0,0", "molds_per_year", "0", "above 0, or no row for a pattern"),
    ("patterns.csv", "54000,42000", "nan,46000", "molds_per_year", "'nan'", "a number"),
    ("patterns.csv", "54000,42000", "1e999,46000", "molds_per_year", "'1e999'", "a number"),
    ("patterns.csv", "teaching,44,1", "teaching,10001,1", "runs_per_year", "'10001'", "not above 10000"),
    ("cores.csv", "HB10,H,1,12.4", "HB10,H,1,-12.4", "mass_kg", "'-12.4'", "above 0"),
    ("cores.csv", "HB10,H,1,12.4", "HB10,H,1.5,12.4", "per_mold", "'1.5'", "a whole number"),
    ("cores.csv", "HB10,H,1,12.4", "HB10,H,1001,12.4", "per_mold", "'1001'", "not above 1000"),
    ("cores.csv", "HB10,H,1,12.4", "HB01,H,1,12.4", "pattern", "'HB01'", "'HB10', perhaps"),
    ("cores.csv", "VB24,P,2", "VB24,B,2", "core", "'VB24' 'B' again", "once, as in cores.csv, row 3"),
    ("lifts.csv", "manual,HB10,H", "manual,HB10,X", "core", "'X'", "one of 'H'"),
    ("lifts.csv", "manual,HB10,H", "manul,HB10,H", "method", "'manul'", "'manual', perhaps"),
    ("lifts.csv", "poor", "bad", "coupling", "'bad'", "'good', 'fair' or 'poor'"),
    ("times/HB10-H1.csv", "fetch cores,6.", "fetch core,6.", "element", "'fetch core'", "'fetch cores', perhaps"),
    ("times/HB10-H1.csv", "wait for machine,16.9", "wait for machine,1.9", "reading_s", "1.9", "the clock runs on"),
    ("times/HB10-H1.csv", "wait for machine,16.9", "wait for machine,", "reading_s", "nothing", "the mark 'missed'"),
    ("times/HB10-H1.csv", "wait for machine,16.9,,", "wait for machine,16.9,,off", "mark", "'off'", "one of"),
    ("times/VB24-H1.corrections.csv", ",exclude,", ",remove,", "action", "'remove'", "'exclude'"),
    ("times/VB24-H1.corrections.csv", "\n", "\n9", "seq", "9", "the seq of a reading"),
]  # fmt: skip


@pytest.mark.parametrize(("file", "old", "new", "column", "found", "expected"), EDITS)
def test_a_broken_cell_is_named(case, file, old, new, column, found, expected):
    """One wrong cell of a table: its file, its row as a spreadsheet counts, its column, what was found and expected."""
    change(case / file, old, new)
    broken = [one for one in faults(case) if one.column == column]
    assert broken, faults(case)
    assert broken[0].file == file
    if old != "\n":
        assert broken[0].row == row_of(case / file, new)
    assert found in broken[0].found
    assert expected in broken[0].expected


KEYS = [
    ("hours_per_shift = 7.5", "hours_per_shift = -1", "place.hours_per_shift", "above 0"),
    ("hours_per_shift = 7.5", 'hours_per_shift = "eight"', "place.hours_per_shift", "a number"),
    ("hours_per_shift = 7.5", "hours_per_shift = true", "place.hours_per_shift", "a number"),
    ("hours_per_shift = 7.5", "hours_per_shift = inf", "place.hours_per_shift", "a number"),
    ("other_stops_pct = 19.5", "other_stops_pct = 100", "line.other_stops_pct", "below 100"),
    ("other_stops_pct = 19.5", "otherstops_pct = 19.5", "line.otherstops_pct", "'other_stops_pct', perhaps"),
    (
        "mask_length_mm = ",
        "mask_length_in = ",
        "setter.mask_length_in",
        "'mask_length_mm': the case is in metric units",
    ),
    ("mask_length_mm = ", "mask_length = ", "setter.mask_length", "'mask_length_mm', with its unit"),
    ("discount_rate = 0.09", "", "money.discount_rate", "discount rate per year"),
    ("low = 165000", "low = 195000", "money.setter_price", "low <= likely <= high"),
    ("likely = 185000", "likley = 185000", "money.setter_price", "'likely', perhaps"),
    ('basis = "normal"\n', "", "allowances.by hand.basis", "Must be stated"),
    ('currency = "USD"', 'currency = "dollar"', "currency", "three capital letters"),
    ('date = "2026-11-02"', 'date = "11/02/2026"', "date", "2026-03-31"),
    ('units = "metric"', 'units = "imperial"', "units", "one of 'metric', 'us'"),
    ('after = ["clear and signal"]', 'after = ["clear and sign"]', "method.manual.step[2].after", "'clear and signal'"),
    ("every_min = 70", "every_min = 0", "line.stop[2].every_min", "above 0"),
]


@pytest.mark.parametrize(("old", "new", "column", "expected"), KEYS)
def test_a_broken_key_is_named(case, old, new, column, expected):
    """One wrong key of case.toml: its line and its dotted name."""
    path = case / "case.toml"
    change(path, re.sub(r" = $", " = ", old), new)
    found = [one for one in faults(case) if one.column in (column, f"{column}.likely")]
    assert found, faults(case)
    assert expected in found[0].expected
    if new:
        assert found[0].row == row_of(path, new.strip())


def test_all_faults_of_all_files_come_at_once(case):
    """Five slips in five files are five faults, the case file first."""
    change(case / "case.toml", "other_stops_pct = 19.5", "other_stops_pct = 195")
    change(case / "cores.csv", "12.4", "12.4kg")
    change(case / "patterns.csv", "44,1,9", "none,1,9")
    change(case / "lifts.csv", "poor", "bad")
    change(case / "times" / "HB10-H1.toml", 'observer = "E02"', "")
    found = faults(case)
    assert [one.file for one in found] == ["case.toml", "cores.csv", "lifts.csv", "patterns.csv", "times/HB10-H1.toml"]


def test_a_circle_of_waiting_steps_is_refused(case):
    """A step that waits, in the end, for itself leaves no mold cycle."""
    change(case / "case.toml", 'after = ["make mold halves"]', 'after = ["make mold halves", "blow off and check"]')
    assert only(case).found == "steps that wait for one another"


def test_an_overridden_frequency_needs_a_reason():
    """The pace follows from the standard; whoever overrides it says why."""
    parts = folder.plain(folder.read(DEMO))
    parts["lifts"][0]["frequency_per_min"] = 2
    with pytest.raises(StudyError) as refused:
        folder.build(parts)
    assert [one.column for one in refused.value.faults] == ["frequency_reason"]


@pytest.mark.parametrize("ends", ["\r\n", "\r", "\n"])
@pytest.mark.parametrize("mark", [b"", b"\xef\xbb\xbf"])
def test_line_ends_and_byte_order_marks_do_not_matter(case, ends, mark):
    """CRLF, CR and LF, with or without a byte-order mark, read the same."""
    for path in [*case.glob("*.csv"), *case.glob("*.toml"), *case.glob("times/*.*")]:
        text = path.read_text(encoding="utf-8")
        path.write_bytes(mark + text.replace("\n", ends).encode())
    assert folder.read(case) == folder.read(DEMO)


def test_semicolons_bring_decimal_commas(case):
    """A table with semicolons may have decimal commas; a point beside them is refused, it might mean thousands."""
    text = (case / "cores.csv").read_text(encoding="utf-8")
    (case / "cores.csv").write_text(text.replace(",", ";").replace(".", ","), encoding="utf-8")
    assert folder.read(case) == folder.read(DEMO)
    (case / "cores.csv").write_text(text.replace(",", ";").replace("12.4", "12,4"), encoding="utf-8")
    assert {one.expected for one in faults(case)} == {"one decimal sign in all the column"}


def test_a_decimal_comma_is_refused_with_a_hint(case):
    """In a table with commas, "12,4" in quotes is no number."""
    change(case / "cores.csv", "12.4", '"12,4"')
    assert only(case).expected == "a number with a decimal point"


@pytest.mark.parametrize(
    ("name", "content", "words"),
    [
        ("cores.csv", "pattern,core\nHB10,\xe9".encode("latin-1"), "UTF-8"),
        ("cores.csv", b"pattern,co\x00re\n", "control character"),
        ("cores.csv", "pattern,core".encode("utf-16"), "UTF-16"),
        ("cores.csv", b"", "an empty file"),
        ("cores.csv", b'pattern,core\n"HB10,', "a row that cannot be read"),
        ("cores.csv", b"pattern,core\n" + b"x" * 200_000, "a row that cannot be read"),
        ("cores.csv", b"x," * 5_000, "columns"),
        ("cores.csv", b"pattern,pattern,core,mass_kg\n", "twice"),
        ("case.toml", b"a = [" * 5_000, "no TOML"),
        ("case.toml", b"title = 'x'\ntitle = 'y'", "no TOML"),
        ("case.toml", b"seed = " + b"9" * 5_000, "no TOML"),
        ("times/HB10-H1.csv", b"cycle;element;reading_s\n1;fetch cores;1e400\n", "'1e400'"),
        ("times/HB10-H1.csv", b"cycle,element,reading_min\n", "'reading_min'"),
        ("core.csv", b"pattern", "a file that no case has"),
        ("times/X1.csv", b"cycle", "readings without a header"),
    ],
)
def test_content_that_is_no_table_is_refused(case, name, content, words):
    """Wrong encodings, control characters, endless cells, broken quotes: refused by name, never a traceback."""
    (case / name).write_bytes(content)
    found = faults(case)
    assert any(one.file == name and words in str(one) for one in found), found


def test_files_that_are_no_files_are_refused(case, tmp_path):
    """A folder, a pipe, a link out of the case, a link to itself: each is refused."""
    outside = tmp_path / "outside.csv"
    outside.write_text("pattern,core,mass_kg\n", encoding="utf-8")

    def put(make):
        (case / "patterns.csv").unlink(missing_ok=True)
        make(case / "patterns.csv")
        found = [one for one in faults(case) if one.file == "patterns.csv"]
        (case / "patterns.csv").rmdir() if (case / "patterns.csv").is_dir() else None
        return found[0].found

    assert put(Path.mkdir) == "no plain file"
    assert put(os.mkfifo) == "no plain file"
    assert put(lambda path: path.symlink_to(outside)) == "a link that leads outside the folder"
    assert "no readable file" in put(lambda path: path.symlink_to(path))


@pytest.mark.parametrize("path", ["nowhere", "a\0b", "x" * 5_000])
def test_a_folder_that_is_none_is_refused(tmp_path, path):
    """No folder, or a path that cannot be one."""
    with pytest.raises(CoresetError):
        folder.read(tmp_path / path if "\0" not in path else path)


def test_many_faults_are_counted_not_listed(case):
    """A thousand faults do not fill a thousand lines."""
    lines = ["cycle,element,reading_s", *[f"{i},nothing of that name,{i}" for i in range(1, 2_000)]]
    (case / "times" / "HB10-H1.csv").write_text("\n".join(lines), encoding="utf-8")
    found = faults(case)
    assert len(found) < 250
    assert "faults more" in found[-1].found


def test_writing_never_leaves_half_a_case(case, monkeypatch):
    """When the disk refuses in the middle, what stood there stands there."""
    before, calls = folder.read(case), []

    def refuse(descriptor):
        calls.append(descriptor)
        if len(calls) > 3:
            raise OSError(28, "No space left on device")

    monkeypatch.setattr(os, "fsync", refuse)
    with pytest.raises(StudyError, match="No space left"):
        folder.write(before, case)
    assert folder.read(case) == before
    assert sorted(path.name for path in case.parent.iterdir()) == ["case"]


def test_writing_keeps_what_is_not_ours_and_spares_other_folders(case, tmp_path):
    """A README stays; a folder that is no case is not touched."""
    (case / "photo.txt").write_text("kept", encoding="utf-8")
    folder.write(folder.read(case), case)
    assert (case / "photo.txt").read_text(encoding="utf-8") == "kept"
    other = tmp_path / "other"
    other.mkdir()
    (other / "letter.txt").write_text("mine", encoding="utf-8")
    with pytest.raises(StudyError):
        folder.write(folder.read(DEMO), other)
    assert [path.name for path in other.iterdir()] == ["letter.txt"]


@pytest.mark.parametrize("units", ["metric", "us"])
def test_a_new_case_lacks_only_what_nobody_may_assume(tmp_path, units):
    """The starter explains every column and reads as it stands; once money is begun it lacks three figures."""
    folder.start(tmp_path / "new", units=units, currency="EUR")
    assert folder.read(tmp_path / "new").currency == "EUR"
    change(tmp_path / "new" / "case.toml", "[money]", "[money]\nyears = 8")
    assert {one.column for one in faults(tmp_path / "new")} == {
        "money.setter_price",
        "money.wage_per_h",
        "money.discount_rate",
    }


def test_a_new_case_begins_with_what_to_fill_in_first(tmp_path):
    """Ten lines say where to begin; the first required price stands on the first screen of the file, not below 200."""
    folder.start(tmp_path / "new", units="us")
    lines = (tmp_path / "new" / "case.toml").read_text(encoding="utf-8").splitlines()
    head = next(number for number, line in enumerate(lines) if not line.startswith("#"))
    assert head <= 10 and "setter_price, wage_per_h, discount_rate" in "\n".join(lines[:head])
    places = [number for number, line in enumerate(lines, start=1) if line.startswith("# setter_price =")]
    assert places and places[0] < 50
    required = [line.endswith("required]") for line in lines[lines.index("[money]") :] if line.endswith("]")][1:]
    assert required[:3] == [True] * 3


@pytest.mark.parametrize(
    ("units", "currency", "style"), [("us", "USD", "us"), ("us", "CAD", "point"), ("metric", "USD", "point")]
)
def test_a_new_case_writes_numbers_as_its_region_does(tmp_path, units, currency, style):
    """US units and dollars: $254,000, 80%, the month first; the lines are there to be changed."""
    folder.start(tmp_path / "new", units=units, currency=currency)
    found = folder.read(tmp_path / "new")
    assert found.decimal == style and found.date_style == ("month" if style == "us" else "iso")


def test_every_default_of_the_starter_is_the_default(tmp_path):
    """With every # taken off a key that has a value, the case reads the same."""
    folder.start(tmp_path / "new")
    path = tmp_path / "new" / "case.toml"
    change(path, "[money]", "[money]\nsetter_price = 1\nwage_per_h = 1\ndiscount_rate = 0.1")
    before = folder.read(tmp_path / "new")
    text = path.read_text(encoding="utf-8").split("# [[line.stop]]")
    lines = [re.sub(r"^# (\w+ = .+)$", r"\1", line) for line in text[0].splitlines()]
    path.write_text("\n".join(lines), encoding="utf-8")
    assert len(tomllib.loads(path.read_text(encoding="utf-8"))["place"]) > 5
    assert folder.read(tmp_path / "new") == before


def test_a_starter_goes_only_where_nothing_is(case):
    """An existing case is not overwritten by an empty one."""
    with pytest.raises(StudyError):
        folder.start(case)


ACTUALS = [
    ("0,setter,-180000,invoice 12", "amount", "-180000", "not below 0, since it is what was paid"),
    ("1,setter,180000,invoice 12", "year", "1", "0 for setter"),
    ("0,labour,9000,payroll", "year", "0", "1 or later for labour"),
    ("99,labour,9000,payroll", "year", "99", "at most 10, the years of the calculation"),
    ("1,laber,9000,payroll", "item", "'laber'", "labour"),
    ("1,labour,much,payroll", "amount", "'much'", "a number"),
    ("1,labour,9000,", "origin", "nothing", ""),
    ("-1,labour,9000,payroll", "year", "'-1'", ""),
]


@pytest.mark.parametrize("line, column, found, expected", ACTUALS)
def test_a_wrong_amount_is_told_by_row_and_column(case, line, column, found, expected):
    """Every fault of actuals.csv: file, row, column, what stood there, what was expected."""
    good = "year,item,amount,origin\n0,installation,24000,invoice 11\n1,labour,-300,payroll\n"
    (case / "actuals.csv").write_text(good, encoding="utf-8")
    assert [row.flow for row in folder.read(case).actuals] == [-24_000, -300]
    (case / "actuals.csv").write_text(f"{good}{line}\n", encoding="utf-8")
    fault = only(case)
    assert (fault.file, fault.row, fault.column, fault.found) == ("actuals.csv", 4, column, found)
    assert expected in fault.expected
