"""Words of the trade with their meaning, and the help of each field: a sentence and a link to its word."""

from __future__ import annotations

from coreset.brief.text import say

GLOSSARY = "glossary."


def field_help(owner: str, name: str, column: str) -> str:
    return say("front.field_help", column=column)
