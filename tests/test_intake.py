"""Sheets as plants have them: each is read as meant, asked about, or refused; nothing wrong is taken silently."""

import io
import math
import subprocess
import sys
from datetime import datetime, time, timedelta

import pytest
from openpyxl import Workbook

from coreset.cli.command import main
from coreset.errors import StudyError
from coreset.store.folder.faults import Faults
from coreset.store.folder.readings import read_readings
from coreset.store.intake import take_in

PLAIN = "1 set 12; 1 close 5; 2 set 13; 2 close 6"
"""What most of the sheets hold: cycle, element, seconds."""
LIST = "cycle,element,time s,rating\n1,set,12,{0}\n1,close,5,{0}\n2,set,13,{0}\n2,close,6,{0}\n"
RATED = "1 set 12 95; 1 close 5 95; 2 set 13 95; 2 close 6 95"


def book(*sheets, formats=None, merged=()):
    """A workbook of sheets, each a list of rows; number formats by cell of the first sheet."""
    made = Workbook()
    made.remove(made.active)
    for number, rows in enumerate(sheets):
        sheet = made.create_sheet(f"sheet {number}")
        for row in rows:
            sheet.append(row)
    for cell, style in (formats or {}).items():
        made.worksheets[0][cell].number_format = style
    for cells in merged:
        made.worksheets[0].merge_cells(cells)
    stream = io.BytesIO()
    made.save(stream)
    return stream.getvalue()


