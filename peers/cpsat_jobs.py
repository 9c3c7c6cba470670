"""The planner and CP-SAT (OR-tools) side by side on generated jobs, one direction, fixed ways.

    python cpsat_jobs.py [--lastbolt PROGRAM] [--writer EXAMPLE] [--jobs 40:0-3,300:0]
                         [--seconds 10] [--forms blocks,circuits] [--workers 2]

Each job is a layered machine of the test kit (`write_layered` of lastbolt-order). The program plans
it once; what came off and the ways it took are written as a new file in which each thing has that
one way and all of them are targets. That file both solve: the order of given actions, some
before others, at least minutes of change between spots and between tools.

Two formulations for CP-SAT, both with the order of a greedy hand as a hint:

blocks    "everything open that needs no change is done at once", so an order is a row of blocks
          of one spot and one tool. Per block: the spot, the tool, and of each action whether it is
          done by then; spot and tool are unit flows through the blocks whose arcs cost the change.
          As many blocks as the greedy hand's changes could pay for, so the least is the least.
circuits  without that reduction: one circuit over the actions with a spot, one over those with a
          tool (by hand one keeps the tool), and a rank of each action that rises along every arc
          and from each action to what waits for it.

Both are told how often each spot and tool is come to at least, by the chains of what comes before
what, and what that costs: else their bound is hardly more than the actions' minutes.

CP-SAT runs once per job with the longest limit; what it held after 1 s is written down as it runs.
Every order is walked by the rules of kernel.py and its minutes recomputed.
"""

import argparse
import json
import subprocess
import sys
import tempfile
import time
import tomllib
from dataclasses import dataclass
from pathlib import Path

import ortools
from ortools.sat.python import cp_model

from kernel import Kernel, Step
from machine import read, triangle_holds

HERE = Path(__file__).resolve().parent
TARGET = HERE.parent / "target"
JOBS = "40:0-3,60:0-3,80:0-3,110:0-3,160:0-2,300:0"


@dataclass
class Job:
    """Actions with one way each, what has to come before which, and the change minutes."""

    m: object
    things: list  # numbers of the machine's things
    ways: list
    before: list  # of each action, the set of actions it waits for (directly)
    fixed: int  # minutes of the actions themselves

    @property
    def count(self):
        """How many actions."""
        return len(self.things)


# ------------------------------------------------------------------ the job, as a file and read


def run_planner(program, path, seconds):
    """The program's answer and the seconds it took, starting included."""
    args = [program, "plan", path, "--json", "--strip-only", "--tolerance", "0"]
    started = time.monotonic()
    done = subprocess.run(
        [*map(str, args), "--seconds", str(seconds)], capture_output=True, text=True, check=False
    )
    took = time.monotonic() - started
    if done.returncode:
        raise RuntimeError(f"{path}: {done.stderr or done.stdout}")
    return json.loads(done.stdout), took


def toml_value(value):
    """A value as TOML, on one line."""
    if isinstance(value, dict):
        pairs = [f"{json.dumps(k)} = {toml_value(v)}" for k, v in value.items()]
        return "{ " + ", ".join(pairs) + " }"
    if isinstance(value, list):
        return "[" + ", ".join(toml_value(v) for v in value) + "]"
    return json.dumps(value, ensure_ascii=False)


def fix_ways(path, strip, out):
    """Writes the file in which each thing of a strip has the way taken, and all are targets."""
    doc = tomllib.loads(Path(path).read_text(encoding="utf-8"))
    taken = {step["id"]: step for step in strip}
    lines = [f"fixed = {toml_value(doc['fixed'])}"]
    for table in ("between", "tool_change"):
        if table in doc:
            lines += [f"[{table}]", *(f"{json.dumps(k)} = {v}" for k, v in doc[table].items())]
    for kind in ("spot", "prep", "part", "tie"):
        for name, thing in doc.get(kind, {}).items():
            keep = thing
            if kind != "spot":
                if name not in taken:
                    continue
                keep = {k: v for k, v in thing.items() if k in ("joins", "needs")}
                keep["ways"] = [way_taken(thing, taken[name])]
                if kind == "prep":
                    keep["back"] = "by itself"
            lines += [f"[{kind}.{json.dumps(name, ensure_ascii=False)}]"]
            lines += [f"{k} = {toml_value(v)}" for k, v in keep.items()]
    preps = [step["id"] for step in strip if step["do"] == "prep"]
    lines += ["[job]", f"do = {toml_value(preps)}"]
    lines += [f"off = {toml_value([i for i in taken if i not in preps])}"]
    lines += [f"{k} = {toml_value(v)}" for k, v in doc["job"].items() if k in ("at", "holding")]
    Path(out).write_text("\n".join(lines) + "\n", encoding="utf-8")


