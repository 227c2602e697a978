#!/bin/sh
# Every field of a case and of a site, at its limits and just beyond them: tests/runs/limits_check.py.
command -v python3 >/dev/null || { echo "SKIP limits: no python3"; exit 0; }
python3 -B tests/runs/limits_check.py "${BUILD:-build}/iolrevise"
