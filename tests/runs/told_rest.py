"""The rest of the whole text of a plan against the plan as JSON: routes to a power, readings, days, sources, acts, the talk with the patient,
what was left out. Written from the words of the report, not from its code."""
import datetime
from told_base import *

STANDING = {"advised": "ADVISED", "repeat-before-ordering": "REPEAT BEFORE ORDERING", "withheld": "WITHHELD: no power is given",
            "provisional": "PROVISIONAL: nothing is chosen, order nothing"}
ROUTE = {"joint": "all data together", "refraction-only": "refraction alone", "biometry-only": "biometry alone",
         "aphakic-refraction": "refraction without a lens"}
CHECKED = {**ROUTE, "rule-of-thumb": "rule of thumb", "fresh-formula": "formula afresh"}
REASON = {"length-below-22": "length under 22 mm", "length-22-to-26": "length 22 to 26 mm", "length-above-26": "length over 26 mm"}
WHERE = {"bag": "in the bag", "sulcus": "in the sulcus", "sulcus-captured": "in the sulcus, optic captured", "sclera": "in the sclera",
         "iris-behind": "behind the iris", "iris-front": "before the iris", "chamber": "in the chamber"}
ACT = {"first": "First", "also": "Also", "until-then": "Until then", "weigh": "Weigh", "after-it": "After it"}
URGENCY = {"planned": "planned, no hurry", "weeks": "within weeks", "days": "within days", "same-day": "TODAY"}
TRUST = {"good": "good", "order-of-size": "order of size only", "none": "none: no number is given"}
NAMED = {"both-stay": "both stay", "second-out": "second lens out", "second-exchanged": "second lens exchanged", "second-turned": "second lens turned",
         "first-exchanged": "first lens exchanged", "one-for-both": "one lens for both"}
MONTH = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split()
mm = lambda x: number(x, 2, "mm")
degrees = lambda x: number(x, 0, "deg")


def day(text):
    """2026-01-20 as it is told: 20 Jan 2026."""
    year, month, of_month = text.split("-")
    return f"{int(of_month)} {MONTH[int(month) - 1]} {year}"


def section(t, heading):
    """All words of a section."""
    return " ".join(" ".join(t.sections.get(heading, [])).split())


def routes(t, heading, part):
    """How the power was reached, and what other ways to it say."""
    if not part or heading not in t.sections:
        return
    second = part is t.plan["piggyback"]
    if second and part["suitable"] is False:
        return
    if second and part["standing"] == "withheld":
        return
    t.pair(heading, "Standing", STANDING[part["standing"]])
    if part["power_exact_d"] is None or part["standing"] == "withheld":
        return
    t.pair(heading, "Lens class", f"{part['lens_id']}: {part['lens_label']}")
    if second:
        raw = part["power_exact_d"] if part["route"] == "refraction-only" else \
            next((c["power_d"] for c in part["cross_checks"] if c["method"] == "refraction-only"), None)
        t.pair(heading, "Exact power", f"{dioptres(part['power_exact_d'])} at the lens, not at the spectacles")
        t.pair(heading, "From the raw reading", None if raw is None else dioptres(raw))
        return
    t.pair(heading, "Exact power", f"{dioptres(part['power_exact_d'])} for {part['lens_id']} {WHERE[part['position']]}, target {dioptres(part['target_se_d'])}")
    without = any(c["method"] == "aphakic-refraction" for c in part["cross_checks"])
    over = "the advice and each of the two witnesses alone" if without else "the advice, each cause plausible alone, and the refraction alone"
    t.pair(heading, "Range", "none: one route only" if not part["power_high_d"] > part["power_low_d"] else
           f"{dioptres(part['power_low_d'])} to {dioptres(part['power_high_d'])} over {over}")
    formula = f", reference formula {FORMULA[part['reference_formula']]} ({REASON[part['reference_reason']]})" if part["reference_formula"] else ""
    t.pair(heading, "Route", ROUTE[part["route"]] + formula)
    t.pair(heading, "By another route", ", ".join(f"{CHECKED[c['method']]} {dioptres(c['power_d'])}" for c in part["cross_checks"]) or None)
    plausible = {c["quantity"]: c["plausible_alone"] for c in (t.plan["surprise"] or {"causes": []})["causes"]}
    alone = [f"{CAUSE[c['quantity']]} " + ("cannot explain it" if c["power_d"] is None else dioptres(c["power_d"]) +
             ("" if plausible.get(c["quantity"]) else " (beyond ordinary error)")) for c in part["by_cause"]]
    t.pair(heading, "If one cause alone", ", ".join(alone) or None)
    other = part["power_if_other_lens_inside_d"]
    t.pair(heading, "Two powers", None if other is None else f"{dioptres(part['power_exact_d'])} if the lens inside is the one recorded; "
           f"{dioptres(other)} if it is not. Settle it before ordering: sticker or operation record.")
    classes, rows = dict.fromkeys(c["lens_id"] for c in part["choices"] if c["lens_id"] != part["lens_id"]), []
    for name in classes:
        own = [c for c in part["choices"] if c["lens_id"] == name]
        c = min(own, key=lambda c: abs(c["expected"]["se_d"] - part["target_se_d"]))
        turned = "none" if not c["cylinder_d"] else f"{dioptres(c['cylinder_d'])} at {degrees(c['axis_deg'])}"
        rows.append([name, power(c["power_d"]), turned, dioptres(c["expected"]["se_d"]), percent(c["within_half_d"]), percent(c["within_one_d"])])
    t.table(heading, "Other class, nearest step", ["Other class, nearest step", "Power", "Cyl, marks", "SE", "0.5 D", "1.0 D"], rows)


