"""The route that takes presses: checked, stored once, acknowledged by study, device and sequence."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError
from starlette.concurrency import run_in_threadpool
from starlette.requests import Request
from starlette.responses import JSONResponse
from starlette.routing import Route

from coreset.errors import BookError
from coreset.store.book import Book
from coreset.store.book.presses import KINDS, Press
from coreset.store.folder.disk import ODD
from coreset.text import say
from coreset.web.guard import PERSON, PERSON_CODE, refusal
from coreset.web.sign_in.people import OBSERVE

DAY_S = 86_400.0
"""Longest session: one day. [s]"""
YEAR_2020_MS, YEAR_2100_MS = 1_577_836_800_000, 4_102_444_800_000
CODE = r"^[A-Za-z0-9_.-]{4,64}$"
BATCH = 500
"""Presses in one request at most."""


def printable(text: str) -> str:
    """The text, if every store and every output of a case can carry it."""
    if ODD.search(text):
        raise ValueError("printable text")
    return text


Printable = Annotated[str, AfterValidator(printable)]


class SentPress(BaseModel):
    """One press as a browser sends it; what cannot be is refused here."""

    model_config = ConfigDict(extra="forbid", strict=True)

    seq: Annotated[int, Field(ge=1, le=1_000_000)]
    kind: Literal[KINDS]
    clock_s: Annotated[float, Field(ge=0, le=DAY_S, allow_inf_nan=False)]
    wall_ms: Annotated[float, Field(ge=YEAR_2020_MS, le=YEAR_2100_MS, allow_inf_nan=False)]
    cycle: Annotated[int, Field(ge=0, le=100_000)] = 0
    element: Annotated[Printable, Field(max_length=200)] = ""
    rating: Annotated[float, Field(ge=10, le=300, allow_inf_nan=False)] | None = None
    target: Annotated[int, Field(ge=1, le=1_000_000)] | None = None
    note: Annotated[Printable, Field(max_length=1000)] = ""


class Sent(BaseModel):
    """Presses of one device on one study."""

    model_config = ConfigDict(extra="forbid", strict=True)

    case: Annotated[Printable, Field(min_length=1, max_length=80)]
    study: Annotated[Printable, Field(min_length=1, max_length=80)]
    device: Annotated[str, Field(pattern=CODE)]
    presses: Annotated[list[SentPress], Field(min_length=1, max_length=BATCH)]


def routes(book: Book) -> Sequence[Route]:
    """Routes that write into that book and nowhere else."""

    async def take(request: Request) -> JSONResponse:
        if request.headers.get("content-type", "").partition(";")[0].strip().lower() != "application/json":
            return refusal(415, "content_type")
        try:
            sent = Sent.model_validate_json(await request.body())
        except ValidationError as error:
            return refusal(422, "form", **_first_fault(error))
        person = request.scope.get(PERSON)
        if person and not person.may(OBSERVE, await run_in_threadpool(book.plant, sent.case)):
            return refusal(403, "plant", code=person.code, case=sent.case)
        return await run_in_threadpool(_store, book, sent, request.scope.get(PERSON_CODE, ""))

    return [Route("/api/presses", take, methods=["POST"])]


def _store(book: Book, sent: Sent, code: str) -> JSONResponse:
    presses = [Press(**press.model_dump()) for press in sent.presses]
    try:
        if code:
            begins = any(press.kind == "start" for press in presses)
            starter = code if begins else book.starter(sent.case, sent.study, sent.device)
            presses = [_by(press, code, starter) for press in presses]
        return _stored(book, sent, presses)
    except BookError as error:
        return refusal(503, "book", error=str(error))


def _stored(book: Book, sent: Sent, presses: Sequence[Press]) -> JSONResponse:
    """Take the presses; those for a study that is signed or was removed are held apart, which is asked only then."""
    try:
        return JSONResponse({"stored": book.take(sent.case, sent.study, sent.device, presses)})
    except BookError:
        signed = book.signed(sent.case, sent.study)
        if not signed and book.has_study(sent.case, sent.study):
            raise
    if not book.take_late(sent.case, sent.study, sent.device, presses):
        return refusal(404, "study", case=sent.case, study=sent.study)
    words = say("timing.late" if signed else "timing.late_removed", study=sent.study, signed=signed)
    return JSONResponse({"stored": [press.seq for press in presses], "apart": words})


def _by(press: Press, code: str, starter: str) -> Press:
    """A press under the code of who signed in, whatever the browser says.

    The start names who began; another press names its person where that is somebody else.
    """
    if press.kind == "start":
        return replace(press, note=f"{press.note.partition(' ')[0]} {code}")
    return press if code == starter else replace(press, note="; ".join(filter(None, (press.note, f"by {code}"))))


def _first_fault(error: ValidationError) -> dict[str, Any]:
    first = error.errors(include_url=False, include_input=True)[0]
    found = repr(first.get("input"))
    return {"place": ".".join(map(str, first["loc"])) or "body", "expected": first["msg"], "found": found[:80]}
