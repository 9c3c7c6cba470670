"""Reads a machine or job file and turns it into numbered things, by the contract's text alone.

Minutes are whole thousandths. Sets of things are bit masks. Everything the rules R2, R9, R10,
R14, R15, R17, R22 and R27 settle before the first step is settled here; the rules about single
steps are in kernel.py.
"""

import tomllib
from dataclasses import dataclass, field
from decimal import Decimal
from pathlib import Path

MACHINE = -1
NOWHERE = -2
BENCH = "bench"

# R27: thousandths of a minute for one piece of each kind of tie; anything else takes 1000.
MINUTES_BY_KIND = {
    **dict.fromkeys(["screw", "nut", "stud"], 700),
    **dict.fromkeys(["plug", "earth", "push-in", "quick joint"], 500),
    **dict.fromkeys(["clip", "push peg", "circlip", "roll pin", "pin", "hook"], 400),
    **dict.fromkeys(["hose", "clamp", "V-clamp"], 1000),
    **dict.fromkeys(["union", "banjo"], 1500),
    **dict.fromkeys(["ball joint", "spline", "press fit", "taper", "key", "dowel"], 1000),
    "cable": 700,
    "cable tie": 200,
}
WISHES = ("without_tools", "leave_alone", "not_from")


class Refused(Exception):
    """The file breaks a rule, or asks for something these checks do not cover."""


@dataclass(frozen=True)
class Way:
    """One way of doing a thing; `at` and `tool` are numbers or None, the rest masks."""

    at: int | None
    tool: int | None
    minutes: int
    clear: tuple
    needs: int  # the thing's, the way's and the spot's: in force while the step is done
    own: int  # the thing's and the way's only: what R11 looks at


@dataclass
class Machine:
    """A compiled file: things by number, their ways, the job, and the change minutes."""

    names: list
    kinds: list
    index: dict
    carrier: list
    joins: list
    stays: list
    hidden_by: list
    ways: list
    back: list
    by_itself: int
    group: list
    spots: list
    tools: list
    d_spot: list
    d_tool: list
    targets: int = 0
    start: int = 0
    leave: int = 0
    at: int | None = None
    holding: int | None = None
    riders: list = field(default_factory=list)
    bears: int = 0  # R23: the ties that carry weight
    bead: dict = field(default_factory=dict)  # R24: thousandths that a part's sealant stays open
    covers: int = 0  # R28: the parts that go on after the leak look

    @property
    def count(self):
        """How many parts, ties and preps there are, set-ups included."""
        return len(self.names)

    def number(self, name):
        """The number of a named part, tie or prep."""
        if name not in self.index:
            raise Refused(f"unknown name: {name}")
        return self.index[name]

    def mask(self, things):
        """The set of the named things."""
        return sum(1 << i for i in {self.number(name) for name in things})

    def listed(self, mask):
        """The names in a set, in file order."""
        return [name for i, name in enumerate(self.names) if mask >> i & 1]


def thousandths(value):
    """A TOML number of minutes as whole thousandths."""
    exact = Decimal(str(value)) * 1000
    if exact != exact.to_integral_value() or not 0 <= exact <= 10_000_000:
        raise Refused(f"minutes out of range or too fine: {value}")
    return int(exact)


def read(path):
    """The compiled machine of a file; a job file is followed to its machine file."""
    path = Path(path)
    doc = tomllib.loads(path.read_text(encoding="utf-8-sig"))
    if "machine_file" in doc:
        machine_path = path.parent / doc["machine_file"]
        whole = tomllib.loads(machine_path.read_text(encoding="utf-8-sig"))
        whole["job"] = doc.get("job", {})
        doc = whole
    return compile_machine(doc)


def compile_machine(doc):
    """The machine that a parsed file describes."""
    m = number_things(doc)
    read_structure(m, doc)
    read_ways(m, doc)
    read_changes(m, doc)
    read_job(m, doc)
    return m


def number_things(doc):
    """Numbers parts, ties, preps and set-ups (R14), one namespace with the fixed (R22)."""
    names, kinds = [], []
    for kind in ("part", "tie", "prep"):
        for name in doc.get(kind, {}):
            names.append(name)
            kinds.append(kind)
    for spot, table in doc.get("spot", {}).items():
        if "setup" in table or "pack" in table:
            names.append(f"{spot} set up")
            kinds.append("prep")
    everything = names + list(doc.get("fixed", []))
    if len(set(everything)) != len(everything):
        raise Refused("a name is used twice")
    n = len(names)
    return Machine(
        names=names,
        kinds=kinds,
        index={name: i for i, name in enumerate(names)},
        carrier=[MACHINE] * n,
        joins=[()] * n,
        stays=[0] * n,
        hidden_by=[0] * n,
        ways=[()] * n,
        back=[()] * n,
        by_itself=0,
        group=[0] * n,
        spots=[],
        tools=[],
        d_spot=[],
        d_tool=[],
    )


