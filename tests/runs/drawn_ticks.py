"""What is ticked and signed on the theatre card, on the page and on the screen: the things to have of the plan that the operation of the card
needs, each once, in the plan's order, and the same in both places. A lens that is only turned is not cut; what is done in front of the first lens
opens no bag. Common practice, no source. Usage from drawn_check.py."""
import html, re

OUT = {"lens scissors", "strong scissors for rigid loops", "serrated forceps to hold the optic", "blades for a wound as wide as the optic", "labelled pot for the lens taken out",
              "labelled pot for the second lens"}
HOLDS = {"set for fixation in the sclera", "claw forceps or enclavation needle"}
ANY = {"blunt lens hooks", "10-0 suture", "dispersive viscoelastic", "dispersive viscoelastic, spare", "cohesive viscoelastic", "miotic",
       "antibiotic for the chamber", "steroid cover", "anterior vitrector, set up and tested", "anterior vitrector in the room",
       "corneal surgeon and donor cornea agreed", "anaesthetist", "plan for the blood thinner"}
TORIC = "marker for the lens axis"


def ticked(page, screen, plan, case):
    at = page.find('class="sheet theatre')
    if at < 0:
        return []
    card, faults = page[at:page.find("</section>", at)], []
    plain = lambda t: " ".join(html.unescape(re.sub(r"<[^>]+>", "", t)).split())
    said = [plain(t) for t in re.findall(r"<li>(.*?)</li>", card, re.S)]
    ways = {o["option"]: o for o in plan["options"] or []}
    first = min((o for o in ways.values() if o["rank"]), key=lambda o: o["rank"])
    operation = plain(re.search(r'<p class="operation">(.*?)</p>', card, re.S)[1])
    two = plan["two_lenses"] or {"ways": []}
    turned, taken = operation.startswith("TURN "), operation.startswith("TAKE THE SECOND LENS OUT")
    front = operation.startswith(("PUT A SECOND LENS", "EXCHANGE THE SECOND LENS", "TAKE THE SECOND LENS OUT"))

    def want(good, what):
        if not good:
            faults.append(f"ticks: {what}")
    rows = [t for t in plan["theatre_list"] if t["kind"] != "lens"]
    have = [t["item"] + (f" x {t['count']}" if t["count"] > 1 else "") for t in rows]
    have_plain = [t["item"] for t in rows]
    ours = [t for t in said if t in have]
    wanted = [t["item"] for t in rows if t["item"] + (f" x {t['count']}" if t["count"] > 1 else "") in ours]
    want(ours == [t for t in have if t in ours], f"not in the plan's order: {ours}")
    gone = set(t["item"] for t in rows) - set(wanted)
    if front:
        want(set(wanted) <= ANY | OUT | {TORIC}, f"opens no bag: {set(wanted) - ANY - OUT}")
        want(not gone & ANY, f"lacks {gone & ANY}")
        changed = operation.startswith(("EXCHANGE", "TAKE"))
        want(("serrated forceps to hold the optic" in wanted) == changed, "forceps for a lens that comes out")
        want("lens scissors" not in wanted or changed and two["second_removal"] != "whole", "scissors for a lens that comes out whole")
    elif turned:
        want(not gone - OUT - HOLDS - {"miotic"} or said.count("lens for the exchange seen in the room"), f"lacks {gone - OUT - HOLDS}")
    else:
        want(not gone, f"lacks {gone}")
    out = " ".join(plain(t) for t in re.findall(r'<p class="step">(.*?)</p>', card, re.S))
    if re.search(r"\bcut (?:in|past)", out) and "lens scissors" in have_plain:
        want("lens scissors" in wanted, "a lens is cut without scissors")
    if re.search(r"(?:out:|^Out|Then out:) ", out):
        want("serrated forceps to hold the optic" in wanted, "a lens comes out without forceps")
    shown = [" ".join(t.split()) for t in re.findall(r"\[ \] (.+?)(?=  +\[ \]|\n|$)", screen)]
    shown = [t for t in shown if t in have]
    want(shown and shown == ours[:len(shown)], f"the screen has {shown}, the page {ours}")  # a short screen ends before the list does
    lens = next((c for p in (plan["secondary"], plan["replacement"]) if p for c in p["choices"] if c["chosen"]), None)
    if front:
        lens = next((c for c in (plan["piggyback"] or {"choices": []})["choices"] if c["chosen"]), None) if "PUT" in operation else \
            next((w for w in two["ways"] if w["way"] == "second-exchanged"), None) if "EXCHANGE" in operation else None
    axis = turned or bool(lens and lens["cylinder_d"])
    may = "power and sign said aloud" in said
    expected = [("label, side and eye mark agree", True), ("lens seen in the room before the patient", not turned and not taken),
                ("second surgeon agreed, name: __________", (case.get("patient") or {}).get("only_seeing_eye") is True),
                ("lens for the exchange seen in the room", may and (turned or taken)), ("degrees and direction said aloud", turned),
                ("one lens opened at a time", may), ("axis marked upright, before lying down", axis),
                ("marks of the lens read, pupil wide", turned)]
    for words, when in expected:
        want((words in said) == when, f"{'lacks' if when else 'has'}: {words}")
    want(not axis or front and not lens or TORIC in wanted or operation.startswith("PUT "), "no marker for the axis")
    if front:  # a toric lens of another way needs no marks here
        want((TORIC in wanted) == axis, f"marker for the axis: {TORIC in wanted}, an axis: {axis}")
    want(len(said) == len(set(said)), f"twice: {said}")
    return faults + put_back(card, plan)


