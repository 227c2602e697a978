#!/usr/bin/env python3
"""The numbers of a plan computed a second time, from docs/method.md, docs/case-format.md and docs/references.md alone, by one who had
not read the C, and compared with `iolrevise plan --format json`: each number rounds to the digits that are printed.

    plan_reference.py PROGRAM CASES.jsonl SITE.json LEAST [FIRST]

Exit 1 when a number differs, or when fewer than LEAST were compared. What it found: docs/reliability.md.

Not computed here: what a displaced lens does (`displaced_reference.py`): it is taken as printed where a reading is reckoned back. KNOWN cases, of 3000, may differ; none does."""
import collections
import concurrent.futures
import copy
import json
import math
import os
import subprocess
import sys
import types

sys.path.insert(0, os.path.join(os.path.dirname(os.path.abspath(__file__)), "plan"))
import front  # noqa: E402
import nolens  # noqa: E402
import removal  # noqa: E402
import toric  # noqa: E402
from constants import C, SPREAD  # noqa: E402
from eye import Eye, Reading, Site, get, mean_power, state  # noqa: E402
from mixture import Mixture, Single  # noqa: E402
from powers import Fresh, NewLens, Replacement  # noqa: E402
from wound import Wound  # noqa: E402
from optics import Matrix, lens_matrix, to_glasses, written  # noqa: E402
from scarce import Scarce  # noqa: E402
from surprise import Surprise, told_at  # noqa: E402
from two import Two  # noqa: E402

KNOWN = ()
FOUR = ("share", "z", "estimate", "needed_alone", "estimate_read", "needed_alone_read")


def decimals(path):
    name = path.rsplit("/", 1)[-1]
    return 1 if name.endswith(("_deg", "_hours")) else 4 if name in FOUR or name.endswith("_probability") or name.startswith(("within_", "hyperopic_over")) else 3


def at(node, path):
    for key in path.split("/"):
        node = node[int(key)] if isinstance(node, list) else None if node is None else node[key]
    return node


def same(mine, found, unit, name=""):
    if mine is None or found is None:
        return mine is found
    if isinstance(mine, str) or isinstance(found, str):
        return mine == found
    apart = abs(mine - found)
    if name.endswith("axis_deg"):
        apart = min(apart, abs(180.0 - apart))
    if name.endswith("position_deg"):
        apart = min(apart, abs(360.0 - apart))
    return apart <= 0.57 * unit  # half a digit, and what an update that stops at 1e-8 leaves in a chance


def compare(mine, printed, part, report):
    for path, value in mine.items():
        try:
            found = at(printed, path)
        except (IndexError, KeyError):
            found = "absent"
        report(part + "/" + path, value, found, same(value, found, 10.0 ** -decimals(path), path))


