"""Past cases in a minute's file: the same rows as csv and as JSON Lines, the summary from its csv by other code, parts that are merged, what changed
against an earlier run, two site files side by side, a fit that has too few eyes. Usage: past_check.py PROGRAM FOLDER. The long form: recheck.sh."""
import csv, io, json, os, re, subprocess, sys
from plan_text import pairs, sections, tables
from told_base import alike, number, percent
from vitrectomies import with_vitrectomies

program, work = os.path.abspath(sys.argv[1]), sys.argv[2]
lines = open("examples/past-cases.jsonl").read().splitlines()[:60]
faults = []


def want(what, got, wanted):
    if got != wanted:
        faults.append(f"{what}: {got!r}, wanted {wanted!r}")


def run(status, *arguments, given=None):
    done = subprocess.run([program, "recheck", *arguments], capture_output=True, text=True, input=given)
    want(f"exit of {' '.join(arguments)}: {done.stderr[-200:]}", done.returncode, status)
    return done.stdout


def put(name, some):
    with open(os.path.join(work, name), "w") as file:
        file.write("".join(line + "\n" for line in some))
    return os.path.join(work, name)


def text_of(value):
    return "" if value is None else str(value).lower() if isinstance(value, bool) else value


def records(text):
    """JSON Lines with numbers as they stand."""
    return [json.loads(line, parse_float=str, parse_int=str) for line in text.splitlines()]


# ---- rows ----
whole = put("whole.jsonl", lines[:30] + ['{"case_format":1,"case_ref":"BAD-1"}', "not json"] + lines[30:])
rows = list(csv.DictReader(io.StringIO(run(1, whole, "--format", "csv"))))
objects = records(run(1, whole, "--format", "jsonl"))
want("records", len(objects), 62)
at = 0
for o in objects:
    own = o["predictions"] or [{}]
    for p in own:
        row, at = rows[at], at + 1
        for key in row:
            if key in ("fault_count", "fault"):
                continue
            value = p[key] if key in p else o.get(key) if key in o else None
            if key == "told_within_half" and value:  # a digit fewer
                want(f"line {o['line']}, {key}", abs(float(row[key]) - float(value)) < 0.00051, True)
            elif key in p or key in o:
                want(f"line {o['line']}, {key}", row[key], text_of(value))
want("rows", len(rows), at)
want("refused", [(o["line"], o["status"]) for o in objects if o["status"] == "refused"], [("31", "refused"), ("32", "refused")])
want("faults of the refused", [(r["line"], r["fault_count"] > "0", bool(r["fault"])) for r in rows if r["status"] == "refused"],
     [("31", True, True), ("32", True, True)])
want("faults of the others", {(r["fault_count"], r["fault"]) for r in rows if r["status"] != "refused"}, {("0", "")})
single = []
for k in (0, 7, 40):
    one = run(0, "--format", "csv", given=lines[k] + "\n").splitlines()[1:]
    single += [",".join(r.split(",")[2:]) for r in one]
mine = [r for r in run(1, whole, "--format", "csv").splitlines()[1:] if r.split(",")[1] in ("1", "8", "43")]
want("a line is a run of one", [",".join(r.split(",")[2:]) for r in mine], single)
for form in ("csv", "jsonl", "json", "text"):
    want(f"{form} by two jobs", run(1, whole, "--format", form, "--jobs", "2"), run(1, whole, "--format", form))
    run(1, whole, "--format", form, "--output", os.path.join(work, "out"))
    want(f"{form} into a file", open(os.path.join(work, "out")).read(), run(1, whole, "--format", form))

for jobs in ("1", "10", "20"):
    want(f"{jobs} jobs", run(1, whole, "--format", "csv", "--jobs", jobs), run(1, whole, "--format", "csv"))
for jobs in ("0", "-1", "1x", "x", "", "1.5", " 1", "100000000000000000000"):
    run(2, whole, "--jobs", jobs)

