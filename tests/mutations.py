"""Case folders broken at random, with a seed: what a slip, a spreadsheet, a bad disk or a hostile hand does."""

import dataclasses
import random
import re
import shutil

from coreset.case import Readings
from coreset.store import folder

TOKENS = [
    b"\x00", b"\xff\xfe", b"\xef\xbb\xbf", b"\r", b"\r\n", b"\n", b'"', b"'", b"''", b'"""', b",", b";", b"\t", b"=",
    b"[", b"]", b"[[", b"{", b"}", b"#", b"\\", b"\\u0000", b"\xc2\x85", b"\xed\xa0\x80", b"\xf0\x9f\x99\x82",
    b"nan", b"inf", b"-inf", b"-1", b"0", b"-0.0", b"5e-324", b"1e308", b"1e309", b"1e-400", b"9" * 400, b"1_000",
    b"0x10", b"1,5", b"1.2.3", b"true", b"2026-02-30", b"07:61:00", b"2026-01-01", b"=1+1", b"=cmd|' /C calc'!A0",
    b"<script>", b"../../etc/passwd", b"x" * 70_000, b"," * 2_000, b"\xe2\x80\xae", b"\xd9\xa1\xd9\xa2", b"%s%n",
    b"{0.__class__}", b"__proto__", b"A1", b"", b" ", b"NULL", b"#N/A", b"#REF!", b"1900-01-00", b"3/4/26", b"12:30",
]  # fmt: skip
FILES = [
    "case.toml",
    "patterns.csv",
    "cores.csv",
    "lifts.csv",
    "times/A.toml",
    "times/A.csv",
    "times/A.corrections.csv",
]


def small(case, cycles=4):
    """The case cut down to two short studies, one with a correction, so that thousands of tries take seconds."""
    studies = []
    for study, code in zip(case.studies[:2], "AB", strict=True):
        readings = Readings.of([one for one in study.readings if one.cycle <= cycles])
        studies.append(dataclasses.replace(study, study=code, readings=readings, corrections=()))
    change = next(one for study in case.studies for one in study.corrections)
    studies[0] = dataclasses.replace(studies[0], corrections=(dataclasses.replace(change, seq=2, value="x"),))
    return dataclasses.replace(case, studies=tuple(studies))


def spoilt(content, rng):
    """Bytes with one to four things done to them."""
    for _ in range(rng.randint(1, 4)):
        at, end = sorted((rng.randint(0, len(content)), rng.randint(0, len(content))))
        end = min(end, at + rng.choice([1, 4, 40, 4_000]))
        cells = content.split(b",")
        what = rng.randrange(9)
        if what == 0:
            content = content[:at] + rng.choice(TOKENS) + content[at:]
        elif what == 1:
            content = content[:at] + content[end:]
        elif what == 2:
            content = content[:at] + content[at:end] * rng.choice([2, 3, 50]) + content[end:]
        elif what == 3:
            content = content[:at] + bytes([rng.randrange(256)]) + content[at + 1 :]
        elif what == 4:
            cells[rng.randrange(len(cells))] = rng.choice(TOKENS)
            content = b",".join(cells)
        elif what == 5:
            content = content.replace(*rng.choice([(b",", b";"), (b"\n", b"\r\n"), (b".", b","), (b"kg", b"lb")]))
        elif what == 6:
            lines = content.split(b"\n")
            rng.shuffle(lines)
            content = b"\n".join(lines)
        elif what == 7:
            line = rng.choice(content.split(b"\n"))
            value = line.split(b"=")[0] + b"=" + rng.choice(TOKENS)
            content = content.replace(line, value, 1) if line else content
        else:
            content = content.decode("utf-8", "replace").encode(
                rng.choice(["utf-16", "latin-1", "utf-8-sig"]), "replace"
            )
    return content[:400_000]


def broken_folder(base, target, seed):
    """A copy of a case folder with something wrong in it; the same for the same seed."""
    rng = random.Random(seed)
    shutil.rmtree(target, ignore_errors=True)
    shutil.copytree(base, target)
    for name in rng.sample(FILES, rng.choice([1, 1, 1, 2, 3])):
        path, what = target / name, rng.randrange(24)
        if what == 0:
            path.unlink()
        elif what == 1:
            path.unlink()
            path.mkdir()
        elif what == 2:
            path.unlink()
            path.symlink_to(rng.choice(["/dev/zero", "/etc/passwd", "..", path.name, "nowhere"]))
        elif what == 3:
            path.rename(path.with_name(rng.choice(["x.csv", "Aux.toml", "A.csv.toml", "é.csv", ".hidden.csv"])))
        elif what == 4:
            path.write_bytes((base / rng.choice(FILES[:4])).read_bytes())
        else:
            path.write_bytes(spoilt(path.read_bytes(), rng))
    return target


NUMBER = re.compile(rb"(?<![\w.-])-?\d+(\.\d+)?(?![\w.-])")
EXTREMES = [b"0", b"1", b"-1", b"0.001", b"99", b"1000000", b"1e12", b"100"]


def other_values(base, target, seed):
    """A copy of a case folder that most readers take: one to three numbers are others, or lines are gone."""
    rng = random.Random(seed)
    shutil.rmtree(target, ignore_errors=True)
    shutil.copytree(base, target)
    for _ in range(rng.randint(1, 3)):
        path = target / rng.choice(FILES[:6])
        content = path.read_bytes()
        found = list(NUMBER.finditer(content))
        if rng.random() < 0.2:
            lines = content.splitlines(keepends=True)
            del lines[rng.randrange(1, len(lines))]
            path.write_bytes(b"".join(lines))
        else:
            one = rng.choice(found)
            path.write_bytes(content[: one.start()] + rng.choice(EXTREMES) + content[one.end() :])
    return target


def base_case(tmp_path, demo):
    """The folder of the small case."""
    folder.write(small(folder.read(demo)), tmp_path / "base")
    return tmp_path / "base"
