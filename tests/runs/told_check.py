"""The whole text of a plan against the same plan as JSON, which the second computation checks (tests/reference). Usage: told_check.py
PROGRAM CASE... What stands in a table or beside a label must be what the plan holds: every row, in its order, with sign, digits and
unit. Written from the words of the report, not from its code. Words that name a code stand here a second time."""
from told_base import *
from told_rest import rest
from told_note import note
from told_screen import screen


def lens(t, heading, part):
    """A power with its steps: those of the class that leads."""
    if not part or part["standing"] == "withheld" or part.get("suitable") is False:
        return
    own = [c for c in part["choices"] if c["lens_id"] == part["lens_id"]]
    t.table(heading, "Power", ["Power", "Cyl, marks", "SE", "Refraction", "SD", "0.5 D", "1.0 D"], [step(c) for c in own])
    other = {}  # of each other class the step that is nearest to the target
    for at, c in enumerate(part["choices"]):
        if c["lens_id"] != part["lens_id"]:
            miss = (abs(c["expected"]["se_d"] - part["target_se_d"]), at)
            other[c["lens_id"]] = min(other.get(c["lens_id"], miss), miss)
    nearest = [part["choices"][at] for at in sorted(at for _, at in other.values())]
    t.table(heading, "Other class, nearest step", ["Other class, nearest step", "Power", "Cyl, marks", "SE", "0.5 D", "1.0 D"],
            [[c["lens_id"]] + [step(c)[k] for k in (0, 1, 2, 5, 6)] for c in nearest])
    if part is not t.plan["piggyback"]:
        t.notes(heading, part["standing_reasons"], lifted=True)


def options(t):
    heading, rows, barred, names = "All ways side by side", [], [], way_names(t.plan)
    for o in t.plan["options"] or []:
        why = o["why"]["text"] if o["why"] else ""
        if o["rank"] is not None:
            plain = names.get(o["option"], o["option"]) + (", worn" if o["option"] in ("spectacles", "contact-lens") else "")
            early = o["option"] in LENS_WAYS and f"{o['rank']} ? {plain}"[:20] in t.text  # its power, the reading or the cause is not settled
            if early and re.search(rf"^{o['rank']} \? {re.escape(plain[:12])}.*?  +-  +-  +-  ", t.text, re.M):
                o = dict(o, expected_se_d=None, expected_cylinder_d=None, difference_from_fellow_d=None)  # the cause comes first: no figure
            name = f"{number(o['rank'], 0, '')} {'? ' if o['suitable'] is None or early else ''}{plain}"
            left = lambda x: "about 0" if x == 0 and o["option"] in MEANT else dioptres(x)
            rows.append([name, left(o["expected_se_d"]), left(o["expected_cylinder_d"]), dioptres(o["difference_from_fellow_d"]), why])
        else:
            barred.append((names.get(o["option"], o["option"]), why))
    return heading, rows, barred


def first_way(t, heading, rows):
    """Why each way stands where it stands. Of the first also what decided it, a sentence of the plan, then what speaks against it."""
    got, own, rest = tables(t.sections[heading])["Way"][0][1][4], rows[0][4], " ".join(row[4] for row in rows[1:])
    told = [text for text in texts(t.plan) if got.startswith(text)] + DECIDED
    mild = own[:1].lower() + own[1:]
    ways = [own] + [w for text in told for w in (text, f"{text} {own}", f"{text} Against it: {own}", f"{text} Against it: {mild}")]
    t.want(f"{heading}, why", got, next((w for w in (f"{w} {rest}" for w in ways) if alike(got, w)), f"{own} {rest}"))


def texts(value):
    if isinstance(value, dict) and isinstance(value.get("text"), str):
        yield value["text"]
    for inside in value.values() if isinstance(value, dict) else value if isinstance(value, list) else ():
        yield from texts(inside)


def surprise(t):
    s = t.plan["surprise"]
    if not s:
        return
    heading = "What went wrong" if not t.plan["secondary"] else "The eye without a lens"
    if not t.plan["secondary"]:
        t.table(heading, "Formula", ["Formula", "Predicted", "Error", "Lens position", "Position needed"],
                [[FORMULA[f["formula"]], dioptres(f["predicted_se_d"]), dioptres(f["error_d"]), number(f["predicted_position_mm"], 2, "mm"),
                  "not known" if f["fitted_position_mm"] is None else number(f["fitted_position_mm"], 2, "mm")] for f in s["formulas"]])
        start = dioptres(s["selection_part_d"]) + ": predicted for the lens put in, "
        grown = ["at today's length, less what was meant; what the eye has grown since is in it"] if t.plan["growth"] else []
        t.pair(heading, "of it selection", None if s["selection_part_d"] is None else
               [start + end for end in ["less what was meant", *grown]])
        t.pair(heading, "of it the eye", None if s["eye_part_d"] is None else dioptres(s["eye_part_d"]) +
               ": found, less predicted; measurement, lens position, label")
        t.pair(heading, "Taken as reading noise", None if s["refraction_noise_d"] is None else dioptres(s["refraction_noise_d"]))


    in_it = [c for c in s["causes"] if not t.plan["secondary"] or c["quantity"] in ("axial-length", "cornea", "refraction")]
    t.table(heading, "Ordinary cause", ["Ordinary cause", "Share", "Estimate", "Needed alone", "Plausible alone"],
            [[CAUSE[c["quantity"]], percent(c["share"]), read(c, "estimate"), read(c, "needed_alone"),
              {True: "yes", False: "no", None: "not known"}[c["plausible_alone"]]] for c in in_it])
    suspects(t, heading, s["suspects"])


