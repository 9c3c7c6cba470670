"""Forces in the screws of random joints: numpy and scipy against the program's example.

Written from the model's text alone (docs/methods.md): the nuts' travel theta is the state, forces
come from solving (diag(1/k) + C) F = theta over the screws that are tight. Wrong twins (influence
with its sign turned; screws that are still slack taking part) have to be told apart.

    springs.py --forces ../target/release/examples/forces [--count 300] [--seed 1]
"""
import argparse
import subprocess
import sys

import numpy as np
import scipy.linalg


def springs(stiffness, compliance, tight):
    return np.diag(1 / stiffness[tight]) + compliance[np.ix_(tight, tight)]


def forces(stiffness, compliance, order, levels):
    """After each round, by the nuts' travel: each turned until its own screw carries the level."""
    count = len(stiffness)
    theta = np.zeros(count)
    tight = []
    after = []
    for level in levels:
        for screw in order:
            if screw not in tight:
                tight.append(screw)
            at = tight.index(screw)
            factor = scipy.linalg.cho_factor(springs(stiffness, compliance, tight))
            theta[screw] = 0
            without = scipy.linalg.cho_solve(factor, theta[tight])[at]
            unit = scipy.linalg.cho_solve(factor, np.eye(len(tight))[at])[at]
            theta[screw] = (level - without) / unit
        force = np.zeros(count)
        force[tight] = np.linalg.solve(springs(stiffness, compliance, tight), theta[tight])
        after.append(force)
    return np.array(after)


def by_influence(stiffness, compliance, order, levels, sign=1.0, active=False):
    """The same by unit influences; `sign` and `active` make wrong twins of it."""
    count = len(stiffness)
    force = np.zeros(count)
    tight = list(range(count)) if active else []
    after = []
    for level in levels:
        for screw in order:
            if screw not in tight:
                tight.append(screw)
            inverse = np.linalg.inv(springs(stiffness, compliance, tight))
            at = tight.index(screw)
            moved = sign * inverse[:, at] / inverse[at, at]
            moved[at] = 1
            force[tight] += moved * (level - force[screw])
        after.append(force.copy())
    return np.array(after)


def random_joint(random):
    count = int(random.integers(1, 25))
    places = random.uniform(0, 6, (count, 2))
    apart = np.linalg.norm(places[:, None] - places[None], axis=2)
    own = random.uniform(0.0005, 0.02)
    compliance = own * random.uniform(0.05, 0.8) ** apart
    if random.random() < 0.3:
        # A cover that sinks as one piece, on a gasket.
        compliance = compliance + random.uniform(0.0001, 0.01)
    stiffness = random.uniform(50, 400, count)
    order = random.permutation(count)
    stages = int(random.integers(0, 3))
    levels = [*sorted(random.uniform(5, 40, stages)), *[50.0] * int(random.integers(1, 4))]
    return stiffness, compliance, order, np.array(levels)


def line(joint):
    stiffness, compliance, order, levels = joint
    texts = (" ".join(repr(float(v)) for v in part) for part in
             (stiffness, compliance.ravel()))
    order = " ".join(str(int(screw)) for screw in order)
    levels = " ".join(repr(float(level)) for level in levels)
    return ";".join([str(len(stiffness)), *texts, order, levels])


def asked(program, joints):
    text = "\n".join(line(joint) for joint in joints) + "\n"
    run = subprocess.run([program], input=text, capture_output=True, text=True, check=True)
    rows = run.stdout.splitlines()
    assert len(rows) == len(joints), run.stdout[:300]
    return [np.array([[float(v) for v in r.split()] for r in row.split(";")]) for row in rows]


def main():
    parser = argparse.ArgumentParser(description=__doc__.splitlines()[0])
    parser.add_argument("--forces", required=True, help="the built example `forces`")
    parser.add_argument("--count", type=int, default=300)
    parser.add_argument("--seed", type=int, default=1)
    arguments = parser.parse_args()
    random = np.random.default_rng(arguments.seed)
    joints = [random_joint(random) for _ in range(arguments.count)]
    passed = failed = 0
    told = {"sign": 0, "active": 0}
    for number, (joint, found) in enumerate(zip(joints, asked(arguments.forces, joints))):
        expect = forces(*joint)
        near = 1e-8 * joint[3].max()
        same = found.shape == expect.shape and np.abs(found - expect).max() < near
        same = same and np.abs(by_influence(*joint) - expect).max() < near
        passed, failed = passed + same, failed + (not same)
        if not same:
            print(f"joint {number} of seed {arguments.seed}:\n{found}\n{expect}")
        told["sign"] += np.abs(by_influence(*joint, sign=-1.0) - found).max() > near
        told["active"] += np.abs(by_influence(*joint, active=True)[0] - found[0]).max() > near
    for name, count in told.items():
        # Joints of one or two screws cannot tell every twin apart; most can.
        good = count > 0.8 * len(joints)
        passed, failed = passed + good, failed + (not good)
        print(f"wrong twin '{name}' told apart on {count} of {len(joints)} joints")
    print(f"springs: {passed} passed, {failed} failed")
    return failed > 0


if __name__ == "__main__":
    sys.exit(main())
