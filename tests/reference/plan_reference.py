#!/usr/bin/env python3
"""The numbers of a plan computed a second time, from docs/method.md, docs/case-format.md and docs/references.md alone, by one who had
not read the C, and compared with `iolrevise plan --format json`: each number rounds to the digits that are printed.

    plan_reference.py PROGRAM CASES.jsonl SITE.json LEAST

Exit 1 when a number differs, or when fewer than LEAST were compared. What it found: docs/reliability.md.

Not computed here: the routes by biometry or refraction alone; residuals of a toric lens as a part of their own; clearance and the turn before a cut;
a second lens in front of a toric one (`tests/unit/test_printed.c`); eyes without a lens or with two; a displaced reading reckoned back; weights of causes after corneal laser, where the
way up of the lens is not seen right, where a keratometer's index is not 1.3375, where a meridian is missing, or where only one of
length and keratometry was measured at first."""
import collections
import concurrent.futures
import json
import os
import subprocess
import sys

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "plan"))
import removal  # noqa: E402
from constants import C, SPREAD  # noqa: E402
from eye import Eye, Site, get  # noqa: E402
from mixture import Mixture  # noqa: E402
from powers import NewLens, Replacement, SecondLens  # noqa: E402
from wound import Wound  # noqa: E402
from optics import lens_matrix  # noqa: E402
from surprise import Surprise  # noqa: E402

# A toric old lens: the second-order part of its spherical equivalent is taken at the leading component by both, the last bit of the
# spread by neither alike: of spreads and chances a tenth of a last digit may differ for each dioptre of its cylinder.
TORIC = 0.1
FOUR = ("share", "z", "estimate", "needed_alone", "estimate_read", "needed_alone_read")


def decimals(path):
    name = path.rsplit("/", 1)[-1]
    return 1 if name.endswith("_deg") else 4 if name in FOUR or name.endswith("_probability") or name.startswith(("within_", "hyperopic_over")) else 3


def at(node, path):
    for key in path.split("/"):
        node = node[int(key)] if isinstance(node, list) else None if node is None else node[key]
    return node


def same(mine, found, unit, slack=0.0):
    if mine is None or found is None:
        return mine is found
    if isinstance(mine, str) or isinstance(found, str):
        return mine == found
    return abs(mine - found) <= (0.51 + slack) * unit


def compare(mine, printed, part, report, slack=0.0):
    for path, value in mine.items():
        try:
            found = at(printed, path)
        except (IndexError, KeyError):
            found = "absent"
        report(part + "/" + path, value, found, same(value, found, 10.0 ** -decimals(path), slack))


def weighed(eye, plan):
    """Whether the weights of the causes are computed here."""
    first, repeat = eye.case.get("biometry") or {}, eye.case.get("biometry_repeat") or {}
    plain = all(get(b, "keratometric_index") in (None, C["keratometric_index"]) for b in (first, repeat))
    whole = all(k is None or k[1] is not None for k in (eye.k1, eye.k2)) and (eye.l1 is None) == (eye.k1 is None)
    other = get(eye.case, "checks", "biometry_belongs_to_this_eye") is False and eye.sk > SPREAD["cornea_laser_d"]
    read = eye.reading.se is not None or plan["surprise"]["current_se_d"] is None
    return plain and whole and not other and read and get(eye.old, "way_up") == "right" and not eye.laser


def numbers(case, site, plan, report):
    """Every part that is printed and computed here."""
    eye = Eye(case, site)
    if plan["incision"]:
        compare(Wound(eye).numbers(eye), plan["incision"], "incision", report)
    if plan["removal"] and plan["removal"]["lens"]["optic_diameter_mm"] is not None:
        compare(removal.numbers(plan["removal"]), plan["removal"], "removal", report)
    if plan["altered_cornea"]:
        compare(eye.laser, plan["altered_cornea"], "altered_cornea", report)
    if plan["surprise"] and not case.get("second_lens") and plan["secondary"] is None and not eye.absent:
        surprise = Surprise(eye)
        mine = surprise.numbers()
        if not plan["replacement"] or plan["replacement"]["standing"] == "withheld":  # a withheld power is printed nowhere
            mine = {path: value for path, value in mine.items() if not path.startswith("causes/3/") or path.endswith("share")}
        compare(mine, plan["surprise"], "surprise", report)
        if plan["surprise"]["ordinary_probability"] is not None and surprise.formula and eye.power is not None and weighed(eye, plan):
            mixture = Mixture(surprise)
            compare(mixture.numbers(), plan["surprise"], "surprise", report)
            second(surprise, mixture, plan["piggyback"], report)
            r = plan["replacement"]
            if r and r["route"] == "joint" and r["power_exact_d"] is not None and surprise.current is not None:
                replacement(end_of(plan["removal"]), surprise, mixture, r, report)


def end_of(printed):
    """Wound that the way out needs where the planned one does not do: the whole lens wants the comfortable one, pieces the least."""
    for row in printed["methods"] if printed else []:
        if row["id"] == printed["preferred"] and (row["id"] == "whole" or row["fits"] == "no"):
            return row["enlarge_to_mm"] or 0.0
    return 0.0


def wound_of(eye, lens_id, out_mm):
    """As planned, or wider: for the old lens, or for a rigid new one."""
    lens = eye.site.lens(lens_id)
    return Wound(eye, max(out_mm, lens["optic_diameter_mm"] if lens.get("material") == "pmma" else 0.0))


