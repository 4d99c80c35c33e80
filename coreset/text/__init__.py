"""Every sentence and label, by key, in one place for each language; nothing else holds words that users read."""

from __future__ import annotations

import tomllib
from functools import cache
from importlib.resources import files
from typing import Any

from coreset.errors import CoresetError

LANGUAGE = "en"


def _flat(tree: dict[str, Any], prefix: str = "") -> dict[str, str]:
    found: dict[str, str] = {}
    for name, value in tree.items():
        found |= _flat(value, f"{prefix}{name}.") if isinstance(value, dict) else {f"{prefix}{name}": value}
    return found


def _folder(language: str) -> Any:
    return files("coreset.text") / language


@cache
def _of(name: str, language: str) -> dict[str, str]:
    """Texts of one file by key; none if there is no such file. A command that says little reads little."""
    file = _folder(language) / f"{name}.toml"
    return _flat(tomllib.loads(file.read_text(encoding="utf-8")), f"{name}.") if file.is_file() else {}


@cache
def catalogue(language: str = LANGUAGE) -> dict[str, str]:
    """All texts of one language by key: `<file>.<table>.<name>` of coreset/text/<language>/*.toml."""
    names = sorted(entry.name for entry in _folder(language).iterdir())
    texts: dict[str, str] = {}
    for name in names:
        texts |= _of(name.removesuffix(".toml"), language) if name.endswith(".toml") else {}
    return texts


def say(key: str, /, **values: Any) -> str:
    """The text of that key with its blanks filled in.

    Examples
    --------
    >>> say("common.not_known")
    'not known'
    """
    texts = _of(key.partition(".")[0], LANGUAGE)
    if key not in texts:
        raise CoresetError(f"text must have a key in the catalogue, got {key!r}")
    return texts[key].format(**values)
