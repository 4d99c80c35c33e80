"""Figures read back out of each output by their place and label."""

import re
import subprocess
from html.parser import HTMLParser

N = r"([−-]?\d[\d\s]*(?:[.,]\d+)?|never)"
P = r"((?:over |under )?\d+) %"
SENTENCES = {
    rf"[Pp]ayback {N} years, 80 % range {N} to {N}": ("payback", "payback low", "payback high"),
    rf"; {P} chance of payback under {N} years": ("chance payback", "payback limit"),
    rf"Paid back after {N} years \(80 % range {N} to {N}\)": ("payback", "payback low", "payback high"),
    rf"net present value above 0 is {P}": ("chance npv",),
    rf"{P} chance that its net present value is above 0": ("chance npv",),
    rf"highest lifting index is {N} under \S+ and {N} under": ("worst before", "worst after"),
    rf"In {P} of the runs the purchase loses money, {N} [A-Z]+ on average": ("chance loss", "loss"),
    rf"expected loss over all runs: {N} [A-Z]+": ("bought",),
    rf"Not buying gives up {N} [A-Z]+": ("missed",),
    rf"Perfect information on every input has a value of up to {N} [A-Z]+": ("evpi",),
    rf"knowing that alone has a value of {N} [A-Z]+": ("knowing",),
}
FIGURES = {
    "Initial investment": rf"^{N} [A-Z]+$",
    "Annual saving, year-0 prices": rf"^{N} [A-Z]+ \| 80 % range {N} to {N}$",
    "Payback, simple": rf"^{N} years \| 80 % range {N} to {N}; internal rate of return {P}$",
    "Net present value": rf"^{N} [A-Z]+ \| {N} years at {P}; 80 % range {N} to {N}; mean of the runs {N}$",
}
OF_FIGURE = {
    "Initial investment": ("first cost",),
    "Annual saving, year-0 prices": ("saving", "saving low", "saving high"),
    "Payback, simple": ("payback", "payback low", "payback high", "irr"),
    "Net present value": ("npv", "years", "rate", "npv low", "npv high", "npv mean"),
}
ENDS = re.compile(rf"{N}(?:–| to | – ){N}")


def plain(text):
    """A number as Decimal reads it: no thousands set apart, a point, an ASCII minus."""
    return re.sub(r"\s", "", text).replace("−", "-").replace(",", ".")


def in_words(text):
    """Figures that stand in sentences, by label; of a label said twice both must agree."""
    found, text = {}, " ".join(text.split())
    for pattern, labels in SENTENCES.items():
        for match in re.finditer(pattern, text):
            for label, said in zip(labels, match.groups(), strict=True):
                assert found.setdefault(label, plain(said)) == plain(said), (label, found[label], said)
    return found


def in_figures(pairs):
    """The four figures of page one, (what, value, interval)."""
    found = {}
    for what, value, interval in pairs:
        said = value if what == "Initial investment" else f"{value} | {interval}"
        match = re.match(FIGURES[what], " ".join(said.split()))
        assert match, (what, said)
        found |= {label: plain(each) for label, each in zip(OF_FIGURE[what], match.groups(), strict=True)}
    return found


def with_ends(label, value, ends):
    """A figure and both ends of its interval."""
    match = ENDS.fullmatch(ends.strip())
    parts = dict(zip(("low", "high"), match.groups(), strict=True)) if match else {}
    return {label: plain(value)} | {f"{label} {end}": plain(each) for end, each in parts.items()}


def bracketed(label, cell):
    """`55.0 (52.0–57.9)`; nothing where there is a dash."""
    value, _, ends = cell.rstrip(")").partition(" (")
    return with_ends(label, value, ends) if ends else {}


