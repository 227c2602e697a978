"""One model for ordinary and gross causes: components, their weights, and the mixture of the new lens's refraction."""
import math

from constants import C, FACTOR, RATE, SPREAD
from eye import fixation, get, label_sd
from lens import turned
from optics import NotComputed, fed, gradient, nominal, power_for, refraction
from surprise import by_depth, update


def ln_normal(x, variance):
    return -(math.log(2.0 * math.pi * variance) + x * x / variance) / 2.0


def phi(x):
    return 0.5 * math.erfc(-x / math.sqrt(2.0))


def pool(a, b):
    """Inverse variance, whatever lies between the two."""
    if a is None or b is None:
        return a or b
    wa, wb = a[1] ** -2, b[1] ** -2
    return (wa * a[0] + wb * b[0]) / (wa + wb), (wa + wb) ** -0.5


def swaps(value, decimals, first, low, high, grid=None):
    """The values that a neighbouring pair of digits changed over makes, pair by pair; None where it is no candidate."""
    digits = list(f"{value:.{decimals}f}".replace(".", ""))
    out = []
    for i in range(first, len(digits) - 1):
        other = digits[:i] + [digits[i + 1], digits[i]] + digits[i + 2:]
        x = int("".join(other)) / 10.0 ** decimals
        fine = digits[i] != digits[i + 1] and low - 1e-9 <= x <= high + 1e-9
        if grid is not None:
            fine = fine and abs(x / grid - round(x / grid)) < 1e-6
        out.append(x if fine else None)
    return out


# What each gross cause alters: a confirmed one bars the others of a quantity it shares.
ALTERS = {"lens": "P", "eye": "LK", "index": "K", "length-digits": "L", "cornea-digits": "K", "power-digits": "P", "sulcus": "E", "laser": "KE",
          "reversed": "E", "constant": "E", "ultrasound": "E", "contact": "L", "oil-length": "L", "fluid": "R", "oil-reading": "R"}


class Component:
    """family: as-measured, wide, off, lens, eye, ..."""

    def __init__(self, family, prior, mean, cov, sd_r, ln_q=0.0, offset=0.0, stays=0.0):
        self.family, self.prior, self.mean, self.cov, self.sd_r = family, prior, mean, cov, sd_r
        self.ln_q, self.offset, self.stays = ln_q, offset, stays


class Single:
    """One estimate without weights: an eye whose lens is displaced."""

    def __init__(self, x, cov):
        part = Component("as-measured", 1.0, x, cov, None)
        part.x, part.c, part.w = x, cov, 1.0
        self.parts = [part]