WIDE = [["Element", 1, 2], ["set", 12, 13], ["close", 5, 6]]
ROWS = [["cycle", "element", "time s"], [1, "set", 12], [1, "close", 5], [2, "set", 13], [2, "close", 6]]
WITH_LONG = "cycle,element,time s\n1,set,32400\n1,close,5\n2,set,13\n2,close,6\n"
UP = "cycle,element,reading s\n1,set,12\n1,close,17\n2,set,30\n2,close,36\n3,set,49\n3,close,55\n"
PASTED = "cycle,element,time s\n" + 2 * "1,set,12\n1,close,5\n2,set,13\n2,close,6\n"
SHEETS = [
    # layout
    ("cycle;element;time s\n1;set;12\n1;close;5\n2;set;13\n2;close;6\n", {}, PLAIN),
    ("Study 7, line B\nObserver;E02\n\ncycle;element;time s\n1;set;12\n1;close;5\n2;set;13\n2;close;6\n", {}, PLAIN),
    ("cycle,element,time s\n1,set,12\n,close,5\n2,set,13\n,close,6\n", {}, PLAIN),
    ("cycle,element,time s\n1,set,12\n1,close,5\n2,set,13\n2,close,6\n,Total,36\nMean,,9\n", {}, PLAIN),
    ("cycle,element,time s\n1,set,12\n1,close,5\n2,set,13\n2,close,6\n\n,checked by E02,\n", {}, PLAIN),
    ("all in s\nElement,1,2,Total,Mean\nset,12,13,25,12.5\nclose,5,6,11,5.5\nTotal,17,19,,\n", {}, PLAIN),
    ("s\nElement,Cycle 1,Cycle 2,Cycle 3\nset,12,13,\nclose,5,6,\n", {}, PLAIN),
    ("s\nNo,Element,Breakpoint,1,2\n1,set,core in print,12,13\n2,close,cope down,5,6\n", {}, PLAIN),
    ("times in s\nElement,Rating,1,2\nset,95,12,13\nclose,95,5,6\n", {}, RATED),
    ("Cycle,set,close,Total\nno,s,s,s\n1,12,5,17\n2,13,6,19\nMean,12.5,5.5,18\n", {}, PLAIN),
    ("s\nStep,Seen,Cycle\nset,12,1\nclose,5,1\nset,13,2\nclose,6,2\n", {}, "!no head that can be read"),
    ("s\nCycle,set,,close,\n,time,rating,time,rating\n1,12,95,5,95\n2,13,95,6,95\n", {}, RATED),
    ("s\nElement,1,,2,\n,R,T,R,T\nset,12,12,30,13\nclose,17,5,36,6\n", {}, "?r_means"),
    ("s\nElement,1,,2,\n,R,T,R,T\nset,12,12,30,13\nclose,17,5,36,6\n", {"r_means": "watch"}, PLAIN),
    ("s\nElement,1,,2,\n,R,T,R,T\nset,95,12,95,13\nclose,95,5,95,6\n", {"r_means": "rating"}, RATED),
    ("s\nElement,,1,2\nset,T,12,13\n,rating,95,95\nclose,T,5,6\n,rating,95,95\n", {}, RATED),
    (book([], [["notes"]], [["in s"], *WIDE]), {}, PLAIN),
    (book(ROWS, [["cycle", "element", "time s"], [1, "old", 99]]), {"sheet": "sheet 1"}, "1 old 99"),
    (book([["Element", 1, None, 2, None], [None, "time s", "rating", "time s", "rating"], ["set", 12, 95, 13, 95],
           ["close", 5, 95, 6, 95]], merged=("B1:C1", "D1:E1")), {}, RATED),
    (book([["old", "time s"], ["x", 1], *ROWS]), {"head_row": "3"}, PLAIN),
    ("Wer;Was;Wert\nA;set;12\nA;close;5\n", {}, "!no head that can be read"),
    ("Wer;Was;Wert\nA;set;12\nA;close;5\n",
     {"column element": "Was", "column reading_s": "Wert", "unit": "s"}, "1 set 12; 1 close 5"),
    # encodings and signs
    (LIST.format("95").encode("utf-16"), {}, RATED),
    (LIST.format("95").encode("utf-16-le"), {}, RATED),
    ("cycle;element;time s\n1;Kern prüfen;12,5\n".encode("cp1252"), {}, "1 Kern_prüfen 12.5"),
    ("sep=;\ncycle;element;time s\n1;set;12,5\n", {}, "1 set 12.5"),
    ("cycle;element;time s\n1;set;1.234,5\n1;close;5,25\n", {}, "1 set 1234.5; 1 close 5.25"),
    ("cycle;element;time s\n1;set;1,234\n1;close;2,500\n", {}, "?decimal"),
    ("cycle;element;time s\n1;set;1,234\n1;close;2,500\n", {"decimal": "comma"}, "1 set 1.234; 1 close 2.5"),
    # units
    ("cycle,element,time\n1,set,20\n1,close,10\n", {}, "?unit"),
    ("cycle,element,time\n1,set,20\n1,close,10\n", {"unit": "cmin"}, "1 set 12; 1 close 6"),
    ("cycle,element,time [1/100 min]\n1,set,20\n1,close,10\n", {}, "1 set 12; 1 close 6"),
    ("Times in minutes\ncycle,element,time\n1,set,0.2\n1,close,0.1\n", {}, "1 set 12; 1 close 6"),
    ("cycle,element,time\n1,set,12 s\n1,close,5 s\n", {}, "1 set 12; 1 close 5"),
    (book([["cycle", "element", "time"], [1, "set", timedelta(seconds=12)], [1, "close", time(0, 0, 5)]]), {},
     "1 set 12; 1 close 5"),
    # ratings
    (LIST.format("95%"), {}, RATED),
    (LIST.format("0.95"), {}, "?ratings"),
    (LIST.format("0.95"), {"ratings": "share"}, RATED),
    (LIST.format("0"), {}, "!row 2, column rating: found 0, expected a rating above 0"),
    (LIST.format("950"), {}, "?odd_ratings"),
    (book([[*ROWS[0], "rating"], [1, "set", 12, 0.95]], formats={"D2": "0%"}), {}, "1 set 12 95"),
    # marks and gaps
    ("s\nElement,1,2\nset,12,M\nclose,5,6\n", {}, "?mark M"),
    ("s\nElement,1,2\nset,12,M\nclose,5,6\n", {"mark M": "missed"}, "1 set 12; 1 close 5; 2 set - missed; 2 close 6"),
    ("s\nElement,1,2\nset,12 F,13\nclose,5,6\n", {"mark F": "foreign"},
     "1 set 12 foreign; 1 close 5; 2 set 13; 2 close 6"),
    ("s\nElement,1,2\nset,12,\nclose,5,6\n", {}, "?empty"),
    ("s\nElement,1,2\nset,12,\nclose,5,6\n", {"empty": "not_done"}, "1 set 12; 1 close 5; 2 close 6"),
    ("cycle,element,time s,rating\n1,set,12,95\n1,close,5,\n", {}, "1 set 12 95; 1 close 5"),
    # written twice, or in two units
    (PASTED, {}, "?repeated"),
    (PASTED, {"repeated": "first"}, PLAIN),
    ("cycle,element,time s\n1,set,12\n1,set,13\n1,close,5\n", {"repeated": "right"}, "1 set 12; 1 set 13; 1 close 5"),
    ("s\nElement,1,2,2\nset,12,13,14\nclose,5,6,7\n", {}, "?repeated"),
    ("cycle,element,time s\n1,set,12\n1,close,0.5 min\n", {}, "!row 3, column reading_s: found 0.5 min"),
    ("cycle,element,time\n1,set,12 s\n1,close,0.1 min\n", {}, "!row 3, column reading_s: found 0.1 min"),
    ("cycle,element,time\n1,set,12 s\n1,close,5 sec\n", {}, "1 set 12; 1 close 5"),
    ("cycle,element,time s\n1,set,12\n1,close,5\n1,Cycle total,17\n2,set,13\n2,close,6\n2,Cycle total,19\n", {}, PLAIN),
    ('cycle,element,time s\n1,"set\ncore",12\n', {}, "1 set_core 12"),
    # figures that no study has
    (WITH_LONG, {}, "?long"),
    ("cycle,element,time s\n-3,set,12\n", {}, "!row 2, column cycle: found -3"),
    ("cycle,element,time s\n1,set,-12\n", {}, "!row 2, column reading_s: found -12"),
    ("cycle,element,time s\n1,set,twelve\n", {}, "!row 2, column reading_s: found twelve"),
    ("cycle,element,time s\n1,set,0.2\n1,close,0.1\n", {}, "?short"),
    ("cycle,element,time s\n1,known,120\n1,close,5\n", {}, "?unlike"),
    (UP, {}, "?rises"),
    (book([["cycle", "element", "time s"], [1, "set", "=6+6"]]), {}, "!a formula without a value"),
    ("just,some\nwords,here\n", {}, "!no head that can be read"),
    (b"cycle,element,time s\n1,set,1\x002\n", {}, "!control character"),
]  # fmt: skip
CLOCKS = [
    (UP, {}, "1 set 12; 1 close 17; 2 set 30; 2 close 36; 3 set 49; 3 close 55"),
    ("cycle,element,reading s\n1,set,12\n1,close,17\n2,set,13\n2,close,19\n", {}, "?falls"),
    ("cycle,element,reading s\n1,set,12\n1,close,17\n2,set,13\n2,close,19\n", {"falls": "each_cycle"}, PLAIN),
    ("cycle,element,reading s\n1,set,12\n1,close,9\n", {"falls": "each_cycle"}, "?falls_in_cycle"),
    ("cycle,element,reading\n1,set,10:15:12\n1,close,10:15:17\n2,set,10:15:30\n", {}, "?start"),
    ("cycle,element,reading\n1,set,10:15:12\n1,close,10:15:17\n2,set,10:15:30\n", {"start": "10:15:00"},
     "1 set 12; 1 close 17; 2 set 30"),
    ("cycle,element,reading\n1,set,23:59:52\n1,close,23:59:57\n2,set,0:00:10\n", {"start": "23:59:40"},
     "1 set 12; 1 close 17; 2 set 30"),
    (book([["cycle", "element", "reading"], [1, "set", datetime(2026, 11, 2, 0, 0, 12)],
           [1, "close", datetime(2026, 11, 2, 0, 0, 17)]]), {}, "1 set 12; 1 close 17"),
    ("s\nElement,1,,2,\n,R,T,R,T\nset,12,12,30,13\nclose,17,5,36,6\n", {"r_means": "watch"},
     "1 set 12; 1 close 17; 2 set 30; 2 close 36"),
]  # fmt: skip


