#!/bin/sh
# Files that are the program's own output are up to date; an outside validator of JSON Schema agrees with the reader.
program=${BUILD:-build}/iolrevise
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
failed=0
compare() { # file, what it is the output of
    $program schema "$2" >"$work/out" && cmp -s "$1" "$work/out" && return
    echo "FAILED $1 is not the output of \`iolrevise schema $2\` (make schemas)"
    failed=1
}
for s in case site plan recheck summary; do compare data/$s.schema.json $s; done
compare docs/case-format.md case-format
[ "$failed" = 0 ] || exit 1
echo "passed generated files"
for python in python3 /usr/bin/python3; do
    if $python -c 'from jsonschema import Draft202012Validator' 2>/dev/null; then
        exec $python tests/schema_check.py "$program" "$work"
    fi
done
grep -qx schema-validator tests/allowed-skips || { echo "FAILED schema-validator may not be skipped"; exit 1; }
echo "SKIP schema-validator: no python3 with jsonschema"