def read_structure(m, doc):
    """Carriers, joins, put-aside ties, hiding parts and groups (R3, R8, R12, R13)."""
    fixed = set(doc.get("fixed", []))
    for name, table in doc.get("part", {}).items():
        if "rides" in table:
            m.carrier[m.index[name]] = m.number(table["rides"])
        m.stays[m.index[name]] = m.mask(table.get("stays", []))
        if "open_minutes" in table:
            m.bead[m.index[name]] = thousandths(table["open_minutes"])
        if table.get("after") == "leak look":
            m.covers |= 1 << m.index[name]
    for name, table in doc.get("tie", {}).items():
        i = m.index[name]
        ends = [MACHINE if e in fixed else m.number(e) for e in table["joins"]]
        if not ends or any(e != MACHINE and m.kinds[e] != "part" for e in ends):
            raise Refused(f"{name} joins nothing, or something that is no part")
        m.joins[i] = tuple(dict.fromkeys(ends))
        m.hidden_by[i] = m.mask(table.get("hidden_by", []))
        if "open_minutes" in table:
            raise Refused("not covered by these checks: open_minutes on a tie")
        if table.get("bears"):
            m.bears |= 1 << i
    for group in doc.get("together", []):
        mask = m.mask(group)
        for name in group:
            m.group[m.number(name)] = mask
    m.riders = [[c for c in range(m.count) if m.carrier[c] == p] for p in range(m.count)]


def default_minutes(kind, table, way):
    """R27's guess for a way without minutes, in thousandths."""
    if kind == "part":
        return 1000
    if kind == "prep":
        return 0
    guess = MINUTES_BY_KIND.get(table.get("kind", "fixing"), 1000) * table.get("count", 1)
    return guess * 3 // 2 if way.get("feel") else guess


def read_ways(m, doc):
    """Every way in both directions, with the needs that apply to it (R4, R9, R10, R14)."""
    spots = doc.get("spot", {})
    tables = [(k, n, t) for k in ("part", "tie", "prep") for n, t in doc.get(k, {}).items()]
    for spot, table in spots.items():
        if "setup" in table or "pack" in table:
            made = {
                "ways": [{"minutes": table.get("setup", 0)}],
                "back": [{"minutes": table.get("pack", 0)}],
                "needs": table.get("needs", []),
            }
            tables.append(("prep", f"{spot} set up", made))
    listed = []
    for kind, name, table in tables:
        ways = table.get("ways", [{}])
        back = table.get("back", None if kind == "prep" else ways)
        if back is None:
            raise Refused(f"{name} does not say how it ends")
        if back == "by itself":
            m.by_itself |= 1 << m.index[name]
            back = []
        listed.append((kind, name, table, ways, back))
    number_spots_and_tools(m, doc, [w for *_, a, b in listed for w in [*a, *b]])
    for kind, name, table, ways, back in listed:
        i = m.index[name]
        m.ways[i] = tuple(compile_way(m, doc, kind, table, w) for w in ways)
        m.back[i] = tuple(compile_way(m, doc, kind, table, w) for w in back)


def number_spots_and_tools(m, doc, ways):
    """Spots: the declared ones, and the bench where a way uses it. Tools: those ways use."""
    m.spots = list(doc.get("spot", {}))
    if BENCH not in m.spots and any(w.get("from") == BENCH for w in ways):
        m.spots.append(BENCH)
    m.tools = list(dict.fromkeys(w["tool"] for w in ways if "tool" in w))
    job = doc.get("job", {})
    if "holding" in job and job["holding"] not in m.tools:
        m.tools.append(job["holding"])
    if "at" in job and job["at"] not in m.spots:
        m.spots.append(job["at"])