HELD = {"suture": "suture both loops through the bag to the sclera", "sclera": "into the sclera", "recentre": "bring both back into the bag",
        "capture": "held behind the opening", "bag": "Open the bag again"}


def put_back(card, plan):
    """How the old lens would be held, and what is expected of it, where it is weighed beside an exchange."""
    m = re.search(r'<div class="zone put-back"><h3>(.*?)</h3>\s*<p class="facts">(.*?)</p>', card, re.S)
    if not m:
        return []
    words = " ".join(html.unescape(m[2]).replace("\u2212", "-").split())
    codes = [r["code"] for r in (plan["reposition"] or {"reasons": []})["reasons"]]
    how = [HELD[c] for c in codes if c in HELD]
    faults = [] if how and how[0] in words or not how and "How it would be held is not known yet." in words else [f"put back: {words}, by {codes}"]
    o = next(o for o in plan["options"] if o["option"] == "reposition")
    told = re.search(r"Expect SE (\S+) D(?:, cylinder (\S+) D)?\.", words)
    if bool(told) != (o["expected_se_d"] is not None) or told and (abs(float(told[1]) - o["expected_se_d"]) > 0.0056 or
                                                                 told[2] and abs(float(told[2]) - o["expected_cylinder_d"]) > 0.0056):
        faults.append(f"put back: {words}, the plan has {o['expected_se_d']}")
    if ("Not known yet whether it fits." in words) != (o["suitable"] is not True):
        faults.append(f"put back: {words}, it fits: {o['suitable']}")
    return faults


HOURS = "twelve one two three four five six seven eight nine ten eleven".split()
WAY = {"whole": "whole", "halved": "cut in two", "halved-turned": "cut in two, turned half round between the cuts",
       "partial": "cut past the centre, screwed out", "folded": "folded inside the eye", "wedge": "a wedge first, then the rest",
       "thirds": "cut in three"}


def clock(hour):
    half = round(2.0 * hour) % 24
    return f"half past {HOURS[half // 2]}" if half % 2 else f"{HOURS[half // 2]} o'clock"


