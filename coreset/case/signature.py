"""What a signature covers: a hash of a study's content, written behind the code and the time of the signature."""

from __future__ import annotations

import dataclasses
import hashlib
import json
import math
from collections.abc import Iterable
from typing import Any, Literal

from coreset.case.study import Readings, Study

MARK = " sha256:"
"""Between the time of a signature and the hash of what was signed."""
REGISTER = {"status", "effective", "superseded_by", "status_reason", "restudy"}
"""Fields of a study's place in the register: a signed study can be superseded or withdrawn."""
LEFT_OUT = {"study", "signed", *REGISTER}
"""Fields that a signature does not cover: an export may have to rename a study, the signature itself, the register."""


def content_hash(study: Study) -> str:
    """SHA-256 of the content of a study, corrections and readings included.

    Parameters
    ----------
    study : Study

    Returns
    -------
    str
        Hexadecimal. Fields that have their default are left out, so that a field that a later version adds does not
        change it; a whole number and the same number with a decimal point are one.

    Examples
    --------
    >>> from coreset.case import Element
    >>> one = Study(study="S1", method="manual", pattern="P1", observer="OB7", operator="OP3", timing="snapback",
    ...             elements=(Element(name="set"),))
    >>> content_hash(one) == content_hash(dataclasses.replace(one, study="S2"))
    True
    >>> content_hash(one) == content_hash(dataclasses.replace(one, crew=2.0))
    False
    """
    text = json.dumps(_plain(study, LEFT_OUT), sort_keys=True, ensure_ascii=True, allow_nan=False)
    return hashlib.sha256(text.encode()).hexdigest()


def _plain(value: Any, left_out: Iterable[str] = ()) -> Any:
    if isinstance(value, Readings):
        return [_plain(column) for column in dataclasses.astuple(value)]
    if dataclasses.is_dataclass(value):
        fields = [field for field in dataclasses.fields(value) if field.name not in left_out]
        stated = {field.name: getattr(value, field.name) for field in fields}
        return {f.name: _plain(stated[f.name]) for f in fields if f.default != stated[f.name] and stated[f.name] != ()}
    if isinstance(value, tuple | list):
        return [_plain(one) for one in value]
    if isinstance(value, int | float) and not isinstance(value, bool):
        return None if math.isnan(value) else float(value) + 0.0  # no negative zero
    return value


def signed_content(signed: str) -> str | None:
    """Hash of what was signed, as the signature states it; None if it states none.

    Examples
    --------
    >>> signed_content("AP1 2026-11-25T10:00 sha256:0a1b"), signed_content("AP1 2026-11-25T10:00")
    ('0a1b', None)
    """
    return signed.partition(MARK)[2] if MARK in signed else None


def signer(signed: str) -> str:
    """Code and time of a signature, without the hash."""
    return signed.partition(MARK)[0]


def signature_state(study: Study) -> Literal["none", "valid", "broken", "unproven"]:
    """Whether the content of a study is what was signed.

    Returns
    -------
    str
        `none`: not signed; `valid`; `broken`: the content is another one; `unproven`: signed before version 0.3, or
        outside the program, without a hash.
    """
    if not study.signed:
        return "none"
    stated = signed_content(study.signed)
    if stated is None:
        return "unproven"
    return "valid" if stated == content_hash(study) else "broken"