def readings(t):
    """What was read, meant and missed."""
    s, heading = t.plan["surprise"], "The eye without a lens" if t.plan["secondary"] else "What went wrong"
    if not s:
        return
    size = lambda what: None if s["z"] is None else f"{number(s['z'], 2, '', True)} times {what} (more than 3: not an ordinary error)"
    if t.plan["secondary"]:
        t.pair(heading, "Now", f"{dioptres(s['current_se_d'])} spherical equivalent, without a lens")
        t.pair(heading, "Read, less expected", None if s["eye_part_d"] is None else f"{dioptres(s['eye_part_d'])}: expected by length and keratometry")
        t.pair(heading, "Size of that", size("its expected spread"))
        t.table(heading, "Formula", ["Formula", "Predicted", "Error"],
                [[FORMULA[f["formula"]], dioptres(f["predicted_se_d"]), dioptres(f["error_d"])] for f in s["formulas"]])
        return
    known = lambda x: "not known" if x is None else dioptres(x)
    if s["latest_on"] and s["latest_se_d"] is not None:
        t.pair(heading, "Now", f"{day(s['latest_on'])}: {dioptres(s['latest_se_d'])}, as the eye is read now")
    if s["read_on"]:
        t.pair(heading, "Last reading", [f"{which} ({day(s['read_on'])}) {dioptres(s['current_se_d'])} spherical equivalent"
                                         for which in ("in place", "that counts")])
    else:
        t.pair(heading, "Now", f"{dioptres(s['current_se_d'])} spherical equivalent")
    t.pair(heading, "Meant", known(s["intended_se_d"]))
    t.pair(heading, "Miss", f"{known(s['miss_d'])} (plus is more hyperopic)")
    t.pair(heading, "Size of the eye part", size("its expected spread"))


def lies(t):
    """Where the lens lies, as it was seen; how far the figures carry."""
    d, heading = t.plan["displaced"], "The lens where it lies"
    if not d:
        return
    ways = d["ways"][0] if d["ways"] else {}
    back, to = ways.get("tilted_back_position_deg"), ways.get("decentration_position_deg")
    tilt = [] if d["tilt_deg"] is None else [f"tilted {degrees(d['tilt_deg'])}" + ("" if back is None else f", its edge at {degrees(back)} furthest back")]
    off = [] if d["decentration_mm"] is None else [f"off centre {mm(d['decentration_mm'])}" + ("" if to is None else f" toward {degrees(to)}")]
    t.pair(heading, "The lens lies", "; ".join(tilt + off) or None)
    t.pair(heading, "Trust in these numbers", TRUST[d["trust"]])


