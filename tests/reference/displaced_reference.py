#!/usr/bin/env python3
"""A displaced lens traced apart: rays of their own by Snell's law in 50 digits, the wave about the chief ray by differences.

Reads a table with a head line (the columns of tests/reference/derived/tilt_one_ray.tsv) and compares the correction at the cornea and
the prism with what its columns hold, to 1e-9. It shares no formula with src/optics/displaced_lens.c: no vergence matrix is carried.
"""
import sys
from decimal import Decimal as D, getcontext

getcontext().prec = 50
N_EYE, Q_CORNEA, STEP = D("1.336"), D("-0.26"), D("1e-14")
PI = D("3.14159265358979323846264338327950288419716939937510582097")


def sincos(degrees):
    x = D(degrees) * PI / 180
    def series(term, k):
        total = D(0)
        while abs(term) > D("1e-55"):
            total += term
            term = -term * x * x / ((k + 1) * (k + 2))
            k += 2
        return total
    return series(x, 1), series(D(1), 0)


def dot(a, b): return sum(p * q for p, q in zip(a, b))
def add(a, b, f=D(1)): return [p + f * q for p, q in zip(a, b)]
def times(a, f): return [p * f for p in a]
def unit(a): return times(a, 1 / dot(a, a).sqrt())


class Face:
    """Conic of revolution: c (x2 + y2 + (1 + Q) z2) / 2 = z about an axis through a vertex."""

    def __init__(self, vertex, axes, curvature, conic, behind, before):
        self.vertex, self.axes, self.c, self.k = vertex, axes, curvature, 1 + conic
        self.behind, self.before = behind, before  # indices on the retina's side and on the front's

    def meet(self, point, ray):
        p = [dot(add(point, self.vertex, D(-1)), a) for a in self.axes]
        s = [dot(ray, a) for a in self.axes]
        weight = (D(1), D(1), self.k)
        a = self.c * sum(w * v * v for w, v in zip(weight, s)) / 2
        b = self.c * sum(w * u * v for w, u, v in zip(weight, p, s)) - s[2]
        c = self.c * sum(w * u * u for w, u in zip(weight, p)) / 2 - p[2]
        root = (b * b - 4 * a * c).sqrt()
        # the side of the vertex: finite as the curvature goes to 0
        length = -2 * c / (b + (root if s[2] < 0 else -root))
        at = add(p, s, length)
        normal = [self.c * w * v for w, v in zip(weight, at)]
        normal[2] -= 1
        outward = [sum(normal[i] * self.axes[i][j] for i in range(3)) for j in range(3)]
        return add(point, ray, length), unit(outward)

    def refract(self, point, ray):
        point, normal = self.meet(point, ray)
        ratio = self.behind / self.before
        if dot(normal, ray) < 0:
            normal = times(normal, D(-1))
        cosine = dot(normal, ray)
        after = (1 - ratio * ratio * (1 - cosine * cosine)).sqrt()
        return point, unit(add(times(ray, ratio), normal, after - ratio * cosine))


def faces_of(row):
    """Curvatures of an optic of that power, shape and thickness, by Newton; its principal points."""
    power, q, index, t = (D(row[k]) for k in ("power_d", "shape_q", "index", "centre_thickness_mm"))
    gain = 1000 * (index - N_EYE)
    d = power / gain
    for _ in range(80):
        f = gain * d + t / 1000 / index * gain * gain * d * d * (q * q - 1) / 4 - power
        slope = gain + t / 1000 / index * gain * gain * d * (q * q - 1) / 2
        d -= f / slope
    c1, c2 = d * (q + 1) / 2, d * (q - 1) / 2
    front, back = gain * c1, -gain * c2
    return c1, c2, t * N_EYE / index * back / power, t - t * N_EYE / index * front / power


def eye_of(row, centred):
    power_k, length, place, gap = (D(row[k]) for k in ("cornea_d", "length_mm", "position_mm", "pupil_gap_mm"))
    index, thick = D(row["index"]), D(row["centre_thickness_mm"])
    c1, c2, h1, h2 = faces_of(row)
    tilt, off = (D(0), D(0)) if centred else (D(row["tilt_deg"]), D(row["decentration_mm"]))
    st, ct = sincos(tilt)
    sb, cb = sincos(D(row["tilted_back_position_deg"]))
    so, co = sincos(D(row["decentration_position_deg"]))
    across = [-sb, cb, D(0)]
    along = [ct * cb, ct * sb, st]  # the edge that lies toward the retina
    axis = [-st * cb, -st * sb, ct]
    pivot = [off * co, off * so, place + (h2 - h1) / 2]
    vertex = add(pivot, axis, -(h1 + h2) / 2)
    upright = [[D(1), D(0), D(0)], [D(0), D(1), D(0)], [D(0), D(0), D(1)]]
    cornea = Face([D(0)] * 3, upright, power_k / 1000 / (N_EYE - 1), Q_CORNEA, N_EYE, D(1))
    front = Face(vertex, [along, across, axis], c1, D(row["front_conic_q"]), index, N_EYE)
    back = Face(add(vertex, axis, thick), [along, across, axis], c2, D(0), N_EYE, index)
    return [D(0), D(0), length + h2 - h1], (back, front), cornea, place - gap