def read(c, what):
    """Length and cornea as the instruments print them."""
    x = c[what + "_read"] if c.get(what + "_read") is not None else c[what]
    return "not known" if x is None else number(x, 2, c["unit"], c["quantity"] in ("lens-label", "refraction"))


def suspects(t, heading, rows):
    """In full those that the record confirms or that explain the miss, of the first six; the rest by name, with what they make."""
    name = lambda s: PLAIN.get(s["id"], s["id"].replace("-", " "))
    stands = lambda s: s["confirmed"] or s["explains"] and not s["not_excluded"]
    same_way = lambda s: (s["unexplained_d"] + s["implied_miss_d"]) * s["implied_miss_d"] > 0
    figure = lambda s: "no number" if s["implied_miss_d"] is None else \
        f"{dioptres(s['implied_miss_d'])} of the {s['part']} part, leaves {dioptres(s['unexplained_d'])}"
    full = [f"{name(s)}{' (CONFIRMED)' if s['confirmed'] else ''}: {figure(s)}. {s['check']}" for s in rows[:6] if stands(s)]
    lines, items = t.sections[heading], []
    for line in lines:
        if line.startswith("-  "):
            items.append(line[3:])
        elif items and line.startswith("   "):
            items[-1] += " " + line.strip()
        elif items and not re.match(r"-+(  -+)*$", line) and line.strip():
            break
    t.want(f"{heading}, causes in full", " ".join(items[:len(full)]), " ".join(full))
    weak = [s for s in rows if s["implied_miss_d"] is not None and not s["not_excluded"]]
    told = lambda s: name(s) + (" " + dioptres(s["implied_miss_d"]) if s in weak else "")
    several = lambda some: "; ".join(map(told, some)) or None
    t.pair(heading, "Leaves more", several([s for k, s in enumerate(rows) if (k >= 6 if stands(s) else s in weak and same_way(s))]))
    t.pair(heading, "Look, no number", several([s for s in rows if not s["confirmed"] and s["implied_miss_d"] is None]))
    t.pair(heading, "Works the other way", several([s for s in weak if not stands(s) and not same_way(s)]))
    t.pair(heading, "Not excluded", several([s for s in rows if not s["confirmed"] and s["not_excluded"] and s["implied_miss_d"] is not None]))


def support(t):
    s = t.plan["support"]
    heading = "Support of capsule and zonule"
    if not s:
        return
    unknown = [f for f in s["factors"] if f["state"] == "unknown"]
    open_ = s["score_if_unknowns_present"] > s["score"] or s["tier"] != s["tier_of_findings"]
    points = number(s["score_if_unknowns_present"], 0, "points")
    t.pair(heading, "Tier", None if open_ else f"{TIER[s['tier']]}, {points}")
    t.pair(heading, "Prepare for", f"{TIER[s['tier']]}, {points}, as long as what is named below is not known" if open_ else None)
    t.pair(heading, "By findings alone", f"{TIER[s['tier_of_findings']]}, {number(s['score'], 0, 'points')}" if open_ else None)
    counts = lambda f: "no, another is larger" if not f["counted"] else "yes: very high by itself" if f["hard"] else "yes"
    t.table(heading, "Found", ["Found", "Points", "Counts", "Rests on"],
            [[f["finding"], number(f["points"], 0, ""), counts(f), f["basis"]] for f in s["factors"] if f["state"] == "yes"])
    t.table(heading, "Place", ["Place", "Outlook", "Why"],
            [[PLACE[p["position"]], p["outlook"].replace("-", " "), p["why"]["text"]] for p in s["positions"]])
    lines = " ".join(t.sections[heading])
    looked = re.search(r"Looked for and not\s+found: .*?factors\.(\s+Not\s+known:\s+\d+\.)?", lines)
    absent = sum(f["state"] == "no" for f in s["factors"])
    t.want(heading, looked and looked[0], f"Looked for and not found: {absent}{{0}} of {len(s['factors'])}{{0}} factors." +
           (f" Not known: {len(unknown)}{{0}}." if unknown else ""))
    for group in dict.fromkeys(f["group"] for f in s["factors"]):
        own = [f for f in unknown if f["group"] == group]
        text = "; ".join(f"{f['finding']} ({number(f['points'], 0, '')})" for f in own)
        told = [v for k, v in pairs(t.sections[heading]).items() if own and alike(v, text)]
        if own:
            t.want(f"{heading}, not known of {group}", str(len(told)), "1{0}")
    t.notes(heading, s["vitrectomy_anchor"])