# ---- the summary, in one run and in parts ----
good = put("good.jsonl", lines)
with open(os.path.join(work, "rows.csv"), "w") as file:
    file.write(run(0, good, "--format", "csv", "--summary", os.path.join(work, "summary.json")))
again = subprocess.run([sys.executable, "-B", "tests/runs/recheck_check.py", os.path.join(work, "rows.csv"), os.path.join(work, "summary.json")],
                       capture_output=True, text=True)
want("the summary from its rows: " + again.stdout[:400], again.returncode, 0)
cut = list(with_vitrectomies(lines))  # counts of the support, too
parts = [put(f"part{k}.jsonl", cut[k::3]) for k in range(3)]
for p in parts:
    run(0, p, "--format", "json", "--partial", p + ".counts")
counts = [p + ".counts" for p in parts]
want("tiers with a vitrectomy and without", len(json.loads(run(0, *parts, "--format", "json"))["support"]) > 1, True)
for form in ("json", "text"):
    one = run(0, *parts, "--format", form)
    want(f"three parts merged, {form}", run(0, "--merge", *counts, "--format", form), one)
    want(f"three parts the other way round, {form}", run(0, "--merge", *counts[::-1], "--format", form), one)
run(1, "--merge", counts[0], counts[1], counts[0])
bare = put("bare.jsonl", [])  # an input without a byte belongs to its part like any other
run(0, parts[0], bare, "--format", "json", "--partial", os.path.join(work, "and-bare"))
want("a part with an empty input", run(0, "--merge", os.path.join(work, "and-bare"), *counts[1:], "--format", "json"), run(0, "--merge", *counts, "--format", "json"))
run(0, parts[0], "--as-of", "2026-01-01", "--partial", os.path.join(work, "other"), "--format", "json")
run(1, "--merge", os.path.join(work, "other"), counts[1])

# A part that is not whole, or not one: a line lacks or stands twice, a key lacks, is of another kind, or its counts do not fit together; with the
# digest that its lines have, as one would forge it (FNV-1a of 64 bits, from memory), and with that of the lines that were written.
def forged(some):
    digest = 0xcbf29ce484222325
    for byte in "".join(line + "\n" for line in some[:-1]).encode():
        digest = (digest ^ byte) * 0x100000001b3 % 2 ** 64
    end = json.loads(some[-1])
    return some[:-1] + [json.dumps({**end, "lines": len(some) - 1, "digest": f"{digest:016x}"})] if end.get("end") else some


part = open(counts[0]).read().splitlines()
want("the digest of a part", json.loads(forged(part)[-1]), json.loads(part[-1]))
kinds = {}
for n, line in enumerate(part):
    kinds.setdefault(json.loads(line).get("line"), n)
taken = []
for n in kinds.values():
    of = json.loads(part[n])
    changed = [({a: b for a, b in of.items() if a != k}, k) for k in of]
    changed += [({**of, k: x}, k) for k, v in of.items() for x in ("x", -1, [[]], None, v + 1 if isinstance(v, int) else {}) if x != v]
    changed += [({**of, k: [*v[:j], x, *v[j + 1:]]}, k) for k, v in of.items() if isinstance(v, list) for j in (len(v) - 1,) if v for x in ("x", [])]
    changed += [({**of, k: [[*v[0][:j], x, *v[0][j + 1:]], *v[1:]]}, f"{k} {j}") for k, v in of.items() if isinstance(v, list) and v and isinstance(v[0], list)
                for j in range(len(v[0])) for x in (-1,)]
    odd = [(part[:n] + part[n + 1:], "line"), (part[:n + 1] + part[n:], "line twice")] + [(part[:n] + [json.dumps(c)] + part[n + 1:], k) for c, k in changed]
    for lines_of, key in odd:
        for some in (lines_of, forged(lines_of)) if "line" in key and n < len(part) - 1 else (lines_of,) if n == len(part) - 1 else (forged(lines_of),):
            done = subprocess.run([program, "recheck", "--merge", put("odd.counts", some), counts[1], "--format", "json"], capture_output=True, text=True)
            if (done.returncode, done.stdout) != (1, ""):
                taken.append((of.get("line") or ("end" if of.get("end") else "head"), key, some is not lines_of))
