"""The page of a plan against the plan as JSON and as text: its drawings, the words of its first sheets, its tables. Usage: drawn_check.py PROGRAM CASE... Each scale is a scale: its ticks lie where
their numbers say, and none is missing. What is drawn on a scale lies where the plan has it. A dial has its twelve hours, thirty degrees
apart, with their degrees; an arrow's head lies along its line and ends where it ends; nothing leaves the drawing; the page's tags close."""
import html, json, math, re, subprocess, sys
import xml.etree.ElementTree as ET
from concurrent.futures import ThreadPoolExecutor
from html.parser import HTMLParser
from drawn_card import card as theatre, dials
from drawn_decide import decide
from drawn_past import figures
from drawn_shapes import shapes
from drawn_ticks import steps as ways_out, ticked
from plan_text import sections, tables

program = sys.argv[1]
SITE = ["--site", "examples/site.json", "--as-of", "2026-09-01"]
NUMBER = r"[+\u2212-]?\d+(?:\.\d+)?"


class Balance(HTMLParser):
    """Every tag that needs one has its end, in the right place."""
    VOID = {"meta", "br", "col", "hr", "img", "input", "link", "wbr"}

    def __init__(self):
        super().__init__()
        self.open, self.faults = [], []

    def handle_starttag(self, tag, attrs):
        if tag not in self.VOID:
            self.open.append(tag)

    def handle_startendtag(self, tag, attrs):
        pass

    def handle_endtag(self, tag):
        if not self.open or self.open.pop() != tag:
            self.faults.append(f"</{tag}> ends nothing, line {self.getpos()[0]}")


def value(text):
    """The number that a text of a scale is, or None."""
    text = re.sub(r"\s*(D|mm|%|°)?$", "", text.replace("\u00a0", " ").replace("\u2212", "-").strip())
    return float(text) if re.fullmatch(r"[+-]?\d+(\.\d+)?", text) else None


def points(e):
    if e.tag == "line":
        return [(float(e.get("x1")), float(e.get("y1"))), (float(e.get("x2")), float(e.get("y2")))]
    if e.tag == "rect":
        x, y, w, h = (float(e.get(k)) for k in ("x", "y", "width", "height"))
        return [(x, y), (x + w, y + h)]
    if e.tag == "circle":
        x, y, r = (float(e.get(k)) for k in ("cx", "cy", "r"))
        return [(x - r, y - r), (x + r, y + r)]
    numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*", e.get("d") or e.get("points") or "")]
    return list(zip(numbers[::2], numbers[1::2]))


