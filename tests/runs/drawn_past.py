"""The figures of past cases against their summary as JSON: every dot, bar, limit and number where its scale and the summary have it, and none more.
Usage from drawn_check.py."""
import re
from drawn_shapes import path, path_of_line, words


def discs(d):
    return [(float(e.get("cx")), float(e.get("cy"))) for e in d.all if e.tag == "circle" and (e.get("class") or "") == "none ink"]


def lines(d, kind):
    return [path_of_line(e) for e in d.marks if e.tag == "line" and e.get("class") == kind]


def percent(x):
    """As it may be printed: half a percent is rounded either way."""
    return {"< 1 %" if x > 0 and round(100 * x + off) == 0 else f"{round(100 * x + off):.0f} %" for off in (-0.006, 0.006)}


def plain(text):
    return text.replace("\u00a0", " ").replace("\u2212", "-")


def at_all(d, wanted, got, what, off=0.12):
    """The same places, in any order."""
    if len(wanted) != len(got) or any(min((max(abs(a - u), abs(b - v)) for u, v in got), default=9.0) > off for a, b in wanted):
        d.fault(f"{what}: drawn at {got}, belong at {[(round(a, 1), round(b, 1)) for a, b in wanted]}")


def label(d, x, y, wanted, what):
    """A number stands beside its mark."""
    near = [plain(t) for t, tx, ty, kind in d.texts if "axis" not in kind and abs(tx - x) < 16.0 and abs(ty - 3.0 - y) < 12.0]
    if not set(near) & wanted:
        d.fault(f"{what}: {sorted(wanted)} is not told beside {x:.0f}, {y:.0f}: {near}")


def steps(d, s):
    across, up = d.axis(True)[0], d.axis(False)[0]
    rows = [(across(r["predicted_mean_d"]), r) for r in s["steps"]]
    at_all(d, [(x, up(r["achieved_mean_d"])) for x, r in rows], discs(d), "means")
    tall = [sorted((a, b), key=lambda p: p[1]) for a, b in lines(d, "plain") if a[0] == b[0]]
    at_all(d, [(x, up(r["achieved_mean_d"] + r["error_sd_d"])) for x, r in rows if r["error_sd_d"] is not None], [a for a, _ in tall], "upper ends")
    at_all(d, [(x, up(r["achieved_mean_d"] - r["error_sd_d"])) for x, r in rows if r["error_sd_d"] is not None], [b for _, b in tall], "lower ends")
    for x, r in rows:
        label(d, x + 6.0, up(r["achieved_mean_d"]), {str(r["n"])}, "eyes")
    for (x1, y1), (x2, y2) in lines(d, "dashed"):  # what came is what was predicted, from corner to corner
        ends = [t[0] for t in d.axis(True)[1]]
        for v in (ends[0], ends[-1]):
            d.near("the line of what was predicted", y1 + (y2 - y1) * (across(v) - x1) / (x2 - x1), up(v), 0.15)
        d.near("its end", x2, max(p[1][0] for p in d.scale_lines), 0.06)
    if len(lines(d, "dashed")) != 1:
        d.fault("no line of what was predicted")


def errors(d, s):
    across, up = d.axis(True)[0], d.axis(False)[0]
    bars = [path(e) for e in d.marks if e.tag == "polygon" and len(path(e)) == 4]
    rows = [r for r in s["error_bars"] if r["n"]]
    at_all(d, [(across(r["error_d"]), up(100 * r["share"])) for r in rows],
           [((min(x for x, _ in b) + max(x for x, _ in b)) / 2, min(y for _, y in b)) for b in bars], "bars")
    for b in bars:
        wide = max(x for x, _ in b) - min(x for x, _ in b)
        if abs(max(y for _, y in b) - up(0)) > 0.06 or not 0.5 < wide / (across(0.25) - across(0.0)) < 1.0:
            d.fault("a bar does not stand on the line")
    for r in rows:
        label(d, across(r["error_d"]), up(100 * r["share"]) - 4.0, {t[:-2].replace("< ", "<") for t in percent(r["share"])}, "share")
    dotted = lines(d, "dotted")
    if len(dotted) != 1 or any(abs(x - across(0)) > 0.06 for x, _ in dotted[0]) or abs(max(y for _, y in dotted[0]) - up(0)) > 0.06:
        d.fault("no line at an error of 0")


def within(d, s):
    across, up, g = d.axis(True)[0], d.axis(False)[0], joint(s)[0]
    points = [(across(v), up(100 * g["within_" + w]), g["within_" + w]) for v, w in
              ((0.25, "quarter"), (0.5, "half"), (0.75, "three_quarters"), (1.0, "one"), (2.0, "two"))]
    at_all(d, [p[:2] for p in points], discs(d), "shares")
    joined = [path(e) for e in d.marks if e.tag == "polyline"]
    if len(joined) != 1 or any(abs(a - x) > 0.12 or abs(b - y) > 0.12 for (a, b), (x, y, _) in zip(joined[0], points)) or len(joined[0]) != 5:
        d.fault("its dots are not joined in their order")
    for x, y, v in points:
        label(d, x, y - 6.0, percent(v), "share")


