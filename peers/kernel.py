"""The formal rules for single steps: where things lie, when a way holds, what may be done next.

Written from the contract's text, as slowly and plainly as it reads. `opened` is the set of what
is open (a bit mask), `started` the set of group members that are started but not tight.
"""

from dataclasses import dataclass

from machine import BENCH, MACHINE, NOWHERE, crossing, load

STRIP, BUILD = 0, 1


@dataclass(frozen=True)
class Step:
    """One step: the verb, the thing, and where, with what and in how many thousandths."""

    verb: str  # "open", "close" or "start"
    thing: int
    at: int | None
    tool: int | None
    minutes: int


class Kernel:
    """The rules of one machine, with answers kept per set so that a search can ask often."""

    def __init__(self, m):
        self.m = m
        self.bench = m.spots.index(BENCH) if BENCH in m.spots else None
        self.parts = [i for i in range(m.count) if m.kinds[i] == "part"]
        self.ties = [i for i in range(m.count) if m.kinds[i] == "tie"]
        self.preps = [i for i in range(m.count) if m.kinds[i] == "prep"]
        self.closable = ((1 << m.count) - 1) & ~m.leave & ~m.by_itself
        self.late = self.after_look()

    def root(self, p, opened):
        """Where a part lies: the machine or the loose part that carries it."""
        while p != MACHINE and not opened >> p & 1:
            p = self.m.carrier[p]
        return p

    def place(self, t, opened):
        """The one place where all that a tie joins lies, but for what is put aside on it."""
        seen = set()
        for end in self.m.joins[t]:
            where = self.root(end, opened)
            if where == MACHINE or not self.m.stays[where] >> t & 1:
                seen.add(where)
        return seen.pop() if len(seen) == 1 else NOWHERE

    def hangs(self, part, opened):
        """R5: a loose part with a made put-aside tie hangs in the machine."""
        return bool(self.m.stays[part] & ~opened)

    def holds(self, x, way, opened):
        """Whether a way of x works, judged with x itself counted as on or made (R7)."""
        m = self.m
        rest = opened & ~(1 << x)
        if m.kinds[x] == "part":
            where = self.root(x, rest)
        elif m.kinds[x] == "tie":
            where = self.place(x, rest)
        else:
            where = MACHINE
        if where == NOWHERE or way.needs & ~rest:
            return False
        if way.at is not None and m.kinds[x] != "prep":  # a prep may be done anywhere
            if way.at == self.bench:
                if where == MACHINE or self.hangs(where, rest):
                    return False
            elif where != MACHINE:
                return False
        if not all(self.is_clear(c, where, rest) for c in way.clear):
            return False
        if m.kinds[x] == "part":
            return not crossing(m, load(m, x, rest)) & ~rest & ~m.stays[x]
        return True

    def is_clear(self, c, where, opened):
        """R6: off or undone, or in another place than the thing worked on."""
        if self.m.kinds[c] == "part":
            return self.root(c, opened) != where
        return bool(opened >> c & 1) or self.place(c, opened) != where

    def covers_open_tie(self, x, opened):
        """R12: whether putting part x on would hide a tie that is still open."""
        m = self.m
        carried = load(m, x, opened & ~(1 << x))
        for t in self.ties:
            if opened >> t & 1 and not m.leave >> t & 1 and m.hidden_by[t] & carried:
                if not any(e != MACHINE and carried >> e & 1 for e in m.joins[t]):
                    return True
        return False

    def prep_is_held(self, x, opened):
        """R11: whether an open thing that names prep x would be left without a way."""
        m = self.m
        left = opened & ~(1 << x)
        for y in range(m.count):
            if y == x or not opened >> y & 1 or (m.leave | m.by_itself) >> y & 1:
                continue
            needs = [w.own for w in m.ways[y]]
            if any(n >> x & 1 for n in needs) and all(n & ~left for n in needs):
                return True
        return False

    def steps(self, phase, opened, started):
        """Every step that is allowed now, each way once."""
        found = self.strip_steps(opened) if phase == STRIP else self.build_steps(opened, started)
        if self.m.bears:
            hanging = self.unborne(opened, started)
            found = [s for s in found if all(self.may_step(s.thing, p, opened) for p in hanging)]
        if self.late and phase == BUILD and opened & self.closable & ~self.late:
            found = [s for s in found if not self.late >> s.thing & 1
                     or self.m.kinds[s.thing] == "prep"]
        return found

    def boundary(self, p, opened):
        """The ties across the boundary of a load."""
        return crossing(self.m, load(self.m, p, opened))

    def unborne(self, opened, started):
        """R23: the parts on their seats whose bearing ties are all undone and not even started."""
        found = []
        for p in self.parts:
            if not opened >> p & 1:
                # a tie of a rider that is off bore that rider, not p: it is none of the full load
                bearing = self.boundary(p, opened) & self.boundary(p, 0) & self.m.bears
                if bearing and not bearing & ~(opened & ~started):
                    found.append(p)
        return found

    def may_step(self, x, p, opened):
        """R23: whether x may be stepped while the load of p is not borne."""
        ties = self.boundary(p, opened)
        if x == p or ties >> x & 1:
            return True
        ways = [w for t in self.ties if ties >> t & 1 for w in (*self.m.ways[t], *self.m.back[t])]
        return bool(self.needed(ways) >> x & 1)

    def after_look(self):
        """R28: the covers, the ties across their boundary, the preps that their ways need."""
        m, late = self.m, self.m.covers
        for p in self.parts:
            if m.covers >> p & 1:
                late |= self.boundary(p, 0)
                late |= self.needed([*m.ways[p], *m.back[p]])
        return late

    def needed(self, ways):
        """The preps that ways need, directly or through other preps."""
        found, queue = 0, [w for w in ways]
        while queue:
            new = queue.pop().needs & ~found
            found |= new
            for y in self.preps:
                if new >> y & 1:
                    queue += [*self.m.ways[y], *self.m.back[y]]
        return found

    def clocks(self, running, step, minutes, opened):
        """R24: the running clocks after a step that led to `opened`; None if one ran out."""
        m, found = self.m, {p: t + minutes for p, t in running}
        if any(t > m.bead[p] for p, t in found.items()):
            return None
        if step.verb == "close" and step.thing in m.bead:
            found[step.thing] = 0
        return tuple(sorted(
            (p, t) for p, t in found.items() if self.boundary(p, opened) & opened & ~m.leave
        ))

    def strip_steps(self, opened):
        """Every opening that is allowed."""
        m = self.m
        return [
            Step("open", x, w.at, w.tool, w.minutes)
            for x in range(m.count)
            if not opened >> x & 1
            for w in m.ways[x]
            if self.holds(x, w, opened)
        ]

    def build_steps(self, opened, started):
        """Every closing, starting and tightening that is allowed."""
        m, found = self.m, []
        for x in range(m.count):
            if not opened >> x & 1 or not self.closable >> x & 1:
                continue
            usable = [w for w in m.back[x] if self.holds(x, w, opened & ~started)]
            if not usable:
                continue
            if m.group[x] and not started >> x & 1:
                found += [Step("start", x, w.at, None, 0) for w in usable]
            elif self.may_close(x, opened, started):
                found += [Step("close", x, w.at, w.tool, w.minutes) for w in usable]
        return found

    def may_close(self, x, opened, started):
        """The conditions of closing x besides its ways (R11, R12, R13)."""
        m = self.m
        if m.kinds[x] == "part":
            return not self.covers_open_tie(x, opened)
        if m.kinds[x] == "prep":
            return not self.prep_is_held(x, opened)
        return not m.group[x] or not m.group[x] & opened & ~started & ~m.leave

    def after(self, step, opened, started):
        """The sets after a step."""
        bit = 1 << step.thing
        if step.verb == "open":
            return opened | bit, started
        if step.verb == "start":
            return opened, started | bit
        return opened & ~bit, started & ~bit

    def change(self, spot, tool, step):
        """Minutes of change before a step, and the spot and tool after it (R15)."""
        m, cost = self.m, 0
        if step.at is not None:
            cost += 0 if spot is None else m.d_spot[spot][step.at]
            spot = step.at
        if step.tool is not None:
            cost += 0 if tool is None else m.d_tool[tool][step.tool]
            tool = step.tool
        return cost, spot, tool


class HungStaysOff(Kernel):
    """The other reading of R5 (README, reading 1): what hangs itself may not go on at the bench."""

    def holds(self, x, way, opened):
        """As the kernel, but a part that is off and hangs is not put on at the bench."""
        at_bench = way.at is not None and way.at == self.bench
        if at_bench and self.m.kinds[x] == "part" and opened >> x & 1 and self.hangs(x, opened):
            return False
        return super().holds(x, way, opened)


def count_orders(m, limit=1_000_000):
    """How many orders open exactly the targets, whatever the ways."""
    kernel = Kernel(m)
    ahead = {m.start: 1}
    while True:
        nexts, total = {}, 0
        for opened, orders in ahead.items():
            if not m.targets & ~opened:
                total += orders
                continue
            for x in {s.thing for s in kernel.strip_steps(opened)}:
                if m.targets >> x & 1:
                    after = opened | 1 << x
                    nexts[after] = nexts.get(after, 0) + orders
        if total or not nexts:
            return total
        if len(nexts) > limit:
            raise OverflowError(f"more than {limit} sets")
        ahead = nexts
