"""The theatre card of a page against the plan as JSON: the lens and what is expected of it, the other places in their order, wound, hand and
blade, things to have. Written from the words of the card. Usage from drawn_check.py."""
import re

PLACES = {"bag": "in the bag", "sulcus": "in the sulcus", "sulcus-captured": "in the sulcus, captured", "sclera": "in the sclera",
          "iris-behind": "behind the iris", "iris-front": "before the iris", "chamber": "in the anterior chamber"}
POWER, D = r"[+-]?\d+\.\d+ D", r"[+-]?\d+\.\d\d D"


def like(text, x, digits=2):
    """A printed number is this one, which the plan has with three digits or more."""
    return x is not None and abs(float(text.split()[0]) - x) <= 0.5 * 10.0 ** -digits + 0.0006


def card(words, plan):
    """What does not stand in the plan as the card tells it."""
    faults = []

    def want(good, what):
        if not good:
            faults.append(f"card: {what}")
    places = {f["position"]: f for f in plan["fallbacks"] or [] if f["power_d"] is not None}
    order = [f["position"] for f in plan["fallbacks"] or [] if f["power_d"] is not None]
    told = re.findall(rf"(?<=\s)(\d) ({POWER}) ({'|'.join(map(re.escape, sorted(PLACES.values(), key=len, reverse=True)))}) ([a-z0-9-]+)"
                      rf"(?:; (aims at|SE) ({D}))?", words)
    target = next((p["target_se_d"] for p in (plan["secondary"], plan["replacement"]) if p), None)
    another = False
    for k, (number, power, where, lens, what, se) in enumerate(told):
        position = next(p for p, w in PLACES.items() if w == where)
        want(int(number) == k + 1, f"place {number} stands as the {k + 1}.")
        f = places.get(position)
        if not f:
            want(False, f"no lens of the plan {where}")
            continue
        want(like(power, f["power_d"]) and lens == f["lens_id"], f"{power} {lens} {where}")
        if target is not None and abs(f["aim_d"] - target) > 0.005:
            another = True
            want(what == "aims at" and like(se, f["aim_d"]), f"aim {where}: {what} {se}")
        elif what:
            want(what == "SE" and like(se, f["expected_se_d"]), f"{what} {se} {where}")
    names = [next(p for p, w in PLACES.items() if w == t[2]) for t in told]
    want(names == [p for p in order if p in names], f"places {names}, the plan has {order}")
    fits = [p for p in order if abs(places[p]["expected_se_d"] - places[p]["aim_d"]) < 0.5]
    if told:
        want(fits[:5] == names or set(fits[:5]) <= set(names), f"places {names}, of the plan {fits}")
        want(("Another aim than planned: say it aloud." in words) == another, "another aim")
    chosen = [(p, c) for p in (plan["secondary"], plan["replacement"], plan["piggyback"]) if p for c in p["choices"] if c["chosen"]]
    ids = {lens for lens in [c["lens_id"] for _, c in chosen] + [w["lens_id"] for w in (plan["two_lenses"] or {"ways": []})["ways"]] if lens}
    m = ids and re.search(rf"({POWER}) ({'|'.join(map(re.escape, ids))}) (?:[^?]{{0,160}}? )?expect ({D})(?: ({D}) x (\d+) deg)? SE ({D}), target ({D})", words)
    ways = [w for w in (plan["two_lenses"] or {"ways": []})["ways"] if w["power_d"] is not None]
    if m:
        lenses = [(c["power_d"], c["lens_id"], c["expected"], p["target_se_d"]) for p, c in chosen]
        lenses += [(w["power_d"], w["lens_id"], w["expected"], target) for w in ways]
        want(any(like(m[1], power) and m[2] == lens and like(m[6], e["se_d"]) and like(m[7], aim) and like(m[3], e["sphere_d"]) and
                 (not m[4] or like(m[4], e["cylinder_d"]) and like(m[5], e["axis_deg"], 0)) for power, lens, e, aim in lenses), f"lens {m[0]}")
    r = plan["removal"] or {}
    outs = [x for x in (plan["removal"], (plan["two_lenses"] or {}).get("second_way_out")) if x]
    best = [next((x for x in out["methods"] if x["id"] == out["preferred"]), {}) for out in outs]
    m = re.search(r"Wound (\d+\.\d\d) mm at (\d+) deg(?:; (if tight, to|enlarge to) (\d+\.\d\d) mm)?(?: \(adds (\d+\.\d\d) D; (\d+\.\d\d) D of cylinder in all\))?", words)
    i = plan["incision"]
    if m and i:
        want(like(m[1], i["width_mm"]) or like(m[1], i["end_width_mm"]), f"wound {m[1]}")
        want(like(m[2], i["position_deg"], 0), f"wound at {m[2]}")
        if m[4]:
            want(any(like(m[4], b.get("enlarge_to_mm")) for b in best), f"wound to {m[4]}")
            want(m[5] is None or any(like(m[5], b.get("enlargement_cylinder_d")) for b in best), f"wound adds {m[5]}")
    m = re.search(r"Hold (left|right) hand, port at (\d+) deg", words)
    if m:
        hands = [out["orientation"] for out in outs if out["orientation"]]
        want(any(m[1] == o["grip_hand"] and like(m[2], o["grip_port_position_deg"], 0) for o in hands), m[0])
    m = re.search(r"Blade thickest cut (\d+\.\d\d) mm; at least (\d+\.\d\d) mm to the endothelium", words)
    if m:
        want(any(like(m[1], b.get("thickest_cut_mm")) and like(m[2], b.get("least_clearance_mm")) for b in best), m[0])
    if "Hold " in words and r.get("orientation"):
        want("Wound " in words, "no wound")
    if "Limbus" in words:
        limbus = {o["orientation"]["limbus_mm"] for o in outs if o["orientation"]}
        m = re.search(r"Limbus (\d+\.\d\d) mm(, not measured)?", words)
        want(m and (m[2] or any(like(m[1], x) for x in limbus)), f"limbus {m and m[0]}")
    return faults


