"""The plan on one screen against the plan as JSON: what to do, what was missed, the ways, the lens with its steps, what lifts its standing, the
risk. Written from the words of the screen, not from its code."""
from told_base import *

SHORT = {"bag": "bag", "sulcus": "sulcus", "sulcus-captured": "sulcus captured", "sclera": "sclera", "iris-behind": "behind iris",
         "iris-front": "before iris", "chamber": "chamber"}


def rows(text):
    """Label -> its lines, without the seven columns before them."""
    found, label = {}, ""
    for line in text.split("\n")[2:]:
        m = re.match(r"([A-Z]{2,5})  +", line)
        if m and line[:7].strip() == m[1]:
            label = m[1]
        if line.strip():
            found.setdefault(label, []).append(line[7:] if line[:7].strip() in ("", label) else line)
    return found


class Screen(Told):
    """The screen in place of the whole text."""

    def __init__(self, t):
        self.case, self.plan, self.full, self.faults, self.checked = t.case, t.plan, t.text, [], 0
        text = subprocess.run([program, "plan", t.case, *SITE], capture_output=True, text=True).stdout
        self.first, self.rows, self.whole = text.split("\n")[0], rows(text), " ".join(text.split())

    def line(self, label):
        return " ".join(" ".join(self.rows.get(label, [])).split())


def what_to_do(s):
    d, p = s.plan["decision"], s.plan
    s.want("side", s.first.split()[0].lower(), p["eye"])
    s.want("case", re.search(r"case (\S+)", s.first)[1], p["case_ref"])
    sentence = d["sentence"].upper()
    s.want("do", s.line("DO")[:len(" ".join(sentence.split()))], sentence)
    for label, when in (("FIRST", "first"), ("AFTER", "after-it")):
        own = [a["text"] for a in d["acts"] if a["when"] == when]
        told = s.line(label)
        for k, act in enumerate(own[:2] if told else []):
            s.want(f"{label} {k + 1}", str(f"{k + 1} {' '.join(act.split())}" in told), "True")
    for label, when in (("WEIGH", "weigh"), ("UNTIL", "until-then")):
        own = [a["text"] for a in d["acts"] if a["when"] == when]
        if label in s.rows:
            s.want(label, s.line(label), " ".join(own))
    more = [" ".join(a["text"].split()) for a in d["acts"] if a["when"] == "also"]
    if " also: " in s.whole:
        rest = f" {len(more) - 1} more: --only decision." if len(more) > 1 else ""
        s.want("screen: also", str(bool(more) and f" also: {more[0]}{rest}" in s.whole), "True")
    told = s.line("MIND")
    bare = lambda c: " ".join(re.sub(r" \(/[^)]*\)", "", c["text"]).split())
    warned = [bare(c) for odd in (False, True) for c in p["cautions"] if c["severity"] == "warn" and (c["code"] == "unusual") == odd]
    if told:  # what is only unusual comes last; a short screen ends before the list does
        shown = [w for w in warned if w in told]
        more = re.search(r"(\d+) more warnings?: --only cautions$", told)
        s.want("screen: mind", told[:len(" ".join(shown))], " ".join(shown) or "a warning of the plan")
        s.want("screen: minded", re.sub(r" ?\d+ more warnings?: --only cautions$", "", told), " ".join(shown))
        s.want("screen: minded and told by an act", str(any(bare(c) in told for c in p["cautions"] if c["code"] == "no-capsule-laser")), "False")
        s.want("screen: more to mind", str(not more or len(shown) + int(more[1]) <= len(warned)), "True")


def missed(s):
    m, told = s.plan["surprise"], s.line("NOW")
    if not m or not told or "MEANT" not in told:
        return
    known = lambda x: "not known" if x is None else dioptres(x)
    found = re.search(r"MEANT (.*?) MISS (.*?)(?: = sheet (?:and growth )?(.*?), eye (\S+ D))?$", told)
    s.want("screen: now", str(any(alike(w, number(m["current_se_d"], 2, "", True)) for w in re.findall(r"[+-]?\d+\.\d+", told))), "True")
    if found:
        s.want("screen: meant", found[1].strip(), known(m["intended_se_d"]))
        if re.fullmatch(r"[+-]?\d+\.\d+ D", found[2]):
            s.want("screen: miss", found[2], known(m["miss_d"]))
        if found[3]:
            s.want("screen: sheet", found[3], known(m["selection_part_d"]))
            s.want("screen: eye", found[4], known(m["eye_part_d"]))


