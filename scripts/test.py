#!/usr/bin/env python3
"""Proves the house: format, lints, types, Rust tests, outside checks, screens, licences.

Every step runs even when an earlier one failed. The last line counts tests and checks as their runners counted them;
format, lints and types count as one check each. Arguments pick packages for cargo (`-p crownhold`); without, the workspace.
"""

import os
import pathlib
import re
import subprocess
import sys
import time

ROOT = pathlib.Path(__file__).resolve().parent.parent
TARGET = pathlib.Path(os.environ.get("CARGO_TARGET_DIR", ROOT / "target"))
ENVIRONMENT = {**os.environ, "CARGO_TERM_COLOR": "never"}


def run(command):
    """Runs a command in the project, showing its output as it comes; (exit code, output)."""
    print(f"\n== {' '.join(map(str, command))}", flush=True)
    start, lines = time.monotonic(), []
    with subprocess.Popen(
        command,
        cwd=ROOT,
        env=ENVIRONMENT,
        text=True,
        errors="replace",
        stdout=subprocess.PIPE,
        stderr=subprocess.STDOUT,
    ) as process:
        for line in process.stdout:
            print(line, end="", flush=True)
            lines.append(line)
    print(f"== exit {process.returncode} after {time.monotonic() - start:.0f} s", flush=True)
    return process.returncode, "".join(lines)


def at_least_one(code, passed, failed):
    """A runner that stopped without naming a failed test has failed all the same."""
    return passed, failed if code == 0 or failed else 1


def whole(command):
    """(passed, failed) of a step that is one check."""
    code, _ = run(command)
    return (1, 0) if code == 0 else (0, 1)


def by_cargo(command):
    """(passed, failed) summed over the result lines of `cargo test`."""
    code, output = run(command)
    results = re.findall(r"^test result: \w+\. (\d+) passed; (\d+) failed", output, re.M)
    return at_least_one(code, sum(int(p) for p, _ in results), sum(int(f) for _, f in results))


def by_nextest(command):
    """(passed, failed) of the summary line of `cargo nextest`."""
    code, output = run(command)
    summary = re.search(r"(\d+) tests? run: (\d+) passed", output)
    ran, passed = (int(n) for n in summary.groups()) if summary else (0, 0)
    return at_least_one(code, passed, ran - passed)


def rust_tests(packages):
    nextest = subprocess.run(["cargo", "nextest", "--version"], capture_output=True, check=False).returncode == 0
    if nextest:
        return by_nextest(["cargo", "nextest", "run", "--locked", "--no-fail-fast", *packages])
    return by_cargo(
        ["cargo", "test", "--locked", "--no-fail-fast", "--lib", "--bins", "--tests", "--examples", *packages]
    )


def outside_checks():
    """The checks of checks/, on the command that the tests have just built."""
    code, output = run(["checks/.venv/bin/python", "checks/run.py", "--binary", TARGET / "debug/crownhold"])
    counted = re.search(r"^checks: (\d+) passed, (\d+) failed", output, re.M)
    passed, failed = (int(n) for n in counted.groups()) if counted else (0, 0)
    return at_least_one(code, passed, failed)


def screens():
    """The screens in a browser, on the command that the tests have just built; counted by node's test runner."""
    code, output = run(["node", "tests/desk/run.mjs", TARGET / "debug/crownhold"])
    passed, failed = (sum(int(n) for n in re.findall(rf"^. {word} (\d+)", output, re.M)) for word in ("pass", "fail"))
    return at_least_one(code, passed, failed)


def main():
    packages = sys.argv[1:] or ["--workspace"]
    steps = {
        "format": lambda: whole(["cargo", "fmt", "--all", "--check"]),
        "lints": lambda: whole(["cargo", "clippy", "--locked", "--all-targets", *packages, "--", "-D", "warnings"]),
        "types of the scripts": lambda: whole(["npm", "run", "--silent", "check", "--prefix", "web"]),
        "Rust tests": lambda: rust_tests(packages),
        "documentation tests": lambda: by_cargo(["cargo", "test", "--locked", "--doc", "--no-fail-fast", *packages]),
        "outside checks": outside_checks,
        "screens": screens,
    }
    results = {name: step() for name, step in steps.items()}
    print()
    for name, (passed, failed) in results.items():
        print(f"{name}: {passed} passed, {failed} failed")
    passed, failed = (sum(column) for column in zip(*results.values()))
    print(f"{passed} passed, {failed} failed", flush=True)
    sys.exit(1 if failed else 0)


if __name__ == "__main__":
    main()
