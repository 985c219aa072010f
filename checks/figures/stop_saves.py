"""Plots that the stop rule saves on Pellwood against a fixed number with the same real errors.

`checks/.venv/bin/python checks/figures/stop_saves.py target/release/crownhold`. The fixed number is worked out here with SciPy: the
fewest plots whose total keeps both errors within 0.10 at any cut. The rule is the adjusted one, whose real errors keep both too.
Densities are the middles that the survey gives the blocks.
"""

import json
import pathlib
import subprocess
import sys
import tempfile

import numpy as np
from scipy.stats import nbinom

LOW, HIGH, K, ERROR = 150 / 40, 350 / 40, 1.0, 0.10


def command(binary, *arguments):
    return subprocess.run([binary, *map(str, arguments)], check=True, capture_output=True, text=True).stdout


def keeps_both(plots):
    totals = np.arange(0, 2_000)
    law = lambda mean: nbinom(plots * K, K / (K + mean))  # noqa: E731
    above, below = law(LOW).sf(totals), law(HIGH).cdf(totals)
    return bool(((above <= ERROR) & (below <= ERROR)).any())


def mean_plots(binary, least, errors, densities):
    rule = ("stop-rule", "--low", 150, "--high", 350, "--k", K, "--plot", "1/40 acre", "--min", least, "--max", 20)
    at = ",".join(f"{d:.3f}" for d in densities)
    exact = json.loads(command(binary, *rule, *errors, "--at", at, "--json"))["exact"]
    by_density = {round(e["density"], 2): e["mean_plots"] for e in exact}
    return float(np.mean([by_density[round(d, 2)] for d in densities]))


def main():
    binary = sys.argv[1]
    fixed = next(n for n in range(1, 200) if keeps_both(n))
    with tempfile.TemporaryDirectory() as folder:
        command(binary, "demo", folder, "--season", "2027")
        survey = json.loads(command(binary, "survey", pathlib.Path(folder) / "pellwood.gpkg", "--on", "2026-11-25", "--json"))
    densities = [max(round(b["draws"]["p50_per_acre"], 2), 0.01) for b in survey["blocks"]]
    print(f"fixed: {fixed} plots a block, {len(densities)} blocks, densities {min(densities):.0f} to {max(densities):.0f} per acre")
    for least in (1, 5):
        told = json.loads(command(binary, "stop-rule", "--low", 150, "--high", 350, "--k", K, "--alpha", ERROR, "--beta", ERROR, "--plot", "1/40 acre", "--min", least, "--max", 20, "--adjust", "--json"))["adjusted"]
        plots = mean_plots(binary, least, ("--alpha", told["alpha"], "--beta", told["beta"]), densities)
        print(f"at least {least}: {plots:.1f} on average at real errors {told['realised_alpha']:.3f} and {told['realised_beta']:.3f}: {100 * (1 - plots / fixed):.0f} % fewer")


if __name__ == "__main__":
    main()
