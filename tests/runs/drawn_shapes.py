"""Shapes of the drawings, by plane geometry: what is drawn as a circle is one, both halves of a sign are alike, rows and dots stand evenly, a pointer
ends on what it names, words do not stand on each other. Usage from drawn_check.py."""
import math, re

SIZE = {"s": 2.9, "p12": 4.25, "eye": 4.0, "stop-word": 4.4}
NARROW, WIDE = set("fijlrt.,:;()I' \u00a0"), set("mwMW%")


def path(e):
    numbers = [float(n) for n in re.findall(r"-?\d+\.?\d*", e.get("d") or e.get("points") or "")]
    return list(zip(numbers[::2], numbers[1::2]))


def box(text, x, y, kind, size):
    """Where a word stands, a little too narrow."""
    wide = size * sum(0.25 if c in NARROW else 0.8 if c in WIDE else 0.5 for c in text)
    left = x - wide / 2 if kind & {"m", "middle"} else x - wide if kind & {"e", "end"} else x
    return left, left + wide, y - 0.68 * size, y


def words(d):
    boxes = []
    for text, x, y, kind in d.texts:
        kinds = set(kind.split())
        size = 8.8 if d.kind == "figure" else next((SIZE[k] for k in SIZE if k in kinds), 3.1)
        if text.strip():
            boxes.append((text, box(text, x, y, kinds, size)))
    for k, (text, (x1, x2, y1, y2)) in enumerate(boxes):
        if x1 < -0.3 or x2 > d.width + 0.3 or y1 < -0.3 or y2 > d.height + 0.1:
            d.fault(f"the word '{text}' leaves the drawing")
        for other, (a1, a2, b1, b2) in boxes[k + 1:]:
            if min(x2, a2) - max(x1, a1) > 0.3 and min(y2, b2) - max(y1, b1) > 0.3:
                d.fault(f"'{text}' stands on '{other}'")


