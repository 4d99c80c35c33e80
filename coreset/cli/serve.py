"""`coreset app`: the case on the shelf, a free port, the server on this machine only."""

from __future__ import annotations

import os
import socket
from importlib.util import find_spec
from pathlib import Path
from typing import TYPE_CHECKING

import typer

from coreset.errors import CoresetError
from coreset.text import say

if TYPE_CHECKING:
    from coreset.web.sign_in.share import Share

LOOPBACK = "127.0.0.1"


def free_port(wanted: int) -> int:
    """The wanted port of this machine, or any free one for 0.

    Raises
    ------
    CoresetError
        If something else listens there.
    """
    with socket.socket(socket.AF_INET, socket.SOCK_STREAM) as probe:
        probe.setsockopt(socket.SOL_SOCKET, socket.SO_REUSEADDR, 1)
        try:
            probe.bind((LOOPBACK, wanted))
        except OSError as error:
            raise CoresetError(f"port must be free, got {wanted} in use: choose another with --port") from error
        return int(probe.getsockname()[1])


def serve_pages(
    folder: Path | None, *, port: int, book: str, videos: Path | None = None, share: Share | None = None
) -> None:
    """Serve the pages until stopped, opened on the case of that folder, or on the demo.

    A folder or a book that was named is opened before; else the first page opens the book, and says if it cannot.
    """
    from coreset.web import videos as films
    from coreset.web.server import serve

    if book:
        os.environ["CORESET_BOOK"] = book
    if videos:
        os.environ[films.VARIABLE] = str(videos.resolve())
    if folder or book:
        _opened(folder)
    found = free_port(port)
    url = f"http://{LOOPBACK}:{found}"
    typer.echo(say("cli.app.shared", url=url, origin=share.origin) if share else say("cli.app.open", url=url), err=True)
    serve(port=found, share=share)


def _opened(folder: Path | None) -> None:
    """Put the case of that folder, or the demo, into the book, and on the first page; tell where it is another one."""
    from coreset.cli.differences import told_apart
    from coreset.store.book import Book, book_url
    from coreset.web.session import CASE_VARIABLE
    from coreset.web.shelf import demo_folder, shelve

    book = Book(book_url())
    for line in told_apart(book, folder) if folder else ():
        typer.echo(line, err=True)
    os.environ[CASE_VARIABLE] = shelve(book, folder or demo_folder())


def shared(*, wanted: bool, sign_in: Path | None, roles: Path | None, host_name: str) -> Share | None:
    """How the pages are to be shared; None if they are not.

    Raises
    ------
    CoresetError
        If anything is missing for it, or is given without `--share`.
    """
    if not wanted and (sign_in or roles or host_name):
        raise CoresetError(say("door.start.alone"))
    if not wanted:
        return None
    from coreset.web.sign_in.share import share

    found = share(sign_in, roles, host_name)
    if find_spec("authlib") is None or find_spec("httpx") is None:
        raise CoresetError(say("door.start.library"))
    return found
