#!/bin/sh
# Writes every file that is the program's own output below a folder (default: here). The tests compare them with the project's.
program=${BUILD:-build}/iolrevise
to=${1:-.}
mkdir -p "$to/docs"
$program schema case-format --output "$to/docs/case-format.md" || exit 1
$program sources --format markdown --output "$to/docs/references.md" || exit 1
sh tests/tools/manual.sh "$to" || exit 1
awk -f tests/tools/api.awk include/iolrevise/*.h >"$to/docs/api.md" || exit 1
sh tests/tools/evidence.sh "$to" || exit 1
${BUILD:-build}/tests/tools/sensitivity examples/site.json $(ls examples/*.json | grep -v 'site\.json$' | LC_ALL=C sort) \
    >"$to/docs/sensitivity.md" || exit 1
mkdir -p "$to/docs/runs"
${BUILD:-build}/tests/tools/sizes >"$to/docs/runs/sizes.tsv" || exit 1
version=$($program --version | sed 's/.* //')
{
    echo "libiolrevise.so.${version%.*} libiolrevise${version%.*} #MINVER#"
    nm -D --defined-only ${BUILD:-build}/libiolrevise.so.$version | awk '$3 ~ /^iol_/ { print " " $3 "@Base 0.1.0" }' | LC_ALL=C sort
} >"$to/docs/libiolrevise.symbols"
