"""The thin-lens eye, its inverses, symmetric dioptre matrices and the five formulas. Lengths in mm, powers in D."""
import math

from constants import C

N = 1000.0 * C["index_aqueous"]
NOT = None


class NotComputed(Exception):
    """The method gives no number here."""


def forward(x, t):
    """A vergence t mm further back in the eye."""
    return x / (1.0 - t * x / N)


def outward(x, t):
    """A vergence t mm further front in the eye."""
    return x / (1.0 + t * x / N)


def to_cornea(r, vertex):
    return r / (1.0 - vertex * r / 1000.0)


def to_glasses(rc, vertex):
    return rc / (1.0 + vertex * rc / 1000.0)


def at_cornea(length, k, position, power):
    """Refraction at the cornea of a thin-lens eye; none where light would focus on its way out."""
    w = N / (length - position) - power if 0.0 < position < length else None
    if w is None or 1.0 + position * w / N <= 0.0:
        raise NotComputed
    return outward(w, position) - k


def refraction(length, k, position, power, vertex):
    rc = at_cornea(length, k, position, power)
    if 1.0 + vertex * rc / 1000.0 <= 0.0:
        raise NotComputed
    return to_glasses(rc, vertex)


def power_for(length, k, position, se, vertex):
    return N / (length - position) - forward(k + to_cornea(se, vertex), position)


def length_for(k, position, power, se, vertex):
    w = power + forward(k + to_cornea(se, vertex), position)
    return position + N / w


def cornea_for(length, position, power, se, vertex):
    return outward(N / (length - position) - power, position) - to_cornea(se, vertex)


def position_for(length, k, power, se, vertex, near):
    """The root nearest to `near`, 1.0 <= E <= min(8.0, L - 10); None when there is none."""
    x = N / (k + to_cornea(se, vertex))          # distance from the cornea to the image without a lens
    # N/(x - E) + P = N/(L - E)  ->  P E^2 - P (x + L) E + P x L + N (L - x) = 0
    if power == 0.0:
        return None
    a, b, c = power, -power * (x + length), power * x * length + N * (length - x)
    d = b * b - 4.0 * a * c
    if d < 0.0:
        return None
    roots = [(-b + s * math.sqrt(d)) / (2.0 * a) for s in (1.0, -1.0)]
    roots = [e for e in roots if C["position_low"] <= e <= min(C["position_high"], length - C["position_room"])]
    return min(roots, key=lambda e: abs(e - near)) if roots else None


def gradient(length, k, position, power, vertex):
    """dR by L, K, E, P: derived by hand from R = rc/(1 + V rc), rc = b(W, E) - K, W = n/(L - E) - P."""
    u = N / (length - position)
    w = u - power
    back = 1.0 + position * w / N
    rc = w / back - k
    d_glasses = 1.0 / (1.0 + vertex * rc / 1000.0) ** 2
    d_w = 1.0 / back ** 2
    u_slope = u * u / N
    by_e = d_w * u_slope - w * w / N / back ** 2
    return [d_glasses * d_w * -u_slope, -d_glasses, d_glasses * by_e, -d_glasses * d_w]


# ---- symmetric matrices as (mean, c, s): mean I + [[c, s], [s, -c]] ----
class Matrix:
    def __init__(self, m, c=0.0, s=0.0):
        self.m, self.c, self.s = m, c, s

    def __add__(self, o):
        o = o if isinstance(o, Matrix) else Matrix(o)
        return Matrix(self.m + o.m, self.c + o.c, self.s + o.s)

    def __sub__(self, o):
        o = o if isinstance(o, Matrix) else Matrix(o)
        return Matrix(self.m - o.m, self.c - o.c, self.s - o.s)

    def scaled(self, f):
        return Matrix(self.m * f, self.c * f, self.s * f)

    def each(self, f):
        """f of both principal powers: matrices of one function of one matrix share their meridians."""
        h = math.hypot(self.c, self.s)
        high, low = f(self.m + h), f(self.m - h)
        mean, half = (high + low) / 2.0, (high - low) / 2.0
        return Matrix(mean, half * self.c / h, half * self.s / h) if h > 0.0 else Matrix(f(self.m))

    def dev(self):
        return Matrix(0.0, self.c, self.s)

    def cylinder(self):
        return 2.0 * math.hypot(self.c, self.s)

    def written(self):
        """Sphere, minus cylinder, axis, above 0 to 180. The power in a meridian a is m + c cos 2a + s sin 2a; a minus cylinder's
        axis lies where the power is greatest."""
        h = math.hypot(self.c, self.s)
        axis = math.degrees(math.atan2(self.s, self.c)) / 2.0 % 180.0
        return self.m + h, -2.0 * h, axis if axis > 0.0 else 180.0