def numbers(case, site, plan, report):
    """Every part that is printed and computed here."""
    eye = Eye(case, site)
    if plan["incision"]:
        compare(Wound(eye).numbers(eye), plan["incision"], "incision", report)
    if plan["removal"] and plan["removal"]["lens"]["optic_diameter_mm"] is not None:
        compare(removal.numbers(eye, Wound(eye), plan["removal"]), plan["removal"], "removal", report)
    way_out = (plan["two_lenses"] or {}).get("second_way_out")
    if way_out and way_out["lens"]["optic_diameter_mm"] is not None:  # a lens of its own, on the same iris plane
        alone = copy.copy(eye)
        alone.old = case["second_lens"]
        alone.power = mean_power(alone.old)
        compare(removal.numbers(alone, Wound(eye), way_out), way_out, "two_lenses/second_way_out", report)
    if plan["altered_cornea"]:
        compare(eye.laser, plan["altered_cornea"], "altered_cornea", report)
    if plan["secondary"] is not None:
        secondary(eye, end_of(plan["removal"]), plan["secondary"], report)
    if eye.absent or plan["secondary"] is not None:
        return
    read_back = any(state(case, r) == "displaced" for r in case.get("refractions", []))
    reckoned = reckon_back(eye, plan["displaced"], report)
    if reckoned:
        report = loosely(report)
    surprise, mixture = Surprise(eye), None
    if case.get("second_lens"):
        if plan["two_lenses"] and plan["two_lenses"]["predicted_se_d"] is not None and surprise.formula:
            mine = Two(surprise)
            both(mine, surprise.formula, plan["two_lenses"], plan["replacement"], end_of(plan["removal"]), report)
            turn = plan["rotation"]
            if mine.known and turn and turn["least_cylinder_axis_deg"] is not None:
                compare(toric.turn(eye, plan["replacement"]["choices"], mine.first_turned), turn, "rotation behind a second", report)
        return
    if plan["surprise"]:
        mine = surprise.numbers()
        if reckoned:  # told as it was read
            mine = {path: value for path, value in mine.items() if path not in ("current_se_d", "miss_d", "eye_part_d")}
        if not plan["replacement"] or plan["replacement"]["standing"] == "withheld":  # a withheld power is printed nowhere
            mine = {path: value for path, value in mine.items() if not path.startswith("causes/3/") or path.endswith("share")}
        rows = {row["formula"]: str(i) for i, row in enumerate(plan["surprise"]["formulas"])}  # one without an estimate has no row
        at = {path: path.split("/") for path in mine}
        mine = {path.replace(at[path][1], rows[at[path][1]]) if at[path][0] == "formulas" else path: value for path, value in mine.items()
                if at[path][0] != "formulas" or at[path][1] in rows}
        compare(mine, plan["surprise"], "surprise", report)
    if surprise.formula:
        mixture = Single(*surprise.estimate()) if eye.moved and (read_back or eye.reading.se is None) else Mixture(surprise)
        if plan["surprise"] and plan["surprise"]["ordinary_probability"] is not None:
            compare(mixture.numbers(), plan["surprise"], "surprise", report)
    if not read_back:
        second(surprise, mixture, plan["piggyback"], report)
    r = plan["replacement"]
    if r and r["power_exact_d"] is not None:
        at = planner(surprise, mixture, r)
        if at:
            replacement(end_of(plan["removal"]), at, r, report)
            fallbacks(surprise, mixture, r, plan["fallbacks"], report)
            rotation(at(r["lens_id"]), surprise, r, plan["rotation"], report)


def reckon_back(eye, moved, report):
    """A reading of the displaced lens less what the displacement does, as printed (`displaced_reference.py` traces that), takes the
    place of one with the lens in place. Printed to a thousandth, it leaves the numbers behind it that much looser."""
    if not moved or moved["trust"] != "good" or moved["explained_axis_deg"] is None or not moved["recentred"]:
        return False
    back = Reading(eye.case, eye.site, "displaced") if eye.reading.se is None else eye.reading
    if back.se is None:
        return False
    if back is not eye.reading and eye.reference() is None:  # no formula says where the lens belongs
        return False
    if back is not eye.reading:
        back.rc = back.rc - written(moved["explained_sphere_d"], moved["explained_cylinder_d"], moved["explained_axis_deg"])
        back.se, back.sd = to_glasses(back.rc.m, back.vertex), math.hypot(back.sd, moved["explained_se_sd_d"])
    sphere, cylinder, axis = back.rc.each(lambda rc: to_glasses(rc, back.vertex)).written()
    told = {"recentred/se_d": back.se, "recentred/sphere_d": sphere, "recentred/cylinder_d": cylinder}
    if abs(cylinder) > 0.1:
        told["recentred/axis_deg"] = axis
    changed, eye.reading = back is not eye.reading, back
    if moved["recentred"]["se_d"] is not None:
        compare(told, moved, "displaced", loosely(report) if changed else report)
    return changed


def loosely(report):
    """What rests on numbers that were read from the plan, to a thousandth."""
    def told(path, mine, found, fine):
        near = not fine and isinstance(mine, float) and isinstance(found, (int, float)) and abs(mine - found) <= (0.3 if path.endswith("_deg") else 0.004)
        report("reckoned back/" + path, mine, found, fine or near)
    return told


def rotation(mine, surprise, r, printed, report):
    """By the route of the replacement where the old lens stands in it, else, or where the refraction leads, by what that alone tells:
    the old lens lies in its own place, whatever the new one's can be compared with."""
    if not printed or printed["least_cylinder_axis_deg"] is None or surprise.eye.reading.se is None or surprise.eye.power is None:
        return
    if not mine or mine.s.current is None or isinstance(mine.m, Fresh) or leads(surprise.eye):
        alone = Scarce(surprise.eye)
        mine = types.SimpleNamespace(s=alone, leading=max(alone.parts, key=lambda p: p.w)) if alone.formula else None
    if mine:
        compare(toric.turned(mine.s.eye, mine.leading.x, r["choices"]), printed, "rotation", report)


