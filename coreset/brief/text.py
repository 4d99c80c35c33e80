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


@cache
def catalogue(language: str = LANGUAGE) -> dict[str, str]:
    """All texts of one language by key: `<file>.<table>.<name>` of coreset/brief/text/<language>/*.toml."""
    folder = files("coreset.brief") / "text" / language
    texts: dict[str, str] = {}
    for item in sorted(folder.iterdir(), key=lambda entry: entry.name):
        if item.name.endswith(".toml"):
            texts |= _flat(tomllib.loads(item.read_text(encoding="utf-8")), f"{item.name.removesuffix('.toml')}.")
    return texts


def say(key: str, /, **values: Any) -> str:
    """The text of that key with its blanks filled in.

    Examples
    --------
    >>> say("common.not_known")
    'not known'
    """
    texts = catalogue()
    if key not in texts:
        raise CoresetError(f"text must have a key in the catalogue, got {key!r}")
    return texts[key].format(**values)