def way_taken(thing, step):
    """The way of a thing that a printed step used."""
    for way in thing.get("ways", [{}]):
        where = way.get("from") in (None, step["from"])
        if where and way.get("tool") == step["tool"] and way.get("minutes") == step["minutes"]:
            return way
    raise RuntimeError(f"no way of {step['id']} is like its step")


def read_job(path):
    """The actions of a file with one way each, and what they wait for by the rules."""
    m = read(path)
    if not triangle_holds(m.d_spot) or not triangle_holds(m.d_tool):
        raise RuntimeError("a detour is cheaper than a change")
    things = [x for x in range(m.count) if m.targets >> x & 1]
    number = {x: i for i, x in enumerate(things)}
    before = []
    for x in things:
        (way,) = set(m.ways[x])
        waits = {c for c in way.clear} | {n for n in things if way.needs >> n & 1}
        if m.kinds[x] == "part":
            waits |= {t for t in things if x in m.joins[t]}
        before.append({number[y] for y in waits})
    ways = [m.ways[x][0] for x in things]
    return Job(m, things, ways, before, sum(w.minutes for w in ways))


def walk(job, order):
    """The thousandths of an order of actions by kernel.py's rules; refuses a wrong one."""
    kernel, m = Kernel(job.m), job.m
    opened, spot, tool, total = m.start, m.at, m.holding, 0
    for i in order:
        x, way = job.things[i], job.ways[i]
        if opened >> x & 1 or not kernel.holds(x, way, opened):
            raise RuntimeError(f"{m.names[x]} is not allowed at its place")
        step = Step("open", x, way.at, way.tool, way.minutes)
        cost, spot, tool = kernel.change(spot, tool, step)
        opened, _ = kernel.after(step, opened, 0)
        total += cost + way.minutes
    if m.targets & ~opened:
        raise RuntimeError("not all is open at the end")
    return total


def refuses_backwards(job):
    """The walk has to refuse an order told from its end."""
    try:
        walk(job, greedy(job)[::-1])
    except RuntimeError:
        return
    raise RuntimeError("BUG: an order told backwards is taken for right")


def greedy(job):
    """Does what needs no change at once, else goes where the change costs least."""
    order, left = [], set(range(job.count))
    spot, tool = job.m.at, job.m.holding
    kernel = Kernel(job.m)
    while left:
        ready = [i for i in sorted(left) if not job.before[i] & left]
        steps = [Step("open", job.things[i], w.at, w.tool, 0) for i in ready for w in [job.ways[i]]]
        costs = [kernel.change(spot, tool, step)[0] for step in steps]
        best = costs.index(min(costs))
        _, spot, tool = kernel.change(spot, tool, steps[best])
        order.append(ready[best])
        left.remove(ready[best])
    return order


# ------------------------------------------------------------------------------- formulations


