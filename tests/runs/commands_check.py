"""What the smaller commands print, against what was typed and against each other. Usage: commands_check.py PROGRAM."""
import glob, json, re, shutil, subprocess, sys, tempfile

program = sys.argv[1]
faults, asked = [], 0


def run(*arguments):
    return subprocess.run([program, *arguments], capture_output=True, text=True, stdin=subprocess.DEVNULL)


def want(good, what):
    global asked
    asked += 1
    if not good:
        faults.append(what)


def plain(text):
    return re.sub(r"\s+", " ", text).strip()


# check: every file named once in its order, what is wrong in it, how many cases, whether it passed; the same as its lines tell.
files = sorted(glob.glob("tests/inputs/eyes/*.json")) + ["examples/child.json", "examples/minimal.json", "tests/inputs/typing-mistakes.json",
         "tests/inputs/not-there.json", "examples/past-cases.jsonl"]
told, lines = run("check", *files, "--format", "json"), run("check", *files)
try:
    got = json.loads(told.stdout)
except ValueError as why:
    sys.exit(f"FAILED commands: check --format json: {why}")
want(set(got) == {"check_format", "inputs"}, "check: keys of the whole")
want([i["name"] for i in got["inputs"]] == files, "check: files in their order")
spoken = plain(lines.stdout + lines.stderr)
for i in got["inputs"]:
    want(set(i) == {"name", "messages", "verdict", "cases", "refused", "to_reach_advised"}, f"check: keys of {i['name']}")
    count = 0 if i["verdict"] == "not-read" else 1
    if i["name"].endswith(".jsonl"):
        count = sum(bool(line.strip()) for line in open(i["name"]))
    want(i["cases"] == count, f"check: cases of {i['name']}")
    bad = [m for m in i["messages"] if m["kind"] == "fault"]
    want((i["verdict"] == "ok") == (not bad), f"check: verdict of {i['name']}")
    want(i["refused"] == len({m["line"] for m in bad if not m["code"].startswith("not-")} and {0}), f"check: refused of {i['name']}")
    for m in i["messages"]:
        want(set(m) == {"kind", "line", "path", "code"} | ({"found", "wanted", "unit"} if "found" in m else {"text"}), f"check: keys of a message of {i['name']}")
        want(not m["path"] or m["path"] in spoken, f"check: {m['path']} is not told in a line")
    for path in i["to_reach_advised"]:
        want(path.lstrip("/") in spoken, f"check: {path} is not told in a line")
for name in files[:-3]:  # what check warns of the plan does too; what the eye itself warns of in a plan check does
    plan = json.loads(run("plan", name, "--format", "json").stdout)
    warned = {m["code"] for i in got["inputs"] if i["name"] == name for m in i["messages"] if m["kind"] != "fault"}
    codes = {c["code"] for c in plan["cautions"]}
    want(warned - {"unusual", "axis-zero"} <= codes | {"unusual"}, f"check warns of {warned - codes}, the plan of {name} does not")
    for code in ("trapped-fluid", "oil-inside", "unusual"):
        if code == "unusual" and code in codes:
            want(code in warned, f"the plan of {name} warns of {code}, check does not")

# Two eyes are one page: what is of one plan alone is refused beside them.
for one in (["--full"], ["--only", "note"], ["--set", "target_se_d=0"], ["--what-if", "target_se_d=0"]):
    said = run("plan", "tests/inputs/pair-left.json", "examples/hyperopic-surprise.json", *one)
    want(said.returncode == 2 and not said.stdout and one[0] in said.stderr, f"a pair with {one[0]}: {said.returncode} {said.stderr}")

# Measurements that contradict each other: check says so, as the plan does.
with tempfile.TemporaryDirectory() as folder:
    case = json.load(open("examples/hyperopic-surprise.json"))
    case.setdefault("biometry_repeat", {}).update(axial_length_mm=case["biometry"]["axial_length_mm"] + 1.5)
    json.dump(case, open(f"{folder}/apart.json", "w"))
    told = json.loads(run("check", f"{folder}/apart.json", "--format", "json").stdout)
    open(f"{folder}/blank.json", "w").close()
    said = run("check", f"{folder}/blank.json", "--format", "json")
    told_blank = json.loads(said.stdout)["inputs"]
    want(said.returncode == 3 and len(told_blank) == 1 and told_blank[0]["verdict"] == "not-read" and len(told_blank[0]["messages"]) == 1, f"check of nothing: {told_blank}")
    want("measurements-in-conflict" in {m["code"] for m in told["inputs"][0]["messages"]}, f"check: no word of a conflict: {told}")