def ways(s):
    ranked = {o["rank"]: o for o in s.plan["options"] or [] if o["rank"] is not None}
    for line in s.rows.get("WAYS", []) + []:
        m = re.match(r"^ *(\d+) (\?)? *(\S.*?)  +(-|about 0|[+-]?\d+\.\d\d D) +(-|about 0|[+-]?\d+\.\d\d D) +(-|[+-]?\d+\.\d\d D)(?: |$)", line)
        if not m or int(m[1]) not in ranked:
            continue
        o = ranked[int(m[1])]
        for told, key in ((m[4], "expected_se_d"), (m[5], "expected_cylinder_d"), (m[6], "difference_from_fellow_d")):
            if told not in ("-", "about 0"):
                s.want(f"screen: way {m[1]}, {key}", told, dioptres(o[key]))
            elif told == "about 0":
                s.want(f"screen: way {m[1]}, {key}", str(o["option"] in MEANT), "True")
            elif o[key] is not None and not m[2] and s.plan["replacement"] and s.plan["replacement"]["standing"] == "advised":
                s.want(f"screen: way {m[1]}, {key}", told, dioptres(o[key]))


MONTHS = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split()


def day(iso):
    year, month, number_ = iso.split("-")
    return f"{int(number_)} {MONTHS[int(month) - 1]} {year}"


def whys(s):
    """Why a way stands where it stands: the plain words of its reason, or the day that it waits for; an open one has its sign; what is not shown is counted."""
    ranked = {o["rank"]: o for o in s.plan["options"] or [] if o["rank"] is not None}
    shown = 0
    for line in s.rows.get("WAYS", []):
        m = re.match(r"^ *(\d+) (\?)? *(\S.*?)  +(?:\S+(?: \S+)?) +(?:-|about 0|\S+ D) +(?:-|\S+ D) (\S.*)$", line)
        if not m or int(m[1]) not in ranked:
            continue
        o, shown = ranked[int(m[1])], shown + 1
        held = [r["code"] for r in s.plan["decision"]["reasons"][:1]] in (["lens-held-badly"], ["only-trembles"])  # it has not moved
        name = "one lens for both" if s.plan["two_lenses"] and o["option"] == "exchange" else \
            "fix it where it lies" if held and o["option"] == "reposition" else WAY[o["option"]]
        s.want(f"screen: name of way {m[1]}", m[3].replace(", worn", ""), name)
        if m[4].startswith("not before "):
            days = {x for x in [o["not_before"], *[w["not_before"] for w in ranked.values()]] if x}
            s.want(f"screen: why way {m[1]}", str(m[4][11:] in {day(x) for x in days}), "True")
        elif m[4].endswith("?"):  # what is not known of it
            s.want(f"screen: why way {m[1]}: {m[4]}", str(o["suitable"]), "None")
        elif o["why"]:
            codes = [o["why"]["code"], *[r["code"] for r in o["reasons"]], *([r["code"] for r in s.plan["decision"]["reasons"]] if m[1] == "1" else [])]
            words = {PLAIN.get(code, code.replace("-", " ")) for code in codes} | set((*PLAIN.values(), "no smaller way as good") if m[1] == "1" else ())  # why it comes first
            s.want(f"screen: why way {m[1]}: {m[4]}", str(m[4] in words), "True")
        if o["suitable"] is None:
            s.want(f"screen: way {m[1]} is open", m[2] or "", "?")
    others = re.search(r"all (\d+): --only options", s.whole)
    if shown and others:  # a short screen has dropped some that were shown
        s.want("screen: all ways", others[1], str(len(s.plan["options"])))


