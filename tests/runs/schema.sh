#!/bin/sh
# Files that are the program's own output are up to date; an outside validator of JSON Schema agrees with the reader.
program=${BUILD:-build}/iolrevise
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
for python in python3 /usr/bin/python3; do
    if $python -c 'from jsonschema import Draft202012Validator' 2>/dev/null; then
        exec $python tests/runs/schema_check.py "$program" "$work"
    fi
done
grep -qx schema-validator tests/allowed-skips || { echo "FAILED schema-validator may not be skipped"; exit 1; }
echo "SKIP schema-validator: no python3 with jsonschema"