def turned(by):
    return f"{abs(by):.0f}° {'anticlockwise' if by > 0 else 'clockwise'}"


def nearly(text, want):
    """The same words, each whole number the wanted one or, where half a degree is rounded, its neighbour."""
    numbers = lambda t: [int(n) for n in re.findall(r"\d+", t)]
    return re.sub(r"\d+", "#", text) == re.sub(r"\d+", "#", want) and all(abs(a - b) <= 1 for a, b in zip(numbers(text), numbers(want)))


def dials(page, plan):
    """What a dial says it shows, in its title and under it, is what the plan holds of the lens that it shows."""
    faults = []
    outs = [(plan["removal"], False), ((plan["two_lenses"] or {}).get("second_way_out"), True)]
    outs = [(r["orientation"], second) for r, second in outs if r and r["orientation"]]
    rotation = plan["rotation"]
    second_turn = next((w for w in (plan["two_lenses"] or {"ways": []})["ways"] if w["way"] == "second-turned" and w["turn_deg"]), None)
    marked = {f"{c['axis_deg']:.0f}" for p in (plan["secondary"], plan["replacement"], plan["piggyback"]) if p for c in p["choices"] if c["chosen"] and c["cylinder_d"]}
    for drawing in re.finditer(r'<svg[^>]*class="dial (\w+)-dial"[^>]*>(.*?)</svg>', page, re.S):
        kind, inside, after = drawing[1], drawing[2], page[drawing.end():drawing.end() + 500].split("<svg")[0]
        title = re.search(r"<title[^>]*>(.*?)</title>", inside)[1].replace("&nbsp;", " ")
        under = re.sub(r"\s+", " ", re.sub(r"<[^>]+>", " ", after).replace("&nbsp;", " "))
        seat = re.search(r"As you sit at (\d+)°", under)
        if seat and outs and not any(abs(int(seat[1]) - o["seat_position_deg"]) <= 1 for o, _ in outs):
            faults.append(f"dial: seat {seat[1]}")
        good = False
        if kind == "cut":
            for o, second in outs:
                turn = o["turn_deg"]
                start = f"Before the cut turn the {'second' if second else 'old'} lens {turned(turn)}, " if turn else ""
                ends = ["it comes out as it lies"] + [f"near junction at {o[key]:.0f}°" for key in ("junction_position_deg", "junction_axis_now_deg")
                                                       if o[key] is not None and (key == "junction_position_deg" or not turn)]
                good = good or any(nearly(title, start + end) for end in ends) and ("The second lens, in front." in under) == second and \
                    ("Full: after the turn; dotted: the junction now." in under) == bool(turn) and "Loops not to scale." in under
            new = re.search(r">new (\d+)", inside)
            if ("New: where the marks of the new lens go." in under) != bool(new):
                faults.append(f"dial: new marks {new and new[1]}")
            if new and not any(abs(int(new[1]) - int(m)) <= 1 for m in marked | {str(round(w["axis_deg"])) for w in (plan["two_lenses"] or {"ways": []})["ways"] if w["axis_deg"]}):
                faults.append(f"dial: new marks {new[1]}")
        elif kind == "turn":
            rows = [("the lens", r) for r in [rotation] if r] + [("the first lens", r) for r in [rotation] if r] + [("the second lens", w) for w in [second_turn] if w]
            good = any(nearly(title, f"Turn {which} {turned(r['turn_deg'])}, marks from {r['axis_now_deg']:.0f}° to "
                              f"{r.get('least_cylinder_axis_deg', r.get('axis_deg')):.0f}°") for which, r in rows) and \
                "Full: the marks after the turn; dotted: today." in under
        else:
            good = any(o["decentration_mm"] is None or title.startswith("The lens lies") and (f"{o['decentration_mm']:.2f} mm off centre" in title or
                       not o["decentration_mm"]) for o, _ in outs) and "Full: the optic as it lies; broken: where it belongs." in under
        if not good:
            faults.append(f"dial: {kind}: {title}: {under[:160]}")
    return faults
