"""`coreset app` and its options; what serves is imported when it runs."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from coreset.cli.typed import EngineName, whole_option
from coreset.text import say


def pages(  # noqa: PLR0913 - options of a command
    folder: Annotated[Path | None, typer.Argument(help=say("cli.app.folder"))] = None,
    port: Annotated[
        int, whole_option(say("cli.app.port"), least=0, most=65535, envvar="CORESET_PORT", show_envvar=False)
    ] = 8501,
    book: Annotated[str, typer.Option("--book", help=say("cli.book"))] = "",
    videos: Annotated[
        Path | None, typer.Option(exists=True, file_okay=False, help=say("cli.app.videos"), show_default=False)
    ] = None,
    share: Annotated[bool, typer.Option("--share", help=say("cli.app.share"), envvar="CORESET_SHARE")] = False,
    sign_in: Annotated[
        Path | None, typer.Option(help=say("cli.app.sign_in"), envvar="CORESET_SIGN_IN", show_default=False)
    ] = None,
    roles: Annotated[
        Path | None, typer.Option(help=say("cli.app.roles"), envvar="CORESET_ROLES", show_default=False)
    ] = None,
    host_name: Annotated[
        str, typer.Option(help=say("cli.app.host_name"), envvar="CORESET_HOST_NAME", show_default=False)
    ] = "",
    listen: Annotated[str, typer.Option(help=say("cli.app.listen"), envvar="CORESET_LISTEN")] = "127.0.0.1",
    engine: EngineName = "",
    check: Annotated[bool, typer.Option("--check", help=say("cli.app.check"))] = False,
) -> None:
    """Serve the pages on this machine, or share them with those who sign in; or say whether that would work."""
    from coreset.cli.serve import check_start, serve_pages, settle, shared

    found = shared(wanted=share, sign_in=sign_in, roles=roles, host_name=host_name, listen=listen)
    settle(book=book, videos=videos, engine=engine)
    if check:
        check_start(port, listen=listen, share=found)
    else:
        serve_pages(folder, port=port, named=bool(folder or book), listen=listen, share=found)