class Blocks:
    """A row of blocks of one spot and one tool; in each, all that is open there is done."""

    def __init__(self, job, order):
        self.job, self.cp = job, cp_model.CpModel()
        hint = self.hinted(order)
        changes = walk(job, order) - job.fixed
        dear = [c for d in (job.m.d_spot, job.m.d_tool) for row in d for c in row if c]
        self.blocks = max(len(hint), 1 + changes // min(dear))
        hint += [hint[-1]] * (self.blocks - len(hint))
        self.costs = []
        spots, tools = ([getattr(w, name) for w in job.ways] for name in ("at", "tool"))
        self.spot = self.flow(job.m.d_spot, job.m.at, [s for s, _, _ in hint],
                              comings(job, order, spots, len(job.m.d_spot)))
        self.tool = self.flow(job.m.d_tool, job.m.holding, [t for _, t, _ in hint],
                              comings(job, order, tools, len(job.m.d_tool)))
        self.make_done([done for _, _, done in hint])
        self.cp.minimize(job.fixed + sum(c * lit for c, lit in self.costs))

    def hinted(self, order):
        """The greedy order as blocks: spot, tool and what is done by the end of each."""
        job = self.job
        spot = job.m.at if job.m.at is not None else 0
        tools = [job.ways[i].tool for i in order if job.ways[i].tool is not None]
        tool = job.m.holding if job.m.holding is not None else (tools or [0])[0]
        row, done = [], set()
        for i in order:
            way = job.ways[i]
            there = spot if way.at is None else way.at
            held = tool if way.tool is None else way.tool
            if row and (there, held) == (spot, tool):
                row.pop()
            spot, tool = there, held
            done = done | {i}
            row.append((spot, tool, done))
        return row

    def flow(self, d, first, hint, least):
        """Which spot (or tool) each block has; going from one to another costs."""
        cp, size = self.cp, range(len(d))
        rows = [[cp.new_bool_var("") for _ in size] for _ in range(self.blocks)]
        came, costs = [[row] for row in rows[0]], []
        for k, row in enumerate(rows):
            cp.add_exactly_one(row)
            for a in size:
                cp.add_hint(row[a], hint[k] == a)
            if k == 0:
                if first is not None:
                    costs += [(d[first][a], row[a]) for a in size if a != first]
                continue
            arcs = {(a, b): cp.new_bool_var("") for a in size for b in size}
            for a in size:
                cp.add(sum(arcs[a, b] for b in size) == rows[k - 1][a])
                cp.add(sum(arcs[b, a] for b in size) == row[a])
            for (a, b), arc in arcs.items():
                cp.add_hint(arc, (hint[k - 1], hint[k]) == (a, b))
                if a != b:
                    costs.append((d[a][b], arc))
                    came[b].append(arc)
        for a in size:
            cp.add(sum(came[a]) >= least[a])
        cp.add(sum(c * lit for c, lit in costs) >= dues(d, first, least))
        self.costs += costs
        return rows

    def make_done(self, hint):
        """Of each action and block whether it is done by then, and the rules for it."""
        cp, job = self.cp, self.job
        self.done = [[cp.new_bool_var("") for _ in range(self.blocks)] for _ in job.things]
        for i, row in enumerate(self.done):
            cp.add_bool_or([row[-1]])
            for k, lit in enumerate(row):
                cp.add_hint(lit, i in hint[k])
                at = [] if job.ways[i].at is None else [self.spot[k][job.ways[i].at]]
                at += [] if job.ways[i].tool is None else [self.tool[k][job.ways[i].tool]]
                waits = [self.done[p][k] for p in job.before[i]]
                earlier = [row[k - 1]] if k else []
                for asked in at:
                    cp.add_bool_or([lit.negated(), asked, *earlier])
                for lit_before in [*waits]:
                    cp.add_implication(lit, lit_before)
                if k:
                    cp.add_implication(row[k - 1], lit)
                cp.add_bool_or([lit, *(x.negated() for x in [*at, *waits])])  # done at once

    def order(self, value):
        """The order of a solution: by block, and in a block after what it waits for."""
        when = [sum(not value(lit) for lit in row) for row in self.done]
        return in_order(self.job, when)


class Circuits:
    """Two circuits over the actions, of spots and of tools, along which a rank rises."""

    def __init__(self, job, order):
        self.job, self.cp = job, cp_model.CpModel()
        self.rank = [self.cp.new_int_var(0, job.count - 1, "") for _ in job.things]
        for at, i in enumerate(order):
            self.cp.add_hint(self.rank[i], at)
        self.ahead = closure(job, order)
        for i, waits in enumerate(job.before):
            for p in waits:
                self.cp.add(self.rank[p] + 1 <= self.rank[i])
        costs = self.circuit(order, job.m.d_spot, job.m.at, [w.at for w in job.ways])
        costs += self.circuit(order, job.m.d_tool, job.m.holding, [w.tool for w in job.ways])
        self.cp.minimize(job.fixed + sum(c * lit for c, lit in costs))

    def circuit(self, order, d, first, where):
        """One circuit over the actions that have a spot (or a tool); its costs."""
        cp = self.cp
        nodes = [i for i in order if where[i] is not None]
        inside = {i: set(nodes) & self.ahead[i] for i in nodes}
        behind = {i: {j for j in nodes if i in inside[j]} for i in nodes}
        arcs, costs = [], []
        came = [[] for _ in d]
        for at, i in enumerate(nodes):
            first_lit, last_lit = cp.new_bool_var(""), cp.new_bool_var("")
            arcs += [(0, at + 1, first_lit), (at + 1, 0, last_lit)]
            cp.add_hint(first_lit, at == 0)
            cp.add_hint(last_lit, at == len(nodes) - 1)
            came[where[i]].append(first_lit)
            if first is not None and d[first][where[i]]:
                costs.append((d[first][where[i]], first_lit))
            for to, j in enumerate(nodes):
                if i == j or j in inside[i] or (i in inside[j] and behind[i] & inside[j]):
                    continue
                lit = cp.new_bool_var("")
                cp.add_hint(lit, to == at + 1)
                arcs.append((at + 1, to + 1, lit))
                cp.add(self.rank[i] + 1 <= self.rank[j]).only_enforce_if(lit)
                if where[i] != where[j]:
                    came[where[j]].append(lit)
                if d[where[i]][where[j]]:
                    costs.append((d[where[i]][where[j]], lit))
        if nodes:
            cp.add_circuit(arcs)
        least = comings(self.job, order, where, len(d))
        for lits, times in zip(came, least):
            cp.add(sum(lits) >= times)
        cp.add(sum(c * lit for c, lit in costs) >= dues(d, first, least))
        return costs

    def order(self, value):
        """The order of a solution: by rank; equal ranks share no circuit that matters."""
        return in_order(self.job, [value(r) for r in self.rank])


def comings(job, order, where, size):
    """How often at least each spot (or tool) is come to: most often along any chain of befores."""
    least = []
    for asked in range(size):
        here, away = {}, {}  # comings on the best chain so far that ends here, that ends elsewhere
        for i in order:
            here[i] = max((here[p] for p in job.before[i]), default=0)
            away[i] = max((away[p] for p in job.before[i]), default=0)
            if where[i] == asked:
                here[i] = max(here[i], away[i] + 1)
            elif where[i] is not None:
                away[i] = max(here[i], away[i])
        least.append(max([*here.values(), *away.values()], default=0))
    return least


def dues(d, first, least):
    """What so many comings cost at least; the first is free, or is where one stands already."""
    size = range(len(d))
    cheapest = [min((d[b][a] for b in size if b != a), default=0) for a in size]
    came = [a for a in size if least[a]]
    free = cheapest[first] if first in came else 0
    if first is None:
        free = max((cheapest[a] for a in came), default=0)
    return sum(cheapest[a] * least[a] for a in came) - free


def closure(job, order):
    """Of each action all that comes before it, directly or not."""
    ahead = {}
    for i in order:
        ahead[i] = set(job.before[i]).union(*(ahead[p] for p in job.before[i]))
    return ahead


def in_order(job, when):
    """Actions by `when`, those of the same value after what they wait for."""
    left, order = set(range(job.count)), []
    while left:
        ready = [i for i in left if not job.before[i] & left]
        i = min(ready, key=lambda i: (when[i], i))
        order.append(i)
        left.remove(i)
    return order


# Each with the strategy of CP-SAT that did best in a few trials; the other worker looks for orders.
FORMS = {"blocks": (Blocks, ["core"]), "circuits": (Circuits, [])}


# ------------------------------------------------------------------------------------- running


class Watch(cp_model.CpSolverSolutionCallback):
    """Notes each better order and bound with its second."""

    def __init__(self):
        super().__init__()
        self.started = time.monotonic()
        self.found, self.bounds = [], []

    def on_solution_callback(self):
        """One more order."""
        self.found.append((time.monotonic() - self.started, round(self.objective_value)))

    def on_bound(self, bound):
        """One more bound."""
        self.bounds.append((time.monotonic() - self.started, bound))

    def at(self, second):
        """Cost and bound held at a second, in minutes; None for none."""
        costs = [c for t, c in self.found if t <= second]
        bounds = [b for t, b in self.bounds if t <= second]
        return (costs[-1] / 1000 if costs else None, max(bounds) / 1000 if bounds else None)


def run_cpsat(job, form, seconds, workers):
    """What CP-SAT makes of a job: a dict of what it held at 1 s and at the end."""
    formulation, strategy = FORMS[form]
    model = formulation(job, greedy(job))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = 1
    solver.parameters.subsolvers.extend(strategy)
    watch = Watch()
    solver.best_bound_callback = watch.on_bound
    status = solver.solve(model.cp, watch)
    took = time.monotonic() - watch.started
    if status == cp_model.MODEL_INVALID:
        raise RuntimeError("BUG: CP-SAT calls the model invalid: " + model.cp.validate())
    if status == cp_model.INFEASIBLE:
        raise RuntimeError("BUG: CP-SAT finds no order")
    cost = None
    if status in (cp_model.OPTIMAL, cp_model.FEASIBLE):
        cost = walk(job, model.order(solver.value))
        if cost > round(solver.objective_value):
            raise RuntimeError(f"BUG: {cost} by the rules, {solver.objective_value} by CP-SAT")
    return {
        "one": watch.at(1.0),
        "cost": None if cost is None else cost / 1000,
        "bound": solver.best_objective_bound / 1000,
        "proved": status == cp_model.OPTIMAL,
        "took": took,
        "reached": [(t, c / 1000) for t, c in watch.found],
    }


def run_job(options, size, seed, folder):
    """One row of the table, and a complaint if the two contradict each other."""
    written = subprocess.run(
        [options.writer, str(size), str(seed), folder], capture_output=True, text=True, check=True
    )
    path = Path(written.stdout.strip())
    first, _ = run_planner(options.lastbolt, path, 3)
    fixed = path.with_name(path.stem + "_fixed.toml")
    fix_ways(path, first["strip"], fixed)
    job = read_job(fixed)
    refuses_backwards(job)
    runs = [run_planner(options.lastbolt, fixed, 1)]
    if not runs[0][0]["proved"] and options.seconds > 1:
        runs.append(run_planner(options.lastbolt, fixed, options.seconds))
    for answer, _ in runs:
        number = {job.m.names[x]: i for i, x in enumerate(job.things)}
        cost = walk(job, [number[step["id"]] for step in answer["strip"]])
        if cost != round(answer["minutes"] * 1000):
            raise RuntimeError(f"{fixed}: {answer['minutes']} printed, {cost / 1000} by the rules")
    ours = [f"{seen(a['minutes'])} ({least(a['proved'], a['bound'])})" for a, _ in runs]
    ours += ["as before"] * (2 - len(ours))
    answer, took = runs[-1]
    bad = []
    for form in options.forms.split(","):
        theirs = run_cpsat(job, form, options.seconds, options.workers)
        equal = [t for t, c in theirs["reached"] if c <= answer["minutes"]]
        cells = [job.count, seed, walk(job, greedy(job)) / 1000, *ours, f"{took:.2f}", form]
        cells += [held(theirs["one"])]
        cells += [f"{seen(theirs['cost'])} ({least(theirs['proved'], theirs['bound'])})"]
        cells += [f"{theirs['took']:.1f}", f"{equal[0]:.2f}" if equal else "not"]
        print("| " + " | ".join(map(str, cells)) + " |", flush=True)
        if theirs["proved"] and answer["proved"] and theirs["cost"] != answer["minutes"]:
            bad.append(f"{size} {seed}: both proved, {answer['minutes']} and {theirs['cost']}")
        if theirs["bound"] > answer["minutes"] + 1e-6:
            bad.append(f"{size} {seed}: bound {theirs['bound']}, {answer['minutes']} found")
        if theirs["cost"] is not None and answer["bound"] > theirs["cost"] + 1e-6:
            bad.append(f"{size} {seed}: bound {answer['bound']}, CP-SAT found {theirs['cost']}")
    return bad


def seen(minutes):
    """Minutes for the table."""
    return "none" if minutes is None else f"{minutes:g}"


def least(proved, bound):
    """What is known of the least, for the table."""
    return "proved" if proved else f"≥ {bound:g}"


def held(pair):
    """What was held at one second."""
    cost, bound = pair
    return f"{seen(cost)} (≥ {seen(bound)})" if cost != bound or cost is None else (
        f"{seen(cost)} (proved)")


def wanted(text):
    """`40:0-3,300:0` as sizes and seeds."""
    for item in text.split(","):
        size, seeds = item.split(":")
        first, _, last = seeds.partition("-")
        for seed in range(int(first), int(last or first) + 1):
            yield int(size), seed


def main():
    """Runs from the command line; ends with 1 if the two contradict each other."""
    p = argparse.ArgumentParser(description="The planner and CP-SAT on generated jobs.")
    p.add_argument("--lastbolt", default=TARGET / "release" / "lastbolt")
    p.add_argument("--writer", default=TARGET / "debug" / "examples" / "write_layered")
    p.add_argument("--jobs", default=JOBS)
    p.add_argument("--seconds", type=float, default=10.0)
    p.add_argument("--workers", type=int, default=2)
    p.add_argument("--forms", default="blocks")
    options = p.parse_args()
    print(f"OR-tools {ortools.__version__}, {options.workers} workers, seed 1, "
          f"{options.seconds:g} s; Python {sys.version.split()[0]}")
    print("| actions | seed | greedy hint | program 1 s | program longer | took s | form "
          "| CP-SAT 1 s | CP-SAT at the end | took s | as cheap after s |")
    print("|--:|--:|--:|--:|--:|--:|---|--:|--:|--:|--:|")
    bad = []
    with tempfile.TemporaryDirectory() as folder:
        for size, seed in wanted(options.jobs):
            bad += run_job(options, size, seed, folder)
    print("\n".join([*bad, f"contradictions: {len(bad)}"]))
    return 1 if bad else 0


if __name__ == "__main__":
    sys.exit(main())
