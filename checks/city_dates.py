"""The dates of a city: the product beside a NumPy version of the same ensemble, in the same minute.

The NumPy version is written from docs/models/timing.md alone and does the same work: every block's offset to a tenth of
a degree, every past year's heat on three axes, 1,000 members, 15 events each. It is vectorised over all offsets and
members at once; no loop runs over members or days. Draws differ (another generator), so that medians are compared, not
members.

The product's side is the example `city_dates`, to be built with --release; with a debug build the times are told but not
judged.
"""

import os
import re
import sqlite3
import subprocess
import time

import numpy as np
from scipy.signal import fftconvolve
from scipy.special import ndtr, ndtri
from scipy.stats import gamma
from tools import ROOT, NotRun, expect

MEMBERS = 1000
COHORTS = 16
# Working table of docs/models/timing.md, degree-days C above 8 C.
INSTARS, MALE, FEMALE, K = [94, 77, 77, 94], [136, 196, 90], [102, 136, 162, 90], 45
STEP = 77 / 48


def sine(low, high, base):
    """Degree-days above a base by the single sine, elementwise."""
    mean, half = (low + high) / 2 - base, (high - low) / 2
    with np.errstate(invalid="ignore", divide="ignore"):
        ratio = np.clip(-mean / half, -1, 1)
        part = (mean * (np.pi / 2 - np.arcsin(ratio)) + half * np.sqrt(1 - ratio**2)) / np.pi
    return np.where(low >= base, mean, np.where(high <= base, 0.0, part))


def passages():
    """Shares past each molt at even steps of heat, by convolution of gamma densities."""
    n = int(1500 / STEP)
    heat = np.arange(n) * STEP

    def weights(mean):
        w = gamma.pdf(heat, K, scale=mean / K)
        return w / w.sum()

    def then(table, mean):
        return fftconvolve(table, weights(mean))[:n]

    tables = {"second": gamma.cdf(heat, K, scale=94 / K)}
    common = tables["second"]
    for name, mean in zip(("third", "fourth", "fifth"), INSTARS[1:]):
        tables[name] = common = then(common, mean)
    tables["pupa m"] = then(common, MALE[0])
    tables["adult m"] = then(tables["pupa m"], MALE[1])
    tables["pupa f"] = then(then(common, FEMALE[0]), FEMALE[1])
    tables["adult f"] = then(tables["pupa f"], FEMALE[2])
    tables["spent f"] = then(tables["adult f"], FEMALE[3])
    return {name: np.append(np.clip(t, 0, 1), 1.0) for name, t in tables.items()}


def look_up(table, heat):
    """Linear interpolation in an even table."""
    at = np.clip(heat * (1 / STEP), 0, len(table) - 2)
    i = at.astype(np.int32)
    low = table[i]
    return low + (at - i) * (table[i + 1] - low)


def first_day(totals, year, heat):
    """First day at whose end a year's total has reached a heat: one searchsorted over all years laid end to end."""
    years, days = totals.shape
    far = totals.max() + 1e4
    line = (totals + far * np.arange(years)[:, None]).ravel()
    return np.searchsorted(line, heat + far * year, side="left") - year * days


def carry(egg, larva, year, heat):
    """Larval heat at the moment at which egg heat is reached; heat is members x cohorts."""
    day = np.minimum(first_day(egg, year[:, None], heat), egg.shape[1] - 1)
    before = np.maximum(day - 1, 0)
    start = np.where(day > 0, egg[year[:, None], before], 0.0)
    gain = egg[year[:, None], day] - start
    along = np.clip(np.where(gain > 0, (heat - start) / np.where(gain > 0, gain, 1), 0), 0, 1)
    old = np.where(day > 0, larva[year[:, None], before], 0.0)
    return old + along * (larva[year[:, None], day] - old)