def replacement(out_mm, surprise, mixture, r, report):
    new = NewLens(surprise.eye, surprise.formula, r["lens_id"], r["position"])
    if new.change is None:
        return
    mine = Replacement(surprise, mixture, new, r["target_se_d"])
    compare({"power_exact_d": mine.exact()}, r, "replacement", report)
    causes = {row["quantity"]: row["power_d"] for row in r["by_cause"]}
    compare(mine.by_cause(), causes, "replacement/by_cause", report)
    checks = {row["method"]: row["power_d"] for row in r["cross_checks"]}
    mine_checks = {"refraction-only": mine.from_refraction(), "rule-of-thumb": mine.thumb(), "fresh-formula": mine.fresh()}
    compare({name: value for name, value in mine_checks.items() if name in checks and value is not None}, checks, "replacement/cross_checks", report)
    slack = TORIC * (get(surprise.eye.old, "cylinder_d") or 0.0)
    for i, row in enumerate(r["choices"]):
        other = Replacement(surprise, mixture, NewLens(surprise.eye, surprise.formula, row["lens_id"], r["position"]), r["target_se_d"])
        if other.new.change is None:
            continue
        lens, wound = None, wound_of(surprise.eye, row["lens_id"], out_mm)
        if row["cylinder_d"] is not None:  # the marks lie on the meridian that leaves least: across the axis of what a plain lens leaves
            axis = other.eyeglasses(row["power_d"], None, wound.matrix(), None)[3]
            axis = axis + 90.0 if axis <= 90.0 else axis - 90.0
            compare({"axis_deg": axis}, row, f"replacement/choices/{i}", report)
            lens = lens_matrix(row["power_d"], row["cylinder_d"], axis)
        told = other.told(row["power_d"], (), lens)
        if other.cornea is not None:
            _, sphere, cylinder, axis = other.eyeglasses(row["power_d"], lens, wound.matrix(), told["se"])
            compare({"sphere_d": sphere, "cylinder_d": cylinder, "axis_deg": axis}, row["expected"], f"replacement/choices/{i}/expected", report)
        compare({"expected/se_d": told["se"], "sd_d": told["sd"], "within_half_d": told["half"], "within_one_d": told["one"],
                 "hyperopic_over_one": told["over"], "within_half_if_as_recorded": other.told(row["power_d"], ("lens",), lens)["half"]},
                row, f"replacement/choices/{i}", report, slack)
    chosen(r, report)


def second(surprise, mixture, r, report):
    """A second lens in front of a spherical one, from the joint estimate."""
    toric = get(surprise.eye.old, "cylinder_d")
    if not r or r["route"] != "joint" or r["power_exact_d"] is None or surprise.current is None or toric:
        return
    mine = SecondLens(surprise, mixture, r["target_se_d"])
    compare({"power_exact_d": mine.exact()}, r, "piggyback", report)
    for i, row in enumerate(r["choices"]):
        if row["cylinder_d"] is None:
            compare(mine.told(row["power_d"]), row, f"piggyback/choices/{i}", report)


def chosen(r, report):
    """The rule on what is printed: the greatest chance; within 0.01 of it the least distance from the target, then the more myopic."""
    for row in r["choices"]:
        if not row["chosen"]:
            continue
        rows = [x for x in r["choices"] if x["lens_id"] == row["lens_id"] and abs(x["power_d"] - r["power_exact_d"]) <= C["choice_reach_d"] + 1e-9]
        rows = rows or [x for x in r["choices"] if x["lens_id"] == row["lens_id"]]
        most = max(x["within_half_d"] for x in rows)
        near = [x for x in rows if x["within_half_d"] >= most - C["choice_tie"] - 1e-9]
        best = min(near, key=lambda x: (round(abs(x["expected"]["se_d"] - r["target_se_d"]), 3), x["expected"]["se_d"]))
        report("replacement/chosen", best["power_d"], row["power_d"], best["power_d"] == row["power_d"])


def planned(program, site_path, line):
    run = subprocess.run([program, "plan", "-", "--site", site_path, "--format", "json"], input=line.encode(), stdout=subprocess.PIPE, check=True)
    return json.loads(run.stdout)


def main(program, cases, site_path, least):

    with open(site_path, encoding="utf-8") as f:
        site = Site(json.load(f))
    with open(cases, encoding="utf-8") as f:
        lines = f.read().splitlines()
    compared, differ = collections.Counter(), collections.defaultdict(list)
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        for number, plan in enumerate(pool.map(lambda line: planned(program, site_path, line), lines), 1):
            def report(path, mine, found, fine, number=number):
                name = "/".join("#" if key.isdigit() else key for key in path.split("/"))
                compared[name] += 1
                if not fine:
                    differ[name].append((number, mine, found))
            numbers(json.loads(lines[number - 1]), site, plan, report)
    for name in sorted(compared):
        print(f"{compared[name]:8d} {len(differ[name]):6d}  {name}", "".join(f"; case {n}: {mine!r}, printed {found!r}" for n, mine, found in differ[name][:3]))
    total, wrong = sum(compared.values()), sum(map(len, differ.values()))
    print(f"{len(lines)} cases, {total} numbers compared, {wrong} differ")
    return int(wrong > 0 or total < int(least))


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:5]))
