"""How far a child's eye has grown from the day its length was measured to that of the reading: Plager 2002, abstract, means and ranges by
age at the operation, as docs/method.md (A child) uses them."""
from constants import C
from eye import Reading, day, get
from optics import gradient, power_for

#          ages,        mean, low,   high,  years
PRINTED = ((2.0, 4.0, 4.60, 0.5, 10.75, 5.8), (6.0, 8.0, 2.68, 0.5, 6.6, 5.3), (8.0, 10.0, 1.25, -0.75, 2.6, 6.8),
           (10.0, 16.0, 0.61, 0.0, 1.9, C["child_shift_10_years"]))
END = 16.0


def yearly(age):
    """Mean and spread of a year at an age, and how long that holds."""
    rows = [(first, last, mean / years, (high - low) / C["child_shift_range_sds"] / years, years)
            for first, last, mean, low, high, years in PRINTED]
    for before, after in zip(rows, rows[1:]):
        if before[1] <= age < after[0]:
            share = (age - before[1]) / (after[0] - before[1])
            return tuple(before[i] + share * (after[i] - before[i]) for i in (2, 3)) + (after[0] - age,)
    row = next((r for r in rows if age < r[1]), None)
    return row[2:]


def shift(begin, end):
    mean = sd = 0.0
    while begin < end and begin < END:
        m, s, years = yearly(begin)
        span = min(years, end - begin)
        mean, sd, begin = mean + span * m, sd + span * s, begin + span
    return mean, sd


def since(eye):
    """Dioptres more myopic, and their spread."""
    case, age, now = eye.case, get(eye.case, "age_years"), day(get(eye.case, "assessed_on"))
    done = get(case, "first_surgery", "done_on")
    used = get(case, "biometry_repeat", "measured_on") if eye.l2 else get(case, "biometry", "measured_on") or done
    used = day(used if eye.length else done)
    reading = eye.reading if eye.reading.se is not None and not eye.absent else Reading(case, eye.site, "aphakic")
    read = (day(get(reading.used[0], "measured_on")) if reading.se is not None else None) or now
    if None in (age, now, used, read):
        return 0.0, 0.0
    return shift(*(age - (now - d) / C["days_a_year"] for d in (used, read)))


def length(eye, k, optical, position, vertex):
    """Millimetres, and their spread, in the eye as measured with the lens that leaves it no refraction."""
    mean, sd = since(eye)
    if mean <= 0.0:
        return 0.0, 0.0
    by = abs(gradient(optical, k, position, power_for(optical, k, position, 0.0, vertex), vertex)[0])
    return mean / by, sd / by
