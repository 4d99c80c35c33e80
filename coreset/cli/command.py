"""`coreset` and its subcommands; each imports what it needs when it runs, so that a small question is answered soon."""

from __future__ import annotations

import json
from collections.abc import Sequence
from pathlib import Path
from typing import Annotated, Any

import typer

from coreset.cli.app import pages
from coreset.cli.approve import approve
from coreset.cli.backup import backup, database, forget, restore, verify
from coreset.cli.delays import delays
from coreset.cli.lift import lift
from coreset.cli.lifts import lifts
from coreset.cli.notes import note_broken_signatures, note_zero_limits, refuse_unanswerable
from coreset.cli.portfolio import portfolio
from coreset.cli.progress import watched
from coreset.cli.readings import readings
from coreset.cli.typed import EngineName, whole_option
from coreset.errors import CoresetError
from coreset.text import say

REFUSED = 2
"""Exit status when the input was refused; 0 is an answer, 1 a stop by the user."""

app = typer.Typer(
    name="coreset",
    help=say("cli.help"),
    epilog=say("cli.epilog"),
    no_args_is_help=True,
    pretty_exceptions_enable=False,
    rich_markup_mode=None,
    context_settings={"help_option_names": ["-h", "--help"]},
)
Folder = Annotated[Path, typer.Argument(help=say("cli.folder"))]
Quiet = Annotated[bool, typer.Option("--quiet", "-q", help=say("cli.quiet"))]
Json = Annotated[bool, typer.Option("--json", help=say("cli.json"))]
Seed = Annotated[int | None, whole_option(say("cli.seed"))]
BookUrl = Annotated[str, typer.Option("--book", help=say("cli.book"))]


def main(argv: Sequence[str] | None = None) -> int:
    """Run one command; 0 when it answered, 2 when it refused the input."""
    try:
        app(args=argv, prog_name="coreset")
    except CoresetError as error:
        typer.echo(f"coreset: {error}", err=True)
        return REFUSED
    return 0


@app.command(help=say("cli.assess.help"), epilog=say("cli.assess.epilog"))
def assess(  # noqa: PLR0913 - options of a command
    folder: Annotated[Path | None, typer.Argument(help=say("cli.assess.folder"), show_default=False)] = None,
    every: Annotated[bool, typer.Option("--all", help=say("cli.assess.all"))] = False,
    book: BookUrl = "",
    engine: EngineName = "",
    as_json: Json = False,
    seed: Seed = None,
    resamples: Annotated[int, whole_option(say("cli.resamples"), least=100, most=100_000)] = 10_000,
    draws: Annotated[int, whole_option(say("cli.draws"), least=1_000, most=1_000_000)] = 100_000,
    replications: Annotated[int, whole_option(say("cli.replications"), least=20, most=100_000)] = 1_000,
    quiet: Quiet = False,
) -> None:
    """Print the decision of a case folder, then its tables; or the decision of every case of the database."""
    options = {"seed": seed, "resamples": resamples, "draws": draws, "replications": replications}
    if every == (folder is not None):
        raise CoresetError(say("cli.assess.either"))
    if folder is None:
        from coreset.cli.many import print_all

        print_all(book, engine=engine, as_json=as_json, quiet=quiet, **options)
        return
    found = _assessed(folder, quiet=quiet or as_json, **options)
    if as_json:
        from coreset.brief.document import document

        typer.echo(json.dumps(document(found), indent=2, ensure_ascii=False, allow_nan=False))
        return
    from coreset.brief.screen import screen

    typer.echo(screen(found))


def _assessed(folder: Path, *, quiet: bool, **options: Any) -> Any:
    """Read and assess a case, telling the stages on standard error where somebody watches."""
    from coreset.assess import assess as carried
    from coreset.store.book.rows import today
    from coreset.store.folder import read

    case, options["day"] = read(folder), today()
    with watched(quiet=quiet) as told:
        return carried(
            case,
            progress=lambda stage, share: told(share, say(f"cli.stage.{stage}")),
            **options,
        )


