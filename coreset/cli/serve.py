"""`coreset app`: the case on the shelf, a free port, the server on this machine only."""

from __future__ import annotations

import os
import socket
from pathlib import Path

import typer

from coreset.brief.text import say
from coreset.errors import CoresetError

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


def serve_pages(folder: Path | None, *, port: int, book: str, videos: Path | None = None) -> None:
    """Serve the pages until stopped, opened on the case of that folder, or on the demo."""
    from coreset.book import Book, book_url
    from coreset.pages.clock import films
    from coreset.pages.server import serve
    from coreset.pages.session import CASE_VARIABLE
    from coreset.pages.shelf import demo_folder, shelve

    if book:
        os.environ["CORESET_BOOK"] = book
    if videos:
        os.environ[films.VARIABLE] = str(videos.resolve())
    os.environ[CASE_VARIABLE] = shelve(Book(book_url()), folder or demo_folder())
    found = free_port(port)
    typer.echo(say("cli.app.open", url=f"http://{LOOPBACK}:{found}"), err=True)
    serve(port=found)
