"""Exact least minutes by trying everything: Dijkstra over what is open, started, spot, tool, phase
and how long sealant has been open.

    python brute.py FILE [--strip-only] [--states N] [--steps]

Prints JSON {"minutes", "possible", "proved", "states"}; with more than N states it says so.
"""

import argparse
import heapq
import json
import sys

from kernel import BUILD, STRIP, Kernel
from machine import Refused, read

STATES = 400_000


class TooManyStates(Exception):
    """The machine is too large for trying everything."""


def least(m, strip_only=False, limit=STATES, rules=Kernel):
    """(thousandths or None, steps as (phase, Step, change), states seen) of a least plan."""
    kernel = rules(m)
    done_mask = m.leave | m.by_itself
    first = (STRIP, m.start, 0, m.at, m.holding, ())
    best = {first: 0}
    came = {}
    offers = {}
    queue = [(0, 0, first)]
    tick = 0
    while queue:
        cost, _, state = heapq.heappop(queue)
        if cost > best[state]:
            continue
        phase, opened, started, spot, tool, running = state
        met = not m.targets & ~opened
        if met and (strip_only or (phase == BUILD and not opened & ~done_mask)):
            return cost, trace(came, state), len(best)
        moves = []
        if phase == STRIP and met:
            moves.append((0, None, (BUILD, opened, started, spot, tool, ())))
        if phase == BUILD and not opened & ~done_mask:
            return cost, trace(came, state), len(best)
        key = (phase, opened, started)
        if key not in offers:
            offers[key] = [
                (s, *kernel.after(s, opened, started)) for s in kernel.steps(*key)
            ]
        for step, next_open, next_started in offers[key]:
            change, next_spot, next_tool = kernel.change(spot, tool, step)
            clocks = running
            if m.bead:
                clocks = kernel.clocks(running, step, change + step.minutes, next_open)
                if clocks is None:
                    continue
            after = (phase, next_open, next_started, next_spot, next_tool, clocks)
            moves.append((change + step.minutes, (step, change), after))
        for add, made, after in moves:
            if cost + add < best.get(after, 1 << 60):
                best[after] = cost + add
                came[after] = (state, made)
                tick += 1
                heapq.heappush(queue, (cost + add, tick, after))
        if len(best) > limit:
            raise TooManyStates(f"more than {limit} states")
    return None, [], len(best)


def trace(came, state):
    """The steps that led to a state."""
    steps = []
    while state in came:
        before, made = came[state]
        if made is not None:
            steps.append((before[0], *made))
        state = before
    return steps[::-1]


def main():
    """Runs from the command line."""
    p = argparse.ArgumentParser(description="Exact least minutes of a small machine.")
    p.add_argument("file")
    p.add_argument("--strip-only", action="store_true")
    p.add_argument("--states", type=int, default=STATES)
    p.add_argument("--steps", action="store_true")
    a = p.parse_args()
    try:
        m = read(a.file)
        minutes, steps, states = least(m, a.strip_only, a.states)
    except TooManyStates as e:
        print(json.dumps({"minutes": None, "possible": None, "proved": False, "why": str(e)}))
        return 2
    except (Refused, OSError, ValueError) as e:
        print(f"{a.file}: {e}", file=sys.stderr)
        return 2
    possible = minutes is not None
    answer = {"minutes": minutes / 1000 if possible else None, "possible": possible}
    print(json.dumps({**answer, "proved": True, "states": states}))
    if a.steps:
        for _, s, change in steps:
            where = "-" if s.at is None else m.spots[s.at]
            tool = "-" if s.tool is None else m.tools[s.tool]
            name = m.names[s.thing]
            print(f"{s.verb:6} {name:24} {where:10} {tool:12} {s.minutes/1000} +{change/1000}")
    return 0 if possible else 1


if __name__ == "__main__":
    sys.exit(main())