# What nothing else in a part tells: who wrote it, how a file is called, sums that may be any number, lines that a part need not have.
FREE = {("head", "program_version"), ("input", "name"), ("counts", "alarms_open"), ("tally", "slopes"), ("tally", "slope_sum"), ("records", "line"), ("eye-part", "line")}
SIGNED = {"errors 0", "ranks 0", "totals 0", "totals 2", "steps 0", "steps 2", "steps 3", "steps 4"}  # thousandths of a dioptre, steps, their sums
want("parts that are not whole and are taken", [t for t in taken if t[1] not in SIGNED and (t[:2] not in FREE or not t[2])], [])

# ---- what changed ----
old = run(0, good, "--format", "jsonl")
was = put("was.jsonl", old.splitlines())
want("nothing changed", run(0, good, "--against", was, "--fail-on-change"), "60 cases: 0 changed, 0 new, 0 gone, 0 twice\n")
want("in another order", run(0, put("turned.jsonl", lines[::-1]), "--against", was, "--fail-on-change"), "60 cases: 0 changed, 0 new, 0 gone, 0 twice\n")
changed = [re.sub(r'"sphere_d": ?-?[0-9.]+', '"sphere_d":3.25', line) if k in (6, 20, 33) else line for k, line in enumerate(lines)]
changed = [line.replace("PAST-", "FRESH-") if k == 11 else line for k, line in enumerate(changed)][:57]
now = put("now.jsonl", changed)
key = lambda o: (o["case_ref"], o["eye"])
led = lambda o: next((p for p in o["predictions"] if p["method"] == "joint" and p["reference"]), {"formula": None, "advised_power_d": None})
shown = lambda o: {"state": o["state"], "standing": o["standing"], "formula": led(o)["formula"], "advised_power_d": led(o)["advised_power_d"]}
before = {key(o): shown(o) for o in records(old)}
after = {key(o): shown(o) for o in records(run(0, now, "--format", "jsonl"))}
differ = {k for k in before.keys() & after.keys() if before[k] != after[k]}
fresh, gone = after.keys() - before.keys(), before.keys() - after.keys()
want("changed", len(differ) >= 2 and len(fresh), 1)
told = records(run(5, now, "--against", was, "--fail-on-change", "--format", "jsonl"))
want("changes told", {(o["change"], *key(o)) for o in told},
     {("changed", *k) for k in differ} | {("new", *k) for k in fresh} | {("gone", *k) for k in gone})
for o in told:
    want(f"was, {key(o)}", o["old"], before.get(key(o)) if o["change"] != "new" else None)
    want(f"is, {key(o)}", o["new"], after.get(key(o)) if o["change"] != "gone" else None)
table = list(csv.DictReader(io.StringIO(run(0, now, "--against", was, "--format", "csv"))))
for row, o in zip(table, told):
    flat = {"change": o["change"], "case_ref": o["case_ref"], "eye": o["eye"], "dated_on": o["dated_on"]}
    for side in ("old", "new"):
        for name, short in (("state", "state"), ("standing", "standing"), ("formula", "formula"), ("advised_power_d", "power_d")):
            flat[f"{side}_{short}"] = (o[side] or {}).get(name)
    want(f"changes as csv, {key(o)}", row, {k: text_of(v) for k, v in flat.items()})
want("changes as csv", len(table), len(told))
text = run(0, now, "--against", was)
want("changes counted", text.splitlines()[-1], f"57 cases: {len(differ)} changed, {len(fresh)} new, {len(gone)} gone, 0 twice")
for ref, eye in differ:
    block = re.search(rf"^changed {ref} {eye}.*\n((?:    .*\n)+)", text, re.M)
    want(f"{ref} is told", bool(block), True)
    a, b = before[ref, eye], after[ref, eye]
    for name, word in (("state", "state"), ("standing", "standing"), ("advised_power_d", "power")):
        said = bool(block and re.search(rf"^    (?:.*; )?{word} ", block[1], re.M))
        want(f"{ref}, {word} is told", said, a[name] != b[name])
        if said:
            as_told = (lambda v: "none" if v is None else v if word != "power" else f"{float(v):+.3f}")
            unit = " D" if word == "power" and b[name] is not None else ""
            want(f"{ref}, {word} as it is told", f"    {word} {as_told(a[name])} -> {as_told(b[name])}{unit}\n" in block[1], True)
