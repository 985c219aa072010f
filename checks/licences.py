"""Licences of every Rust package that the build can use, from `cargo metadata`.

A script and not cargo-deny, which takes minutes to compile for the same answer.
"""

import collections
import json
import os
import re

from tools import ROOT, expect, run

ALLOWED = {
    "MIT",
    "MIT-0",
    "Apache-2.0",
    "Apache-2.0 WITH LLVM-exception",
    "BSD-2-Clause",
    "BSD-3-Clause",
    "ISC",
    "Zlib",
    "0BSD",
    "Unlicense",
    "CC0-1.0",
    "BSL-1.0",
    "Unicode-3.0",
    # Weak copyleft by file: fine to link unchanged, never to copy from.
    "MPL-2.0",
}
# package: (its licence expression, why it may stay)
EXCEPTIONS = {}


def words(expression):
    """Licence names, AND, OR and brackets; a slash is the old way to write OR."""
    text = expression.replace("/", " OR ")
    return re.findall(r"\(|\)|\bAND\b|\bOR\b|[A-Za-z0-9.+-]+(?: WITH [A-Za-z0-9.+-]+)?", text)


def satisfied(expression):
    """Whether the allowed licences are enough for an SPDX expression (AND binds tighter than OR)."""
    rest = words(expression)

    def either():
        good = both()
        while rest and rest[0] == "OR":
            rest.pop(0)
            good = both() or good
        return good

    def both():
        good = one()
        while rest and rest[0] == "AND":
            rest.pop(0)
            good = one() and good
        return good

    def one():
        word = rest.pop(0)
        if word != "(":
            return word in ALLOWED
        good = either()
        rest.pop(0)
        return good

    return either()


def check_reader(_product):
    expect(satisfied("(MIT OR GPL-3.0) AND Zlib") and satisfied("GPL-2.0/MIT"), "an allowed expression is refused")
    expect(not satisfied("MIT AND GPL-3.0") and not satisfied("GPL-3.0 OR LGPL-2.1"), "a forbidden expression passes")
    return "the reader of licence expressions refuses and allows what it should (SPDX 2.3 annex D: AND before OR)"


def check_rust_packages(_product):
    cargo = [os.environ.get("CARGO", "cargo"), "metadata", "--format-version", "1", "--locked"]
    packages = json.loads(run([*cargo, "--manifest-path", ROOT / "Cargo.toml"]))["packages"]
    refused = [
        f"{p['name']} {p['version']} ({p['license'] or p['license_file']})"
        for p in packages
        if EXCEPTIONS.get(p["name"], ("",))[0] != p["license"] and not satisfied(p["license"] or "none")
    ]
    expect(not refused, f"not on the list: {', '.join(refused)}")
    stale = set(EXCEPTIONS) - {p["name"] for p in packages}
    expect(not stale, f"exceptions that nothing needs: {stale}")
    kinds = collections.Counter(p["license"] for p in packages).most_common(3)
    most = ", ".join(f"{count} x {kind}" for kind, count in kinds)
    return f"{len(packages)} packages of cargo metadata within the list of {len(ALLOWED)} licences (most: {most})"