def cause_and_stop(s):
    cause = re.search(r"^Cause  +(.*?)\n(?=\S)", s.full, re.M | re.S)
    if cause and "CAUSE" in s.rows:
        s.want("screen: cause", s.line("CAUSE"), " ".join(cause[1].split()))
    stops = [c for c in s.plan["cautions"] if c["severity"] == "stop"]
    s.want("screen: a stop", str("STOP" in s.rows), str(bool(stops)))
    if "see above." in s.line("STOP"):  # the stops are named first; of several it is said how many
        m = re.search(r"(?:(\d+) stops, )?see above\.", s.line("STOP"))
        s.want("screen: how many stops", m[1] or "1", str(len(stops)))
    then = s.plan["decision"]["then"]
    if "THEN" in s.rows:
        s.want("screen: then", str(bool(then)), "True")
        does = {"exchange": "exchange the lens", "exchange-or-alternative": "exchange, or keep and fix the lens", "wait": "nothing is operated",
                "find-cause-first": "find the cause first", "not-for-exchange": "not for exchange", "secondary-lens": "put a lens in",
                "other-option-first": "something smaller first"}
        way = then and then["state"] == "other-option-first" and then["first_way"]
        words = s.line("THEN")
        starts = "If every open question is answered reassuringly: " if not then["if"] else "If "
        means = [a["means"] for a in then["if"]]
        shown = means if len(means) <= 4 else means[:3]
        s.want("screen: then, if", str(words.startswith(starts) and all(m in words for m in shown) and sum(m in words for m in means) == len(shown)), "True")
        s.want("screen: then, more", str(f" {len(means) - 3} more answers are as good: " in words), str(len(means) > 4))
        s.want("screen: then, does", str(f": {way_names(s.plan)[way] + ' first' if way else does[then['state']]}" in words), "True")
        s.want("screen: then, when", words.split(", ")[-1], {"same-day": "today.", "days": "within days.", "weeks": "within weeks.", "planned": "no hurry."}[then["urgency"]])
    part = s.plan["secondary"] or s.plan["replacement"]
    chosen = next((c for c in (part or {"choices": []})["choices"] if c["chosen"]), None)
    m = re.search(r"NOT TORIC, leaves cyl (\S+ D)(?: to (\S+ D))?:", s.line("LENS"))
    left = sorted((f["expected_cylinder_d"] for f in s.plan["fallbacks"] or [] if f.get("expected_cylinder_d") is not None and f["power_d"] is not None), reverse=True)
    if m and left:
        s.want("screen: cylinder left", str(any(alike(m[1], dioptres(x)) for x in left) and (not m[2] or alike(m[2], dioptres(left[-1])))), "True")
        s.want("screen: a toric lens", str(bool(chosen and chosen["cylinder_d"])), "True")
    m = re.search(r"(?:^|\. |: )(\S+ D), SE (\S+ D) \+- (\S+ D)(?:, (\d+) of 100 within 0\.50 D)?", s.line("DO"))
    every = [c for r in (s.plan["secondary"], s.plan["replacement"], s.plan["piggyback"]) if r for c in r["choices"] if c["chosen"]]
    every += [w for w in (s.plan["two_lenses"] or {"ways": []})["ways"] if w["power_d"] is not None]
    if m:
        s.want(f"screen: {m[0]}", str(any(alike(m[1], power(c["power_d"])) and alike(m[2], dioptres(c["expected"]["se_d"])) and alike(m[3], number(c["sd_d"], 2, "D")) and
                                          (not m[4] or alike(m[4], number(100 * c["within_half_d"], 0, ""))) for c in every)), "True")


