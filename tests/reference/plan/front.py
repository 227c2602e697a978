"""A second lens in front of one that stays: from the refraction that is believed in, or from the reading as it is. Neither length nor
formula: only the vergence of cornea and glasses at its plane, where what the old lens does to it stays."""
import math

from constants import C, SPREAD
from eye import get, label_sd
from mixture import phi
from optics import Matrix, forward, gradient, length_for, nominal, outward, power_for, refraction, to_cornea, to_glasses
from powers import mean_position
from toric import Cornea, by_keratometry


class SecondLens:
    """rows: weight, K, position of the second lens, refraction today, its variance; one stands for the cylinder."""

    def __init__(self, eye, rows, shape, target):
        self.eye, self.v, self.target = eye, eye.vertex, target
        self.sd = eye.site.spread.get("piggyback_position_mm", SPREAD["piggyback_mm"])
        c = shape.m if shape is not None else 0.0  # joins K, as it does for a lens in the old one's stead
        self.rows = [(w, k + c, e, length_for(k, e, 0.0, now, self.v), var) for w, k, e, now, var in rows]
        self.shape = shape
        w, k, e, now, _ = max(rows, key=lambda row: row[0])
        self.leading = max(self.rows, key=lambda row: row[0])
        if shape is not None:  # what arrives at the plane today; without a second lens it arrives again
            at_cornea = shape + Matrix(k) + Matrix(to_cornea(now, self.v)) + (eye.reading.rc.dev() if eye.reading.rc else Matrix(0.0))
            self.arrives, self.k, self.e = at_cornea.each(lambda x: forward(x, e)), k, e

    def glasses(self, p, induced):
        """SE, sphere, cylinder, axis by the matrices."""
        at_cornea = (self.arrives - p).each(lambda x: outward(x, self.e)) - self.shape - self.k
        at_cornea = at_cornea if induced is None else at_cornea - induced
        sphere, cylinder, axis = at_cornea.each(lambda r: to_glasses(r, self.v)).written()
        return to_glasses(at_cornea.m, self.v), sphere, cylinder, axis

    def more(self, p):
        """What the matrices add to the equivalent."""
        if self.shape is None:
            return 0.0
        _, k, e, length, _ = self.leading
        return self.glasses(p, None)[0] - refraction(length, k, e, p, self.v)

    def mean(self, p):
        whole = sum(row[0] for row in self.rows)
        return sum(w * refraction(length, k, e, p, self.v) for w, k, e, length, _ in self.rows) / whole + self.more(p)

    def exact(self):
        p = sum(w * power_for(length, k, e, self.target, self.v) for w, k, e, length, _ in self.rows)
        for _ in range(50):
            step = (self.mean(p) - self.target) / ((self.mean(p + 1e-4) - self.mean(p - 1e-4)) / 2e-4)
            p -= step
            if abs(step) < 1e-9:
                break
        return p

    def told(self, p, induced):
        rows, more = [], self.more(p)
        for w, k, e, length, believed in self.rows:
            g = gradient(length, k, e, p, self.v)
            label = self.eye.site.spread.get("lens_label_d", label_sd(p))
            v = believed + (label * g[3]) ** 2 + (self.sd * g[2]) ** 2 + self.eye.site.spread.get("refraction_d", SPREAD["refraction_manifest_d"]) ** 2
            rows.append((w, refraction(length, k, e, p, self.v) + more, v))
        whole = sum(w for w, _, _ in rows)
        mean = sum(w * mu for w, mu, _ in rows) / whole
        t = self.target

        def inside(band):
            return sum(w * (phi((t + band - mu) / math.sqrt(v)) - phi((t - band - mu) / math.sqrt(v))) for w, mu, v in rows)
        out = {"expected/se_d": mean, "sd_d": math.sqrt(sum(w * (v + mu * mu) for w, mu, v in rows) / whole - mean * mean),
               "within_half_d": inside(C["band_half_d"]), "within_one_d": inside(C["band_one_d"])}
        if self.shape is None:
            return dict(out, **{"expected/sphere_d": None, "expected/cylinder_d": None, "expected/axis_deg": None})
        own, sphere, cylinder, axis = self.glasses(p, induced)
        return dict(out, **{"expected/sphere_d": sphere + mean - own, "expected/cylinder_d": cylinder, "expected/axis_deg": axis})


def from_estimate(surprise, mixture, target):
    """In each component, from the refraction that it believes in, with its spread."""
    eye, rows = surprise.eye, []
    for part in mixture.parts:
        g = gradient(*part.x, eye.vertex)
        believed = sum(g[i] * part.c[i][j] * g[j] for i in range(4) for j in range(4))
        if not 0.0 < part.x[2] + C["piggyback_shift_mm"] < part.x[0]:
            continue
        rows.append((part.w, part.x[1], part.x[2] + C["piggyback_shift_mm"], refraction(*part.x, eye.vertex), believed))
    cornea = Cornea(eye, max(mixture.parts, key=lambda p: p.w).x)
    return SecondLens(eye, rows, cornea.beyond and cornea.beyond + cornea.second, target)


def from_reading(eye, target):
    """The reading as it is; the old lens where its constant has it, else where the usual one lies in its place."""
    eye.vertex, shift = eye.reading.vertex, eye.old_shift()
    k = eye.cornea[0] if eye.cornea else C["k_assumed"]
    own = eye.constants
    if shift and own["a"] is not None:
        e = nominal(own["a"]) + shift[0]
    elif shift and own["haigis"]:
        e = mean_position(own) + shift[0]
    else:
        place = eye.published_shift()
        if place is None:
            return None
        e = nominal(C["a_constant_assumed"]) + place
    toric, axis = get(eye.old, "cylinder_d"), get(eye.old, "axis_deg")
    shape = None if toric and axis is None else by_keratometry(eye) or Matrix(0.0)
    return SecondLens(eye, [(1.0, k, e + C["piggyback_shift_mm"], eye.reading.se, eye.reading.sd ** 2)], shape, target)