twice = run(0, put("twice.jsonl", lines + lines[-1:]), "--against", was)
want("one case twice", twice.splitlines()[-1], "61 cases: 0 changed, 0 new, 0 gone, 1 twice")

kept = put("kept", ["keep"])
for odd in (good, put("hostile.jsonl", [line.replace("PAST-000001", "=1+1") for line in old.splitlines()])):
    run(1, now, "--against", odd, "--output", kept)  # no earlier run, or not one of ours: the file stays
    want("an old file stays", open(kept).read(), "keep\n")
run(3, now, os.path.join(work, "none.jsonl"), "--against", was, "--output", kept)
want("an old file stays where an input lacks", open(kept).read(), "keep\n")
run(3, good, os.path.join(work, "none.jsonl"), "--format", "json", "--output", kept)
want("an old file stays where an input lacks", open(kept).read(), "keep\n")
out = os.path.join(work, "told")
for form in ("text", "csv", "jsonl"):
    run(5, now, "--against", was, "--fail-on-change", "--format", form, "--output", out)
    want(f"changes into a file, {form}", open(out).read(), run(0, now, "--against", was, "--format", form))
for form in ("text", "json", "html"):
    run(0, "--merge", *counts, "--format", form, "--output", out)
    want(f"merged into a file, {form}", open(out).read(), run(0, "--merge", *counts, "--format", form))

# ---- two site files side by side ----
site = json.load(open("tests/rows/fit_site.json"))
moved = json.loads(json.dumps(site))
for lens in moved["lenses"]:
    if "a_constant" in lens.get("constants", {}):
        lens["constants"]["a_constant"] += 0.8
a, b = put("a.json", [json.dumps(site)]), put("b.json", [json.dumps(moved)])
shelf = put("shelf.jsonl", subprocess.run([os.path.join(os.path.dirname(program), "tests/tools/generate_past_cases"), "80", "5", "shelf"],
                                          capture_output=True, text=True).stdout.splitlines())
errors = []
for file in (a, b):
    table = csv.DictReader(io.StringIO(run(0, shelf, "--site", file, "--format", "csv")))
    errors.append({r["line"]: round(1000 * float(r["error_d"])) for r in table
                   if r["method"] == "joint" and r["reference"] == "true" and r["counted"] == "true"})
side = json.loads(run(0, shelf, "--compare", a, b, "--format", "json"))
both = [(errors[0][k], errors[1][k]) for k in errors[0] if k in errors[1]]
g = side["groups"][0]
want("compared", (side["compared"], g["n"], len(both) > 40), (len(both), len(both), True))
want("nearer", (g["nearer_a"], g["nearer_b"], g["same"]), tuple(sum(f(abs(x), abs(y)) for x, y in both) for f in (int.__lt__, int.__gt__, int.__eq__)))
for k, name in enumerate("ab"):
    size = sorted(abs(pair[k]) for pair in both)
    for what, limit in (("half", 500), ("one", 1000)):
        want(f"within {what}, {name}", abs(g[f"within_{what}_{name}"] - sum(s <= limit for s in size) / len(size)) < 1e-4, True)
    want(f"mean absolute error, {name}", abs(g[f"mae_{name}_d"] - sum(size) / len(size) / 1000) < 1.1e-3, True)
    want(f"mean error, {name}", abs(g[f"mean_{name}_d"] - sum(pair[k] for pair in both) / len(both) / 1000) < 1.1e-3, True)