def fallbacks(surprise, mixture, r, rows, report):
    """A lens for every other place, by the same route and with its own spread; a wide one aims more myopic, but not a child's."""
    age = surprise.eye.case.get("age_years")
    child = age is not None and age < C["adult_years"]
    for i, row in enumerate(rows):
        if row["power_d"] is None:
            continue
        at = planner(surprise, mixture, dict(r, route=None, position=row["position"], target_se_d=row["aim_d"]))
        mine = at and at(row["lens_id"])
        if not mine or mine.new.change is None:
            continue
        told = mine.told(row["power_d"])
        compare({"expected_se_d": told["se"], "sd_d": told["sd"]}, row, f"fallbacks/{i}", report)
        wide = told["sd"] > C["fallback_wide_sd_d"] and not child
        report("fallbacks/#/aim", r["target_se_d"] - wide * C["fallback_myopic_d"], row["aim_d"], abs(r["target_se_d"] - wide * C["fallback_myopic_d"] - row["aim_d"]) < 1e-9)


def planner(surprise, mixture, r):
    """A function from the id of a lens to what it is expected to give, by the first route that fits."""
    eye, place, target = surprise.eye, r["position"], r["target_se_d"]
    scarce = Scarce(eye) if eye.reading.se is not None and eye.power is not None else None

    def at(lens_id):
        joint = mixture and NewLens(eye, "joint", surprise.formula, lens_id, place)
        joint = joint if joint and joint.change is not None else None
        alone = scarce and scarce.formula and NewLens(eye, "refraction-only", scarce.formula, lens_id, place)
        if alone and alone.change is not None and (joint is None or leads(eye)):
            return named("refraction-only", Replacement(scarce, scarce, alone, target))
        if joint:
            return named("joint" if scarce else "biometry-only", Replacement(surprise, mixture, joint, target))
        new = NewLens(eye, "fresh", None, lens_id, place)
        own = new.change is not None and Fresh(eye, new)
        return named("biometry-only", Replacement(surprise, own, new, target)) if own and own.parts else None
    return at


def named(route, mine):
    mine.route = route
    return mine


def leads(eye):
    """Eyes in which cornea and position are both mispredicted: the refraction leads."""
    length = eye.length and eye.length[0]
    outside = length is not None and not C["formula_length_low"] - 1e-9 <= length <= C["formula_length_high"] + 1e-9
    return eye.altered or (eye.cornea is not None and eye.cornea[0] > C["k_steep_limit_d"] + 1e-9) or outside


def secondary(eye, out_mm, r, report):
    """The lens for an eye that was read without one."""
    if r["power_exact_d"] is None:
        return
    eye.old, eye.power, eye.reading = {}, 0.0, nolens.reading_of(eye)
    eye.vertex = told_at(eye)
    if eye.cornea is None and eye.reading.se is not None:  # none is given: it nearly cancels
        eye.cornea = C["k_assumed"], SPREAD["cornea_ectatic_d"]
    here = types.SimpleNamespace(eye=eye, current=eye.reading.se)

    def by(route):
        def at(lens_id):
            new = NewLens(eye, "fresh", None, lens_id, r["position"])
            own = nolens.from_reading(eye, new, eye.reading) if route == "aphakic-refraction" else Fresh(eye, new)
            return named(route, Replacement(here, nolens.joint(eye, own, eye.reading) if route == "joint" else own, new, r["target_se_d"]))
        return at
    replacement(out_mm, by(r["route"]), r, report, "secondary/")
    checks = {row["method"]: row["power_d"] for row in r["cross_checks"]}
    if "biometry-only" in checks:
        compare({"biometry-only": by("biometry-only")(r["lens_id"]).exact()}, checks, "secondary/cross_checks", report)


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