class Drawing:
    def __init__(self, text, where):
        self.root = ET.fromstring(re.sub(r"&nbsp;", "\u00a0", text))
        self.where, self.kind = where, (self.root.get("class") or "figure")
        self.width, self.height = (float(n) for n in self.root.get("viewBox").split()[2:])
        self.title = next(e.text for e in self.root if e.tag == "title")
        self.all = [e for e in self.root.iter() if e.tag in ("line", "rect", "circle", "path", "polygon", "polyline")]
        self.texts = [(e.text or "", float(e.get("x")), float(e.get("y")), e.get("class") or "") for e in self.root.iter("text") if e.get("x")]
        scale = [e for g in self.root.iter("g") if g.get("class") == "scale" for e in g]
        self.scale_lines = [points(e) for e in scale if e.tag == "line"]
        self.scale_texts = [(e.text or "", float(e.get("x")), float(e.get("y")), e.get("class") or "") for e in scale if e.tag == "text"] or \
            [t for t in self.texts if "scale" in t[3]]
        self.marks = [e for e in self.all if e not in scale]
        self.faults = []

    def fault(self, text):
        self.faults.append(f"{self.where}: {self.kind} '{self.title[:60]}': {text}")

    def near(self, what, got, want, off=0.06):
        if want is None or abs(got - want) > off:
            self.fault(f"{what} is drawn at {got:.2f}, belongs at {want if want is None else round(want, 2)}")

    def stays_in(self):
        for e in self.all:
            for x, y in points(e):
                if not (-0.01 <= x <= self.width + 0.01 and -0.01 <= y <= self.height + 0.01):
                    self.fault(f"{e.tag} {e.get('class')} leaves the drawing at {x}, {y}")

    def heads(self):
        """Filled triangles: their tip is the end of a line, their foot lies square across it."""
        ends = []
        for e in self.all:
            p = points(e)
            if e.tag in ("line", "polyline") or e.tag == "path" and "Z" not in e.get("d"):
                ends += [(p[-1], p[-2]), (p[0], p[1])]
        for e in self.all:
            p = points(e)
            closed = e.tag == "polygon" or e.tag == "path" and "Z" in e.get("d")
            if not closed or len(p) != 3 or (e.get("class") or "") not in ("k", "none ink"):
                continue
            tip, left, right = p
            if abs(math.dist(tip, left) - math.dist(tip, right)) > 0.12:
                self.fault(f"the head at {tip} is crooked")
            foot = ((left[0] + right[0]) / 2, (left[1] + right[1]) / 2)
            shafts = [(end, before) for end, before in ends if math.dist(end, tip) < 0.12]
            along = math.atan2(tip[1] - foot[1], tip[0] - foot[0])
            if shafts and min(abs((math.atan2(end[1] - b[1], end[0] - b[0]) - along + math.pi) % (2 * math.pi) - math.pi) for end, b in shafts) > 0.35:
                self.fault(f"the head at {tip} does not lie along its line")

    def axis(self, across):
        """(value -> place) of the ticks of a scale; None where it has none. across: along x."""
        rows = {}
        for text, x, y, kind in self.scale_texts:
            if value(text) is not None and (across != ("end" in kind.split() and self.kind == "figure")):
                rows.setdefault(round(y, 1) if across else round(x, 1), []).append((value(text), x if across else y, "e" in kind.split()))
        ticks = sorted(max(rows.values(), key=len, default=[]))
        lines = [p for p in self.scale_lines or [points(e) for e in self.all if e.tag == "line"]]
        places = [p[0][0] if across else p[0][1] for p in lines if abs(p[0][0] - p[1][0] if across else p[0][1] - p[1][1]) < 0.01]
        if sum(not moved for *_, moved in ticks) > 1:
            ticks = [t for t in ticks if not t[2]]  # the last word of a row can stand at the edge
        ticks = [(v, at if across and not moved else min(places, key=lambda q: abs(q - (at if across else at - 3.0)), default=at))
                 for v, at, moved in ticks]
        if not across and self.kind == "figure":
            for text, x, y, kind in self.scale_texts:
                if value(text) is not None and "end" in kind.split():
                    self.near(f"the word {text}", y - 3.0, min(places, key=lambda q: abs(q - y + 3.0), default=y), 0.06)
        if len(ticks) < 2:
            return None
        (v0, at0), (v1, at1) = ticks[0], ticks[-1]
        slope = (at1 - at0) / (v1 - v0)
        step = min(b[0] - a[0] for a, b in zip(ticks, ticks[1:]))
        for k, (v, at) in enumerate(ticks):
            self.near(f"tick {v}", at, at0 + (v - v0) * slope, 0.11)
            if abs(v - v0 - k * step) > 1e-6:
                self.fault(f"a tick lacks before {v}")
            if not any(abs(q - at) < 0.06 for q in places):
                self.fault(f"no line at the tick {v}")
        return lambda v: None if v is None else at0 + (v - v0) * slope, ticks, step

    def of(self, tag, kind):
        return [e for e in self.all if e.tag == tag and (e.get("class") or "") == kind]


