"""Routes for videos: played in ranges, kept from an upload, named with size and hash."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import asdict

from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import FileResponse, JSONResponse, Response
from starlette.routing import Route

from coreset.errors import OutOfRange
from coreset.web import videos
from coreset.web.guard import refusal


def routes() -> Sequence[Route]:
    """Play, upload and describe a video; nothing outside the folders of videos is read or written."""
    return [
        Route("/api/video/{name}", play, methods=["GET"]),
        Route("/api/video/{name}", upload, methods=["PUT"]),
        Route("/api/film/{name}", describe, methods=["GET"]),
    ]


async def play(request: Request) -> Response:
    """The file, or the range of it that was asked for."""
    path = videos.find(request.path_params["name"], videos.folders())
    return refusal(404, "video") if path is None else FileResponse(path)


async def describe(request: Request) -> Response:
    """Name, size and hash."""
    path = videos.find(request.path_params["name"], videos.folders())
    if path is None:
        return refusal(404, "video")
    return JSONResponse(asdict(await run_in_threadpool(videos.measured, path)))


async def upload(request: Request) -> Response:
    """Keep a video that a browser sends."""
    if not request.headers.get("content-type", "").startswith("video/"):
        return refusal(415, "content_type_video")
    try:
        film = await videos.keep(request.path_params["name"], request.stream(), videos.upload_folder())
    except OutOfRange as error:
        return refusal(422, "upload", error=str(error))
    return JSONResponse(asdict(film), status_code=201)