def both(t):
    """The lens of each way of an eye with two."""
    w, heading = t.plan["two_lenses"], "Two lenses in the eye"
    if not w:
        return
    for way in w["ways"]:
        marks = ("" if not way["cylinder_d"] else f", cylinder {dioptres(way['cylinder_d'])}") + \
            ("" if not way["cylinder_d"] or way["axis_deg"] is None else f", marks on {degrees(way['axis_deg'])}")
        if way["way"] == "second-turned":
            sense = "anticlockwise" if (way["turn_deg"] or 0) > 0 else "clockwise"
            t.pair(heading, NAMED[way["way"]], f"by {number(abs(way['turn_deg'] or 0), 0, 'deg')} {sense}{marks}; each degree off adds {number(way['loss_per_degree_d'], 2, 'D')} of cylinder")
        elif way["lens_id"]:
            t.pair(heading, NAMED[way["way"]], f"{power(way['power_d'])} {way['lens_id']}{marks}")
    for lens, title in (("first", "Taking the first lens out"), ("second", "Taking the second lens out")):
        where = {"first": "behind it", "second": "in front"}[lens]
        labelled = "" if w[f"{lens}_power_d"] is None else f", {power(w[f'{lens}_power_d'])}"
        if title in t.sections:
            told = f"{lens} lens, {where}, {WHERE[w[f'{lens}_position']]}"
            t.pair(title, "Which", [told + labelled, told])  # a label that is doubted is not told


def way_out(t, heading, r):
    """The cut, the grip and the depths."""
    if not r or heading not in t.sections:
        return
    o, c = r["orientation"], r["chamber"]
    if o:
        cut = f"{degrees(o['cut_meridian_deg'])}. {o['cut']['text']}" if o["cut"] else None
        t.pair(heading, "Cut", cut if r["cuts"] else None)
        t.pair(heading, "If cut", None if r["cuts"] else cut)
        t.pair(heading, "Hold with", f"{o['grip_hand']} hand, through a port at {degrees(o['grip_port_position_deg'])}; seat at {degrees(o['seat_position_deg'])}")
        t.notes(heading, o["reasons"])
        turned = "anticlockwise" if (o["turn_back_deg"] or 0) > 0 else "clockwise"
        turns = r["preferred"] != "whole" and o["turn_back_deg"] is not None
        t.pair(heading, "Shorter way back", f"{degrees(abs(o['turn_back_deg']))} {turned}, against the loops" if turns else None)
        got = pairs(t.sections[heading]).get("Turn")
        starts = "No turn: " if o["turn_deg"] == 0 else "Turn the lens " if o["turn_deg"] and o["direction"] else "When it can be moved, "
        t.want(f"{heading}, turn", str(got and got.startswith(starts)), str(True if r["preferred"] != "whole" else None))
    if c and heading != "Taking the second lens out":
        near = "" if c["least_clearance_at_mm"] is None else f"; nearest the endothelium {mm(c['least_clearance_at_mm'])} from the centre"
        t.pair(heading, "Depths", f"iris plane {mm(c['iris_plane_mm'])}, front of the lens {mm(c['lens_front_mm'])}; cornea {mm(c['cornea_thickness_mm'])}, "
               f"blade {mm(c['blade_height_mm'])}{near}")


def days(t):
    """Dates with their day from the first operation, and which have passed."""
    w, heading = t.plan["timing"], "When"
    if not w or heading not in t.sections:
        return
    as_of = datetime.date.fromisoformat(t.plan["as_of"])
    for label, key in (("Refraction counts from", "earliest_by_refraction"), ("Complaint: not before", "earliest_by_symptoms"),
                       ("Exchange easier before", "best_before")):
        date, since = w[key] and datetime.date.fromisoformat(w[key]), w["days_since_first_surgery"]
        told = date and f"{date}" + ("" if since is None else f", day {since + (date - as_of).days}{{0}}") + (", passed" if date <= as_of else "")
        t.pair(heading, label, told)
    laser = [x["from_day"] for x in w["windows"] if x["what"] == "laser-judged" and x["from_day"] is not None]
    t.pair(heading, "Corneal laser from", f"day {number(laser[0], 0, '')}" if laser else None)
    turns = re.search(r"from day (\d+) to (\d+)|day (\d+) to (?:day )?(\d+)", " ".join(r["text"] for r in w["reasons"] if r["code"] == "turn-window"))
    if any(r["code"] == "turn-window" for r in w["reasons"]) and turns:
        t.want("turning", pairs(t.sections[heading]).get("Turning"), f"day {turns[1] or turns[3]}{{0}} to {turns[2] or turns[4]}{{0}}")
    t.pair(heading, "Clash", "the easier days and the waiting time do not fit together" if w["conflict"] else None)