def fallbacks(t):
    rows = t.plan["fallbacks"] or []
    if all(f["power_d"] is None for f in rows):
        return
    heading = next((h for h in t.sections if h.startswith("Fallback lenses")), "Fallback lenses, if the planned place does not hold")
    outlook = {p["position"]: p["outlook"].replace("-", " ") for p in (t.plan["support"] or {"positions": []})["positions"]}
    got = tables(t.sections.get(heading, [])).get("Place")
    plain = bool(got) and "Cyl left" in got[0][0]  # lenses that are not toric, beside one that is
    second = lambda f: dioptres(f["expected_cylinder_d"]) if plain else outlook[f["position"]]
    cells = lambda f: [PLACE[f["position"]], second(f), f["lens_id"] or "-"] + (
        ["no power", "-", "-", "-"] if f["power_d"] is None else
        [power(f["power_d"]), dioptres(f["aim_d"]), dioptres(f["expected_se_d"]), number(f["sd_d"], 2, "D")])
    t.table(heading, "Place", ["Place", "Cyl left" if plain else "Outlook", "Lens", "Power", "Aims at", "Expected", "SD"], [cells(f) for f in rows])
    for f in rows:
        t.notes(heading, f["needs"])


def removal(t, heading, r):
    if not r:
        return
    methods = [m for m in r["methods"] if m["widest_piece_mm"] is not None]  # a rigid lens is not cut
    mark = lambda m: ("* " if m["id"] == r["preferred"] else "") + OUT[m["id"]]
    mm = lambda x: number(x, 2, "mm")
    t.table(heading, "Way out", ["Way out", "Widest piece", "Cut, total", "Thickest cut", "Reach", "Clearance"],
            [[mark(m), mm(m["widest_piece_mm"]), mm(m["cut_length_mm"] or None), mm(m["thickest_cut_mm"]), mm(m["furthest_reach_mm"]),
              mm(m["least_clearance_mm"])] for m in methods])
    t.table(heading, "Way out", ["Way out", "Wound at least", "Comfortable", "Fits today", "Enlarge to", "It adds"],
            [[OUT[m["id"]], mm(m["wound_low_mm"]), mm(m["wound_high_mm"]), m["fits"] or "-", mm(m["enlarge_to_mm"]),
              number(m["enlargement_cylinder_d"], 2, "D")] for m in methods], 1)
    t.notes(heading, r["reasons"])
    for m in methods if "second" not in heading else []:  # what is published of the ways is told once, with the first lens
        t.notes(heading, [{"text": f"-  {OUT[m['id']]}: {reason['text']}"} for reason in m["reasons"]])


def others(t):
    p = t.plan
    heading = "Corneal laser"
    if p["corneal_laser"]:
        c = p["corneal_laser"]
        t.pair(heading, "Fits this eye", YES[c["suitable"]])
        t.pair(heading, "Bed left", None if c["bed_left_um"] is None else number(c["bed_left_um"], 0, "um"))
        t.pair(heading, "Tissue altered", None if c["tissue_share"] is None else percent(c["tissue_share"]))
        t.pair(heading, "Keratometry after", None if c["k_after_d"] is None else number(c["k_after_d"], 2, "D"))
        t.pair(heading, "Depth", None if c["depth_um"] is None else number(c["depth_um"], 0, "um") + " at the centre, transition not counted")
    if p["spectacles"]:
        s = p["spectacles"]
        t.pair("Glasses", "Fits this eye", YES[s["suitable"]])
        t.pair("Glasses", "Spectacles", None if s["sphere_d"] is None else refraction(s))
        t.pair("Glasses", "Against fellow eye", None if s["difference_from_fellow_d"] is None else dioptres(s["difference_from_fellow_d"]))
    if p["contact_lens"]:
        t.pair("Contact lens", "Fits this eye", YES[p["contact_lens"]["suitable"]])
        t.pair("Contact lens", "At the cornea", None if p["contact_lens"]["sphere_d"] is None else refraction(p["contact_lens"]))
    if p["endothelium"]:
        e, heading = p["endothelium"], "Corneal cells"
        per = lambda x, more: None if x is None else number(x, 0, "per mm2") + more
        t.pair(heading, "Now", per(e["cells_now_per_mm2"], ""))
        t.pair(heading, "Low after it", per(e["cells_low_per_mm2"], " (one eye in twenty does worse)"))
        t.pair(heading, "After 5 years", per(e["cells_5y_per_mm2"], " expected"))
        t.pair(heading, "After 10 years", per(e["cells_10y_per_mm2"], " expected"))
        t.notes(heading, e["reasons"])
    if p["measure_next"]:
        told = tables(t.sections["What the next look or measurement would buy"])["Look or measurement"][0][1]
        t.want("next look, now", told[1], " ".join(number(100 * m["chance_now"], 0, "") for m in p["measure_next"]))
        t.want("next look, after", told[2], " ".join(number(100 * m["chance_after"], 0, "") for m in p["measure_next"]))


def degrees(x):
    return number(x, 0, "deg")


