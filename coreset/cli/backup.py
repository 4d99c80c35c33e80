"""`coreset backup`, `restore`, `verify`, `forget` and `database upgrade`: what concerns the whole database."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from coreset.errors import BookError
from coreset.text import say

File = Annotated[Path, typer.Argument(help=say("cli.backup.file"))]
database = typer.Typer(no_args_is_help=True)
BookUrl = Annotated[str, typer.Option("--book", help=say("cli.book"))]
Quiet = Annotated[bool, typer.Option("--quiet", "-q", help=say("cli.quiet"))]


def backup(file: File, book: BookUrl = "", quiet: Quiet = False) -> None:
    """Write the whole database and every video as one ZIP, while people work in it."""
    from coreset.store.book import book_url
    from coreset.store.book.backup import backup as write
    from coreset.web import videos

    places = videos.folders()
    films = [path for name in videos.names(places) if (path := videos.find(name, places))]
    counts = write(_there(book or book_url()), file, films)
    if not quiet:
        typer.echo(say("cli.backup.done", path=file, **counts))


def _there(url: str) -> str:
    """The URL, if a file that it names is there: a wrong name would give an empty backup."""
    from sqlalchemy import make_url

    from coreset.store.book.engine import sqlite_file

    path = sqlite_file(make_url(url))
    if path and not path.exists():
        raise BookError(f"database must be there, got no file {path}")
    return url


def restore(
    file: File,
    replace: Annotated[bool, typer.Option("--replace", help=say("cli.restore.replace"))] = False,
    book: BookUrl = "",
    quiet: Quiet = False,
) -> None:
    """Put a backup into an empty database: all of it or nothing."""
    from coreset.store.book import book_url
    from coreset.store.book.restore import restore as put_back
    from coreset.web import videos

    before = put_back(file, book or book_url(), videos.upload_folder(), replace=replace)
    if not quiet:
        typer.echo(say("cli.restore.done", path=file))
        if before:
            typer.echo(say("cli.restore.before", path=before))


def verify(
    file: Annotated[Path | None, typer.Argument(help=say("cli.verify.file"), show_default=False)] = None,
    since: Annotated[Path | None, typer.Option("--since", help=say("cli.verify.since"), show_default=False)] = None,
    book: BookUrl = "",
    quiet: Quiet = False,
) -> None:
    """Examine a backup, or the database where none is named."""
    from coreset.store.book import book_url
    from coreset.store.book.verify import verify_file, verify_store

    if file and since:
        raise BookError("--since must be given for a database, got it for a backup")
    if file:
        verify_file(file)
    elif wrong := verify_store(_there(book or book_url()), since):
        raise BookError("database must hold together, got:\n" + "\n".join(wrong))
    if not quiet:
        typer.echo(say("cli.verify.fine", path=file or say("cli.verify.database")))


@database.command(name="upgrade", help=say("cli.upgrade.help"), epilog=say("cli.upgrade.epilog"))
def upgrade(
    file: Annotated[Path, typer.Argument(help=say("cli.upgrade.file"))], book: BookUrl = "", quiet: Quiet = False
) -> None:
    """Upgrade the tables of an older coreset, after a backup."""
    from coreset.store.book import book_url
    from coreset.store.book.upgrade import upgrade as bring_forward

    before, now = bring_forward(_there(book or book_url()), file)
    if not quiet:
        done = "done" if before < now else "none"
        typer.echo(say(f"cli.upgrade.{done}", before=before, now=now, path=file))


def forget(
    code: Annotated[str, typer.Argument(help=say("cli.forget.code"))], book: BookUrl = "", quiet: Quiet = False
) -> None:
    """Delete a person's code across the book."""
    from coreset.engine import stored
    from coreset.store.book import Book, book_url

    count = Book(book or book_url()).forget(code)
    stored.clear()
    if not quiet:
        typer.echo(say("cli.forget.done", count=count) if count else say("cli.forget.none"))
