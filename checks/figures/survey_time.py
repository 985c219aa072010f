"""Seconds of the count model over space beside mgcv's reduced-rank GAM and scikit-learn's full Gaussian process, one after the other.

`checks/.venv/bin/python checks/figures/survey_time.py target/release/examples`. Ours: fit, doubt about the law, and 1,000 joint
draws of 180 blocks. mgcv: negative binomial GAM by REML, s(x, y, k = 60), and 1,000 draws of its coefficients. scikit-learn: ln(masses
+ 1/2), Matern 3/2 with noise, its own optimiser, and 1,000 joint draws of 180 places. They do not do the same; it places ours among them.
"""

import pathlib
import subprocess
import sys
import tempfile
import time
import warnings

import numpy as np
from sklearn.gaussian_process import GaussianProcessRegressor
from sklearn.gaussian_process.kernels import ConstantKernel, Matern, WhiteKernel

HERE = pathlib.Path(__file__).resolve().parent.parent


def process(rows):
    places, values = rows[:, 1:3], np.log(rows[:, 6] + 0.5)
    began = time.perf_counter()
    kernel = ConstantKernel(1.0) * Matern(450.0, (50, 5000), nu=1.5) + WhiteKernel(0.5)
    fitted = GaussianProcessRegressor(kernel, normalize_y=True).fit(places, values)
    fitted.sample_y(places[:180], 1000, random_state=1)
    return time.perf_counter() - began


def main():
    warnings.simplefilter("ignore")
    examples = pathlib.Path(sys.argv[1])
    for plots in (240, 2000):
        own = subprocess.run([examples / "survey_space", "time", str(plots), "180", "1000"], check=True, capture_output=True, text=True)
        print(own.stdout.splitlines()[-1])
        with tempfile.TemporaryDirectory() as folder:
            file = pathlib.Path(folder) / "city.txt"
            lines = subprocess.run([examples / "survey_others", "city", "1", str(plots), "180", "5"], check=True, capture_output=True, text=True)
            file.write_text(lines.stdout, encoding="utf-8")
            gam = subprocess.run(["Rscript", HERE / "mgcv.R", "time", file, "smooth"], check=True, capture_output=True, text=True)
            print(f"  mgcv {float(gam.stdout):.2f} s, scikit-learn {process(np.loadtxt(file)):.2f} s")


if __name__ == "__main__":
    main()