def lens_where_it_lies(t):
    d, heading = t.plan["displaced"], "The lens where it lies"
    if not d:
        return
    pair = lambda label, want: t.pair(heading, label, want)
    made = {"sphere_d": d["explained_sphere_d"], "cylinder_d": d["explained_cylinder_d"], "axis_deg": d["explained_axis_deg"]}
    if made["axis_deg"] is not None:
        pair("That makes", f"{refraction(made)} at the cornea; SD {number(d['explained_se_sd_d'], 2, 'D')} of its spherical equivalent, "
             f"{number(d['explained_cylinder_sd_d'], 2, 'D')} of its cylinder")
    if d["prism_base_deg"] is not None:
        pair("Prism", f"{number(d['prism_pd'], 1, 'prism D')}, base toward {degrees(d['prism_base_deg'])}")
    figures = None if d["remainder_cylinder_d"] is None else \
        f": unexplained without it {number(d['remainder_without_d'], 2, 'D')}, with it {number(d['remainder_cylinder_d'], 2, 'D')}"
    pair("Explains the cylinder", "cannot be told" if d["explains"] in (None, "not-known") or not figures else
         [word + figures for word in {"yes": ["yes"], "no": ["no"], "partly": ["partly", "in part"]}.get(d["explains"], [d["explains"]])])
    back = d["recentred"]
    pair("Back in its place", "not known" if back["se_d"] is None else f"{refraction(back)}, {dioptres(back['se_d'])} spherical equivalent")
    pair("Is that enough?", {True: "yes: within 0.50 D, and 0.75 D of cylinder, of the wish", False: "no", None: "not known"}[d["recentring_enough"]])
    rows = [[w["asphericity"], degrees(w["tilted_back_position_deg"]), degrees(w["decentration_position_deg"]),
             refraction({"sphere_d": w["explained_sphere_d"], "cylinder_d": w["explained_cylinder_d"], "axis_deg": w["explained_axis_deg"]}),
             number(w["prism_pd"], 1, "prism D")] for w in d["ways"]]
    if len(rows) > 1 and None not in (w["tilted_back_position_deg"] for w in d["ways"]):
        t.table(heading, "Front", ["Front", "Back at", "Moved to", "Makes at the cornea", "Prism"], rows)
    t.notes(heading, d["reasons"])


def turn(t):
    r, heading = t.plan["rotation"], "Turning the toric lens"
    if not r:
        return
    t.pair(heading, "Fits this eye", YES[r["suitable"]])
    t.pair(heading, "Marks now", degrees(r["axis_now_deg"]))
    t.pair(heading, "Least cylinder at", degrees(r["least_cylinder_axis_deg"]))
    seen = f"{number(abs(r['turn_deg']), 0, 'deg')} {r['direction']}, seen from in front of the eye"
    t.pair(heading, "Turn", seen + ("" if r["turn_back_deg"] is None else ": the way the loops allow"))
    t.pair(heading, "Expected after", refraction(r["expected"]))
    t.pair(heading, "Each degree off adds", number(r["loss_per_degree_d"], 2, "D") + " of cylinder")
    t.notes(heading, r["reasons"])


def put_back(t):
    r, heading = t.plan["reposition"], "Holding the old lens in place"
    if not r:
        return
    t.pair(heading, "Fits this eye", YES[r["suitable"]])
    t.pair(heading, "How", r["how"].replace("-", " "))
    t.pair(heading, "Expected there", None if r["expected"]["sphere_d"] is None else refraction(r["expected"]))
    t.pair(heading, "Its spread", None if r["sd_d"] is None or r["expected"]["sphere_d"] is None else number(r["sd_d"], 2, "D"))
    t.pair(heading, "Moved by", f"{number(r['shift_mm'], 2, 'mm', True)}, plus = further back than now" if r["shift_mm"] else None)
    t.notes(heading, r["reasons"])


def two(t):
    w, heading = t.plan["two_lenses"], "Two lenses in the eye"
    if not w:
        return
    t.pair(heading, "Gap", number(w["gap_mm"], 2, "mm"))
    t.notes(heading, w["reasons"])
    t.pair(heading, "Expected of both labels", None if w["predicted_se_d"] is None else dioptres(w["predicted_se_d"]))
    t.pair(heading, "First lens, as the refraction leaves it", None if w["first_believed_d"] is None else dioptres(w["first_believed_d"]))
    t.pair(heading, "Second lens, likewise", None if w["second_believed_d"] is None else dioptres(w["second_believed_d"]))
    name = {"both-stay": "both stay", "second-out": "second lens out", "second-exchanged": "second lens exchanged", "second-turned": "second lens turned",
            "first-exchanged": "first lens exchanged", "one-for-both": "one lens for both"}
    t.table(heading, "Way", ["Way", "Exact", "Step", "SE", "Refraction", "SD", "0.5 D"],
            [[name[x["way"]], dioptres(x["power_exact_d"]), power(x["power_d"]),
              dioptres(x["expected"]["se_d"]), *(["not known"] * 3 if x["expected"]["se_d"] is None else
                                                 [refraction(x["expected"]), number(x["sd_d"], 2, "D"), percent(x["within_half_d"])])] for x in w["ways"]])


def after_laser(t):
    a, heading = t.plan["altered_cornea"], "Cornea altered by laser"
    if not a:
        return
    per = lambda x: None if x is None else number(x, 2, "D")
    t.pair(heading, "Measured today", per(a["k_measured_d"]))
    t.pair(heading, "Taken as today's", per(a["k_today_d"]))
    t.pair(heading, "Its spread", per(a["k_today_sd_d"]))
    columns = tables(t.sections[heading]).get("Formula")
    if columns:
        for k, what in ((0, None), (1, "power_double_d"), (-1, "power_plain_d")):
            t.want(f"{heading}, {what}", columns[0][1][k], " ".join(FORMULA[f["formula"]] if not what else dioptres(f[what]) for f in a["formulas"]))
    t.notes(heading, a["reasons"])


