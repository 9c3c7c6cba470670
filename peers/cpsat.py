"""Least minutes of a small machine by OR-tools CP-SAT, a formulation without any search of ours.

    python cpsat.py FILE [--seconds S] [--workers N]

Time is cut into slots: strip slots, the turn, build slots. Between two slots stands a state of
yes/no variables (open? started? where does each part lie?); each slot takes one step or none.
A step's rules are clauses on a single state: a strip step reads the state before it, a build step
the state after it (R7 says that both are judged with the thing itself counted as on). Spot and
tool run through the slots as two unit flows whose arcs cost the change minutes.

Prints JSON {"minutes", "proved", "possible"}; minutes is null when there is no plan, possible is
null when the time ran out before any answer.
"""

import argparse
import json
import sys

from ortools.sat.python import cp_model

from machine import BENCH, MACHINE, Refused, read


class Model:
    """The CP-SAT model of one machine."""

    def __init__(self, m):
        self.m = m
        self.cp = cp_model.CpModel()
        self.true = self.cp.new_constant(1)
        self.false = self.true.negated()
        self.parts = [i for i in range(m.count) if m.kinds[i] == "part"]
        self.ties = [i for i in range(m.count) if m.kinds[i] == "tie"]
        self.grouped = [i for i in self.ties if m.group[i]]
        closed = [x for x in range(m.count) if not m.start >> x & 1]
        self.turn = len(closed)
        self.slots = self.turn + m.count + len(self.grouped)
        self.bench = m.spots.index(BENCH) if BENCH in m.spots else None
        self.memo = {}
        self.costs = []
        self.make_states()
        self.steps = [self.make_slot(k) for k in range(self.slots)]
        self.make_bounds()
        self.make_flow(m.d_spot, m.at, lambda verb, way: way.at)
        self.make_flow(
            m.d_tool, m.holding, lambda verb, way: None if verb == "start" else way.tool
        )
        self.cp.minimize(sum(c * lit for c, lit in self.costs))

    # ------------------------------------------------------------- states

    def make_states(self):
        """Open and started variables at every boundary, with start, turn and end fixed."""
        m, cp = self.m, self.cp
        states = range(self.slots + 1)
        self.open = [[cp.new_bool_var(f"o{x},{k}") for k in states] for x in range(m.count)]
        self.started = {
            x: [cp.new_bool_var("") if k > self.turn else self.false for k in states]
            for x in self.grouped
        }
        stays_open = m.leave | m.by_itself
        for x in range(m.count):
            cp.add(self.open[x][0] == (m.start >> x & 1))
            if m.targets >> x & 1:
                cp.add(self.open[x][self.turn] == 1)
            if not stays_open >> x & 1:
                cp.add(self.open[x][self.slots] == 0)

    def loose(self, x, k):
        """x is open and not started: the set V in which ways are judged."""
        if x not in self.started or k <= self.turn:
            return self.open[x][k]
        return self.both(self.open[x][k], self.started[x][k].negated())

    def both(self, *literals):
        """A literal that is true exactly when all of them are."""
        return self.defined("and", literals)

    def either(self, *literals):
        """A literal that is true when at least one of them is."""
        return self.defined("and", [x.negated() for x in literals]).negated()

    def defined(self, kind, literals):
        """The defined literal of a conjunction, made once."""
        unique = {x.index: x for x in literals}
        if self.false.index in unique or any(-1 - i in unique for i in unique):
            return self.false
        unique.pop(self.true.index, None)
        if not unique:
            return self.true
        if len(unique) == 1:
            return next(iter(unique.values()))
        key = (kind, *sorted(unique))
        if key not in self.memo:
            made = self.cp.new_bool_var("")
            self.cp.add_bool_and(unique.values()).only_enforce_if(made)
            self.cp.add_bool_or([made, *(x.negated() for x in unique.values())])
            self.memo[key] = made
        return self.memo[key]

    def lies(self, p, k):
        """Where part p lies in state k: {place: literal}."""
        if p == MACHINE:
            return {MACHINE: self.true}
        off = self.open[p][k]
        carried = self.lies(self.m.carrier[p], k)
        return {p: off, **{q: self.both(off.negated(), lit) for q, lit in carried.items()}}

    def place(self, t, k):
        """The place of tie t in state k: {place: literal}; no literal true when apart."""
        ends = [self.lies(e, k) for e in self.m.joins[t]]
        aside = {q for end in ends for q in end if q != MACHINE and self.m.stays[q] >> t & 1}
        found = {}
        for q in {q for end in ends for q in end} - aside:
            here = [end.get(q, self.false) for end in ends]
            fits = [
                self.either(lit, *(end[a] for a in aside if a in end))
                for lit, end in zip(here, ends)
            ]
            found[q] = self.both(self.either(*here), *fits)
        return found

    def carries(self, x, p, k):
        """Part p is in the load of x in state k."""
        on = []
        while p != x:
            if p == MACHINE:
                return self.false
            on.append(self.open[p][k].negated())
            p = self.m.carrier[p]
        return self.both(*on)

    # -------------------------------------------------------------- steps

    def make_slot(self, k):
        """The steps of slot k as {(verb, thing, way): literal}, with their rules."""
        m, cp = self.m, self.cp
        strip = k < self.turn
        steps = {}
        for x in range(m.count):
            if strip and not m.start >> x & 1:
                for way in dict.fromkeys(m.ways[x]):
                    steps["open", x, way] = cp.new_bool_var("")
            if not strip and not (m.leave | m.by_itself) >> x & 1:
                for way in dict.fromkeys(m.back[x]):
                    steps["close", x, way] = cp.new_bool_var("")
                    if x in self.started:
                        steps["start", x, way] = cp.new_bool_var("")
        for (verb, x, way), lit in steps.items():
            self.way_holds(lit, x, way, k if strip else k + 1)
            if verb != "start":
                self.costs.append((way.minutes, lit))
            if verb == "close":
                self.may_close(lit, x, k)
        self.move_states(k, steps)
        cp.add_at_most_one(steps.values())
        return steps

    def move_states(self, k, steps):
        """Open and started change by the slot's step and by nothing else."""
        m, cp = self.m, self.cp
        for x in range(m.count):
            opens, closes, starts = (
                sum(lit for (v, y, _), lit in steps.items() if v == verb and y == x)
                for verb in ("open", "close", "start")
            )
            cp.add(self.open[x][k + 1] == self.open[x][k] + opens - closes)
            if x in self.started and k >= self.turn:
                before = self.started[x][k]
                cp.add(self.started[x][k + 1] == before + starts - closes)
                cp.add_implication(self.started[x][k + 1], self.open[x][k + 1])

    def way_holds(self, step, x, way, k):
        """Clauses: if the step is taken, the way works in state k, where x is on or made."""
        m, cp = self.m, self.cp
        kind = m.kinds[x]
        if kind == "part":
            where = self.lies(m.carrier[x], k)
        else:
            where = self.place(x, k) if kind == "tie" else {MACHINE: self.true}
        fit = where
        if way.at is not None and kind != "prep":
            fit = {q: lit for q, lit in where.items() if (q != MACHINE) == (way.at == self.bench)}
        cp.add_bool_or([step.negated(), *fit.values()])
        for q, here in fit.items():
            taken = [step, here]
            if way.at is not None and way.at == self.bench and kind != "prep":
                for t in self.members(m.stays[q]):
                    cp.add_bool_and([self.loose(t, k)]).only_enforce_if(taken)
            for c in way.clear:
                cp.add_bool_and([self.cleared(c, q, k)]).only_enforce_if(taken)
        for need in self.members(way.needs):
            cp.add_implication(step, self.open[need][k])
        if kind == "part":
            self.free_of_ties(step, x, k)

    def members(self, mask):
        """The things of a set."""
        return [x for x in range(self.m.count) if mask >> x & 1]

    def cleared(self, c, q, k):
        """c is clear of work at place q in state k."""
        if self.m.kinds[c] == "part":
            return self.lies(c, k).get(q, self.false).negated()
        here = self.place(c, k).get(q, self.false)
        return self.either(self.loose(c, k), here.negated())

    def free_of_ties(self, step, x, k):
        """No made tie leads out of the load of x, but those it is put aside on."""
        for t in self.ties:
            if self.m.stays[x] >> t & 1:
                continue
            inside = [self.carries(x, e, k) for e in self.m.joins[t]]
            for a in inside:
                for b in inside:
                    if a.index != b.index:
                        crossing = [step, a, b.negated()]
                        self.cp.add_bool_and([self.loose(t, k)]).only_enforce_if(crossing)

    def may_close(self, step, x, k):
        """What closing x in slot k asks for besides its way."""
        m, cp = self.m, self.cp
        if m.kinds[x] == "part":
            for t in self.ties:
                if m.leave >> t & 1:
                    continue
                joined = [self.carries(x, e, k + 1) for e in m.joins[t]]
                for h in self.members(m.hidden_by[t]):
                    hides = [step, self.carries(x, h, k + 1), self.open[t][k + 1]]
                    cp.add_bool_or(joined).only_enforce_if(hides)
        elif m.kinds[x] == "prep":
            self.may_end(step, x, k)
        elif x in self.started:
            cp.add_implication(step, self.started[x][k])
            for y in self.members(m.group[x] & ~m.leave):
                cp.add_bool_or([step.negated(), self.open[y][k].negated(), self.started[y][k]])

    def may_end(self, step, x, k):
        """R11: every open thing that names prep x keeps a way whose needs are in force."""
        m = self.m
        for y in range(m.count):
            if y == x or (m.leave | m.by_itself) >> y & 1:
                continue
            if any(w.own >> x & 1 for w in m.ways[y]):
                left = [
                    self.both(*(self.open[n][k + 1] for n in self.members(w.own)))
                    for w in m.ways[y]
                ]
                self.cp.add_bool_or(left).only_enforce_if([step, self.open[y][k]])

    # -------------------------------------------------- bounds and changes

    def make_bounds(self):
        """Idle slots lie around the turn, and each thing opens and closes at most once."""
        cp = self.cp
        for k in range(self.slots - 1):
            now, then = sum(self.steps[k].values()), sum(self.steps[k + 1].values())
            if k + 1 < self.turn:
                cp.add(now >= then)
            elif k >= self.turn:
                cp.add(now <= then)
        for x in range(self.m.count):
            for verb, state, sign in (("open", 0, 1), ("close", self.slots, 1)):
                made = [
                    lit for steps in self.steps for (v, y, _), lit in steps.items()
                    if v == verb and y == x
                ]
                change = self.open[x][self.turn] - self.open[x][state]
                if made or verb == "open":
                    cp.add(sum(made) == sign * change)

    def make_flow(self, d, first, wanted):
        """One unit runs over the spots (or tools); arcs between different ones cost d."""
        cp, size = self.cp, len(d)
        unknown = size  # not anywhere yet: leaving it is free
        nodes = range(size + 1)
        now = [self.true if a == (unknown if first is None else first) else self.false
               for a in nodes]
        for steps in self.steps:
            then = [cp.new_bool_var("") for _ in range(size)] + [cp.new_bool_var("")]
            arcs = {(a, b): cp.new_bool_var("") for a in nodes for b in nodes if b < size or a == b}
            for a in nodes:
                cp.add(sum(v for (i, _), v in arcs.items() if i == a) == now[a])
                cp.add(sum(v for (_, j), v in arcs.items() if j == a) == then[a])
            for b in range(size):
                asking = sum(lit for (v, _, w), lit in steps.items() if wanted(v, w) == b)
                cp.add(then[b] >= asking)
                for a in nodes:
                    if a != b:
                        cp.add(arcs[a, b] <= asking)
                    if a < size and d[a][b]:
                        self.costs.append((d[a][b], arcs[a, b]))
            now = then


