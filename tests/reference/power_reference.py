#!/usr/bin/env python3
"""What `iolrevise power` prints for typed figures against the second computation: power_reference.py PROGRAM COUNT LEAST. Exit 1 when a
number differs, or when fewer than LEAST were compared."""
import datetime
import json
import os
import subprocess
import sys

sys.path.insert(0, os.path.dirname(os.path.abspath(__file__)))
sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "plan"))
import plan_reference  # noqa: E402
from extremes import Draw  # noqa: E402
from eye import Site  # noqa: E402


def drawn(draw):
    """The figures of one line."""
    return {"power": draw.of(10, 15.5, 21, 27, 30), "sphere": draw.of(-4, -1.5, 1.25, 2.25, 5), "cylinder": draw.of(0, -0.75, -3),
            "axis": draw.of(80, 180, 45), "target": draw.of(-0.25, 0, -2), "vertex": draw.of(None, 10, 14), "k": draw.of(None, 41.0, 46.0),
            "length": draw.of(None, 22.0, 23.5, 26.5), "a-constant": draw.of(None, 118.4, 119.1), "new-a-constant": draw.of(None, 118.0, 119.0),
            "days": draw.of(None, 10, 60), "eye": draw.of("OD", "OS")}


def line(f):
    reading = f"{f['sphere']:+.2f}" + (f" {f['cylinder']:+.2f} x {f['axis']}" if f["cylinder"] else "")
    out = ["power", f["eye"], str(f["power"]), reading, str(f["target"]), "--format", "json"]
    for key in ("vertex", "k", "length", "a-constant", "new-a-constant", "days"):
        out += [] if f[key] is None else ["--" + key, str(f[key])]
    return out


def case_of(f):
    reading = {"sphere_d": f["sphere"], "cylinder_d": f["cylinder"], "axis_deg": f["axis"], "vertex_mm": f["vertex"]}
    first = {"lens": {"power_d": f["power"], "position": "bag", "constants": {"a_constant": f["a-constant"]}}}
    if f["days"] is not None:
        first["done_on"] = "2026-01-01"
        reading["measured_on"] = str(datetime.date(2026, 1, 1) + datetime.timedelta(days=f["days"]))
    return {"eye": "right" if f["eye"] == "OD" else "left", "reason": "power-error", "target_se_d": f["target"], "first_surgery": first,
            "refractions": [reading], "biometry": {"axial_length_mm": f["length"], "k_flat_d": f["k"], "k_steep_d": f["k"]}}


def main(program, count, least):
    draw, compared, wrong = Draw(7), 0, 0
    for _ in range(int(count)):
        f = drawn(draw)
        plan = json.loads(subprocess.run([program, *line(f)], stdout=subprocess.PIPE, check=True).stdout)
        new = f["new-a-constant"] or f["a-constant"] or plan_reference.C["a_constant_assumed"]
        lens = {"id": plan["replacement"]["lens_id"], "purpose": "replacement", "constants": {"a_constant": new}, "optic_diameter_mm": 6.0}
        plan["piggyback"], plan["fallbacks"] = None, []
        wound = (plan["incision"] or {}).get("end_width_mm") or 0.0
        plan_reference.end_of = lambda printed, wound=wound: wound  # no part says how the old lens comes out

        def report(path, mine, found, fine, f=f):
            nonlocal compared, wrong
            compared, wrong = compared + 1, wrong + (not fine)
            if not fine:
                print(path, mine, "printed", found, *line(f))
        plan_reference.numbers(case_of(f), Site({"lenses": [lens]}), plan, report)
    print(f"{count} cases, {compared} numbers compared, {wrong} differ")
    return int(wrong > 0 or compared < int(least))


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:4]))
