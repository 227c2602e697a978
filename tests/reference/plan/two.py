"""Two lenses in one eye: one reading updates length, cornea, place of the first, gap and both labels together; what each way leaves."""
import math

from constants import C, SPREAD
from eye import get, label_sd, mean_power
from mixture import phi
from toric import by_keratometry
from optics import Matrix, N, NotComputed, forward, lens_matrix, outward, to_cornea, to_glasses, written


def power_matrix(lens, mean):
    cylinder, axis = get(lens, "cylinder_d") or 0.0, get(lens, "axis_deg")
    return lens_matrix(mean, cylinder, axis) if cylinder > 0.0 and axis is not None else Matrix(mean)


def toric(lens):
    return bool(get(lens, "cylinder_d"))


def needed(length, e1, gap, first, second):
    """What cornea and refraction supply together in front of both lenses, as a matrix."""
    if not 0.0 < e1 - gap <= e1 < length:
        raise NotComputed
    x = Matrix(N / (length - e1)) - first
    x = x.each(lambda v: outward(v, gap)) - second
    return x.each(lambda v: outward(v, e1 - gap))


def slopes(f, x):
    out = []
    for i in range(len(x)):
        h = 1e-5
        up, down = list(x), list(x)
        up[i] += h
        down[i] -= h
        out.append((f(up) - f(down)) / (2.0 * h))
    return out


