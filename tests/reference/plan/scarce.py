"""From the refraction alone: a length, or length and keratometry, of a population; the aim of the first lens as a measurement; then the
reading. What it gives stands where the components of the joint estimate stand."""
import copy
import math

from constants import C, FACTOR, RATE, SPREAD
from eye import constants_of, fixation, get, label_sd
from mixture import Component, ln_normal
import growth
from optics import NotComputed, fed, gradient, refraction
from surprise import by_depth, depth_of, update


class Scarce:
    """Length (and cornea) guessed; each belief in the aim, under each ordinary cause and another lens."""

    def __init__(self, eye):
        self.eye, self.case = eye, eye.case
        v = self.v = eye.vertex = eye.reading.vertex
        self.current = eye.reading.se
        measured = eye.length[0] if eye.length else None
        outside = measured is not None and not C["formula_length_low"] <= measured <= C["formula_length_high"]
        self.length = eye.length if outside else (C["person_length_mm"], C["person_length_sd_mm"])
        self.cornea = eye.cornea or (C["person_k_d"], C["person_k_sd_d"])
        self.guessed = (not outside, eye.cornea is None)
        self.constants = dict(eye.constants)
        if eye.old_shift() is None:  # stands as the first lens of the shelf that has a constant for the place
            for lens in eye.site.lenses:
                if get(lens, "constants", "for_position") == eye.place and get(lens, "constants", "a_constant") is not None:
                    self.constants = constants_of({"lens_id": lens["id"]}, eye.site)
                    break
        self.shift = fixation(eye.place, self.constants, C["fixation_far_mm"])
        stated = any(get(self.constants["own"], key) is not None for key in ("a_constant", "surgeon_factor_mm", "pacd_mm", "haigis_a0_mm"))
        if not stated or self.shift is None:  # no constant, or none that holds for its place
            a = self.constants["a"] = C["a_constant_assumed"]
            self.constants["sf"] = C["surgeon_factor_slope"] * a - C["surgeon_factor_base"]
            self.constants["pacd"] = C["pacd_slope"] * a - C["pacd_base"]
            self.constants["haigis"] = False
        self.formula, self.parts = self.reference(), []
        if self.formula is None:
            return
        spread = eye.site.spread
        altered = eye.altered or self.cornea[0] > C["k_steep_limit_d"]
        self.se = spread.get("lens_position_mm", SPREAD["position_altered_mm"] if altered else SPREAD["position_mm"])
        self.sp = spread.get("lens_label_d", label_sd(eye.power))
        self.aims = [(1.0, C["aim_far_sd_d"])] if altered else [(C["aim_weight"], C["aim_sd_d"]), (1.0 - C["aim_weight"], C["aim_far_sd_d"])]
        self.depth = depth_of(eye)
        for weight, sd in self.aims:
            try:
                self.belief(weight, sd)
            except (NotComputed, ZeroDivisionError, OverflowError):
                continue
        if not self.parts:
            self.formula = None
            return
        most = max(p.ln_w for p in self.parts)
        total = sum(math.exp(p.ln_w - most) for p in self.parts)
        for p in self.parts:
            p.w = math.exp(p.ln_w - most) / total

    def reference(self):
        for name in (get(self.case, "formula"), self.eye.site.habits.get("formula")):
            if name and self.predict(self.length[0], self.cornea[0], name):
                return name
        al = self.length[0]
        name = "hoffer-q" if al < C["reference_short_mm"] else "holladay-1" if al <= C["reference_long_mm"] else "srk-t"
        if self.predict(al, self.cornea[0], name):
            return name
        return next((f for f in ("srk-t", "t2", "holladay-1", "hoffer-q", "haigis") if self.predict(al, self.cornea[0], f)), None)

    def predict(self, al, k, formula=None):
        """K, L, E in the eye model from what instruments read."""
        eye = self.eye
        x = fed(formula or self.formula, al, 337.5 / k, eye.acd, self.constants, 337.5 / eye.k_before if eye.k_before else None)
        return None if x is None else (x[0], x[1], x[2] + (self.shift or (0.0, 0.0))[0])

    def slopes(self, x):
        """The model's K, L, E at figures as they are read, and how each moves with length and with keratometry."""
        h = C["slope_step"]
        at = self.predict(*x)
        sides = [self.predict(x[0] + h, x[1]), self.predict(x[0] - h, x[1]), self.predict(x[0], x[1] + h), self.predict(x[0], x[1] - h)]
        if at is None or None in sides:
            raise NotComputed
        by_length, by_cornea = ([(sides[i][j] - sides[i + 1][j]) / (2 * h) for j in range(3)] for i in (0, 2))
        return at, by_length, by_cornea

    def aimed(self, c, sd):
        """The aim as a measurement of length and keratometry as read: R(L, K, E(L, K), label)."""
        intended = get(self.case, "first_surgery", "intended_se_d")
        m = [self.length[0], self.cornea[0]]
        if intended is None:
            return m, c, 0.0
        x = list(m)
        for _ in range(50):
            (k, length, e), bl, bk = self.slopes(x)
            to_l, to_k, to_e, _ = gradient(length, k, e, self.eye.power, self.v)
            g = [by[1] * to_l + by[0] * to_k + by[2] * to_e for by in (bl, bk)]
            cg = [c[i][0] * g[0] + c[i][1] * g[1] for i in range(2)]
            s = g[0] * cg[0] + g[1] * cg[1] + sd * sd
            r = intended - refraction(length, k, e, self.eye.power, self.v) - sum(g[i] * (m[i] - x[i]) for i in range(2))
            new = [m[i] + cg[i] * r / s for i in range(2)]
            moved = max(abs(new[i] - x[i]) for i in range(2))
            x = new
            if moved <= C["update_settled"]:
                return x, [[c[i][j] - cg[i] * cg[j] / s for j in range(2)] for i in range(2)], ln_normal(r, s)
        raise NotComputed

    def belief(self, weight, sd):
        x, c, ln_q = self.aimed([[self.length[1] ** 2, 0.0], [0.0, self.cornea[1] ** 2]], sd)
        (k, length, e), bl, bk = self.slopes(x)
        bl, bk = bl[2] * self.guessed[0], bk[2] * self.guessed[1]
        cov = [[0.0] * 4 for _ in range(4)]
        for i in range(2):
            for j in range(2):
                cov[i][j] = c[i][j]
            cov[i][2] = cov[2][i] = c[i][0] * bl + c[i][1] * bk
        cov[2][2] = self.se ** 2 + bl * bl * c[0][0] + bk * bk * c[1][1] + 2 * bl * bk * c[0][1]
        cov[3][3] = self.sp ** 2
        by, sd = growth.length(self.eye, k, length, e, self.v)
        length, cov[0][0] = length + by, cov[0][0] + sd ** 2
        known = {"sticker": FACTOR["lens_by_sticker"], "operation-record": FACTOR["lens_by_record"], "letter": FACTOR["lens_by_letter"],
                 "patient": FACTOR["lens_by_letter"]}.get(get(self.eye.old, "identified_by"), FACTOR["lens_not_known"])
        other = 0.0 if get(self.eye.old, "documented_wrong") is True else RATE["another-lens-than-recorded"] / C["rate_per"] * known
        rest = max(1.0 - other, C["ordinary_least"])
        wide = C["wide_weight_complicated"] if get(self.case, "first_surgery", "complicated") is True else C["wide_weight"]
        off = C["off_weight_agreeing"] if self.eye.reading.agreeing else C["off_weight"]
        for family, prior in (("as-measured", rest * (1 - wide - off)), ("wide", rest * wide), ("off", rest * off), ("lens", other)):
            if prior <= 0.0:
                continue
            own, sd_r = copy.deepcopy(cov), self.eye.reading.sd
            if family == "wide":
                own[2][2] += (C["wide_factor"] ** 2 - 1.0) * self.se ** 2
            if family == "off":
                sd_r *= C["off_factor"]
            if family == "lens":
                own[3][3] += C["other_lens_sd_d"] ** 2
            p = Component(family, prior * weight, [length, k, e, self.eye.power], own, sd_r, ln_q)
            try:
                if self.depth is not None:
                    p.mean, p.cov, r, var = by_depth(p.mean, p.cov, *self.depth)
                    p.ln_q += ln_normal(r, var)
                p.x, p.c, p.g, p.r, p.var = update(p.mean, p.cov, self.current, p.sd_r, self.v)
            except (NotComputed, ZeroDivisionError):
                continue
            p.ln_w = math.log(p.prior) + p.ln_q + ln_normal(p.r, p.var)
            self.parts.append(p)
