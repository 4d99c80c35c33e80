"""`coreset app`: the case on the shelf, a free port, the server on this machine only."""

from __future__ import annotations

import errno
import os
import socket
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from coreset.errors import CoresetError
from coreset.text import say
from coreset.web.sign_in.share import loopback

if TYPE_CHECKING:
    from coreset.web.sign_in.share import Share

LOOPBACK = "127.0.0.1"


def free_port(wanted: int, listen: str = LOOPBACK) -> int:
    """The wanted port of an address of this machine, or any free one for 0.

    Raises
    ------
    CoresetError
        If something else listens there, or the address is none of this machine.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((listen, wanted))
        except OSError as error:
            if isinstance(error, socket.gaierror) or error.errno == errno.EADDRNOTAVAIL:
                raise CoresetError(f"--listen must be an address of this machine, got {listen[:80]!r}") from error
            raise CoresetError(f"port must be free, got {wanted} in use: choose another with --port") from error
        return int(probe.getsockname()[1])


def settle(*, book: str, videos: Path | None, engine: str) -> None:
    """Let the pages find the database, the folder of videos and who calculates, as they were named.

    Parameters
    ----------
    book : str
        The database; as it was if empty.
    videos : Path or None
        Folder of videos.
    engine : str
        Who calculates, see `Engine`.

    Raises
    ------
    CoresetError
        If the engine is neither a number of processes nor an address.
    """
    from coreset.engine.engine import HERE, VARIABLE, Engine
    from coreset.store.book import where
    from coreset.web import videos as films

    if engine != HERE:
        Engine(engine)
    if engine:
        os.environ[VARIABLE] = engine
    if book:
        os.environ[where.VARIABLE] = book
    if videos:
        os.environ[films.VARIABLE] = str(videos.resolve())


def serve_pages(
    folder: Path | None, *, port: int, named: bool, listen: str = LOOPBACK, share: Share | None = None
) -> None:
    """Serve the pages until stopped, opened on the case of that folder, or on the demo.

    Where a folder or a database was named it is opened before; else the first page opens it, and says if it cannot.

    Parameters
    ----------
    folder : Path or None
        Case that the pages open on.
    port : int
        Port; any free one for 0.
    named : bool
        Whether a folder or a database was named.
    listen : str
        Address that the server listens on.
    share : Share, optional
        How the pages are shared; on this machine alone if left out.
    """
    from coreset.web.server import serve

    if named:
        _opened(folder)
    found = free_port(port, listen)
    if share is None:  # else the log says it: every line of a service's is for a program
        typer.echo(say("cli.app.open", url=f"http://{listen}:{found}"), err=True)
    serve(port=found, listen=listen, share=share)


def check_start(port: int, *, listen: str, share: Share | None) -> None:
    """Say that the server could start now: the port is free, the database takes changes, the disks take a block.

    Who calculates is tried where the environment or an option names it.

    Parameters
    ----------
    port : int
        Port that must be free.
    listen : str
        Address that the server would listen on.
    share : Share or None
        How the pages would be shared.

    Raises
    ------
    CoresetError
        With everything that is wrong; secrets are not repeated.
    """
    from sqlalchemy import make_url

    from coreset.store.book import book_url
    from coreset.web import log, metrics, opened
    from coreset.web.calculation import own_engine
    from coreset.web.health import checks

    wrong = []
    own = (lambda: free_port(port, listen), lambda: free_port(metrics.port()), lambda: log.level_named("info"))
    for check in (*own, *checks().values()):
        try:
            check()
        except (CoresetError, OSError) as error:
            wrong.append(str(error))
    opened.close()
    if (engine := own_engine()) is not None:
        engine.close()
    if wrong:
        raise CoresetError("\n".join(wrong))
    url = make_url(book_url()).render_as_string(hide_password=True)
    origin = share.origin if share else say("cli.app.alone")
    typer.echo(say("cli.app.checked", url=url, listen=f"{listen}:{port}", origin=origin))


def _opened(folder: Path | None) -> None:
    """Put the case of that folder into the book and on the first page; tell where the book has another of its name."""
    from coreset.cli.differences import told_apart
    from coreset.store.book import Book, book_url
    from coreset.web.session import CASE_VARIABLE
    from coreset.web.shelf import shelve

    if folder is None:
        return
    book = Book(book_url())
    for line in told_apart(book, folder):
        typer.echo(line, err=True)
    os.environ[CASE_VARIABLE] = shelve(book, folder)


def shared(
    *, wanted: bool, sign_in: Path | None, roles: Path | None, host_name: str, listen: str = LOOPBACK
) -> Share | None:
    """How the pages are to be shared; None if they are not.

    Parameters
    ----------
    wanted : bool
        Whether `--share` was given.
    sign_in, roles : Path or None
        Files of the sign-in, and of people and their roles.
    host_name : str
        Host name under which the pages are reached.
    listen : str
        Address that the server listens on.

    Raises
    ------
    CoresetError
        If anything is missing for it, or is given without `--share`, an address beyond this machine among them.
    """
    if not wanted and (sign_in or roles or host_name):
        raise CoresetError(say("door.start.alone"))
    if not wanted and not loopback(listen):
        raise CoresetError(say("door.start.listen", listen=listen[:80]))
    if not wanted:
        return None
    from coreset.web.sign_in.share import share

    found = share(sign_in, roles, host_name)
    if find_spec("authlib") is None or find_spec("httpx") is None:
        raise CoresetError(say("door.start.library"))
    return found