def strips(page, plan, names):
    """Each way at its spherical equivalent; one and two spreads about it; the aim and the other eye."""
    head = next((d for d in page if d.kind == "strip-head"), None)
    found = head and head.axis(True)
    if not found:
        return
    at, ticks, step = found
    gap = ticks[1][1] - ticks[0][1]
    if ticks[-1][1] + gap < head.width - 0.01 or ticks[0][1] - gap > 0.01:
        head.fault("a tick lacks at the end")
    lens = plan["secondary"] or plan["replacement"] or {}
    for d in page:
        if d.kind != "strip":
            continue
        row = next((o for o in plan["options"] if o["rank"] is not None and d.title.startswith(names(o) + ":")), None)
        if not row:
            d.fault("is of no way of the plan")
            continue
        lines = sorted(points(e)[0][0] for k in ("f", "l") for e in d.of("line", k) if points(e)[0][0] == points(e)[1][0])
        for v, x in ticks:
            d.near(f"line of {v}", min(lines, key=lambda q: abs(q - x), default=99.0), x)
        gaps = [b - a for a, b in zip(lines, lines[1:])]
        if gaps and (max(gaps) - min(gaps) > 0.06 or lines[-1] + gaps[0] < d.width - 0.01 or lines[0] - gaps[0] > 0.01):
            d.fault("a line of the scale lacks")
        for e in d.of("line", "l") + d.of("line", "f"):  # that of zero alone is full
            if points(e)[0][0] == points(e)[1][0] and (abs(points(e)[0][0] - at(0.0)) < 0.06) != (e.get("class") == "l"):
                d.fault(f"a line of the scale at {points(e)[0][0]} is drawn {e.get('class')}")
        for e in d.of("circle", "k"):
            d.near("the dot", float(e.get("cx")), at(row["expected_se_d"]))
        for kind, spreads in (("l", 1.96), ("h2", 1)):
            for e in d.of("line", kind):
                (x0, y0), (x1, y1) = points(e)
                if y0 == y1 and row["sd_d"] is not None:
                    low, high = (at(row["expected_se_d"] + s * spreads * row["sd_d"]) for s in (-1, 1))
                    d.near("a spread's start", x0, max(0.0, low), 0.1)
                    d.near("a spread's end", x1, min(d.width, high), 0.1)
        if lens.get("target_se_d") is not None:
            for e in d.of("line", "b"):
                d.near("the aim", points(e)[0][0], at(lens["target_se_d"]))


def waterfall(d, plan):
    """From what was meant by the sheet's part and the eye's part to what is."""
    found, s = d.axis(True), plan["surprise"]
    if not found or not s or s["selection_part_d"] is None:
        return
    at, ticks, step = found
    meant, now = s["intended_se_d"], s["current_se_d"]
    ways = {"g": (meant, meant + s["selection_part_d"]), "p": (meant + s["selection_part_d"], now)}
    for e in d.of("rect", "g") + d.of("rect", "p"):
        (x0, _), (x1, _) = points(e)
        low, high = sorted(map(at, ways[e.get("class")]))
        d.near("a bar's start", x0, low, 0.12)
        d.near("a bar's end", x1, high, 0.12)
    diamonds = [p for p in map(points, d.of("path", "k")) if len(p) >= 4]
    reach = (meant, meant + s["selection_part_d"], now)
    if ticks[0][0] < min(reach) - 1.6 or ticks[-1][0] > max(reach) + 1.6:
        d.fault("its scale is far wider than what is drawn")
    for p, v in zip(diamonds, (meant, now)):
        d.near("a diamond", p[0][0], at(v), 0.12)


def steps(d, plan, lens):
    """Steps of the shelf: each at its power and its equivalent, bars of one spread."""
    across, up = d.axis(True), d.axis(False)
    if not across or not up:
        return
    own = [c for c in lens["choices"] if c["lens_id"] == lens["lens_id"]]
    middles = [(float(e.get("cx")), float(e.get("cy"))) for e in d.of("circle", "plain paper")] + \
        [(p[0][0], (p[0][1] + p[2][1]) / 2) for p in map(points, d.of("polygon", "none ink")) if len(p) == 4]
    bars = [p for p in map(points, (e for e in d.marks if e.tag == "line" and e.get("class") == "plain")) if p[0][0] == p[1][0]]
    for c in own:
        x, y = across[0](c["power_d"]), up[0](c["expected"]["se_d"])
        if not any(abs(a - x) < 0.12 and abs(b - y) < 0.12 for a, b in middles):
            d.fault(f"no mark at {c['power_d']} D, {c['expected']['se_d']} D")
        ends = sorted(up[0](c["expected"]["se_d"] + s * c["sd_d"]) for s in (-1, 1))
        if not any(abs(p[0][0] - x) < 0.12 and abs(min(p[0][1], p[1][1]) - ends[0]) < 0.15 and abs(max(p[0][1], p[1][1]) - ends[1]) < 0.15 for p in bars):
            d.fault(f"no bar of one spread at {c['power_d']} D")
    if len(middles) != len(own):
        d.fault(f"{len(middles)} marks for {len(own)} steps")
    for e in (e for e in d.marks if e.tag == "line" and e.get("class") == "dashed"):
        d.near("the aim", points(e)[0][1], up[0](lens["target_se_d"]), 0.12)
    for e in (e for e in d.marks if e.tag == "line" and e.get("class") == "dotted"):
        d.near("the exact power", points(e)[0][0], across[0](lens["power_exact_d"]), 0.12)


