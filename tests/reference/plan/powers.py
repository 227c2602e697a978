"""The power of the new lens: by each component and their mixture, by each single cause, and the cross-checks."""
import math

from constants import C, SPREAD
from eye import constants_of, fixation, get, label_sd
from optics import (Matrix, N, NotComputed, outward, cornea_for, fed, gradient, length_for, nominal, position_for, power_for, refraction)
from mixture import phi
from toric import Cornea, old_matrix, supplied

KIND = {"srk-t": "a", "t2": "a", "holladay-1": "sf", "hoffer-q": "pacd", "haigis": "a0"}
GIVEN = {"sf": "surgeon_factor_mm", "pacd": "pacd_mm", "a": "a_constant", "a0": "haigis_a0_mm"}


class NewLens:
    """A lens of the shelf at a place, with how far it lies from the old one."""

    def __init__(self, eye, formula, lens_id, place):
        self.lens = eye.site.lens(lens_id)
        self.constants = constants_of({"lens_id": lens_id}, eye.site)
        self.place = place
        distance = C["fixation_far_mm"] if eye.distance is None else eye.distance
        shift, old = fixation(place, self.constants, distance), eye.old_shift()
        self.change = self.sd = None
        if shift is None or old is None:
            return
        self.shift = shift[0]
        between = self.between(eye, formula)
        self.change = between + shift[0] - old[0]
        base = eye.site.spread.get("new_position_mm", SPREAD["change_mm"])
        self.sd = base if place == eye.place else math.sqrt(base ** 2 + shift[1] ** 2 + old[1] ** 2)

    def between(self, eye, formula):
        """Formula's positions compared with the same kind of constant of both, else by the A-constants, else not at all."""
        old, new, kind = eye.constants, self.constants, KIND[formula]
        own = get(old["own"], GIVEN[kind]) is not None and get(new["own"], GIVEN[kind]) is not None
        if kind == "a0":
            own = old["haigis"] and new["haigis"]
        derived = kind != "a0" and get(old["own"], GIVEN[kind]) is None and get(new["own"], GIVEN[kind]) is None and None not in (old[kind], new[kind])
        if own or derived:
            al, r = eye.length[0], eye.radius()
            before = 337.5 / eye.k_before if eye.k_before else None
            a, b = fed(formula, al, r, eye.acd, old, before), fed(formula, al, r, eye.acd, new, before)
            return b[2] - a[2]
        if old["a"] is not None and new["a"] is not None:
            return C["nominal_position_slope"] * (new["a"] - old["a"])
        return 0.0


