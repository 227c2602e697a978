#!/bin/sh
# What the whole text of a plan, and the summary of past cases, tell against the same as JSON: tests/runs/told_check.py, over the examples,
# odd eyes and hard cases.
command -v python3 >/dev/null || { echo "SKIP told: no python3"; exit 0; }
build=${BUILD:-build}
work=$(mktemp -d)
trap 'rm -rf "$work"' EXIT
"$build/tests/tools/hard_cases" "$work" || exit 1
{ head -40 examples/past-cases.jsonl && echo '{}'; } >"$work/past.jsonl"
# Exchanges that say whether an anterior vitrectomy was needed, too few of them and enough to set the score against; some with an open capsule.
python3 - examples/past-cases.jsonl "$work" <<'END'
import json, re, sys
from datetime import date
cases = [json.loads(line) for line in open(sys.argv[1])]
whole = json.load(open("examples/hyperopic-surprise.json"))
for count, name in ((20, "few"), (120, "vitrectomies")):
    with open(f"{sys.argv[2]}/{name}.jsonl", "w") as file:
        for k, case in enumerate(cases[:count]):
            case["outcome"]["anterior_vitrectomy"] = k % 7 == 0 or (k % 3 == 0 and k % 2 == 0)
            if k % 3 == 0:
                case.setdefault("capsule", {})["posterior"] = "opened-by-laser"
            if k % 3 == 1:  # an eye of which all is known: its tier is another
                case = {**whole, "case_ref": case["case_ref"], "outcome": {**case["outcome"], "done_on": "2026-03-01",
                        "refraction": {**case["outcome"]["refraction"], "measured_on": "2026-06-01"}}}
            file.write(json.dumps(case) + "\n")
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
