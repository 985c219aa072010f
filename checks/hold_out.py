"""The spatial count model on other people's data and beside other people's programs.

R with mgcv and sp (Debian: r-base-core, r-cran-mgcv, r-cran-sp) plays one of them; without it those checks say NOT RUN.
"""

import json
import math
import pathlib
import random
import shutil
import subprocess

import numpy as np
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import ConstantKernel, Matern

from tools import ROOT, Different, NotRun, expect

HERE = pathlib.Path(__file__).resolve().parent
HOLLAND = ROOT.parent / "shared/checks/insects/holland.arthropods.txt"
# Seeds, plots and blocks of the invented cities, and folds of each.
CITIES, PLOTS, BLOCKS, FOLDS = (11, 12, 13, 14), 120, 60, 4


def ours(product, *arguments, stdin=""):
    words = [product.built("survey_others"), *map(str, arguments)]
    return subprocess.run(words, input=stdin, capture_output=True, text=True, check=True).stdout


def r_language(script, *arguments):
    rscript = shutil.which("Rscript")
    if rscript is None:
        raise NotRun("R is not on this machine")
    done = subprocess.run([rscript, *map(str, (script, *arguments))], capture_output=True, text=True, check=False)
    if "there is no package called" in done.stderr:
        raise NotRun(done.stderr.strip().splitlines()[-1])
    if done.returncode:
        raise Different(done.stderr.strip()[-600:])
    return done.stdout


def kriged(product, spread2, length, noise, centre, rows, places):
    """(mean, variance) at each place; the variance without that of one more observation."""
    text = "".join(f"{x!r} {y!r} {z!r}\n" for x, y, z in rows) + "".join(f"? {x!r} {y!r}\n" for x, y in places)
    found = json.loads(ours(product, "krige", math.sqrt(spread2), length, math.sqrt(noise), 0, repr(centre), stdin=text))
    return [(mean, sd * sd - noise) for mean, sd in found]


def check_kriging_by_scikit_learn(product):
    """The law of a place given the plots: the same Matern 3/2 process by scikit-learn, no optimiser."""
    chance = random.Random(4)
    at = [(chance.uniform(0, 3000), chance.uniform(0, 3000)) for _ in range(90)]
    rows = [(x, y, math.sin(x / 700) + math.cos(y / 500) + chance.gauss(0, 0.3)) for x, y in at]
    places = [(chance.uniform(-200, 3200), chance.uniform(-200, 3200)) for _ in range(200)]
    spread2, length, noise, centre = 0.64, 450.0, 0.09, 0.2
    process = GaussianProcessRegressor(
        ConstantKernel(spread2, "fixed") * Matern(length, "fixed", nu=1.5), alpha=noise + 1e-8, optimizer=None
    ).fit(np.array(at), np.array([z for *_, z in rows]) - centre)
    mean, sd = process.predict(np.array(places), return_std=True)
    found = np.array(kriged(product, spread2, length, noise, centre, rows, places))
    off = max(np.abs(found[:, 0] - mean - centre).max(), np.abs(found[:, 1] - sd**2).max())
    expect(off < 1e-6, f"mean or variance differs by {off:.1e}")
    return f"90 plots, 200 places: mean and variance as scikit-learn's process to {off:.0e}"


def check_kriging_of_meuse(product):
    """Values of scikit-learn 1.9.1 worked out beforehand: ln zinc of meuse (R package sp), 0.59 Matern 3/2 of 300 m + 0.05."""
    text = r_language("-e", 'data(meuse, package = "sp"); write.table(meuse[, c("x", "y", "zinc")], row.names = FALSE, col.names = FALSE)')
    rows = [(x, y, math.log(z)) for x, y, z in (map(float, line.split()) for line in text.splitlines())]
    centre = sum(z for *_, z in rows) / len(rows)
    places = [(180000, 331000), (179500, 330500), (180800, 332500)]
    want = [(5.00354557, 0.06392395), (5.21520478, 0.06716498), (5.59190207, 0.04590515)]
    found = kriged(product, 0.59, 300, 0.05, centre, rows, places)
    off = max(abs(a - b) for pair in zip(found, want) for a, b in zip(*pair))
    expect(len(rows) == 155 and off < 1e-6, f"{len(rows)} rows, off by {off:.1e}")
    return f"ln zinc of meuse, three places: mean and variance as published for scikit-learn to {off:.0e}"


def held_out(product, text, model, level, length):
    """Sums of the log scores of ours and of mgcv's, and their difference by count with its standard error."""
    file = product.scratch / "held-out.txt"
    file.write_text(text, encoding="utf-8")
    mine = np.array(json.loads(ours(product, "score", 1, level, length, stdin=text)))
    theirs = np.array([float(v) for v in r_language(HERE / "mgcv.R", "score", file, model).split()])
    gain = mine - theirs
    return mine.mean(), theirs.mean(), gain


def told(gain):
    return f"{gain.mean():+.4f} a count (standard error {gain.std(ddof=1) / math.sqrt(len(gain)):.4f})"


def check_hold_out_cities(product):
    """Invented cities, known law: every fold forecast from the others, ours and mgcv's negative binomial GAM."""
    texts = [ours(product, "city", seed, PLOTS, BLOCKS, FOLDS) for seed in CITIES]
    parts = [held_out(product, text, "town", 0.0617, 450) for text in texts]
    gain = np.concatenate([p[2] for p in parts])
    expect(gain.mean() > 0, f"mgcv forecasts better: {told(gain)}")
    return (
        f"{len(texts)} cities of {PLOTS} plots, {FOLDS} folds: log score ours {np.mean([p[0] for p in parts]):.4f}, "
        f"mgcv's {np.mean([p[1] for p in parts]):.4f}; {told(gain)}"
    )


def check_hold_out_holland(product):
    """Ground beetles and others on 63 plots of a field (John Holland; agridat 1.27): nine folds, no blocks nor strata."""
    if not HOLLAND.exists():
        raise NotRun("the counts may not be committed and are not at hand")
    rows = [line.split() for line in HOLLAND.read_text(encoding="utf-8").splitlines()]
    head, rows = rows[0], rows[1:]
    said, all_gains = [], []
    for species in ("carabidae", "lycosidae", "n.brevicollis", "linyphiidae"):
        counts = [int(r[head.index(species)]) for r in rows]
        level = sum(counts) / len(counts)
        order = list(range(len(rows)))
        random.Random(1).shuffle(order)
        lines = (
            f"{order[n] % 9} {100 * int(r[0])} {100 * int(r[1])} {n} 0 0 {count} 1"
            for n, (r, count) in enumerate(zip(rows, counts))
        )
        *_, gain = held_out(product, "\n".join(lines) + "\n", "smooth", level, 300)
        all_gains.append(gain)
        said.append(f"{species} {told(gain)}")
    gain = np.concatenate(all_gains)
    expect(gain.mean() > -0.01, f"mgcv forecasts better: {told(gain)}")
    return f"{', '.join(said)}; all {told(gain)}"
