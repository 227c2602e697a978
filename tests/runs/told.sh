#!/bin/sh
# What the whole text of a plan, and the summary of past cases, tell against the same as JSON: tests/runs/told_check.py, over the examples,
# odd eyes and hard cases.
command -v python3 >/dev/null || { echo "SKIP told: no python3"; exit 0; }
build=${BUILD:-build}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
"$build/tests/tools/hard_cases" "$work" || exit 1
{ head -40 examples/past-cases.jsonl && echo '{}'; } >"$work/past.jsonl"
# Too few vitrectomies and enough to set the score against; two eyes while it is early.
PYTHONPATH=tests/runs python3 -B - examples/past-cases.jsonl "$work" <<'END'
import re, sys
from datetime import date
from vitrectomies import with_vitrectomies
lines = open(sys.argv[1]).read().splitlines()
for count, name in ((20, "few"), (120, "vitrectomies")):
    with open(f"{sys.argv[2]}/{name}.jsonl", "w") as file:
        file.writelines(case + "\n" for case in with_vitrectomies(lines[:count]))
day = r"\d{4}-\d{2}-\d{2}"
for name in ("examples/wrong-lens", "tests/inputs/eyes/f1-toric-worse"):  # planned on the day of the plans below, while it is early
    text = open(name + ".json").read()
    later = date(2026, 9, 1) - date.fromisoformat(re.search(rf'"assessed_on": *"({day})"', text)[1])
    text = re.sub(rf'"({day})"', lambda m: f'"{date.fromisoformat(m[1]) + later}"', text)
    open(f"{sys.argv[2]}/early-{name.rsplit('/')[-1]}.json", "w").write(text)
END
set -- "$work"/*.json tests/inputs/eyes/*.json "$work/past.jsonl" "$work/few.jsonl" "$work/vitrectomies.jsonl" examples/past-cases.jsonl
for case in examples/*.json; do [ "$case" = examples/site.json ] || set -- "$@" "$case"; done
python3 -B tests/runs/told_check.py "$build/iolrevise" "$@"
