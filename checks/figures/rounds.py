"""Rounds for a large day beside PyVRP on the same matrix: time, and how long the ways are.

`python checks/figures/rounds.py target/release/examples/routes [TREES [PEOPLE [STEPS]]]` in an environment with pyvrp 0.14.1
and numpy. Trees stand at random in blocks; the whole day begins and ends at one place. PyVRP gets as many seconds as the
product took, and 30; three seeds each.
"""

import json
import math
import random
import subprocess
import sys
import time

import numpy
import pyvrp
from pyvrp.stop import MaxRuntime


def city(seed, trees, spread):
    """Whole seconds on foot between places, detour 1.3; place 0 is where the rounds begin and end."""
    rng = random.Random(seed)
    places = [(3000.0, 3000.0)]
    while len(places) <= trees:
        x, y = rng.uniform(0, 6000), rng.uniform(0, 6000)
        places += [(x + rng.uniform(-spread, spread), y + rng.uniform(-spread, spread)) for _ in range(60)]
    places = places[: trees + 1]
    return [[round(1.3 * math.hypot(a[0] - b[0], a[1] - b[1]) / 1.34) for b in places] for a in places]


def by_product(binary, matrix, people, load, steps):
    words = [f"places {len(matrix)}"] + [" ".join(map(str, row)) for row in matrix]
    words += [f"worker 0 0 0 1000000000 {load}"] * people
    words += [f"stop {place} 0 1 0 1000000000 -" for place in range(1, len(matrix))]
    start = time.monotonic()
    done = subprocess.run([binary, str(steps), "1"], input="\n".join(words), capture_output=True, text=True, check=True)
    found = json.loads(done.stdout)
    assert found["faults"] == 0 and not found["left"], "a fault, or trees left"
    return found["travel"], time.monotonic() - start


def by_pyvrp(matrix, people, load, seconds):
    ways = numpy.array(matrix)
    data = pyvrp.ProblemData(
        [pyvrp.Location(0, 0) for _ in matrix],
        [pyvrp.Client(place, delivery=[1]) for place in range(1, len(matrix))],
        [pyvrp.Depot(0)],
        [pyvrp.VehicleType(people, [load])],
        [ways],
        [ways],
    )
    best = pyvrp.solve(data, stop=MaxRuntime(seconds), seed=1, display=False).best
    return best.distance() if best.is_feasible() else math.inf


def main():
    binary = sys.argv[1]
    trees, people = (int(a) for a in (sys.argv[2:4] + ["1500", "12"])[:2]) if len(sys.argv) > 3 else (1500, 12)
    steps = int(sys.argv[4]) if len(sys.argv) > 4 else min(max(200 * trees, 20_000), 300_000)
    load = math.ceil(1.1 * trees / people)
    print(f"{trees} trees, {people} people with at most {load} trees, {steps} steps")
    for name, spread in (("trees in blocks", 200), ("trees spread out", 3000)):
        for seed in (1, 2, 3):
            matrix = city(seed, trees, spread)
            own, took = by_product(binary, matrix, people, load, steps)
            same, half_minute = (by_pyvrp(matrix, people, load, s) for s in (took, 30))
            print(
                f"{name}, seed {seed}: {own:.0f} s on the way after {took:.1f} s; PyVRP {same} in the same time "
                f"({100 * own / same - 100:+.1f} %), {half_minute} in 30 s ({100 * own / half_minute - 100:+.1f} %)",
                flush=True,
            )


if __name__ == "__main__":
    main()