class Two:
    """x: length, cornea, place of the first, gap, power of the first, of the second."""

    def __init__(self, surprise):
        eye, s = surprise.eye, surprise
        self.eye, self.v = eye, eye.vertex
        self.lens = eye.case["second_lens"]
        gap, power = get(eye.case, "second_lens_gap_mm"), mean_power(self.lens)
        k, length, e = eye.predicted(s.formula)
        spread = eye.site.spread
        self.m = [length, k, e, C["two_gap_mm"] if gap is None else gap, eye.power, power]
        sd = [s.sd[0], s.sd[1], s.sd[2], SPREAD["gap_measured_mm"] if gap is not None else SPREAD["gap_mm"], s.sd[3],
              spread.get("lens_label_d", label_sd(power))]
        self.predicted = self.se(self.m)
        self.x, self.cov = self.m, [[sd[i] ** 2 if i == j else 0.0 for j in range(6)] for i in range(6)]
        self.known = not any(toric(lens) and get(lens, "axis_deg") is None for lens in (eye.old, self.lens))
        self.c = 0.0
        if eye.reading.se is None:  # both as labelled, the cornea as it was measured
            self.beyond = by_keratometry(eye)
            self.known = self.known and self.beyond is not None
            return
        self.x, self.cov = self.update(sd, eye.reading.se, eye.reading.sd)
        full = needed(*self.x[:1], *self.x[2:4], power_matrix(eye.old, self.x[4]), power_matrix(self.lens, self.x[5]))
        plain = needed(*self.x[:1], *self.x[2:4], Matrix(self.x[4]), Matrix(self.x[5]))
        self.beyond = (full - eye.reading.rc).dev() if self.known else Matrix(0.0)
        self.c = full.m - plain.m

    def se(self, x):
        return to_glasses(needed(x[0], x[2], x[3], Matrix(x[4]), Matrix(x[5])).m - x[1], self.v)

    def update(self, sd, reading, sd_r):
        x, m = list(self.m), self.m
        for _ in range(100):
            g = slopes(self.se, x)
            s = sum((sd[i] * g[i]) ** 2 for i in range(6)) + sd_r ** 2
            r = reading - self.se(x) - sum(g[i] * (m[i] - x[i]) for i in range(6))
            new = [m[i] + sd[i] ** 2 * g[i] * r / s for i in range(6)]
            moved = max(abs(a - b) for a, b in zip(new, x))
            x = new
            if moved < 1e-11:
                break
        g = slopes(self.se, x)
        s = sum((sd[i] * g[i]) ** 2 for i in range(6)) + sd_r ** 2
        cov = [[(sd[i] ** 2 if i == j else 0.0) - sd[i] ** 2 * g[i] * sd[j] ** 2 * g[j] / s for j in range(6)] for i in range(6)]
        return x, cov

    def told(self, powers, change=0.0, put=None, change_sd=0.0, induced=None, target=0.0, lens=None, stays_put=False):
        """powers: of the first and the second, None for what stays. put: which of the two is new, lens: its matrix where it is toric;
        stays_put: it is the old one, turned. What is told of it."""
        def at(y, p):
            first = power_matrix(self.eye.old, y[4]) if powers[0] is None else Matrix(p[0])
            second = power_matrix(self.lens, y[5]) if powers[1] is None else Matrix(p[1])
            if lens is not None:
                first, second = (first, lens) if put == 1 else (lens, second)
            e1 = y[2] + change + (p[2] if put == 0 else 0.0)  # the second stays where it is
            gap = y[3] + e1 - y[2] - (p[2] if put == 1 else 0.0) if powers[1] != 0.0 or put == 1 else 0.0
            return needed(y[0], e1, gap, first, second) - y[1] - self.c

        def equivalent(y, p):
            return to_glasses(at(y, p).m, self.v)
        p = [powers[0] or 0.0, powers[1] or 0.0, 0.0]

        def plain(y, p):  # the spread, by the mean powers
            e1 = y[2] + change + (p[2] if put == 0 else 0.0)
            gap = y[3] + e1 - y[2] - (p[2] if put == 1 else 0.0) if powers[1] != 0.0 or put == 1 else 0.0
            q = needed(y[0], e1, gap, Matrix(y[4] if powers[0] is None else p[0]), Matrix(y[5] if powers[1] is None or stays_put else p[1]))
            return to_glasses(q.m - y[1] - (self.c if powers[1] == 0.0 and put == 0 else 0.0), self.v)  # one lens: as every replacement
        g = slopes(lambda y: plain(y, p), self.x)
        v = sum(g[i] * self.cov[i][j] * g[j] for i in range(6) for j in range(6))
        if put is not None and not stays_put:
            by = slopes(lambda q: plain(self.x, q), p)
            label = self.eye.site.spread.get("lens_label_d", label_sd(p[put]))
            v += (by[put] * label) ** 2 + (by[2] * change_sd) ** 2
        v += SPREAD["refraction_manifest_d"] ** 2
        mu, sd = equivalent(self.x, p), math.sqrt(v)

        def inside(band):
            return phi((target + band - mu) / sd) - phi((target - band - mu) / sd)
        out = {"expected/se_d": mu, "sd_d": sd, "within_half_d": inside(C["band_half_d"]), "within_one_d": inside(C["band_one_d"])}
        if self.known:
            rc = at(self.x, p) - self.beyond
            rc = rc if induced is None else rc - induced
            sphere, cylinder, axis = rc.each(lambda r: to_glasses(r, self.v)).written()
            out.update({"expected/sphere_d": sphere, "expected/cylinder_d": cylinder, "expected/axis_deg": axis})
        return out

    def refracted(self, first, second, change, induced):
        """Glasses with these two lenses as matrices, the first moved by the change: sphere, cylinder, axis."""
        x = self.x
        rc = needed(x[0], x[2] + change, x[3] + change, first, second) - x[1] - self.c - self.beyond
        return (rc if induced is None else rc - induced).each(lambda r: to_glasses(r, self.v)).written()

    def marks(self, put, change, target, induced, stays=None):
        """The weaker meridian of the lens that leaves the target and no cylinder."""
        x, e1, gap = self.x, self.x[2] + change, self.x[3] + change
        q = Matrix(x[1] + self.c + to_cornea(target, self.v)) + self.beyond + induced
        if put == 1:
            wanted = (Matrix(N / (x[0] - e1)) - power_matrix(self.eye.old, x[4])).each(lambda v: outward(v, gap)) - q.each(lambda v: forward(v, e1 - gap))
        else:
            behind = q.each(lambda v: forward(v, e1 - gap)) + (power_matrix(self.lens, x[5]) if stays is None else stays)
            wanted = Matrix(N / (x[0] - e1)) - behind.each(lambda v: forward(v, gap))
        axis = wanted.written()[2]
        return axis + 90.0 if axis <= 90.0 else axis - 90.0

    def turned(self):
        """The second lens where it leaves least cylinder: no new wound."""
        cylinder, first = self.lens["cylinder_d"], power_matrix(self.eye.old, self.x[4])

        def left(axis):
            return -self.refracted(first, lens_matrix(self.x[5], cylinder, axis), 0.0, None)[1]
        best = float(min(range(1, 181), key=left))
        low, high = best - 1.0, best + 1.0
        while high - low > 1e-9:
            a, b = low + (high - low) / 3.0, high - (high - low) / 3.0
            low, high = (low, b) if left(a) < left(b) else (a, high)
        best, now = (low + high) / 2.0, self.lens["axis_deg"]
        return best if left(best) < left(now) - 1e-9 else now  # before a round cornea every meridian is as good

    def loss(self, axis):
        """Cylinder that a degree off this meridian of the second lens adds: of the difference of the two refractions, as matrices."""
        cylinder, first = self.lens["cylinder_d"], power_matrix(self.eye.old, self.x[4])
        there, beside = (written(*self.refracted(first, lens_matrix(self.x[5], cylinder, a), 0.0, None)) for a in (axis, axis + 1.0))
        return (beside - there).cylinder()

    def first_turned(self, meridian):
        """The first turned behind the second, which stays: SE, sphere, cylinder, axis."""
        x, first = self.x, lens_matrix(self.x[4], self.eye.old["cylinder_d"], meridian)
        told = self.refracted(first, power_matrix(self.lens, x[5]), 0.0, None)
        at_cornea = needed(x[0], x[2], x[3], first, power_matrix(self.lens, x[5])) - x[1] - self.c - self.beyond
        return (to_glasses(at_cornea.m, self.v), *told)

    def exact(self, put, change, target, other=None):
        """The power whose refraction is the target."""
        p = 20.0
        for _ in range(60):
            def se(q):
                powers = [q if put == 0 else other, q if put == 1 else other]
                return self.told(powers, change)["expected/se_d"]
            step = (se(p) - target) / ((se(p + 1e-4) - se(p - 1e-4)) / 2e-4)
            p -= step
            if abs(step) < 1e-9:
                break
        return p
