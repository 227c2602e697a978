#!/bin/sh
# An outside validator of JSON Schema agrees with the reader.
program=${BUILD:-build}/iolrevise
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
for python in python3 /usr/bin/python3; do
    if $python -c 'from jsonschema import Draft202012Validator' 2>/dev/null; then
        exec $python tests/runs/schema_check.py "$program" "$work"
    fi
done
grep -qx schema-validator tests/allowed-skips || { echo "FAILED schema-validator may not be skipped"; exit 1; }
echo "SKIP schema-validator: no python3 with jsonschema"
