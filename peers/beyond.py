"""Marks for random machines: bearing ties (R23), sealant (R24), covers after the leak look (R28).

Kept off are machines on which the text can be read in two ways (README, readings 19 to 21).
"""

import copy
import tomllib

from kernel import Kernel
from machine import compile_machine

MARKS = ("bears", "bead", "cover")


def marked(rng, doc, to_toml):
    """A copy of a drafted machine with one or two marks, or None where no mark fits."""
    made = copy.deepcopy(doc)
    compiled = compile_machine(tomllib.loads(to_toml(doc)))
    count = 0
    for mark in rng.sample(MARKS, rng.choice([1, 1, 2])):
        fitting = FITTING[mark](made, compiled)
        for name in rng.sample(fitting, min(len(fitting), rng.choice([1, 1, 2]))):
            count += 1
            if mark == "bears":
                made["tie"][name]["bears"] = True
            elif mark == "bead":
                made["part"][name]["open_minutes"] = rng.choice([0, 1, 2, 3, 4, 6, 9])
            else:
                made["part"][name]["after"] = "leak look"
    return made if count else None


def bearing(doc, m):
    """Ties between a part and what carries it; not put aside, not open at the start, not left."""
    aside = {t for p in doc["part"].values() for t in p.get("stays", [])}
    found = []
    for name, tie in doc["tie"].items():
        x = m.index[name]
        if len(tie["joins"]) != 2 or name in aside or (m.start | m.leave) >> x & 1:
            continue
        for p, other in (tie["joins"], tie["joins"][::-1]):
            part = doc["part"].get(p)
            if part is not None and other == part.get("rides", other if other in doc["fixed"]
                                                      else None):
                found.append(name)
                break
    return found


def plain_parts(doc, m):
    """Parts that carry nothing, are never put aside and are put back."""
    carrying = {p.get("rides") for p in doc["part"].values()}
    return [
        n for n, p in doc["part"].items()
        if n not in carrying and "stays" not in p and not m.leave >> m.index[n] & 1
    ]


def covers(doc, m):
    """Plain parts whose ties are in no group and need nothing that their own ways do not need."""
    kernel, found = Kernel(m), []
    for name in plain_parts(doc, m):
        p = m.index[name]
        ties = [t for t in kernel.ties if kernel.boundary(p, 0) >> t & 1]
        own = kernel.needed([*m.ways[p], *m.back[p]])
        asked = kernel.needed([w for t in ties for w in (*m.ways[t], *m.back[t])])
        if not asked & ~own and not any(m.group[t] for t in ties):
            found.append(name)
    return found


FITTING = {"bears": bearing, "bead": plain_parts, "cover": covers}
