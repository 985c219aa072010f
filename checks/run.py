"""Runs the outside checks. `checks/.venv/bin/python checks/run.py --binary target/debug/crownhold [NAME...]`

One line per check: what was compared with what. The last line counts. Exit code 1 if any failed.
"""

import argparse
import concurrent.futures
import importlib
import pathlib
import sys
import tempfile
import time

from tools import Different, NotRun, Product, ROOT

MODULES = [
    "degree_days",
    "calendar_file",
    "counts",
    "stopping",
    "space",
    "hold_out",
    "geodesy",
    "geopackage",
    "features",
    "pdf",
    "plan_by_others",
    "monotone",
    "aerial",
    "rounds",
    "city_dates",
    "season",
    "real_input",
    "licences",
]


def checks_of(module):
    """The check functions of a file, in the order they are written."""
    own = [f for f in vars(module).values() if getattr(f, "__module__", "") == module.__name__]
    return [f for f in own if callable(f) and f.__name__.startswith("check_")]


def outcome(check, product):
    """(word, sentence) of one check. Whatever goes wrong inside is a failure, not the end of the run."""
    try:
        return "ok", check(product)
    except NotRun as reason:
        return "NOT RUN", str(reason)
    except Different as difference:
        return "FAILED", str(difference)
    except Exception as trouble:  # noqa: BLE001  a broken check must be seen and the others still run
        return "FAILED", f"{type(trouble).__name__}: {trouble}"


def checked(name, binary, examples, scratch):
    """All checks of a module: word, name, seconds and sentence of each. Modules share nothing, so two go side by side."""
    told = []
    with tempfile.TemporaryDirectory(dir=scratch) as own:
        product = Product(binary, examples, own)
        for check in checks_of(importlib.import_module(name)):
            start = time.monotonic()
            word, sentence = outcome(check, product)
            told.append((word, f"{name}.{check.__name__.removeprefix('check_')}", time.monotonic() - start, sentence))
    return told


def main():
    parser = argparse.ArgumentParser(description="Outside checks of Crownhold")
    parser.add_argument("--binary", default=ROOT / "target/debug/crownhold", help="the command to check")
    parser.add_argument("--examples", help="folder of built examples [default: beside the binary]")
    parser.add_argument("--jobs", type=int, default=2, help="modules checked side by side [default: 2]")
    parser.add_argument("names", nargs="*", help=f"only these of: {', '.join(MODULES)}")
    given = parser.parse_args()
    unknown = [n for n in given.names if n not in MODULES]
    if unknown or not pathlib.Path(given.binary).exists():
        parser.error(f"no such check: {', '.join(unknown)}" if unknown else f"there is no {given.binary}")
    count = {"ok": 0, "FAILED": 0, "NOT RUN": 0}
    with (
        tempfile.TemporaryDirectory(prefix="crownhold-checks-") as scratch,
        concurrent.futures.ProcessPoolExecutor(given.jobs) as pool,
    ):
        names = given.names or MODULES
        running = [pool.submit(checked, name, given.binary, given.examples, scratch) for name in names]
        for module in concurrent.futures.as_completed(running):
            for word, check, spent, sentence in module.result():
                count[word] += 1
                print(f"{word:7} {check} ({spent:.1f} s): {sentence}", flush=True)
    print(f"checks: {count['ok']} passed, {count['FAILED']} failed, {count['NOT RUN']} not run")
    sys.exit(1 if count["FAILED"] or not count["ok"] else 0)


if __name__ == "__main__":
    main()
