"""Stand-ins for the planner: a right one, and wrong ones that every comparison has to reject.

    python twins.py NAME plan FILE --json --tolerance 0 [--strip-only]

The wrong ones are a plain reversal, a greedy planner, one whose sum is off, one that gives up, and
one for each rule of the contract that a planner might leave out or misread.
"""

import json
import sys
from dataclasses import replace

import brute
from kernel import BUILD, STRIP, Kernel
from machine import MACHINE, load, read

SAY = {
    "part": {"open": "off", "close": "on"},
    "tie": {"open": "undo", "close": "make", "start": "start"},
    "prep": {"open": "prep", "close": "end"},
}


def answer(m, steps):
    """An answer of the agreed form from (phase, Step, change) triples."""
    sides, opened, total = ([], []), m.start, 0
    late, looked = Kernel(m).late, False
    for phase, s, change in steps:
        if phase == BUILD and late >> s.thing & 1 and m.kinds[s.thing] != "prep" and not looked:
            looked = True
            sides[phase].append({"do": "look", "id": "leak look", "from": None, "tool": None,
                                 "minutes": 0, "change": 0, "cautions": []})
        verb = SAY[m.kinds[s.thing]][s.verb]
        if s.verb == "close" and m.group[s.thing]:
            verb = "tighten"
        sides[phase].append({
            "do": verb, "id": m.names[s.thing],
            "from": None if s.at is None else m.spots[s.at],
            "tool": None if s.tool is None else m.tools[s.tool],
            "minutes": s.minutes / 1000, "change": change / 1000, "cautions": [],
        })
        opened |= 1 << s.thing if s.verb == "open" else 0
        total += s.minutes + change
    sums = {"minutes": total / 1000, "least": total / 1000, "bound": total / 1000}
    return {"version": 1, "possible": True, "proved": True, **sums, "off": m.listed(opened),
            "strip": sides[STRIP], "build": sides[BUILD]}


IMPOSSIBLE = {"version": 1, "possible": False, "because": []}


def right(m, strip_only=False, rules=Kernel):
    """The least plan, by trying everything."""
    minutes, steps, _ = brute.least(m, strip_only, rules=rules)
    return dict(IMPOSSIBLE) if minutes is None else answer(m, steps)


def reversal(m, strip_only=False):
    """The best strip, then the same ways backwards."""
    minutes, steps, _ = brute.least(m, strip_only=True)
    if minutes is None:
        return dict(IMPOSSIBLE)
    if strip_only:
        return answer(m, steps)
    walk, spot, tool = Kernel(m), m.at, m.holding
    for _, s, _ in steps:
        _, spot, tool = walk.change(spot, tool, s)
    back = []
    for _, s, _ in reversed(steps):
        change, spot, tool = walk.change(spot, tool, s)
        back.append((BUILD, replace(s, verb="close"), change))
    return answer(m, steps + back)


def greedy(m, strip_only=False):
    """Always the cheapest step that is allowed next."""
    rules, opened, started, spot, tool = Kernel(m), m.start, 0, m.at, m.holding
    done = []
    for phase in (STRIP, BUILD)[: 1 if strip_only else 2]:
        while m.targets & ~opened if phase == STRIP else opened & ~m.leave & ~m.by_itself:
            offers = rules.steps(phase, opened, started)
            if not offers:
                return dict(IMPOSSIBLE)
            s = min(offers, key=lambda s: rules.change(spot, tool, s)[0] + s.minutes)
            change, spot, tool = rules.change(spot, tool, s)
            done.append((phase, s, change))
            opened, started = rules.after(s, opened, started)
    return answer(m, done)


def padded(m, strip_only=False):
    """The least plan with a minute too many on one step."""
    made = right(m, strip_only)
    for side in ("strip", "build"):
        for step in made.get(side, [])[:1]:
            step["minutes"] += 1
            return made
    return made


def gives_up(m, strip_only=False):
    """Calls everything impossible."""
    return dict(IMPOSSIBLE)


def without(**changes):
    """A planner that plans another machine than the one in the file."""
    def plan(m, strip_only=False):
        return right(replace(m, **{k: f(m) for k, f in changes.items()}), strip_only)
    return plan