def wound(t):
    w, heading = t.plan["incision"], "Wound"
    if not w or w["position_deg"] is None:
        return
    t.pair(heading, "Planned", f"{number(w['width_mm'], 2, 'mm')} at {degrees(w['position_deg'])}")
    end = "end_" if w["end_width_mm"] and w["end_width_mm"] > w["width_mm"] else ""
    induced, sd = w["end_cylinder_d" if end else "induced_cylinder_d"], w[end + "sd_d"]
    if induced and induced > 0.005:
        t.pair(heading, "Induced cylinder", f"{number(induced, 2, 'D')} (SD {number(sd, 2, 'D')}), flatter along the wound's "
               "meridian; counted in every expected refraction")
    if w["corneal_cylinder_after_d"] is not None and not pairs(t.sections.get(heading, [])).get("At the end"):
        t.pair(heading, "Corneal cylinder after", f"{number(w['corneal_cylinder_after_d'], 2, 'D')}, steep at {degrees(w['corneal_axis_after_deg'])}")
    t.notes(heading, w["reasons"] + ([w["steep_meridian_advice"]] if w["steep_meridian_advice"] else []))


def astigmatism(t):
    """Minus cylinders: of the cornea the one across its steep meridian."""
    got = tables(t.sections.get("Astigmatism, step by step", [])).get("Mark")
    if not got:
        return
    heads, columns = got[0]
    marks = ["ring", "disc", "square", "diamond", "cross", "triangle", "star"]
    told = re.findall(r"(\d) (\w+)", columns[0])
    t.want("marks in their order", " ".join(n for n, _ in told), " ".join(f"{k + 1}{{0}}" for k in range(len(told))))
    across = lambda axis: None if axis is None else (axis + 90 - 1e-9) % 180
    w, s = t.plan["incision"] or {}, t.plan["surprise"] or {}
    cylinders, axes = columns[2].replace(" D", "").split(), columns[3].replace(" deg", "").split()
    for k, (what, cylinder, axis) in enumerate((("Cornea now", w.get("corneal_cylinder_now_d"), across(w.get("corneal_axis_now_deg"))),
                                               ("Cornea after the wound", w.get("corneal_cylinder_after_d"), across(w.get("corneal_axis_after_deg"))))):
        if what in columns[1] and cylinder and k < len(cylinders):
            t.want(f"astigmatism, {what}", f"{cylinders[k]} D", dioptres(-cylinder))
            if 0.5 < axis < 179.5:
                t.want(f"astigmatism, {what}, axis", axes[k], number(round(axis, 1), 0, ""))


def theatre(t):
    """Lenses and things to have: how many of each, why, in the order of the plan; steps of one class and cylinder on one line."""
    rows = t.plan["theatre_list"]
    got = tables(t.sections.get("Theatre list", [])).get("To have in theatre")
    if not rows or not got:
        return
    heads, columns = got[0]
    groups = {}
    for k, row in enumerate(rows):
        groups.setdefault((row["lens_id"], row["cylinder_d"], row["why"]["text"]) if row["why"]["text"].startswith("A step beside") else k, []).append(row)
    groups = list(groups.values())
    t.want("theatre list, why", columns[2], " ".join(g[0]["why"]["text"] for g in groups))
    t.want("theatre list, how many", columns[1], " ".join(number(sum(r["count"] for r in g), 0, "") for g in groups))
    cylinder = lambda r: f", cylinder {dioptres(r['cylinder_d'])}" if r["cylinder_d"] else ""
    step = lambda g: ", ".join(power(r["power_d"]) for r in g) if g[0]["power_d"] is not None else ""
    name = lambda g: f"{g[0]['lens_id']} {step(g)}{cylinder(g[0])}" if g[0]["lens_id"] else g[0]["item"]
    t.want("theatre list, what", columns[0], " ".join(map(name, groups)))


def at_hand(t):
    """Each place of the capsule has its lens on the theatre list, the places without a capsule one between them; a lens of the stock bears
    its number."""
    lenses = [r for r in t.plan["theatre_list"] or [] if r["lens_id"]]
    places = [f for f in t.plan["fallbacks"] or [] if f["lens_id"]]
    needed = [f for f in places if f["position"] in ("bag", "sulcus", "sulcus-captured")]
    needed += [f for f in places if f not in needed][:1]
    for f in needed if t.plan["theatre_list"] else []:
        t.want(f"theatre list, {f['lens_id']} for {f['position']}", str(any(
            r["lens_id"] == f["lens_id"] and r["power_d"] in (f["power_d"], None) for r in lenses)), "True")
    for r in lenses:
        own = [i["gtin"][:14] for i in STOCK if (i["lens_id"], i["power_d"], i.get("cylinder_d") or None) == (r["lens_id"], r["power_d"], r["cylinder_d"])]
        t.want(f"product number of {r['lens_id']} {r['power_d']}", str(r["product_number"]), str(own[0] if own else None))


