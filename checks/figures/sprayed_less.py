"""How much less the plan sprays than flying by the action threshold, at equal expected harm, over invented cities.

`python3 checks/figures/sprayed_less.py target/release/crownhold [CITIES]`; about 15 seconds a city. Harm is the expected host area over
tolerance on the draws of the options, no chance accepted beforehand; between two plans of the trade-off it is taken as straight.
"""

import json
import pathlib
import statistics
import subprocess
import sys
import tempfile

# Enough money and room for flights that the trade-off reaches beyond the rule of thumb.
ROOM = ("--max-sprayed-acres", "5000", "--budget", "400000")


def command(binary, *arguments):
    return subprocess.run([binary, *map(str, arguments)], check=True, capture_output=True, text=True).stdout


def share_saved(binary, seed):
    """(acres by the rule, acres by the plan at the rule's harm) of one city."""
    with tempfile.TemporaryDirectory() as folder:
        command(binary, "demo", folder, "--seed", seed)
        file = pathlib.Path(folder) / "pellwood.gpkg"
        found = json.loads(command(binary, "frontier", file, "--points", 12, "--json", *ROOM))
    harm = "expected_host_acres_over_tolerance"
    rule = found["rule_of_thumb"]
    plans = sorted((p["sprayed_acres"], p[harm]) for p in found["plans"])
    if rule[harm] >= plans[0][1]:
        return rule["sprayed_acres"], plans[0][0]
    for (less, worse), (more, better) in zip(plans, plans[1:]):
        if better <= rule[harm] <= worse:
            return rule["sprayed_acres"], less + (worse - rule[harm]) / (worse - better) * (more - less)
    raise SystemExit(f"city {seed}: no plan is as good as the rule; give more room")


def main():
    binary, cities = sys.argv[1], int(sys.argv[2]) if len(sys.argv) > 2 else 30
    shares = []
    for seed in range(1, cities + 1):
        rule, plan = share_saved(binary, seed)
        shares.append(1 - plan / rule)
        print(f"city {seed}: {rule:.0f} acres by the threshold, {plan:.0f} by the plan")
    mean, error = statistics.mean(shares), statistics.stdev(shares) / len(shares) ** 0.5
    print(f"{100 * mean:.1f} % less, 95 % interval {100 * (mean - 2.045 * error):.1f} to {100 * (mean + 2.045 * error):.1f}")


if __name__ == "__main__":
    main()
