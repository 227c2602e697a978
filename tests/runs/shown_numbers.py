"""Numbers on the sheets, the screen and the note: each that bears a unit stands in the plan or in the case, in a key or a sentence of that unit,
rounded to the digits that are shown. shown_check.py asks."""
import bisect, re

UNITS = {"D": "_d", "mm": "_mm", "deg": "_deg"}  # how a key ends
SHOWN = re.compile(r"(?<![\d.])([+-]?)(\d+\.\d+|\d+) (D|mm|deg)\b")
BANDS = {"D": {0.25, 0.5, 0.75, 1.0, 2.0}, "mm": set(), "deg": {0.0, 90.0, 180.0, 270.0}}


def numbers_of(value, known, key=""):
    """All numbers by their unit: by the end of their key, or told with it in a sentence."""
    if isinstance(value, dict):
        for name, inside in value.items():
            numbers_of(inside, known, name)
    elif isinstance(value, list):
        for inside in value:
            numbers_of(inside, known, key)
    elif isinstance(value, str):
        for m in SHOWN.finditer(value):
            known[m[3]].add(float(m[1] + m[2]))
    elif isinstance(value, (int, float)) and not isinstance(value, bool):
        for unit, end in UNITS.items():
            if key.endswith(end) or key in ("value", "answer"):
                known[unit].add(float(value))


def made(plan):
    """What the sheets work out themselves: how far a step misses its aim."""
    for part in ("replacement", "secondary", "piggyback"):
        for c in (plan[part] or {"choices": []})["choices"]:
            if c["expected"]["se_d"] is not None and plan[part]["target_se_d"] is not None:
                yield "D", c["expected"]["se_d"] - plan[part]["target_se_d"]
    for f in plan["fallbacks"] or []:
        if f["expected_se_d"] is not None:
            yield "D", f["expected_se_d"] - f["aim_d"]


def known_of(plan, case):
    """What may be shown, by unit: with its sign, and without."""
    known = {unit: set(some) for unit, some in BANDS.items()}
    numbers_of(plan, known)
    numbers_of(case, known)
    for unit, x in made(plan):
        if x is not None:
            known[unit].add(x)
    return {unit: sorted(some) for unit, some in known.items()}, {unit: sorted(map(abs, some)) for unit, some in known.items()}


def strange(words, known):
    """What is shown and stands nowhere."""
    signed, plain = known

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