def shares(d, plan):
    """A bar a cause, as long as its share, with its percent."""
    found = d.axis(True)
    if not found:
        return
    bars = [e for e in d.marks if e.tag == "polygon" and len(points(e)) == 4]
    causes = [c for c in plan["surprise"]["causes"] if c["share"] is not None]
    for e, c in zip(bars, causes):
        d.near("the end of " + c["quantity"], max(x for x, _ in points(e)), found[0](100 * c["share"]), 0.2)
    told = " ".join(t for t, *_ in d.texts)
    words = [t for t in d.texts if "\u00a0% " in t[0]]
    for e, (text, x, y, _) in zip(bars, words):
        end, top, low = max(x for x, _ in points(e)), min(y for _, y in points(e)), max(y for _, y in points(e))
        if not (2.0 < x - end < 9.0 and abs(y - 3.0 - (top + low) / 2) < 1.0):
            d.fault(f"'{text}' does not stand behind its bar")
    for c in causes:
        near = [f"{round(100 * c['share'] + off):.0f}\u00a0%\u0020{c['quantity'].replace('-', ' ')}" for off in (-0.01, 0.01)]
        if not any(n in told for n in near):
            d.fault(f"{near[0]} is not told")
    if len(bars) != len(causes):
        d.fault(f"{len(bars)} bars for {len(causes)} causes")


def dial(d):
    """Twelve hours, thirty degrees apart; degrees go anticlockwise from three o'clock; a tick from the ring to each."""
    ring = next(e for e in d.all if (e.get("class") or "").split()[:1] == ["ring"])
    cx, cy, r = (float(ring.get(k)) for k in ("cx", "cy", "r"))
    hours = {int(t): (x, y - 1.1) for t, x, y, kind in d.texts if re.fullmatch(r"\d+", t) and "scale" in kind}
    if set(hours) != set(range(1, 13)):
        d.fault(f"hours {sorted(hours)}")
        return
    angle = lambda x, y: math.degrees(math.atan2(cy - y, x - cx))
    turned = angle(*hours[3])
    for h, (x, y) in hours.items():
        off = (angle(x, y) - turned - 30 * (3 - h) + 180) % 360 - 180
        if abs(off) > 1.5 or abs(math.dist((x, y), (cx, cy)) - math.dist(hours[3], (cx, cy))) > 0.3:
            d.fault(f"{h} o'clock is out of its place")
        if not any(abs(math.dist(p[0], (cx, cy)) - r) < 0.03 and abs((angle(*p[0]) - turned - 30 * (3 - h) + 180) % 360 - 180) < 0.3
                   for p in map(points, d.of("line", "l"))):
            d.fault(f"no tick on the ring at {h} o'clock")
    told = [t for t, *_ in d.texts]
    for drawn in ("wound", "junction"):
        if any(e.get("class") == drawn for e in d.all) and not any(drawn in t for t in told):
            d.fault(f"the {drawn} is not named")
    for optic in d.of("circle", "optic")[:1]:
        x, y, rim = (float(optic.get(k)) for k in ("cx", "cy", "r"))
        for kind in ("junction", "junction-now"):
            for p in map(points, d.of("line", kind)):
                ends = sorted(math.dist(at, (x, y)) for at in p)
                if not ends[0] < rim - 1.0 < rim + 1.0 < ends[1]:
                    d.fault(f"the {kind} does not cross the rim")
    degrees = [(int(t[:-1]), x, y - 1.1) for t, x, y, kind in d.texts if re.fullmatch(r"\d+°", t) and "scale" in kind]
    if len(degrees) < 12:
        told = sorted(v for v, *_ in degrees)
        if told not in (list(range(0, 360, 30)), [0, 90, 180, 270], []) or not told and "cut-dial" in d.kind:
            d.fault(f"degrees {told}")
    for v, x, y in degrees:
        if abs((angle(x, y) - turned - v + 180) % 360 - 180) > 2.5:
            d.fault(f"{v} degrees is out of its place")


