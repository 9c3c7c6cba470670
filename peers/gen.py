"""Random small machines that use every feature of the contract, as legal machine files.

    python gen.py --seed N --count M --out DIR

Each file has 3 to 9 parts, ties and preps (set-ups come on top). Impossible ones are kept only
now and then, so that most can be planned. The same seed gives the same files.
"""

import argparse
import random
import sys
import tomllib
from pathlib import Path

from beyond import marked
from brute import TooManyStates, least
from kernel import HungStaysOff
from machine import Refused, compile_machine, triangle_holds

SPOTS = ["above", "below", "arch"]
TOOLS = ["socket 10", "socket 13", "pliers"]
KINDS = ["screw", "nut", "plug", "clip", "hose", "union", "ball joint", "cable", "cable tie"]
IMPOSSIBLE_KEPT = 0.1
STEPS_WANTED = [2, 4, 6, 8, 10, 12]
TRIES = 2000
MARKED = 0.5  # share of machines with bearing ties, sealant or covers after the leak look


def machine(rng, other=None):
    """The text of one legal machine that is worth planning; `other` draws marks of R23 to R28."""
    for _ in range(TRIES):
        doc, text, minutes = plain_machine(rng)
        if other is None or other.random() >= MARKED:
            return text
        last = None
        for _ in range(8):  # preferred: marks that cost something
            made = marked(other, doc, to_toml)
            if made is None:
                continue
            try:
                compiled = compile_machine(tomllib.loads(to_toml(made)))
                with_marks, _, _ = least(compiled, limit=60_000)
            except TooManyStates:
                continue
            if with_marks is None and minutes is not None and other.random() >= IMPOSSIBLE_KEPT:
                continue
            last = to_toml(made)
            if with_marks != minutes:
                return last
        if last is not None:
            return last
    raise RuntimeError("BUG: no machine found in many tries")


def plain_machine(rng):
    """A drafted machine without marks, its text and its least thousandths."""
    wanted = rng.choice(STEPS_WANTED)
    for _ in range(TRIES):
        doc = draft(rng)
        text = to_toml(doc)
        try:
            compiled = compile_machine(tomllib.loads(text))
            minutes, steps, _ = least(compiled, limit=60_000)
            if any(compiled.stays):  # reading 1 of the README is avoided
                other, _, _ = least(compiled, limit=60_000, rules=HungStaysOff)
                if other != minutes:
                    continue
        except (Refused, TooManyStates):
            continue
        if not (triangle_holds(compiled.d_spot) and triangle_holds(compiled.d_tool)):
            continue
        if minutes is None and compiled.count > 3 and rng.random() < IMPOSSIBLE_KEPT:
            return doc, text, minutes
        if minutes and len(steps) >= wanted:
            return doc, text, minutes
    raise RuntimeError("BUG: no machine found in many tries")