def holds(t):
    """Parts that speak of one thing agree."""
    p, case = t.plan, json.load(open(t.case))
    today, state = p["decision"]["urgency"] == "same-day", p["decision"]
    ranked = {o["option"] for o in p["options"] or [] if o["rank"] is not None}
    if p["timing"]:
        laser = any(w["what"] == "laser-judged" for w in p["timing"]["windows"])
        waits = any(c["code"] in ("trapped-fluid", "fluid-seen") or "oil" in c["code"] or "fluid" in c["code"] for c in p["cautions"])
        t.want("a day for the laser", str(laser and "corneal-laser" not in ranked), "False")
        t.want("no day for the laser", str(not laser and "corneal-laser" in ranked and not waits), "False")
    rings = "Rings at night are part of how it works." in " ".join(s["say"] for s in p["patient"] or [])
    multifocal = "photic-multifocal" in [case["reason"], *(case.get("reasons_also") or [])]
    t.want("rings", str(rings), str(multifocal and not today and not p["secondary"]))
    fellow, told = (case.get("fellow_eye") or {}).get("refraction") or {}, p["fellow_refraction"]
    if told and fellow.get("sphere_d") is not None:
        t.want("the other eye", dioptres(told["se_d"]).replace("{2}", ""), dioptres(fellow["sphere_d"] + (fellow.get("cylinder_d") or 0) / 2).replace("{2}", ""))
        t.want("its minus form", str((told["cylinder_d"] or 0) <= 0), "True")


def when(t):
    w, heading = t.plan["timing"], "When"
    if not w or t.plan["decision"]["urgency"] == "same-day":
        return
    t.pair(heading, "Since the first operation", "not known" if w["days_since_first_surgery"] is None else number(w["days_since_first_surgery"], 0, "days"))
    got = pairs(t.sections.get(heading, [])).get("Capsule round the lens")
    if got and w["bend_index"] is not None:
        t.want("capsule", got, f"{w['stage']}; typical bend {number(w['bend_index'], 2, '')} of 4 for this interval, not measured in this eye")
    t.notes(heading, w["reasons"])


def cut(t, heading, r):
    """Preferred way, pieces, wound, turn and grip."""
    if not r:
        return
    best = next((m for m in r["methods"] if m["id"] == r["preferred"]), None)
    mm = lambda x: number(x, 2, "mm")
    got = pairs(t.sections.get(heading, []))
    if best:
        t.want("preferred", got.get("Preferred"), f"{OUT[best['id']]}. {r['why']['text']}")
        pieces = [f"widest {mm(best['widest_piece_mm'])}"]
        if best["thickest_cut_mm"] is not None:
            pieces.append(f"thickest place cut {mm(best['thickest_cut_mm'])}")
        if best["least_clearance_mm"] is not None:
            pieces.append(f"blade to endothelium at least {mm(best['least_clearance_mm'])}")
        t.want("pieces", got.get("Pieces"), ", ".join(pieces))
        start = f"at least {mm(best['wound_low_mm'])}, comfortable {mm(best['wound_high_mm'])}"
        ends = [""]
        if best["enlarge_to_mm"] is not None:
            adds = f", which adds {number(best['enlargement_cylinder_d'], 2, 'D')}" if best["enlargement_cylinder_d"] is not None else ""
            ends = [f", {word} {mm(best['enlarge_to_mm'])}{adds}" for word in ("if tight", "enlarge to")]
        told = got.get("Wound for it")
        t.want("wound for it", told, next((start + end for end in ends if alike(told or "", start + end)), start + ends[0]))
    o, l = r["orientation"], r["lens"]
    optic = got.get("Old optic") or got.get("Its optic")
    if optic and l and l["centre_thickness_mm"] is not None:
        t.want("old optic", optic.split(";")[0], f"{mm(l['optic_diameter_mm'])} across, centre {mm(l['centre_thickness_mm'])}, edge "
               f"{mm(l['edge_thickness_mm'])}, index {number(l['refractive_index'], 2, '')}, front radius {mm(l['front_radius_mm'])}")
    if o and o["grip_hand"] and got.get("Hold with"):
        t.want("grip", got["Hold with"], f"{o['grip_hand']} hand, through a port at {degrees(o['grip_port_position_deg'])}; seat at "
               f"{degrees(o['seat_position_deg'])}")
    if o and o["turn_deg"] is not None and got.get("Turn", "").startswith("Turn the lens"):
        t.want("turn", got["Turn"].split(", so that")[0], f"Turn the lens {number(abs(o['turn_deg']), 0, 'deg')} {o['direction']}, seen from in front "
               f"({number(o['turn_clock_hours'], 1, 'clock hours')})")


def where_the_junction_lies(t, heading, r):
    """The hours and degrees at the end of the line on the turn."""
    o, got = (r or {}).get("orientation"), pairs(t.sections.get(heading, [])).get("Turn", "")
    m = re.search(r"between (\d*) and (\d*) o'clock \((\d+) deg\)", got)
    if o and m:
        clock = o["junction_clock"]
        t.want("the junction's hours", f"{m[1]} {m[2]}", f"{int(clock) or 12} {int(clock) % 12 + 1}")
        t.want("the junction's degrees", f"{m[3]} deg", degrees(o["junction_position_deg"]))


