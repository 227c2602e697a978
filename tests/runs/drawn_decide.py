"""Sheet 1 against the plan as JSON and the screen: who, what to do and in which order, when, how sure, the ways, the lens, the other places, sources.
Written from the words of the sheet. Usage from drawn_check.py."""
import html, re
from told_base import WAY

MONTHS = "Jan Feb Mar Apr May Jun Jul Aug Sep Oct Nov Dec".split()
PLACE = {"bag": "bag", "sulcus": "sulcus", "sulcus-captured": "sulcus, captured", "sclera": "sclera", "chamber": "chamber",
         "iris-behind": "behind the iris", "iris-front": "before the iris"}
D = r"([+-]?\d+\.\d+) D"


def plain(markup):
    markup = re.sub(r"<svg.*?</svg>|<sup>.*?</sup>", "", markup, flags=re.S)
    text = html.unescape(re.sub(r"<[^>]+>", " ", markup)).replace("\u2212", "-").replace("\u00d7", "x").replace("\u2019", "'")
    return re.sub(r" ([,.;:])", r"\1", re.sub(r"(\d) ?°", r"\1 deg", " ".join(text.split())))


def near(text, x, digits=2):
    return x is not None and abs(float(text) - x) <= 0.5 * 10.0 ** -digits + 0.0006


def day(iso):
    year, month, number = iso.split("-")
    return f"{int(number)} {MONTHS[int(month) - 1]} {year}"


def all_of(sheet, pattern):
    return [plain(t) for t in re.findall(pattern, sheet, re.S)]