def days(d, plan):
    """Windows on the scale of days."""
    found = d.axis(True)
    if not found or found[1][0][0] != 0:
        return
    at = found[0]
    right = max(max(p[0][0], p[1][0]) for p in d.scale_lines)
    heavy = [points(e) for e in d.marks if e.tag == "line" and e.get("class") == "heavy"]
    for w in plan["timing"]["windows"]:
        if w["what"] == "laser-judged":
            continue
        start = at(w["from_day"] or 0)
        end = right if w["to_day"] is None else min(right, at(w["to_day"]))
        if start < right and not any(abs(p[0][0] - start) < 0.3 and abs(p[1][0] - end) < 0.3 for p in heavy):
            d.fault(f"no bar for {w['what']} from day {w['from_day']} to {w['to_day']}")


def polar(d, plan):
    """Cylinders at twice their axis: circles, and two faint lines through the middle."""
    rings = [e for e in d.marks if e.tag == "circle" and e.get("class") == "faint"]
    if not rings:
        return
    cx, cy = float(rings[0].get("cx")), float(rings[0].get("cy"))
    rim = max(float(e.get("r")) for e in rings)
    for e in d.marks:
        if e.tag == "line" and e.get("class") == "faint":
            (x0, y0), (x1, y1) = points(e)
            d.near("a cross line's middle", (x0 + x1) / 2, cx, 0.12)
            d.near("a cross line's middle", (y0 + y1) / 2, cy, 0.12)
            d.near("a cross line's end", math.dist((x0, y0), (x1, y1)) / 2, rim, 0.15)
            if min(abs(x0 - x1), abs(y0 - y1)) > 0.06:
                d.fault("a cross line lies askew")
    arrows_of(d, plan, cx, cy, rim)


def arrows_of(d, plan, cx, cy, rim):
    """An arrow from what is today to each cylinder that is expected, where they lie apart; by Thibos: half the cylinder, at twice its axis."""
    most = max((value(m[1]) for t, *_ in d.texts if (m := re.search(rf"J0 ({NUMBER})", t))), default=None)
    i, s, r = plan["incision"], plan["spectacles"], plan["rotation"]
    chosen = [next((c["expected"] for c in p["choices"] if c["chosen"]), None) for p in (plan["secondary"] or plan["replacement"] or {"choices": []},)]
    second = plan["piggyback"] and plan["piggyback"]["suitable"] is not False and next((c["expected"] for c in plan["piggyback"]["choices"] if c["chosen"]), None)
    steep = lambda c, a: None if c is None or a is None else (-c, a + 90.0)
    own = lambda e: None if not e or e["cylinder_d"] is None or e["axis_deg"] is None else (e["cylinder_d"], e["axis_deg"])
    now = own(s)
    cornea = (steep(i["corneal_cylinder_now_d"], i["corneal_axis_now_deg"]), steep(i["corneal_cylinder_after_d"], i["corneal_axis_after_deg"])) if i else (None, None)
    turned = own(r["expected"]) if r and r["suitable"] is not False else None
    pairs = [cornea] + [(now, own(e)) for e in chosen + [second or None]] + [(now, turned)]

    def at(p):
        j0, j45 = (-p[0] / 2.0 * f(math.radians(2.0 * p[1])) for f in (math.cos, math.sin))
        return cx + rim * j0 / most, cy - rim * j45 / most
    wanted = [(at(a), at(b)) for a, b in pairs if a and b]
    shafts = [points(e) for e in d.marks if e.tag == "line" and e.get("class") == "plain"]
    for a, b in wanted:
        if math.dist(a, b) > 0.3 * rim and not any(math.dist(p[0], a) < 0.13 * rim and math.dist(p[-1], b) < 0.13 * rim for p in shafts):
            d.fault(f"no arrow from {a} to {b}: {shafts}")
    if len([1 for a, b in wanted if math.dist(a, b) > 0.22 * rim]) < len([p for p in shafts if math.dist(*p) > 0.22 * rim]):
        d.fault("an arrow from nowhere")


PLACE = {"bag": "bag", "sulcus": "sulcus", "sulcus-captured": "sulcus, captured", "sclera": "sclera", "chamber": "chamber",
         "iris-behind": "behind the iris", "iris-front": "before the iris"}