def risk(t):
    s = t.plan["support"]
    if s and "What to do" in t.sections and t.plan["decision"]["urgency"] != "same-day":
        tier, found = TIER[s["tier"]], TIER[s["tier_of_findings"]]
        t.pair("What to do", "Risk to the bag", [tier, f"prepare for {tier}; by findings alone {found}"] if not t.plan["secondary"] else [
            pairs(t.sections["What to do"]).get("Risk to the bag", "")])


def check(case):
    t = Told(case)
    p = t.plan
    title = "Lens to be put in" if p["secondary"] else "One lens for both" if p["two_lenses"] else "Replacement lens"
    lens(t, title, p["secondary"] or p["replacement"])
    lens(t, "Second lens in the sulcus (piggyback)", p["piggyback"])
    heading, rows, barred = options(t)
    t.table(heading, "Way", ["Way", "SE", "Cyl", "To fellow"], rows)
    if rows:
        first_way(t, heading, rows)
    for name, why in barred:
        t.pair(heading, name, why)
    surprise(t)
    support(t)
    fallbacks(t)
    removal(t, "Taking the old lens out" if not p["two_lenses"] else "Taking the first lens out", p["removal"])
    if p["two_lenses"] and p["decision"]["urgency"] != "same-day":
        removal(t, "Taking the second lens out", p["two_lenses"]["second_way_out"])
        cut(t, "Taking the second lens out", p["two_lenses"]["second_way_out"])
    where_the_junction_lies(t, "Taking the old lens out" if not p["two_lenses"] else "Taking the first lens out", p["removal"])
    cut(t, "Taking the old lens out" if not p["two_lenses"] else "Taking the first lens out", p["removal"])
    for more in (others, lens_where_it_lies, turn, put_back, two, after_laser, wound, astigmatism, theatre, at_hand, holds, risk, when):
        more(t)
    rest(t)
    screen(t)
    note(t)
    order = ["stop"] if p["decision"]["urgency"] == "same-day" else ["stop", "warn", "note"]  # each once, the gravest first
    own = [c["severity"] for c in p["cautions"] if c["severity"] in order]
    t.want("cautions", " ".join(re.findall(r"^(STOP|WARN|NOTE)  ", t.text, re.M)), " ".join(sorted(own, key=order.index)).upper())
    for part in ("cautions", "assumptions"):
        t.notes(part, [n for n in p[part] if n.get("severity", "stop") == "stop" or p["decision"]["urgency"] != "same-day"])
    return t


class Summary(Told):
    """The summary of past cases."""

    def __init__(self, past):
        run = lambda how: subprocess.run([program, "recheck", past, "--as-of", "2026-09-01", "--format", how], capture_output=True, text=True).stdout
        self.case, self.plan, self.text = past, {}, run("text")
        self.summary, self.sections, self.faults, self.checked = json.loads(run("json")), sections(self.text), [], 0


