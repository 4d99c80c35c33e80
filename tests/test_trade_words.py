"""Words that users meet are those of the trade: private words stand in no text, label or help."""

import dataclasses
import re

import coreset.case as values
from coreset.text import catalogue

PRIVATE = {
    r"\breckon\w*": "calculate",
    r"\bsittings?\b": "session",
    r"\bstr(ike|uck)\b": "undo",
    r"\bwho says so\b": "source",
    r"\bforetell\w*|\bforetold\b": "predict",
    r"\bmend\w*": "improve",
    r"\btake along\b": "download",
    r"\bas today\b": "current method",
    r"\b(in|into|of) the book\b(?! by)": "the database",
    r"\bnothing was kept\b": "not saved",
    r"\bwhat binds\b": "main driver",
    r"\bdraws? (of|behind|with seed)\b|\bthe draws\b": "simulation runs",
    r"\bvapours?\b|\blabour\b|levelling|neighbour|metres?\b|\bcentre\b|mechanised|colours?\b": "US spelling",
    r"\bscatter\w*|\bspread (of|not|entered)\b": "variation",
    r"\bbinds\b|\bbinding\b(?! quote)": "main driver, limiting factor",
    r"\bcumulated\b|\badded up\b": "cumulative",
    r"\bquantiles?\b": "percentile",
    r"\bbegun\b|\bstart it\b": "created",
    r"\bhollow\b": "open mark",
    r"\banew\b": "again",
    r"\bset aside\b|\blooks? odd\b|\bodd readings\b": "excluded, possible outlier",
    r"\bpressed\b": "tapped",
    r"\btold apart\b": "difference not proven",
    r"\bmoney (is|does not come) back\b": "paid back",
    r"\bis worth\b|\bworth (of|up to|nothing|less|more|its)\b|\bbe worth\b": "value, net present value",
    r"\blikely (to be|under|above)\b": "chance of",
    r"\ball together\b": "net",
    r"\btries broken\b|\bfailed try\b": "aborted attempts",
    r"\bas (it|they) stands?\b": "as it is",
    r"\b(molds?|lifts?|cores?|pieces|cycles|efforts|made|hours|cost) an? (hour|year|mold|shift|minute|run)\b": "per",
    r"\bs a (mold|core)\b": "per",
    r"\bnothing (should|may) be lifted\b": "no weight is acceptable",
    r"\bsafe\b|\bsafely\b|\bharmless\b|\brisk[- ]free\b": "the status as the manual words it",
    r"\bremov\w+ (the|any|all) \w* ?risk\b|\b(the|lifting) risk [\w ]*\bremoved\b": "the index, and its limit",
}
"""Pattern of each private word, and what the trade says."""
GLOSSARY_KEYS = "terms."
"""The values of this file are keys of the glossary, with a sentence of help after a colon where there is one."""


def labels():
    """Meaning of every field of a case, by class and field."""
    for kind in vars(values).values():
        if dataclasses.is_dataclass(kind):
            for field in dataclasses.fields(kind):
                yield f"{kind.__name__}.{field.name}", field.metadata.get("meaning", "")


def shown():
    """Every text of the catalogue without its blanks, and every label."""
    for key, text in catalogue().items():
        words = text.partition(":")[2] if key.startswith(GLOSSARY_KEYS) else text
        yield key, re.sub(r"{[^}]*}", "", words)
    yield from labels()


def test_no_private_word_is_shown():
    """Commands, pages, reports, warnings and labels use the terms of the trade."""
    texts = dict(shown())
    assert len(texts) > 2000
    found = [(key, word) for key, text in texts.items() for word in PRIVATE if re.search(word, text, re.IGNORECASE)]
    assert not found
