#!/bin/sh
# Installs the Debian packages that are missing. Arguments: build, test, or both.
set -eu

missing=""

# need PACKAGE COMMAND...: the package is missing when the command fails.
need() {
    package=$1
    shift
    "$@" >/dev/null 2>&1 || missing="$missing $package"
}

# The C library that bindgen loads; libclang-cpp, which other packages bring along, is not it.
libclang() {
    for place in /usr/lib/llvm-*/lib /usr/lib/*-linux-gnu "${LIBCLANG_PATH:-/nowhere}"; do
        ls "$place"/libclang.so* "$place"/libclang-[0-9]*.so* 2>/dev/null | grep -q . && return 0
    done
    return 1
}

for purpose in "$@"; do
    case $purpose in
    build)
        need build-essential sh -c 'cc --version && c++ --version'
        need pkg-config pkg-config --version
        need cmake cmake --version
        need libclang-dev libclang
        ;;
    test)
        need gdal-bin sh -c 'command -v ogrinfo && command -v ogr2ogr'
        need python3-gdal /usr/bin/python3 -c 'import osgeo_utils.samples.validate_gpkg'
        need poppler-utils sh -c 'command -v pdfinfo && command -v pdftotext'
        need qpdf qpdf --version
        need chromium sh -c 'command -v chromium'
        need default-jre-headless java -version
        need r-base-core Rscript --version
        need r-cran-mgcv Rscript -e 'library(mgcv)'
        need r-cran-sp Rscript -e 'library(sp)'
        need python3-venv python3 -c 'import ensurepip, venv'
        ;;
    esac
done

command -v cargo >/dev/null || { echo "Rust is missing; see https://rustup.rs" >&2; exit 1; }
[ -n "$missing" ] || exit 0

echo "Missing Debian packages:$missing"
if ! command -v apt-get >/dev/null; then
    echo "This is not Debian: install what corresponds to them, then start again." >&2
    exit 1
fi
root=""
[ "$(id -u)" = 0 ] || root=sudo
$root apt-get update -q
# The list of packages is split into words on purpose.
# shellcheck disable=SC2086
$root env DEBIAN_FRONTEND=noninteractive apt-get install -y -q --no-install-recommends $missing