def in_tables(tables, methods):
    """Figures of the tables, by heading; rows are lists of cells."""
    found, (before, after) = {}, methods
    for row in tables.get("Standard time per mold", []):
        pattern, method, *middle, cycles, value, ends, allowance, _ = row
        label = f"study {next(filter(None, middle), f'{pattern} {method}')}"
        found |= with_ends(label, value, ends) | {f"{label} cycles": cycles, f"{label} allowance": allowance}
    for pattern, *cells, _ in tables.get("Standard time per mold and line, with 95 % intervals", []):
        for method, time, rate in zip(methods, cells[:2], cells[2:], strict=True):
            found |= bracketed(f"standard {pattern} {method}", time) | bracketed(f"molds/h {pattern} {method}", rate)
    for row in tables.get("Lifting screen, highest index first", []):
        if len(row) < 7:  # on paper a long row may leave one space only between two columns
            continue
        pattern, method, task, pace, index, *_ = row
        found[f"pace {pattern} {method} {task}"] = pace
        found |= {f"index {pattern} {method} {task}": index.removeprefix("≥ ")} if index != "–" else {}
    for pattern, method, rate, ends, *_ in tables.get("Line", []):
        found |= with_ends(f"molds/h {pattern} {method}", rate, ends)
    for pattern, _, seconds, saving, ends, run, least in tables.get("Which patterns", []):
        found |= with_ends(f"saving {pattern}", saving, ends)
        found |= {f"seconds {pattern}": seconds, f"run {pattern}": run, f"least run {pattern}": least}
    for pattern, method, value, ends, *_ in tables.get("Mold cycle, with 95 % interval", []):
        found |= with_ends(f"cycle {pattern} {method}", value, ends)
    for year, total, *_ in tables.get("Cash flow by year, means over the simulation runs", []):
        found[f"flow {year}"] = total
    assert before != after
    return {label: plain(said) for label, said in found.items() if plain(said) != "–"}


class Page(HTMLParser):
    """The HTML brief taken apart: words, the four figures, tables by heading, labels of drawings."""

    def __init__(self, text):
        super().__init__()
        self.words, self.figures, self.tables, self.drawn = [], [], {}, []
        self._heading, self._cell, self._at = "", None, ""
        self.feed(text)

    def handle_starttag(self, tag, attrs):
        """Where we are now."""
        self._at = tag
        self.drawn += [value for name, value in attrs if name == "aria-label" and tag == "svg"]
        if tag in {"h1", "h2", "h3", "p", "td", "th", "dt", "dd"}:
            self._cell = []
        if tag == "tr":
            self.tables.setdefault(self._heading, []).append([])

    def handle_data(self, data):
        """Letters of what we are in."""
        if self._cell is not None:
            self._cell.append(data)

    def handle_endtag(self, tag):
        """What was gathered goes to its place."""
        if self._cell is None:
            return
        said = "".join(self._cell).strip()
        if tag in {"h2", "h3"}:
            self._heading = " ".join(said.split())
        elif tag in {"h1", "p"}:
            self.words.append(said)
        elif tag == "td":
            self.tables[self._heading][-1].append(said)
        elif tag == "dt":
            self.figures.append([said])
        elif tag == "dd":
            self.figures[-1].append(said)
        if tag in {"h1", "h2", "h3", "p", "td", "th", "dt", "dd"}:
            self._cell = None

    def read(self, methods):
        """Every figure by its label."""
        tables = {name: [row for row in rows if len(row) > 1] for name, rows in self.tables.items()}
        return (in_words(" ".join(self.words)) | in_words(" ".join(self.drawn)) | in_figures(self.figures)) | in_tables(
            tables, methods
        )


def set_apart(text, heads, first):
    """Tables of a text whose columns stand two spaces apart, by heading; a row begins with one of `first`."""
    tables, heading = {}, ""
    for line in text.splitlines():
        cells = [cell for cell in re.split(r"\s{2,}", line.strip()) if cell]
        if line.strip() in heads:
            heading = line.strip()
        elif heading and len(cells) > 3 and cells[0] in first:
            tables.setdefault(heading, []).append(cells)
    return tables


def of_paper(data, path, heads, first, methods):
    """Figures of a PDF, read by poppler: its words, and its tables as they stand on the page."""
    path.write_bytes(data)
    text = subprocess.run(["pdftotext", "-layout", path, "-"], capture_output=True, text=True, check=True).stdout
    return in_words(text) | in_tables(set_apart(text, heads, first), methods)