def spoken(markup):
    """The words of a piece of a page, spaces and signs as in the text."""
    markup = re.sub(r"<svg.*?</svg>", " ", re.sub(r"<(script|style).*?</\1>", " ", markup, flags=re.S), flags=re.S)
    text = html.unescape(re.sub(r"<[^>]+>", " ", markup)).replace("\u2212", "-").replace("\u00d7", "x").replace("\u2019", "'")
    return re.sub(r" ([,.;:)])", r"\1", re.sub(r"\s+", " ", re.sub(r"(\d)\s*°", r"\1 deg", text)))


def near(text, x, digits=2):
    """Whether a printed number is this one: the plan has three digits or more."""
    return abs(float(text) - x) <= 0.5 * 10 ** -digits + 0.0006


def sheets(page, plan, full):
    """Sheet 1 and the theatre card say what the plan holds; the tables of the page have the words of the whole text."""
    faults, S = [], r"([+-]?\d+\.\d+) D"
    at = page.find("Tables: what it is built on")
    words = spoken(page[:at])
    settled = all(part["standing"] == "advised" for part in (plan["secondary"], plan["replacement"], plan["piggyback"]) if part)
    ways = [o for o in plan["options"] or [] if o["rank"] is not None and o["expected_se_d"] is not None]
    for m in re.finditer(rf"(\d) (\? )?([a-z ,]+?) {S} cyl (about 0|[+-]?\d+\.\d+ D|not known)", words):
        o = next((o for o in ways if o["rank"] == int(m[1])), None)
        if not o or not near(m[4], o["expected_se_d"]):
            faults.append(f"sheet 1: way {m[0]}")
        elif m[5] == "about 0":
            if o["option"] not in ("corneal-laser", "contact-lens", "spectacles") or abs(o["expected_cylinder_d"]) > 0.005:
                faults.append(f"sheet 1: cylinder of way {m[0]}")
        elif m[5] != "not known" and not near(m[5][:-2], o["expected_cylinder_d"]):
            faults.append(f"sheet 1: cylinder of way {m[0]}")
    shown = len(re.findall(r'<svg role="img" class="strip"', page[:at]))
    if settled and len(re.findall(r" cyl (?:about 0|[+-]?\d|not known)", words)) < sum(o["expected_cylinder_d"] is not None for o in ways[:shown]):
        faults.append("sheet 1: a way without its cylinder")
    chances = [(c["within_half_d"], c["within_one_d"]) for part in (plan["secondary"], plan["replacement"], plan["piggyback"]) if part
               for c in part["choices"]] + [(w["within_half_d"], w["within_one_d"]) for w in (plan["two_lenses"] or {"ways": []})["ways"]]
    for m in re.finditer(r"(\d+) of 100 eyes within 0\.50 D of the target, (\d+) within 1\.00 D", words):
        if not any(a is not None and near(m[1], 100 * a, 0) and near(m[2], 100 * b, 0) for a, b in chances):
            faults.append(f"sheet 1: chances {m[0]}")
    places = {name: f for f in plan["fallbacks"] or [] if f["power_d"] is not None for name in [PLACE[f["position"]]]}
    for m in re.finditer(rf"({'|'.join(map(re.escape, PLACE.values()))}) ([a-z0-9-]+) {S} {S} {S}", words):
        f = places.get(m[1])
        if not f or f["lens_id"] != m[2] or not all(near(a, b) for a, b in zip(m.groups()[2:], (f["power_d"], f["aim_d"], f["expected_se_d"]))):
            faults.append(f"sheet 1: place {m[0]}")
    for name, f in list(places.items())[:1] if settled and "If the place does not hold, in order" in words and "NO FIT" not in words else []:
        if abs(f["expected_se_d"] - f["aim_d"]) < 0.5 and not re.search(rf"{re.escape(name)} {re.escape(f['lens_id'])} ", words):
            faults.append(f"sheet 1: {name} is not told")
    support, cells = plan["support"], plan["endothelium"]
    m = re.search(r"Risk to the bag: ([a-z ]+) \((\d+) points?(?:, (\d+) not looked for)?\)", words)
    open_ = sum(f["state"] == "unknown" for f in support["factors"]) if support else 0
    if "Risk to the bag:" in words and not m or m and not (m[1] == support["tier"].replace("-", " ") and int(m[2]) == support["score_if_unknowns_present"] and
                                                           int(m[3] or 0) == open_ and m[3] != "0"):
        faults.append(f"sheet 1: {m and m[0]}, {open_} not looked for")
    m = re.search(r"Corneal cells (\d+) per mm², after an exchange (\d+) \((\d+) in one eye of 20\)", words)
    if m and [int(n) for n in m.groups()] != [cells["cells_now_per_mm2"], cells["cells_expected_per_mm2"], cells["cells_low_per_mm2"]]:
        faults.append(f"sheet 1: {m[0]}")
    cause = re.search(r"^Cause  +(.*?)\n(?=\S)", full, re.M | re.S)
    if cause and "What went wrong" in words and "Cause:" in words:
        told = re.sub(r"\s+", " ", cause[1])
        if f"Cause: {told}" not in words:
            faults.append(f"sheet 1: cause {told}")
    surprise = plan["surprise"] or {}
    for what, key in (("now", "current_se_d"), ("miss", "miss_d"), ("meant", "intended_se_d")):
        for m in re.finditer(rf"[,:.] ?{what} ([+-]?[\d.]+ D|[,.:]|[a-z])", words[words.find("What went wrong"):words.find("The ways that fit")]):
            if what != "meant" and not re.match(r"[+-]?[\d.]+ D", m[1]) and m[1] in ",.:":
                faults.append(f"sheet 1: {what} is not told")
            elif m[1].endswith(" D") and surprise.get(key) is not None and not near(m[1][:-2], surprise[key]):
                faults.append(f"sheet 1: {m[0]}, the plan has {surprise[key]}")
    card = page[:at]
    card = spoken(card[card.find('class="sheet theatre'):]) if 'class="sheet theatre' in card else ""
    faults += theatre(card[:card.find('Your ')] if 'Your ' in card else card, plan) if card else []
    for item in plan["theatre_list"] or []:
        if card and item["kind"] == "instrument" and item["item"] in card and item["count"] > 1 and f"{item['item']} x {item['count']}" not in card:
            faults.append(f"card: {item['item']} x {item['count']}")
    mine = page.find('class="sheet patient')
    told = spoken(page[mine:at])
    where = 0
    for row in plan["patient"] or [] if mine > 0 else []:
        said = spoken(row["say"]).strip()
        if said not in told:
            faults.append(f"patient: not told: {said}")
        elif row["part"] == "found":  # in the order of the plan
            if told.find(said) < where:
                faults.append(f"patient: out of order: {said}")
            where = max(where, told.find(said))
    faults += dials(page[:at], plan)
    faults += same_tables(page[at:], full, settled)
    return faults


