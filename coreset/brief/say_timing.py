"""Where a study stands, what its header lacks, and its readings with what was done to them, in words."""

from __future__ import annotations

from collections.abc import Iterable

from coreset.brief.text import say
from coreset.case import Correction, Reading, Study, meaning
from coreset.rounding import fixed
from coreset.study.header import STATED, lacking


def lacks(study: Study) -> tuple[str, ...]:
    """What a defensible study would state and this one does not, in the words of the fields' meaning."""
    return tuple(say("timing.breakpoints") if name == "elements" else meaning(Study, name) for name in lacking(study))


def standing(study: Study) -> str:
    """A sentence: what was taken, and whether it is signed."""
    cycles = len({reading.cycle for reading in study.readings if reading.mark != "foreign"})
    if not len(study.readings):
        return say("timing.standing.none", study=study.study)
    key = "signed" if study.signed else "running" if _running(study) else "taken"
    return say(
        f"timing.standing.{key}",
        study=study.study,
        readings=len(study.readings),
        cycles=cycles,
        signed=study.signed,
        excluded=len({c.seq for c in study.corrections if c.action == "exclude"}),
    )


def _running(study: Study) -> bool:
    return study.taken_with == "clock" and bool(study.clock_in) and not study.clock_out


def lack_sentence(study: Study) -> str:
    """A sentence on what the header lacks; empty if nothing."""
    words = lacks(study)
    return say("timing.lacks", fields="; ".join(words)) if words else ""


def reading_rows(study: Study) -> list[dict[str, str]]:
    """Readings as a table, each with the corrections that concern it."""
    done: dict[int, list[str]] = {}
    for correction in study.corrections:
        done.setdefault(correction.seq, []).append(_action(correction))
    return [_reading_row(reading, done.get(reading.seq, [])) for reading in study.readings]


def _action(correction: Correction) -> str:
    return " ".join(filter(None, (say(f"timing.action.{correction.action}"), correction.value)))


def _reading_row(reading: Reading, done: list[str]) -> dict[str, str]:
    cells = (
        str(reading.seq),
        str(reading.cycle),
        reading.element,
        fixed(reading.reading_s, 3),
        fixed(reading.rating),
        say(f"timing.mark.{reading.mark}") if reading.mark else "",
        reading.note,
        ", ".join(done),
    )
    return dict(zip((say(f"timing.column.{name}") for name in COLUMNS), cells, strict=True))


COLUMNS = ("seq", "cycle", "element", "reading_s", "rating", "mark", "note", "done")


def trail_rows(corrections: Iterable[Correction]) -> list[dict[str, str]]:
    """Corrections in the order they were made: reading, what, who, when, why."""
    names = ("seq", "what", "who", "when", "why")
    rows = ((str(c.seq), _action(c), c.who, c.when, c.why) for c in corrections)
    heads = [say(f"timing.trail.{name}") for name in names]
    return [dict(zip(heads, row, strict=True)) for row in rows]


def reading_label(reading: Reading) -> str:
    """One reading in a list to pick from."""
    return say(
        "timing.reading_label",
        seq=reading.seq,
        cycle=reading.cycle,
        element=reading.element,
        reading=fixed(reading.reading_s, 2),
    )


CLOCKED = ("date", "clock_in", "clock_out")
"""Fields that a clock fills in by itself."""
TYPED = ("observer", "operator", *STATED, "rating_scale", "version", "note")


def header_fields(study: Study) -> tuple[tuple[str, str], ...]:
    """Fields of the header that a person types, with their meaning."""
    filled = CLOCKED if study.taken_with in ("clock", "video") else ()
    return tuple((name, _sentence(meaning(Study, name))) for name in TYPED if name not in filled)


def _sentence(words: str) -> str:
    return words[:1].upper() + words[1:]
