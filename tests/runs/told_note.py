"""The five lines for the record against the plan as JSON and the whole text. Written from the words of the record, not from its code."""
from told_base import *

MONTHS = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split()
HEADS = ["Eye: ", "Found: ", "Decided: ", "Lens: ", "Told (strike out what was not): "]
HELD = {"bag": "in the bag", "sulcus": "in the sulcus", "sulcus-captured": "in the sulcus, optic captured", "sclera": "in the sclera",
        "iris-behind": "behind the iris", "iris-front": "before the iris", "chamber": "in the anterior chamber"}


def day(iso):
    year, month, number_ = iso.split("-")
    return f"{int(number_)} {MONTHS[int(month) - 1]} {year}"


def eye(t, line):
    p, since = t.plan, (t.plan["timing"] or {}).get("days_since_first_surgery")
    want = f"{p['eye'].upper()} EYE   case {p['case_ref']}"
    want += f"   as of {day(p['as_of'])}" if p["as_of"] else ""
    want += f", day {'not known' if since is None else since}"
    t.want("note: eye", line, want)


def found(t, line):
    s = t.plan["surprise"]
    if not s or s["current_se_d"] is None:
        alarm = t.plan["decision"]["urgency"] == "same-day"
        t.want("note: found", line, "an alarm: see the decision" if alarm else "no refraction of this eye counts")
        return
    m = re.match(r"(\S+ D)(?: cyl (\S+ D))?(.*?), meant (\S+ D|not known)(?:, aim (\S+ D))?(?:, miss (\S+ D))?; cause (.*)$", line)
    if not m:
        t.want("note: found", line, "words of what was found")
        return
    t.want("note: now", m[1], dioptres(s["current_se_d"]))
    t.want("note: meant", m[4], "not known" if s["intended_se_d"] is None else dioptres(s["intended_se_d"]))
    t.want("note: miss", m[6] or "-", dioptres(s["miss_d"]))
    two_aims = [c for c in t.plan["cautions"] if c["code"] == "goals-apart"]
    aims = [part["target_se_d"] for part in (t.plan["secondary"], t.plan["replacement"], t.plan["piggyback"]) if part]
    t.want("note: two aims", str(m[5] is not None), str(bool(two_aims)))
    if m[5] and aims:
        t.want("note: aim", m[5], dioptres(aims[0]))
    when = re.fullmatch(r" now| (in place|that counts|read)? ?\((.*? \d{4})\)(?:, (\S+ D) now \((.*? \d{4})\))?", m[3])
    t.want("note: when", str(bool(when)), "True")
    cause = re.search(r"^Cause  +(.*?)\n(?=\S)", t.text, re.M | re.S)
    if cause:
        t.want("note: cause", m[7], " ".join(cause[1].split()))


def decided(t, line):
    d = t.plan["decision"]
    t.want("note: decided", line[:len(d["sentence"])], d["sentence"])
    rest, soon = line[len(d["sentence"]):].strip(), {"days": "Within days.", "weeks": "Within weeks.", "same-day": "Today."}
    said = d["urgency"] == "planned" or re.search(r"within (days|weeks)|today|, (best )?by ", d["sentence"], re.I) or d["not_before"]
    t.want("note: how soon", rest, "" if said or not rest and d["urgency"] == "same-day" else soon[d["urgency"]])


def step_of(c, position):
    mark = f", cylinder {dioptres(c['cylinder_d'])}, marks on {number(c['axis_deg'], 0, 'deg')}" if c["cylinder_d"] else ""
    return f"{power(c['power_d'])} {c['lens_id']}{mark}, {HELD[position]}, expect {refraction(c['expected'])}, SE {dioptres(c['expected']['se_d'])}"


