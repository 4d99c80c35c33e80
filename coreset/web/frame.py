"""The frame of the pages: the browser's part of the framework, each file sent in one piece. ASGI middleware.

The framework sends each of its files in small pieces from a thread. Opening a page asks for seventy of them, one after
another, so they are sent here at once: only GET, only files that were there at the start, by their exact address.
"""

from __future__ import annotations

import mimetypes

from starlette.responses import Response
from starlette.types import ASGIApp, Receive, Scope, Send

from coreset.web.framework import static_folder

KEPT = "public, immutable, max-age=31536000"
"""A name holds the digest of its content, so a browser may keep the file for good: as the framework says as well."""


class Frame:
    """Answer for the files of the frame; pass on all else."""

    def __init__(self, app: ASGIApp) -> None:
        self.app = app
        root = static_folder()
        self._files = {f"/{file.relative_to(root).as_posix()}": file for file in root.joinpath("static").rglob("*.*")}

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Send the file that the address names, or pass on."""
        file = self._files.get(scope["path"]) if scope["type"] == "http" and scope["method"] == "GET" else None
        if file is None:
            await self.app(scope, receive, send)
            return
        kind = mimetypes.guess_type(file.name)[0] or "application/octet-stream"
        await Response(file.read_bytes(), media_type=kind, headers={"Cache-Control": KEPT})(scope, receive, send)
