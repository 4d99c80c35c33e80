"""Coverage-guided fuzzing of the readers for a bounded time: python tests/bench/fuzz_readers.py [seconds]

Needs atheris (pip install atheris), which is no dependency of the tests. Only CoresetError may come out; anything else
stops the run and leaves the input as crash-<hash> in the folder it is run from.
"""

import json
import sys
import tempfile
from pathlib import Path

try:
    import atheris
except ImportError:
    sys.exit("atheris is not installed: pip install atheris")

with atheris.instrument_imports(include=["coreset"]):
    from coreset.errors import CoresetError
    from coreset.store import folder
    from coreset.store.folder.workbook import case_in
    from coreset.store.intake import take_in

HEAD = (
    b'title = "t"\nunits = "metric"\ncurrency = "USD"\n[money]\nsetter_price = 1\nwage_per_h = 1\ndiscount_rate = 0.1\n'
)
FILES = ("case.toml", "patterns.csv", "cores.csv", "lifts.csv", "times/A.toml", "times/A.csv")
SECONDS = 60
ROOT = Path(tempfile.mkdtemp())


def read_folder(content):
    """A folder of files cut from the input; each begins as it should, so that the readers are reached."""
    parts = content.split(b"\x1e")
    for name, part in zip(FILES, [*parts, *[b""] * len(FILES)], strict=False):
        (ROOT / name).parent.mkdir(exist_ok=True)
        (ROOT / name).write_bytes(HEAD + part if name == "case.toml" else part)
    folder.write(folder.read(ROOT), ROOT.parent / f"{ROOT.name}-again")


def one(content):
    """One input, by its first byte to one of the readers."""
    try:
        match content[:1]:
            case b"b":
                folder.build(json.loads(content[1:]))
            case b"r":
                take_in("t.csv", content[1:])
            case b"x":
                case_in(content[1:], file="x.xlsx")
            case _:
                read_folder(content)
    except CoresetError:
        pass
    except (json.JSONDecodeError, UnicodeDecodeError, RecursionError):
        if content[:1] != b"b":
            raise


def seeds():
    """Inputs to begin with: the invented case in each form."""
    demo = Path(__file__).parents[2] / "studies" / "tamarack_flat"
    case = folder.read(demo)
    names = ("case.toml", "patterns.csv", "cores.csv", "lifts.csv", "times/EL6-H1.toml", "times/EL6-H1.csv")
    yield b"\x1e".join((demo / name).read_bytes()[:6_000] for name in names)
    yield b"r" + (demo / names[-1]).read_bytes()[:4_000]
    yield b"b" + json.dumps(folder.plain(case)).encode()[:20_000]


if __name__ == "__main__":
    corpus = Path(tempfile.mkdtemp())
    for number, seed in enumerate(seeds()):
        (corpus / str(number)).write_bytes(seed)
    limit = sys.argv[1] if len(sys.argv) > 1 else str(SECONDS)
    atheris.Setup([sys.argv[0], f"-max_total_time={limit}", "-max_len=20000", "-timeout=10", str(corpus)], one)
    atheris.Fuzz()