def lens(s):
    """Each step that is drawn: its bar, both chances; the chosen one bears the star; the exact power and its span; other places."""
    part = s.plan["secondary"] or s.plan["replacement"]
    told = s.line("LENS")
    every = [(r, c) for r in (part, s.plan["piggyback"]) if r for c in r["choices"]]
    every += [(None, w) for w in (s.plan["two_lenses"] or {"ways": []})["ways"] if w["power_d"] is not None]
    for star, p, bar, half, one in re.findall(r"(\* )?([+-]?\d+\.\d+ D) (#*) ?(\d+) of 100 within 0\.50 D, (\d+) within 1\.00 D", told):
        like = [c for r, c in every if alike(p, power(c["power_d"])) and alike(half, number(100 * c["within_half_d"], 0, "")) and
                alike(one, number(100 * c["within_one_d"], 0, "")) and alike(str(len(bar)), number(20 * c["within_half_d"], 0, ""))]
        s.want(f"screen: step {p}", str(any(bool(c.get("chosen", True)) == bool(star) for c in like)), "True")
    chosen = next((c for c in (part or {"choices": []})["choices"] if c["chosen"]), None)
    m = re.search(r"([+-]?\d+\.\d+ D) ([a-z0-9-]+)(?:, cylinder .*?)?, (?:in|behind|before) .*?; exact ([+-]\d+\.\d\d D)(?: \((\S+ D) to (\S+ D)\))?", told)
    if chosen and "; exact " in told and "NO FIT" not in told:
        s.want("screen: lens", str(bool(m) and m[2] in {c["lens_id"] for _, c in every}), "True")
    if m and chosen and m[2] == chosen["lens_id"]:
        s.want("screen: power", m[1], power(chosen["power_d"]))
        s.want("screen: exact", m[3], dioptres(part["power_exact_d"]))
        wide = part["power_high_d"] > part["power_low_d"]
        s.want("screen: span", f"{m[4]} {m[5]}", f"{dioptres(part['power_low_d'])} {dioptres(part['power_high_d'])}" if wide else "None None")
    for refraction_, se, aim, sd in re.findall(r"expect (.*?), SE (\S+ D), aim (\S+ D), spread (\S+ D)", told):
        like = [r for r, c in every if r and alike(se, dioptres(c["expected"]["se_d"])) and alike(sd, number(c["sd_d"], 2, "D")) and
                alike(refraction_, refraction(c["expected"])) and alike(aim, dioptres(r["target_se_d"]))]
        like += [w for r, w in every if r is None and alike(se, dioptres(w["expected"]["se_d"])) and alike(sd, number(w["sd_d"], 2, "D"))]
        s.want(f"screen: expect {se}", str(bool(like)), "True")
    places = {SHORT[f["position"]]: f for f in s.plan["fallbacks"] or [] if f["power_d"] is not None}
    m = re.search(r"(?:^| )(?:else|elsewhere): (.*?)(?:What lifts|; NO FIT|$)", told)
    for name, p, aim in re.findall(r"(bag|sulcus captured|sulcus|sclera|behind iris|before iris|chamber) ([+-]?\d+\.\d+ D)(?: \(aims (\S+ D)\))?", m[1] if m else ""):
        s.want(f"screen: place {name}", p, power(places[name]["power_d"]) if name in places else "none")
        if name in places and part:
            other = round(places[name]["aim_d"], 2) != round(part["target_se_d"], 2)
            s.want(f"screen: aim at {name}", aim or "none", dioptres(places[name]["aim_d"]) if other else "none")


def lifted(s):
    """What lifts the standing, the first reason first."""
    part = s.plan["replacement"]
    told = s.line("LENS")
    m = re.search(r"What lifts (?:it|the repeat before ordering): (.*)$", told)
    if not part or not m:
        return
    lifts = [" ".join(r["lifts"].split()) for r in part["standing_reasons"] if r["lifts"]]
    s.want("screen: what lifts it", m[1][:2 + len(lifts[0])] if lifts else "", f"1 {lifts[0]}" if lifts else "")
    if len(lifts) > 1 and " 2 " in m[1]:  # there is not always room
        s.want("screen: lift 2", str(f" 2 {lifts[1]}" in m[1]), "True")


def risk(s):
    support, cells, told = s.plan["support"], s.plan["endothelium"], s.line("RISK")
    m = re.search(r"to the bag: ([a-z ]+) \((\d+) points?\)", told)
    if m and support:
        s.want("screen: tier", f"{m[1]} {m[2]}", f"{TIER[support['tier']]} {number(support['score_if_unknowns_present'], 0, '')}")
    m = re.search(r"cells (\d+), \w+ (\d+) per mm2", told)
    if m and cells:
        s.want("screen: cells", f"{m[1]} {m[2]}", f"{number(cells['cells_now_per_mm2'], 0, '')} {number(cells['cells_expected_per_mm2'], 0, '')}")


def surer(s):
    """What would make the power surer: the chances of the plan's own rows, in their order."""
    told, rows = s.line("KNOW"), [m for m in s.plan["measure_next"] or [] if m["gain"] >= 0.03]
    if not told:
        return
    found = re.findall(r"(\S*) ?of 100 now, (\S*) ?with: ", told)
    hundred = lambda share: number(100 * share, 0, "")
    want = " ".join(f"{hundred(m['chance_now'])} {hundred(m['chance_after'])}" for m in rows[:max(1, len(found))])
    s.want("screen: surer", " ".join(" ".join(pair) for pair in found), want or "nothing")


def screen(t):
    s = Screen(t)
    for more in (what_to_do, missed, ways, whys, cause_and_stop, lens, lifted, risk, surer):
        more(s)
    t.faults += s.faults
    t.checked += s.checked
