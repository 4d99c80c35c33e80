"""Numbers as people write them: what only a program takes for one is refused at every door."""

import shutil
from itertools import cycle

import pytest
import typer
from typer.testing import CliRunner

from coreset.case import Correction, Pattern
from coreset.cli.command import app
from coreset.errors import BookError, StudyError
from coreset.forms.typed import Ends, converted, number_of
from coreset.number_text import number, whole
from coreset.store import folder
from coreset.store.book.refusals import refuse_value
from coreset.store.folder.readings_import import clock_seconds
from coreset.web.shelf import demo_folder

ODD = ["1_000", "1_2.4", "\u0661\u0662", "\uff11\uff12", "0x10", "inf", "nan", "1e", "--1", ""]


@pytest.mark.parametrize("text", ODD)
def test_what_only_a_program_reads_is_no_number(text):
    """Underscores, digits of other scripts, infinity: each could be a slip, and another reader refuses it."""
    for read in (number, whole):
        with pytest.raises(ValueError):
            read(text)
    if text:
        with pytest.raises(ValueError):
            number_of(text)
        with pytest.raises(ValueError):
            clock_seconds(text, form="s")
        with pytest.raises(BookError):
            refuse_value(Correction(seq=2, action="rerate", value=text, who="OB7", when="2026-11-25", why="x"), ["set"])


@pytest.mark.parametrize("text", ["1_2", "\u0661\u0662"])
@pytest.mark.parametrize(
    ("file", "old"),
    [
        ("cores.csv", ",12.4,"),
        ("patterns.csv", ",42000,"),
        ("patterns.csv", ",44,"),
        ("times/GC07-H1.csv", ",8.46,"),
        ("times/GC07-H1.csv", ",100.0,"),
    ],
)
def test_a_folder_with_such_a_number_is_refused(tmp_path, file, old, text):
    """In tables, ranges, whole numbers, readings and ratings, with file, row and column."""
    place = tmp_path / "c"
    shutil.copytree(demo_folder(), place)
    path = place / file
    content = path.read_text(encoding="utf-8")
    assert old in content
    path.write_text(content.replace(old, f",{text},", 1), encoding="utf-8")
    with pytest.raises(StudyError, match=rf"{file.rpartition('/')[2]}, row \d+, column \w+: found '{text}'"):
        folder.read(place)


@pytest.mark.parametrize("sign", ["\u202e", "\u202a", "\u2066", "\u2069"])
def test_text_that_turns_its_direction_is_refused_at_the_field(sign):
    """What is shown would read as another text; the message shows the sign without obeying it."""
    for kind, name, value in (
        (Pattern, "note", f"HB{sign}10"),
        (Pattern, "molds_per_year", Ends(low=1.0, likely=2.0, high=3.0, source=f"quote{sign}")),
    ):
        with pytest.raises(StudyError) as told:
            converted(kind, {name: value}, "metric", new=False)
        assert "turn its direction" in str(told.value) and sign not in str(told.value)
    assert converted(Pattern, {"note": "\u05d0\u200f 漢字"}, "metric", new=False) == {"note": "\u05d0\u200f 漢字"}


@pytest.mark.slow
def test_every_option_of_the_command_refuses_them():
    """Each number that is typed after an option, of every subcommand, is read as one in a file is."""
    commands = typer.main.get_command(app).commands.items()
    numbers = [
        (name, option.opts[0])
        for name, command in commands
        for option in command.params
        if option.type_descriptor.annotation in (int, float)
    ]
    assert len(numbers) > 20
    for (name, option), text in zip(numbers, cycle(ODD)):
        answered = CliRunner().invoke(app, [name, f"{option}={text}"])
        assert answered.exit_code == 2 and f"Invalid value for '{option}'" in answered.stderr, (name, option, text)