def lens(t, line):
    p, d = t.plan, t.plan["decision"]
    two = p["two_lenses"] or {"ways": []}
    ranked = sorted((o for o in p["options"] or [] if o["rank"]), key=lambda o: o["rank"])
    first = ranked[0] if ranked else None
    smaller = d["state"] == "other-option-first"
    part = p["secondary"] or p["replacement"] or {"choices": [], "standing": "withheld"}
    chosen = next((c for c in part["choices"] if c["chosen"]), None)
    given = chosen and part["standing"] not in ("withheld", "provisional") and d["urgency"] != "same-day"
    turned = next((w for w in two["ways"] if w["way"] == "second-turned" and w["turn_deg"] is not None), None)
    turn = (turned, "turn the second lens ") if first and first["option"] == "second-turn" and turned else \
        (p["rotation"], "") if first and first["option"] == "rotation" and smaller and p["rotation"] else None
    if turn and turn[0]["turn_deg"] is not None:
        r = turn[0]
        way = "anticlockwise" if r["turn_deg"] > 0 else "clockwise"
        to = r.get("least_cylinder_axis_deg", r.get("axis_deg"))
        t.want("note: turn", line, f"{turn[1]}{number(abs(r['turn_deg']), 0, 'deg')} {way}, marks from {number(r['axis_now_deg'], 0, 'deg')} to "
               f"{number(to, 0, 'deg')}, expect {refraction(r['expected'])}, SE {dioptres(r['expected']['se_d'])}")
        return
    if line == "no power is given":
        front = smaller and first and first["option"] in ("piggyback", "second-exchange")
        t.want("note: no power", str(bool(given and d["state"] != "find-cause-first" and not front)), "False")
        return
    m = re.match(r"(second lens in front|exchange second lens): (.*)$", line)
    if m:
        rows = [(c, p["piggyback"]["position"] or "sulcus") for c in (p["piggyback"] or {"choices": []})["choices"] if c["chosen"]] if m[1][0] == "s" else \
            [(w, "sulcus") for w in two["ways"] if w["way"] == "second-exchanged"]
        t.want("note: lens in front", str(any(alike(m[2].replace("REPEAT BEFORE ORDERING. ", ""), step_of(*row)) for row in rows)), "True")
        t.want("note: way", WAY[first["option"]], m[1])
        return
    kept = re.match(r"if the old lens stays, expect SE (\S+ D); ", line)
    back = next((o for o in p["options"] if o["option"] == "reposition" and o["rank"] is not None), None)
    weighed = d["state"] == "exchange-or-alternative" and not p["secondary"] and back and back["expected_se_d"] is not None
    t.want("note: if it stays", kept[1] if kept else "-", dioptres(back["expected_se_d"]) if weighed else "-")
    line = line[kept.end():] if kept else line
    m = re.match(r"(the old lens stays|second lens out, none put in), expect SE (\S+ D); ", line)
    if m:
        t.want("note: stays", m[2], dioptres(first["expected_se_d"]))
        t.want("note: stays", m[1], "second lens out, none put in" if first["option"] == "second-out" else "the old lens stays")
        line = line[m.end():]
    elif smaller and first and first["option"] in ("second-out", "reposition", "optic-capture") and first["expected_se_d"] is not None and given:
        t.want("note: stays", line, "the old lens stays")
    m = re.match(r"(if exchanged: |if a lens is put in: |)(.*)$", line)
    leads = first and first["option"] in ("exchange", "secondary-lens") and not smaller and d["state"] in ("exchange", "exchange-or-alternative", "secondary-lens")
    if m[2] == "no power is given":
        t.want("note: no power", str(bool(given)), "False")
        return
    if d["state"] in ("exchange", "secondary-lens"):
        t.want("note: it leads", m[1], "")
    elif smaller:
        t.want("note: it does not lead", m[1], "if a lens is put in: " if p["secondary"] else "if exchanged: ")
    elif m[1]:
        t.want("note: if exchanged", str(bool(leads) and first["rank"] == 1 and d["state"] == "exchange"), "False")
    t.want("note: given", str(bool(given)), "True")
    misses = re.match(r"NO STEP FITS, no power is given \(exact (\S+ D), target (\S+ D)\)", m[2])
    if misses:
        t.want("note: exact", misses[1], dioptres(part["power_exact_d"]))
        t.want("note: target", misses[2], dioptres(part["target_se_d"]))
        t.want("note: misses", str(abs(chosen["expected"]["se_d"] - part["target_se_d"]) > 0.499), "True")
        return
    warned = re.match(r"((?:One lens for both: take both out\. |REPEAT BEFORE ORDERING\. |POWER NOT SETTLED: .*? D\. )*)(.*)$", m[2])
    t.want("note: repeat", str("REPEAT" in warned[1]), str(part["standing"] == "repeat-before-ordering"))
    t.want("note: both out", str("One lens for both" in warned[1]), str(p["two_lenses"] is not None))
    if "NOT SETTLED" in warned[1]:
        span = re.search(r"SETTLED: (\S+)(?: D)? to (\S+) D", warned[1])
        t.want("note: span", f"{span[1]} D {span[2]} D", f"{dioptres(part['power_low_d'])} {dioptres(part['power_high_d'])}")
        t.want("note: not settled", warned[2], "No power is given")
    else:
        t.want("note: lens", warned[2], step_of(chosen, part["position"]))


def talked(t, line):
    topics = []
    for row in t.plan["counselling"] or []:
        topics += [row["topic"].replace("-", " ")] if row["topic"].replace("-", " ") not in topics[-1:] else []
    t.want("note: told", line, ", ".join(topics) or "nothing yet")


def note(t):
    text = subprocess.run([program, "plan", t.case, *SITE, "--only", "note"], capture_output=True, text=True).stdout
    lines = text.rstrip("\n").split("\n")
    stop = re.match(r"(STOP \(.*?\)) ", lines[0])
    t.want("note: lines", str(len(lines)), str(len(HEADS)))
    t.want("note: a stop", str(bool(stop)), str(any(c["severity"] == "stop" for c in t.plan["cautions"])))
    if stop:
        t.want("note: stop at the end", lines[4][-len(stop[1]) - 2:], f". {stop[1]}")
        lines[0], lines[4] = lines[0][stop.end():], lines[4][:-len(stop[1]) - 2]
    for line, head, check in zip(lines, HEADS, (eye, found, decided, lens, talked)):
        t.want("note: head", line[:len(head)], head)
        check(t, line[len(head):])
