"""The known cases: machine files whose least minutes are published, worked by hand or derived."""

import csv
from dataclasses import dataclass
from pathlib import Path

import gearpump
from machine import thousandths

HERE = Path(__file__).resolve().parent
DATA = HERE / "data"
EXAMPLES = HERE.parent / "crates" / "files" / "tests" / "data"
PUMP_LEAST = 8000


@dataclass(frozen=True)
class Case:
    """A file, its least in thousandths (None: no order), of the strip only or of both, how many."""

    file: Path
    least: int | None
    strip_only: bool
    orders: int | None = None

    def said(self):
        """The least as people say it."""
        return "no order" if self.least is None else f"{self.least / 1000}"


def table(path):
    """The rows of a CSV file with comment lines."""
    with path.open(newline="", encoding="utf-8") as f:
        return list(csv.DictReader(line for line in f if not line.startswith("#")))


def known(examples, bench_data, work):
    """Every known case that is there; says which are skipped. `work` takes converted files."""
    found = []
    for row in table(DATA / "cases.csv"):
        orders = int(row["orders"]) if row["orders"] else None
        minutes = thousandths(row["least_strip_minutes"])
        found.append(Case(DATA / f"{row['file']}.toml", minutes, True, orders))
    for row in table(DATA / "expected.csv"):
        file = examples / f"{row['case']}.toml"
        if file.exists():
            found.append(Case(file, thousandths(row["least_total_minutes"]), False))
        else:
            print(f"skipped: example {row['case']}, not found in {examples}")
    found.append(Case(DATA / "reading_bearing.toml", None, False))  # README, reading 20
    if bench_data is not None and (bench_data / "gearpump_A.csv").exists():
        found += [Case(f, PUMP_LEAST, True) for f in gearpump.convert(bench_data, work)]
    else:
        print("skipped: the two gear pumps, their tables are not given (--bench-data DIR)")
    return found