def solve(m, seconds=60.0, workers=2):
    """(thousandths or None, possible or None, proved) for a machine."""
    if m.bears or m.bead or m.covers:
        raise Refused("R23, R24 and R28 are not written down for CP-SAT")
    model = Model(m)
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds = seconds
    solver.parameters.num_workers = workers
    solver.parameters.random_seed = 1
    status = solver.solve(model.cp)
    if status == cp_model.MODEL_INVALID:
        raise RuntimeError("BUG: CP-SAT calls the model invalid: " + model.cp.validate())
    if status == cp_model.INFEASIBLE:
        return None, False, True
    if status == cp_model.UNKNOWN:
        return None, None, False
    return round(solver.objective_value), True, status == cp_model.OPTIMAL


def main():
    """Runs from the command line."""
    p = argparse.ArgumentParser(description="Least minutes of a small machine by CP-SAT.")
    p.add_argument("file")
    p.add_argument("--seconds", type=float, default=60.0)
    p.add_argument("--workers", type=int, default=2)
    a = p.parse_args()
    try:
        minutes, possible, proved = solve(read(a.file), a.seconds, a.workers)
    except (Refused, OSError, ValueError) as e:
        print(f"{a.file}: {e}", file=sys.stderr)
        return 2
    shown = None if minutes is None else minutes / 1000
    print(json.dumps({"minutes": shown, "proved": proved, "possible": possible}))
    return 0 if possible else 1


if __name__ == "__main__":
    sys.exit(main())