def past_cases(past):
    t = Summary(past)
    s = t.summary
    share = lambda x: "not known" if x is None else percent(x)
    known = lambda x, how: "not known" if x is None else how(x)
    whole = lambda x: number(x, 0, "")
    size = lambda x: known(x, lambda y: number(y, 2, "D"))
    method = lambda g: g["method"] + (f", {g['formula']}" if g["formula"] and g["method"] == "joint" else "")
    groups = {}
    for g in s["groups"]:
        groups.setdefault((g["by"], g["is"]), []).append(g)
    title = {("all", None): "All counted eyes"}
    for by, is_ in groups:
        if by != "all":
            title[by, is_] = {"position": "New lens: ", "posterior": "Capsule: ", "year": "Operated in "}[by] + is_.replace("-", " ")
    at = lambda key: " ".join(t.text.split("\n")).find(f" {title[key]} {'-' * len(title[key])} ")
    t.want("all eyes before any group", str(all(0 <= at(("all", None)) < at(key) for key in groups if key[0] != "all")), "True")
    joint = [next(g for g in some if method(g) == "joint") for some in groups.values()]
    t.table("How near, by group", "Eyes (joint)", ["Eyes (joint)", "n", "Mean", "MedAE", "in 0.50", "95 % from", "to", "in 1.00"],
            [[title[g["by"], g["is"]], whole(g["n"]), known(g["mean_error_d"], dioptres), size(g["medae_d"]), share(g["within_half"]),
              share(g["within_half_low"]), share(g["within_half_high"]), share(g["within_one"])] for g in joint])
    for key, some in groups.items():
        t.table(title[key], "Method", ["Method", "n", "Mean", "SD", "MAE", "MedAE", "in 0.50", "in 1.00"],
                [[method(g), whole(g["n"]), known(g["mean_error_d"], dioptres), size(g["sd_d"]), size(g["mae_d"]), size(g["medae_d"]),
                  share(g["within_half"]), share(g["within_one"])] for g in some])
    t.table("What came against what was predicted", "Predicted about", ["Predicted about", "Eyes", "Predicted", "Achieved", "SD of errors"],
            [[dioptres(x["step_d"]), whole(x["n"]), dioptres(x["predicted_mean_d"]), dioptres(x["achieved_mean_d"]), size(x["error_sd_d"])] for x in s["steps"]])
    ends = (s["error_bars"][0], s["error_bars"][-1]) if s["error_bars"] else ()
    t.table("How the errors spread", "Error about", ["Error about", "Eyes", "Share"],
            [[dioptres(x["error_d"]) + (" or beyond" if x in ends else ""), whole(x["n"]), share(x["share"])] for x in s["error_bars"]])
    t.table("How near: share of eyes within each size of error", "Method", ["Method", "Eyes", "0.25 D", "0.50 D", "0.75 D", "1.00 D", "2.00 D"],
            [[method(g), whole(g["n"])] + [share(g["within_" + w]) for w in ("quarter", "half", "three_quarters", "one", "two")]
             for g in groups.get(("all", None), [])])
    t.table("Did the model's own intervals hold?", "Method", ["Method", "50 % held", "80 % held", "95 % held", "Constant"],
            [[method(g), share(g["held_50"]), share(g["held_80"]), share(g["held_95"]), known(g["constant_shift"], lambda x: number(x, 2, "", True))]
             for g in groups.get(("all", None), []) if g["held_50"] is not None])
    fifths = dict(zip("12345", ("least sure fifth", "second fifth", "third fifth", "fourth fifth", "surest fifth")))
    t.table("Did the told chances come true?", "Eyes", ["Eyes", "n", "Told", "Came true", "95 % from", "to"],
            [[fifths.get(x["is"], f"eye part {x['is']}"), whole(x["n"]), share(x["told"]), share(x["came_true"]), share(x["came_true_low"]),
              share(x["came_true_high"])] for x in s["calibration"]])
    chance = lambda p, few: "not known" if p is None else "< 0.0001" if p < 0.00005 else number(p, 4 if p < few else 2, "")
    t.table("Joint against each other method", "Joint against", ["Joint against", "n", "Rank z"],
            [[method(x), whole(x["n"]), known(x["wilcoxon_z"], lambda z: number(z, 2, "", True))] for x in s["pairs"]])
    got = tables(t.sections.get("Joint against each other method", [])).get("Joint against")
    if got:
        t.want("HC4 t", got[0][1][4], " ".join(known(x["hc4_t"], lambda z: number(z, 2, "", True)) for x in s["pairs"]))
        for at, key in ((3, "wilcoxon_p"), (5, "hc4_p"), (6, "p_holm")):
            for text, x in zip(re.findall(r"< 0\.0001|not known|\d\.\d+", got[0][1][at]), s["pairs"]):
                p = x[key]
                good = p is None if text == "not known" else p < 0.00015 if text[0] == "<" else abs(float(text) - p) <= 0.5 * 10.0 ** -len(text[2:]) + 0.00006
                t.want(f"{key} of {method(x)}", f"{text} {good}", f"{text} True")
    support, text = s["support"], " ".join(t.text.split())
    heading = "The support score against what happened"
    if support and support[0]["share"] is not None:
        t.table(heading, "Tier before", ["Tier before", "n", "Vitrectomy", "Share", "95 % from", "to"],
                [[x["tier"], whole(x["n"]), whole(x["vitrectomies"]), share(x["share"]), share(x["share_low"]), share(x["share_high"])] for x in support])
    elif support:
        t.want("exchanges that say", re.search(r"(\d+) exchanges say whether", text)[1], whole(sum(x["n"] for x in support)))
    else:
        t.want("no support score", str(heading in t.sections), "False")
    said = {}
    for case in map(json.loads, filter(str.strip, open(past))):
        needed = case.get("outcome", {}).get("anterior_vitrectomy")
        if needed is not None:
            said[needed] = said.get(needed, 0) + 1
    t.want("vitrectomies of the file", f"{sum(x['vitrectomies'] for x in support)} {sum(x['n'] for x in support)}", f"{said.get(True, 0)} {sum(said.values())}")
    first = s["finding"]
    if first:
        head = " ".join(t.text.split("\n\n")[1].split())
        t.want("finding", head.split(":")[0], f"{share(first['within_half'])} of {whole(first['n'])} eyes within 0.50 D; the 80 % intervals held "
               f"{share(first['held_80'])} (95 % limits {share(first['held_80_low'])} to {share(first['held_80_high'])})")
    top = pairs(t.text.split("Error = achieved")[0].split("\n"))
    for label, key in (("Records", "cases"), ("Refused", "refused"), ("Without outcome", "no_outcome"), ("Counted", "counted")):
        t.want(label, top.get(label), whole(s[key]))
    t.want("not counted", re.sub(r"[a-z -]+", "", top.get("Not counted", "0")), "".join(str(x["n"]) for x in s["not_counted"]) or "0")
    return t


def checked(case):
    return past_cases(case) if case.endswith(".jsonl") else check(case)


with ThreadPoolExecutor(2) as pool:
    told = list(pool.map(checked, sys.argv[2:]))
faults = [f for t in told for f in t.faults]
print("\n".join(faults[:20]))
if faults:
    sys.exit(f"FAILED told: {len(faults)} of {sum(t.checked for t in told)}")
print(f"passed told: {sum(t.checked for t in told)} tables' columns, labels and sentences of {len(told)} plans")