class Mixture:
    def __init__(self, surprise):
        self.s, self.eye = surprise, surprise.eye
        self.case, self.v = self.eye.case, self.eye.vertex
        self.parts, self.unused = [], 0.0
        self.b1, self.b2 = self.eye.case.get("biometry") or {}, self.eye.case.get("biometry_repeat") or {}
        self.build()
        self.weigh()

    # ---- components ----
    def run(self, length, cornea, follow=False):
        """Mean and covariance from a length and keratometry, each with its SD."""
        s, eye, f = self.s, self.eye, self.s.formula

        def model(al, k):
            before = 337.5 / eye.k_before if eye.k_before else None
            x = fed(f, al, 337.5 / k, eye.acd, eye.constants, before)
            if x is None or eye.old_shift() is None:
                raise NotComputed
            return x[0], x[1], x[2] + eye.old_shift()[0]
        k, optical, e = model(length[0], cornea[0])
        variance = [length[1] ** 2 + s.grown[1] ** 2, cornea[1] ** 2, s.sd[2] ** 2, s.sd[3] ** 2]
        cov = [[variance[i] if i == j else 0.0 for j in range(4)] for i in range(4)]
        if follow:
            h = C["slope_step"]
            bl = (model(length[0] + h, cornea[0])[2] - model(length[0] - h, cornea[0])[2]) / (2.0 * h)
            bk = (model(length[0], cornea[0] + h)[2] - model(length[0], cornea[0] - h)[2]) / (2.0 * h)
            cov[0][2] = cov[2][0] = bl * variance[0]
            cov[1][2] = cov[2][1] = bk * variance[1]
            cov[2][2] += bl * bl * variance[0] + bk * bk * variance[1]
        return [optical + s.grown[0], k, e, eye.power or 0.0], cov

    def same_eye(self, l1, k1, l2, k2):
        """ln q of a repeat that is of the same eye as the first."""
        total = 0.0
        if l1 and l2:
            total += ln_normal(l1[0] - l2[0], l1[1] ** 2 + l2[1] ** 2)
        if k1 and k2:
            total += ln_normal(k1[0] - k2[0], k1[1] ** 2 + k2[1] ** 2)
        return total

    def add(self, family, prior, length, cornea, ln_q, follow=False, **more):
        try:
            mean, cov = self.run(length, cornea, follow)
        except NotComputed:
            return None
        part = Component(family, prior, mean, cov, self.s.sd_r, ln_q, **more)
        self.parts.append(part)
        return part

    def build(self):
        eye, case = self.eye, self.case
        sk = eye.sk
        l1, l2 = eye.l1, eye.l2
        k1, k2 = eye.k1 and (eye.k1[0], sk), eye.k2 and (eye.k2[0], sk)
        if eye.laser:
            k1, k2 = eye.cornea, None
        if l1 is None:
            l1, l2 = l2, None
        if k1 is None:
            k1, k2 = k2, None
        length, cornea = pool(l1, l2), pool(k1, k2)
        q = self.same_eye(l1, k1, l2, k2)
        per = 1.0 / C["rate_per"]

        def checked(name):
            return get(case, "checks", name) is True
        sheet = FACTOR["original_sheet_seen"] if checked("original_sheet_seen") else 1.0
        known = {"sticker": FACTOR["lens_by_sticker"], "operation-record": FACTOR["lens_by_record"], "letter": FACTOR["lens_by_letter"],
                 "patient": FACTOR["lens_by_letter"]}.get(get(eye.old, "identified_by"), FACTOR["lens_not_known"])
        self.sheet = sheet
        for family in ("as-measured", "wide", "off"):
            self.add(family, 0.0, length, cornea, q)
        for part in self.parts:
            if part.family == "wide":
                part.cov[2][2] *= C["wide_factor"] ** 2
            if part.family == "off" and part.sd_r is not None:
                part.sd_r *= C["off_factor"]
        if get(eye.old, "documented_wrong") is not True:
            lens, fellow = RATE["another-lens-than-recorded"] * per * known, get(case, "fellow_eye", "lens_power_d")
            share = C["fellow_lens_share"] if fellow is not None and fellow != eye.power else 0.0
            part = self.add("lens", lens * (1.0 - share), length, cornea, q)
            part.cov[3][3] += C["other_lens_sd_d"] ** 2
            if share:
                part = self.add("lens", lens * share, length, cornea, q)
                part.mean[3] = fellow
                part.cov[3][3] = eye.site.spread.get("lens_label_d", label_sd(fellow)) ** 2
        self.other_eye(l1, k1, l2, k2, per * (FACTOR["biometry_of_this_eye"] if checked("biometry_belongs_to_this_eye") else 1.0))
        self.index(l1, k1, l2, k2, q, per * sheet)
        self.digits(l1, k1, l2, k2, q, per * sheet)
        self.places(length, cornea, q, per)
        self.constants(length, cornea, q, per * sheet)
        self.readings(length, cornea, q, per)
        if self.eye.l1 and get(self.b1, "method") == "contact-ultrasound" and get(eye.constants["own"], "obtained_with") != "ultrasound":
            longer = (l1[0] + C["contact_pressed_mm"], math.hypot(l1[1], C["contact_sd_mm"]))
            self.add("contact", RATE["contact-ultrasound"] * per, pool(longer, l2), cornea, self.same_eye(longer, k1, l2, k2))
        self.confirm()
        self.ordinary()

    def confirm(self):
        """A confirmed cause has weight 1, other causes of a quantity that it shares none."""
        eye, self.confirmed = self.eye, []
        if get(self.case, "checks", "biometry_belongs_to_this_eye") is False:
            self.confirmed.append("eye")
        if eye.old.get("way_up") == "reversed":
            self.confirmed.append("reversed")
        if get(eye.constants["own"], "obtained_with") == "ultrasound" and get(self.b1, "method") == "optical":
            self.confirmed.append("ultrasound")
        for family in self.confirmed:
            mine = [p for p in self.parts if p.family == family]
            for p in mine:
                p.prior = 1.0 / len(mine)
            for p in self.parts:
                if p.family != family and p.family in ALTERS and p.family not in self.confirmed and set(ALTERS[p.family]) & set(ALTERS[family]):
                    p.prior = 0.0

    def ordinary(self):
        rest = max(1.0 - self.unused - sum(p.prior for p in self.parts), C["ordinary_least"])
        wide = C["wide_weight_complicated"] if get(self.case, "first_surgery", "complicated") is True else C["wide_weight"]
        off = C["off_weight_agreeing"] if self.eye.reading.se is not None and self.eye.reading.agreeing else C["off_weight"]
        share = {"as-measured": 1.0 - wide - off, "wide": wide, "off": off}
        for part in self.parts:
            if part.family in share:
                part.prior = rest * share[part.family]

    def other_eye(self, l1, k1, l2, k2, per):
        rate = RATE["other-eye-measurements"] / 2.0 * per
        fellow = get(self.case, "fellow_eye", "biometry") or {}
        from eye import cornea_of, length_sd
        kf = cornea_of(fellow)
        kf = kf and (kf[0], self.eye.sk)
        lf = (fellow["axial_length_mm"], length_sd(self.case, fellow, True)) if get(fellow, "axial_length_mm") else None
        total, person = 0.0, 0.0
        use = []
        r1, r2 = self.eye.l2, self.eye.k2 and not self.eye.laser and (self.eye.k2[0], self.eye.sk)
        for one, two, repeat, other, between, mean, spread in ((l1, l2, r1, lf, C["between_eyes_length_mm"], C["person_length_mm"], C["person_length_sd_mm"]),
                                                       (k1, k2, r2, kf, C["between_eyes_k_d"], C["person_k_d"], C["person_k_sd_d"])):
            if repeat and other:
                total += (ln_normal(other[0] - repeat[0], other[1] ** 2 + repeat[1] ** 2)
                          - ln_normal(other[0] - repeat[0], between ** 2 + repeat[1] ** 2))
            if two and one:
                total += ln_normal(one[0] - two[0], between ** 2 + two[1] ** 2)
                person += ln_normal(one[0] - mean, spread ** 2)
                use.append((two, two))
            elif repeat:
                use.append((repeat, repeat))
            else:
                use.append((other or (one[0], between), (mean, spread)))
        self.add("eye", rate, use[0][0], use[1][0], total, follow=True)
        self.add("eye", rate, use[0][1], use[1][1], person, follow=True)

    def index(self, l1, k1, l2, k2, q, per):
        if self.eye.laser.get("k_total_d") is not None:
            return
        for name in ("suspect_index_low", "suspect_index_mid", "suspect_index_third"):
            f = 0.3375 / (C[name] - 1.0)
            a, b = k1 and (k1[0] * f, k1[1]), k2 and (k2[0] * f, k2[1])
            self.add("index", RATE["keratometric-index"] / 3.0 * per, pool(l1, l2), pool(a, b), q)

    def digits(self, l1, k1, l2, k2, q, per):
        if self.eye.l1:
            for x in swaps(l1[0], 2, 1, C["swap_length_low_mm"], C["swap_length_high_mm"]):
                self.unused += RATE["length-digits-swapped"] / 2.0 * per if x is None else 0.0
                if x is not None:
                    a = (x, l1[1])
                    self.add("length-digits", RATE["length-digits-swapped"] / 2.0 * per, pool(a, l2), pool(k1, k2), self.same_eye(a, k1, l2, k2))
        replaced = self.eye.laser.get("k_total_d") is not None  # a measured total power stands for the keratometry
        meridians = self.meridians() if self.eye.k1 and not replaced else []
        different = sorted(set(meridians))
        for m in different:
            for x in swaps(round(m, 2), 2, 1, C["swap_k_low_d"], C["swap_k_high_d"]):
                self.unused += RATE["keratometry-digits-swapped"] / 2.0 / len(different) * per if x is None else 0.0
                if x is not None:  # the mean moves by what its meridian moves
                    a = k1[0] + (x - m) / len(different), k1[1]
                    self.add("cornea-digits", RATE["keratometry-digits-swapped"] / 2.0 / len(different) * per, pool(l1, l2), pool(a, k2),
                             self.same_eye(l1, a, l2, k2))
        p = get(self.eye.old, "power_d")
        if p is not None:
            whole = abs(p * 10.0 - round(p * 10.0)) < 1e-6  # a label with hundredths is on no grid when changed over
            for x in swaps(abs(p), 1, 0, 0.0, C["swap_power_most_d"], C["swap_power_grid_d"]) if whole else (None, None):
                self.unused += RATE["power-digits-swapped"] / 2.0 * per if x is None else 0.0
                if x is not None:
                    part = self.add("power-digits", RATE["power-digits-swapped"] / 2.0 * per, pool(l1, l2), pool(k1, k2), q)
                    if part:
                        part.mean[3] += math.copysign(x, p) - p

    def meridians(self):
        out = []
        for which in ("flat", "steep"):
            k, r = get(self.b1, f"k_{which}_d"), get(self.b1, f"k_{which}_radius_mm")
            index = get(self.b1, "keratometric_index") or C["keratometric_index"]
            if r is not None or k is not None:
                out.append(337.5 / r if r is not None else k * 0.3375 / (index - 1.0))
        return out

    def places(self, length, cornea, q, per):
        shift = turned(self.eye) if get(self.eye.old, "way_up") in (None, "reversed") else None
        if shift is not None:
            part = self.add("reversed", RATE["lens-reversed"] * per, length, cornea, q)
            part.stays = shift
            part.mean[2] += shift
        if self.eye.place == "bag":
            looked = FACTOR["dilated_look_done"] if get(self.case, "checks", "dilated_look_done") is True else 1.0
            part = self.add("sulcus", RATE["sulcus-with-bag-power"] * per * looked, length, cornea, q)
            part.mean[2] += C["shift_sulcus_mm"]
            part.cov[2][2] += SPREAD["shift_sulcus_mm"] ** 2
        if get(self.case, "cornea", "earlier_refractive_surgery") in (None, "none"):
            looked = FACTOR["topography_done"] if get(self.case, "checks", "topography_done") is True else 1.0
            for name, sign in (("earlier-myopic-laser", 1.0), ("earlier-hyperopic-laser", -1.0)):
                part = self.add("laser", RATE[name] * per * looked, length, cornea, q)
                part.mean[1] -= sign * C["laser_k_d"]
                part.mean[2] += sign * C["laser_position_mm"]
                part.cov[1][1] += C["laser_k_sd_d"] ** 2
                part.cov[2][2] += C["laser_position_sd_mm"] ** 2

    def constants(self, length, cornea, q, per):
        own = self.eye.constants
        origin = get(own["own"], "obtained_with")
        if not (get(self.eye.old, "lens_id") and origin):
            seen = []
            for lens in self.eye.site.lenses if own["a"] is not None else ():
                a = get(lens, "constants", "a_constant")
                if lens.get("purpose") == "replacement" and a is not None and abs(a - own["a"]) > 1e-9 and a not in seen:
                    seen.append(a)
            self.unused += 0.0 if seen else RATE["constant-of-another-lens"] * per
            for a in seen[:6]:
                part = self.add("constant", RATE["constant-of-another-lens"] / len(seen[:6]) * per, length, cornea, q)
                part.stays = C["nominal_position_slope"] * (a - own["a"])
                part.mean[2] += part.stays
        if origin in (None, "ultrasound") and get(self.b1, "method") == "optical":
            part = self.add("ultrasound", RATE["ultrasound-constant"] * per, length, cornea, q)
            part.stays = C["nominal_position_slope"] * C["ultrasound_constant_less"]
            part.mean[2] += part.stays

    def readings(self, length, cornea, q, per):
        oil = self.case.get("silicone_oil") or {}
        day = self.eye.reading.day if self.eye.reading.se is not None else None
        if self.eye.place == "bag" and get(self.case, "anterior_segment", "fluid_behind_lens") not in ("yes", "no"):
            late = day is not None and day > C["fluid_late_day"]
            part = self.add("fluid", (C["fluid_late_rate"] if late else RATE["fluid-behind-lens"]) * per, length, cornea, q)
            self.off(part, C["fluid_late_d"] if late else C["fluid_early_d"], C["fluid_late_sd_d"] if late else C["fluid_early_sd_d"])
        if get(oil, "at_measurement") is None and get(self.b1, "eye_state") != "silicone-oil":
            part = self.add("oil-length", RATE["oil-at-measurement"] * per, length, cornea, q)
            part.mean[0] += C["oil_length_mm"]
            part.cov[0][0] += C["oil_length_sd_mm"] ** 2
        if get(oil, "at_refraction") is None and get(oil, "now") is None:
            part = self.add("oil-reading", RATE["oil-in-the-eye"] * per, length, cornea, q)
            self.off(part, C["oil_reading_d"], C["oil_reading_sd_d"])

    def off(self, part, offset, sd):
        part.offset = offset
        if part.sd_r is not None:
            part.sd_r = math.hypot(part.sd_r, sd)

    # ---- weights ----
    def weigh(self):
        s, kept = self.s, []
        for part in self.parts:
            if part.prior <= 0.0:
                continue
            try:
                ln_w = math.log(part.prior) + part.ln_q
                if s.depth is not None:
                    part.mean, part.cov, r, v = by_depth(part.mean, part.cov, *s.depth)
                    ln_w += ln_normal(r, v)
                if s.current is not None:
                    part.x, part.c, part.g, part.r, part.var = update(part.mean, part.cov, s.current, part.sd_r, self.v, part.offset)
                    ln_w += ln_normal(part.r, part.var)
                else:
                    part.x, part.c = part.mean, part.cov  # also where no label is known
                    if not 0.0 < part.x[2] < part.x[0]:
                        raise NotComputed
            except (NotComputed, ZeroDivisionError, OverflowError):
                continue
            part.ln_w = ln_w
            kept.append(part)
        most = max(part.ln_w for part in kept)
        total = sum(math.exp(part.ln_w - most) for part in kept)
        for part in kept:
            part.w = math.exp(part.ln_w - most) / total
        self.parts = kept

    def share(self, *families):
        return sum(part.w for part in self.parts if part.family in families)

    def numbers(self):
        ordinary = self.share("as-measured", "wide", "off")
        return {"ordinary_probability": ordinary, "unusual_position_probability": self.share("wide"),
                "reading_off_probability": self.share("off"), "gross_probability": 1.0 - ordinary - self.share("contact", *self.confirmed)}
