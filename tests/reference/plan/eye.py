"""Case and site -> eye: which biometry, which refraction, which constants, with their standard deviations."""
import datetime
import math

from constants import C, SPREAD
from optics import FORMULAS, Matrix, fed, to_cornea, to_glasses, written

UNKNOWN = ("unknown", "not-examined", "not-seen", "")
PLACES = ("bag", "sulcus", "sulcus-captured", "sclera", "iris-behind", "iris-front", "chamber")


def get(node, *keys):
    for key in keys:
        node = node.get(key) if isinstance(node, dict) else None
    return None if node in UNKNOWN else node


def day(text):
    return datetime.date.fromisoformat(text).toordinal() if text else None


class Site:
    def __init__(self, site):
        self.lenses = site.get("lenses", [])
        self.habits = site.get("habits", {})
        self.spread = site.get("spread", {})

    def lens(self, lens_id):
        return next((lens for lens in self.lenses if lens["id"] == lens_id), None)


def constants_of(lens, site):
    """A, surgeon factor, pACD and Haigis' three; what is missing follows from A."""
    given = {key: value for key, value in (get(lens, "constants") or {}).items()}
    shelf = site.lens(get(lens, "lens_id")) if get(lens, "lens_id") else None
    states = any(get(given, key) is not None for key in ("a_constant", "surgeon_factor_mm", "pacd_mm", "haigis_a0_mm"))
    used = given if states else (get(shelf, "constants") or {})  # a1 and a2 alone are no constants
    a = used.get("a_constant")
    sf, pacd = used.get("surgeon_factor_mm"), used.get("pacd_mm")
    haigis = all(used.get(k) is not None for k in ("haigis_a0_mm", "haigis_a1", "haigis_a2"))
    if sf is None and a is not None:
        sf = C["surgeon_factor_slope"] * a - C["surgeon_factor_base"]
    if pacd is None and a is not None:
        pacd = C["pacd_slope"] * a - C["pacd_base"]
    return {"a": a, "sf": sf, "pacd": pacd, "haigis": haigis, "a0": used.get("haigis_a0_mm"), "a1": used.get("haigis_a1"),
            "a2": used.get("haigis_a2"), "for": get(used, "for_position"), "origin": get(used, "obtained_with"), "own": used}


def published(place, distance):
    """Shift of a place from the bag, with its SD; None where none is published."""
    share = min(max((distance - C["fixation_near_mm"]) / (C["fixation_far_mm"] - C["fixation_near_mm"]), 0.0), 1.0)
    sclera = C["shift_sclera_near_mm"] + share * (C["shift_sclera_mm"] - C["shift_sclera_near_mm"])
    table = {"bag": (C["shift_bag_mm"], 0.0), "sulcus": (C["shift_sulcus_mm"], SPREAD["shift_sulcus_mm"]),
             "sulcus-captured": (C["shift_sulcus_captured_mm"], SPREAD["shift_captured_mm"]),
             "sclera": (sclera, SPREAD["shift_sclera_mm"])}
    return table.get(place)


def scatter(place):
    """How far lenses that are held there scatter, whatever their mean shift."""
    return (published(place, C["fixation_far_mm"]) or (None, SPREAD["shift_other_mm"]))[1]


def fixation(place, constants, distance):
    """Shift of E from what the constants hold for, with its SD; None where only constants for that place will do."""
    stated = constants["for"] or "bag"
    if stated == place:
        return 0.0, scatter(place)
    to, start = published(place, distance), published(stated, C["fixation_far_mm"])
    return None if to is None or start is None else (to[0] - start[0], math.hypot(to[1], start[1]))


# ---- biometry ----
def meridians_of(b):
    """Flat and steep meridian at index 1.3375."""
    index = get(b, "keratometric_index") or C["keratometric_index"]
    values = []
    for which in ("flat", "steep"):
        k, r = get(b, f"k_{which}_d"), get(b, f"k_{which}_radius_mm")
        values.append(337.5 / r if r is not None else None if k is None else k * 0.3375 / (index - 1.0))
    return values


def cornea_of(b, other=None):
    """Mean keratometry at index 1.3375, its cylinder and steep meridian. One meridian alone: the other lies from it as far as in the
    other biometry of this eye, and where that does not say it stands for the mean."""
    values = meridians_of(b)
    both = None not in values
    known = [v for v in values if v is not None]
    if not known:
        return None
    if not both and other is not None and None not in (there := meridians_of(other)):
        half = (there[1] - there[0]) / 2.0
        return known[0] + (half if values[1] is None else -half), None, get(b, "k_steep_axis_deg")
    return sum(known) / len(known), values[1] - values[0] if both else None, get(b, "k_steep_axis_deg")