def lists(t):
    """Sources, what was left out, and the talk: every row in its order."""
    p = t.plan
    t.want("sources", section(t, "Sources").split(" Not told while the alarm stands: ")[0], " ".join(f"{s['key']} {s['citation']} [{s['status']}]" for s in p["sources"]))
    name = lambda part: "what to measure next" if part == "measure_next" else part.replace("_", " ")
    plain = lambda e: re.sub("^Left out[:,] ", "", e["text"])
    alike_ = {}  # parts that are left out for one reason stand together
    for e in p["left_out"]:
        alike_.setdefault(plain(e), []).append(name(e["part"]))
    rows = [f"{some[0]} {why}" + (f" So too: {', '.join(some[1:])}." if some[1:] else "") for why, some in alike_.items()]
    t.want("left out", section(t, "Left out"), " ".join(rows))
    from_ = lambda c: {"this_plan": "this plan", "common_practice": "common practice", "judgement": "judgement"}.get(c["source"], f"{c['status']}: {c['source']}")
    if p["counselling"]:
        said, topic = [], None
        for c in p["counselling"]:
            said += ([c["topic"]] if c["topic"] != topic else []) + [f"{c['say']} [{from_(c)}]"]
            topic = c["topic"]
        got = section(t, "What to tell the patient")
        want = " ".join(" ".join(said).split())
        t.want("talk", got[:len(want)], want)


def acts(t):
    """What to do: acts under their words, why, how soon."""
    p, heading = t.plan, "What to do"
    d = p["decision"]
    if heading not in t.sections or not d["state"]:
        return
    t.pair(heading, "In short", [d["sentence"], pairs(t.sections[heading]).get("In short", d["sentence"])]
           if pairs(t.sections[heading]).get("In short", "").startswith(d["sentence"]) else d["sentence"])
    part = p["secondary"] or p["replacement"]
    label = "Lens" if d["state"] == "secondary-lens" else "If one is put in" if p["secondary"] else "One for both" if p["two_lenses"] else "If exchanged"
    told = pairs(t.sections[heading]).get(label)
    if part and told and (told in ("no power is given", "none chosen") or part["standing"] in ("withheld", "provisional")):
        t.want("no power, why", told, "no power is given" if part["standing"] == "withheld" else "none chosen")
    t.pair(heading, "Because", d["reasons"][0]["text"] if d["reasons"] else None)
    for when, label in ACT.items():
        own = [a["text"] for a in d["acts"] if a["when"] == when]
        t.pair(heading, label, " ".join(own) or None)
    told = section(t, heading)
    for reason in d["reasons"][1:]:
        t.want("a further reason", str(letters(reason["text"]) in letters(told)), "True")


def letters(text):
    return re.sub(r"\s", "", text)


def steps_of_astigmatism(t):
    """The astigmatism of each step: readings and expected refractions of the plan, marked 1, 2, 3."""
    got = tables(t.sections.get("Astigmatism, step by step", [])).get("Mark")
    if not got:
        return
    columns = got[0][1]
    cells = re.findall(r"-?\d+\.\d+ D", columns[2])
    axes = re.findall(r"\d+ deg|-", columns[3])
    for part, words in ((t.plan["replacement"], "After exchange, chosen step"), (t.plan["secondary"], "After the new lens, chosen step"),
                        (t.plan["piggyback"], "After a second lens, chosen step")):
        if words not in columns[1] or not part:
            continue
        names = [w for w in re.split(r"(?<=[a-z])\s(?=[A-Z])", columns[1])]
        k = next((i for i, w in enumerate(names) if w == words), None)
        chosen = next((c for c in part["choices"] if c["chosen"]), None)
        if k is not None and len(names) == len(cells) and chosen:
            t.want(f"astigmatism, {words}", cells[k], dioptres(chosen["expected"]["cylinder_d"]))
            if len(axes) == len(cells) and chosen["expected"]["axis_deg"] is not None:
                t.want(f"astigmatism, axis, {words}", axes[k], degrees(chosen["expected"]["axis_deg"]))