def same_tables(markup, full, settled):
    """Every table of the text stands on the page too, column by column with the same words; and none more."""
    on_page, faults = {}, []
    for table in re.findall(r"<table.*?</table>", markup, re.S):
        rows = [[letters(spoken(cell)) for cell in re.findall(r"<t[hd][^>]*>(.*?)</t[hd]>", row, re.S)] for row in re.findall(r"<tr.*?</tr>", table, re.S)]
        on_page.setdefault(rows[0][0] if rows[0] else "", []).append((rows[0], ["".join(row[k] for row in rows[1:] if k < len(row)) for k in range(len(rows[0]))]))
    for name, lines in sections(full).items():
        for first, some in tables(lines).items():
            for heads, columns in some:
                mine = [letters(h) for h in heads], [letters(c) for c in columns]
                here = on_page.get(letters(first), [])
                like = [t for t in here if t[0] == mine[0] and t[1][0] == mine[1][0]]
                if mine not in here and (settled or like):  # powers that nobody may order by stand in the text alone
                    faults.append(f"tables, {name}, {first}: page {here[:1]}, text {mine}")
    return faults


def letters(text):
    return re.sub(r"\s", "", text).replace("²", "2")


OTHER_SITE = "tests/rows/fit_site.json"


def past_cases(past):
    """The page of past cases: scales, arrows, tags; a share has no sign."""
    run = lambda how, *more: subprocess.run([program, "recheck", past, "--as-of", "2026-09-01", *more, "--format", how], capture_output=True, text=True).stdout
    page = run("html")
    balance = Balance()
    balance.feed(page)
    faults = [f"{past}: {f}" for f in balance.faults[:1]] + ([f"{past}: not closed: {balance.open}"] if balance.open else [])
    for more in ([], ["--compare", "examples/site.json", OTHER_SITE]):
        faults += [f"{past}: {f}" for f in same_tables(run("html", *more), run("text", *more), True)]
    drawings = [Drawing(text, past) for text in re.findall(r"<svg.*?</svg>", page, re.S)]
    for d in drawings:
        d.stays_in()
        d.heads()
        d.axis(True), d.axis(False)
        shares = any("%" in t and "axis" in kind for t, _, _, kind in d.scale_texts)
        if shares and any(re.fullmatch(r"\+\d+", t) and "end" in kind for t, _, _, kind in d.scale_texts):
            d.fault("a share with a sign")
    figures(drawings, json.loads(run("json")))
    return faults + [f for d in drawings for f in d.faults], len(drawings)


