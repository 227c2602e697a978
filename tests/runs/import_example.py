"""import_example.py PROGRAM: the main example from two files of instruments, one scan and the typed values that docs/import.md lists. With the first
group the lens is the example's, with the second the decision too, with the third every way; leave one of the first two out and it is not."""
import json
import os
import re
import subprocess
import sys
import tempfile

program, site, folder = sys.argv[1], "examples/site.json", "tests/inputs/dicom/"
BEFORE = ("calculation", "axial-before")
VISIT = ("axial-after", "axial-segments", "keratometry-after", "refraction-first", "refraction-after", "acuity", "acuity-bare")
STICKER = "]d2010200000000003917290531"
failed = 0


def bad(text):
    global failed
    failed = 1
    print("FAILED import: the main example:", text)


def ran(*arguments):
    done = subprocess.run([program, *arguments], capture_output=True, text=True, stdin=subprocess.DEVNULL)
    return done.stdout if done.returncode == 0 else None


def sets(typed, names):
    return [part for name in names for part in ("--set", f"{name}={typed[name]}")]


def made(typed):
    """The plan of the case so made, None where it is refused. Readings are there to be told of only after the import."""
    own = [name for name in typed if name != "eye"]
    early = [name for name in own if not name.startswith("refractions.")][:16]
    late = [name for name in own if name not in early]
    case = os.path.join(work, "case.json")
    eye, fuller = ["--eye", typed.get("eye", "unknown")], case + ".fuller"
    if ran("import", *files, "--sticker", STICKER, "--site", site, *sets(typed, early), *eye, "-o", case) is None:
        return None
    if len(late) > 16:
        ran("import", files[1], "--into", case, *sets(typed, late[16:]), *eye, "-o", fuller)
        os.replace(fuller, case)
    text = ran("plan", case, "--site", site, "--format", "json", *sets(typed, late[:16]))
    return text and json.loads(text)


def lens(plan):
    r = plan["replacement"] or {}
    chosen = [c for c in r.get("choices") or [] if c["chosen"]]
    return [r.get("standing"), r.get("position")] + [(c["lens_id"], c["power_d"], c["cylinder_d"], c["axis_deg"]) for c in chosen]


def ways(plan):
    return [(o["option"], o["suitable"]) for o in plan["options"] if o["rank"]]


def decision(plan):
    d = plan["decision"]
    return [d["state"], d["urgency"], d["sentence"], ways(plan)[0], lens(plan)]


with tempfile.TemporaryDirectory() as work:
    files = [os.path.join(work, "before.json"), os.path.join(work, "visit.json")]
    for name, names in zip(files, (BEFORE, VISIT)):
        json.dump([json.load(open(folder + n + ".json")) for n in names], open(name, "w"))
    groups = re.search(r"<!-- typed values -->\n```text\n(.*?)```", open("docs/import.md").read(), re.S).group(1).split("# ")[1:]
    groups = [dict(line.split("=", 1) for line in group.splitlines()[1:]) for group in groups]
    first, second, third = groups[0], {**groups[0], **groups[1]}, {**groups[0], **groups[1], **groups[2]}
    if [len(first), len(second), len(third)] != [22, 30, 35]:
        bad(f"{len(first)}, {len(second)} and {len(third)} typed values, not 22, 30 and 35")
    example = json.loads(ran("plan", "examples/hyperopic-surprise.json", "--site", site, "--format", "json"))
    if lens(example)[0] != "advised":
        bad("the example advises no lens")
    if lens(made(first)) != lens(example):
        bad(f"{len(first)} typed values give another lens: {lens(made(first))}")
    if decision(made(second)) != decision(example):
        bad(f"{len(second)} typed values give another decision: {decision(made(second))}")
    whole = made(third)
    if decision(whole) != decision(example) or ways(whole) != ways(example):
        bad(f"{len(third)} typed values give other ways: {ways(whole)}")
    imported = json.load(open(os.path.join(work, "case.json")))
    brought = len(re.findall(r'"//', json.dumps(imported)))
    if f"bring {brought}." not in open("docs/import.md").read():
        bad(f"{brought} values came in, and docs/import.md says another number")
    for name in second:
        plan = made({k: v for k, v in second.items() if k != name})
        if plan is not None and decision(plan) == decision(example):
            bad(f"{name} need not be typed")
        if plan is not None and name in first and lens(plan) == lens(example):
            bad(f"{name} need not be typed for the lens")
sys.exit(failed)
