"""A study of 10,000 joints of 24 screws and 6 rounds: the program and numpy on the same draws.

Both are given the same draws (SplitMix64, addressed by place; written here a second time) and asked
for the same: median and 95th percentile of the spread, and the least force that 19 of 20 joints
keep, after each round. Times are of one thread's work on the processor where the system tells
them, so that a busy machine matters less; the least of fifteen. The results have to agree.

    scatter_bench.py [--target ../target]
"""
import json
import os
import platform
import subprocess
import sys
import time

os.environ.setdefault("OPENBLAS_NUM_THREADS", "1")
os.environ.setdefault("OMP_NUM_THREADS", "1")

import numpy as np

JOINTS, SCREWS, SEED, TIMES = 10_000, 24, 20_251, 15
LEVELS = np.array([0.3, 0.6, 1.0, 1.0, 1.0, 1.0])
FRICTION, PULL = 0.5 * 0.30, 0.5 * 0.08
ORDER = [1, 13, 7, 19, 4, 16, 10, 22, 2, 14, 8, 20, 5, 17, 11, 23, 3, 15, 9, 21, 6, 18, 12, 24]
ORDER = np.array(ORDER) - 1
HERE = os.path.dirname(os.path.abspath(__file__))


def bits(seed, first, count):
    """SplitMix64's values number `first` and on."""
    with np.errstate(over="ignore"):
        at = np.arange(first + 1, first + count + 1, dtype=np.uint64)
        z = np.uint64(seed) + np.uint64(0x9E3779B97F4A7C15) * at
        z = (z ^ (z >> np.uint64(30))) * np.uint64(0xBF58476D1CE4E5B9)
        z = (z ^ (z >> np.uint64(27))) * np.uint64(0x94D049BB133111EB)
        return z ^ (z >> np.uint64(31))


def bell(z):
    parts = [(z >> np.uint64(shift) & np.uint64(0xFFFF)).astype(float) for shift in (0, 16, 32, 48)]
    return (sum(parts) / 65536 + 2 / 65536 - 2) * np.sqrt(3)


def draws():
    rounds = len(LEVELS)
    softness = (bits(SEED, 0, JOINTS) >> np.uint64(11)) / float(1 << 53)
    friction = bell(bits(SEED, JOINTS, JOINTS * SCREWS)).reshape(JOINTS, SCREWS)
    first = JOINTS * (1 + SCREWS)
    pull = bell(bits(SEED, first, JOINTS * SCREWS * rounds)).reshape(JOINTS, rounds, SCREWS)
    return softness, friction, pull


def ring():
    steps = np.abs(np.subtract.outer(np.arange(SCREWS), np.arange(SCREWS)))
    return 0.5 ** np.minimum(steps, SCREWS - steps) / 450


def told(after):
    """What is told of each round, from forces (rounds, joints, screws)."""
    most, least, mean = after.max(axis=2), after.min(axis=2), after.mean(axis=2)
    spread = (most - least) / mean * 100
    half, nearly = np.percentile(spread, [50, 95], axis=1)
    kept = np.percentile(least, 5, axis=1) / LEVELS[-1]
    return np.column_stack([half, nearly, kept, (least <= 0).sum(axis=1)])


def goals(friction, pull):
    """Force at which each pull ends, screws in tightening order."""
    friction = 1 + FRICTION * friction[:, ORDER]
    return LEVELS[None, :, None] * friction[:, None, :] * (1 + PULL * pull[:, :, ORDER])


def columns(springs):
    """First round's and later rounds' influences; of one matrix or of many at once."""
    lower = np.linalg.cholesky(springs)
    inverse = np.linalg.inv(lower)
    diagonal = np.einsum("...ii->...i", lower)
    first = np.swapaxes(inverse * diagonal[..., :, None], -1, -2)
    stiff = np.swapaxes(inverse, -1, -2) @ inverse
    later = stiff / np.einsum("...ii->...i", stiff)[..., None, :]
    return first, later


