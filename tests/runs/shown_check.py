"""Usage: shown_check.py PROGRAM FOLDER CASE... Each row of tests/rows/report_words.tsv (where, words) is printed for some case: on the
whole text, the screen, the page, a note (with the theatre list), or by another command. It says that the words can be reached and where, not
when they must stand: other tests do. ROWS=1 prints the rows for the words of src/report that are shown."""
import glob, html, json, os, re, subprocess, sys
from concurrent.futures import ThreadPoolExecutor
from shown_numbers import known_of, strange

program, folder, cases = sys.argv[1], sys.argv[2], sys.argv[3:]
DAY = ["--as-of", "2026-09-01"]
SITE = ["--site", "examples/site.json"]
PAST = "examples/past-cases.jsonl"
FORMS = {"text": ["--full"], "screen": [], "page": ["--format", "html"], "note": ["--only", "note,theatre"]}
HEAD = os.path.join(folder, "some.jsonl")
with open(HEAD, "w") as file:
    file.writelines(open(PAST).readlines()[:12])
with open(os.path.join(folder, "other-site.txt"), "w") as file:
    file.write(open("examples/site.json").read())
OTHERS = [*[["plan", case, *SITE, *DAY, *more] for case in ("examples/toric-turned.json", "tests/inputs/eyes/e24-sulcus-distension.json")
            for more in ([], ["--full"], ["--format", "html"])],
          *[["plan", case, "--site", f"tests/inputs/sites/{site}.json", *more] for more in ([], ["--full"], ["--format", "html"]) for case, site in
            (("examples/hyperopic-surprise.json", "one-step"), ("examples/toric-turned.json", "one-step"),
             (os.path.join(folder, "second-off-axis.json"), "toric-second"))],
          ["ask", "examples/toric-turned.json", *SITE], ["plan", "examples/hyperopic-surprise.json", *SITE, "--set", "target_se_d=-0.5", "--full"],
          ["recheck", "examples/wrong-lens.json", *DAY],
          ["recheck", "examples/wrong-lens.json", *DAY, "--compare", SITE[1], "tests/inputs/sites/one-step.json"],
          ["ask", "examples/wrong-lens.json"], ["ask", "examples/displaced.json", "--site", "examples/site.json"], ["sources"],
          ["plan", "tests/inputs/pair-left.json", "examples/hyperopic-surprise.json"],
          ["plan", "tests/inputs/pair-left.json", "examples/hyperopic-surprise.json", "--format", "html"],
          ["plan", "examples/hyperopic-surprise.json", *SITE, "--what-if", "target_se_d=-0.5"],
          ["plan", "examples/hyperopic-surprise.json", *SITE, "--set", "target_se_d=-0.5"],
          ["plan", "examples/hyperopic-surprise.json", *SITE, "--set", "target_se_d=-0.5", "--format", "html"],
          ["plan", "examples/hyperopic-surprise.json", *SITE, "--set", "target_se_d=-0.5", "--only", "note"],
          *[["recheck", past, *DAY, *more, "--format", form] for past in (PAST, HEAD) for form in ("text", "html")
            for more in ([], ["--site", "examples/site.json"], ["--compare", "examples/site.json", os.path.join(folder, "other-site.txt")])],
          ["power", "--eye", "left", "--implanted", "21", "--refraction", "+2.00 -0.50 x 80", "--target", "-0.25"],
          ["power", "--eye", "left", "--implanted", "21", "--refraction", "+2.00 -0.50 x 80", "--target", "-0.25", "--full"],
          ["power", "--eye", "left", "--implanted", "21", "--refraction", "+2.00 -0.50 x 80", "--target", "-0.25", "--piggyback", "--days", "90"]]


def spoken(markup):
    """The words of a page, drawings left out, spaces and signs as in the text."""
    markup = re.sub(r"<svg.*?</svg>|<(script|style).*?</\1>", " ", markup, flags=re.S)
    text = html.unescape(re.sub(r"<[^>]+>", " ", markup)).replace("\u2212", "-").replace("\u00d7", "x")
    return re.sub(r"\s+", " ", re.sub(r"(\d)\s*°", r"\1 deg", text))


def numbers(case):
    """Numbers of the sheets (not of the tables behind them, which told_check.py compares), of the screen and of the note."""
    page = said[case, "page"]
    forms = {"sheets": spoken(page[:page.find("Tables: what it is built on")]), "screen": " ".join(said[case, "screen"].split()),
             "note": " ".join(said[case, "note"].split())}
    known = known_of(json.loads(printed(["plan", case, *SITE, "--format", "json"])), json.load(open(case)))
    return [f"{case}, {form}: stands nowhere in the plan: {s}" for form, words in forms.items() for s in strange(words, known)]


def letters(text):
    """Letters and signs without blanks and marks of a page."""
    text = html.unescape(re.sub(r"<[^>]+>", "", text))
    return re.sub(r"\s", "", text).replace("\u2212", "-").replace("\u00d7", "x").replace("²", "2").replace("\u2019", "'")


def printed(arguments):
    return subprocess.run([program, *arguments], capture_output=True, text=True, stdin=subprocess.DEVNULL).stdout


asked = [(case, form) for case in cases for form in FORMS]
with ThreadPoolExecutor(2) as pool:
    said = dict(zip(asked, pool.map(printed, [["plan", case, *SITE, *FORMS[form]] for case, form in asked])))
    shown = {form: letters("\n".join(said[case, form] for case in cases)) for form in FORMS}
    shown["other"] = letters("\n".join(pool.map(printed, OTHERS)))

if os.environ.get("ROWS"):
    rows = {}
    for path in sorted(glob.glob("src/report/*.c")):
        source = re.sub(r"(?m)^\s*#.*$", "", re.sub(r"/\*.*?\*/", "", open(path).read(), flags=re.S))
        for found in re.finditer(r'"(?:\\.|[^"\\])*"(?:\s*"(?:\\.|[^"\\])*")*', source):
            whole = "".join(re.findall(r'"((?:\\.|[^"\\])*)"', found[0])).replace("\\n", "\n").replace('\\"', '"')
            for part in re.split(r"%[a-zA-Z]|<[^>]*>?|[<>]", whole):
                part = " ".join(part.split())
                where = ",".join(form for form in shown if letters(part) in shown[form])
                good = len(re.sub("[^A-Za-z]", "", part)) > 5 and not re.search("[={}\\\\]", part) and (" " in part or part[0].isupper())
                if where and good:
                    rows.setdefault(letters(part), f"{where}\t{part}")
    print("where\twords", *sorted(rows.values(), key=lambda row: row.split("\t")[1]), sep="\n")
    sys.exit()

lacking, count = [], 0
for row in open("tests/rows/report_words.tsv").read().split("\n")[1:]:
    where, _, words = row.partition("\t")
    for form in where.split(",") if words else ():
        count += 1
        if letters(words) not in shown[form]:
            lacking.append(f"{form}: {words}")
with ThreadPoolExecutor(2) as pool:
    lacking += [fault for some in pool.map(numbers, cases) for fault in some]
print("\n".join(lacking[:20]))
if lacking or count < 900:
    sys.exit(f"FAILED shown: {len(lacking)} of {count} (words that were changed are changed in tests/rows/report_words.tsv too)")
print(f"passed shown: {count} words in the form that shows them")
