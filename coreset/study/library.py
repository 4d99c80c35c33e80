"""The elements of a plant, read from studies: one entry a name, renamed or merged in every study of a case at once."""

from __future__ import annotations

import re
from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from difflib import SequenceMatcher
from itertools import combinations

from coreset.case import Case, Element, Study

ALIKE = 0.85
"""Share of matching letters from which two names are offered as spellings of one element: our own choice, no source."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Entry:
    """One element of the library: as the last study that has it describes it, and all studies that have it."""

    element: Element
    studies: tuple[str, ...]


def library(case: Case) -> tuple[Entry, ...]:
    """Elements of all studies of a case, by name in the order of the alphabet."""
    found: dict[str, Entry] = {}
    for study in case.studies:
        for element in study.elements:
            before = found.get(element.name)
            known = before.element if before and not element.breakpoint else element
            seen = known.picture or (before.element.picture if before else "") or element.picture
            known = replace(known, picture=seen)
            found[element.name] = Entry(element=known, studies=(*(before.studies if before else ()), study.study))
    return tuple(found[name] for name in sorted(found, key=str.casefold))


def joined(own: Iterable[Entry], others: Mapping[str, Iterable[Entry]]) -> tuple[Entry, ...]:
    """The elements of one case, then those that other cases of its plant have besides.

    Parameters
    ----------
    own : iterable of Entry
        Elements of the case; where a name is among them they describe it.
    others : mapping
        Elements of other cases by name of the case, which then stands before their studies.
    """
    found = {_bare(entry.element.name): entry for entry in own}
    for name, entries in others.items():
        for entry in entries:
            studies = tuple(f"{name}: {study}" for study in entry.studies)
            known = found.get(_bare(entry.element.name))
            here = entry if known is None else known
            found[_bare(entry.element.name)] = replace(here, studies=(*(known.studies if known else ()), *studies))
    return tuple(found.values())


def described(entries: Iterable[Entry], element: Element) -> Element:
    """A typed element, described as in the library where its name is there and nothing else was said of it."""
    known = {_bare(entry.element.name): entry.element for entry in entries}.get(_bare(element.name))
    if known is None or element != Element(name=element.name):
        return element
    return Element(
        name=known.name,
        kind=known.kind,
        breakpoint=known.breakpoint,
        per_mold=known.per_mold,
        occasional=known.occasional,
        picture=known.picture,
    )


def alike(names: Iterable[str]) -> tuple[tuple[str, str], ...]:
    """Pairs of names that may be two spellings of one element.

    Examples
    --------
    >>> alike(["Set core", "set  core", "Fetch core", "Set cores", "Close mold"])
    (('Set core', 'set  core'), ('Set core', 'Set cores'), ('set  core', 'Set cores'))
    >>> alike(["Set core 1", "Set core 2"])
    ()
    """
    return tuple(pair for pair in combinations(names, 2) if _alike(*map(_bare, pair)))


def _bare(name: str) -> str:
    return " ".join(re.findall(r"\w+", name.casefold()))


def _alike(one: str, other: str) -> bool:
    """Whether two names are nearly the same, numbers apart: those tell elements of one kind apart."""
    if re.findall(r"\d+", one) != re.findall(r"\d+", other):
        return False
    return one == other or SequenceMatcher(None, one, other).ratio() >= ALIKE


def blocked(case: Case, old: str, new: str) -> tuple[str, ...]:
    """Studies in which an element cannot take another name: signed ones, and those that have both names.

    Parameters
    ----------
    case : Case
        Studies.
    old, new : str
        Name of the element now, and the one it is to take; with the same name twice, signed studies alone.
    """
    return tuple(
        study.study
        for study in case.studies
        if _has(study, old) and (study.signed or (old != new and _has(study, new)))
    )


def renamed(case: Case, old: str, new: str) -> Case:
    """The case with another name of an element in its studies, the steps of its methods and its drivers.

    Each study remembers the earlier name, under which its readings were taken. Where the new name is in the library
    already, the two elements are one from now on, and standard data read them as one. Studies that `blocked` names
    keep the old name.

    Parameters
    ----------
    case : Case
        Studies, methods, drivers.
    old, new : str
        Name of the element now, and the one it takes.
    """
    keep = set(blocked(case, old, new))
    studies = tuple(study if study.study in keep else _renamed(study, old, new) for study in case.studies)
    still = {study.method for study in case.studies if study.study in keep}
    methods = tuple(
        method
        if method.method in still
        else replace(
            method,
            steps=tuple(replace(step, element=new) if step.element == old else step for step in method.steps),
        )
        for method in case.methods
    )
    drivers = tuple(
        replace(one, element=new) if one.element == old and one.method not in still else one for one in case.drivers
    )
    return replace(case, studies=studies, methods=methods, drivers=drivers)


def pictured(case: Case, name: str, picture: str) -> Case:
    """The case with a picture of an element in every study that has it, the signed ones left as they were signed.

    Parameters
    ----------
    case : Case
        Studies.
    name : str
        The element.
    picture : str
        The picture, as an element holds it; empty to take it away.
    """

    def one(element: Element) -> Element:
        return replace(element, picture=picture) if element.name == name else element

    studies = (s if s.signed else replace(s, elements=tuple(map(one, s.elements))) for s in case.studies)
    return replace(case, studies=tuple(studies))


def _has(study: Study, name: str) -> bool:
    return any(element.name == name for element in study.elements)


def _renamed(study: Study, old: str, new: str) -> Study:
    def one(element: Element) -> Element:
        if element.name != old:
            return element
        earlier = tuple(name for name in dict.fromkeys((*element.earlier, old)) if name != new)
        return replace(element, name=new, earlier=earlier)

    return replace(study, elements=tuple(map(one, study.elements)))