def written(readings):
    """Readings as the expectations write them."""
    shown = []
    for row in readings:
        seconds = "-" if math.isnan(row.reading_s) else f"{row.reading_s:g}"
        more = [f"{row.rating:g}"] if row.rating == row.rating else []
        shown.append(
            " ".join([str(row.cycle), row.element.replace(" ", "_"), seconds, *more, *filter(None, [row.mark])])
        )
    return "; ".join(shown)


@pytest.mark.parametrize(
    ("content", "answers", "out", "timing"),
    [(*one, "snapback") for one in SHEETS] + [(*one, "continuous") for one in CLOCKS],
)
def test_an_awkward_sheet(content, answers, out, timing):
    """It comes out as meant; or with the question, and then nothing may be kept; or is refused by row and column."""
    name = "theirs.xlsx" if content[:2] == b"PK" else "theirs.csv"
    content = content if isinstance(content, bytes) else content.encode()
    if out.startswith("!"):
        with pytest.raises(StudyError, match=out[1:]):
            take_in(name, content, timing=timing, answers=answers)
        return
    found = take_in(name, content, timing=timing, answers=answers, known={"known": 12.0})
    if out.startswith("?"):
        assert [one.code for one in found.questions] == [out[1:]]
        assert found.questions[0].words
        return
    assert found.questions == ()
    assert written(found.readings) == out
    assert [row.seq for row in found.readings] == list(range(1, len(found.readings) + 1))