def dates(low, high, offsets, rng):
    """Days of 15 events: events x (offsets x members). low and high are past years x 365."""
    n_years, n = len(low), len(offsets) * MEMBERS
    shift = np.asarray(offsets)[:, None, None]
    lows, highs = (x.reshape(-1, low.shape[1]) for x in (low + shift, high + shift))
    egg, leaf = (np.cumsum(sine(lows, highs, b), axis=1) for b in (3.0, 10.0))
    larva = np.cumsum(sine(lows, highs, 8.0) - sine(lows, highs, 29.0), axis=1)
    # The same draws at every offset, as the product has it.
    member = np.arange(MEMBERS)
    z = [np.tile(rng.standard_normal(MEMBERS), len(offsets)) for _ in range(3)]
    year = (np.repeat(np.arange(len(offsets)), MEMBERS) * n_years + np.tile(member % n_years, len(offsets))).astype(np.int64)
    mean, scale = 282 + 40 * z[0], np.maximum(1 + 0.1 * z[1], 0.25)
    edges = np.concatenate([[0], ndtr(np.linspace(-4, 4, COHORTS + 1)[1:-1]), [1]])
    share, place = np.diff(edges), (np.arange(COHORTS) + 0.5) * 0.5 - 4
    place = place / np.sqrt(1 + 0.25 / 12)
    cohorts = carry(egg, larva, year, mean[:, None] + 29 * place)
    tables, out = passages(), []
    for p in (0.1, 0.5, 0.9):
        out.append(first_day(egg, year, mean + 29 * ndtri(p)))
    per = 1 / scale
    for molts, p in (
        (("second",), 0.5), (("third",), 0.25), (("third",), 0.5), (("fourth",), 0.5), (("pupa m", "pupa f"), 0.5),
        (("adult m",), 0.5), (("adult f",), 0.5), (("spent f",), 0.95),
    ):
        table = sum(tables[m] for m in molts) / len(molts)
        # Bisection on days: nine readings of the table for all members at once.
        low_day, high_day = np.zeros(n, np.int64), np.full(n, larva.shape[1])
        while np.any(low_day < high_day):
            middle = np.minimum((low_day + high_day) // 2, larva.shape[1] - 1)
            past = look_up(table, (larva[year, middle][:, None] - cohorts) * per[:, None]) @ share
            reached = past >= p
            high_day = np.where(reached, middle, high_day)
            low_day = np.where(reached, low_day, np.minimum(middle + 1, high_day))
        out.append(high_day)
    for heat, spread in ((152, 26), (271, 24), (198, 26), (331, 25)):
        out.append(first_day(leaf, year, (heat + spread * z[2]) / 1.8))
    return np.array(out)


def weather(file):
    """Past years of the city's station as arrays (29 February left out), and the blocks' offsets."""
    with sqlite3.connect(f"file:{file}?mode=ro", uri=True) as db:
        rows = db.execute("SELECT day, min_c, max_c FROM weather_day ORDER BY day").fetchall()
        height = db.execute("SELECT elevation_m FROM weather_station").fetchone()[0]
        blocks = db.execute("SELECT elevation_m, built_up FROM blocks ORDER BY id LIMIT 180").fetchall()
    years = {}
    for day, low, high in rows:
        if day[5:] != "02-29":
            years.setdefault(day[:4], []).append((low, high))
    # The unfinished last year borrows its last weeks from the year before.
    names = sorted(years)
    full = []
    for before, name in zip([names[0], *names], names):
        days = years[name] + years[before][len(years[name]):]
        full.append(days)
    data = np.array(full)
    exact = [0.0065 * (height - e) + 2.0 * b for e, b in blocks]
    return data[:, :, 0], data[:, :, 1], sorted({round(10 * o) / 10 for o in exact}), exact


def check_speed(product):
    built = next((p for p in (ROOT / "target/release/examples/city_dates", product.examples / "city_dates") if p.exists()), None)
    if built is None:
        raise NotRun("build it with: cargo build --release -p crownhold --example city_dates")
    low, high, offsets, exact = weather(product.pellwood())

    def timed(at, times):
        spent = []
        for _ in range(times):
            start = time.perf_counter()
            # A dozen offsets at once stay in the cache; all 180 together take three times as long.
            parts = [dates(low, high, at[i : i + 12], np.random.default_rng(1)) for i in range(0, len(at), 12)]
            found = np.concatenate(parts, axis=1)
            spent.append(time.perf_counter() - start)
        return min(spent), found

    (grouped, theirs), (single, _) = timed(offsets, 4), timed(exact, 2)
    told = subprocess.run([built, "180", str(MEMBERS), "9"], capture_output=True, text=True, check=True).stdout
    best, groups = float(re.search(r"best ([0-9.]+)", told)[1]), int(re.search(r"offsets (\d+)", told)[1])
    expect(groups == len(offsets), f"{groups} offsets, NumPy has {len(offsets)}")
    words = (
        f"180 blocks x {MEMBERS} members x 365 days, 15 events, {os.cpu_count()} cores: product {best:.3f} s in {groups} offsets to "
        f"0.1 C; NumPy the same way {grouped:.3f} s ({grouped / best:.1f} times), block by block {single:.2f} s ({single / best:.0f} times)"
    )
    mean_day = float(re.search(r"sum (\d+)", told)[1]) / theirs.size
    expect(abs(mean_day - (theirs + 1).mean()) < 1.0, f"mean day {mean_day:.2f}, NumPy {(theirs + 1).mean():.2f}")
    if "release" in str(built):
        expect(best <= 0.15, words)
    return words