def leave_lens(fovea, lens, slope):
    point, ray = fovea, unit([slope[0], slope[1], D(-1)])
    for face in lens:
        point, ray = face.refract(point, ray)
    return point, ray


def at_pupil(fovea, lens, depth, slope):
    point, ray = leave_lens(fovea, lens, slope)
    f = (depth - point[2]) / ray[2]
    return [point[0] + f * ray[0], point[1] + f * ray[1]]


def solve2(m, v):
    det = m[0][0] * m[1][1] - m[0][1] * m[1][0]
    return [(v[0] * m[1][1] - v[1] * m[0][1]) / det, (m[0][0] * v[1] - m[1][0] * v[0]) / det]


def chief(fovea, lens, depth):
    slope = [D(0), D(0)]
    for _ in range(40):
        miss = at_pupil(fovea, lens, depth, slope)
        if max(abs(v) for v in miss) < D("1e-40"):
            return slope
        sides = []
        for i in range(2):
            up = list(slope)
            up[i] += STEP
            sides.append([(a - b) / STEP for a, b in zip(at_pupil(fovea, lens, depth, up), miss)])
        slope = add(slope, solve2([[sides[0][0], sides[1][0]], [sides[0][1], sides[1][1]]], miss), D(-1))
    raise SystemExit("FAILED no ray through the pupil")


def traced(row, centred):
    fovea, lens, cornea, depth = eye_of(row, centred)
    slope = chief(fovea, lens, depth)
    exit_point, ray = cornea.refract(*leave_lens(fovea, lens, slope))
    # the frame of the face turned least onto the ray: along z it runs toward the front, (0, 0, -1)
    k = 1 / (1 - ray[2])
    e = [[1 - k * ray[0] * ray[0], -k * ray[0] * ray[1], ray[0]],
         [-k * ray[0] * ray[1], 1 - k * ray[1] * ray[1], ray[1]]]
    moved, turned = [], []
    for i in range(2):
        ends = []
        for sign in (1, -1):
            by = list(slope)
            by[i] += sign * STEP
            point, other = cornea.refract(*leave_lens(fovea, lens, by))
            f = dot(add(exit_point, point, D(-1)), ray) / dot(other, ray)
            point = add(point, other, f)  # on the plane across the chief ray
            ends.append(([dot(add(point, exit_point, D(-1)), v) for v in e], [dot(other, v) for v in e]))
        moved.append([a - b for a, b in zip(ends[0][0], ends[1][0])])
        turned.append([a - b for a, b in zip(ends[0][1], ends[1][1])])
    # turned = H moved, for both neighbours
    rows = [solve2(moved, [turned[0][j], turned[1][j]]) for j in range(2)]
    prism = [100 * ray[0] / abs(ray[2]), 100 * ray[1] / abs(ray[2])]
    return 1000 * rows[0][0], 500 * (rows[0][1] + rows[1][0]), 1000 * rows[1][1], prism


def main():
    table = [line.rstrip("\n").split("\t") for line in open(sys.argv[1])]
    worst, count = D(0), 0
    for cells in table[1:]:
        row = dict(zip(table[0], cells))
        xx, xy, yy, prism = traced(row, False)
        found = {"rc_xx_d": xx, "rc_xy_d": xy, "rc_yy_d": yy, "prism_x_pd": prism[0], "prism_y_pd": prism[1],
                 "centred_cornea_d": traced(row, True)[0]}
        for key, value in found.items():
            off = abs(value - D(row[key]))
            worst = max(worst, off)
            if not off <= D("1e-9"):
                sys.exit(f"FAILED row {count + 1}: {key} {row[key]}, traced apart {value:.12f}")
        count += 1
    if count < 30:
        sys.exit(f"FAILED only {count} rows")
    print(f"passed displaced: {count} rows, greatest difference {worst:.1e}")


main()
