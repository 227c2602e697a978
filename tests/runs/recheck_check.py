"""The summary of a recheck, from its csv alone, by other code: recheck_check.py rows.csv summary.json.

Errors are taken as printed (thousandths). Formula null is the reference formula of each case."""
import csv
import json
import math
import sys

rows = list(csv.DictReader(open(sys.argv[1], newline="")))
summary = json.load(open(sys.argv[2]))
bad = 0


def near(what, got, want, places):
    global bad
    if got is None or want is None:
        if got is not want:
            print("recheck_check:", what, "is", got, "wanted", want)
            bad = 1
        return
    if abs(got - want) > 0.5000021 * 10.0 ** -places:
        print("recheck_check:", what, "is", got, "wanted", want)
        bad = 1


def thousandths(text):
    return int(round(float(text) * 1000))


cases = {}
for row in rows:
    cases.setdefault((row["input"], row["line"]), []).append(row)
near("cases", summary["cases"], len(cases), 0)


def series(row):
    names = [(row["method"], None)] if row["method"] != "joint" or row["reference"] == "true" else []
    if row["method"] == "joint":
        names.append(("joint", row["formula"]))
    return names


errors, pairs = {}, {}
for case in cases.values():
    if case[0]["counted"] != "true":
        continue
    of = {}
    for row in case:
        if row["error_d"] == "":
            continue
        for name in series(row):
            of[name] = thousandths(row["error_d"])
            year = row["dated_on"][:4] if name == ("joint", None) else ""
            for by, value in (("all", None), ("position", row["position"]), ("posterior", row["posterior"]), ("year", year)):
                if value != "":
                    errors.setdefault((by, value) + name, []).append((of[name], row["interval_held"]))
    if case[0]["tested"] == "true" and ("joint", None) in of:
        for name, error in of.items():
            if name != ("joint", None):
                pairs.setdefault(name, []).append((of[("joint", None)], error))


