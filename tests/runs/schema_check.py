"""Outside validator: python3-jsonschema, draft 2020-12. Usage: schema_check.py PROGRAM WORK_FOLDER
Examples, starters and plans fit their schemas. Mutants of the examples, one change each: what the schema refuses the
program refuses, and what the program takes the schema takes. FEW=1: few cases and mutants, in a second or two (schema_few.sh)."""
import copy, glob, json, os, re, subprocess, sys
from jsonschema import Draft202012Validator
from jsonschema.exceptions import best_match

program, work = sys.argv[1:3]
FEW = bool(os.environ.get("FEW"))
schema = {name: json.loads(subprocess.run([program, "schema", name], capture_output=True, text=True, check=True).stdout)
          for name in ("case", "site", "plan", "recheck", "summary")}
valid = {name: Draft202012Validator(s) for name, s in schema.items()}
for s in schema.values():
    Draft202012Validator.check_schema(s)

# What is printed has every key that its schema names, known or null; of a case four are asked for (contract), of a site its format.
for name, asked in (("case", {"case_format", "case_ref", "eye", "reason"}), ("site", {"site_format"})):
    if set(schema[name]["required"]) != asked:
        sys.exit(f"FAILED the {name} schema asks for {schema[name]['required']}")
for name in ("plan", "recheck", "summary"):
    for what, s in [(name, schema[name]), *schema[name].get("$defs", {}).items()]:
        lacking = set(s.get("properties", {})) - set(s.get("required", []))
        if lacking - ({"severity", "lifts"} if what == "note" else set()):
            sys.exit(f"FAILED the {name} schema lets {what} lack {sorted(lacking)}")

def run(*arguments, **more):
    return subprocess.run([program, *arguments], capture_output=True, text=True, **more)

def must_fit(name, value, what):
    errors = list(valid[name].iter_errors(value))
    if errors:
        sys.exit(f"FAILED {what} does not fit the {name} schema: {errors[0].json_path}: {errors[0].message}")

cases = {f: json.load(open(f)) for f in sorted(glob.glob("examples/*.json")) if not f.endswith("site.json")}
site = json.load(open("examples/site.json"))
must_fit("site", site, "examples/site.json")
def walk(value, path=""):
    yield path, value
    for key, inside in value.items() if isinstance(value, dict) else enumerate(value) if isinstance(value, list) else ():
        yield from walk(inside, f"{path}/{key}")

head = {"plan_format", "program_version", "case_ref", "eye", "as_of", "fellow_refraction"} # given, not made

def why_left_out(plan, what, case):
    """What is missing is named, is a field of a case, and is not in this one; under an alarm all is withheld; what is not asked says so."""
    alarm = plan["decision"]["urgency"] == "same-day"
    barred = alarm or (plan["replacement"] or plan["secondary"] or {"standing": "withheld"})["standing"] == "withheld"
    for entry in plan["left_out"]:
        named = f"{what}: {entry['part']} is left out, {entry['why']} {entry['missing']}"
        if (entry["why"] == "missing-input") != bool(entry["missing"]) or entry["why"] == "withheld" and not barred:
            sys.exit("FAILED " + named)
        if alarm and plan[entry["part"].split("/")[0]] is None and (entry["why"] == "withheld") != (entry["part"] != "pair"):
            sys.exit(f"FAILED {named} under an alarm")
        for path in entry["missing"]:
            here, there = case, schema["case"]
            for key in path.strip("/").split("/"):
                there = (there or {}).get("properties", {}).get(key)
                for one in (there or {}).get("anyOf", []):
                    there = schema["case"]["$defs"][one["$ref"].split("/")[-1]] if "$ref" in one else there
                here = here.get(key) if isinstance(here, dict) else None
            if there is None or here is not None and not isinstance(here, list) or path not in entry["text"]:
                sys.exit(f"FAILED {named}, the case has {here}")
    case_toric = bool((case.get("first_surgery") or {}).get("lens", {}).get("cylinder_d"))
    not_asked = {entry["part"] for entry in plan["left_out"] if entry["why"] == "not-applicable"}
    no_lens, two = case.get("aphakic_now") is True, "second_lens" in case or case.get("two_lenses_now") is True
    for part, when in (("two_lenses", not two), ("growth", (case.get("age_years") or 0) >= 18), ("secondary", not no_lens), ("removal", no_lens),
                       ("replacement", no_lens), ("piggyback", no_lens or two), ("pair", True)):
        if not alarm and (part in not_asked) != when:
            sys.exit(f"FAILED {what}: {part} {'is' if part in not_asked else 'is not'} told as not asked")
    if not alarm and case_toric and "rotation" in not_asked:
        sys.exit(f"FAILED {what}: the turn of a toric lens is not asked")

