"""Codes of cases, studies, patterns and methods, each fit to name a file on any system. In: codes. Out: faults.

The one place of this rule; readers, editors, the database and the exports ask here.
"""

from __future__ import annotations

import dataclasses
import re
import unicodedata
from collections import Counter
from collections.abc import Collection, Iterable, Mapping
from typing import Any

from coreset.case.case import Case
from coreset.case.study import Readings

LONGEST = 80
"""Characters of a code at most."""
MOST_BYTES = 200
"""Bytes of a code in UTF-8 at most: file systems take names of 255 bytes, and `.corrections.csv` is added."""
SIGNS = '<>:"/\\|?*'
"""Signs that separate paths or mean something to a file system."""
UNSEEN = {"Cc", "Cf", "Cn", "Co", "Cs", "Zl", "Zp", "Zs"}
"""General categories of Unicode that are not seen: control, format (direction of text among it), odd blanks."""
TURNS = re.compile("[\u202a-\u202e\u2066-\u2069]")
"""Characters that turn the direction of the text after them, so that it reads as another one: Unicode Standard Annex 9,
section 2 (embeddings, overrides, isolates; from memory)."""
RESERVED = re.compile(r"(con|prn|aux|nul|conin\$|conout\$|com[0-9¹²³]|lpt[0-9¹²³])\s*(\..*)?", re.IGNORECASE)
"""Names of devices, with or without an ending: Microsoft, "Naming Files, Paths, and Namespaces" (from memory)."""
ALPHABETS = {"LATIN", "GREEK", "CYRILLIC", "ARMENIAN", "COPTIC", "CHEROKEE"}
"""Alphabets in which some letters look like those of another, as names of characters in Unicode begin."""
LOOK_ALIKE = str.maketrans("авекмнорстухѕіјαβεζηικμνορτυχ", "abekmhopctyxsijabezhikmnoptyx")
"""Small letters of Cyrillic and Greek with the Latin ones that they, or their capitals, look like (from memory)."""
CHANGES = ".corrections"
"""Ending of the file that holds the corrections of a study."""
FIELDS = {
    "study": "study",
    "pattern": "pattern",
    "patterns": "pattern",
    "method": "method",
    "baseline": "method",
    "candidate": "method",
    "superseded_by": "study",
}
"""Fields of a case that hold codes, and the kind of each."""


def code_rule(code: str, *, longest: int = LONGEST) -> str:
    """What a code must be, where it cannot name a file.

    Parameters
    ----------
    code : str
    longest : int
        Characters at most.

    Returns
    -------
    str
        The rule that is broken, in words; empty if none is.

    Examples
    --------
    >>> code_rule("S1"), code_rule("hand, redesigned"), code_rule("a/b")
    ('', '', 'a code without < > : " / \\\\ | ? *')
    """
    if not code.strip():
        return "a code, not only blanks"
    if len(code) > longest or len(code.encode("utf-8", "surrogatepass")) > MOST_BYTES:
        return f"a code of at most {longest} characters and {MOST_BYTES} bytes"
    if set(code) & set(SIGNS):
        return f"a code without {' '.join(SIGNS)}"
    if unseen := unseen_rule(code):
        return unseen
    if code[0] in " .~" or code[-1] in " .":
        return "a code that does not begin with a blank, dot or ~, nor end with a blank or dot"
    if RESERVED.fullmatch(code):
        return "another code: computers with Windows reserve this one for a device"
    return f"a code that does not end with {CHANGES}" if folded(code).endswith(CHANGES) else ""


def unseen_rule(code: str) -> str:
    """What a code must be, where it holds characters that are not seen; empty if it does not."""
    if any(unicodedata.category(sign) in UNSEEN and sign != " " for sign in code):
        return "a code without control characters, characters that cannot be seen, or blanks other than the usual one"
    return ""


def alphabet_rule(code: str) -> str:
    """What a code must be, where it mixes letters of alphabets that look alike; empty if it does not.

    Examples
    --------
    >>> alphabet_rule("C\u0410P-1")
    "a code in one alphabet, not 'А' (Cyrillic) among Latin letters"
    >>> alphabet_rule("CAP-1"), alphabet_rule("\u0421\u0410\u0420-1"), alphabet_rule("A\u578b"), alphabet_rule("5 µm")
    ('', '', '', '')
    """
    letters = [(sign, unicodedata.name(sign, "").partition(" ")[0]) for sign in code if sign.isalpha()]
    counts = Counter(alphabet for _, alphabet in letters if alphabet in ALPHABETS)
    if len(counts) < 2:
        return ""
    most, *_, least = (alphabet for alphabet, _ in counts.most_common())
    odd = next(sign for sign, alphabet in letters if alphabet == least)
    return f"a code in one alphabet, not {odd!r} ({least.title()}) among {most.title()} letters"


def folded(code: str) -> str:
    """The code as a file system that ignores capitals and forms of letters compares it, look-alike letters as one.

    Examples
    --------
    >>> folded("Straße") == folded("STRASSE"), folded("CAP") == folded("\u0421\u0410\u0420")
    (True, True)
    """
    return unicodedata.normalize("NFKC", unicodedata.normalize("NFKC", code).casefold()).translate(LOOK_ALIKE)