def median(values):
    values = sorted(values)
    n = len(values)
    return (values[(n - 1) // 2] + values[n // 2]) / 2


groups = {(g["by"], g["is"], g["method"], g["formula"]): g for g in summary["groups"]}
if set(groups) != set(errors):
    print("recheck_check: groups", sorted(map(str, set(groups) ^ set(errors))))
    bad = 1
for key, group in groups.items():
    values = [e for e, held in errors.get(key, [(0, "")])]
    n = len(values)
    mean = sum(values) / n
    size = [abs(e) for e in values]
    near(f"{key} n", group["n"], n, 0)
    near(f"{key} mean", group["mean_error_d"], mean / 1000, 3)
    near(f"{key} mae", group["mae_d"], sum(size) / n / 1000, 3)
    near(f"{key} medae", group["medae_d"], median(size) / 1000, 3)
    near(f"{key} rmse", group["rmse_d"], math.sqrt(sum(e * e for e in values) / n) / 1000, 3)
    if n > 1:
        near(f"{key} sd", group["sd_d"], math.sqrt(sum((e - mean) ** 2 for e in values) / (n - 1)) / 1000, 3)
    for name, limit in (("quarter", 250), ("half", 500), ("three_quarters", 750), ("one", 1000), ("two", 2000)):
        near(f"{key} within {name}", group["within_" + name], sum(e <= limit for e in size) / n, 4)
    held = [h for e, h in errors[key] if h != ""]
    for limit, names in (("50", ("50",)), ("80", ("50", "80")), ("95", ("50", "80", "95"))):
        want = sum(h in names for h in held) / len(held) if held else None
        near(f"{key} held {limit}", group["held_" + limit], want, 4)


# Why the others do not count, and what it comes to: exact limits by summing the binomial, not by the beta function.
why = {}
for case in cases.values():
    why[case[0]["not_counted"]] = why.get(case[0]["not_counted"], 0) + 1
near("counted", summary["counted"], why.pop("", 0), 0)
if {row["why"]: row["n"] for row in summary["not_counted"]} != why:
    print("recheck_check: not counted", summary["not_counted"], "wanted", why)
    bad = 1
stood = {}
for case in cases.values():
    if case[0]["standing"] != "":
        stood[case[0]["standing"]] = stood.get(case[0]["standing"], 0) + 1
if {row["standing"]: row["n"] for row in summary["standings"]} != stood:
    print("recheck_check: standings", summary["standings"], "wanted", stood)
    bad = 1
near("alarms open", summary["alarms_open"], sum(float(case[0]["alarms_open"] or 0) > 0 for case in cases.values()), 0)


def limits(count, n):
    def tail(p, ks):
        return sum(math.exp(math.lgamma(n + 1) - math.lgamma(k + 1) - math.lgamma(n - k + 1)
                            + k * math.log(p) + (n - k) * math.log1p(-p)) for k in ks)

    def solve(f):
        low, high = 0.0, 1.0
        for _ in range(60):
            middle = (low + high) / 2
            low, high = (middle, high) if f(middle) else (low, middle)
        return (low + high) / 2
    return (0.0 if count == 0 else solve(lambda p: tail(p, range(count, n + 1)) < 0.025),
            1.0 if count == n else solve(lambda p: tail(p, range(0, count + 1)) > 0.025))


for key, group in groups.items():
    near_ones = [abs(e) <= 500 for e, held in errors[key]]
    for name, want in zip(("within_half_low", "within_half_high"), limits(sum(near_ones), len(near_ones))):
        near(f"{key} {name}", group[name], want, 4)
finding = summary["finding"]
found = [h for e, h in errors[("all", None, "joint", None)] if h != ""]
held = sum(h in ("50", "80") for h in found)
for key, want in zip(("held_80_low", "held_80_high"), limits(held, len(found))):
    near(key, finding[key], want, 4)
near("finding n", finding["n"], groups[("all", None, "joint", None)]["n"], 0)
near("finding within", finding["within_half"], groups[("all", None, "joint", None)]["within_half"], 4)
near("finding held", finding["held_80"], groups[("all", None, "joint", None)]["held_80"], 4)
off = held / len(found) - 0.8
words = "fits" if abs(off) <= 0.03 else ("much-" if abs(off) > 0.1 else "") + ("too-sure" if off < 0 else "too-wide")
if finding["sureness"] != words:
    print("recheck_check: sureness", finding["sureness"], "wanted", words)
    bad = 1

# Whether told chances came true: fifths by the told chance, eyes told the same together in the fifth of the middle one; sizes.
told = [(thousandths(case[0]["told_within_half"]), abs(thousandths(case[0]["eye_part_d"])), abs(thousandths(case[0]["error_d"])) <= 500)
        for case in cases.values() if case[0]["counted"] == "true" and case[0]["told_within_half"] != "" and case[0]["error_d"] != ""]
sets = {}
for value in sorted({t[0] for t in told}):
    same = [t for t in told if t[0] == value]
    before = sum(t[0] < value for t in told)
    sets.setdefault(("told-chance", str(1 + int((before + len(same) / 2) * 5 / len(told)))), []).extend(same)
for name, low, high in (("under 1 D", 0, 1000), ("1 to 1.5 D", 1000, 1500), ("1.5 to 2.5 D", 1500, 2500), ("over 2.5 D", 2500, 10 ** 9)):
    sets[("eye-part", name)] = [t for t in told if low <= t[1] < high]
sets = {key: eyes for key, eyes in sets.items() if eyes and len(told) >= 50}
if [(c["by"], c["is"]) for c in summary["calibration"]] != list(sets):
    print("recheck_check: calibration", summary["calibration"], "wanted", list(sets))
    bad = 1
for c in summary["calibration"]:
    eyes = sets.get((c["by"], c["is"]), [(0, 0, False)])
    came = sum(t[2] for t in eyes)
    near(f"{c['is']} n", c["n"], len(eyes), 0)
    near(f"{c['is']} told", c["told"], sum(t[0] for t in eyes) / len(eyes) / 1000, 4)
    near(f"{c['is']} came true", c["came_true"], came / len(eyes), 4)
    for key, want in zip(("came_true_low", "came_true_high"), limits(came, len(eyes))):
        near(f"{c['is']} {key}", c[key], want, 4)

# Joint with the reference formula, again from the rows: steps of half a dioptre of the prediction, bars of a quarter of the error.
joint = [r for case in cases.values() if case[0]["counted"] == "true" for r in case
         if r["method"] == "joint" and r["reference"] == "true" and r["error_d"] != ""]


def nearest(value, width, most):
    steps = min(math.floor(abs(value) / width + 0.5), most)
    return -steps if value < 0 else steps


by_step = {}
for row in joint:
    at = nearest(thousandths(row["predicted_se_d"]), 500, 12) * 0.5
    by_step.setdefault(at, []).append([thousandths(row[k]) / 1000 for k in ("predicted_se_d", "achieved_se_d", "error_d")])
if [s["step_d"] for s in summary["steps"]] != sorted(by_step):
    print("recheck_check: steps", sorted(by_step))
    bad = 1
for step in summary["steps"]:
    eyes = by_step.get(step["step_d"], [[0, 0, 0]])
    n = len(eyes)
    near("step n", step["n"], n, 0)
    near("step predicted", step["predicted_mean_d"], sum(e[0] for e in eyes) / n, 3)
    near("step achieved", step["achieved_mean_d"], sum(e[1] for e in eyes) / n, 3)
    mean = sum(e[2] for e in eyes) / n
    near("step sd", step["error_sd_d"], math.sqrt(sum((e[2] - mean) ** 2 for e in eyes) / (n - 1)) if n > 1 else None, 3)
counts = [0] * 17
for row in joint:
    counts[8 + nearest(thousandths(row["error_d"]), 250, 8)] += 1
for i, bar in enumerate(summary["error_bars"]):
    near("bar", bar["error_d"], -2 + i / 4, 3)
    near("bar n", bar["n"], counts[i], 0)
    near("bar share", bar["share"], counts[i] / len(joint), 4)
if len(summary["error_bars"]) != 17:
    print("recheck_check: bars", len(summary["error_bars"]))
    bad = 1


def rank_test(differences):
    left = sorted((d for d in differences if d != 0), key=abs)
    n, plus, at, ties = len(left), 0.0, 0, 0
    if n < 10:
        return None
    while at < n:
        end = at
        while end < n and abs(left[end]) == abs(left[at]):
            end += 1
        plus += sum((at + 1 + end) / 2 for d in left[at:end] if d > 0)
        ties += (end - at) ** 3 - (end - at)
        at = end
    return (plus - n * (n + 1) / 4) / math.sqrt(n * (n + 1) * (2 * n + 1) / 24 - ties / 48)


def hc4(points):
    n = len(points)
    x = [a + b for a, b in points]
    y = [a - b for a, b in points]
    mx, my = sum(x) / n, sum(y) / n
    xx = sum((v - mx) ** 2 for v in x)
    slope = sum((v - mx) * (w - my) for v, w in zip(x, y)) / xx
    variance = 0.0
    for v, w in zip(x, y):
        lever = 1 / n + (v - mx) ** 2 / xx
        variance += ((v - mx) * (w - my - slope * (v - mx))) ** 2 / (1 - lever) ** min(4, n * lever / 2)
    return slope * xx / math.sqrt(variance) if variance > 0 else None


found = {(p["method"], p["formula"]): p for p in summary["pairs"]}
if set(found) != set(pairs):
    print("recheck_check: pairs", sorted(map(str, set(found) ^ set(pairs))))
    bad = 1
for key, pair in found.items():
    near(f"{key} n", pair["n"], len(pairs[key]), 0)
    near(f"{key} wilcoxon z", pair["wilcoxon_z"], rank_test([abs(a) - abs(b) for a, b in pairs[key]]), 4)
    near(f"{key} hc4 t", pair["hc4_t"], hc4(pairs[key]), 4)
least, known = 0.0, sorted((p["hc4_p"] for p in found.values() if p["hc4_p"] is not None))
for i, p in enumerate(known):
    least = max(least, min(1.0, (len(known) - i) * p))
    holm = sorted(q["p_holm"] for q in found.values() if q["p_holm"] is not None)[i]
    if abs(holm - least) > 0.001:
        print("recheck_check: holm", holm, "wanted", least)
        bad = 1
try:
    from scipy import stats
    for key, pair in found.items():
        d = [abs(a) - abs(b) for a, b in pairs[key] if abs(a) != abs(b)]
        if len(d) >= 10:
            near(f"{key} scipy", pair["wilcoxon_p"], stats.wilcoxon(d, method="approx").pvalue, 4)
except ImportError:
    print("SKIP recheck-scipy: no scipy")
sys.exit(bad)