def promised(d, s):
    across, up, g = d.axis(True)[0], d.axis(False)[0], joint(s)[0]
    points = [(across(v), up(100 * g[f"held_{v}"]), g[f"held_{v}"]) for v in (50, 80, 95)]
    at_all(d, [p[:2] for p in points], discs(d), "shares")
    at_all(d, [(x, up(0)) for x, _, _ in points], [max(e, key=lambda p: p[1]) for e in lines(d, "dotted")], "feet")
    at_all(d, [(x, y) for x, y, _ in points], [min(e, key=lambda p: p[1]) for e in lines(d, "dotted")], "heads")
    at_all(d, [(across(0), up(0)), (across(100), up(100))], [p for e in lines(d, "dashed") for p in e], "the line of what was promised")
    for x, y, v in points:
        near = [plain(t) for t, tx, ty, _ in d.texts if 2.0 < abs(tx - x) < 14.0 and abs(ty - 3.0 - y) < 3.0]
        if not set(near) & percent(v):
            d.fault(f"{percent(v)} is not told beside its dot: {near}")


def joint(s):
    return [g for g in s["groups"] if g["method"] == "joint" and g["formula"] is None]


def groups(d, s):
    """All eyes, then each group, years last; a dot, its limits, the eyes and the share; the broken line is that of all eyes."""
    rows = [g for g in joint(s) if g["by"] != "year"] + [g for g in joint(s) if g["by"] == "year"]
    scale = sorted((float(t), x) for t, x, _, _ in d.texts if t in ("0", "25", "50", "75", "100") and _ == "middle")
    if [v for v, _ in scale] != [0.0, 25.0, 50.0, 75.0, 100.0]:
        return d.fault(f"its scale is {scale}")
    at = lambda share: scale[0][1] + (scale[4][1] - scale[0][1]) * share
    faint = sorted(lines(d, "faint"))
    for (v, x), ((a, low), (b, high)) in zip(scale, faint):
        d.near(f"{v}", x, at(v / 100), 0.11)
        d.near(f"the line of {v}", a, x, 0.11)
        d.near(f"the line of {v}", b, x, 0.11)
    if len(faint) != 5:
        d.fault("a line of the scale lacks")
    dots = sorted(discs(d), key=lambda p: p[1])
    gaps = [b[1] - a[1] for a, b in zip(dots, dots[1:])]
    if len(dots) != min(len(rows), 12) or max(gaps) - min(gaps) > 0.12:
        return d.fault(f"{len(dots)} rows for {len(rows)} groups")
    if not faint[0][1][1] < dots[0][1] < dots[-1][1] < faint[0][0][1]:
        d.fault("a row leaves the scale")
    dashed = lines(d, "dashed")
    if len(dashed) != 1 or any(abs(x - at(rows[0]["within_half"])) > 0.11 for x, _ in dashed[0]):
        d.fault("the broken line is not that of all eyes")
    names = {"all": "All counted eyes", "year": "Operated in"}
    for g, (x, y) in zip(rows, dots):
        d.near("a dot", x, at(g["within_half"]), 0.11)
        for key, pick in (("within_half_low", min), ("within_half_high", max)):
            own = [pick(a[0], b[0]) for a, b in lines(d, "plain") if a[1] == b[1] == y]
            d.near(key, own[0] if len(own) == 1 else -1.0, at(g[key]), 0.11)
        row = sorted((tx, plain(t), kind) for t, tx, ty, kind in d.texts if abs(ty - 3.0 - y) < 0.2)
        if len(row) != 3 or row[1][1] != str(g["n"]) or row[2][1] not in percent(g["within_half"]) or row[1][2] != "end" or row[1][0] > at(0) or row[2][0] < at(1):
            d.fault(f"a row says {row}, {g['n']} eyes, {g['within_half']}")
        elif g["is"] and g["is"].replace("-", " ") not in row[0][1] or g["by"] in names and not row[0][1].startswith(names[g["by"]]):
            d.fault(f"{row[0][1]} is {g['by']} {g['is']}")


FIGURES = {"Of 100 eyes within": groups, "Refraction that came": steps, "Errors of the joint": errors, "Share of eyes within": within, "Intervals: share": promised}


def figures(drawings, s):
    """Every figure that the summary has numbers for."""
    seen = []
    for d in drawings:
        words(d)
        for start, check in FIGURES.items():
            if d.title.startswith(start):
                seen.append(start)
                check(d, s)
    if len(seen) != len(set(seen)) or s["steps"] and s["error_bars"] and not set(list(FIGURES)[1:4]) <= set(seen):
        drawings[0].fault(f"figures: {seen}") if drawings else None