def check(case):
    if case.endswith(".jsonl"):
        return past_cases(case)
    run = lambda *more: subprocess.run([program, "plan", case, *SITE, *more], capture_output=True, text=True).stdout
    plan, page = json.loads(run("--format", "json")), run("--format", "html")
    balance = Balance()
    balance.feed(page)
    faults = [f"{case}: {f}" for f in balance.faults[:1]] + ([f"{case}: not closed: {balance.open}"] if balance.open else [])
    faults += [f"{case}: {f}" for f in sheets(page, plan, run("--full"))]
    screen = run("--only", "theatre")
    faults += [f"{case}: {f}" for f in ticked(page, screen, plan, json.load(open(case))) + ways_out(page, screen, plan) +
               decide(page, run(), plan)]
    drawings = [Drawing(text, case) for text in re.findall(r"<svg.*?</svg>", page, re.S)]
    ranked = sorted((o for o in plan["options"] or [] if o["rank"] is not None), key=lambda o: o["rank"])
    lens = plan["secondary"] or plan["replacement"]
    name_of = {}
    for o in ranked:
        want = None if o["expected_se_d"] is None else o["expected_se_d"]
        for d in drawings:
            if d.kind == "strip" and want is not None and id(d) not in name_of.values():
                m = re.search(rf"SE ({NUMBER})", d.title)
                if m and abs(value(m[1]) - want) < 0.006 and o["option"] not in name_of:
                    name_of[o["option"]] = id(d)
    by_drawing = {at: option for option, at in name_of.items()}
    strips([d for d in drawings if d.kind == "strip-head" or id(d) in by_drawing], plan,
           lambda o: next((d.title.split(":")[0] for d in drawings if by_drawing.get(id(d)) == o["option"]), "\0"))
    for d in drawings:
        d.stays_in()
        d.heads()
        shapes(d, plan)
        if d.kind == "waterfall":
            waterfall(d, plan)
        elif "dial" in d.kind.split():
            dial(d)
        elif d.title.startswith("Expected refraction of each step"):
            steps(d, plan, lens)
        elif d.title.startswith("What explains"):
            shares(d, plan)
        elif d.title.startswith("Days since"):
            days(d, plan)
        elif d.title.startswith("Astigmatism at each step"):
            polar(d, plan)
        faults += d.faults
    # On the day of the case itself, which is earlier: what is drawn of days and steps then.
    then = lambda how: subprocess.run([program, "plan", case, *SITE[:2], "--format", how], capture_output=True, text=True).stdout
    early = json.loads(then("json"))
    faults += [f"{case}, on its day: {f}" for f in decide(then("html"), then("text"), early)]
    for d in (Drawing(text, f"{case}, on its day") for text in re.findall(r"<svg.*?</svg>", then("html"), re.S)):
        d.stays_in()
        shapes(d, early)
        faults += d.faults
    return faults, len(drawings)


def two_eyes():
    """The page of two eyes has the tables of its text."""
    run = lambda how: subprocess.run([program, "plan", "tests/inputs/pair-left.json", "examples/hyperopic-surprise.json", "--format", how],
                                     capture_output=True, text=True).stdout
    page = run("html")
    faults = same_tables(page, run("text"), True)
    balance = Balance()
    balance.feed(page)
    return [f"two eyes: {f}" for f in faults + balance.faults[:1] + balance.open], 0


with ThreadPoolExecutor(2) as pool:
    found = list(pool.map(check, sys.argv[2:])) + [two_eyes()]
faults = [f for some, _ in found for f in some]
print("\n".join(faults[:20]))
if faults:
    sys.exit(f"FAILED drawn: {len(faults)}")
print(f"passed drawn: {sum(n for _, n in found)} drawings of {len(found)} pages")
