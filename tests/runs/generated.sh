#!/bin/sh
# Files that are the program's own output are up to date.
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0
sh tests/tools/generate.sh "$work/new" || exit 1
for f in $(cd "$work/new" && find . -type f); do
    cmp -s "$f" "$work/new/$f" && continue
    echo "FAILED $f is not the program's own output any more: make docs"
    failed=1
done
[ "$failed" = 0 ] || exit 1
echo "passed generated files"
