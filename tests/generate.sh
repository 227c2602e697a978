#!/bin/sh
# Writes every file that is the program's own output below a folder (default: here). The tests compare them with the project's.
program=${BUILD:-build}/iolrevise
to=${1:-.}
mkdir -p "$to/data" "$to/docs"
for s in case site plan recheck summary; do $program schema $s --output "$to/data/$s.schema.json" || exit 1; done
$program schema case-format --output "$to/docs/case-format.md" || exit 1
$program sources --format markdown --output "$to/docs/references.md" || exit 1
sh tests/manual.sh "$to" || exit 1
awk -f tests/api.awk include/iolrevise/*.h >"$to/docs/api.md" || exit 1
sh tests/evidence.sh "$to" || exit 1