# The formats of each command, the first of them the one that is taken.
for command in ("plan", "power", "recheck", "ask", "check", "box"):
    m = re.search(r"--format FORMAT ([\w (),]+?) --", plain(run("help", command).stdout))
    want(not m or re.fullmatch(r"\w+ \(default\)(, \w+)* or \w+", m[1].strip()) is not None, f"help {command}: formats: {m and m[1]}")

# What every command has is in the help of all.
overview = run("help").stdout
for words in ("help COMMAND", "-h --help", "-V --version", "-o --output", "-f --format", "Exit status: 0 done", "70 a fault of the program"):
    want(words in plain(overview), f"help: no {words}")

# A part that the plan does not have: the nearest one is named, for the part alone that is wrong.
for typed, wrong, near in (("removl", "removl", "removal"), ("removl,patient", "removl", "removal"), ("patent,theatre", "patent", "patient")):
    said = run("plan", "examples/wrong-lens.json", "--only", typed)
    want(said.returncode == 2 and f'"{wrong}"' in said.stderr and near in said.stderr, f"--only {typed}: {said.stderr}")

# What is held as printed by each command: no line ends in a blank, none of the text is wider than 80 letters.
for held in sorted(glob.glob("tests/golden/*.cmd")):
    given = held[:-4] + ".in"
    line = f'"$0" {open(held).read().strip()} < {given if glob.glob(given) else "/dev/null"}'
    said = subprocess.run(["sh", "-c", line, program], capture_output=True, text=True)
    want(not re.search(r"[ \t]$", said.stdout + said.stderr, re.M), f"{held}: a line ends in a blank")

# sources: every section alone is a part of the whole, and is the one that was asked for.
whole = plain(run("sources").stdout)
named = re.search(r"wanted ([a-z, ]+)", run("sources", "nothing").stderr)
sections = re.split(r", | or ", named[1].strip()) if named else []
want(len(sections) >= 11, "sources: the sections are named")
seen = set()
for section in sections:
    r = run("sources", section)
    want(r.returncode == 0, f"sources {section} is refused")
    want(plain(r.stdout) in whole and len(r.stdout) > 100, f"sources {section} is no part of the whole")
    seen.add(plain(r.stdout))
want(len(seen) == len(sections), "sources: two sections are the same")
for table, section in (("constants", "constants"), ("spreads", "spreads"), ("references", "references"), ("evidence", "evidence")):
    text = plain(run("sources", section).stdout)
    for name in re.findall(r"^[A-Z]+\((\w+),", open(f"data/{table}.def").read(), re.M):
        want(re.search(rf"(^| ){re.escape(name)}( |$)", text), f"sources {section}: {name} is not told")

# template: every kind that is named works, and only those.
refused = run("template", "nothing").stderr
kinds = re.search(r"wanted one of (.*)$", refused.strip())[1].split(", ")
want(kinds[-1] == "site" and all(re.fullmatch(r"[a-z-]+", k) for k in kinds), f"template: kinds {kinds}")
for kind in kinds:
    made = run("template", kind)
    want(made.returncode == 0, f"template {kind} is refused")
    todo = [(kind, json.loads(made.stdout))]
    while todo:  # what stands in a template already is said beside it, and only that
        path, part = todo.pop()
        for key, value in part.items():
            if isinstance(value, (dict, list)):
                todo += [(f"{path}/{key}", one) for one in (value if isinstance(value, list) else [value]) if isinstance(one, dict)]
            elif "//" + key in part and not key.endswith("_format"):
                want(("filled in for this kind" in part["//" + key]) == (value is not None), f"template {path}/{key}: {value}: {part['//' + key]}")

# schema: the page for people and the schema for programs have the same keys with the same limits, words and parts.
page = run("schema", "case-format").stdout
rows, object_ = {}, None
for line in page.split("\n"):
    if line.startswith("### "):
        object_ = line[4:]
        rows.setdefault(object_, {})
    elif object_ and (m := re.match(r"\| `([^`]+)`( \(required\))? \| (.*) \| (.*) \| (.*)\|$", line)):
        rows[object_][m[1]] = (bool(m[2]), m[4].strip())
