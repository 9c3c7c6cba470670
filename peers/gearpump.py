"""Turns the two published gear pump disassembly cases into machine files.

    python gearpump.py DIR OUTDIR

DIR holds gearpump_A.csv, gearpump_A_penalties.csv and the same for B. Source of the data: Liu,
Zhou, Pham, Xu, Ji, Liu (2018), Int. J. Production Research 56(9), doi
10.1080/00207543.2017.1412527. Every part has one way in each direction, `clear` names what blocks
it there, and all minutes are 0, so the least strip is the least of the change-over penalties.
"""

import csv
import sys
from pathlib import Path

SPOTS = {"Yplus": "+Y", "Yminus": "-Y"}
DOI = "10.1080/00207543.2017.1412527"


def penalties(path):
    """The tool and the direction matrix of a penalties file."""
    tables, rows = {}, None
    for line in path.read_text().split():
        if line.endswith("_penalty"):
            rows = tables.setdefault(line.removesuffix("_penalty"), [])
        else:
            rows.append([int(cell) for cell in line.split(",")])
    for rows in tables.values():
        size = range(len(rows))
        if any(rows[a][b] != rows[b][a] or (a == b and rows[a][b]) for a in size for b in size):
            raise ValueError(f"{path}: a penalty matrix is not symmetric with zeros inside")
    return tables["tool"], tables["direction"]


def pair_lines(names, matrix):
    """One line for each pair of names."""
    return [
        f'"{a} / {b}" = {matrix[i][j]}'
        for i, a in enumerate(names)
        for j, b in enumerate(names)
        if i < j
    ]


def machine_text(name, parts, tool_matrix, direction_matrix):
    """The machine file of one pump."""
    spots = list(SPOTS.values())
    tools = [f"tool {k + 1}" for k in range(len(tool_matrix))]
    lines = [
        f"# Gear pump {name}, a published disassembly case: Liu, Zhou, Pham, Xu, Ji, Liu (2018),",
        f"# Int. J. Production Research 56(9), doi {DOI}. Least strip 8.",
        f'machine = "gear pump {name}"',
        *[f'[spot."{s}"]' for s in spots],
        "[between]",
        *pair_lines(spots, direction_matrix),
        "[tool_change]",
        *pair_lines(tools, tool_matrix),
    ]
    for part in parts:
        lines += [f'[part."part {part["part"]}"]', "ways = ["]
        for side, spot in SPOTS.items():
            blocked = ", ".join(f'"part {b}"' for b in part[f"blocked_{side}_by"].split())
            lines.append(
                f'  {{ from = "{spot}", tool = "tool {part["tool"]}", '
                f"clear = [{blocked}], minutes = 0 }},"
            )
        lines.append("]")
    names = ", ".join(f'"part {part["part"]}"' for part in parts)
    return "\n".join([*lines, "[job]", f"off = [{names}]", ""])


def convert(source, out):
    """Writes both pumps and returns the paths written."""
    written = []
    out.mkdir(parents=True, exist_ok=True)
    for name in ("A", "B"):
        with (source / f"gearpump_{name}.csv").open(newline="") as f:
            parts = list(csv.DictReader(f))
        tools, directions = penalties(source / f"gearpump_{name}_penalties.csv")
        target = out / f"gearpump_{name}.toml"
        target.write_text(machine_text(name, parts, tools, directions), encoding="utf-8")
        written.append(target)
    return written


def main():
    """Runs from the command line."""
    if len(sys.argv) != 3:
        print("usage: gearpump.py DIR OUTDIR", file=sys.stderr)
        return 2
    try:
        for path in convert(Path(sys.argv[1]), Path(sys.argv[2])):
            print(path)
    except (OSError, ValueError, KeyError) as e:
        print(f"gearpump: {e}", file=sys.stderr)
        return 2
    return 0


if __name__ == "__main__":
    sys.exit(main())