def misreading(**methods):
    """A planner whose kernel has other rules."""
    wrong = type("WrongKernel", (Kernel,), methods)
    return lambda m, strip_only=False: right(m, strip_only, wrong)


def hand_drops_tool(self, spot, tool, step):
    """Counts the bare hand as a tool change: picking it up again costs."""
    cost, spot, after = Kernel.change(self, spot, tool, step)
    return cost, spot, None if step.tool is None and step.verb != "start" else after


def first_costs(self, spot, tool, step):
    """Counts the first spot as a move of a minute."""
    cost, after, tool = Kernel.change(self, spot, tool, step)
    return cost + (1000 if spot is None and step.at is not None else 0), after, tool


def covers_its_own(self, x, opened):
    """R12 without its exception for ties that join something in the load."""
    carried = load(self.m, x, opened & ~(1 << x))
    open_ties = [t for t in self.ties if (opened & ~self.m.leave) >> t & 1]
    return any(self.m.hidden_by[t] & carried for t in open_ties)


def covers_by_itself(self, x, opened):
    """R12 for the part alone: what is in its load hides nothing."""
    return any(
        (opened & ~self.m.leave) >> t & 1
        and self.m.hidden_by[t] >> x & 1
        and x not in self.m.joins[t]
        for t in self.ties
    )


def tight_at_once(self, x, opened, started):
    """R13 without waiting for the other members to be started."""
    return Kernel.may_close(self, x, opened, started | self.m.group[x])


def ways_without(**changes):
    """A function of a machine: its opening ways, changed."""
    return lambda m: [tuple(replace(w, **changes) for w in ways) for ways in m.ways]


def zeros(m):
    """Nothing for every thing."""
    return [0] * m.count


WRONG = {
    "reversal": reversal,
    "greedy": greedy,
    "padded": padded,
    "gives_up": gives_up,
    "no_hiding": without(hidden_by=zeros),
    "no_bearing": without(bears=lambda m: 0),
    "no_open_time": without(bead=lambda m: {}),
    "no_leak_look": without(covers=lambda m: 0),
    "no_groups": without(group=zeros),
    "no_put_aside": without(stays=zeros),
    "no_riding": without(carrier=lambda m: [MACHINE] * m.count, riders=lambda m: [[]] * m.count),
    "no_clear": without(ways=ways_without(clear=())),
    "no_needs": without(ways=ways_without(needs=0)),
    "same_ways_back": without(back=lambda m: [
        b if m.kinds[x] == "prep" else m.ways[x] for x, b in enumerate(m.back)]),
    "first_way_only": without(ways=lambda m: [w[:1] for w in m.ways]),
    "no_leave_off": without(leave=lambda m: 0),
    "no_already": without(start=lambda m: 0, leave=lambda m: m.leave & m.targets),
    "no_spot_changes": without(d_spot=lambda m: [[0] * len(m.spots) for _ in m.spots]),
    "no_tool_changes": without(d_tool=lambda m: [[0] * len(m.tools) for _ in m.tools]),
    "no_start": without(at=lambda m: None, holding=lambda m: None),
    "preps_end_any_time": misreading(prep_is_held=lambda self, x, opened: False),
    "covers_its_own": misreading(covers_open_tie=covers_its_own),
    "covers_by_itself": misreading(covers_open_tie=covers_by_itself),
    "tight_at_once": misreading(may_close=tight_at_once),
    "bench_while_hanging": misreading(hangs=lambda self, part, opened: False),
    "hand_drops_tool": misreading(change=hand_drops_tool),
    "first_costs": misreading(change=first_costs),
}


def main():
    """Behaves like the command that it stands in for."""
    name, verb, file, *options = sys.argv[1:]
    if verb != "plan" or "--json" not in options:
        print("twins.py: only plan FILE --json", file=sys.stderr)
        return 2
    planner = right if name == "right" else WRONG[name]
    made = planner(read(file), "--strip-only" in options)
    print(json.dumps(made))
    return 0 if made["possible"] else 1


if __name__ == "__main__":
    sys.exit(main())
