#!/bin/sh
# What the smaller commands print, against what was typed and against each other: tests/runs/commands_check.py.
command -v python3 >/dev/null || { echo "SKIP commands: no python3"; exit 0; }
python3 -B tests/runs/commands_check.py "${BUILD:-build}/iolrevise"