def round_about(points, at=None):
    """Middle and radius of points on a circle, else None."""
    (ax, ay), (bx, by), (cx, cy) = points[0], points[len(points) // 2], points[-1]
    w = 2.0 * (ax * (by - cy) + bx * (cy - ay) + cx * (ay - by))
    x = ((ax * ax + ay * ay) * (by - cy) + (bx * bx + by * by) * (cy - ay) + (cx * cx + cy * cy) * (ay - by)) / w
    y = ((ax * ax + ay * ay) * (cx - bx) + (bx * bx + by * by) * (ax - cx) + (cx * cx + cy * cy) * (bx - ax)) / w
    r = math.dist((x, y), points[0])
    return (x, y, r) if all(abs(math.dist(p, (x, y)) - r) < 0.03 for p in points) else None


def alike(d, points, level, what):
    """The lower half is the mirror of the upper one."""
    for (x, y), (u, v) in zip(points, points[::-1]):
        if abs(x - u) > 0.03 or abs(y + v - 2 * level) > 0.03:
            return d.fault(f"{what} is not alike above and below at {x}, {y}")


def same_about(d, points, what):
    """A closed outline that a half turn leaves as it is."""
    half = len(points) // 2
    middles = [((x + u) / 2, (y + v) / 2) for (x, y), (u, v) in zip(points[:half], points[half:])]
    if any(math.dist(m, middles[0]) > 0.03 for m in middles):
        d.fault(f"{what} is crooked")
    return middles[0]


def two_eyes(d):
    outlines, discs = [path(e) for e in d.all if e.tag == "path"], [e for e in d.all if e.tag == "circle"]
    letters = [(t, x) for t, x, _, kind in d.texts if "eye" in kind.split()]
    middles = [(min(x for x, _ in p) + max(x for x, _ in p)) / 2 for p in outlines]
    wide = [max(x for x, _ in p) - min(x for x, _ in p) for p in outlines]
    if abs(sum(middles) - d.width) > 0.03 or abs(wide[0] - wide[1]) > 0.03 or middles[1] - middles[0] < wide[0]:
        d.fault("the two eyes are not alike")
    for p, disc, (letter, x) in zip(outlines, discs, letters):
        cx, cy, r = (float(disc.get(k)) for k in ("cx", "cy", "r"))
        low, high = min(y for _, y in p), max(y for _, y in p)
        if abs(cx - (min(x for x, _ in p) + max(x for x, _ in p)) / 2) > 0.03 or abs(cx - x) > 0.03 or abs(low + high - 2 * cy) > 0.03 or \
                abs(cy - d.height / 2) > 0.03 or not 0.35 * (high - low) < 2 * r < 0.75 * (high - low):
            d.fault(f"the disc of {letter} is out of its place")
        same_about(d, p[:24], "an eye")
    if [t for t, _ in letters] != ["R", "L"] or letters[0][1] > letters[1][1]:
        d.fault("R does not stand on the left")


def stop_sign(d):
    for e in (e for e in d.all if e.tag == "path"):
        p = path(e)
        circle = len(p) == 8 and round_about(p)
        sides = {round(math.dist(a, b), 1) for a, b in zip(p, p[1:] + p[:1])}
        if not circle or len(sides) != 1 or math.dist(circle[:2], (d.width / 2, d.height / 2)) > 0.03 or min(y for _, y in p) > 1.0:
            d.fault("is no octagon in the middle")
    for text, x, y, _ in d.texts:
        if abs(x - d.width / 2) > 0.03 or abs(y - 0.34 * SIZE["stop-word"] - d.height / 2) > 0.25:
            d.fault(f"{text} does not stand in the middle")


def dots(d):
    discs = [(float(e.get("cx")), float(e.get("cy")), float(e.get("r")), e.get("class")) for e in d.all if e.tag == "circle"]
    columns, rows = sorted({x for x, *_ in discs}), sorted({y for _, y, *_ in discs})
    for some, size in ((columns, d.width), (rows, d.height)):
        gaps = [b - a for a, b in zip(some, some[1:])]
        if len(some) != 10 or max(gaps) - min(gaps) > 0.03 or min(gaps) < 2 * discs[0][2] + 1.0 or abs(some[0] + some[-1] - size) > 1.0:
            d.fault(f"its dots do not stand evenly: {some}")
    filled = [kind == "k" for *_, kind in sorted(discs, key=lambda c: (c[1], c[0]))]
    if len(discs) != 100 or filled != sorted(filled, reverse=True) or len({r for _, _, r, _ in discs}) != 1:
        d.fault("its dots are not filled from the top")
    told = re.search(r"(\d+) (?:of|von) 100", d.title)
    if told and sum(filled) != int(told[1]):
        d.fault(f"{sum(filled)} dots are filled")


def near_path(points, at):
    """How far a point lies from a broken line."""
    least = 1e9
    for (x1, y1), (x2, y2) in zip(points, points[1:]):
        length = (x2 - x1) ** 2 + (y2 - y1) ** 2
        t = 0.0 if length == 0 else max(0.0, min(1.0, ((at[0] - x1) * (x2 - x1) + (at[1] - y1) * (y2 - y1)) / length))
        least = min(least, math.dist(at, (x1 + t * (x2 - x1), y1 + t * (y2 - y1))))
    return least


def inside(points, at):
    hit = False
    for (x1, y1), (x2, y2) in zip(points, points[1:] + points[:1]):
        if (y1 > at[1]) != (y2 > at[1]) and at[0] < (x2 - x1) * (at[1] - y1) / (y2 - y1) + x1:
            hit = not hit
    return hit


def eye_side(d):
    open_paths = [(e.get("class"), path(e)) for e in d.all if e.tag == "path" and "Z" not in e.get("d")]
    ball = next(p for kind, p in open_paths if kind == "l")
    window = next(p for kind, p in open_paths if kind in ("h", "hh") and p is not ball)
    film = next(p for kind, p in open_paths if kind in ("grey", "hh") and p is not window)
    circle, inner = round_about(ball), round_about(film)
    if not circle or not inner or math.dist(circle[:2], inner[:2]) > 0.05 or not 1.0 < circle[2] - inner[2] < 2.5:
        return d.fault("ball and film are no circles about one middle")
    cx, cy, r = circle
    for what, p in (("the ball", ball), ("the film", film), ("the window", window)):
        alike(d, p, cy, what)
    if min(math.dist(window[0], e) + math.dist(window[-1], o) for e, o in ((ball[0], ball[-1]), (ball[-1], ball[0]))) > 0.05:
        d.fault("the window does not close the ball")
    if min(x for x, _ in window) > cx - r - 1.0:
        d.fault("the window does not bulge")
    iris = [path_of_line(e) for e in d.of("line", "hh2")]
    if len(iris) != 2 or any(abs(a - b) > 0.03 for (a, _), (b, _) in zip(*iris)) or any(abs(a + b - 2 * cy) > 0.03 for (_, a), (_, b) in zip(*iris)):
        d.fault("the ring is not alike above and below")
    closed = [path(e) for e in d.all if e.tag == "path" and "Z" in e.get("d") and len(path(e)) == 24]
    for p in closed:
        at = same_about(d, p, "a lens")
        if any(math.dist(q, (cx, cy)) > r for q in p):
            d.fault("a lens leaves the eye")
    skin = [p for kind, p in open_paths if kind == "b"]
    for p in skin:
        alike(d, p, cy, "the skin")
    if skin and closed and not all(min(y for _, y in skin[0]) < min(y for _, y in p) and max(x for x, _ in skin[0]) > max(x for x, _ in p)
                                   for p in closed[:1]):
        d.fault("the skin does not lie behind the lens")
    named = {"clear window": [window], "coloured ring": iris, "film that sees": [film], "thin skin": skin}
    pointers = [path_of_line(e) for e in d.of("line", "thin")]
    texts = [(t, box(t, x, y, set(kind.split()), SIZE["p12"])) for t, x, y, kind in d.texts]
    for start, end in pointers:
        text, (x1, x2, y1, y2) = min(texts, key=lambda t: math.dist(start, (min(max(start[0], t[1][0]), t[1][1]), min(max(start[1], t[1][2]), t[1][3]))))
        off = math.dist(start, (min(max(start[0], x1), x2), min(max(start[1], y1), y2)))
        if off > 2.6:
            d.fault(f"a pointer begins {off:.1f} mm from '{text}'")
        if text in named and min(near_path(p, end) for p in named[text]) > 0.9:
            d.fault(f"the pointer of '{text}' ends beside it")
        if text not in named and "lens" in text and not any(inside(p, end) for p in closed):
            d.fault(f"the pointer of '{text}' ends beside it")
    rays = sorted(e for e in map(path_of_line, d.of("line", "b")) if e[0][1] == e[1][1])
    if rays and (len(rays) != 3 or abs(rays[0][0][1] + rays[2][0][1] - 2 * cy) > 0.03 or abs(rays[1][0][1] - cy) > 0.03 or
                 any(a[0][0] != rays[0][0][0] or a[1][0] >= min(x for x, _ in window) + 0.5 for a in rays)):
        d.fault("the rays do not meet the window")


def path_of_line(e):
    return [(float(e.get("x1")), float(e.get("y1"))), (float(e.get("x2")), float(e.get("y2")))]


def waterfall(d):
    """Four rows, evenly: meant, sheet, eye, now; each with its name and, between rows, its step."""
    diamonds = [path(e) for e in d.all if e.tag == "path" and e.get("class") == "k"]
    bars = [e for e in d.all if e.tag == "rect" and e.get("class") in ("g", "p")]
    tall = lambda e: (float(e.get("y")) + float(e.get("height")) / 2, float(e.get("height")))
    rows = sorted([(p[0][1] + p[2][1]) / 2 for p in diamonds] + [tall(e)[0] for e in bars])
    gaps = [b - a for a, b in zip(rows, rows[1:])]
    if len(rows) != 4 or max(gaps) - min(gaps) > 0.03:
        d.fault(f"its rows do not stand evenly: {rows}")
    for p in diamonds:
        same_about(d, p, "a diamond")
        if abs(math.dist(p[0], p[2]) - math.dist(p[1], p[3])) > 0.03:
            d.fault("a diamond is not square")
    if any(abs(tall(e)[1] - tall(bars[0])[1]) > 0.01 or tall(e)[1] > gaps[0] - 1.0 for e in bars):
        d.fault("a bar is higher than the other")
    names = [(t, x, y) for t, x, y, kind in d.texts if t in ("meant", "sheet", "eye", "now", "read")]
    if [t for t, _, y in sorted(names, key=lambda n: n[2])][:3] != ["meant", "sheet", "eye"] or len({x for _, x, _ in names}) != 1:
        d.fault(f"its rows are named {names}")
    for t, x, y, kind in d.texts:
        row = min(rows, key=lambda q: abs(q + 1.05 - y))
        if "scale" not in kind and abs(row + 1.05 - y) > 0.12:
            d.fault(f"'{t}' does not stand in its row")
    steps = sorted(sorted(y for _, y in path_of_line(e)) for e in d.of("line", "b"))
    if any(abs(a - rows[k]) > 0.03 or abs(b - rows[k + 1]) > 0.03 for k, (a, b) in enumerate(steps)) or len(steps) != 3:
        d.fault(f"its steps run {steps}, its rows are {rows}")
    for e in d.of("rect", "paper"):  # behind a word, and on no mark
        x, y, w, h = (float(e.get(k)) for k in ("x", "y", "width", "height"))
        mine = [t for t in d.texts if box(t[0], t[1], t[2], set(t[3].split()), 3.1 if "t" in t[3].split() else 2.9)[0] > x - 0.05 and x - 0.05 < t[1] < x + w + 0.05 and y < t[2] <= y + h]
        if len(mine) != 1:
            d.fault(f"a piece of paper at {x}, {y} lies behind {len(mine)} words")


def strip_head(d):
    numbers = [box(t, x, y, set(kind.split()), SIZE["s"]) for t, x, y, kind in d.texts if "scale" in kind]
    for e in d.of("line", "b") + d.of("line", "dot") + d.of("line", "l"):
        (x1, _), (x2, low) = path_of_line(e)
        struck = any(a - 2.0 < x1 < b + 2.0 and low <= top for a, b, top, _ in numbers)  # it stops above a number
        if x1 != x2 or abs(low - d.height) > 0.01 and not struck:
            d.fault(f"a line of the head at {x1} ends at {low}")
    for t, x, y, kind in d.texts:
        if "scale" in kind:
            if not any(abs(path_of_line(e)[0][0] - x) < 0.02 and 0.2 < path_of_line(e)[0][1] - y < 0.8 for e in d.of("line", "l")):
                d.fault(f"{t} stands over no line")
        else:
            lines = [path_of_line(e) for e in d.of("line", "b") + d.of("line", "dot")]
            if not any(0.5 < abs(a[0] - x) < 1.5 and a[1] < y < b[1] for a, b in lines):
                d.fault(f"'{t}' stands beside no line")


def strip(d):
    level = {float(e.get("cy")) for e in d.of("circle", "k")} | {float(e.get("cy")) for e in d.all if e.tag == "circle"}
    for e in d.of("line", "h2") + [e for e in d.of("line", "l") if e.get("y1") == e.get("y2")]:
        if float(e.get("y1")) not in level:
            d.fault("a spread does not lie behind its dot")
    for e in (e for e in d.all if e.tag == "line" and e.get("x1") == e.get("x2")):
        (_, a), (_, b) = path_of_line(e)
        if abs(a) > 0.01 or abs(b - d.height) > 0.01:
            d.fault("a line of the strip is not whole")


def cut_frame(d):
    optic, wound = d.of("circle", "optic")[0], d.of("rect", "k")[0]
    x, y, r = (float(optic.get(k)) for k in ("cx", "cy", "r"))
    left, top, wide = (float(wound.get(k)) for k in ("x", "y", "width"))
    if abs(x - d.width / 2) > 0.01 or abs(left + wide / 2 - x) > 0.01 or not 2.0 < top - y - r < 6.0 or wide > 2 * r:
        d.fault("the wound does not lie below the optic")
    cuts = [path_of_line(e) for e in d.of("line", "cut")]
    on_rim = lambda p: abs(math.dist(p, (x, y)) - r) < 0.03
    if any(not on_rim(a) or math.dist(b, (x, y)) > r + 0.03 for a, b in cuts):
        d.fault("a cut does not begin at the rim")
    says, kinds = d.title, {"Cut from the wound to the centre": 1, "Cut again from the wound": 2, "Turn the lens half round": 1}
    if says in kinds and (len(cuts) != kinds[says] or any(math.dist(b, (x, y)) > 0.03 for _, b in cuts)):
        d.fault("its cuts do not meet in the middle")
    if says.startswith("Turn") and cuts[0][0][1] > y or says.startswith("Cut from") and cuts[0][0][1] < y or says.startswith("Cut again") and \
            not (cuts[1][0][1] > y > cuts[0][0][1]):
        d.fault("a cut is not from the wound")
    if says in ("First cut, right across", "Cut right across", "Second cut", "Three pieces") and not all(on_rim(b) for _, b in cuts):
        d.fault("a cut does not run across")
    if says in ("Second cut", "Three pieces") and (len(cuts) != 2 or abs(cuts[0][0][0] + cuts[1][0][0] - 2 * x) > 0.03):
        d.fault("three pieces are not alike")
    if says.startswith("Cut past") and not all(y - r < b[1] < y and abs(b[0] - x) < 0.03 for _, b in cuts):
        d.fault("the cut does not end past the centre")
    for e in d.of("path", "turn"):
        p = path(e)
        about = round_about(p)
        if not about or math.dist(about[:2], (x, y)) > 0.03 or not 1.0 < about[2] - r < 4.0 or abs(p[0][1] + p[-1][1] - 2 * y) > 0.03:
            d.fault("the turn does not run about the optic")


def rect(e):
    return tuple(float(e.get(k)) for k in ("x", "y", "width", "height"))


def shown(text):
    return float(re.sub(r"\s|D", "", text.replace("\u00a0", "").replace("\u2212", "-")))


def chances(d, plan):
    """A column a step: its outline as high as the chance within 1 D, full as high as that within 0.5 D; its numbers below it; the chosen is black."""
    levels = {float(t): path_of_line(min((e for e in d.all if e.tag == "line"), key=lambda e: abs(float(e.get("y1")) - y + 1.0)))[0][1]
              for t, _, y, kind in d.texts if "scale" in kind}
    if sorted(levels) != [0.0, 50.0, 100.0]:
        return d.fault(f"its scale is {levels}")
    up = lambda share: levels[0.0] + (levels[100.0] - levels[0.0]) * share
    d.near("50", levels[50.0], up(0.5), 0.03)
    outlines, full = sorted(map(rect, d.of("rect", "p"))), sorted((rect(e), e.get("class")) for e in d.all if e.tag == "rect" and e.get("class") != "p")
    gaps = [b[0] - a[0] for a, b in zip(outlines, outlines[1:])]
    if gaps and (max(gaps) - min(gaps) > 0.03 or min(gaps) <= outlines[0][2]) or len({o[2] for o in outlines}) > 1 or len(outlines) != len(full):
        d.fault("its columns do not stand evenly")
    steps = [(c, c["chosen"]) for p in (plan["replacement"], plan["secondary"], plan["piggyback"]) if p for c in p["choices"]]
    rows = {t: y for t, _, y, _ in d.texts if t in ("full", "D", "SE")}
    for o, (f, kind) in zip(outlines, full):
        below = {y: (t, k) for t, x, y, k in d.texts if abs(x - o[0] - o[2] / 2) < 0.02}
        if sorted(below) != sorted(rows.values()) or f[0] != o[0] or f[2] != o[2]:
            d.fault(f"a column at {o[0]} stands over {below}")
            continue
        half, power, se = (shown(below[rows[r]][0]) for r in ("full", "D", "SE"))
        good = [chosen for c, chosen in steps if abs(c["power_d"] - power) < 0.006 and abs(c["expected"]["se_d"] - se) < 0.0056 and
                abs(100 * c["within_half_d"] - half) < 0.51 and abs(up(c["within_one_d"]) - o[1]) < 0.03 and abs(up(c["within_half_d"]) - f[1]) < 0.03]
        if not good or (kind == "k") not in good or ("w" in below[rows["D"]][1].split()) != (kind == "k"):
            d.fault(f"no step of the plan is {power} D, {se} D, {half} of 100")
        if any(abs(r[1] + r[3] - levels[0.0]) > 0.02 for r in (o, f)):
            d.fault("a column does not stand on the line")
    if sum(kind == "k" for _, kind in full) != 1:
        d.fault("not one step is black")
    m = re.match(r"Of 100 eyes with (\S+)\sD: (\d+) within 0\.50\sD of the target, (\d+) within 1\.00\sD", d.title)
    if not m or not any(chosen and abs(c["power_d"] - shown(m[1])) < 0.006 and abs(100 * c["within_half_d"] - int(m[2])) < 0.506 and
                        abs(100 * c["within_one_d"] - int(m[3])) < 0.506 for c, chosen in steps):
        d.fault("its title tells another step")


def sharpen(d, plan):
    """From today's chance to that after a look: bars on one scale, each between its two numbers, its name above."""
    bars = sorted(map(rect, d.of("rect", "k")), key=lambda r: r[1])
    for x, y, w, h in bars:
        beside = sorted((tx, shown(t), k) for t, tx, ty, k in d.texts if abs(ty - 1.1 - y - h / 2) < 0.6 and re.fullmatch(r"\d+", t))
        name = [t for t, tx, ty, _ in d.texts if 0 < y - ty < 3.0 and not re.fullmatch(r"\d+", t)]
        if len(beside) != 2 or len(name) != 1:
            d.fault(f"a bar stands between {beside}, under {name}")
            continue
        (x1, now, _), (x2, then, _) = beside
        if not (0.5 < x - x1 < 2.0 and 0.5 < x2 - x - w < 2.0):
            d.fault("its numbers do not stand at its ends")
        lines = [path_of_line(e) for e in d.of("line", "f") if abs(float(e.get("y1")) - y - h / 2) < 0.02]
        left, right = min(a[0] for a, _ in lines), max(b[0] for _, b in lines)
        for v, end in ((now, x), (then, x + w)):
            d.near(f"{v:.0f} of 100", end, left + (right - left) * v / 100, 0.45)
        if any(a[0] < x2 + 3.0 and b[0] > x1 - 3.0 for a, b in lines):
            d.fault("a line strikes a number")
        if not any(r["gain"] is None or abs(100 * r["gain"] - then + now) < 1.1 for r in plan["measure_next"] or []):
            d.fault(f"no look of the plan brings {now} to {then}")


def timeline(d, plan):
    """Windows on the scale of days, each with its name; black where today lies inside; days and dates under it."""
    t = plan["timing"]
    base = next(path_of_line(e) for e in d.of("line", "l") if e.get("y1") == e.get("y2"))
    labels = {int(re.sub(r"\D", "", s)): x for s, x, y, _ in d.texts if 3.0 < y - base[0][1] < 5.5}
    today = next((x, int(re.sub(r"\D", "", s))) for s, x, y, _ in d.texts if s.startswith("today"))
    if 0 not in labels:
        return d.fault(f"its days are {labels}")
    last = max(labels)
    if not last:  # the others lie too near to it
        return
    at = lambda day: labels[0] + (labels[last] - labels[0]) * day / last
    for day, x in labels.items():
        d.near(f"day {day}", x, at(day), 0.03)
        if not any(abs(path_of_line(e)[0][0] - x) < 0.01 for e in d.of("line", "l") if e.get("x1") == e.get("x2")):
            d.fault(f"day {day} has no line")
    d.near("the line of days", base[0][0], at(0), 0.01)
    now = t["days_since_first_surgery"]
    if today[1] != now:
        d.fault(f"today is {today[1]}")
    for e in d.of("line", "b"):
        d.near("today", path_of_line(e)[0][0], at(now), 0.03)
        d.near("today's line", path_of_line(e)[1][1], base[0][1], 0.01)
    bars = sorted(((rect(e), e.get("class")) for e in d.all if e.tag == "rect"), key=lambda b: b[0][1])
    if len(bars) != len(t["windows"]):
        return d.fault(f"{len(bars)} bars for {len(t['windows'])} windows")
    arrows = [path(e) for e in d.all if e.tag == "path" and max(x for x, _ in path(e)) > base[1][0]]
    for ((x, y, w, h), kind), window in zip(bars, t["windows"]):
        start, end = window["from_day"] or 0, window["to_day"]
        d.near(window["what"], x, at(start), 0.03)
        d.near(window["what"] + "'s end", x + w, base[1][0] if end is None else at(end), 0.03)
        if (kind == "k") != (start <= now and (end is None or now <= end)):
            d.fault(f"{window['what']} is drawn {kind}")
        names = [s for s, tx, ty, k in d.texts if "e" in k.split() and abs(ty - 1.1 - y - h / 2) < 0.15 and tx < base[0][0]]
        if len(names) != 1 or not set(window["what"].replace("-", " ").split()) <= set(names[0].split()):
            d.fault(f"{window['what']} is named {names}")
        if any(abs((p[0][1] + p[2][1]) / 2 - y - h / 2) < 0.05 for p in arrows) != (end is None):
            d.fault(f"{window['what']}: an arrow has no end")
    for a, b in zip(bars, bars[1:]):
        if abs(b[0][1] - a[0][1] - (bars[1][0][1] - bars[0][0][1])) > 0.03 or a[0][3] != b[0][3]:
            d.fault("its rows do not stand evenly")


AGAINST = {"chances": chances, "sharpen": sharpen, "timeline": timeline}
SHAPES = {"two-eyes": two_eyes, "stop-sign": stop_sign, "dots": dots, "eye-side": eye_side, "waterfall": waterfall, "strip-head": strip_head,
          "strip": strip, "cut-frame": cut_frame}


def shapes(d, plan):
    if d.kind in SHAPES:
        SHAPES[d.kind](d)
    if d.kind in AGAINST:
        AGAINST[d.kind](d, plan)
    if "dial" not in d.kind.split():  # of those tests/unit/test_drawings.c asks, with the widths of letters
        words(d)
