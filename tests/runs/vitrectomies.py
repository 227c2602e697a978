"""Past cases that say whether an anterior vitrectomy was needed, some with an open capsule: of eyes of several tiers."""
import json


def with_vitrectomies(lines):
    whole = json.load(open("examples/hyperopic-surprise.json"))
    for k, case in enumerate(map(json.loads, lines)):
        case["outcome"]["anterior_vitrectomy"] = k % 7 == 0 or (k % 3 == 0 and k % 2 == 0)
        if k % 3 == 0:
            case.setdefault("capsule", {})["posterior"] = "opened-by-laser"
        if k % 3 == 1:  # an eye of which all is known: its tier is another
            outcome = {**case["outcome"], "done_on": "2026-03-01", "refraction": {**case["outcome"]["refraction"], "measured_on": "2026-06-01"}}
            case = {**whole, "case_ref": case["case_ref"], "outcome": outcome}
        yield json.dumps(case)
