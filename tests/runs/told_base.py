"""What told_check.py and told_rest.py share: words, numbers, and a plan as text beside the same plan as JSON."""
import json, re, subprocess, sys
from concurrent.futures import ThreadPoolExecutor
from plan_text import pairs, sections, tables

program = sys.argv[1]
SITE = ["--site", "examples/site.json", "--as-of", "2026-09-01"]
PLACE = {"bag": "bag", "sulcus": "sulcus", "sulcus-captured": "sulcus (captured)", "sclera": "sclera", "chamber": "chamber",
         "iris-behind": "behind the iris", "iris-front": "before the iris"}
WAY = {"leave": "leave it as it is", "treat-surface": "treat the surface", "treat-macula": "treat the macula", "spectacles": "glasses",
       "contact-lens": "contact lens", "corneal-laser": "corneal laser", "exchange": "exchange the lens", "rotation": "turn the lens",
       "piggyback": "second lens in front", "reposition": "put it back, fix it", "relax-rim": "relax the rim, measure",
       "optic-capture": "capture the optic",
       "capsule-laser": "open capsule by laser", "remove-only": "take it out, no lens", "second-out": "second lens out",
       "second-exchange": "exchange second lens", "second-turn": "turn second lens", "secondary-lens": "put a lens in"}
TIER = {"routine": "routine", "guarded": "guarded", "high": "high", "very-high": "very high"}
CAUSE = {"axial-length": "axial length", "cornea": "cornea", "lens-position": "lens position", "lens-label": "lens label",
         "refraction": "refraction"}
FORMULA = {"srk-t": "SRK/T", "t2": "T2", "holladay-1": "Holladay 1", "hoffer-q": "Hoffer Q", "haigis": "Haigis"}
OUT = {"whole": "whole", "folded": "folded", "halved": "cut in two", "halved-turned": "cut in two, turned", "partial": "cut half through",
       "wedge": "a wedge cut out", "thirds": "cut in three"}
DECIDED = ["Smaller ways do not fit, or have more against them."]  # stands for the ways that were passed over
PLAIN = dict(re.findall(r'PLAIN_WORD\("([^"]+)",\s*"([^"]+)"\)', open("data/plain_words.def").read()))
STOCK = json.load(open("examples/site.json"))["stock"]
MEANT = ("spectacles", "contact-lens", "corneal-laser")  # what they leave is what they are made for
LENS_WAYS = ("corneal-laser", "exchange", "piggyback", "optic-capture", "second-out", "second-turn", "second-exchange")
YES = {True: "yes", False: "NO", None: "not known yet"}


def number(x, digits, unit, signed=False):
    """A wanted number for `alike`: as the plan has it, with the digits that are printed."""
    return "-" if x is None else f"{x:{'+' if signed else ''}}{{{digits}}}{' ' if unit else ''}{unit}"


def dioptres(x):
    return number(x, 2, "D", True)


def percent(share):
    return "-" if share is None else number(100 * share, 0, "%")


def power(x):
    """A step of a shelf: a tenth, a hundredth where it needs one."""
    return "-" if x is None else number(x, 1 if round(100 * x) % 10 == 0 else 2, "D", True)


def refraction(e):
    if e is None or e["sphere_d"] is None:
        return "-"
    if abs(e["cylinder_d"] or 0) < 0.005:
        return dioptres(e["sphere_d"])
    return f"{dioptres(e['sphere_d'])} {dioptres(e['cylinder_d'])} x {number(e['axis_deg'], 0, 'deg')}"


WANTED = re.compile(r"([+-]?\d+(?:\.\d+)?(?:e-\d+)?)\{(\d)\}")


def rounded(text, value, digits):
    """A printed number is the wanted one with so many digits; a sign just where one is wanted, none at zero."""
    places = len(text.split(".")[1]) if "." in text else 0
    exact = len(value.split(".")[1]) if "." in value else 0
    if places != digits or abs(float(text) - float(value)) > 0.5 * 10 ** -digits + 0.5 * 10 ** -exact + 1e-9:
        return False
    return (text[0] in "+-") == (value[0] in "+-" and float(text) != 0)