def _counted(case: Any, seed: int | None) -> Any:
    """The line against molds counted; None without counts or where there is no line yet."""
    from coreset.before_money import before_money
    from coreset.errors import CoresetError

    if not case.counts:
        return None
    try:
        return before_money(case, case.seed if seed is None else seed, (1_000, 200), lambda stage, share: None).today
    except CoresetError:
        return None


@app.command(help=say("cli.register.help"), epilog=say("cli.register.epilog"))
def register(
    folder: Folder,
    csv: Annotated[Path | None, typer.Option("--csv", help=say("cli.register.csv"), show_default=False)] = None,
    digits: Annotated[int, whole_option(say("cli.register.digits"), least=0, most=9)] = 4,
    as_json: Json = False,
    seed: Seed = None,
    quiet: Quiet = False,
) -> None:
    """Print the register of standards."""
    from coreset.brief.document import plain
    from coreset.brief.register import register_csv, screen_of
    from coreset.cli.outputs import written
    from coreset.store.book.rows import today
    from coreset.store.folder import read
    from coreset.study.pooling import by_pattern, standards
    from coreset.study.register import register as register_of

    case = read(folder)
    timed = standards(case, seed=seed)
    entries = register_of(case, timed, by_pattern(timed), today=_counted(case, seed), day=today())
    if csv is not None:
        written(csv, register_csv(entries, digits=digits))
    if as_json:
        typer.echo(json.dumps(plain(entries), indent=2, ensure_ascii=False, allow_nan=False))
    elif not quiet or csv is None:
        typer.echo(screen_of(entries))


@app.command(help=say("cli.brief.help"), epilog=say("cli.brief.epilog"))
def brief(
    folder: Folder,
    out: Annotated[Path, typer.Option("--out", "-o", help=say("cli.brief.out"))] = Path("brief.pdf"),
    full: Annotated[bool, typer.Option("--full", help=say("cli.brief.full"))] = False,
    seed: Seed = None,
    quiet: Quiet = False,
) -> None:
    """Write the brief of a case folder: .pdf, .html, .xlsx or .json by the ending, all data as a folder or a .zip."""
    from coreset.cli.outputs import output

    kind = output(out)
    found = _assessed(folder, quiet=quiet, seed=seed)
    with watched(quiet=quiet) as told:
        written = kind(found, out, full=full, told=told)
    if not quiet:
        typer.echo(say("cli.written", path=written))


@app.command(help=say("cli.new.help"), epilog=say("cli.new.epilog"))
def new(
    folder: Folder,
    units: Annotated[str, typer.Option(help=say("cli.new.units"))] = "metric",
    currency: Annotated[str, typer.Option(help=say("cli.new.currency"))] = "USD",
    quiet: Quiet = False,
) -> None:
    """Start an empty case whose files explain every field."""
    from coreset.store.folder import start

    start(folder, units=units, currency=currency)
    if not quiet:
        typer.echo(say("cli.new.done", path=folder))


@app.command(help=say("cli.check.help"), epilog=say("cli.check.epilog"))
def check(folder: Folder, as_json: Json = False, quiet: Quiet = False) -> None:
    """Read a case folder and say everything that is wrong with it, and what is missing for which answer."""
    from coreset.brief.missing import missing, missing_sentences
    from coreset.store.folder import read
    from coreset.store.folder.check import unlisted, untimed_steps

    case = read(folder)
    for study, kind, code, known in unlisted(case):
        typer.echo(say("cli.check.unlisted", study=study, kind=kind, code=code, known=known), err=True)
    for method, step, element, known in untimed_steps(case):
        typer.echo(say("cli.check.untimed", method=method, step=step, element=element, known=known), err=True)
    note_zero_limits(case)
    note_broken_signatures(case)
    lacks = missing(case)
    if "standard" not in lacks:
        refuse_unanswerable(case, quiet=quiet or as_json)
    counts = {
        "patterns": len(case.patterns),
        "cores": len(case.cores),
        "lifts": len(case.lifts),
        "studies": len(case.studies),
        "readings": sum(len(study.readings) for study in case.studies),
    }
    if as_json:
        typer.echo(json.dumps(counts | {"missing": lacks}))
    elif not quiet:
        typer.echo("\n".join([say("cli.check.fine", **counts), *missing_sentences(case)]))


