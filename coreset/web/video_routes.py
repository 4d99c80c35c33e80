"""Routes for videos: played in ranges, kept from an upload, named with size and hash."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict
from pathlib import Path

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route

from coreset.errors import BookError, OutOfRange
from coreset.store.book import Book
from coreset.web import videos
from coreset.web.guard import PERSON, refusal
from coreset.web.sign_in.people import EDIT
from coreset.web.video_plants import assign, may_see


def routes(book: Book) -> Sequence[Route]:
    """Play, upload and describe a video; nothing outside the folders of videos is read or written.

    Where people have roles at plants, a video of another plant is as none.
    """

    def found(request: Request) -> Path | None:
        name = request.path_params["name"]
        return videos.find(name, videos.folders()) if may_see(request.scope.get(PERSON), name, book) else None

    async def play(request: Request) -> Response:
        """The file, or the range of it that was asked for."""
        path = await run_in_threadpool(found, request)
        return refusal(404, "video") if path is None else FileResponse(path)

    async def describe(request: Request) -> Response:
        """Name, size and hash."""
        path = await run_in_threadpool(found, request)
        if path is None:
            return refusal(404, "video")
        return JSONResponse(asdict(await run_in_threadpool(videos.measured, path)))

    async def upload(request: Request) -> Response:
        """Keep a video that a browser sends from a case, for the plant of that case."""
        if not request.headers.get("content-type", "").startswith("video/"):
            return refusal(415, "content_type_video")
        name, case, person = (
            request.path_params["name"],
            request.query_params.get("case", ""),
            request.scope.get(PERSON),
        )
        plant = await run_in_threadpool(book.plant, case) or ""
        if person and not person.may(EDIT, plant):
            return refusal(403, "plant", code=person.code, case=case)
        try:
            film = await videos.keep(name, request.stream(), videos.upload_folder())
            await run_in_threadpool(assign, book, name, plant)
        except OutOfRange as error:
            return refusal(422, "upload", error=str(error))
        except BookError as error:  # it stays, for those with a role at every plant
            return refusal(503, "book", error=str(error))
        return JSONResponse(asdict(film), status_code=201)

    return [
        Route("/api/video/{name}", play, methods=["GET"]),
        Route("/api/video/{name}", upload, methods=["PUT"]),
        Route("/api/film/{name}", describe, methods=["GET"]),
    ]