class Replacement:
    def __init__(self, surprise, mixture, new, target):
        self.s, self.m, self.new, self.target, self.v = surprise, mixture, new, target, surprise.eye.vertex
        self.leading = max(mixture.parts, key=lambda p: p.w)
        self.cornea = Cornea(surprise.eye, self.leading.x) if surprise.current is not None else None
        self.second = self.cornea.second if self.cornea else 0.0

    def place(self, part):
        return part.x[2] - part.stays + self.new.change

    def outcome(self, part, p, se_shift=0.0):
        """Mean and variance of the refraction in one component; with a toric old lens its second-order part is of that component."""
        length, k, e = part.x[0], part.x[1], self.place(part)
        toric = self.cornea is not None and get(self.s.eye.old, "cylinder_d") and get(self.s.eye.old, "axis_deg") is not None

        def r(dl=0.0, dk=0.0, de=0.0):
            extra = self.second_at(self.leading.x[0] + dl, self.leading.x[2] + de, self.leading.x[3]) if toric else 0.0
            return refraction(length + dl, k + dk + extra, e + de, p, self.v)
        mu = r() + se_shift
        g = gradient(length, k, e, p, self.v)
        if toric:
            h = 1e-5
            g = [(r(h) - r(-h)) / (2 * h), (r(0, h) - r(0, -h)) / (2 * h), (r(0, 0, h) - r(0, 0, -h)) / (2 * h), g[3]]
        v = sum(g[i] * part.c[i][j] * g[j] for i in range(3) for j in range(3))
        g = gradient(length, k + (self.second if toric else 0.0), e, p, self.v)
        v += (self.label(p) * g[3]) ** 2 + (self.new.sd * g[2]) ** 2 + SPREAD["refraction_manifest_d"] ** 2
        return mu, v

    def label(self, p):
        return self.s.eye.site.spread.get("lens_label_d", label_sd(p))

    def weights(self, without=()):
        parts = [p for p in self.m.parts if p.family not in without]
        total = sum(p.w for p in parts)
        out = []
        for p in parts:
            e = self.place(p)
            if 0.0 < e < p.x[0]:
                out.append((p.w / total, p))
        return out

    def exact(self, without=()):
        """The power whose mean is the target: from sum w P_i by Newton."""
        parts = self.weights(without)
        p = sum(w * power_for(part.x[0], part.x[1] + self.second, self.place(part), self.target, self.v) for w, part in parts)
        for _ in range(50):
            mean = sum(w * refraction(part.x[0], part.x[1] + self.second, self.place(part), p, self.v) for w, part in parts)
            slope = sum(w * gradient(part.x[0], part.x[1] + self.second, self.place(part), p, self.v)[3] for w, part in parts)
            step = (mean - self.target) / slope
            p -= step
            if abs(step) < 1e-12:
                break
        return p

    def shift(self, p, lens=None):
        """The matrix model's spherical equivalent less the scalar one, at the leading component."""
        if self.cornea is None:
            return 0.0
        x = self.leading.x
        e = self.place(self.leading)
        return (self.cornea.with_lens(x[0], x[1], e, Matrix(p) if lens is None else lens, self.v)[0]
                - refraction(x[0], x[1] + self.second, e, p, self.v))

    def eyeglasses(self, p, lens, induced, se):
        """SE, sphere, cylinder, axis at the leading component."""
        x = self.leading.x
        return self.cornea.with_lens(x[0], x[1], self.place(self.leading), Matrix(p) if lens is None else lens, self.v, induced, se)

    def told(self, p, without=(), lens=None):
        se_shift = self.shift(p, lens) if lens is not None else 0.0
        rows = [(w,) + self.outcome(part, p, se_shift) for w, part in self.weights(without)]
        mean = sum(w * mu for w, mu, _ in rows)
        sd = math.sqrt(sum(w * (v + mu * mu) for w, mu, v in rows) - mean * mean)

        def inside(low, high):
            return sum(w * (phi((high - mu) / math.sqrt(v)) - phi((low - mu) / math.sqrt(v))) for w, mu, v in rows)
        t = self.target
        return {"se": mean, "sd": sd, "half": inside(t - C["band_half_d"], t + C["band_half_d"]),
                "one": inside(t - C["band_one_d"], t + C["band_one_d"]),
                "over": sum(w * phi((mu - t - C["band_one_d"]) / math.sqrt(v)) for w, mu, v in rows)}

    def second_at(self, length, position, mean):
        old = old_matrix(self.s.eye, mean)
        return supplied(length, position, old).m - outward(N / (length - position) - mean, position)

    def by_cause(self):
        """The fitted quantity alone takes the whole eye part."""
        s, v = self.s, self.v
        length, k, e, p = s.prior
        out = {}
        if s.current is None:
            return out
        fits = {"lens-position": (length, k, position_for(length, k, p, s.current, v, e)),
                "axial-length": (length_for(k, e, p, s.current, v), k, e), "cornea": (length, cornea_for(length, e, p, s.current, v), e),
                "lens-label": (length, k, e)}
        for name, x in fits.items():
            if None not in x:
                try:
                    out[name] = power_for(x[0], x[1] + self.second_at(x[0], x[2], p if name != "lens-label" else power_for(length, k, e, s.current, v)), x[2] + self.new.change, self.target, v)
                except ZeroDivisionError:
                    pass
        return out

    def from_refraction(self):
        """Neither axial length nor formula: keratometry and nominal positions."""
        eye, s = self.s.eye, self.s
        old, new = eye.constants, self.new.constants
        if old["a"] is not None and new["a"] is not None:
            e1, e2 = nominal(old["a"]), nominal(new["a"])
        elif old["haigis"] and new["haigis"]:
            e1, e2 = (x["a0"] + C["nominal_chamber_mm"] * x["a1"] + C["nominal_length_mm"] * x["a2"] for x in (old, new))
        else:
            return None
        e1, e2 = e1 + eye.old_shift()[0], e2 + self.new.shift
        k = eye.cornea[0]
        length = length_for(k, e1, eye.power, s.current, self.v)
        extra = self.second_at(length, e1, eye.power)
        return power_for(length, k + extra, e2, self.target, self.v)

    def thumb(self):
        eye, s = self.s.eye, self.s
        change = s.current - self.target
        p = eye.power + (C["thumb_hyperopic"] if change > 0.0 else C["thumb_myopic"]) * change
        if eye.constants["a"] is not None and self.new.constants["a"] is not None:
            p += C["thumb_constant"] * (self.new.constants["a"] - eye.constants["a"])
        return p

    def fresh(self):
        """The formula on the repeat biometry, with the new lens's constants."""
        eye = self.s.eye
        if not eye.l2 or not eye.k2:
            return None
        x = fed(self.s.formula, eye.l2[0], 337.5 / eye.k2[0], eye.acd, self.new.constants, 337.5 / eye.k_before if eye.k_before else None)
        return None if x is None else power_for(x[1], x[0], x[2] + self.new.shift, self.target, self.v)