def word(got, want):
    if "{" not in want:
        return got == want
    m = WANTED.search(want)
    end = len(want) - m.end()
    inner = got[m.start():len(got) - end]
    return got.startswith(want[:m.start()]) and got.endswith(want[m.end():]) and re.fullmatch(r"[+-]?\d+(\.\d+)?", inner) is not None and \
        rounded(inner, m[1], int(m[2]))


def alike(got, want):
    """The words are the same; every number is the wanted one, rounded to the digits that are asked for."""
    got, want = got.split(), want.split()
    if len(got) == len(want):
        return all(map(word, got, want))
    return len(got) > len(want) and not any("{" in w for w in want) and "".join(got) == "".join(want)  # a long word is broken


def way_names(plan):
    """What each way is called in this eye."""
    names = dict(WAY)
    if plan["two_lenses"]:
        names["exchange"] = "one lens for both"
    if [r["code"] for r in plan["decision"]["reasons"][:1]] in (["lens-held-badly"], ["only-trembles"]):
        names["reposition"] = "fix it where it lies"  # it has not moved
    return names


class Told:
    def __init__(self, case):
        run = lambda *more: subprocess.run([program, "plan", case, *SITE, *more], capture_output=True, text=True).stdout
        self.case, self.plan, self.text = case, json.loads(run("--format", "json")), run("--full")
        self.sections, self.faults, self.checked = sections(self.text), [], 0

    def want(self, where, got, want):
        self.checked += 1
        if not alike(got or "", want):
            self.faults.append(f"{self.case}: {where}: told {got!r}, the plan has {want!r}")

    def table(self, heading, first, heads, rows, place=0):
        """A table with just these rows."""
        found = tables(self.sections.get(heading, [])).get(first, [])
        if not rows:
            self.want(f"{heading}, {first}, tables", str(len(found)), "0{0}")
            return
        if len(found) <= place:
            self.faults.append(f"{self.case}: {heading}: no table of {first}")
            return
        got_heads, columns = found[place]
        self.want(f"{heading}, heads", " | ".join(got_heads[:len(heads)]), " | ".join(heads))
        for k, head in enumerate(heads[:len(columns)]):
            self.want(f"{heading}, {head}", columns[k], " ".join(row[k] for row in rows))

    def silent(self, heading):
        """A way that is barred and has nothing more to tell has no section."""
        part = self.plan.get({"Corneal laser": "corneal_laser", "Glasses": "spectacles", "Contact lens": "contact_lens"}.get(heading))
        return bool(part) and part["suitable"] is False and heading not in self.sections

    def pair(self, heading, label, want):
        """A label with its text; none where there is nothing to tell."""
        if self.silent(heading):
            return
        got = pairs(self.sections.get(heading, [])).get(label)
        if isinstance(want, list):
            want = next((w for w in want if alike(got or "", w)), want[0])
        if want is None:
            if got is not None:
                self.faults.append(f"{self.case}: {heading}: {label} told: {got!r}")
        else:
            self.want(f"{heading}, {label}", got, want)

    def notes(self, where, notes, lifted=False):
        """Each sentence stands in the text; lifted: and behind it what lifts it."""
        plain = re.sub(r"\s", "", self.text)
        for note in notes:
            self.checked += 1
            lifts = f" To lift it: {note['lifts']}" if lifted and note["lifts"] else ""
            if re.sub(r"\s", "", note["text"] + lifts) not in plain:
                self.faults.append(f"{self.case}: {where}: not told: {note['text']}")


def marks(c):
    if not c["cylinder_d"]:
        return "none"
    return f"{dioptres(c['cylinder_d'])} at {number(c['axis_deg'], 0, 'deg')}"


def step(c):
    e = c["expected"]
    return [power(c["power_d"]) + (" *" if c["chosen"] else ""), marks(c), dioptres(e["se_d"]), refraction(e), number(c["sd_d"], 2, "D"),
            percent(c["within_half_d"]), percent(c["within_one_d"])]