words = lambda enum: [w for w in enum if w is not None]
listed = lambda some: " or ".join([", ".join(some[:-1]), some[-1]]) if len(some) > 1 else some[0]
for name in ("case", "site"):
    schema = json.loads(run("schema", name).stdout)
    for object_, s in [(name, schema), *schema["$defs"].items()]:
        keys = [k for k in s["properties"] if k != "$schema"]
        want(list(rows.get(object_, {})) == keys, f"page of {object_}: keys {set(keys) ^ set(rows.get(object_, {}))}")
        for key in keys:
            required, said = rows.get(object_, {}).get(key, (None, ""))
            p, what = s["properties"][key], f"{object_}/{key}"
            want(required == (key in s.get("required", [])), f"page: {what} required")
            ends = p.get("description", "").endswith(said) or "$ref" in p or "anyOf" in p or p.get("type") in ("array", ["array", "null"])
            want(said and ends, f"page: {what} has {said!r}, its schema {p.get('description')!r}")
            if p.get("type") in (["number", "null"], "number", "integer"):
                both = re.match(r"(\S+)(?: to (\S+))?", said)
                want((float(both[1]), float(both[2] or both[1])) == (p["minimum"], p["maximum"]), f"page: limits of {what}: {said}")
            if "enum" in p:
                want(len(set(p["enum"])) == len(p["enum"]), f"schema: a word of {what} stands twice")
                want(said == listed(words(p["enum"])), f"page: words of {what}: {said}")
            refers = re.findall(r"#/\$defs/(\w+)", json.dumps(p))
            if refers:
                want(said.endswith(f"see {refers[0]}") and refers[0] in rows, f"page: {what} refers to {refers[0]}")
faulty = re.findall(r"^\| `(.*?)` \| (.*) \|$", page[page.index("## Why a file is refused"):], re.M)
want(len(faulty) == len(dict(faulty)) and all(re.fullmatch("[a-z0-9-]+", c) and len(t) > 10 for c, t in faulty), "page: reasons of a refusal")
seen = {m["code"] for i in got["inputs"] for m in i["messages"] if m["kind"] == "fault" and not m["code"].startswith("not-r")}
want(seen <= {c for c, _ in faulty} and len(seen) > 3, f"page: {seen - {c for c, _ in faulty}} is not explained")

# Two eyes: the order in which they are named does not matter.
both = ["tests/inputs/pair-left.json", "examples/hyperopic-surprise.json"]
for format in ("json", "text"):
    want(run("plan", *both, "--format", format).stdout == run("plan", *both[::-1], "--format", format).stdout, f"plan of a pair, other way round, {format}")
pair = json.loads(run("plan", *both, "--format", "json").stdout)
eyes = [p for p in ([pair[k] for k in pair if isinstance(pair[k], dict) and "eye" in pair[k]] if isinstance(pair, dict) else pair)]
want([p["eye"] for p in eyes] == ["right", "left"], "plan of a pair: the right eye stands first")
for p in eyes:  # each is the plan of its eye alone, with what the other adds
    alone = json.loads(run("plan", next(c for c in both if json.load(open(c))["eye"] == p["eye"]), "--format", "json").stdout)
    for part in ("cautions", "assumptions"):
        lost = [c["text"] for c in alone[part] if c["text"] not in [own["text"] for own in p[part]]]
        want(not lost and alone[part], f"plan of a pair, {p['eye']}: {part}: lost: {lost}")
for p in eyes:
    combined = p["pair"]["combinations"] if p["pair"] else []
    left = {s: {o["option"]: o["expected_se_d"] for o in e["options"] if o["rank"] is not None} for s, e in zip(("right", "left"), eyes)}
    want(len(combined) == sum(v is not None for v in left["right"].values()) * sum(v is not None for v in left["left"].values()),
         "plan of a pair: every way of one with every way of the other")

# A refraction in plus form is the same refraction: the whole plan stays, but for what --set is told to have changed.
for name, path in (("hyperopic-surprise", "fellow_eye.refraction"), ("hyperopic-surprise", "refractions.0"), ("toric-turned", "refractions.0"),
                   ("displaced", "refractions.0"), ("two-lenses", "refractions.0"), ("no-lens", "refractions.0")):
    case = json.load(open(f"examples/{name}.json"))
    last = len(case["refractions"]) - 1
    r, path = (case["fellow_eye"]["refraction"], path) if path.startswith("fellow") else (case["refractions"][last], f"refractions.{last + 1}")
    if not r.get("cylinder_d"):
        continue
    plus = {"sphere_d": r["sphere_d"] + r["cylinder_d"], "cylinder_d": -r["cylinder_d"], "axis_deg": (r["axis_deg"] + 90 - 1e-9) % 180 + 1e-9}
    typed = [f"--set={path}.{k}={v:.3f}" for k, v in plus.items()]
    as_it_is = run("plan", f"examples/{name}.json", "--site", "examples/site.json", "--format", "json")
    other = run("plan", f"examples/{name}.json", "--site", "examples/site.json", "--format", "json", *typed)
    want(other.returncode in (0, 5), f"{name}: {other.stderr}")
    if other.stdout:
        a, b = json.loads(as_it_is.stdout), json.loads(other.stdout)
        a.pop("changed"), b.pop("changed")
        differ = [k for k in a if a[k] != b[k]]
        want(not differ, f"{name}, {path} in plus form: another plan in {differ}")