def draft(rng):
    """One random machine as a table of tables; it may turn out to be worthless."""
    n_parts = rng.randint(1, 4)
    n_ties = rng.randint(1, 6 - n_parts // 2)
    n_preps = rng.choice([0, 0, 1, 1, 2])
    while not 3 <= n_parts + n_ties + n_preps <= 9:
        n_ties += 1 if n_parts + n_ties + n_preps < 3 else -1
    names = {
        "part": [f"part {i + 1}" for i in range(n_parts)],
        "tie": [f"tie {i + 1}" for i in range(n_ties)],
        "prep": [f"prep {i + 1}" for i in range(n_preps)],
    }
    doc = {"machine": "random", "fixed": ["block", "loom"], "spot": {}}
    doc["part"] = {p: {} for p in names["part"]}
    doc["tie"] = {t: {} for t in names["tie"]}
    doc["prep"] = {p: {} for p in names["prep"]}
    add_spots(rng, doc)
    add_structure(rng, doc)
    rank = names["part"] + names["tie"]
    rng.shuffle(rank)
    for kind in ("prep", "part", "tie"):
        for name, table in doc[kind].items():
            add_ways(rng, doc, kind, name, table, rank)
    add_changes(rng, doc)
    add_job(rng, doc)
    return doc


def add_spots(rng, doc):
    """One to three spots with set-up, pack, reach and now and then a need."""
    for spot in rng.sample(SPOTS, rng.randint(1, 3)):
        table = doc["spot"][spot] = {}
        if rng.random() < 0.2:
            table["setup"] = minutes(rng)
        if rng.random() < 0.2:
            table["pack"] = minutes(rng)
        if rng.random() < 0.3:
            table["reach"] = minutes(rng)
        if doc["prep"] and rng.random() < 0.1:
            table["needs"] = [rng.choice(list(doc["prep"]))]


def add_structure(rng, doc):
    """Who rides on whom, what ties join, what hides and what is put aside."""
    parts = list(doc["part"])
    for i, name in enumerate(parts):
        if i and rng.random() < 0.4:
            doc["part"][name]["rides"] = rng.choice(parts[:i])
    for tie, table in doc["tie"].items():
        joins = [rng.choice([*parts, *parts, "block"])]
        first = doc["part"].get(joins[0], {})
        other = rng.random()
        if "rides" in first and other < 0.5:
            joins.append(first["rides"])
        elif other < 0.85 and joins[0] != "block":
            joins.append(rng.choice(["block", "loom", *parts]))
        if rng.random() < 0.1:
            joins.append(rng.choice(["loom", *parts]))
        table["joins"] = list(dict.fromkeys(joins))
        if rng.random() < 0.6:
            table["kind"] = rng.choice(KINDS)
            table["count"] = rng.randint(1, 4)
        hiding = [p for p in parts if p not in table["joins"]]
        if hiding and rng.random() < 0.3:
            table["hidden_by"] = rng.sample(hiding, 1)
    for name, table in doc["part"].items():
        own = [t for t, v in doc["tie"].items() if name in v["joins"] and len(v["joins"]) > 1]
        own = [t for t in own if not inside(doc, name, doc["tie"][t]["joins"])]
        carrying = any(t.get("rides") == name for t in doc["part"].values())
        if own and rng.random() < (0.6 if carrying else 0.25):
            table["stays"] = [rng.choice(own)]
    ties = list(doc["tie"])
    if len(ties) > 1 and rng.random() < 0.3:
        doc["together"] = [rng.sample(ties, rng.randint(2, min(3, len(ties))))]


def inside(doc, part, joins):
    """Whether all that a tie joins is the part or rides on it."""
    return all(end == part or part in carriers(doc, end) for end in joins)


def carriers(doc, name):
    """The chain of what carries a part."""
    chain = []
    while "rides" in doc["part"].get(name, {}):
        name = doc["part"][name]["rides"]
        chain.append(name)
    return chain


def minutes(rng):
    """A random number of minutes, now and then with thousandths."""
    if rng.random() < 0.15:
        return rng.randint(0, 4000) / 1000
    return rng.randint(0, 10) / 2


def add_ways(rng, doc, kind, name, table, rank):
    """Ways, back ways and needs of one thing."""
    preps = list(doc["prep"])
    known = preps[: preps.index(name)] if kind == "prep" else preps
    if known and rng.random() < 0.25:
        table["needs"] = [rng.choice(known)]
    if kind == "part" and "rides" in table and rng.random() < 0.1:
        table["ways"] = []
    elif rng.random() < 0.85:
        count = rng.choice([1, 1, 1, 2, 2, 3])
        table["ways"] = [way(rng, doc, kind, name, known, rank) for _ in range(count)]
    if kind == "prep":
        table["back"] = "by itself" if rng.random() < 0.3 else [
            way(rng, doc, kind, name, known, rank) for _ in range(rng.randint(1, 2))
        ]
        return
    if table.get("ways") != [] and rng.random() < 0.3:
        count = rng.choice([1, 1, 2])
        table["back"] = [way(rng, doc, kind, name, known, rank) for _ in range(count)]
    if known and table.get("ways") and rng.random() < 0.25:
        for made in table["ways"]:  # open only with a prep, closed again without: R11 bites
            made["needs"] = [rng.choice(known)]
        count = rng.choice([1, 1, 2])
        table["back"] = [way(rng, doc, kind, name, [], rank) for _ in range(count)]


def way(rng, doc, kind, name, preps, rank):
    """One random legal way."""
    made = {}
    joins = doc["tie"].get(name, {}).get("joins", [name])
    above = {c for end in joins for c in carriers(doc, end)}
    may_ride = kind == "prep" or above
    choice = rng.random()
    if choice < (0.5 if above else 0.3) and may_ride:
        made["from"] = "bench"
    elif choice < 0.85:
        spots = [s for s, t in doc["spot"].items() if kind != "prep" or "needs" not in t]
        if spots:  # a prep done from a spot that needs it: reading 17 of the README, avoided
            made["from"] = rng.choice(spots)
    if rng.random() < 0.6:
        made["tool"] = rng.choice(TOOLS)
    if rng.random() < 0.85:
        made["minutes"] = minutes(rng)
    if kind == "tie" and rng.random() < 0.1:
        made["feel"] = True
    earlier = rank[: rank.index(name)] if name in rank else rank
    pool = rank if rng.random() < 0.12 else earlier
    pool = [c for c in pool if c != name and c not in above and c not in joins]
    if pool and rng.random() < 0.5:
        made["clear"] = rng.sample(pool, min(len(pool), rng.choice([1, 1, 2])))
    if preps and rng.random() < 0.15:
        made["needs"] = [rng.choice(preps)]
    return made


def used(doc, key):
    """The values of a key over all ways, in file order."""
    tables = [t for kind in ("part", "tie", "prep") for t in doc[kind].values()]
    ways = [w for t in tables for k in ("ways", "back") if isinstance(t.get(k), list)
            for w in t[k]]
    return list(dict.fromkeys(w[key] for w in ways if key in w))


def add_changes(rng, doc):
    """Change minutes; whether they obey the triangle is looked at afterwards."""
    spots = list(doc["spot"])
    if "bench" in used(doc, "from"):
        spots.append("bench")
    for key, names, chance in (("between", spots, 0.5), ("tool_change", used(doc, "tool"), 0.5)):
        table = {}
        if rng.random() < 0.4:
            table["default"] = rng.choice([0, 0.25, 0.5, 1, 1.5, 2])
        for i, a in enumerate(names):
            for b in names[i + 1:]:
                if rng.random() < chance:
                    table[f"{a} / {b}"] = rng.choice([0.25, 0.5, 1, 1.25, 2, 3])
        if table:
            doc[key] = table


def add_job(rng, doc):
    """Targets, what is open already, what stays open, and where the person starts."""
    job = doc["job"] = {}
    things = list(doc["part"]) + list(doc["tie"])
    targets = []
    carrying = list({t["rides"]: 0 for t in doc["part"].values() if "rides" in t})
    chosen = rng.sample(things, min(len(things), rng.choice([1, 1, 2])))
    if carrying and rng.random() < 0.4:
        chosen = list(dict.fromkeys([rng.choice(carrying), *chosen]))[: len(chosen)]
    on_others = [p for p, t in doc["part"].items() if "rides" in t]
    if on_others and rng.random() < 0.3:
        chosen = list(dict.fromkeys([rng.choice(on_others), *chosen]))
    for name in chosen:
        if doc["part"].get(name, {}).get("ways") == []:
            continue
        targets.append(name)
        verb = rng.choice(["renew", "off"])
        job.setdefault(verb, []).append(name)
        riders = [p for p in doc["part"] if doc["part"][p].get("rides") == name]
        if verb == "renew" and riders and rng.random() < 0.4:
            job["comes_fitted"] = rng.sample(riders, rng.randint(1, len(riders)))
    if doc["prep"] and (not targets or rng.random() < 0.25):
        job["do"] = [rng.choice(list(doc["prep"]))]
        targets += job["do"]
    everything = things + list(doc["prep"])
    if rng.random() < 0.35:
        job["already"] = rng.sample(everything, rng.choice([1, 1, 2]))
    may_stay = [*dict.fromkeys([*job.get("already", []), *targets])]
    if may_stay and rng.random() < 0.15:
        job["leave_off"] = [rng.choice(may_stay)]
        take_ties_along(rng, doc, job)
    if rng.random() < 0.4:
        job["at"] = rng.choice(list(doc["spot"]))
    tools = used(doc, "tool")
    if tools and rng.random() < 0.4:
        job["holding"] = rng.choice(tools)


def take_ties_along(rng, doc, job):
    """A part left off usually has its ties named too, or they could never be made again."""
    name = job["leave_off"][0]
    if name not in doc["part"] or rng.random() < 0.2:
        return
    ties = [t for t, v in doc["tie"].items() if name in v["joins"]]
    if ties:
        job["already"] = list(dict.fromkeys([*job.get("already", []), *ties]))
        job["leave_off"] += ties


def toml_value(value):
    """A value as TOML text."""
    if isinstance(value, bool):
        return str(value).lower()
    if isinstance(value, str):
        return f'"{value}"'
    if isinstance(value, list):
        return "[" + ", ".join(toml_value(v) for v in value) + "]"
    if isinstance(value, dict):
        return "{ " + ", ".join(f"{k} = {toml_value(v)}" for k, v in value.items()) + " }"
    return repr(value)


def to_toml(doc):
    """The machine file's text."""
    top = ("machine", "fixed", "together")
    lines = [f"{key} = {toml_value(doc[key])}" for key in top if key in doc]
    tables = [(f'spot."{n}"', t) for n, t in doc["spot"].items()]
    tables += [(key, doc[key]) for key in ("between", "tool_change") if key in doc]
    for kind in ("prep", "part", "tie"):
        tables += [(f'{kind}."{n}"', t) for n, t in doc[kind].items()]
    for header, table in [*tables, ("job", doc["job"])]:
        lines.append(f"[{header}]")
        for key, value in table.items():
            name = f'"{key}"' if "/" in key else key
            lines.append(f"{name} = {toml_value(value)}")
    return "\n".join(lines) + "\n"


def write(seed, count, out):
    """Writes `count` files and returns their paths; file k depends on seed and k only."""
    out.mkdir(parents=True, exist_ok=True)
    paths = []
    for k in range(count):
        path = out / f"random_{seed}_{k:04}.toml"
        rng, other = random.Random(f"{seed} {k}"), random.Random(f"{seed} {k} marks")
        path.write_text(machine(rng, other), encoding="utf-8")
        paths.append(path)
    return paths


def main():
    """Runs from the command line."""
    p = argparse.ArgumentParser(description="Random small machines.")
    p.add_argument("--seed", type=int, required=True)
    p.add_argument("--count", type=int, required=True)
    p.add_argument("--out", type=Path, required=True)
    a = p.parse_args()
    for path in write(a.seed, a.count, a.out):
        print(path)
    return 0


if __name__ == "__main__":
    sys.exit(main())