def code_faults(codes: Iterable[str], held: Collection[str] = ()) -> dict[str, str]:
    """Codes of one kind that cannot name files, mix alphabets, or are taken for another; those held are not questioned.

    Returns
    -------
    dict of str to str
        The rule that is broken, by code.

    Examples
    --------
    >>> code_faults(["S1", "s1", "S2"])
    {'s1': "a code that differs from 'S1' in more than capitals and letters that look alike"}
    >>> code_faults(["S1", "a/b"], held=["a/b"])
    {}
    """
    faults: dict[str, str] = {}
    seen: dict[str, str] = {}
    for code in sorted(dict.fromkeys(codes), key=lambda one: one not in held):
        first = seen.setdefault(folded(code), code)
        rule = code_rule(code) or alphabet_rule(code)
        if first != code:
            rule = rule or f"a code that differs from {first!r} in more than capitals and letters that look alike"
        if rule and code not in held:
            faults[code] = rule
    return faults


def codes_of(case: Case) -> dict[str, tuple[str, ...]]:
    """Codes of a case by kind: study, pattern, method."""
    methods = (*(one.method for one in case.methods), case.baseline, case.candidate, *(s.method for s in case.studies))
    patterns = (*(one.pattern for one in case.patterns), *(s.pattern for s in case.studies))
    return {
        "study": tuple(one.study for one in case.studies),
        "pattern": tuple(dict.fromkeys(patterns)),
        "method": tuple(dict.fromkeys(methods)),
    }


def safe_name(code: str, taken: Collection[str] = ()) -> str:
    """The code, or the nearest name that a file can have and that is not taken.

    Examples
    --------
    >>> safe_name("S1"), safe_name("../a/b"), safe_name("NUL"), safe_name("a:b", taken=["a_b"])
    ('S1', '_a_b', 'NUL_', 'a_b-2')
    >>> safe_name("C\u0410P-\u0416", taken=["CAP-_"])
    'CAP-_-2'
    """
    if alphabet_rule(code):
        code = _in_latin(code)
    unseen = {sign for sign in code if unicodedata.category(sign) in UNSEEN and sign != " "}
    shown = "".join("_" if sign in SIGNS or sign in unseen else sign for sign in code)
    stem = _cut(shown.lstrip(" .~"), LONGEST).rstrip(" .") or "unnamed"
    if code_rule(stem):
        stem = f"{_cut(stem.replace('.', '_'), LONGEST - 1)}_"
    others, name, number = {folded(one) for one in taken}, stem, 1
    while folded(name) in others:
        number += 1
        name = f"{_cut(stem, LONGEST - 6).rstrip(' .')}-{number}"
    return name


def _in_latin(code: str) -> str:
    """The code with Latin letters, or _ where none looks alike, for those of other alphabets."""

    def latin(sign: str) -> str:
        if unicodedata.name(sign, "").partition(" ")[0] not in ALPHABETS - {"LATIN"}:
            return sign
        small = sign.lower().translate(LOOK_ALIKE)
        return "_" if small == sign.lower() else small.upper() if sign.isupper() else small

    return "".join(map(latin, code))


def _cut(text: str, longest: int) -> str:
    """The text, cut to so many characters and to the bytes that a file's name may have."""
    return text[:longest].encode("utf-8", "replace")[: MOST_BYTES - 8].decode("utf-8", "ignore")


def with_safe_codes(case: Case) -> tuple[Case, dict[str, str]]:
    """The case with codes that can name files, and what was renamed, the old code with its new one.

    Returns
    -------
    tuple of Case and dict
        The same case and an empty dict where every code can name a file.
    """
    renamed: dict[str, dict[str, str]] = {}
    for kind, codes in codes_of(case).items():
        faults = code_faults(codes)
        taken = [code for code in codes if code not in faults]
        for code in faults:
            renamed.setdefault(kind, {})[code] = safe_name(code, taken)
            taken.append(renamed[kind][code])
    every = {f"{kind} {old}": new for kind, names in renamed.items() for old, new in names.items()}
    return (_renamed(case, renamed), every) if renamed else (case, every)


def _renamed(value: Any, names: Mapping[str, Mapping[str, str]]) -> Any:
    """A value of the case with codes renamed wherever they stand in it."""
    changed: dict[str, Any] = {}
    for item in dataclasses.fields(value):
        inner, known = getattr(value, item.name), names.get(FIELDS.get(item.name, ""), {})
        new: object
        if isinstance(inner, str):
            new = known.get(inner, inner)
        elif isinstance(inner, tuple):
            new = tuple(_renamed(one, names) if dataclasses.is_dataclass(one) else known.get(one, one) for one in inner)
        elif dataclasses.is_dataclass(inner) and not isinstance(inner, Readings):
            new = _renamed(inner, names)
        else:
            continue
        if new != inner:
            changed[item.name] = new
    return dataclasses.replace(value, **changed) if changed else value