# power: what was typed is read back in the first line; counts and nouns agree; the full text holds the screen's power.
D = lambda x: f"{x:+.2f} D" if x else "0.00 D"
for eye in ("right", "left"):
    for place, word in ((None, ""), ("bag", "bag"), ("sulcus", "sulcus")):
        for sphere, cylinder, axis, target in ((2.25, -0.75, 80, -0.25), (-1.5, -0.5, 170, -1.0), (0.5, 0, 0, 0.25)):
            refraction = f"{sphere:+.2f}" + (f" {cylinder:+.2f} x {axis}" if cylinder else "")
            typed = ["power", "--eye", eye, "--implanted", "21.5", "--refraction", refraction, "--target", f"{target:+.2f}", "--k", "43.50", "--days", "40",
                     "--no-earlier-laser", "--age", "70"] + (["--from", place] if place else [])
            screen, full = run(*typed).stdout, run(*typed, "--full").stdout
            now = D(sphere) + (f" {D(cylinder)} x {axis} deg" if cylinder else "")
            told = plain(screen)
            side, rest = eye.upper(), f", now {now}, "
            old = [f"{side}, +21.5 D {word}", f"{side}, inside +21.5 D in the {word}"] if word else [f"{side}, inside +21.5 D"]
            want(any(f"{o}{rest}{aim} {D(target)}" in told for o in old for aim in ("target", "aim")), f"power reads back: {told[:120]}")
            back = f"{eye.upper()} eye, old lens +21.5 D{' ' if word else ''}"
            want(back in plain(full) and f", now {now}, target {D(target)}" in plain(full), f"power --full reads back: {plain(full)[:140]}")
            if word:
                want(re.search(rf"old lens \+21\.5 D (in the )?{word}, now", plain(full)), f"power --full: place {word}: {plain(full)[:140]}")
            for text in (told, plain(full)):
                want(not re.search(r"\b1 (more reasons|warnings|values assumed|reasons)\b|\b([02-9]|\d\d+) (more reason|warning|value assumed|reason)\b(?!s)", text),
                     f"power: count and noun: {text[-400:]}")
                want(not re.search(r"\b0 (more reasons?|warnings?|values? assumed)", text), f"power: nothing is counted: {text[-300:]}")
                want(not re.search(r" [,;:]|\( | \)|,,|\.\.", text.replace("...", "")), f"power: a sign stands alone: {re.search(r'.{20} [,;:].{0,10}|$', text)[0]}")

# ask: the text tells what the JSON holds: each question in its order with what it could change, each answer with what it would bring.
SAID = {"advised": "advised", "repeat-before-ordering": "repeat before ordering", "provisional": "provisional", "withheld": "withheld"}
STATE = dict(re.findall(r'PLAIN_WORD\("([^"]+)",\s*"([^"]+)"\)', open("data/plain_words.def").read()))
step = lambda x: f"{x:+.{1 if round(100 * x) % 10 == 0 else 2}f} D" if x else "0.0 D"


def brings(a):
    state = STATE.get(a["state"], (a["state"] or "no decision").replace("-", " "))
    return state + (f", power: {STATE.get(a['standing'], SAID[a['standing']])}" if a["standing"] else "") + \
        ("" if a["power_d"] is None else f", {step(a['power_d'])}")


for name in ("displaced", "wrong-lens", "hyperopic-surprise", "minimal", "two-lenses", "dislocation"):
    typed = ["ask", f"examples/{name}.json", "--site", "examples/site.json"]
    text, asked_json = plain(run(*typed).stdout), json.loads(run(*typed, "--format", "json").stdout)
    want(f"case {asked_json['case_ref']}, {asked_json['eye'].upper()} eye" in text, f"ask {name}: its case")
    want(f"now {brings(asked_json)}" in text, f"ask {name}: now {brings(asked_json)}")
    at = 0
    for k, q in enumerate(asked_json["questions"], 1):
        powers = [a["power_d"] for a in q["answers"] if a["power_d"] is not None]
        by = f" by {max(powers) - min(powers):.2f} D" if powers and max(powers) > min(powers) else ""
        change = ", ".join({"first-way": "first way", "power": f"power{by}"}.get(c, c) for c in q["could_change"])
        also = f" {q['also']}" if q["also"] else ""
        said = [f"{k}. {q['question']} Could change: {change}; key {q['path']}{also}", *[f"{a['answer']} {brings(a)}" for a in q["answers"]]]
        for sentence in said:
            found = text.replace(" ", "").find(plain(sentence).replace(" ", ""), at)
            want(found >= 0, f"ask {name}: not told in its order: {sentence}")
            at = max(at, found)
    want(("No open question could change the plan." in text) == (not asked_json["questions"]), f"ask {name}: none is open")