def length_sd(case, b, state_first):
    method, state = get(b, "method"), get(b, "eye_state") or (None if state_first else "pseudophakic")
    al = b["axial_length_mm"]
    sd = SPREAD["length_contact_mm"]
    if method == "optical":
        sd = SPREAD["length_pseudophakic_mm"] if state == "pseudophakic" else SPREAD["length_optical_mm"]
    if method == "immersion-ultrasound":
        sd = SPREAD["length_immersion_mm"]
    if state == "silicone-oil" or get(case, "silicone_oil", "at_measurement"):
        sd = SPREAD["length_oil_mm"]
    return sd * (C["spread_length_factor"] if al < C["spread_length_short_mm"] or al > C["spread_length_long_mm"] else 1.0)


def altered(case):
    return get(case, "cornea", "earlier_refractive_surgery") in ("myopic-laser", "hyperopic-laser", "radial-cuts")


def cornea_sd(case):
    surgery, surface = get(case, "cornea", "earlier_refractive_surgery"), get(case, "cornea", "surface")
    tears = get(case, "cornea", "ocular_surface")
    sd = SPREAD["cornea_irregular_d"] if surface in (None, "irregular", "scarred") or tears == "dry" else SPREAD["cornea_regular_d"]
    if surgery in ("myopic-laser", "hyperopic-laser"):
        sd = SPREAD["cornea_laser_d"]
    if surface == "ectatic" or surgery == "radial-cuts":
        sd = SPREAD["cornea_ectatic_d"]
    return sd


def pooled(first, second, limit):
    """(value, sd), what it is: pooled, repeat or first."""
    if first is None or second is None:
        return (second or first), ("repeat" if first is None else "first")
    (a, sa), (b, sb) = first, second
    if abs(a - b) > limit + 1e-9 or abs(a - b) > C["pool_sigmas"] * math.hypot(sa, sb) + 1e-9:
        return second, "conflict"
    wa, wb = 1.0 / sa ** 2, 1.0 / sb ** 2
    return ((wa * a + wb * b) / (wa + wb), 1.0 / math.sqrt(wa + wb)), "pooled"


# ---- refraction ----
def rc_matrix(r, vertex):
    return as_read(r).each(lambda x: to_cornea(x, vertex))


def as_read(r):
    return written(r["sphere_d"], get(r, "cylinder_d") or 0.0, get(r, "axis_deg"))


def vertex_of(r, site):
    if get(r, "with") == "contact-lens":
        return 0.0
    v = get(r, "vertex_mm")
    return v if v is not None else site.habits.get("vertex_mm", C["vertex_mm"])


REASONS_DISPLACED = ("lens-tilt", "lens-decentration", "lens-dislocation")


def reasons(case):
    out = [case["reason"]] + (case.get("reasons_also") or [])
    if get(case, "dislocation", "lies") in ("anterior-vitreous", "retina") and case["reason"] != "no-lens":
        out.append("lens-dislocation")  # whatever brings the patient
    return out


def off_centre(lens):
    off, tilt = get(lens, "decentration_mm"), get(lens, "tilt_deg")
    least = C["tilt_matters_instrument_deg"] if get(lens, "tilt_by") == "instrument" else C["tilt_matters_deg"]
    return (off is not None and off > C["decentration_matters_mm"] + 1e-9) or (tilt is not None and tilt > least + 1e-9)


def state(case, r):
    """How the lens lay; None where the reading does not count at all."""
    if get(r, "sphere_d") is None or get(r, "with") == "theatre":
        return None
    then = get(r, "lens_then")
    if then is None:
        moved = any(x in REASONS_DISPLACED for x in reasons(case)) or off_centre(get(case, "first_surgery", "lens"))
        then = "opaque" if "lens-opacity" in reasons(case) else "displaced" if moved else "in-place"
    oil = get(r, "oil_then")
    if oil is None:
        oil = get(case, "silicone_oil", "at_refraction")
    return None if oil else then


def poor_acuity(r):
    a = get(r, "corrected_acuity_logmar")
    if a is None and get(r, "corrected_acuity_decimal") is not None:
        a = -math.log10(r["corrected_acuity_decimal"])
    if a is None and get(r, "corrected_acuity_snellen"):
        x, y = r["corrected_acuity_snellen"].split("/")
        a = -math.log10(float(x) / float(y))
    return a is not None and a > C["acuity_poor_logmar"] + 1e-9


