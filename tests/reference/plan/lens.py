"""The old lens as a thing: its two faces, and where it stands when it is turned back to front."""
import math

from constants import C
from eye import get

SHAPES = {"equal": 0.0, "front-steeper": C["shape_steeper_q"], "back-steeper": -C["shape_steeper_q"], "convex-front": 1.0, "convex-back": -1.0}
INDEX = {"hydrophobic-acrylic": "hydrophobic", "hydrophilic-acrylic": "hydrophilic", "silicone": "silicone", "pmma": "pmma"}


def stated(eye, key):
    """What the case says of the old lens, else the site's lens of that id."""
    value = get(eye.old, key)
    shelf = eye.site.lens(get(eye.old, "lens_id")) if get(eye.old, "lens_id") else None
    return value if value is not None else get(shelf, key)


def sag(c, r):
    return c * r * r / (1.0 + math.sqrt(1.0 - c * c * r * r))


def bent(power, q, index, thickness):
    """Front and back curvature of a thick lens in aqueous."""
    dn = 1000.0 * (index - C["index_aqueous"])
    a = thickness / (1000.0 * index) * dn * dn * (q * q - 1.0) / 4.0
    d = power / dn if a == 0.0 else (-dn + math.sqrt(dn * dn + 4.0 * a * power)) / (2.0 * a)
    return d * (q + 1.0) / 2.0, d * (q - 1.0) / 2.0


def other_face(power, c, index, thickness):
    """The power that the other face adds to a face of curvature c, with the power of that face."""
    face = 1000.0 * (index - C["index_aqueous"]) * c
    return face, (power - face) / (1.0 - thickness / (1000.0 * index) * face)


class OldLens:
    """Faces from both radii's shape, from one radius and the power, or from the word of the shape; ValueError when there is no such lens."""

    def __init__(self, eye, taken_out=False):
        """taken_out: what is not said is taken: equal radii; one radius tells the other round by round."""
        self.power, self.radius = eye.power, (stated(eye, "optic_diameter_mm") or C["old_diameter_mm"]) / 2.0
        material = stated(eye, "material")
        self.index = stated(eye, "refractive_index") or C["old_index_" + INDEX.get(material, "unknown")]
        self.front, self.back, self.word = get(eye.old, "front_radius_mm"), get(eye.old, "back_radius_mm"), SHAPES.get(get(eye.old, "shape"))
        centre, edge = stated(eye, "centre_thickness_mm"), stated(eye, "edge_thickness_mm")
        if centre is None and None in (self.front, self.back) and not taken_out:  # one radius tells the other only with the thickness
            self.front = self.back = None
        if self.word is None and taken_out:
            self.word = 0.0
        if self.front is None and self.back is None and self.word is None:
            raise ValueError
        if centre is None and eye.power < 0.0 and edge is None:
            centre = C["old_minus_centre_mm"]
        self.thickness = centre if centre is not None else self.grown(edge if edge is not None else C["old_edge_mm"])
        self.c1, self.c2 = self.faces(self.thickness)

    def faces(self, t):
        dn = 1000.0 * (self.index - C["index_aqueous"])
        if self.front and self.back:
            r1, r2 = self.front, self.back
            return bent(self.power, (1.0 / r1 + 1.0 / r2) / (1.0 / r1 - 1.0 / r2), self.index, t)
        if self.front:
            face, other = other_face(self.power, 1.0 / self.front, self.index, t)
            return face / dn, -other / dn
        if self.back:
            face, other = other_face(self.power, -1.0 / self.back, self.index, t)
            return other / dn, -face / dn
        return bent(self.power, self.word, self.index, t)

    def grown(self, edge):
        """The centre thickness that leaves this edge."""
        t = edge
        for _ in range(200):
            c1, c2 = self.faces(t)
            new = edge + sag(c1, self.radius) - sag(c2, self.radius)
            if abs(new - t) < 1e-13:
                break
            t = new
        return t

    def principal(self):
        """Principal points behind the front vertex."""
        dn, n = 1000.0 * (self.index - C["index_aqueous"]), C["index_aqueous"]
        t = self.thickness
        return (t * n / self.index * -dn * self.c2 / self.power, t - t * n / self.index * dn * self.c1 / self.power)

    def middle(self):
        """The middle of the edge behind the front vertex."""
        front = sag(self.c1, self.radius)
        return front + (self.thickness - front + sag(self.c2, self.radius)) / 2.0


def turned(eye):
    """How far the lens stands further back when it is back to front."""
    design, angle, length, width = (stated(eye, key) for key in ("design", "front_angulation_deg", "length_mm", "optic_diameter_mm"))
    vault = C["vault_three_piece_mm"] if design == "three-piece" else 0.0
    if None not in (angle, length, width):
        vault = (length - width) / 2.0 * math.sin(math.radians(angle))
    try:
        if eye.power is None:
            raise ValueError
        lens = OldLens(eye)
        return -2.0 * vault + 2.0 * lens.middle() - sum(lens.principal())
    except (ValueError, OverflowError, ZeroDivisionError):  # not known, or no such lens
        return {"one-piece": C["reversed_one_piece_mm"], "three-piece": C["reversed_three_piece_mm"]}.get(design, C["reversed_unknown_mm"])