# --what-if: a column for the case and for each variant, with what the plan of that case holds; more than one table where they are many.
variants = ["target_se_d=-0.5", "biometry.axial_length_mm=23.9,refractions.1.sphere_d=2", "age_years=30", "target_se_d=-2.5", "biometry.axial_length_mm=26.5",
            "fellow_eye.refraction.sphere_d=3"]
for several in (variants[:1], variants[:2], variants[:4], variants):
    base = ["plan", "examples/hyperopic-surprise.json", "--site", "examples/site.json"]
    text = run(*base, *[f"--what-if={v}" for v in several]).stdout
    plans = [json.loads(run(*base, *[f"--set={one}" for one in v.split(",")] if v else [], "--format", "json").stdout) for v in ["", *several]]
    heads = re.findall(r"^ +as it is +(\d[ \d]*)$", text, re.M)
    want([int(n) for n in " ".join(heads).split()] == list(range(1, len(several) + 1)), f"what if: columns {heads}")
    lines = re.findall(r"^(standing|power|expected SE|within|stops|decision)(?: 0\.50 D)? +(\S.*)$", text, re.M)
    got = {}
    for label, cells in lines:
        got.setdefault(label, []).append(re.split(r"  +", cells.strip()))
    tables_ = [[0, *range(first, min(first + 4, len(plans)))] for first in range(1, len(plans), 4)]
    for t, columns in enumerate(tables_):
        for k, column in enumerate(columns):
            p = plans[column]
            chosen = next((c for c in (p["replacement"] or {"choices": []})["choices"] if c["chosen"]), None)
            cell = lambda label: (got.get(label, [[]] * 9)[t] + [""] * 9)[k]
            want(cell("power") == (step(chosen["power_d"]) if chosen else "none chosen"), f"what if {column}: power {cell('power')}")
            want(cell("expected SE") == (D(chosen["expected"]["se_d"]) if chosen else "-"), f"what if {column}: SE {cell('expected SE')}")
            half = cell("within")
            want(half == "-" if not chosen else abs(float(half.split()[0]) - 100 * chosen["within_half_d"]) < 0.51, f"what if {column}: within {half}")
            want(cell("stops") == str(sum(c["severity"] == "stop" for c in p["cautions"])), f"what if {column}: stops {cell('stops')}")
            if len(columns) < 4:
                want(cell("standing") == SAID[p["replacement"]["standing"]], f"what if {column}: standing {cell('standing')}")

# Two eyes: the first page of the pair tells what the two plans and their pair hold.
text = run("plan", *both).stdout
flat = plain(text)
for p in eyes:
    s = p["surprise"]
    want(f"{p['eye'].upper()} {p['case_ref']}: now {D(s['current_se_d'])}, missed by {D(s['miss_d'])}. {p['decision']['sentence']}" in flat, f"pair: {p['eye']}")
one = eyes[0]["pair"]
want(f"Between {D(one['difference_d'])} now, right less left" in flat, "pair: between")
for r in one["reasons"]:
    want(plain(r["text"]).replace(" ", "") in flat.replace(" ", ""), f"pair: not told: {r['text']}")
differences = re.findall(r"([+-]?\d+\.\d\d D)$", text[text.find("Right eye "):text.find("Each eye keeps")], re.M)
want(len(differences) == len(one["combinations"]), f"pair: {len(differences)} combinations")
for told_, c in zip(differences, one["combinations"]):
    want(abs(float(told_[:-2]) - c["difference_d"]) < 0.0056, f"pair: {c}: {told_}")
pair_page = run("plan", *both, "--format", "html").stdout
want(all(p["case_ref"] in pair_page for p in eyes) and "Both eyes" in pair_page, "pair: the page names both")

# sources as JSON: every section of the text, its rows by their ids; nothing is an empty text.
whole_json = json.loads(run("sources", "--format", "json").stdout)
want(set(whole_json) >= set(sections) - {"codes"}, f"sources --format json: sections {set(sections) ^ set(whole_json)}")
for section, some in whole_json.items():
    for row in some if isinstance(some, list) else []:
        want(all(v != "" for v in row.values()), f"sources {section}: an empty text in {row.get('id')}")
        if row.get("unit"):
            want(re.fullmatch(r"[A-Za-z0-9%/ .()*^-]+", row["unit"]) is not None, f"sources {section}: unit {row['unit']}")