for x, y in ((a, b), (b, a), (a, a), ("examples/site.json", a)):  # the text of a comparison against the same as JSON
    some = good if x == "examples/site.json" else shelf
    whole, told = json.loads(run(0, some, "--compare", x, y, "--format", "json")), run(0, some, "--compare", x, y)
    lines_of, rows_of = sections(told)["Past cases under two site files"], whole["groups"]
    heads, columns = tables(lines_of)["Group"][0]
    p = lambda v: "not known" if v is None else "< 0.001" if v < 0.0005 else number(v, 2 if v >= 0.095 else 3, "")
    near = {"a": "A", "b": "B", "not-shown": "not shown"}
    cells = [[g["is"] or "all", str(g["n"]), number(g["mae_a_d"], 2, "D"), number(g["mae_b_d"], 2, "D")] +
             [", ".join(percent(g[f"within_{w}_{f}"]) for f in "ab") for w in ("half", "one")] + [near[g["nearer"]]] for g in rows_of]
    want("heads", heads[:7], ["Group", "n", "MAE A", "MAE B", "in 0.50 A, B", "in 1.00 A, B", "Nearer"])
    for k, got in enumerate(columns[:7]):
        want(f"comparison, {heads[k]}: {got}, wanted {[c[k] for c in cells]}", alike(got.replace(",", " ,"), " ".join(c[k] for c in cells).replace(",", " ,")), True)
    first = rows_of[0]
    head = " ".join(told.split("\n\n")[1].split())
    by = number(first["nearer_by_d"], 2, "D")
    start = "No difference is shown between A and B: their mean errors differ by" if first["nearer"] == "not-shown" else f"{near[first['nearer']]} is nearer by"
    want(f"finding: {head}", alike(head, f"{start} {by} on average ({first['n']} eyes)."), True)
    for label, wanted in (("A", x), ("B", y), ("Records", str(whole["cases"])), ("Compared", str(whole["compared"])), ("Own constants", str(whole["own_constants"]))):
        got = pairs(lines_of).get(label)
        want(f"comparison, {label}", "".join((got or "0").split()), wanted)
same = json.loads(run(0, shelf, "--compare", a, a, "--format", "json"))["groups"][0]
want("a file against itself", (same["nearer_a"], same["nearer_b"], same["same"]), (0, 0, same["n"]))

for form in ("text", "json", "html"):
    run(0, shelf, "--compare", a, b, "--format", form, "--output", out)
    want(f"compared into a file, {form}", open(out).read(), run(0, shelf, "--compare", a, b, "--format", form))

# ---- a fit ----
out = os.path.join(work, "fitted.json")
told = run(0, shelf, "--site", a, "--fit-site", out)
fitted = json.load(open(out))
for lens, own in zip(fitted["lenses"], site["lenses"]):
    for name, value in own.items():
        if name != "constants":
            want(f"a fit leaves {own['id']}, {name}", lens[name], value)
    moved_by = re.search(rf"^constants of {re.escape(own['id'])}, as position: ([+-][\d.]+) mm", told, re.M)
    was_a, is_a = (x.get("constants", {}).get("a_constant") for x in (own, lens))
    if was_a is not None:
        want(f"a fit moves {own['id']}", is_a != was_a, bool(moved_by))
        if moved_by:
            want(f"a fit moves {own['id']} that way", (is_a > was_a) == (float(moved_by[1]) > 0), True)
for name in set(site) - {"lenses", "spread", "//"}:
    want(f"a fit leaves {name}", fitted.get(name), site[name])
few = run(0, put("few.jsonl", open(shelf).read().splitlines()[:12]), "--site", a, "--fit-site", os.path.join(work, "few.json"))
want("a fit to twelve eyes", [line for line in few.splitlines() if line.endswith(" eyes") and "not fitted" not in line], [])
want("a fit to twelve eyes moves nothing", [x["constants"].get("a_constant") for x in json.load(open(os.path.join(work, "few.json")))["lenses"]],
     [x.get("constants", {}).get("a_constant") for x in site["lenses"]])

print("\n".join(faults[:20]))
if faults:
    sys.exit(f"FAILED past: {len(faults)}")
print("passed past cases")
