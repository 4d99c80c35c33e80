"""A result as bytes, and back: numbers, texts, arrays and the program's own dataclasses; nothing in it can be run."""

from __future__ import annotations

import hashlib
import json
import math
from dataclasses import fields, is_dataclass
from functools import cached_property
from importlib import import_module
from io import BytesIO
from typing import Any

import numpy as np

OWN = "coreset."
"""Beginning of the modules whose dataclasses are read."""
ATOMS = (type(None), bool, int, float, str)
CONSTANTS = {"NaN": math.nan, "Infinity": math.inf, "-Infinity": -math.inf}
"""One object each, as in the rest of the program: tuples with the same NaN are equal."""
GROUPS: dict[str, Any] = {"tuple": tuple, "set": set, "frozenset": frozenset}


def _stored(kind: Any) -> list[str]:
    """Names of the fields that are written; one whose metadata has `stored` False has its default when read."""
    return [f.name for f in fields(kind) if f.metadata.get("stored", True)]


def _parts(kind: type) -> list[str]:
    """Names of the parts that are worked out when first asked for; one that was is written with the fields."""
    of_all = {name: part for each in reversed(kind.__mro__) for name, part in vars(each).items()}
    return [name for name, part in of_all.items() if isinstance(part, cached_property) and not name.startswith("_")]


def packed(value: Any) -> bytes:
    """The bytes of a value: a hash, the length of the tree, the tree as JSON, the arrays one after another.

    An object or array that stands in several places is written once and is one again when read.

    Raises
    ------
    TypeError
        If a part of it has another type.
    """
    writer = _Writer()
    tree = json.dumps({"root": writer.plain(value), "objects": writer.objects}).encode()
    stream = BytesIO()
    stream.write(len(tree).to_bytes(8, "big") + tree)
    for array in writer.arrays:
        np.save(stream, array, allow_pickle=False)
    body = stream.getvalue()
    return hashlib.sha256(body).digest() + body


class _Writer:
    """Objects and arrays that were met, each with its number; they are held so that no other one takes their place."""

    def __init__(self) -> None:
        self.objects: list[Any] = []
        self.arrays: list[Any] = []
        self._numbers: dict[int, int] = {}
        self._held: list[Any] = []

    def plain(self, value: Any) -> Any:
        """The value in terms of JSON; its objects before what refers to them."""
        if type(value) in ATOMS:
            return value
        if type(value) is list:
            return [self.plain(one) for one in value]
        if type(value) is dict:
            return {"dict": [[self.plain(key), self.plain(one)] for key, one in value.items()]}
        for name, kind in GROUPS.items():
            if type(value) is kind:
                return {name: [self.plain(one) for one in value]}
        if isinstance(value, np.generic) and value.dtype.kind in "biuf":
            return {"scalar": [value.dtype.str, value.item()]}
        if isinstance(value, np.ndarray):
            return {"array": self._number(value, self.arrays, lambda: value)}
        if is_dataclass(value) and type(value).__module__.startswith(OWN):
            return {"object": self._number(value, self.objects, lambda: self._fields(value))}
        raise TypeError(f"a result must be of numbers, texts, arrays and own dataclasses, got {type(value)}")

    def _fields(self, value: Any) -> list[Any]:
        kind, worked_out = type(value), getattr(value, "__dict__", {})
        names = [*_stored(kind), *(name for name in _parts(kind) if name in worked_out)]
        return [kind.__module__, kind.__qualname__, {name: self.plain(getattr(value, name)) for name in names}]

    def _number(self, value: Any, rows: list[Any], row: Any) -> int:
        if id(value) not in self._numbers:
            made = row()
            self._held.append(value)
            self._numbers[id(value)] = len(rows)
            rows.append(made)
        return self._numbers[id(value)]


def unpacked(data: bytes) -> Any:
    """The value that was packed.

    Raises
    ------
    ValueError
        If the bytes are not as they were written, or name what this version of the program does not have.
    """
    body = data[32:]
    if hashlib.sha256(body).digest() != data[:32]:
        raise ValueError("packed result must be as it was written, got other bytes")
    length = int.from_bytes(body[:8], "big")
    tree, stream = json.loads(body[8 : 8 + length], parse_constant=CONSTANTS.__getitem__), BytesIO(body)
    stream.seek(8 + length)
    arrays: list[Any] = []
    while stream.tell() < len(body):
        arrays.append(np.load(stream, allow_pickle=False))
    reader = _Reader(arrays)
    for module, name, values in tree["objects"]:
        reader.objects.append(reader.made(module, name, values))
    return reader.value(tree["root"])


class _Reader:
    """Objects and arrays that were read so far, by number."""

    def __init__(self, arrays: list[Any]) -> None:
        self.arrays = arrays
        self.objects: list[Any] = []

    def value(self, plain: Any) -> Any:
        """The value that stands for terms of JSON."""
        if isinstance(plain, list):
            return [self.value(one) for one in plain]
        if not isinstance(plain, dict):
            return plain
        ((kind, content),) = plain.items()
        if kind == "array":
            return self.arrays[content]
        if kind == "object":
            return self.objects[content]
        if kind == "dict":
            return {self.value(key): self.value(one) for key, one in content}
        if kind == "scalar":
            return np.dtype(content[0]).type(content[1])
        return GROUPS[kind](self.value(one) for one in content)

    def made(self, module: str, name: str, values: dict[str, Any]) -> Any:
        """A dataclass of this program with those values, as they were: nothing of it is run."""
        kind: Any = getattr(import_module(module), name, None) if module.startswith(OWN) else None
        known = isinstance(kind, type) and is_dataclass(kind)
        if not (known and set(_stored(kind)) <= set(values) <= {*_stored(kind), *_parts(kind)}):
            raise ValueError(f"packed result must be of this version, got {module}.{name}")
        made = object.__new__(kind)
        for field in fields(kind):
            if field.name in values:
                object.__setattr__(made, field.name, self.value(values[field.name]))
            else:
                object.__setattr__(made, field.name, field.default)
        for name in set(values).intersection(_parts(kind)):
            vars(made)[name] = self.value(values[name])
        return made
