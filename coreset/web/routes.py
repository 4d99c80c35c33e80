"""The route that takes presses: checked, stored once, acknowledged by study, device and sequence."""

from __future__ import annotations

from collections.abc import Sequence
from typing import Annotated, Any, Literal

from pydantic import AfterValidator, BaseModel, ConfigDict, Field, ValidationError
from starlette.requests import Request
from starlette.responses import JSONResponse
from starlette.routing import Route

from coreset.store.book import Book
from coreset.store.book.presses import KINDS, Press
from coreset.store.folder.disk import ODD
from coreset.web.guard import PERSON, PERSON_CODE, refusal
from coreset.web.taking import Sending, Taker

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
    taker = Taker(book)

    async def take(request: Request) -> JSONResponse:
        if request.headers.get("content-type", "").partition(";")[0].strip().lower() != "application/json":
            return refusal(415, "content_type")
        try:
            sent = Sent.model_validate_json(await request.body())
        except ValidationError as error:
            return refusal(422, "form", **_first_fault(error))
        found = await taker.take(
            Sending(
                case=sent.case,
                study=sent.study,
                device=sent.device,
                presses=[Press(**press.model_dump()) for press in sent.presses],
                person=request.scope.get(PERSON),
                code=request.scope.get(PERSON_CODE, ""),
            )
        )
        return refusal(found.status, found.key, **found.body) if found.key else JSONResponse(found.body)

    return [Route("/api/presses", take, methods=["POST"])]


def _first_fault(error: ValidationError) -> dict[str, Any]:
    first = error.errors(include_url=False, include_input=True)[0]
    found = repr(first.get("input"))
    return {"place": ".".join(map(str, first["loc"])) or "body", "expected": first["msg"], "found": found[:80]}
