"""Judges orders of published Sequential Ordering instances: a reading of its own of the format.

    python sop_check.py --data DIR ORDERS

ORDERS is the folder that `cargo bench -p lastbolt-order --bench sop -- --write ORDERS` wrote: one
file NAME.order for each instance, first line "cost C bound B", then the nodes from 1, one a line.
For each: every node once, the first first and the last last, every node after all that have to
come before it, the sum of the matrix along the order equal to C, and B neither above C nor above
the best known value. Wrong twins of each order (two nodes swapped, a cost one lower, a bound
above the best known) have to be refused. Plain Python 3.11; exit code 1 if anything fails.
"""

import argparse
import csv
import gzip
import sys
from pathlib import Path


def read_matrix(path):
    """The square matrix of an instance, packed or not."""
    packed = path.with_name(path.name + ".gz")
    data = path.read_bytes() if path.exists() else gzip.decompress(packed.read_bytes())
    head, _, rest = data.decode("ascii").partition("EDGE_WEIGHT_SECTION")
    fields = dict(line.split(":", 1) for line in head.splitlines() if ":" in line)
    size = int(fields["DIMENSION"])
    numbers = [int(word) for word in rest.replace("EOF", " ").split()]
    if numbers[0] != size or len(numbers) != size * size + 1:
        raise ValueError(f"{path.name}: {len(numbers) - 1} numbers for {size} nodes")
    return [numbers[1 + row * size : 1 + (row + 1) * size] for row in range(size)]


def fault(matrix, order, cost, bound, best):
    """Why an order is refused, or None."""
    size = len(matrix)
    if sorted(order) != list(range(1, size + 1)):
        return "not every node once"
    if order[0] != 1 or order[-1] != size:
        return "does not begin with the first and end with the last node"
    done = set()
    total = 0
    for place, node in enumerate(order):
        row = matrix[node - 1]
        for other, number in enumerate(row, start=1):
            if number == -1 and other not in done:
                return f"{node} comes before {other}"
        if place:
            step = matrix[order[place - 1] - 1][node - 1]
            if step < 0:
                return f"{node} never follows {order[place - 1]}"
            total += step
        done.add(node)
    if total != cost:
        return f"costs {total}, not {cost}"
    if bound > cost:
        return f"the bound {bound} is above the cost {cost}"
    if best is not None and bound > best:
        return f"the bound {bound} is above the best known {best}"
    return None


def twins_pass(matrix, order, cost, bound, best):
    """Names of wrong twins that were not refused."""
    size = len(matrix)
    late = next(
        (a, b) for b in range(size - 1, -1, -1) for a in range(size) if matrix[b][a] == -1
    )
    swapped = list(order)
    a, b = (swapped.index(node + 1) for node in late)
    swapped[a], swapped[b] = swapped[b], swapped[a]
    twins = {
        "swapped": (swapped, cost, bound, best),
        "a cost one lower": (order, cost - 1, min(bound, cost - 1), best),
        "one node twice": (order[:-2] + [order[0], order[-1]], cost, bound, best),
    }
    if best is not None:
        twins["a bound too high"] = (order, cost, best + 1, best)
    return [name for name, twin in twins.items() if fault(matrix, *twin) is None]


def judge(path, data, known):
    """What is wrong with one file of orders, or None."""
    name = path.name.removesuffix(".order")
    first, *rest = path.read_text().splitlines()
    words = first.split()
    cost, bound = int(words[1]), int(words[3])
    order = [int(line) for line in rest]
    matrix = read_matrix(data / name)
    best = known.get(name)
    wrong = fault(matrix, order, cost, bound, best)
    if wrong is None and (passed := twins_pass(matrix, order, cost, bound, best)):
        wrong = f"wrong twins pass: {', '.join(passed)}"
    return wrong


def main():
    """Judges all orders of a folder."""
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--data", type=Path, required=True, help="folder of the instances")
    parser.add_argument("orders", type=Path)
    words = parser.parse_args()
    with open(words.data / "best-known.csv", newline="") as file:
        known = {row["instance"]: int(row["best_known"]) for row in csv.DictReader(file)}
    passed = failed = 0
    for path in sorted(words.orders.glob("*.order")):
        wrong = judge(path, words.data, known)
        passed += wrong is None
        failed += wrong is not None
        if wrong:
            print(f"{path.name}: {wrong}")
    print(f"orders: {passed} passed, {failed} failed")
    sys.exit(1 if failed or not passed else 0)


if __name__ == "__main__":
    main()