def replacement(out_mm, at, r, report, part="replacement/"):
    mine, route = at(r["lens_id"]), part + r["route"]
    if mine is None or mine.new.change is None:
        return
    compare({"power_exact_d": mine.exact(), "route": mine.route}, r, route, report)
    if r["by_cause"] and r["route"] == "joint":
        causes = {row["quantity"]: row["power_d"] for row in r["by_cause"]}
        compare(mine.by_cause(), causes, route + "/by_cause", report)
        checks = {row["method"]: row["power_d"] for row in r["cross_checks"]}
        mine_checks = {"refraction-only": mine.from_refraction(), "rule-of-thumb": mine.thumb(), "fresh-formula": mine.fresh()}
        compare({name: value for name, value in mine_checks.items() if name in checks and value is not None}, checks, route + "/cross_checks", report)
    for i, row in enumerate(r["choices"]):
        other = at(row["lens_id"])
        if other is None or other.new.change is None:
            continue
        lens, place, wound = None, f"{route}/choices/{i}", wound_of(other.s.eye, row["lens_id"], out_mm)
        if row["cylinder_d"] is not None:  # the marks lie on the meridian that leaves least: across the axis of what a plain lens leaves
            axis = other.eyeglasses(row["power_d"], None, wound.matrix(), None)[3]
            axis = axis + 90.0 if axis <= 90.0 else axis - 90.0
            compare({"axis_deg": axis}, row, place, report)
            lens = lens_matrix(row["power_d"], row["cylinder_d"], axis)
        told = other.told(row["power_d"], (), lens)
        if other.cornea.beyond is not None:
            _, sphere, cylinder, axis = other.eyeglasses(row["power_d"], lens, wound.matrix(), told["se"])
            compare({"sphere_d": sphere, "cylinder_d": cylinder, "axis_deg": axis}, row["expected"], place + "/expected", report)
        compare({"expected/se_d": told["se"], "sd_d": told["sd"], "within_half_d": told["half"], "within_one_d": told["one"],
                 "hyperopic_over_one": told["over"]}, row, place, report)
        if row["within_half_if_as_recorded"] is not None:
            compare({"within_half_if_as_recorded": other.told(row["power_d"], ("lens",), lens)["half"]}, row, place, report)
    chosen(r, report, part)


def both(mine, formula, printed, r, out_mm, report):
    """An eye with two lenses: every way, by both labels and one reading together."""
    eye, place, target = mine.eye, r["position"], r["target_se_d"]
    compare({"gap_mm": mine.m[3], "predicted_se_d": mine.predicted}, printed, "two_lenses", report)
    if eye.reading.se is not None:
        compare({"first_believed_d": mine.x[4], "second_believed_d": mine.x[5]}, printed, "two_lenses", report)
    for i, row in enumerate(printed["ways"]):
        way, told = row["way"], None
        if row["expected"]["se_d"] is None:
            continue
        planned = Wound(eye, printed["second_end_width_mm"] or 0.0).matrix()  # the second lens has to pass
        if way in ("both-stay", "second-out"):
            told = mine.told([None, None if way == "both-stay" else 0.0], induced=None if way == "both-stay" else planned, target=target)
        elif way == "second-turned":
            axis, now = mine.turned(), eye.case["second_lens"]["axis_deg"]
            told = mine.told([None, mine.x[5]], induced=None, target=target, lens=lens_matrix(mine.x[5], row["cylinder_d"], axis), put=1, stays_put=True)
            told.update({"axis_deg": axis % 180.0 or 180.0, "cylinder_d": eye.case["second_lens"]["cylinder_d"],
                         "loss_per_degree_d": mine.loss(axis)})
            apart = abs((row["turn_deg"] - (axis - now) + 90.0) % 180.0 - 90.0)
            report(f"two_lenses/{way}/#/turn", axis - now, row["turn_deg"], apart <= 0.057 and abs(row["turn_deg"]) <= 90.06)
        else:
            out = max(out_mm, printed["second_end_width_mm"] or 0.0) if way == "one-for-both" else out_mm  # both leave
            told = put_in(mine, way, row, formula, place, target, planned, wound_of(eye, row["lens_id"], out).matrix())
        if told:
            if told.get("expected/cylinder_d") is not None and abs(told["expected/cylinder_d"]) < 0.001:
                del told["expected/axis_deg"]  # no cylinder has no axis
            compare(told, row, f"two_lenses/{way}/{i}", report)


def put_in(mine, way, row, formula, place, target, planned, own):
    """A new lens for one of two, or one for both; a toric one with its marks on the weaker meridian of the lens that would leave none."""
    eye, put, change, sd = mine.eye, 0, 0.0, 0.0
    stays = 0.0 if way == "one-for-both" else None
    if way == "second-exchanged":
        put, sd, induced = 1, eye.site.spread.get("piggyback_position_mm", SPREAD["piggyback_mm"]), planned
    else:
        new, induced = NewLens(eye, "joint", formula, row["lens_id"], place), own
        if new.change is None:
            return None
        change, sd = new.change, new.sd
    lens, more = None, {}
    if row["cylinder_d"] is not None:
        axis = mine.marks(put, change, target, induced, None if stays is None else Matrix(stays))
        lens, more = lens_matrix(row["power_d"], row["cylinder_d"], axis), {"axis_deg": axis}
    powers = [None, row["power_d"]] if put else [row["power_d"], stays]
    told = mine.told(powers, change, put, sd, induced, target, lens)
    told["power_exact_d"] = mine.exact(put, change, target, stays)
    return dict(told, **more)


