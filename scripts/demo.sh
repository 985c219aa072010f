#!/bin/sh
# Builds, makes the invented city if it is not there, plans its season, writes the paper and serves the desk.
set -eu
cd "$(dirname "$0")/.."

cargo build --release --locked -p crownhold-app
crownhold=${CARGO_TARGET_DIR:-target}/release/crownhold
city=demo/pellwood.gpkg

if [ ! -f "$city" ]; then
    "$crownhold" demo demo
    "$crownhold" plan "$city" --keep "first plan"
    "$crownhold" papers "$city" --plan "first plan" --out demo/papers
fi
echo
echo "Programme file: $PWD/$city (opens in any GIS)"
echo "Paper:          $PWD/demo/papers/season-plan.pdf"
echo
exec "$crownhold" serve "$city"