@app.command(name="log", help=say("cli.log.help"), epilog=say("cli.log.epilog"))
def line_log(
    folder: Folder,
    file: Annotated[Path | None, typer.Argument(help=say("cli.log.file"), show_default=False)] = None,
    time: Annotated[str, typer.Option(help=say("cli.log.time"))] = "time",
    pattern: Annotated[str, typer.Option(help=say("cli.log.column"))] = "pattern",
    form: Annotated[str, typer.Option(help=say("cli.log.form"), show_default=False)] = "",
    shift: Annotated[tuple[float, float], typer.Option(help=say("cli.log.shift"))] = (6.0, 0.0),
    save: Annotated[bool, typer.Option("--save", help=say("cli.log.save"))] = False,
    as_json: Json = False,
) -> None:
    """Read a log of molds: cycles, stops, breaks, changes; with --save its counts go into the case."""
    from coreset.brief.document import plain
    from coreset.cli import line_log as log
    from coreset.store.folder import read
    from coreset.store.folder.line_log import LOG

    case, columns = read(folder), {"time": time, "pattern": pattern, "form": form}
    found = log.analyzed(case, file or folder / LOG, columns, shift)
    typer.echo(json.dumps(plain(found), ensure_ascii=False) if as_json else "\n".join(log.told(found)))
    if save:
        count, strange = log.save(case, folder, found)
        typer.echo(say("cli.log.saved", count=count, strange=", ".join(strange) or "–"), err=as_json)


@app.command(name="import", help=say("cli.import.help"), epilog=say("cli.import.epilog"))
def take_in(
    folder: Folder,
    name: Annotated[str, typer.Option("--as", help=say("cli.import.name"), show_default=False)] = "",
    replace: Annotated[bool, typer.Option("--replace", help=say("cli.import.replace"))] = False,
    book: BookUrl = "",
    quiet: Quiet = False,
) -> None:
    """Take a case folder into the book under the folder's name, or another; a case of that name is not replaced."""
    from coreset.cli.taken_in import take_in as carried
    from coreset.store.book import Book, book_url
    from coreset.store.folder import read
    from coreset.store.folder.workbook import read_workbook

    sheets = folder.suffix.lower() == ".xlsx"
    name = name or (folder.resolve().stem if sheets else folder.resolve().name)
    case = read_workbook(folder) if sheets else read(folder)
    note_zero_limits(case)
    note_broken_signatures(case)
    outcome = carried(Book(book or book_url()), name, case, replace=replace)
    if not quiet:
        typer.echo(say(f"cli.import.{outcome}", name=name))


@app.command(help=say("cli.export.help"), epilog=say("cli.export.epilog"))
def export(
    name: Annotated[str, typer.Argument(help=say("cli.export.name"))],
    folder: Folder,
    book: BookUrl = "",
    quiet: Quiet = False,
) -> None:
    """Write a case of the book as a folder; consistent while others work in it."""
    from coreset.brief.case_status import only_here
    from coreset.cli.outputs import write_case
    from coreset.store.book import Book, book_url

    kept = Book(book or book_url())
    case = kept.open(name)
    renamed = write_case(case, folder)
    for old, new in renamed.items():
        typer.echo(say("cli.export.renamed", old=repr(old), new=new), err=True)
    if not quiet:
        typer.echo(say("cli.written", path=folder))
        typer.echo(only_here(case, kept.only_here(name)))


for command in (lift, lifts, approve, delays, readings, forget, backup, restore, verify, portfolio):
    about = f"cli.{command.__name__}"
    app.command(help=say(f"{about}.help"), epilog=say(f"{about}.epilog"))(command)
app.add_typer(database, name="database", help=say("cli.database.help"))
app.command(name="app", help=say("cli.app.help"), epilog=say("cli.app.epilog"))(pages)


@app.command(help=say("cli.version.help"), epilog=say("cli.version.epilog"))
def version() -> None:
    """Print the version."""
    from importlib import metadata

    typer.echo(f"coreset {metadata.version('coreset')}")
