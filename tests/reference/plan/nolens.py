"""An eye without a lens: the reading is an observation of length and cornea; its gradient on the position is 0."""
import math

from constants import C, SPREAD
from eye import Reading, get, vertex_of
from mixture import Single
from optics import FORMULAS, N, fed, gradient, read_cornea, read_length
from surprise import update


def reading_of(eye):
    """The reading without a lens, with the spread of its vertex distance."""
    reading = Reading(eye.case, eye.site, "aphakic")
    if reading.se is None:
        return reading
    newest = reading.used[0]
    if reading.se > C["aphakic_strong_d"] + 1e-9:
        reading.sd = max(reading.sd, SPREAD["refraction_aphakic_d"])
    if get(newest, "with") == "contact-lens":  # read at the cornea, told at the spectacle plane
        reading.sd *= (1.0 - reading.vertex * reading.se / 1000.0) ** 2
    else:
        by = SPREAD["vertex_mm"] if get(newest, "vertex_mm") is not None else SPREAD["vertex_assumed_mm"]
        reading.sd = math.hypot(reading.sd, reading.se ** 2 / 1000.0 * by)
    return reading


def read_model(name, k):
    return k / read_cornea(name, 1.0)


def joint(eye, fresh, reading):
    """Length and cornea after the reading."""
    part = fresh.parts[0]
    x, c = update(part.x, part.c, reading.se, reading.sd, eye.vertex)[:2]
    return Single(x, c)


def from_reading(eye, new, reading):
    """No length: it follows from the reading, with its spread, and places the lens."""
    k, sk = eye.cornea
    al = N / (k + reading.rc.m)
    best = "hoffer-q" if al < C["reference_short_mm"] else "holladay-1" if al <= C["reference_long_mm"] else "srk-t"
    for name in (x for x in (get(eye.case, "formula"), eye.site.habits.get("formula"), best, *FORMULAS) if x):
        model = read_model(name, k)
        length = N / (model + reading.rc.m)
        x = fed(name, al, 337.5 / k, eye.acd, new.constants, 337.5 / eye.k_before if eye.k_before else None)
        if x is not None:
            break
    g = gradient(length, model, x[2] + new.shift, 0.0, eye.vertex)
    altered = eye.altered or k > C["k_steep_limit_d"]
    se = eye.site.spread.get("lens_position_mm", SPREAD["position_altered_mm"] if altered else SPREAD["position_mm"])
    cov = [[0.0] * 4 for _ in range(4)]
    cov[0][0] = (reading.sd ** 2 + (g[1] * sk) ** 2) / g[0] ** 2
    cov[0][1] = cov[1][0] = -g[1] * sk ** 2 / g[0]
    cov[1][1], cov[2][2] = sk ** 2, se ** 2
    return Single([length, model, x[2] + new.shift, 0.0], cov)
