"""Stop rules against an independent exact computation, a simulation, and arithmetic of the published formulas."""

import math

import numpy as np
from scipy.stats import nbinom

from tools import expect, near

RULE = ("--low", 150, "--high", 350, "--k", 1, "--alpha", 0.1, "--beta", 0.1, "--plot", "1/40 acre", "--max", 20)
SEQUENCES = 1_000_000


def stop_rule(product, *arguments):
    return product.json("stop-rule", *arguments)


def wald(low, high, k, alpha, beta):
    """Slope and intercepts, written from the likelihood ratio of one count: its log is linear in the count."""
    p0, p1 = k / (k + low), k / (k + high)
    per_mass = math.log((1 - p1) / (1 - p0))
    per_plot = k * math.log(p1 / p0)
    return -per_plot / per_mass, math.log(beta / (1 - alpha)) / per_mass, math.log((1 - beta) / alpha) / per_mass


def check_wald_lines(product):
    """Survey notes 6-8: slope and intercepts, and the whole-number limits that follow."""
    for low, high, k, error in ((150, 350, 1, 0.1), (150, 350, 0.5, 0.1), (250, 500, 1, 0.05), (60, 900, 2.3, 0.2)):
        got = stop_rule(
            product, "--low", low, "--high", high, "--k", k, "--alpha", error, "--beta", error / 2, "--min", 1
        )
        slope, lower, upper = wald(low / 40, high / 40, k, error, error / 2)
        near(got["slope"], slope, 1e-6, "slope")
        near(got["low_intercept"], lower, 1e-6, "lower intercept")
        near(got["high_intercept"], upper, 1e-6, "upper intercept")
        for row in got["table"]:
            low_total = math.floor(slope * row["n"] + lower)
            expect(row["stop_below"] == (low_total if low_total >= 0 else None), f"below at {row}")
            expect(row["stop_above"] == math.ceil(slope * row["n"] + upper), f"above at {row}")
    first = stop_rule(product, *RULE, "--min", 1)
    near(first["slope"], 5.610467, 1e-6, "slope")
    near(first["high_intercept"], 17.142354, 1e-6, "intercept")
    return "Wald's lines of four rules = the likelihood ratio worked out anew, whole limits of 80 rows equal"


def exact(rule, mean, k, least):
    """Chance of "below" and mean number of plots, by convolution with SciPy's probabilities; totals up to 4,000."""
    most = 4_000
    count, total = nbinom.pmf(np.arange(most), k, k / (k + mean)), np.arange(most)
    alive, below, plots = np.zeros(most), 0.0, 0.0
    alive[0] = 1.0
    for n in range(1, rule["max"] + 1):
        plots += alive.sum()
        alive = np.convolve(alive, count)[:most]
        low = total <= rule["slope"] * n + rule["low_intercept"]
        high = total >= rule["slope"] * n + rule["high_intercept"]
        if n < least:
            continue
        if n == rule["max"]:
            low |= ~high & (total < 0.5 * (rule["low"] + rule["high"]) / 40 * n)
            high = ~low
        below += alive[low].sum()
        alive[low | high] = 0.0
    return below, plots


def check_exact(product):
    for least in (1, 5):
        rule = stop_rule(product, *RULE, "--min", least)
        for row in rule["exact"]:
            below, plots = exact(rule, row["density"] / 40, 1, least)
            near(row["p_below"], below, 2e-6, f"chance of below at {row['density']}, min {least}")
            near(row["mean_plots"], plots, 2e-6, f"plots at {row['density']}, min {least}")
    printed = {100: 0.9982, 150: 0.9540, 200: 0.7514, 250: 0.4533, 350: 0.1090, 500: 0.0152}
    for row in stop_rule(product, *RULE, "--min", 1)["exact"]:
        if row["density"] in printed:
            near(row["p_below"], printed[row["density"]], 1e-4, f"survey notes at {row['density']}")
    return "exact chances and mean plots of 14 cases = an independent convolution (NumPy, SciPy nbinom) to 2e-6"


def played(rule, counts):
    """A million sequences of plots by the rule; `counts` draws one plot of each. Which end below, and plots of each."""
    open_ones, below = np.ones(SEQUENCES, bool), np.zeros(SEQUENCES, bool)
    total, plots = np.zeros(SEQUENCES, int), np.zeros(SEQUENCES, int)
    for limit in rule["table"]:
        plots += open_ones
        total += np.where(open_ones, counts(), 0)
        low = np.zeros(SEQUENCES, bool) if limit["stop_below"] is None else total <= limit["stop_below"]
        high = np.zeros(SEQUENCES, bool) if limit["stop_above"] is None else total >= limit["stop_above"]
        if limit["n"] == rule["max"]:
            low |= ~high & (total <= rule["last_plot_below_up_to"])
            high = ~low
        below |= open_ones & low
        open_ones &= ~(low | high)
    expect(not open_ones.any(), "some sequence never ended")
    return below, plots


def like_played(row, below, plots):
    share = below.mean()
    near(row["p_below"], share, 4 * math.sqrt(share * (1 - share) / SEQUENCES), f"below at {row['density']}")
    near(row["mean_plots"], plots.mean(), 4 * plots.std() / 1_000, f"plots at {row['density']}")


def check_simulation(product):
    """A million sequences of counts at each of three densities; four standard errors of the simulation."""
    rule = stop_rule(product, *RULE, "--min", 5)
    random = np.random.default_rng(20261125)
    for row in (r for r in rule["exact"] if r["density"] in (150, 250, 350)):
        there = 1 / (1 + row["density"] / 40)
        like_played(row, *played(rule, lambda p=there: random.negative_binomial(1, p, SEQUENCES)))
    return "chances and mean plots at three densities = a million simulated sequences each, within 4 standard errors"


def check_detection(product):
    """A million sequences of masses on a plot, of which counters find 70 %; the rule is told so."""
    rule = stop_rule(product, *RULE, "--min", 1, "--found", "70%")
    expect(rule["share_found"] == 0.7, "share found")
    random = np.random.default_rng(20261130)
    for row in (r for r in rule["exact"] if r["density"] in (150, 350)):
        there = 1 / (1 + row["density"] / 40)
        finds = lambda p=there: random.binomial(random.negative_binomial(1, p, SEQUENCES), 0.7)  # noqa: E731
        like_played(row, *played(rule, finds))
    return "70 % of the masses found: chances and plots = a million sequences of masses and of finds, within 4 standard errors"


def check_other_lines(product):
    """Survey notes 11-13, arithmetic of the formulas of Green 1970, Kuno 1969 and Iwao 1975."""
    green = stop_rule(product, "--rule", "green", "--taylor", "2,1.5", "--precision", 0.25, "--min", 1)["table"]
    expect([green[n - 1]["stop_above"] for n in (10, 20)] == [103, 52], "Green's 102.4 and 51.2, rounded up")
    kuno = stop_rule(product, "--rule", "kuno", "--k", 1, "--precision", "25%", "--min", 1, "--max", 40)["table"]
    expect([kuno[n - 1]["stop_above"] for n in (16, 20, 40)] == [None, 80, 27], "Kuno's none, 80 and 26.667")
    iwao = stop_rule(product, "--rule", "iwao", "--k", 1, "--threshold", 250, "--min", 1)["table"][9]
    expect((iwao["stop_below"], iwao["stop_above"]) == (27, 98), "Iwao's 27.483 and 97.517")
    return "Green, Kuno and Iwao lines = arithmetic of the published formulas"
