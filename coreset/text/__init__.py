"""What users read, in the language of the person who reads it; a language is a folder.

Sentences and labels stand by key in `<language>/*.toml`. Refusals and the meanings of inputs are written in English
where they belong and become another language only when they are shown: so they may be raised in one process, kept, and
read by two people. `messages.toml` of a language has them by that English, with `{0}`, `{1}` for what is filled in.
"""

from __future__ import annotations

import os
import re
import tomllib
from collections.abc import Callable
from functools import cache
from importlib.resources import files
from typing import Any

ENGLISH = "en"
LANGUAGE_VARIABLE = "CORESET_LANGUAGE"
"""Language of the command, and of pages where the browser wants none that is there."""
BLANK = re.compile(r"\{\d+\}")
LINK = re.compile(r"\{0\}\W*\w{1,3}\W*\{1\}")
"""A message that only joins two figures: as a pattern it would be found in what a plant wrote."""
_wanted: list[Callable[[], str]] = []
"""Who tells the language that the person at the screen wants; the last one is asked."""


def _flat(tree: dict[str, Any], prefix: str = "") -> dict[str, str]:
    found: dict[str, str] = {}
    for name, value in tree.items():
        found |= _flat(value, f"{prefix}{name}.") if isinstance(value, dict) else {f"{prefix}{name}": value}
    return found


def _folders() -> Any:
    return files("coreset.text")


def _folder(language: str) -> Any:
    return _folders() / language


def _read(name: str, language: str) -> dict[str, Any]:
    file = _folder(language) / f"{name}.toml"
    return tomllib.loads(file.read_text(encoding="utf-8")) if file.is_file() else {}


@cache
def _of(name: str, language: str) -> dict[str, str]:
    """Texts of one file by key; none if there is no such file. A command that says little reads little."""
    return _flat(_read(name, language), f"{name}.")


@cache
def _messages(language: str) -> dict[str, str]:
    """Refusals and meanings of inputs of one language, by their English."""
    return _read("messages", language)


@cache
def languages() -> tuple[str, ...]:
    """Languages that have a folder, in order."""
    return tuple(sorted(one.name for one in _folders().iterdir() if one.is_dir() and (one / "common.toml").is_file()))


def ask(wanted: Callable[[], str]) -> None:
    """Let `wanted` tell the language of the person at the screen, such as "de" or "de-AT"; empty is none."""
    _wanted[:] = [wanted]


def language() -> str:
    """The language of the person at the screen where it has a folder, else that of the environment, else English."""
    known = languages()
    for asked in (*(wanted() for wanted in _wanted), os.environ.get(LANGUAGE_VARIABLE, "")):
        if (found := asked.partition("-")[0].lower()) in known:
            return found
    return ENGLISH


@cache
def _all_texts(language: str) -> dict[str, str]:
    names = sorted(entry.name.removesuffix(".toml") for entry in _folder(ENGLISH).iterdir() if ".toml" in entry.name)
    return {key: text for name in names for key, text in _of(name, language).items()}


def catalogue() -> dict[str, str]:
    """All texts of the person's language by key: `<file>.<table>.<name>` of coreset/text/<language>/*.toml."""
    return _all_texts(ENGLISH if len(languages()) == 1 else language())


def say(key: str, /, **values: Any) -> str:
    """The text of that key with its blanks filled in.

    Examples
    --------
    >>> say("common.not_known")
    'not known'
    """
    texts = _of(key.partition(".")[0], ENGLISH if len(languages()) == 1 else language())
    if key not in texts:
        raise ValueError(f"text must have a key in the catalogue, got {key!r}")
    return texts[key].format(**values)


@cache
def _patterns(language: str) -> tuple[tuple[re.Pattern[str], str], ...]:
    """Refusals that have blanks, as patterns of what is said, the ones of most words first."""
    known = [key for key in _messages(language) if BLANK.search(key) and not LINK.fullmatch(key)]
    keys = sorted(known, key=lambda key: -len(BLANK.sub("", key)))
    said = (re.compile("(.*)".join(map(re.escape, BLANK.split(key))), re.S) for key in keys)
    return tuple(zip(said, (_messages(language)[key] for key in keys), strict=True))


def message(english: str) -> str:
    """A refusal or the meaning of an input, which is written in English, in the language of the person who reads it.

    Examples
    --------
    >>> message("name of the step")
    'name of the step'
    """
    if len(languages()) == 1 or (chosen := language()) == ENGLISH:
        return english
    if (known := _messages(chosen).get(english)) is not None:
        return known
    for pattern, text in _patterns(chosen):
        if found := pattern.fullmatch(english):
            return text.format(*map(message, found.groups()))
    return english