for table in ("constants", "spreads", "evidence"):
    mine = re.findall(r"^[A-Z]+\((\w+), *([-+0-9.eE]+),", open(f"data/{table}.def").read(), re.M)
    held = {row["id"]: row["value"] for row in whole_json[table]}
    for name, value in mine:
        want(name in held and abs(held[name] - float(value)) < 1e-6, f"sources {table}: {name} is {held.get(name)}, the table has {value}")

# power against its own JSON: standing, exact power, steps, cross-checks, how much is assumed, each assumption named or all of them counted.
for mmhg, alarm in (("14", False), ("40", True)):  # in an alarm no power, not for what was typed, and nothing typed lifts it; a pressure typed alone counts
    typed = ["power", "OD", "22.0", "+1.50", "0.00", "--days", "60", "--pressure", mmhg]
    screen_, full = plain(run(*typed).stdout), plain(run(*typed, "--full").stdout)
    want(("STOP Eye pressure 40 mmHg" in screen_) == alarm == ("WITHHELD: the alarm comes first." in screen_), f"pressure {mmhg}: {screen_[:300]}")
    want(("The alarm comes first: no power is told beside it." in full) == alarm, f"pressure {mmhg} --full")
    want(not alarm or "Lift" not in screen_ and "refraction cannot" not in screen_ + full, f"pressure {mmhg}: {screen_[:300]}")
for alone in ([], ["--no-fluid"]):  # no flag needs another to be heard
    want(("fluid?" in run("power", "OD", "22.0", "+1.50", "0.00", "--days", "60", *alone).stdout) == (not alone), f"fluid, {alone}")