def must_be_a_plan(text, what, case):
    """What the schema does not say: a part is null just when it has its one entry in left_out; reasons and needs are lists,
    expected refractions objects; a reason of a standing says what lifts it, or null; nothing is minus zero."""
    plan = json.loads(text)
    must_fit("plan", plan, what)
    why_left_out(plan, what, case)
    left = [entry["part"] for entry in plan["left_out"] if "/" not in entry["part"]]
    if sorted(left) != sorted(key for key in plan if plan[key] is None and key not in head):
        sys.exit(f"FAILED {what}: left_out {left} and the parts that are null differ")
    for path, value in walk(plan):
        key = path.split("/")[-1]
        if key in ("reasons", "standing_reasons", "needs", "missing_tests", "vitrectomy_anchor") and not isinstance(value, list):
            sys.exit(f"FAILED {what}: {path} is no list")
        if key == "expected" and not isinstance(value, dict):
            sys.exit(f"FAILED {what}: {path} is no object")
        if key == "standing_reasons" and not all("lifts" in reason for reason in value):
            sys.exit(f"FAILED {what}: {path} does not say what lifts it")
    if re.search(r"[:\[,]\s*-0(\.0*)?\s*[,}\]]", text):
        sys.exit(f"FAILED {what}: minus zero")
    return plan

SOME = ("examples/hyperopic-surprise.json", "examples/two-lenses.json", "examples/displaced.json")
for name, case in cases.items():
    must_fit("case", case, name)
    if FEW and name not in SOME:
        continue
    for more in ((), ("--site", "examples/site.json")):
        must_be_a_plan(run("plan", name, "--format", "json", *more).stdout, f"the plan of {name}", case)

# A toric lens whose marks nobody has read: no turn is planned, and its part says which field is missing.
for path, missing in ((("first_surgery", "lens", "axis_deg"), "/first_surgery/lens/axis_deg"), (("refractions",), "/refractions")):
    case = copy.deepcopy(cases["examples/toric-turned.json"])
    inside = case
    for key in path[:-1]:
        inside = inside[key]
    del inside[path[-1]]
    plan = must_be_a_plan(run("plan", "-", "--format", "json", input=json.dumps(case)).stdout, f"a plan without {missing}", case)
    if plan["rotation"] is not None or [e["missing"] for e in plan["left_out"] if e["part"] == "rotation"] != [[missing]]:
        sys.exit(f"FAILED the turn without {missing} is not left out")
    if not any(option["option"] == "rotation" for option in plan["options"]):
        sys.exit(f"FAILED the turn without {missing} is not among the ways")

for line in run("recheck", "examples", "--format", "jsonl").stdout.splitlines():
    must_fit("recheck", json.loads(line), "a line of recheck")
must_fit("summary", json.loads(run("recheck", "examples", "--format", "json").stdout), "the summary of recheck")

# A case and a site that name the schema beside them, as docs/import.md shows: the schema found by that name flags a slip at its place, and both
# are taken by the program.
pages = [json.loads(block) for block in re.findall(r"```json\n(.*?)```", open("docs/import.md").read(), re.S) if '"$schema"' in block]
if not pages:
    sys.exit("FAILED docs/import.md shows no case with a $schema")
for page in pages:
    named = os.path.join(work, page["$schema"])
    kind = os.path.basename(named).split(".")[0]
    run("schema", kind, "--output", named)
    beside = Draft202012Validator(json.load(open(named)))
    if list(beside.iter_errors(page)):
        sys.exit("FAILED what docs/import.md shows does not fit the schema that it names")
    file = os.path.join(work, f"page.{kind}.json")
    json.dump(page, open(file, "w"))
    if run("check", file).returncode != 0:
        sys.exit(f"FAILED what docs/import.md shows is refused: {run('check', file).stderr}")
    for slip, place in (({"biometry": {"axial_length_mm": 2.33}}, "$.biometry.axial_length_mm"), ({"biometry": {"method": "laser"}}, "$.biometry.method"),
                        ({"assessed_on": "30.10.2025"}, "$.assessed_on"), ({"refractions": [{"sphere_d": "2"}]}, "$.refractions[0].sphere_d"),
                        ({"axial_lenght_mm": 23}, "$"), ({"eye": "OD"}, "$.eye"), ({"$schema": 1}, "$.$schema")):
        error = best_match(beside.iter_errors({**page, **slip}))
        if error is None or error.json_path.replace("['$schema']", ".$schema") != place:
            sys.exit(f"FAILED the schema that a case names flags {error and error.json_path} for {slip}")

# Starters: no key twice, nothing filled in, refused for what is required alone, taken by both once that is there.
def no_key_twice(pairs):
    if len(dict(pairs)) != len(pairs):
        sys.exit("FAILED a starter holds a key twice")
    return dict(pairs)

def leaves(value, path=()):
    if isinstance(value, dict):
        for key, inside in value.items():
            yield from leaves(inside, path + (key,))
    elif isinstance(value, list):
        for i, inside in enumerate(value):
            yield from leaves(inside, path + (i,))
    else:
        yield path, value

