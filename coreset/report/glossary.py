"""Words of the trade with their meaning, and the help of each field: a sentence, a link to its word, its column."""

from __future__ import annotations

from dataclasses import dataclass

from coreset.text import catalogue, message, say

GLOSSARY, TERMS, SYMBOLS, TITLES = "glossary.", "terms.", "symbols.", "symbols.title."
PAGE = "/guide"
OTHER = "_"


@dataclass(frozen=True, slots=True, kw_only=True)
class Word:
    """A word, its meaning, the anchor where it stands, its symbol and unit where it has any."""

    word: str
    meaning: str
    anchor: str
    symbol: str = ""
    unit: str = ""


def glossary(search: str = "") -> tuple[Word, ...]:
    """Words of the trade with their meaning, those that match, from A to Z."""
    wanted = search.lower().split()
    found = [word_of(key.removeprefix(GLOSSARY)) for key in catalogue() if key.startswith(GLOSSARY)]
    found = [one for one in found if all(part in f"{one.word} {one.symbol} {one.meaning}".lower() for part in wanted)]
    return tuple(sorted(found, key=lambda one: one.word.lower()))


def word_of(entry: str) -> Word:
    """One word of the glossary by its entry."""
    name = entry.replace("_", " ")
    symbol, _, unit = catalogue().get(f"{SYMBOLS}{entry}", "").partition("|")
    return Word(
        word=catalogue().get(f"{TITLES}{entry}") or message(name[:1].upper() + name[1:]),
        meaning=say(f"{GLOSSARY}{entry}"),
        anchor=entry.replace("_", "-"),
        symbol=symbol.strip(),
        unit=unit.strip(),
    )


def word_help(entry: str, sentence: str = "") -> str:
    """What a field is about, in a sentence, and a link to its word; in the markup that tooltips know."""
    found = word_of(entry)
    return say("front.help", sentence=sentence or found.meaning, word=found.word, link=f"{PAGE}#{found.anchor}")


def field_help(owner: str, name: str, column: str) -> str:
    """Help of a field of the case: a sentence, a link to its word, and how files call it.

    Parameters
    ----------
    owner : str
        Kind of value, as the dataclass is called.
    name, column : str
        Field, and its column or key in the files.
    """
    entry, sentence = term(owner, name)
    return say("front.field_help", help=word_help(entry, sentence), column=column)


def term(owner: str, name: str) -> tuple[str, str]:
    """Entry of the glossary for a field, and a sentence of the field's own if it has one."""
    texts = catalogue()
    said = texts.get(f"{TERMS}{owner}.{name}") or texts[f"{TERMS}{owner}.{OTHER}"]
    entry, _, sentence = said.partition(": ")
    return entry, sentence