WORDS = {"advised": "ADVISED", "repeat-before-ordering": "REPEAT", "provisional": "PROVISIONAL", "withheld": "WITHHELD"}
near_ = lambda text, x, digits=2: x is not None and abs(float(text) - x) <= 0.5 * 10.0 ** -digits + 0.0006
basis = ["--no-earlier-laser", "--age", "70", "--no-oil", "--no-fluid", "--examined", "--pressure", "15", "--identified", "sticker", "--k", "43.50"]
warned = 0
for eye, implanted, refraction_, target, more in (
        ("OD", "21.0", "+2.25 -0.75 x 80", "-0.25", []), ("OD", "21.0", "+2.25 -0.75 x 80", "-0.25", ["--days", "40"]),
        ("OS", "19.5", "-1.50", "-0.50", [*basis, "--days", "60"]), ("OS", "19.5", "-1.50", "-2.50", [*basis, "--days", "60"]),
        ("OD", "22.0", "+1.50 -1.00 x 170", "0.00", [*basis, "--days", "90", "--length", "23.20", "--a-constant", "118.4", "--repeated", "--method", "manifest"]),
        ("OD", "22.0", "-3.50 -1.00 x 170", "0.00", [*basis, "--days", "90", "--length", "23.20", "--a-constant", "118.4", "--piggyback"]),
        ("OD", "22.0", "-3.50 -1.00 x 170", "0.00", ["--days", "90", "--piggyback", "--from", "sulcus"]),
        ("OD", "22.0", "+1.50", "0.00", ["--days", "90", "--earlier-laser", "--oil"]),
        ("OD", "34.0", "+6.50", "0.00", ["--days", "90", "--length", "19.20", "--k", "43.50", "--a-constant", "118.4", "--no-fluid", "--examined"]),
        ("OD", "22.0", "+12.00", "0.00", ["--no-fluid", "--days", "60"])):
    typed = ["power", eye, implanted, refraction_, target, *more]
    screen_, plan = plain(run(*typed).stdout), json.loads(run(*typed, "--format", "json").stdout)
    part = plan["piggyback"] if "--piggyback" in more else plan["replacement"]
    name = " ".join(typed)
    want(f"Use {WORDS[part['standing']]}" in screen_, f"{name}: standing: {screen_[:300]}")
    lift = re.search(r"(?ms)^Lift  (.*?)(?=^\S|^$)", run(*typed).stdout)
    want(not lift or lift[1].strip().endswith(".") and ".." not in lift[1], f"{name}: {lift and lift[1]}")
    full = plain(run(*typed, "--full").stdout)
    want(("The refraction cannot be used." in full) == (part["standing"] is None), f"{name} --full: {part['standing']}")
    for r in part["standing_reasons"] or []:  # each whole, and behind it, in words of their own, what lifts it
        at = full.find(plain(r["text"]))
        want(at >= 0 and (not r.get("lifts") or re.match(r" [A-Z][a-z]", full[at + len(plain(r["text"])):]) is not None), f"{name} --full: {r['text']}")
    warns = [plain(c["text"]) for c in plan["cautions"] if c["severity"] == "warn"]
    m = re.search(r"(\d+) warnings?\b", screen_)
    want(int(m[1]) == len(warns) if m else all(w in screen_ for w in warns), f"{name}: warnings: {warns}: {screen_}")
    warned += len(warns)
    fits = plan["piggyback"]["suitable"] if "--piggyback" in more else True
    want(("a second lens does not fit this eye" in screen_) == (fits is False) and ("whether a second lens fits is not known" in screen_) == (fits is None),
         f"{name}: a second lens fits: {fits}: {screen_[:300]}")
    m = re.search(r"(\d+) values? assumed", screen_)
    assumed = [a["field"] for a in plan["assumptions"]]
    if m:
        want(int(m[1]) == len(assumed), f"{name}: {m[0]}, the plan has {len(assumed)}")
    m = re.search(r"Assumed: (.*?)\. For a licensed", screen_)
    if m:
        named = [a for a in assumed if not a.startswith(("/operation/incision", "/assessed_on"))]
        in_short = m[1].split(". - ")[0].split("; ")  # what has no short form stands behind them as an item
        listed_ = [one for one in in_short if "(--target)" not in one]  # what is typed is taken as a wish, not assumed
        at_length = [a["text"] for a in plan["assumptions"] if plain(a["text"])[:60] in screen_]
        want(("(--target)" in m[1]) == (float(target) <= -1.5), f"{name}: a near target is taken as a wish: {m[1]}")
        want(len(listed_) + len(at_length) == len(named), f"{name}: assumed {m[1]}, the plan has {named}")
    m = re.search(r"would be about ([+-]\d+\.\d\d) D", screen_)
    if m:
        want(near_(m[1], part["power_exact_d"]), f"{name}: {m[0]}")
    step = next((c for c in part["choices"] if c["chosen"]), None)
    m = re.search(r"(?:NEW|SECOND|2ND) LENS ([+-]\d+\.\d) D[^:]*: (?:expect ([+-]\d+\.\d\d) D|([+-]\d+\.\d\d) D expected), (\d+) of 100 within 0\.50 D", screen_)
    near_target = step and abs(step["expected"]["se_d"] - part["target_se_d"]) <= 1.0
    want(bool(m) == bool(near_target), f"{name}: the line of the lens: {screen_[:300]}")
    if m:
        want(near_(m[1], step["power_d"], 1) and near_(m[2] or m[3], step["expected"]["se_d"]) and near_(m[4], 100 * step["within_half_d"], 0), f"{name}: {m[0]}")
    rows_ = re.findall(r"([+-]?\d+\.\d) D \*? ?([+-]?\d+\.\d\d) D (\d\.\d\d) D (\d+) % (\d+) %", screen_)
    for power_, se, sd, half, one in rows_:
        want(any(near_(power_, c["power_d"], 1) and near_(se, c["expected"]["se_d"]) and near_(sd, c["sd_d"]) and near_(half, 100 * c["within_half_d"], 0) and
                 near_(one, 100 * c["within_one_d"], 0) for c in part["choices"]), f"{name}: step {power_}")
    want(bool(rows_) == (part["standing"] != "withheld" and bool(part["choices"]) and "No step of the shelf lies beside" not in screen_), f"{name}: {len(rows_)} steps")
    for c in part["cross_checks"] if "Cross-check" in screen_ else []:
        want(re.search(rf"{re.escape('%+.2f' % c['power_d'])[:-1]}\d D", screen_) is not None, f"{name}: cross-check {c['method']}")

want(warned > 2, f"power: {warned} warnings")
for more, held in (([], {"alarms", "fluid", "pressure"}), (["--no-fluid"], {"alarms", "pressure"}), (["--pressure", "15"], {"alarms", "fluid", "pressure"}),
                   (["--examined"], {"alarms", "fluid", "pressure"}), (["--examined", "--pressure", "15"], {"fluid"}), (["--no-fluid", "--examined", "--pressure", "15"], set())):
    part = json.loads(run("power", "OD", "22.0", "+1.50", "0.00", "--days", "90", *more, "--format", "json").stdout)["replacement"]
    want({r["code"].split("-")[0] for r in part["standing_reasons"]} & {"alarms", "fluid", "pressure"} == held, f"power {more}: {part['standing_reasons']}")

# A standard descriptor that came closed: what cannot be written or read fails, whichever others are closed too.
for closed in (">&-", "<&- >&-", "2>&- >&-", "<&- 2>&- >&-"):
    want(subprocess.run(["sh", "-c", f'"$0" sources evidence {closed}', program], capture_output=True).returncode == 4, f"sources {closed} is not told as not written")