def by_steps(softness, friction, pull):
    """Known softness: one pull of all joints after the other, joints side by side."""
    compliance = ring()[np.ix_(ORDER, ORDER)]
    first, later = columns(np.eye(SCREWS) / 150 + compliance)
    goal = np.ascontiguousarray(goals(friction, pull).transpose(1, 2, 0))
    force = np.zeros((SCREWS, JOINTS))
    after = np.empty((len(LEVELS), JOINTS, SCREWS))
    for number in range(len(LEVELS)):
        of = later if number else first
        for p in range(SCREWS):
            moved = SCREWS if number else p + 1
            more = goal[number, p] - force[p]
            force[:moved] += of[:moved, p, None] * more
        after[number] = force.T
    return told(after)


def by_matrices(softness, friction, pull):
    """Known softness: the whole round as one matrix, which only works as all joints share it."""
    compliance = ring()[np.ix_(ORDER, ORDER)]
    first, later = columns(np.eye(SCREWS) / 150 + compliance)
    # A round is linear: forces after it = kept @ forces before + put @ goals.
    goal = goals(friction, pull)
    kept, put = np.eye(SCREWS), np.zeros((SCREWS, SCREWS))
    for p in range(SCREWS):
        step = later[:, p].copy()
        kept, put = kept - np.outer(step, kept[p]), put - np.outer(step, put[p])
        put[:, p] += step
    after = np.empty((len(LEVELS), JOINTS, SCREWS))
    force = goal[:, 0] @ first.T
    after[0] = force
    for number in range(1, len(LEVELS)):
        force = force @ kept.T + goal[:, number] @ put.T
        after[number] = force
    return told(after)


def by_joint_matrices(softness, friction, pull):
    """Softness from half to twice: every joint has matrices of its own, inverted all at once."""
    factor = 0.5 * 4.0 ** softness
    compliance = ring()[np.ix_(ORDER, ORDER)]
    springs = np.eye(SCREWS) / 150 + factor[:, None, None] * compliance
    first, later = columns(springs)
    goal = goals(friction, pull)
    # Columns lie side by side, as they are walked.
    first = np.ascontiguousarray(first.transpose(2, 0, 1))
    later = np.ascontiguousarray(later.transpose(2, 0, 1))
    force = np.zeros((JOINTS, SCREWS))
    after = np.empty((len(LEVELS), JOINTS, SCREWS))
    for number in range(len(LEVELS)):
        of = later if number else first
        for p in range(SCREWS):
            more = goal[:, number, p] - force[:, p]
            force += of[p] * more[:, None]
        after[number] = force
    return told(after)


def worked():
    """Seconds of work of this thread, or of the clock where the system does not tell."""
    try:
        with open("/proc/thread-self/schedstat") as file:
            return int(file.read().split()[0]) / 1e9
    except OSError:
        return time.perf_counter()


def timed(study, given):
    least = float("inf")
    for _ in range(TIMES):
        begun = worked()
        found = study(*given)
        least = min(least, worked() - begun)
    return least, found


def program(target):
    command = ["cargo", "bench", "-q", "-p", "lastbolt-tighten", "--bench", "scatter"]
    environment = {**os.environ, **({"CARGO_TARGET_DIR": target} if target else {})}
    run = subprocess.run([*command, "--", "--json"], cwd=os.path.join(HERE, ".."),
                         env=environment, capture_output=True, text=True, check=True)
    return json.loads(run.stdout.strip().splitlines()[-1])


def main():
    target = sys.argv[sys.argv.index("--target") + 1] if "--target" in sys.argv else None
    given = draws()
    ours = program(target)
    print(f"numpy {np.__version__}, Python {platform.python_version()}, one thread each; least of "
          f"{TIMES}; {JOINTS} joints, {SCREWS} screws, {len(LEVELS)} rounds")
    wrong = 0
    for name, study in [("known", by_steps), ("known", by_matrices),
                        ("unknown", by_joint_matrices)]:
        theirs, found = timed(study, given)
        least = min(ours[name]["seconds"])
        differ = np.abs(np.array(ours[name]["rounds"]) - found).max()
        # The same draws, or it is no comparison: others differ by far more.
        wrong += not differ < 1e-6
        print(f"softness {name}, {study.__name__}: program {1000 * least:.1f} ms, "
              f"numpy {1000 * theirs:.1f} ms, ratio {least / theirs:.3f}, differ by {differ:.1e}")
    print(f"scatter_bench: {3 - wrong} passed, {wrong} failed")
    return wrong > 0


if __name__ == "__main__":
    sys.exit(main())
