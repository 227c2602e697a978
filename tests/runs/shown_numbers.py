"""Numbers on the sheets, the screen and the note: each that bears a unit stands in the plan or in the case, in a key or a sentence of that unit,
rounded to the digits that are shown. shown_check.py asks."""
import bisect, re

UNITS = {"D": ("_d", "D"), "mm": ("_mm", "mm"), "deg": ("_deg", "deg")}
SHOWN = re.compile(r"(?<![\d.])([+-]?)(\d+\.\d+|\d+) (D|mm|deg)\b")
BANDS = {"D": {0.25, 0.5, 0.75, 1.0, 2.0}, "mm": set(), "deg": {0.0, 90.0, 180.0, 270.0}}


def of_unit(value, unit, key=""):
    """All numbers of a unit: by the end of their key, or told with it in a sentence."""
    if isinstance(value, dict):
        for name, inside in value.items():
            yield from of_unit(inside, unit, name)
    elif isinstance(value, list):
        for inside in value:
            yield from of_unit(inside, unit, key)
    elif isinstance(value, str):
        yield from (float(m[1] + m[2]) for m in SHOWN.finditer(value) if m[3] == unit)
    elif isinstance(value, (int, float)) and not isinstance(value, bool) and (key.endswith(UNITS[unit][0]) or key in ("value", "answer")):
        yield float(value)


def made(plan):
    """What the sheets work out themselves: how far a step misses its aim."""
    for part in ("replacement", "secondary", "piggyback"):
        for c in (plan[part] or {"choices": []})["choices"]:
            if c["expected"]["se_d"] is not None and plan[part]["target_se_d"] is not None:
                yield "D", c["expected"]["se_d"] - plan[part]["target_se_d"]
    for f in plan["fallbacks"] or []:
        if f["expected_se_d"] is not None:
            yield "D", f["expected_se_d"] - f["aim_d"]


def strange(words, plan, case):
    """What is shown and stands nowhere."""
    known = {unit: list({*of_unit(plan, unit), *of_unit(case, unit), *BANDS[unit]}) for unit in UNITS}
    for unit, x in made(plan):
        known[unit] += [x] if x is not None else []
    signed = {unit: sorted(some) for unit, some in known.items()}
    plain = {unit: sorted(map(abs, some)) for unit, some in known.items()}

    def stands(some, x, room):
        at = bisect.bisect_left(some, x - room)
        return at < len(some) and some[at] <= x + room
    found = []
    for m in SHOWN.finditer(re.sub(r"Limbus \d+\.\d+ mm, not measured", "", words)):  # the usual one
        x, digits = float(m[1] + m[2]), len(m[2].split(".")[1]) if "." in m[2] else 0
        room = 0.5 * 10.0 ** -digits + 0.0006
        if not stands(signed[m[3]] if m[1] else plain[m[3]], x, room):
            found.append(m.string[max(0, m.start() - 40):m.end() + 10])
    return found