for closed in ("<&-", "<&- 2>&-"):
    want(subprocess.run(["sh", "-c", f'"$0" plan - {closed}', program], capture_output=True).returncode == 3, f"plan - {closed} is not told as not read")

# No file of --compare is an output; a long name is told whole up to two hundred letters.
with tempfile.TemporaryDirectory() as folder:
    for name in "ab":
        shutil.copy("examples/site.json", f"{folder}/{name}.json")
    before = open(f"{folder}/b.json").read()
    r = run("recheck", "examples/past-cases.jsonl", "--compare", f"{folder}/a.json", f"{folder}/b.json", "--output", f"{folder}/b.json")
    want(r.returncode == 2 and open(f"{folder}/b.json").read() == before, f"recheck --compare writes over its site: {r.returncode}")
for length, whole in ((201, True), (202, False)):
    want(("a" * length in run("plan", "a" * length).stderr) == whole, f"a name of {length} letters")

# recheck of one case: one prediction is enough, one slope too.
def recheck(case, how):
    return subprocess.run([program, "recheck", "-", "--format", how], input=json.dumps(case) + "\n", capture_output=True, text=True).stdout

case = json.loads(open("examples/past-cases.jsonl").readline())
want(json.loads(recheck(case, "json"))["groups"][0]["constant_shift"] is not None, "recheck: no shift of the constant from one eye")
for part in ("biometry", "biometry_repeat"):
    case.pop(part, None)
row = json.loads(recheck(case, "jsonl").split("\n")[0])
want(row["status"] == "ok" and len(row["predictions"]) == 1, "recheck: an eye without biometry is predicted by its refraction alone")

# What the clinic line says is assumed: every number of it as the plan has it, in the words of an assumption.
TYPED = ["power", "OD", "21.0", "+2.25 -0.75 x 80", "-0.25", "--a-constant", "118.4"]
for more in (["--formula", "hoffer-q"], ["--formula", "holladay-1"], ["--formula", "srk-t", "--from", "sulcus"], ["--to", "sulcus"]):
    said = [*TYPED, *more, "--length", "23.1", *([] if "--to" in more else ["--k", "43.5"])]
    told, plan = re.search(r"Assumed: (.*?)\n\n", run(*said, "--full").stdout + run(*said).stdout, re.S), json.loads(run(*said, "--format", "json").stdout)
    known = {n for a in plan["assumptions"] for n in re.findall(r"(?<![\w.])[+-]?\d+(?:\.\d+)?", a["text"])}
    want(bool(told), f"power {more}: nothing is assumed")
    for n in re.findall(r"(?<![\w.-])[+-]?\d+(?:\.\d+)?", plain(told[1]) if told else ""):
        want(n in known or n.lstrip("+") in known, f"power {more}: assumes {n}, the plan {sorted(known)}")

# Options as their help names them: a value where one is wanted and none where not, once, by its whole name, of its own command; = as a blank.
spelt = {c: re.findall(r"^  (?:-\w, )?(--[a-z-]+)(?: ([A-Z]+))?", run(c, "--help").stdout, re.M) for c in re.findall(r"^  ([a-z]+)(?: [A-Z\[]|$)", run("--help").stdout, re.M)}
want(len(spelt) == 10 and all(len(o) >= 2 for o in spelt.values()), f"options: {spelt.keys()}")
every = {name: value for options in spelt.values() for name, value in options}
OFTEN = {"--set", "--what-if", "--method", "--compare", "--eye"}
for command, options in spelt.items():
    want(run("help", command).stdout == run(command, "--help").stdout, f"help {command}")
    own = {name for name, _ in options}
    for name, value in options:
        for tried in ([name] if value else [name + "=1"], [name + "x"], [name, "a", name, "a"] if value and name not in OFTEN else [name + "x"]):
            done = run(command, *tried)
            want(done.returncode == 2 and tried[0].split("=")[0] in done.stderr and not done.stdout, f"options: {command} {tried}: {done.returncode} {done.stderr}")
        if value:
            a, b = run(command, name, "/no/such/place"), run(command, name + "=/no/such/place")
            want(name == "--compare" or (a.returncode, a.stdout, a.stderr) == (b.returncode, b.stdout, b.stderr), f"options: {command} {name}=")
    for name in set(every) - own:
        done = run(command, name, *(["1"] if every[name] else []))
        want(done.returncode == 2 and name in done.stderr and not done.stdout, f"options: {command} takes {name}")

print("\n".join(faults[:20]))
if faults:
    sys.exit(f"FAILED commands: {len(faults)} of {asked}")
print(f"passed commands: {asked}")
