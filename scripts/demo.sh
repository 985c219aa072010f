#!/bin/sh
# Builds, makes the invented city if it is not there, prints its plan and writes the papers.
set -eu
cd "$(dirname "$0")/.."

cargo build --release --locked -p crownhold-app
crownhold=${CARGO_TARGET_DIR:-target}/release/crownhold
city=demo/pellwood.gpkg

[ -f "$city" ] || "$crownhold" demo demo
"$crownhold" plan "$city"
"$crownhold" papers "$city" --out demo/papers
echo
echo "Programme file: $PWD/$city (opens in any GIS)"
echo "Papers:         $PWD/demo/papers/season-plan.pdf"