class Reading:
    def __init__(self, case, site, wanted="in-place"):
        self.rc = self.se = self.sd = None
        done = day(get(case, "first_surgery", "done_on"))
        good = [r for r in case.get("refractions", []) if state(case, r) == wanted]
        if not good:
            return
        newest = good[-1]

        def since(r):
            d = day(get(r, "measured_on"))
            return None if d is None or done is None else d - done
        used = [newest]
        plane = vertex_of(newest, site) if get(newest, "with") != "contact-lens" else site.habits.get("vertex_mm", C["vertex_mm"])

        def told(r):
            return rc_matrix(r, vertex_of(r, site)).each(lambda x: to_glasses(x, vertex_of(newest, site)))
        for r in reversed(good[:-1]):
            if (get(r, "lens_then") is not None and since(r) is not None and since(newest) is not None and since(r) >= C["reading_first_day"]
                    and since(newest) - since(r) >= C["reading_apart_days"]
                    and abs(told(r).m - told(newest).m) <= C["reading_agree_d"] + 1e-9
                    and (told(r) - told(newest)).cylinder() <= C["reading_agree_d"] + 1e-9):
                used.append(r)
        total = Matrix(0.0)
        for r in used:
            total = total + rc_matrix(r, vertex_of(r, site))
        self.rc = total.scaled(1.0 / len(used))
        self.vertex = plane
        self.se = to_glasses(self.rc.m, self.vertex)
        self.used, self.day = used, since(newest)
        self.sd = self.spread(site, newest)
        self.agreeing = len(used) > 1

    def spread(self, site, newest):
        if "refraction_d" in site.spread:
            return site.spread["refraction_d"]
        sd = SPREAD["refraction_auto_d"] if get(newest, "method") not in ("manifest", "cycloplegic") else SPREAD["refraction_manifest_d"]
        if len(self.used) > 1:
            sd = SPREAD["refraction_mean_d"]
        if any(poor_acuity(r) for r in self.used):
            sd = max(sd, SPREAD["refraction_poor_d"])
        if self.day is None or self.day < C["reading_first_day"]:
            return SPREAD["refraction_early_d"]
        if self.day < C["reading_stable_day"]:
            sd = math.hypot(sd, SPREAD["refraction_settling_d"])
        return sd


def label_sd(power):
    p = abs(power)
    for band in (1, 2, 3):
        if p <= C[f"label_band_{band}_d"] + 1e-9:
            return C[f"label_tolerance_{band}_d"] / 2.0
    return C["label_tolerance_4_d"] / 2.0


def mean_power(lens):
    p, cyl = get(lens, "power_d"), get(lens, "cylinder_d") or 0.0
    if p is None:
        return None
    return p + cyl / 2.0 if get(lens, "power_is") == "weakest-meridian" else p


def grown(case, b1, b2):
    """What a child's eye may have gained in length from the first biometry (without a date: the operation) to the repeat."""
    age, now = get(case, "age_years"), day(get(case, "assessed_on"))
    dates = day(get(b1, "measured_on") or get(case, "first_surgery", "done_on")), day(get(b2, "measured_on"))
    if age is None or now is None or None in dates:
        return 0.0
    begin, end = (age - (now - d) / C["days_a_year"] for d in dates)
    low, may = 0.0, 0.0
    for part in ("first", "second", "third"):
        high = C[f"child_growth_{part}_years"]
        may += C[f"child_growth_{part}_mm"] * max(0.0, min(end, high) - max(begin, low))
        low = high
    return may


def by_length(eye):
    """The formula of choice for a length."""
    al = eye.length[0] if eye.length else C["person_length_mm"]
    return "hoffer-q" if al < C["reference_short_mm"] else "holladay-1" if al <= C["reference_long_mm"] else "srk-t"