def test_what_was_guessed_is_told():
    """Encoding, totals, unit and decimal sign are said in words."""
    sheet = "Zeiten in s;;;\nElement;1;2;Total\nPrüfen;12,5;13,5;26\nTotal;12,5;13,5;\n".encode("cp1252")
    told = " ".join(one.words for one in take_in("t.csv", sheet, timing="snapback").told)
    for words in ("Windows-1252", "left out: Total", "left out: 4", "in seconds", "Decimal comma, as in 12,5"):
        assert words in told, (words, told)


def run(*words):
    """Exit status of the command."""
    with pytest.raises(SystemExit) as ended:
        sys.exit(main(words))
    return ended.value.code


def test_the_command_writes_only_what_is_answered(tmp_path, capsys):
    """A question open: status 2, its answers named, no file. Answered: readings that a case folder takes."""
    sheet, out = tmp_path / "theirs.csv", tmp_path / "T1.csv"
    sheet.write_text("Element,1,2\nset,20,M\nclose,10,10\n")
    given = ["readings", str(sheet), "--timing", "snapback", "--out", str(out), "--answer", "unit=cmin"]
    assert run(*given) == 2 and not out.exists()
    assert '--answer "mark M=missed"' in capsys.readouterr().err
    assert run(*given, "--answer", "mark M=missed") == 0
    faults = Faults()
    readings, _ = read_readings(out.read_text(), "T1.csv", faults)
    assert written(readings) == "1 set 12; 1 close 6; 2 set - missed; 2 close 6" and not faults.found


REFUSED = """
import resource, sys, time
from coreset.cli.command import main
before = time.process_time()
try:
    sys.exit(main(["readings", sys.argv[1]]))
except SystemExit as ended:
    assert ended.code == 2
print(time.process_time() - before, resource.getrusage(resource.RUSAGE_SELF).ru_maxrss / 1024)
"""


@pytest.mark.parametrize("name", ["big.csv", "big.xlsx"])
def test_the_command_does_not_open_a_large_file(tmp_path, name):
    """60 MB are refused by their size, in a process of its own: under a second, 100 MB at most beside a small file."""

    def refused(path, words):
        ran = subprocess.run([sys.executable, "-c", REFUSED, str(path)], capture_output=True, text=True, check=True)
        assert words in ran.stderr
        return tuple(map(float, ran.stdout.split()[-2:]))

    (tmp_path / f"small.{name[-4:].strip('.')}").write_bytes(b"x")
    _, least_mb = refused(tmp_path / f"small.{name[-4:].strip('.')}", "small")
    with (tmp_path / name).open("wb") as stream:
        for _ in range(60):
            stream.write(b"1,set core,12.3\n" * 62_500)
    took_s, most_mb = refused(tmp_path / name, "at most 10 MB")
    print(f"{name}: {took_s:.2f} s of the processor, {most_mb:.0f} MB; a file of one byte {least_mb:.0f} MB")
    assert took_s < 1 and most_mb < least_mb + 100