def decide(page, screen, plan):
    at = page.find('<section class="sheet decide')
    sheet, faults = page[at:page.find("</section>", at)], []
    d, ways = plan["decision"], plan["options"] or []
    first = min((o for o in ways if o["rank"]), key=lambda o: o["rank"], default=None)
    part = plan["secondary"] or plan["replacement"]
    chosen = next((c for c in (part or {"choices": []})["choices"] if c["chosen"]), None)
    cell = dict(zip(all_of(sheet, r"<dt>(.*?)</dt>"), all_of(sheet, r"<dd>(.*?)</dd>")))
    strong = dict(zip(all_of(sheet, r"<dt>(.*?)</dt>"), all_of(sheet, r"<dd><b[^>]*>(.*?)</b>")))

    def want(what, got, wanted):
        if got != wanted:
            faults.append(f"sheet 1, {what}: {got!r}, wanted {wanted!r}")
    since = (plan["timing"] or {}).get("days_since_first_surgery")
    who = plain(re.search(r'<p class="case">(.*?)</p>', sheet, re.S)[1])
    want("case", who.split(". NOT THE")[0].split(" NOT THE")[0], f"case {plan['case_ref']}" + (f" as of {day(plan['as_of'])}" if plan["as_of"] else " date of the plan not known") + f", day {'not known' if since is None else since}")
    want("eye", plain(re.search(r"<h1>(.*?)<span", sheet, re.S)[1]), f"{plan['eye'].upper()} eye")
    want("sentence", plain(re.search(r'<p class="decision[^>]*>(.*?)</p>', sheet, re.S)[1]), " ".join(d["sentence"].split()))
    lists = {"first": r'<ol class="acts first">(.*?)</ol>', "weigh": r'<ul class="weigh"[^>]*>(.*?)</ul>', "until-then": r'<ul class="do-not"[^>]*>(.*?)</ul>'}
    for when, pattern in lists.items():
        m = re.search(pattern, sheet, re.S)
        got = all_of(m[1], r"<li>(.*?)</li>") if m else []
        want(when, got, [" ".join(a["text"].split()) for a in d["acts"] if a["when"] == when])
    told = " ".join(re.search(r"^SURE  +(.*?)^(?=[A-Z]{2,} |\n)", screen + "\nEND ", re.S | re.M)[1].split()) if re.search(r"^SURE ", screen, re.M) else None
    if "How sure" in cell and told:
        numbers = lambda t: set(re.findall(r"\d+(?:\.\d+)?", t))
        if not numbers(told) <= numbers(cell["How sure"]) or ("than half" in told) != ("than half" in cell["How sure"]):
            faults.append(f"sheet 1, how sure: {cell['How sure']!r}, the screen says {told!r}")
    m = re.search(r"(\d+) of 100 (?:if exchanged: |if put in: )?eyes within 0\.50 D of the target, (more|fewer) than half, (\d+) within 1\.00 D", cell.get("How sure", ""))
    chances = [(c["within_half_d"], c["within_one_d"]) for p in (plan["secondary"], plan["replacement"], plan["piggyback"]) if p for c in p["choices"] if c["chosen"]] + \
        [(w["within_half_d"], w["within_one_d"]) for w in (plan["two_lenses"] or {"ways": []})["ways"] if w["within_half_d"] is not None]
    if m and not any(near(m[1], 100 * a, 0) and near(m[3], 100 * b, 0) and (a > 0.5) == (m[2] == "more") for a, b in chances):
        faults.append(f"sheet 1, how sure: {m[0]}")
    when = strong.get("When", "")
    dates = re.findall(r"\d+ [A-Z][a-z]{2} \d{4}", when)
    known = {day(x) for x in [d["do_by"], d["not_before"], first and first["not_before"]] if x} | {day(o["not_before"]) for o in ways if o["not_before"]}
    if dates and not set(dates) <= known:
        faults.append(f"sheet 1, when: {when}")
    if d["do_by"] and day(d["do_by"]) not in when:
        faults.append(f"sheet 1, when: {when}, to be done by {d['do_by']}")
    if not dates:
        want("how soon", when.split(":")[0], {"same-day": "today", "days": "within days", "weeks": "within weeks", "planned": "planned, no hurry"}[d["urgency"]])
    lens = cell.get("Lens", "")
    for number in re.findall(D, lens):
        powers = [c["power_d"] for p in (plan["secondary"], plan["replacement"], plan["piggyback"]) if p for c in p["choices"]]
        powers += [w["power_d"] for w in (plan["two_lenses"] or {"ways": []})["ways"] if w["power_d"] is not None]
        powers += [p["target_se_d"] for p in (plan["secondary"], plan["replacement"], plan["piggyback"]) if p and p["target_se_d"] is not None]
        powers += [w.get("expected_se_d") for w in ways if w["expected_se_d"] is not None] + [p[k] for p in (part,) if p for k in ("power_low_d", "power_high_d", "power_exact_d") if p[k] is not None]
        if not any(near(number, x) for x in powers):
            faults.append(f"sheet 1, lens: {lens}")
    m = re.search(rf"{D}, toric", lens)
    if m and not any(near(m[1], c["power_d"]) and c["cylinder_d"] for p in (plan["secondary"], plan["replacement"], plan["piggyback"]) if p for c in p["choices"] if c["chosen"]) and \
            not any(near(m[1], w["power_d"]) and w["cylinder_d"] for w in (plan["two_lenses"] or {"ways": []})["ways"] if w["power_d"] is not None):
        faults.append(f"sheet 1, lens: {lens} is not toric")
    if "repeat before ordering" in lens.lower() and part and "repeat-before-ordering" not in [p["standing"] for p in (part, plan["piggyback"]) if p]:
        faults.append(f"sheet 1, lens: {lens}: {part['standing']}")
    rows = re.findall(r'<tr><th scope="row">(\d+) (.*?)</th>.*?<td class="number">(.*?)</td><td>(.*?)</td></tr>', sheet, re.S)
    want("ways, ranks", [int(r[0]) for r in rows], [int(o["rank"]) for o in sorted((o for o in ways if o["rank"]), key=lambda o: o["rank"])][:len(rows)])
    for rank, name, number, why in rows:
        o = next((o for o in ways if o["rank"] == int(rank)), None)
        name = plain(name)
        held = [r["code"] for r in plan["decision"]["reasons"][:1]] in (["lens-held-badly"], ["only-trembles"])  # it has not moved
        called = {**WAY, **({"exchange": "one lens for both"} if plan["two_lenses"] else {}), **({"reposition": "fix it where it lies"} if held else {})}
        want(f"way {rank}", name.replace(" ?", "").replace(", worn", ""), called[o["option"]])
        if o["suitable"] is None and "?" not in name or o["suitable"] is True and "?" in name and o["expected_se_d"] is not None and chosen and part["standing"] == "advised" and o["option"] != "exchange":
            faults.append(f"sheet 1: way {name}, it fits: {o['suitable']}")
    m = re.search(r"(\d+) others?: tables", plain(sheet))
    if rows:
        want("others", int(m[1]) if m else 0, len(ways) - len(rows))
    m = re.search(r"The ways that fit, in order target " + D + r"(?:, other eye " + D + ")?", plain(sheet))
    if m and part and not near(m[1], part["target_se_d"]):
        faults.append(f"sheet 1: target {m[1]}")
    exact = re.search(rf"exact {D}(?:, range ([+-]?\d+\.\d+) to {D})?", plain(sheet))
    if exact and part and not (near(exact[1], part["power_exact_d"]) and (not exact[2] or near(exact[2], part["power_low_d"]) and near(exact[3], part["power_high_d"]))) and \
            not any(near(exact[1], p["power_exact_d"]) for p in (plan["piggyback"],) if p and p["power_exact_d"] is not None):
        faults.append(f"sheet 1: {exact[0]}")
    spread = re.search(rf"SE {D}, spread {D}", plain(sheet))
    if spread and not any(near(spread[1], c["expected"]["se_d"]) and near(spread[2], c["sd_d"]) for p in (plan["secondary"], plan["replacement"], plan["piggyback"]) if p for c in p["choices"] if c["chosen"]) and \
            not any(near(spread[1], w["expected"]["se_d"]) and near(spread[2], w["sd_d"]) for w in (plan["two_lenses"] or {"ways": []})["ways"] if w["expected"] and w["sd_d"] is not None and w["expected"]["se_d"] is not None):
        faults.append(f"sheet 1: {spread[0]}")
    table = re.search(r'<table class="places">.*?<tbody>(.*?)</tbody>', sheet, re.S)
    fits = [f for f in plan["fallbacks"] or [] if f["power_d"] is not None]
    heads = all_of(sheet[sheet.find('<table class="places">'):], r'<th scope="col"[^>]*>(.*?)</th>') if table else []
    shown = [dict(zip(heads, [plain(c) for c in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", r, re.S)])) for r in re.findall(r"<tr>(.*?)</tr>", table[1], re.S)] if table else []
    want("places", [r["Place"] for r in shown], [PLACE[f["position"]] for f in fits if PLACE[f["position"]] in {r["Place"] for r in shown}])
    places = [p["position"] for p in (plan["support"] or {"positions": []})["positions"]]
    last, planned = (plan["fallbacks"] or [{"position": None}])[-1]["position"], part and part["position"]
    better = last in places and (planned not in places or places.index(last) <= places.index(planned))
    if re.search(r"If it goes to another place|If the place does not hold", plain(page[:page.find('id="tables"')])):  # the better place behind the planned one
        want("other places", "If it goes to another place" in plain(page[:page.find('id="tables"')]), better)
    for r in shown:
        f = next((f for f in fits if PLACE[f["position"]] == r["Place"]), None)
        good = f and r["Lens"] == f["lens_id"] and all(near(r[head].split()[0], f[key]) for head, key in (("Power", "power_d"), ("Aim", "aim_d"), ("Expect", "expected_se_d")))
        if not good or "Cyl" in r and r["Cyl"] not in ("-", "") and not near(r["Cyl"].split()[0], f.get("expected_cylinder_d", f.get("cylinder_d"))):
            faults.append(f"sheet 1: place {r}")
        bold = re.search(rf'<tr><th scope="row">{re.escape(html.escape(r["Place"]))}</th>.*?</tr>', table[1], re.S)[0]
        another = part and part["target_se_d"] is not None and f and abs(f["aim_d"] - part["target_se_d"]) > 0.005
        if len(re.findall(r"<td[^>]*><b>", bold)) < 1 + bool(another):
            faults.append(f"sheet 1: another aim does not stand out: {r}")
    named_ = dict(re.findall(r"(\d+)\s(.*?)(?: \u00b7 |\. |\.$)", plain(re.search(r"<footer>(.*?)</footer>", sheet, re.S)[1]).partition("Sources: ")[2]))
    for rank, told in re.findall(r'<tr><th scope="row">(\d+) .*?</th>.*?<td class="number">.*?</td><td>(.*?)</td></tr>', sheet, re.S):
        o = next((o for o in ways if o["rank"] == int(rank)), None)
        key = o["why"]["source"] if o and o["why"] else None
        if int(rank) > 1 and key:  # of the first way also what speaks for it
            got = [named_.get(n) for n in re.findall(r'aria-label="source (\d+)">\1<', told)]
            key, got = key.replace("_", " "), [g and g[:1].upper() + g[1:].lower() for g in got]
            want(f"source of way {rank}", got, [] if key in ("judgement", "this plan") else [key[0].upper() + key[1:].lower()])
    numbers = [int(n) for n in re.findall(r'<a href="#sources" aria-label="source (\d+)">', sheet)]
    footer = plain(re.search(r"<footer>(.*?)</footer>", sheet, re.S)[1])
    named = dict(re.findall(r"(\d+)\s(.*?)(?: \u00b7 |\. |\.$)", footer.partition("Sources: ")[2]))
    want("sources", [int(n) for n in named], list(range(1, len(named) + 1)))
    want("order of the sources", list(dict.fromkeys(numbers)), list(range(1, len(named) + 1)))
    for li in re.findall(r"<li>(.*?)</li>", sheet, re.S):
        act = next((a for a in d["acts"] if " ".join(a["text"].split()) == plain(li)), None)
        told = [named.get(n) for n in re.findall(r'aria-label="source (\d+)">\1<', li)]
        if act and told:
            key = act["source"].replace("_", " ")
            want(f"source of {act['text']}", told, [key if key == "common practice" else key[0].upper() + key[1:]])
    return faults