required = {"case_format": 1, "case_ref": "A-1", "eye": "left", "reason": "lens-tilt"}
for kind in ("power-error", "opacity", "dislocation", "displaced", "cylinder", "photic", "no-lens", "two-lenses", "child", "past-case", "site"):
    starter = json.loads(run("template", kind).stdout, object_pairs_hook=no_key_twice)
    for path, value in leaves(starter):
        filled = kind != "site" and path in (("case_format",), ("reason",))
        filled = filled or (kind, path) in (("no-lens", ("aphakic_now",)), ("two-lenses", ("two_lenses_now",)))
        if (value is not None) != str(path[-1]).startswith("//") and not filled:
            sys.exit(f"FAILED starter {kind}: {path} is {value}")
    if kind == "site":
        starter.update(site_format=1)
        starter["lenses"][0].update(id="a", positions=["bag"], purpose="replacement", power_first_d=6, power_last_d=30,
                                    power_step_d=0.5)
        must_fit("site", starter, "starter site")
    else:
        left = set(schema["case"]["properties"]) - set(starter) - {"//", "$schema", "outcome"}
        if left or kind == "past-case" and "outcome" not in starter:
            sys.exit(f"FAILED starter {kind} does not print every key: {left}")
        starter.update(required)
        must_fit("case", starter, f"starter {kind}")
    file = os.path.join(work, "starter.json")
    json.dump(starter, open(file, "w"))
    out = run("check", file)
    taken, _, still_open = out.stdout.partition("\n") # ok; what holds the power back may follow, nothing else
    if out.returncode != 0 or taken != f"{file}: ok" or still_open and not still_open.startswith("  to reach ADVISED, answer: "):
        sys.exit(f"FAILED starter {kind}: {out.stdout}{out.stderr}")

# Mutants.
strange = ["", "x", "unknown", "not-examined", 0, -1, 1, 3.5, 1e9, -1e9, True, False, None, [], {}, ["x"], [None], [{}], "2026-02-28",
           "2026-13-01", "a\u0007", "a" * 100, "\u00e9"]

def parents(value, path=()):
    if isinstance(value, (dict, list)):
        yield path
        for key, inside in value.items() if isinstance(value, dict) else enumerate(value):
            yield from parents(inside, path + (key,))

def at(value, path):
    for key in path:
        value = value[key]
    return value

def mutants(value):
    for path in list(parents(value)):
        here = at(value, path)
        for key in list(here) if isinstance(here, dict) else range(len(here)):
            for new in strange:
                changed = copy.deepcopy(value)
                at(changed, path)[key] = new
                yield changed
            changed = copy.deepcopy(value)
            del at(changed, path)[key]
            yield changed
        if isinstance(here, dict):
            for key, new in (("no_such_key", 1), ("//", "remark"), ("//x", "remark"), ("//", 7), ("name", "x")):
                changed = copy.deepcopy(value)
                at(changed, path)[key] = new
                yield changed

def verdicts(texts):
    """Line numbers that the program refuses."""
    out = run("check", "-", input="\n".join(texts) + "\n")
    lines = set()
    for line in out.stderr.splitlines():
        part = line.split(":")
        if len(part) > 3 and part[1] == " -" and part[2].isdigit() and "usual" not in line and "axis-zero" not in line:
            code = line.split(": ")[3]
            if code in codes:
                lines.add(int(part[2]))
    refused = int(out.stdout.split(", ")[1].split()[0])
    if refused != len(lines):
        sys.exit(f"FAILED check counts {refused} refused, its faults name {len(lines)}")
    return lines

codes = {line.split('"')[1] for line in open("data/faults.def") if line.startswith("FAULT(")}
counted = refused_by_both = refused_by_program = 0
for name in ("examples/hyperopic-surprise.json", "examples/toric-turned.json", "examples/dislocation.json")[:1 if FEW else 3]:
    some = list(mutants(cases[name]))[::25 if FEW else 5]
    bad = verdicts([json.dumps(m) for m in some])
    for i, mutant in enumerate(some, 1):
        fits = valid["case"].is_valid(mutant)
        counted += 1
        refused_by_program += i in bad
        refused_by_both += i in bad and not fits
        if not fits and i not in bad:
            error = next(valid["case"].iter_errors(mutant))
            sys.exit(f"FAILED {name}, mutant {i}: the schema refuses what the program takes: {error.json_path}: {error.message}")
if refused_by_both < (50 if FEW else 1000) or not FEW and refused_by_program == refused_by_both:
    sys.exit(f"FAILED too few mutants: {counted} {refused_by_program} {refused_by_both}")
site["stock"] = site["stock"][4:5] # the rows are alike
for i, mutant in enumerate(() if FEW else mutants(site)):
    if valid["site"].is_valid(mutant):
        continue
    file = os.path.join(work, "mutant.json")
    if i % 25 == 0:
        json.dump(mutant, open(file, "w"))
        if run("check", file).returncode != 1:
            error = next(valid["site"].iter_errors(mutant))
            sys.exit(f"FAILED site mutant {i}: taken against the schema: {error.json_path}: {error.message}")
print(f"passed schemas: {counted} mutants, {refused_by_program} refused by the program, {refused_by_both} by the schema too")
