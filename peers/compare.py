"""Compares a planner's answers with CP-SAT and with trying everything, on random machines.

    python compare.py --lastbolt PATH [--count 50] [--brute 300] [--seed 1] [--keep DIR]
    python compare.py --selftest

The planner is run as `PATH plan FILE --json --tolerance 0`. Every answer is replayed step by step
and its minutes compared with brute.py; the first `--count` machines go to CP-SAT too. The known
cases (data/, the contract's examples, and the gear pumps where --bench-data is given) follow. Every
disagreement prints the file and both answers; exit 1 if there is one. Half of the machines use R23,
R24 or R28 (bearing, open time, leak look), which CP-SAT is not told of. The last line is
`peers: N passed, M failed`. --selftest puts wrong planners in its place: each must be rejected.
"""

import argparse
import json
import subprocess
import sys
import tempfile
from pathlib import Path

import cases
import gen
import twins
from brute import least
from machine import read
from replay import complaints, exact

PLAN_SECONDS = 120


def ask(command, file, strip_only=False):
    """What a planner command answers about a file, and what is wrong with how it did."""
    options = ["--json", "--tolerance", "0"] + (["--strip-only"] if strip_only else [])
    line = [*command, "plan", str(file), *options]
    try:
        run = subprocess.run(line, capture_output=True, text=True, timeout=PLAN_SECONDS)
    except subprocess.TimeoutExpired:
        return None, f"no answer within {PLAN_SECONDS} s"
    try:
        made = json.loads(run.stdout)
    except ValueError:
        return None, f"no JSON; exit {run.returncode}; {(run.stderr or run.stdout)[:400]}"
    if not isinstance(made, dict):
        return None, "the answer is no JSON object"
    if run.returncode != (0 if made.get("possible") else 1):
        return made, f"exit {run.returncode} does not go with possible: {made.get('possible')}"
    return made, None


def judge(m, made, truth, strip_only=False):
    """All that is wrong with an answer when the least is `truth` thousandths (None: no plan)."""
    if made.get("possible") is not (truth is not None):
        known = "no plan" if truth is None else f"{truth / 1000} minutes"
        return [f"possible is {made.get('possible')}; the peers know {known}"]
    wrong = complaints(m, made, strip_only)
    if truth is not None and exact(made.get("least")) != truth:
        wrong.append(f"least {made.get('least')}; the peers know {truth / 1000}")
    return wrong


class Tally:
    """Counts what passed and failed, and prints what failed."""

    def __init__(self):
        self.passed = 0
        self.failed = 0

    def note(self, label, wrong, made=None):
        """One checked thing."""
        if not wrong:
            self.passed += 1
            return
        self.failed += 1
        print(f"FAILED {label}")
        for line in wrong:
            print(f"    {line}")
        if made is not None:
            print(f"    answer: {json.dumps(made)[:2000]}")

    def end(self):
        """The last line, and the exit code."""
        print(f"peers: {self.passed} passed, {self.failed} failed")
        return 1 if self.failed or not self.passed else 0


def compare_random(tally, command, files, with_cpsat, seconds):
    """Random machines: the planner against brute.py, the first ones against CP-SAT as well."""
    judged = 0
    for file in files:
        m = read(file)
        truth, _, _ = least(m)
        if judged < with_cpsat and not (m.bears or m.bead or m.covers):
            judged += 1
            tally.note(f"{file}: brute.py and CP-SAT", cpsat_differs(m, truth, seconds))
        made, wrong = ask(command, file)
        faults = [wrong] if wrong else judge(m, made, truth)
        tally.note(str(file), faults, made)


def cpsat_differs(m, truth, seconds):
    """What is wrong between the two peers on a machine."""
    from cpsat import solve  # only here: the rest runs without the package

    minutes, possible, proved = solve(m, seconds)
    if not proved:
        return [f"CP-SAT has no proof within {seconds} s"]
    if minutes != truth or possible is not (truth is not None):
        return [f"CP-SAT says {minutes}, brute.py {truth} (thousandths)"]
    return []


def compare_known(tally, command, examples, bench_data, work):
    """The known cases, against their published or derived values."""
    for case in cases.known(examples, bench_data, work):
        made, wrong = ask(command, case.file, case.strip_only)
        faults = [wrong] if wrong else judge(read(case.file), made, case.least, case.strip_only)
        tally.note(f"{case.file} (known: {case.said()})", faults, made)


def selftest(seed, count):
    """The right twin passes everything; each wrong one is rejected somewhere."""
    tally = Tally()
    with tempfile.TemporaryDirectory() as work:
        files = gen.write(seed, count, Path(work))
        machines = [read(f) for f in files]
        truths = [least(m)[0] for m in machines]
        for m, truth, f in zip(machines, truths, files):
            tally.note(f"right twin on {f.name}", judge(m, twins.right(m), truth))
        for name, planner in twins.WRONG.items():
            caught = sum(bool(judge(m, planner(m), t)) for m, t in zip(machines, truths))
            print(f"wrong twin {name}: rejected on {caught} of {count}")
            tally.note(f"wrong twin {name}", [] if caught else ["it was never rejected"])
        by_command(tally, files[:6], truths)
    return tally.end()


def by_command(tally, files, truths):
    """The same through the command line: the right twin passes, the padded one does not."""
    script = [sys.executable, str(Path(__file__).with_name("twins.py"))]
    for name in ("right", "padded"):
        inner = []
        for f, truth in zip(files, truths):
            made, wrong = ask([*script, name], f)
            inner.append(bool(wrong or judge(read(f), made, truth)))
        expected = any(inner) if name == "padded" else not any(inner)
        tally.note(f"{name} twin as a command", [] if expected else [f"faults: {inner}"])


def main():
    """Runs from the command line."""
    p = argparse.ArgumentParser(description="A planner against CP-SAT and brute force.")
    p.add_argument("--lastbolt", help="path of the program")
    p.add_argument("--count", type=int, default=50, help="machines for CP-SAT")
    p.add_argument("--brute", type=int, default=300, help="machines for brute.py")
    p.add_argument("--seed", type=int, default=1)
    p.add_argument("--seconds", type=float, default=60.0, help="for CP-SAT, each")
    p.add_argument("--keep", type=Path, help="folder for the machines (else a temporary one)")
    p.add_argument("--examples", type=Path, default=cases.EXAMPLES)
    p.add_argument("--bench-data", type=Path, help="folder of the gear pump tables")
    p.add_argument("--selftest", action="store_true")
    a = p.parse_args()
    if a.selftest:
        return selftest(a.seed, a.brute)
    if not a.lastbolt:
        p.error("--lastbolt PATH or --selftest")
    if a.count:
        try:
            import ortools  # noqa: F401
        except ImportError:
            p.error("CP-SAT is not installed: run setup.sh and use .venv/bin/python, or --count 0")
    work = a.keep or Path(tempfile.mkdtemp(prefix="peers-"))
    tally = Tally()
    files = gen.write(a.seed, max(a.brute, a.count), work)
    compare_random(tally, [a.lastbolt], files, a.count, a.seconds)
    compare_known(tally, [a.lastbolt], a.examples, a.bench_data, work)
    if tally.failed:
        print(f"the machines are kept in {work}")
    elif not a.keep:
        for file in work.glob("*.toml"):
            file.unlink()
        work.rmdir()
    return tally.end()


if __name__ == "__main__":
    sys.exit(main())
