"""The spatial count model at fixed values against SciPy: mode, marginal likelihood, and the ranges of a small city by a
sampler that shares nothing with the product's."""

import json
import math
import os
import subprocess

import numpy as np
import shapely.geometry
from scipy.optimize import minimize
from scipy.special import gammaln

from tools import DAY, expect, near, run


def city(product):
    return json.loads(subprocess.run([product.built("survey_space"), "fixed"], capture_output=True, text=True, check=True).stdout)


def covariance(found):
    """Written from the sentence in the docs, over arrays."""
    _, common, stratum_sd, slope_sd = found["levels"]
    spread, length, block_sd, _ = found["hyper"]
    x, y, block, stratum, known, _, _ = np.array(found["plots"]).T
    distance = np.hypot(x[:, None] - x, y[:, None] - y)
    scaled = math.sqrt(3) * distance / length
    same = lambda v: (v[:, None] == v).astype(float)  # noqa: E731
    return (
        common**2
        + stratum_sd**2 * same(stratum)
        + slope_sd**2 * np.outer(known, known)
        + spread**2 * (1 + scaled) * np.exp(-scaled)
        + block_sd**2 * same(block)
        + 1e-8 * np.eye(len(x))
    )


def log_joint(found, matrix):
    """Log posterior without its constant in whitened coordinates (f = centre + L z), and its parts."""
    centre, k = found["levels"][0], found["hyper"][3]
    masses, area = np.array(found["plots"]).T[5:]
    factor = np.linalg.cholesky(matrix)

    def value(z):
        f = centre + factor @ z
        mean = area * np.exp(f)
        return float(
            np.sum(
                gammaln(masses + k) - gammaln(k) - gammaln(masses + 1) + k * np.log(k / (k + mean))
                + masses * np.log(mean / (k + mean))
            )
            - 0.5 * z @ z
        )

    def slope(z):
        mean = area * np.exp(centre + factor @ z)
        return factor.T @ (masses - (masses + k) * mean / (k + mean)) - z

    return factor, value, slope


def check_mode_and_marginal(product):
    """The same mode by BFGS from nothing; the marginal by the dense determinant of the Hessian there."""
    found = city(product)
    matrix = covariance(found)
    factor, value, slope = log_joint(found, matrix)
    start = np.zeros(len(matrix))
    top = minimize(lambda z: -value(z), start, jac=lambda z: -slope(z), method="BFGS", options={"gtol": 1e-9, "maxiter": 5000})
    centre, k = found["levels"][0], found["hyper"][3]
    mode = centre + factor @ top.x
    worst = float(np.max(np.abs(mode - np.array(found["mode"]))))
    expect(worst < 1e-6, f"the mode differs by {worst:.2e}")
    masses, area = np.array(found["plots"]).T[5:]
    mean = area * np.exp(mode)
    weight = (masses + k) * k * mean / (k + mean) ** 2
    hessian = np.eye(len(mode)) + factor.T @ (weight[:, None] * factor)
    marginal = value(top.x) - 0.5 * np.linalg.slogdet(hessian)[1]
    off = abs(marginal - found["log_marginal"])
    expect(off < 1e-6, f"the marginal likelihood differs by {off:.2e}")
    return f"60 plots: mode = SciPy's BFGS to {worst:.1e}, Laplace marginal = dense determinant to {off:.1e}"


def check_draws(product):
    """Draws at the plots for fixed values against a long Metropolis run in whitened coordinates (pCN)."""
    found = city(product)
    drawn = np.array(json.loads(subprocess.run([product.built("survey_space"), "fixed-draws"], capture_output=True, text=True, check=True).stdout))
    factor, value, _ = log_joint(found, covariance(found))
    rng = np.random.default_rng(5)
    fit = lambda z: value(z) + 0.5 * z @ z  # noqa: E731
    state = np.zeros(factor.shape[0])
    now, kept, taken, step = fit(state), [], 0, 0.22
    for i in range(160_000):
        other = math.sqrt(1 - step**2) * state + step * rng.standard_normal(len(state))
        there = fit(other)
        if math.log(rng.random()) < there - now:
            state, now, taken = other, there, taken + 1
        if i >= 20_000 and i % 10 == 0:
            kept.append(found["levels"][0] + factor @ state)
    truth = np.array(kept)
    spread = truth.std(axis=0)
    mean_off = np.abs(drawn.mean(axis=0) - truth.mean(axis=0)) / spread
    ends = [np.abs(np.quantile(drawn, p, axis=0) - np.quantile(truth, p, axis=0)) / spread for p in (0.05, 0.95)]
    told = f"mean {mean_off.mean():.3f}, 5 % {ends[0].mean():.3f}, 95 % {ends[1].mean():.3f} standard deviations off on average"
    expect(mean_off.mean() < 0.12 and max(e.mean() for e in ends) < 0.2, told)
    return f"4,000 draws at 60 plots against a sampler of its own ({100 * taken / 160_000:.0f} % of steps taken): {told}"


def check_squares(product):
    """The map between the plots as GDAL reads it, in all four formats; every square as wide as said and in its block's middle."""
    folder = product.scratch / "density"
    product.text("survey", product.pellwood(), *DAY, "--draws", "100", "--map", folder, "--side", "100m")
    made = json.loads((folder / "density_squares.geojson").read_text(encoding="utf-8"))["features"]
    for name in ("density_squares.geojson", "density_squares.gpkg", "density_squares.kml", "density_squares.shp"):
        told = run(["ogrinfo", "-so", "-al", folder / name])
        expect(f"Feature Count: {len(made)}" in told, f"{name}: {told[-300:]}")
    file = folder / "planar.geojson"
    run(["ogr2ogr", "-f", "GeoJSON", file, folder / "density_squares.gpkg", "-lco", "RFC7946=NO"])
    areas = [shapely.geometry.shape(f["geometry"]).area for f in json.loads(file.read_text(encoding="utf-8"))["features"]]
    near(max(areas), 10_000, 0.1, "the largest square")
    near(min(areas), 10_000, 0.1, "the smallest square")
    return f"{len(made)} squares of 100 m read by GDAL from GeoJSON, GeoPackage, KML and shapefile"


def check_speed(product):
    """Told, not judged in a debug build."""
    example = product.built("survey_space")
    told = subprocess.run([example, "time", "240", "180", "1000"], capture_output=True, text=True, check=True).stdout
    return f"{os.cpu_count()} cores, {example.parts[-3]} build: {told.splitlines()[-1].split(' (')[0]}"