def written(sphere, cylinder, axis):
    """Sphere, cylinder of either sign, axis: cylinder has no power along its axis."""
    half = cylinder / 2.0
    a = math.radians(2.0 * axis) if axis is not None else 0.0
    return Matrix(sphere + half, -half * math.cos(a), -half * math.sin(a))


def lens_matrix(mean, cylinder, axis):
    """A toric lens: the marks are its weakest meridian."""
    return written(mean - cylinder / 2.0, cylinder, axis)


def cornea_matrix(mean, cylinder, steep):
    return written(mean - cylinder / 2.0, cylinder, steep + 90.0)


# ---- formulas: (K, L, E) from length, radius, chamber depth, constants; the cornea of the position may be another one ----
LIMITS = ("holladay-1", "hoffer-q")


def srk_t(al, r, acd, lens, r_before):
    k = 337.5 / r_before
    cor = al if al <= C["srk_t_length_limit"] else C["srk_t_length_constant"] + C["srk_t_length_linear"] * al - C["srk_t_length_square"] * al * al
    width = C["srk_t_width_constant"] + C["srk_t_width_length"] * cor + C["srk_t_width_cornea"] * k
    height = r_before - math.sqrt(max(r_before * r_before - width * width / 4.0, 0.0))
    return 333.0 / r, al + C["srk_t_retina_base"] - C["srk_t_retina_slope"] * al, height + nominal(lens["a"]) - C["srk_t_mean_height"]


def t2(al, r, acd, lens, r_before):
    height = C["t2_height_constant"] + C["t2_height_length"] * al + C["t2_height_cornea"] * 337.5 / r_before
    return 333.0 / r, al + C["srk_t_retina_base"] - C["srk_t_retina_slope"] * al, height + nominal(lens["a"]) - C["srk_t_mean_height"]


def holladay_1(al, r, acd, lens, r_before):
    rag = max(r_before, C["holladay_1_radius_low"])
    ag = min(C["holladay_1_width_slope"] * al / C["holladay_1_width_length"], C["holladay_1_width_high"])
    under = rag * rag - ag * ag / 4.0
    if under < 0.0:
        raise NotComputed
    return 1000.0 / 3.0 / r, al + C["holladay_1_retina"], C["holladay_1_depth"] + rag - math.sqrt(under) + lens["sf"]


def hoffer_q(al, r, acd, lens, r_before):
    k = 337.5 / r_before
    held = min(max(al, C["formula_length_low"]), C["formula_length_high"])
    short = held <= C["hoffer_q_length_split"]
    m, g = (1.0, C["hoffer_q_angle_short"]) if short else (-1.0, C["hoffer_q_angle_long"])
    depth = (lens["pacd"] + C["hoffer_q_length_slope"] * (held - C["hoffer_q_mean_length"]) + math.tan(math.radians(k)) ** 2
             + C["hoffer_q_moderator"] * m * (C["hoffer_q_mean_length"] - held) ** 2
             * math.tan(math.radians(C["hoffer_q_angle"] * (g - held) ** 2)) - C["hoffer_q_depth"])
    return 337.5 / r, al, depth + C["hoffer_q_plane"]


def haigis(al, r, acd, lens, r_before):
    return 331.5 / r, al, lens["a0"] + lens["a1"] * acd + lens["a2"] * al


FORMULAS = {"srk-t": (srk_t, "a"), "t2": (t2, "a"), "holladay-1": (holladay_1, "sf"), "hoffer-q": (hoffer_q, "pacd"), "haigis": (haigis, "a0")}


def nominal(a):
    return C["nominal_position_slope"] * a - C["nominal_position_base"]


def fed(formula, al, r, acd, lens, r_before=None):
    """K, L, E that the formula feeds to the eye, or None when it lacks an input."""
    run, wants = FORMULAS[formula]
    if al is None or r is None or lens.get(wants) is None or (formula == "haigis" and (acd is None or not lens["haigis"])):
        return None
    try:
        return run(al, r, acd, lens, r if r_before is None else r_before)
    except NotComputed:
        return None


def read_length(formula, length):
    """The axial length that feeds this optical length: the inverse of the formula's own step."""
    if formula in ("srk-t", "t2"):
        return (length - C["srk_t_retina_base"]) / (1.0 - C["srk_t_retina_slope"])
    return length - C["holladay_1_retina"] if formula == "holladay-1" else length


def read_cornea(formula, k):
    fed_index = {"srk-t": 333.0, "t2": 333.0, "holladay-1": 1000.0 / 3.0, "hoffer-q": 337.5, "haigis": 331.5}[formula]
    return k * 337.5 / fed_index