class Eye:
    def __init__(self, case, site):
        self.case, self.site, self.laser = case, site, {}
        b1, b2 = case.get("biometry") or {}, case.get("biometry_repeat") or {}
        self.k1, self.k2 = cornea_of(b1, b2), cornea_of(b2, b1)
        self.sk = cornea_sd(case)
        self.l1 = (b1["axial_length_mm"], length_sd(case, b1, True)) if get(b1, "axial_length_mm") else None
        self.l2 = (b2["axial_length_mm"], length_sd(case, b2, False)) if get(b2, "axial_length_mm") else None
        if self.l1 and self.l2:
            self.l1 = (self.l1[0] + min(max(self.l2[0] - self.l1[0], 0.0), grown(case, b1, b2)), self.l1[1])
        self.length, self.length_how = pooled(self.l1, self.l2, C["pool_length_mm"])
        self.cornea, self.cornea_how = pooled(self.k1 and (self.k1[0], self.sk), self.k2 and (self.k2[0], self.sk), C["pool_cornea_d"])
        if "conflict" in (self.length_how, self.cornea_how):
            self.length, self.cornea = self.l2 or self.l1, (self.k2[0], self.sk) if self.k2 else self.cornea
        self.k_before = None
        if self.cornea and get(case, "cornea", "earlier_refractive_surgery") in ("myopic-laser", "hyperopic-laser"):
            self.cornea = self.cornea[0], self.sk  # measured twice it is misled alike
        if get(case, "cornea", "earlier_refractive_surgery") in ("myopic-laser", "hyperopic-laser"):
            self.after_laser()
        self.acd = get(b1, "chamber_depth_mm") if get(b1, "eye_state") not in ("pseudophakic", "aphakic") else None
        self.old = get(case, "first_surgery", "lens") or {}
        self.constants = constants_of(self.old, site)
        self.place = get(self.old, "position") or self.constants["for"] or "bag"
        self.power = mean_power(self.old)
        self.reading = Reading(case, site)
        self.distance = get(case, "operation", "fixation_distance_mm")
        self.old_distance = C["fixation_far_mm"]
        self.altered = altered(case)
        self.moved = any(x in REASONS_DISPLACED for x in reasons(case))
        self.absent = get(case, "aphakic_now") is True or "no-lens" in reasons(case)
        self.absent |= any(get(r, "lens_then") == "aphakic" for r in case.get("refractions", [])) and get(b2, "eye_state") == "aphakic"

    def radius(self):
        return 337.5 / self.cornea[0] if self.cornea else None

    def after_laser(self):
        """Today's cornea and the one before the laser."""
        notes = self.case["cornea"]

        before, correction, total = get(notes, "k_before_surgery_d"), get(notes, "laser_correction_d"), get(notes, "k_total_d")
        change = None if correction is None else to_cornea(correction, C["vertex_mm"])
        measured = self.cornea
        history = before + change if before is not None and change is not None else None
        regression = None
        if measured and get(notes, "earlier_refractive_surgery") == "hyperopic-laser":
            regression = C["laser_regression_slope"] * measured[0] - C["laser_regression_base_d"]
        ectatic = get(notes, "surface") == "ectatic"
        today = measured and (measured[0], SPREAD["cornea_laser_d"])
        if history is not None and measured is None:
            today = history, SPREAD["cornea_history_d"]
        elif history is not None and abs(history - measured[0]) <= C["laser_apart_d"] + 1e-9:
            wh, wm = SPREAD["cornea_history_d"] ** -2, SPREAD["cornea_laser_d"] ** -2
            today = (wh * history + wm * measured[0]) / (wh + wm), (wh + wm) ** -0.5
        elif history is None and regression is not None:
            today = regression, today[1]
        if total is not None:
            today = total, SPREAD["cornea_total_d"]
        if today and ectatic:  # an ectatic cornea is not told by its history either
            today = today[0], SPREAD["cornea_ectatic_d"]
        if before is None and change is not None and measured is not None:
            before = measured[0] - change
        self.k_before = before if before is not None else C["laser_k_before_d"]
        self.laser = {"k_measured_d": measured and measured[0], "k_history_d": history, "k_regression_d": regression, "k_total_d": total,
                      "k_today_d": today and today[0], "k_today_sd_d": today[1] if today else SPREAD["cornea_laser_d"],
                      "k_before_d": self.k_before if today else None}
        self.cornea = today

    def old_shift(self):
        return fixation(self.place, self.constants, self.old_distance)

    def published_shift(self):
        """Of the old lens's place, whatever its constants are for; None where none is published."""
        shift = published(self.place, self.old_distance)
        return shift and shift[0]

    def predicted(self, formula):
        """K, L, E of the old lens."""
        x = fed(formula, self.length[0] if self.length else None, self.radius(), self.acd, self.constants,
                337.5 / self.k_before if self.k_before else None)
        shift = self.old_shift()
        if x is None or shift is None or not 0.0 < x[2] + shift[0] < x[1]:
            return None
        return x[0], x[1], x[2] + shift[0]

    def formulas(self):
        return [f for f in FORMULAS if self.predicted(f) is not None]

    def reference(self):
        for wanted in (get(self.case, "formula"), self.site.habits.get("formula")):
            if wanted and self.predicted(wanted) is not None:
                return wanted
        if not self.formulas():
            return None
        name = by_length(self)
        return name if self.predicted(name) is not None else self.formulas()[0]