class SecondLens:
    """A lens in front of one that stays: from the refraction that each component believes in."""

    def __init__(self, surprise, mixture, target):
        eye = surprise.eye
        self.v, self.target, self.eye = eye.vertex, target, eye
        self.sd = eye.site.spread.get("piggyback_position_mm", SPREAD["piggyback_mm"])
        self.rows = []
        for part in mixture.parts:
            now = refraction(*part.x, self.v)
            g = gradient(*part.x, self.v)
            believed = sum(g[i] * part.c[i][j] * g[j] for i in range(4) for j in range(4))
            e = part.x[2] + C["piggyback_shift_mm"]
            length = length_for(part.x[1], e, 0.0, now, self.v)
            self.rows.append((part, length, e, believed))

    def exact(self):
        p = sum(part.w * power_for(length, part.x[1], e, self.target, self.v) for part, length, e, _ in self.rows)
        for _ in range(50):
            mean = sum(part.w * refraction(length, part.x[1], e, p, self.v) for part, length, e, _ in self.rows)
            slope = sum(part.w * gradient(length, part.x[1], e, p, self.v)[3] for part, length, e, _ in self.rows)
            step = (mean - self.target) / slope
            p -= step
            if abs(step) < 1e-12:
                break
        return p

    def told(self, p):
        rows = []
        for part, length, e, believed in self.rows:
            g = gradient(length, part.x[1], e, p, self.v)
            label = self.eye.site.spread.get("lens_label_d", label_sd(p))
            v = believed + (label * g[3]) ** 2 + (self.sd * g[2]) ** 2 + SPREAD["refraction_manifest_d"] ** 2
            rows.append((part.w, refraction(length, part.x[1], e, p, self.v), v))
        mean = sum(w * mu for w, mu, _ in rows)
        t = self.target

        def inside(band):
            return sum(w * (phi((t + band - mu) / math.sqrt(v)) - phi((t - band - mu) / math.sqrt(v))) for w, mu, v in rows)
        return {"expected/se_d": mean, "sd_d": math.sqrt(sum(w * (v + mu * mu) for w, mu, v in rows) - mean * mean),
                "within_half_d": inside(C["band_half_d"]), "within_one_d": inside(C["band_one_d"])}
