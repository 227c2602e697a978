"""Cylinders by the matrix model at one (L, K, E, P): what the cornea adds, what a new lens leaves."""
from constants import C
from eye import get
from optics import Matrix, cornea_matrix, N, lens_matrix, outward, to_glasses, written


def supplied(length, position, lens):
    """Q: what cornea and refraction supply together for this lens, a matrix."""
    w = Matrix(N / (length - position)) - lens
    return w.each(lambda x: outward(x, position))


def old_matrix(eye, mean):
    cyl, axis = get(eye.old, "cylinder_d") or 0.0, get(eye.old, "axis_deg")
    return lens_matrix(mean, cyl, axis) if cyl > 0.0 and axis is not None else Matrix(mean)


def by_keratometry(eye):
    """The cornea's cylinder as it was measured: of both measurements the mean, in a conflict the repeat; None where a meridian is missing."""
    first, repeat = (k if k and None not in k else None for k in (eye.k1, eye.k2))
    if "conflict" in (eye.length_how, eye.cornea_how) and eye.k2:
        first = None
    whole = [cornea_matrix(*k).dev() for k in (first, repeat) if k]
    return (whole[0] + whole[-1]).scaled(0.5) if whole else None


class Cornea:
    """The part of the cornea beyond its mean, such that today's cylinder is today's cylinder."""

    def __init__(self, eye, x, measured=False):
        length, k, position, power = x
        whole = supplied(length, position, old_matrix(eye, power))
        self.beyond = (whole - eye.reading.rc).dev() if eye.reading.rc and not measured else by_keratometry(eye)
        if get(eye.old, "cylinder_d") and get(eye.old, "axis_deg") is None:  # nobody knows what the old lens does there
            self.beyond = None
        self.second = whole.m - outward(N / (length - position) - power, position)  # second order of a toric old lens

    def with_lens(self, length, k, position, lens, vertex, induced=None, se=None):
        """Refraction at the cornea, a matrix, and told at the glasses: SE, sphere, cylinder, axis."""
        rc = supplied(length, position, lens) - k - self.beyond - self.second
        if induced is not None:
            rc = rc - induced
        own = to_glasses(rc.m, vertex)
        sphere, cylinder, axis = rc.each(lambda r: to_glasses(r, vertex)).written()
        return own, sphere + (0.0 if se is None else se - own), cylinder, axis


def turned(eye, x, report):
    """The old lens alone in the eye, turned."""
    cornea, cylinder = Cornea(eye, x), get(eye.old, "cylinder_d")
    return turn(eye, report, lambda meridian: cornea.with_lens(x[0], x[1], x[2], lens_matrix(x[3], cylinder, meridian), eye.vertex))


def turn(eye, report, at):
    """The old lens turned to the meridian that leaves least cylinder: what it leaves there, and the way to it. at: what is told of a
    meridian: SE, sphere, cylinder, axis."""
    best = float(min(range(1, 181), key=lambda a: -at(a)[2]))
    low, high = best - 1.0, best + 1.0
    while high - low > 1e-9:
        a, b = low + (high - low) / 3.0, high - (high - low) / 3.0
        low, high = (low, b) if -at(a)[2] < -at(b)[2] else (a, high)
    best = (low + high) / 2.0
    best = best if -at(best)[2] < -at(eye.old["axis_deg"])[2] - 1e-9 else float(eye.old["axis_deg"])
    se, sphere, cyl, axis = at(best)
    out = {"least_cylinder_axis_deg": best % 180.0 or 180.0, "expected/se_d": se, "expected/sphere_d": sphere, "expected/cylinder_d": cyl}
    if abs(cyl) > 0.01:
        out["expected/axis_deg"] = axis
    beyond = written(*at(best + 1.0)[1:]) - written(sphere, cyl, axis)
    out["loss_per_degree_d"] = beyond.cylinder()
    way = get(eye.old, "turns_freely")
    way = "anticlockwise" if way == "clockwise" and get(eye.old, "way_up") == "reversed" else way  # along its own loops
    turn = (best - eye.old["axis_deg"] + 90.0) % 180.0 - 90.0
    turn = 0.0 if abs(turn) < C["turn_least_deg"] else turn
    against = (way == "clockwise" and turn > 0.0) or (way == "anticlockwise" and turn < 0.0)
    if way is not None:
        out["turn_deg"] = turn - 180.0 * (1.0 if turn > 0.0 else -1.0) if against else turn
        out["turn_back_deg"] = turn if against and 180.0 - 2.0 * abs(turn) > C["turn_least_deg"] else None  # a quarter is as long
    least = [abs(row["expected"]["cylinder_d"]) for row in report if row["cylinder_d"]]
    out["exchange_cylinder_d"] = min(least) if least else None
    return out
