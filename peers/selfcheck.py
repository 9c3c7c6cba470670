"""Proves that the peers give the known values before anything is measured against them.

    python selfcheck.py [--examples DIR] [--bench-data DIR] [--cpsat]

brute.py must give every known least and its own steps must replay; kernel.py must count the known
numbers of orders; with --cpsat the CP-SAT formulation must give the two-way cases too.
"""

import argparse
import sys
import tempfile
from pathlib import Path

import cases
import twins
from brute import least
from compare import Tally, cpsat_differs, judge
from kernel import count_orders
from machine import Refused, compile_machine, read


def check_case(tally, case):
    """One known case against brute.py and, where known, the number of orders."""
    m = read(case.file)
    minutes, _, states = least(m, case.strip_only)
    wrong = [] if minutes == case.least else [f"{minutes}, known {case.least} (thousandths)"]
    tally.note(f"{case.file.name}: least minutes ({states} states)", wrong)
    made = twins.right(m, case.strip_only)
    tally.note(f"{case.file.name}: replay", judge(m, made, case.least, case.strip_only))
    off_by_one = judge(m, made, (case.least or 0) + 1, case.strip_only)
    tally.note(f"{case.file.name}: a wrong value is seen", [] if off_by_one else ["it was not"])
    if case.orders is not None:
        counted = count_orders(m)
        wrong = [] if counted == case.orders else [f"{counted}, known {case.orders}"]
        tally.note(f"{case.file.name}: orders", wrong)


def check_refusals(tally):
    """Files that break a rule are refused, not planned."""
    way = {"ways": [{"minutes": 1}]}
    broken = {
        "unknown name": {"part": {"a": {"ways": [{"clear": ["b"]}]}}},
        "name used twice": {"part": {"a": way}, "tie": {"a": {"joins": ["a"]}}},
        "prep without an end": {"prep": {"p": way}},
        "tie without joins": {"tie": {"t": {"joins": []}}},
        "clear names a prep": {"prep": {"p": {"back": "by itself"}},
                               "part": {"a": {"ways": [{"clear": ["p"]}]}}},
        "four decimals": {"part": {"a": {"ways": [{"minutes": 0.0001}]}}},
        "leave_off of what is closed": {"part": {"a": way}, "job": {"leave_off": ["a"]}},
    }
    for label, doc in broken.items():
        try:
            compile_machine(doc)
            tally.note(label, ["it was not refused"])
        except Refused:
            tally.note(label, [])


def main():
    """Runs from the command line."""
    p = argparse.ArgumentParser(description="The peers against known values.")
    p.add_argument("--examples", type=Path, default=cases.EXAMPLES)
    p.add_argument("--bench-data", type=Path)
    p.add_argument("--cpsat", action="store_true")
    a = p.parse_args()
    tally = Tally()
    with tempfile.TemporaryDirectory() as work:
        for case in cases.known(a.examples, a.bench_data, Path(work)):
            check_case(tally, case)
            if a.cpsat and not case.strip_only and case.least is not None:
                wrong = cpsat_differs(read(case.file), case.least, 60.0)
                tally.note(f"{case.file.name}: CP-SAT", wrong)
    check_refusals(tally)
    return tally.end()


if __name__ == "__main__":
    sys.exit(main())
