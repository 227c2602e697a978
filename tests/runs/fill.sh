#!/bin/sh
# ask --fill under a pseudo-terminal.
for python in python3 /usr/bin/python3; do
    command -v $python >/dev/null && exec $python -B tests/runs/fill.py
done
grep -qx fill tests/allowed-skips || { echo "FAILED fill: no python3, and it may not be skipped"; exit 1; }
echo "SKIP fill: no python3"
