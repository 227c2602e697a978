"""Cylinders by the matrix model at one (L, K, E, P): what the cornea adds, what a new lens leaves."""
from constants import C
from eye import get
from optics import Matrix, N, lens_matrix, outward, to_cornea, to_glasses


def supplied(length, position, lens):
    """Q: what cornea and refraction supply together for this lens, a matrix."""
    w = Matrix(N / (length - position)) - lens
    return w.each(lambda x: outward(x, position))


def old_matrix(eye, mean):
    cyl, axis = get(eye.old, "cylinder_d") or 0.0, get(eye.old, "axis_deg")
    return lens_matrix(mean, cyl, axis) if cyl > 0.0 and axis is not None else Matrix(mean)


class Cornea:
    """The part of the cornea beyond its mean, such that today's cylinder is today's cylinder."""

    def __init__(self, eye, x):
        length, k, position, power = x
        whole = supplied(length, position, old_matrix(eye, power))
        self.beyond = (whole - eye.reading.rc).dev()
        self.second = whole.m - outward(N / (length - position) - power, position)  # second order of a toric old lens

    def with_lens(self, length, k, position, lens, vertex, induced=None, se=None):
        """Refraction at the cornea, a matrix, and told at the glasses: SE, sphere, cylinder, axis."""
        rc = supplied(length, position, lens) - k - self.beyond - self.second
        if induced is not None:
            rc = rc - induced
        own = to_glasses(rc.m, vertex)
        sphere, cylinder, axis = rc.each(lambda r: to_glasses(r, vertex)).written()
        return own, sphere + (0.0 if se is None else se - own), cylinder, axis
