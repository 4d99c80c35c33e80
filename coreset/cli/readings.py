"""`coreset readings`: a sheet of readings in the plant's own form, checked and written as the readings of a study."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from coreset.errors import CoresetError
from coreset.text import say

if TYPE_CHECKING:
    from coreset.store.intake import Question


def readings(
    sheet: Annotated[Path, typer.Argument(help=say("cli.readings.sheet"))],
    timing: Annotated[str, typer.Option(help=say("cli.readings.timing"))] = "continuous",
    answer: Annotated[list[str] | None, typer.Option("--answer", "-a", help=say("cli.readings.answer"))] = None,
    out: Annotated[Path | None, typer.Option("--out", "-o", help=say("cli.readings.out"), show_default=False)] = None,
    quiet: Annotated[bool, typer.Option("--quiet", "-q", help=say("cli.quiet"))] = False,
) -> None:
    """Read a sheet, say what was guessed, and write the readings once nothing is open."""
    from coreset.cli.outputs import written
    from coreset.store.folder.readings import readings_text
    from coreset.store.intake import take_in

    if timing not in ("continuous", "snapback"):
        raise CoresetError(f"--timing must be continuous or snapback, got {timing!r}")
    found = take_in(sheet.name, _content(sheet), timing=timing, answers=_answers(answer or []))
    if not quiet:
        for one in found.told:
            typer.echo(one.words)
    if found.questions:
        raise CoresetError("\n".join([say("cli.readings.open"), *map(_asked, found.questions)]))
    if found.timing != timing:
        typer.echo(say("cli.readings.other_timing", timing=found.timing), err=True)
    text = readings_text(found.readings)
    if out is None:
        typer.echo(text, nl=False)
    else:
        written(out, text.encode())
        typer.echo(say("cli.written", path=out), err=True)


def _content(path: Path) -> bytes:
    """Bytes of the sheet; one that is too large is not opened."""
    from coreset.store.folder.readings_import import refuse_size

    try:
        refuse_size(path.name, path.stat().st_size)
        return path.read_bytes()
    except OSError as error:
        raise CoresetError(f"{path} must be readable, got: {error.strerror}") from error


def _answers(given: list[str]) -> dict[str, str]:
    """Answers as `code=choice`."""
    pairs = [text.partition("=") for text in given]
    if wrong := [code for code, sign, _ in pairs if not sign]:
        raise CoresetError(f"--answer must be CODE=CHOICE, got {wrong[0]!r}")
    return {code.strip(): choice.strip() for code, _, choice in pairs}


def _asked(question: Question) -> str:
    """A question with the answers that it takes."""
    from coreset.store.intake import choice_words

    choices = [f'--answer "{question.code}={choice}"  {choice_words(choice)}' for choice in question.choices]
    return "\n  ".join([f"- {question.words}", *(choices or [f'--answer "{question.code}=..."'])])
