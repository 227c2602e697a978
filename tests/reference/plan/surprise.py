"""What the surprise says: each formula's prediction, z, the shares, what each cause alone would need, the joint estimate."""
import math

from constants import C, SPREAD
from eye import get, label_sd, state, vertex_of
import growth
from optics import (NotComputed, at_cornea, cornea_for, gradient, length_for, position_for, power_for, read_cornea, read_length, refraction)


def update(x, cov, reading, sd, vertex, offset=0.0):
    """x <- m + C g (R - R(x) - g.(m - x))/S, g at x, until nothing moves by 1e-10; at its end r, S, the posterior x and C."""
    m = list(x)
    for _ in range(50):
        g = gradient(*x, vertex)
        cg = [sum(cov[i][j] * g[j] for j in range(4)) for i in range(4)]
        s = sum(g[i] * cg[i] for i in range(4)) + sd * sd
        r = reading - offset - refraction(*x, vertex) - sum(g[i] * (m[i] - x[i]) for i in range(4))
        new = [m[i] + cg[i] * r / s for i in range(4)]
        moved = max(abs(new[i] - x[i]) for i in range(4))
        x = new
        if not 0.0 < x[2] < x[0]:
            raise NotComputed
        if moved <= C["update_settled"]:
            g = gradient(*x, vertex)
            cg = [sum(cov[i][j] * g[j] for j in range(4)) for i in range(4)]
            s = sum(g[i] * cg[i] for i in range(4)) + sd * sd
            r = reading - offset - refraction(*x, vertex) - sum(g[i] * (m[i] - x[i]) for i in range(4))
            return x, [[cov[i][j] - cg[i] * cg[j] / s for j in range(4)] for i in range(4)], g, r, s
    raise NotComputed


def by_depth(m, cov, seen, sd):
    """A measured depth: linear update of E. Returns the mean, the covariance, the residual and its variance."""
    s = cov[2][2] + sd * sd
    r = seen - m[2]
    c = [cov[i][2] for i in range(4)]
    return [m[i] + c[i] * r / s for i in range(4)], [[cov[i][j] - c[i] * c[j] / s for j in range(4)] for i in range(4)], r, s


def depth_of(eye):
    """Where the lens was measured to lie, with its SD; None when it was not."""
    depth, offset = get(eye.case, "biometry_repeat", "lens_depth_mm"), eye.site.habits.get("lens_depth_offset_mm")
    if depth is None:
        return None
    return (depth + (C["depth_offset_mm"] if offset is None else offset),
            eye.site.spread.get("lens_depth_mm", SPREAD["depth_mm"] if offset is None else SPREAD["depth_site_mm"]))


def told_at(eye):
    """The vertex distance at which refractions are told: of the reading that counts, else of the newest of the displaced lens."""
    if eye.reading.se is not None:
        return eye.reading.vertex
    moved = [] if eye.absent else [r for r in eye.case.get("refractions", []) if state(eye.case, r) == "displaced"]
    habit = eye.site.habits.get("vertex_mm", C["vertex_mm"])
    return vertex_of(moved[-1], eye.site) if moved and get(moved[-1], "with") != "contact-lens" else habit


class Surprise:
    def __init__(self, eye):
        self.eye, site = eye, eye.site
        self.formula = eye.reference()
        self.z = self.joint = self.depth = None
        case = eye.case
        self.intended = get(case, "first_surgery", "intended_se_d")
        self.current = eye.reading.se
        self.blind = eye.power is None  # no label: the reading tells nothing of the eye
        if self.formula is None:
            return
        v = eye.vertex = told_at(eye)
        k, length, e = eye.predicted(self.formula)
        spread = site.spread
        factor = spread.get("factor", 1.0)
        altered = eye.altered or eye.cornea[0] > C["k_steep_limit_d"]
        se = spread.get("lens_position_mm", SPREAD["position_altered_mm"] if altered else SPREAD["position_mm"])
        self.sd = [eye.length[1], eye.cornea[1], se, 0.0 if self.blind else spread.get("lens_label_d", label_sd(eye.power))]
        self.sd_r = eye.reading.sd
        self.prior = [length, k, e, 0.0 if self.blind else eye.power]
        self.grown = growth.length(eye, k, length, e, v)
        self.mean = [length + self.grown[0], k, e, self.prior[3]]
        self.cov = [[self.sd[i] ** 2 if i == j else 0.0 for j in range(4)] for i in range(4)]
        self.cov[0][0] += self.grown[1] ** 2
        self.depth = depth_of(eye)
        if self.depth is not None:
            self.mean, self.cov, _, _ = by_depth(self.mean, self.cov, *self.depth)
        if self.blind:
            self.current = None
            return
        self.predicted = refraction(length, k, e, eye.power, v)
        if self.current is None:
            return
        g = gradient(*self.mean, v)
        parts = [self.cov[i][i] * g[i] ** 2 for i in range(4)] + [self.sd_r ** 2]
        s = sum(parts)
        self.shares = [p / s for p in parts]
        self.z = (self.current - refraction(*self.mean, v)) / math.sqrt(s)
        try:
            x, cov = update(self.mean, self.cov, self.current, self.sd_r, v)[:2]
            if C["position_low"] <= x[2] <= min(C["position_high"], x[0] - C["position_room"]):  # else no lens lies there
                self.joint, self.post_cov = x, cov
        except (NotComputed, ZeroDivisionError):  # a gross cause stands for it
            self.joint = None

    def estimate(self):
        """The one estimate, with its covariance: after the reading where one counts."""
        return (self.joint, self.post_cov) if self.joint else (self.mean, self.cov)

    def numbers(self):
        """As the plan names them."""
        eye, out = self.eye, {}
        if eye.reading.se is None:
            return out
        v = eye.reading.vertex
        out["current_se_d"] = eye.reading.se
        if self.intended is not None:
            out["miss_d"] = eye.reading.se - self.intended
        if self.z is None:
            return out
        if self.intended is not None:
            out["selection_part_d"] = self.predicted - self.intended
        out["eye_part_d"] = self.current - self.predicted
        if self.joint:
            out["refraction_noise_d"] = self.current - refraction(*self.joint, v)
        out["z"] = self.z
        for f in eye.formulas():
            i = f
            k, length, e = eye.predicted(f)
            r = refraction(length, k, e, eye.power, v)
            out[f"formulas/{i}/predicted_se_d"] = r
            out[f"formulas/{i}/error_d"] = self.current - r
            out[f"formulas/{i}/predicted_position_mm"] = e
            out[f"formulas/{i}/fitted_position_mm"] = position_for(length, k, eye.power, self.current, v, e)
        length, k, e, p = self.prior
        needed = [length_for(k, e, p, self.current, v), cornea_for(length, e, p, self.current, v),
                  position_for(length, k, p, self.current, v, e), power_for(length, k, e, self.current, v), self.predicted]
        estimates = list(self.joint) + [refraction(*self.joint, v)] if self.joint else [None] * 5
        for i in range(5):
            out[f"causes/{i}/share"] = self.shares[i]
            out[f"causes/{i}/needed_alone"] = needed[i]
            read = (lambda x: read_length(self.formula, x)) if i == 0 else (lambda x: read_cornea(self.formula, x)) if i == 1 else (lambda x: x)
            if self.joint:
                out[f"causes/{i}/estimate"] = estimates[i]
                out[f"causes/{i}/estimate_read"] = read(estimates[i])
            out[f"causes/{i}/needed_alone_read"] = None if needed[i] is None else read(needed[i])
        return out