def cells_after(t):
    e = t.plan["endothelium"]
    if e:
        label = "After the operation" if t.plan["secondary"] else "After an exchange"
        t.pair("Corneal cells", label, None if e["cells_expected_per_mm2"] is None else number(e["cells_expected_per_mm2"], 0, "per mm2") + " expected")
        t.notes("Corneal cells", [e["advice"]] if e["advice"] else [])


SECTION = {"incision": "Wound", "displaced": "The lens where it lies", "altered_cornea": "Cornea altered by laser", "growth": "The eye of a child",
           "rotation": "Turning the toric lens", "reposition": "Holding the old lens in place", "spectacles": "Glasses", "contact_lens": "Contact lens",
           "corneal_laser": "Corneal laser", "endothelium": "Corneal cells", "two_lenses": "Two lenses in the eye", "timing": "When",
           "options": "All ways side by side", "support": "Support of capsule and zonule", "theatre_list": "Theatre list",
           "measure_next": "What the next look or measurement would buy", "counselling": "What to tell the patient"}


def absent(t):
    """A part that is left out has no section."""
    for part, heading in SECTION.items():
        if t.plan[part] is None:
            t.want(f"section of {part}", str(heading in t.sections), "False")
        elif t.plan["decision"]["urgency"] != "same-day" and part in ("incision", "altered_cornea", "growth", "two_lenses", "timing", "options", "support"):
            t.want(f"section of {part}", str(heading in t.sections), "True")


def more_on_each_way(t):
    """What the table of all ways has no room for: of each way that is told there its other reasons, of each part its own; of a way that is barred
    nothing more."""
    p, label = t.plan, "Reasons beyond those of the table, and published results:"
    names, want = way_names(p), []
    for o in p["options"] or []:
        if o["rank"] is not None:
            more = [r["text"] for r in o["reasons"]]
            if o["why"] and o["why"]["text"] in more:  # that one stands in the table
                more.remove(o["why"]["text"])
            want += [(o["option"], text) for text in more]
    for part in ("piggyback", "rotation", "reposition", "corneal_laser", "spectacles", "contact_lens") if p["options"] else ():
        own = (p[part] or {"reasons": []})["reasons"]
        want += [(part.replace("_", "-"), r["text"]) for r in own if p[part]["suitable"] is not False or len(own) > 1]
    told = t.text.split(label)
    t.want("more on each way", str(len(told)), str(1 + bool(want)))
    items = []
    for line in told[-1].split("\n")[2:] if len(told) == 2 else ():
        if line.startswith("-  "):
            items.append(line[3:])
        elif line.startswith("   "):
            items[-1] += " " + line.strip()
        else:
            break
    t.want("more on each way, how many", str(len(items)), str(len(want)))
    for got, (way, text) in zip(items, want):
        t.want("more on each way", got, f"{names[way]}: {text}")


def rest(t):
    p = t.plan
    if p["decision"]["urgency"] != "same-day":
        routes(t, "Lens to be put in" if p["secondary"] else "One lens for both" if p["two_lenses"] else "Replacement lens", p["secondary"] or p["replacement"])
        routes(t, "Second lens in the sulcus (piggyback)", p["piggyback"])
        way_out(t, "Taking the first lens out" if p["two_lenses"] else "Taking the old lens out", p["removal"])
        way_out(t, "Taking the second lens out", (p["two_lenses"] or {}).get("second_way_out"))
        both(t)
    for more in (absent, readings, lies, days, lists, acts, steps_of_astigmatism, cells_after, more_on_each_way):
        more(t)
