"""The power of the new lens: by each component and their mixture, by each single cause, and the cross-checks."""
import math

from constants import C, SPREAD
from eye import by_length, constants_of, fixation, get, label_sd, published, scatter
import growth
from optics import (FORMULAS, Matrix, N, at_cornea, outward, to_glasses, cornea_for, fed, gradient, length_for, nominal, position_for, power_for, refraction)
from mixture import Single, phi
from surprise import told_at
from toric import Cornea, old_matrix, supplied

KIND = {"srk-t": "a", "t2": "a", "holladay-1": "sf", "hoffer-q": "pacd", "haigis": "a0"}
GIVEN = {"sf": "surgeon_factor_mm", "pacd": "pacd_mm", "a": "a_constant", "a0": "haigis_a0_mm"}


def mean_position(constants):
    """Haigis' position in an average eye."""
    return constants["a0"] + C["nominal_chamber_mm"] * constants["a1"] + C["nominal_length_mm"] * constants["a2"]


class NewLens:
    """A lens of the shelf at a place, with how far it lies from the old one."""

    def __init__(self, eye, route, formula, lens_id, place):
        self.lens = eye.site.lens(lens_id)
        self.constants = constants_of({"lens_id": lens_id}, eye.site)
        self.place = place
        self.distance = C["fixation_far_mm"] if eye.distance is None else eye.distance
        shift, old = fixation(place, self.constants, self.distance), eye.old_shift()
        self.change = self.sd = None
        self.shift = shift and shift[0]
        held = shift[1] if shift else math.hypot(scatter(place), scatter(self.constants["for"] or "bag"))
        if route == "fresh":  # nothing of the old lens tells where the new one lies
            self.change, self.sd = (0.0, held) if shift else (None, None)
            return
        if route == "refraction-only":
            self.change = self.nominal(eye)
        elif shift and old:
            between = self.between(eye, formula)
            self.change = None if between is None else between + shift[0] - old[0]
        base = eye.site.spread.get("new_position_mm", SPREAD["change_mm"])
        before = old[1] if old else math.hypot(scatter(eye.place), scatter(eye.constants["for"] or "bag"))
        same = place == eye.place and place != "sclera" and shift and old and shift[0] == old[0]
        self.sd = base if same else math.sqrt(base ** 2 + held ** 2 + before ** 2)

    def nominal(self, eye):
        """Difference of the nominal positions, by one kind of constant where both hold for their places. Else both lie in one plane
        and the published shifts of their places part them; nothing does in the same place."""
        old, new, was = eye.constants, self.constants, eye.old_shift()
        if was and self.shift is not None and old["a"] is not None and new["a"] is not None:
            return nominal(new["a"]) + self.shift - nominal(old["a"]) - was[0]
        if was and self.shift is not None and old["haigis"] and new["haigis"]:
            return mean_position(new) + self.shift - mean_position(old) - was[0]
        here, there = published(self.place, self.distance), published(eye.place, eye.old_distance)
        if self.place != eye.place and (here is None or there is None):
            return None
        anchored = self.shift is not None and (new["a"] is not None or new["haigis"])
        anchored = anchored or there is not None or (was and (old["a"] is not None or old["haigis"]))
        return None if not anchored else 0.0 if self.place == eye.place else here[0] - there[0]

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
            return b[2] - a[2] if 0.0 < b[2] < b[1] else None  # not computed: no place, no route
        if old["a"] is not None and new["a"] is not None:
            return C["nominal_position_slope"] * (new["a"] - old["a"])
        return 0.0


class Fresh:
    """Nothing is known of the old lens but that it is there: biometry and the formula of the new lens."""

    def __init__(self, eye, new):
        self.parts = []
        eye.vertex = told_at(eye)
        for name in (get(eye.case, "formula"), eye.site.habits.get("formula"), by_length(eye), *FORMULAS):
            x = name and self.run(eye, name, new)
            if x and 0.0 < x[2] < x[1]:
                break
        else:
            return
        self.formula = name
        altered = eye.altered or eye.cornea[0] > C["k_steep_limit_d"]
        se = eye.site.spread.get("lens_position_mm", SPREAD["position_altered_mm"] if altered else SPREAD["position_mm"])
        sd = (eye.length[1], eye.cornea[1], se, 0.0)
        by, spread = growth.length(eye, x[0], x[1], x[2], eye.vertex)
        sd = (math.hypot(sd[0], spread), *sd[1:])
        self.parts = Single([x[1] + by, x[0], x[2], 0.0], [[sd[i] ** 2 if i == j else 0.0 for j in range(4)] for i in range(4)]).parts

    @staticmethod
    def run(eye, name, new):
        x = fed(name, eye.length and eye.length[0], eye.radius(), eye.acd, new.constants, 337.5 / eye.k_before if eye.k_before else None)
        return x and (x[0], x[1], x[2] + new.shift)


class Replacement:
    def __init__(self, surprise, mixture, new, target):
        self.s, self.m, self.new, self.target, self.v = surprise, mixture, new, target, surprise.eye.vertex
        self.leading = max(mixture.parts, key=lambda p: p.w)
        self.cornea = Cornea(surprise.eye, self.leading.x, isinstance(mixture, Fresh) or surprise.current is None)  # a new start: the cornea as it was measured
        if isinstance(mixture, Fresh) or surprise.current is None:  # no reading that the old lens made
            self.cornea.second = 0.0
        self.second = self.cornea.second

    def place(self, part):
        return part.x[2] - part.stays + self.new.change

    def outcome(self, part, p):
        """Mean and variance of the refraction in one component; the second order of toric lenses joins the cornea."""
        length, k, e = part.x[0], part.x[1] + self.second, self.place(part)
        g = gradient(length, k, e, p, self.v)
        v = sum(g[i] * part.c[i][j] * g[j] for i in range(3) for j in range(3))
        v += (self.label(p) * g[3]) ** 2 + (self.new.sd * g[2]) ** 2 + SPREAD["refraction_manifest_d"] ** 2
        return to_glasses(at_cornea(length, k, e, p), self.v), v

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
            step = (mean - self.target * sum(w for w, _ in parts)) / slope
            p -= step
            if abs(step) < 1e-12:
                break
        return p

    def more(self, p, lens):
        """What a toric lens adds to the equivalent beyond its mean power, told at the glasses, at the leading component."""
        x, e = self.leading.x, self.place(self.leading)
        scalar = refraction(x[0], x[1] + self.second, e, p, self.v)
        return self.eyeglasses(p, lens, None, None)[0] - scalar if self.cornea.beyond is not None else 0.0

    def eyeglasses(self, p, lens, induced, se):
        """SE, sphere, cylinder, axis at the leading component."""
        x = self.leading.x
        return self.cornea.with_lens(x[0], x[1], self.place(self.leading), Matrix(p) if lens is None else lens, self.v, induced, se)

    def told(self, p, without=(), lens=None):
        more = self.more(p, lens) if lens is not None else 0.0
        rows = [(w, mu + more, v) for w, (mu, v) in ((w, self.outcome(part, p)) for w, part in self.weights(without))]
        whole = sum(w for w, _, _ in rows)  # a component whose lens would lie outside the eye has no chance, and no mean
        mean = sum(w * mu for w, mu, _ in rows) / whole
        sd = math.sqrt(sum(w * (v + mu * mu) for w, mu, v in rows) / whole - mean * mean)

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
            e1, e2 = mean_position(old), mean_position(new)
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