def second(surprise, mixture, r, report):
    """A second lens in front of the old one: from the joint estimate where a formula predicts it, else from the reading alone."""
    eye = surprise.eye
    if not r or r["power_exact_d"] is None or eye.reading.se is None:
        return
    alone = front.from_reading(eye, r["target_se_d"])
    joint = mixture and surprise.current is not None and front.from_estimate(surprise, mixture, r["target_se_d"])
    joint = None if joint and leads(eye) and eye.power is not None and Scarce(eye).formula else joint
    mine, route = joint or alone, "joint" if joint else "refraction-only"
    if not mine:
        return
    compare({"power_exact_d": mine.exact(), "route": route}, r, "piggyback", report)
    if alone:
        compare({"power_from_reading_d": alone.exact()}, r, "piggyback", report)
    induced = Wound(eye).matrix()
    for i, row in enumerate(r["choices"]):
        if row["cylinder_d"] is None:
            told = mine.told(row["power_d"], induced)
            if told["expected/cylinder_d"] is not None and abs(told["expected/cylinder_d"]) < 0.001:
                del told["expected/axis_deg"]  # no cylinder has no axis
            compare(told, row, f"piggyback/{route}/choices/{i}", report)


def chosen(r, report, part):
    """The rule on what is printed: the greatest chance; within 0.01 of it the least distance from the target, then the more myopic."""
    for row in r["choices"]:
        if not row["chosen"]:
            continue
        rows = [x for x in r["choices"] if x["lens_id"] == row["lens_id"] and abs(x["power_d"] - r["power_exact_d"]) <= C["choice_reach_d"] + 1e-9]
        rows = rows or [x for x in r["choices"] if x["lens_id"] == row["lens_id"]]
        most = max(x["within_half_d"] for x in rows)
        near = [x for x in rows if x["within_half_d"] >= most - C["choice_tie"] - 1e-9]
        best = min(near, key=lambda x: (round(abs(x["expected"]["se_d"] - r["target_se_d"]), 3), x["expected"]["se_d"]))
        report(part + "chosen", best["power_d"], row["power_d"], best["power_d"] == row["power_d"])


def planned(program, site_path, line):
    run = subprocess.run([program, "plan", "-", "--site", site_path, "--format", "json"], input=line.encode(), stdout=subprocess.PIPE, check=True)
    return json.loads(run.stdout)


def main(program, cases, site_path, least, first="1"):

    with open(site_path, encoding="utf-8") as f:
        site = Site(json.load(f))
    with open(cases, encoding="utf-8") as f:
        lines = f.read().splitlines()
    compared, differ = collections.Counter(), collections.defaultdict(list)
    with concurrent.futures.ThreadPoolExecutor(os.cpu_count()) as pool:
        for number, plan in enumerate(pool.map(lambda line: planned(program, site_path, line), lines), int(first)):
            def report(path, mine, found, fine, number=number):
                name = "/".join("#" if key.isdigit() else key for key in path.split("/"))
                compared[name] += 1
                if not fine:
                    differ[name].append((number, mine, found))
            try:
                numbers(json.loads(lines[number - int(first)]), site, plan, report)
            except Exception as error:  # a plan that only one of the two can make is a difference
                report("failed", repr(error), "a plan", False)
    for name in sorted(compared):
        print(f"{compared[name]:8d} {len(differ[name]):6d}  {name}", "".join(f"; case {n}: {mine!r}, printed {found!r}" for n, mine, found in differ[name][:3]))
    cases = sorted({n for rows in differ.values() for n, _, _ in rows})
    new = [n for n in cases if n not in KNOWN]
    if new:
        print("cases that differ:", *new)
    total, wrong = sum(compared.values()), sum(n not in KNOWN for rows in differ.values() for n, _, _ in rows)
    known = sum(map(len, differ.values())) - wrong
    print(f"{len(lines)} cases, {total} numbers compared, {wrong} differ, and {known} more in the {len(cases) - len(new)} cases known to")
    return int(wrong > 0 or total < int(least))


if __name__ == "__main__":
    sys.exit(main(*sys.argv[1:6]))
