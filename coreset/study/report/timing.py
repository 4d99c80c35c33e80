"""Where a study stands, what its header lacks, and its readings with what was done to them, in words."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import fields
from itertools import zip_longest
from typing import Any

from coreset.case import Correction, Element, Reading, Study, meaning
from coreset.case.signature import signature_state, signer
from coreset.case.study import PICTURE
from coreset.report.glossary import word_help
from coreset.report.numbers import listed
from coreset.rounding import fixed
from coreset.study.header import STATED, lacking
from coreset.text import message, say


def lacks(study: Study) -> tuple[str, ...]:
    """What a defensible study would state and this one does not, in the words of the fields' meaning."""
    return tuple(
        say("timing.breakpoints") if name == "elements" else message(meaning(Study, name)) for name in lacking(study)
    )


STANDING = {"broken": "broken", "unproven": "unproven"}
"""Key of the sentence on a signed study by the state of its signature, where it is not the usual one."""


def standing(study: Study) -> str:
    """A sentence: what was taken, and whether it is signed."""
    cycles = len({reading.cycle for reading in study.readings if reading.mark != "foreign"})
    if not len(study.readings):
        return say("timing.standing.none", study=study.study)
    key = STANDING.get(signature_state(study), "signed") if study.signed else "running" if _running(study) else "taken"
    return say(
        f"timing.standing.{key}",
        study=study.study,
        readings=len(study.readings),
        cycles=cycles,
        signed=signer(study.signed),
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
    heads = tuple(reading_heads(study).values())
    return [_reading_row(heads, reading, done.get(reading.seq, [])) for reading in study.readings]


def reading_heads(study: Study) -> dict[str, str]:
    """Heads of the readings by column; what a running watch showed is not called the time of an element."""
    found = {name: say(f"timing.column.{name}") for name in COLUMNS}
    return found | {"reading_s": say("timing.column.watch_s")} if study.timing == "continuous" else found


def column_help(name: str) -> str:
    """What stands in a column of the readings, in a sentence, and a link to its word."""
    entry, _, sentence = say(f"timing.column_help.{name}").partition(": ")
    return word_help(entry, sentence)


def _action(correction: Correction) -> str:
    return " ".join(filter(None, (say(f"timing.action.{correction.action}"), correction.value)))


def _reading_row(heads: tuple[str, ...], reading: Reading, done: list[str]) -> dict[str, str]:
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
    return dict(zip(heads, cells, strict=True))


COLUMNS = ("seq", "cycle", "element", "reading_s", "rating", "mark", "note", "done")


def trail_rows(corrections: Iterable[Correction]) -> list[dict[str, str]]:
    """Corrections in the order they were made: reading, what, who, when, why."""
    names = ("seq", "what", "who", "when", "why")
    rows = ((str(c.seq), _action(c), c.who, c.when, c.why) for c in corrections)
    heads = [say(f"timing.trail.{name}") for name in names]
    return [dict(zip(heads, row, strict=True)) for row in rows]


APART = ("seq", "cycle", "element", "clock", "reason", "decision")


def apart_rows(apart: Iterable[Any]) -> list[dict[str, str]]:
    """Presses set apart: what was pressed and when, why it does not fit, what was decided."""
    heads = [say(f"timing.apart_column.{name}") for name in APART]
    return [
        dict(
            zip(heads, (str(a.seq), str(a.cycle), _pressed(a), fixed(a.clock_s, 2), a.reason, _decided(a)), strict=True)
        )
        for a in apart
    ]


def apart_words(apart: Sequence[Any]) -> list[str]:
    """What is done with presses set apart, over their list: of those that do not fit, of those after the signature."""
    fit = [one for one in apart if not one.late]
    found = [say("timing.apart_words", count=sum(one.decision is None for one in fit))] if fit else []
    return found + ([say("timing.apart_late")] if len(fit) < len(apart) else [])


def apart_told(apart: Iterable[Any]) -> list[str]:
    """That presses were set apart, where they are not listed; nothing where all were decided upon."""
    undecided = [one for one in apart if one.decision is None]
    fit, late = sum(not one.late for one in undecided), sum(one.late for one in undecided)
    found = [say("timing.apart_told", count=fit)] if fit else []
    return found + ([say("timing.apart_late_told", count=late)] if late else [])


def _pressed(one: Any) -> str:
    return one.element.strip() or say("timing.apart_nameless")


def _decided(one: Any) -> str:
    made = one.decision
    if made is None:
        return say("timing.apart_open")
    element = made.value.partition(" ")[2]
    return say(f"timing.apart_{made.action}", element=element, who=made.who, when=made.when, why=made.why)


REMOVED = ("study", "count", "element", "clock", "decision")


def removed_rows(found: Iterable[Any]) -> list[dict[str, str]]:
    """Sessions that came for removed studies, each with the study's name and what was decided."""
    heads = [say(f"timing.removed_column.{name}") for name in REMOVED]
    cells = ((one.study, str(one.late), _pressed(one), fixed(one.clock_s, 2), _decided(one)) for one in found)
    return [dict(zip(heads, row, strict=True)) for row in cells]


def removed_label(one: Any) -> str:
    """One session of a removed study in a list to pick from."""
    return say(
        "timing.removed_label", study=one.study, count=one.late, element=_pressed(one), clock=fixed(one.clock_s, 2)
    )


def removed_told(found: Iterable[Any]) -> str:
    """That readings of a removed study wait for a decision, where they are not listed; empty if none does."""
    count = sum(one.late for one in found if one.decision is None)
    return say("timing.removed_told", count=count) if count else ""


def apart_label(one: Any) -> str:
    """One press set apart in a list to pick from."""
    return say("timing.apart_label", seq=one.seq, element=_pressed(one), clock=fixed(one.clock_s, 2))


def reading_label(study: Study, reading: Reading) -> str:
    """One reading in a list to pick from; that of a running watch says so, for its element takes less."""
    return say(
        f"timing.reading_label.{study.timing}",
        seq=reading.seq,
        cycle=reading.cycle,
        element=reading.element,
        reading=fixed(reading.reading_s, 2),
    )


CLOCKED = ("date", "clock_in", "clock_out")
"""Fields that a clock fills in by itself."""
FIRST = ("method", "pattern", "observer", "operator")
LAST = ("molds_per_cycle", "crew", "rating_scale", "rating_pct", "rater_sd_pct", "version", "note")
READ_OFF = ("elapsed_before_s", "elapsed_after_s")
"""Fields that are read off a watch where no clock fills them in."""


def header_names(study: Study) -> tuple[str, ...]:
    """Fields of the header that a person fills in, in their order; the form of timing only before the first reading."""
    clocked = study.taken_with in ("clock", "video")
    stated = [name for name in STATED if not (clocked and name in CLOCKED)]
    timing = () if len(study.readings) else ("timing",)
    return (*FIRST, *timing, *stated, *(() if clocked else READ_OFF), *LAST)


def changes(old: Study, new: Study) -> str:
    """What an edit changed in the header and the elements, from what to what; empty if nothing."""
    header = [f.name for f in fields(Study) if f.name not in ("elements", "readings", "corrections")]
    told = _changed(old, new, header, where="")
    for number, (one, other) in enumerate(zip_longest(old.elements, new.elements), start=1):
        where = say("timing.change.element", number=number)
        if one is None:
            told.append(say("timing.change.added", where=where, name=other.name))
        elif other is None:
            told.append(say("timing.change.removed", where=where, name=one.name))
        else:
            names = [f.name for f in fields(Element) if f.name != "earlier"]
            told += _changed(one, other, names, where=f"{where}, ")
    return "; ".join(told)


def _changed(old: Any, new: Any, names: Iterable[str], *, where: str) -> list[str]:
    return [
        say(
            "timing.change.field",
            field=where + message(meaning(type(old), name)),
            old=_shown(getattr(old, name)),
            new=_shown(getattr(new, name)),
        )
        for name in names
        if getattr(old, name) != getattr(new, name)
    ]


def _shown(value: Any) -> str:
    if value is None or value == "":
        return say("timing.change.nothing")
    if isinstance(value, bool):
        return say(f"timing.change.{'yes' if value else 'no'}")
    if isinstance(value, str) and value.startswith(PICTURE):
        return say("timing.change.picture")
    return f"{value:g}" if isinstance(value, float) else str(value)


def signatures(studies: Iterable[Study]) -> tuple[str, ...]:
    """How many studies with readings are signed, which are not, and whose signature no longer fits what was signed."""
    timed = [study for study in studies if len(study.readings)]
    lines = []
    if timed:
        lines.append(say("timing.signatures.signed", count=sum(bool(s.signed) for s in timed), all=len(timed)))
    open_ones = [study.study for study in timed if not study.signed]
    broken = [study.study for study in timed if study.signed and signature_state(study) == "broken"]
    for key, names in (("open", open_ones), ("broken", broken)):
        if names:
            lines.append(say(f"timing.signatures.{key}", names=listed(names)))
    return tuple(lines)


def cover(studies: Iterable[Study]) -> str:
    """The sessions that a signature covers, with their readings; those that were not stopped are named."""
    studies = list(studies)
    listed = ", ".join(say("timing.cover.session", code=s.study, count=len(s.readings)) for s in studies)
    running = ", ".join(s.study for s in studies if _running(s))
    return " ".join(
        filter(None, (say("timing.cover.all", listed=listed), running and say("timing.cover.running", codes=running)))
    )