def instead(screen, plan):
    """The lens at hand where a turn fails, on the screen: what is expected of it is of that lens."""
    flat = " ".join(screen.split())
    m = re.search(r"if it does not turn or hold: .*?([+-]\d+\.\d+) D ([a-z0-9-]+)[,;. ].*? EXPECT then (.*?)SE (\S+) D", flat)
    if "if it does not turn or hold: " not in flat or "EXPECT" not in flat:
        return []
    rows = [(c, c["expected"]) for p in (plan["replacement"], plan["secondary"]) if p for c in p["choices"] if c["chosen"]]
    rows += [(w, w["expected"]) for w in (plan["two_lenses"] or {"ways": []})["ways"] if w["way"] == "second-exchanged" and w["expected"]]
    near = lambda text, x: x is not None and abs(float(text) - x) < 0.0056
    for c, e in rows if m else ():
        form = re.fullmatch(r"([+-]?\d+\.\d+) D(?: ([+-]?\d+\.\d+) D x \d+ deg)?, ", m[3])
        if near(m[1], c["power_d"]) and c["lens_id"] == m[2] and near(m[4], e["se_d"]) and form and near(form[1], e["sphere_d"]) and \
                near(form[2] or "0", e["cylinder_d"] if form[2] else 0.0):
            return []
    return [f"instead of a turn: {m and m[0]}"]


def steps(page, screen, plan):
    """The way out: its steps and frames are numbered one by one; turn, junction, cut and widest piece are those of the plan, and the screen tells
    the same."""
    at = page.find('class="sheet theatre')
    if at < 0:
        return []
    card, faults = page[at:page.find("</section>", at)], []
    plain = lambda t: re.sub(r"(\d) ?°", r"\1 deg", " ".join(html.unescape(re.sub(r"<[^>]+>", " ", t)).replace("\u2212", "-").split()))
    told = [plain(t) for t in re.findall(r'<p class="step">(.*?)</p>|<figcaption>(.*?)</figcaption>', card, re.S) for t in t if t]
    numbers = [int(m[1]) for t in told if (m := re.match(r"(\d+) ", t))]
    if any(b not in (a + 1, 1) for a, b in zip([0] + numbers, numbers)):
        faults.append(f"steps: numbered {numbers}")
    outs = [(r, second) for r, second in ((plan["removal"], False), ((plan["two_lenses"] or {}).get("second_way_out"), True)) if r]
    flat, one = " ".join(screen.split()), len(outs) == 1
    out = re.search(r"^OUT  (.*?)^(?=[A-Z]{2,} )", screen, re.S | re.M)
    for which in ("first lens", "second lens") if out and plan["two_lenses"] else ():
        if (which in out[1]) != any(which + "," in t.lower() for t in told):
            faults.append(f"steps: {which} comes out on {'the screen' if which in out[1] else 'the page'} alone")
    if told and any("out" in t.lower() for t in told) and not out:
        faults.append("steps: the screen has no way out")
    faults += instead(screen, plan)
    for t in told:
        mine = [r for r, second in outs if one or ("second lens" in t.lower()) == second]
        known = [r["orientation"] or {} for r in mine]
        m = re.search(r"[Tt]urn (?:it |the first lens |the second lens )?(\d+) deg (clockwise|anticlockwise), (?:(\d+\.\d) clock hours, until the )?near junction (?:is )?at (.*?)(?:;|$)", t)
        if m and not any(o.get("turn_deg") and abs(abs(o["turn_deg"]) - float(m[1])) < 0.51 and (o["turn_deg"] > 0) == (m[2] == "anticlockwise") and
                         (not m[3] or m[3] == f"{o['turn_clock_hours']:.1f}") and m[4] == clock(o["junction_clock"]) for o in known):
            faults.append(f"steps: {t}")
        if m and f"{m[1]} deg {m[2]}, near junction at {m[4]}" not in flat:
            faults.append(f"steps: the screen lacks {m[0]}")
        m = re.match(r"(?:\d+ )?(?:(?:Second|First) lens, .*?, out:|Then out:|Out) (.*?)$", t)
        if m and not any((w := WAY.get(r["preferred"])) and (w == m[1] or re.search(rf"(?:^|; then ){re.escape(w)}(?:;|$)", m[1])) for r in mine):
            faults.append(f"steps: {t}: not {[r['preferred'] for r in mine]}")
        if m and re.split("; (?:then )?|, near junction", m[1])[0] not in flat and "once freed" not in t:
            faults.append(f"steps: the screen lacks {m[1]}")
        m = re.search(r"widest piece (\d+\.\d\d) mm", t)
        if m and not any(abs(x["widest_piece_mm"] - float(m[1])) < 0.0056 for r in mine for x in r["methods"] if x["id"] == r["preferred"]):
            faults.append(f"steps: {m[0]}")
    return faults