def compile_way(m, doc, kind, table, way):
    """One way with its numbers."""
    spot = way.get("from")
    if spot is not None and spot not in m.spots:
        raise Refused(f"unknown spot: {spot}")
    own = m.mask(table.get("needs", [])) | m.mask(way.get("needs", []))
    needs = own
    spot_table = doc.get("spot", {}).get(spot, {})
    needs |= m.mask(spot_table.get("needs", []))
    if "setup" in spot_table or "pack" in spot_table:
        needs |= m.mask([f"{spot} set up"])
    clear = tuple(m.number(c) for c in way.get("clear", []))
    if any(m.kinds[c] == "prep" for c in clear):
        raise Refused("clear names a prep")
    return Way(
        at=None if spot is None else m.spots.index(spot),
        tool=None if "tool" not in way else m.tools.index(way["tool"]),
        minutes=thousandths(way["minutes"]) if "minutes" in way
        else default_minutes(kind, table, way),
        clear=clear,
        needs=needs,
        own=own,
    )


def pairs(table):
    """The stated pairs of a change table as {(a, b): thousandths}, both ways round."""
    found = {}
    for key, value in table.items():
        if key == "default":
            continue
        a, b = (side.strip() for side in key.split("/"))
        if a == b or (a, b) in found:
            raise Refused(f"pair with itself or twice: {key}")
        found[a, b] = found[b, a] = thousandths(value)
    return found


def read_changes(m, doc):
    """R15: minutes between spots (pair, else the larger reach) and between tools."""
    between = doc.get("between", {})
    stated = pairs(between)
    usual = between.get("default", 1)
    reach = [
        thousandths(doc.get("spot", {}).get(s, {}).get("reach", usual)) for s in m.spots
    ]
    m.d_spot = [
        [0 if a == b else stated.get((a, b), max(reach[i], reach[j]))
         for j, b in enumerate(m.spots)]
        for i, a in enumerate(m.spots)
    ]
    change = doc.get("tool_change", {})
    stated = pairs(change)
    usual = thousandths(change.get("default", 0.5))
    m.d_tool = [
        [0 if a == b else stated.get((a, b), usual) for b in m.tools] for a in m.tools
    ]


def triangle_holds(d):
    """Whether no detour is cheaper than the direct change."""
    size = range(len(d))
    return all(d[a][c] <= d[a][b] + d[b][c] for a in size for b in size for c in size)


def read_job(m, doc):
    """Targets, what is open already and what stays open (R2, R17)."""
    job = doc.get("job", {})
    asked = [w for w in WISHES if job.get(w)]
    if asked:
        raise Refused(f"not covered by these checks: {', '.join(asked)}")
    fitted = m.mask(job.get("comes_fitted", []))
    m.targets = m.mask(job.get("off", [])) | m.mask(job.get("do", []))
    for name in job.get("renew", []):
        m.targets |= renewal(m, m.number(name), fitted)
    named = m.mask(job.get("already", []))
    m.start = named
    for p in range(m.count):
        if named >> p & 1 and m.kinds[p] == "part":
            m.start |= crossing(m, load(m, p, named)) & ~m.stays[p]
    m.leave = m.mask(job.get("leave_off", []))
    if m.leave & ~(m.start | m.targets):
        raise Refused("leave_off names something that is neither open already nor a target")
    m.at = m.spots.index(job["at"]) if "at" in job else None
    m.holding = m.tools.index(job["holding"]) if "holding" in job else None


def renewal(m, x, fitted):
    """What has to be open for a renewed part or tie (R2, R8)."""
    wanted = 1 << x
    if m.kinds[x] != "part":
        return wanted
    piece, queue = 1 << x, [x]  # the new piece: the part and the riders that come with it
    while queue:
        for rider in m.riders[queue.pop()]:
            if fitted >> rider & 1:
                piece |= 1 << rider
                queue.append(rider)
            else:
                wanted |= 1 << rider
    for t in range(m.count):
        ends = [e for e in m.joins[t] if e != MACHINE]
        if not any(piece >> e & 1 for e in ends):
            continue
        inside = len(ends) == len(m.joins[t]) and all(piece >> e & 1 for e in ends)
        if not (inside and piece != 1 << x):
            wanted |= 1 << t
    return wanted


def load(m, p, opened):
    """R3: the part and everything that is on it, again and again."""
    mask, queue = 1 << p, [p]
    while queue:
        for rider in m.riders[queue.pop()]:
            if not opened >> rider & 1:
                mask |= 1 << rider
                queue.append(rider)
    return mask


def crossing(m, carried):
    """The ties with one end in the load and one outside."""
    mask = 0
    for t in range(m.count):
        inside = sum(1 for e in m.joins[t] if e != MACHINE and carried >> e & 1)
        if 0 < inside < len(m.joins[t]):
            mask |= 1 << t
    return mask
