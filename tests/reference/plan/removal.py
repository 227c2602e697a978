"""Taking the lens out: pieces, cuts and reach by plane geometry, the room that the blade has, and the turn before the cut."""
import math

from constants import C
from eye import get, reasons
from lens import OldLens, sag, stated


def lengths(diameter):
    a = diameter / 2.0
    third = a * math.sqrt(1.0 - 1.0 / 9.0)             # half a cut that runs a third of the radius beside the centre
    half = math.radians(C["wedge_deg"] / 2.0)
    past = a + C["partial_past_centre_mm"]
    return {"whole": (diameter, 0.0, None), "folded": (a, 0.0, None), "halved": (a, diameter, diameter), "halved-turned": (a, diameter, a),
            "partial": (diameter, past, past), "wedge": (a + a * math.cos(half), diameter, a), "thirds": (diameter / 3.0, 4.0 * third, a + third)}


def pieces(printed):
    """Where each method stands in the printed list, and its lengths for the optic that is printed. A plate is cut along its length."""
    if any(row["id"] == "halved" and row["cut_length_mm"] != printed["lens"]["optic_diameter_mm"] for row in printed["methods"]):
        return {}
    known = lengths(printed["lens"]["optic_diameter_mm"])
    out = {}
    for i, row in enumerate(printed["methods"]):
        wide, cut, reach = known[row["id"]]
        if row["widest_piece_mm"] is None:
            continue
        out[f"methods/{i}/widest_piece_mm"], out[f"methods/{i}/cut_length_mm"], out[f"methods/{i}/furthest_reach_mm"] = wide, cut, reach
    return out


class Shape(OldLens):
    """The lens as a thing: both radii as stated, whatever the label says; none where rim or centre has no thickness."""

    def __init__(self, eye):
        super().__init__(eye, True)
        if min(self.edge(), self.thickness) <= 0.0:
            raise ValueError

    def faces(self, t):
        return (1.0 / self.front, 1.0 / self.back) if self.front and self.back else super().faces(t)

    def edge(self):
        return self.thickness - sag(self.c1, self.radius) + sag(self.c2, self.radius)


class Room:
    """The old lens at rest on the iris plane under the back of the cornea."""

    def __init__(self, eye, lens):
        self.lens = lens
        depth = get(eye.case, "biometry_repeat", "lens_depth_mm")
        self.iris = eye.acd if eye.acd is not None else None if depth is None else depth - C["iris_before_lens_mm"]
        k = eye.k_before or (eye.cornea and eye.cornea[0])  # a laser leaves the back of the cornea
        thick = get(eye.case, "cornea", "thickness_um")
        self.cornea = thick / 1000.0 if thick is not None else C["cornea_thickness_mm"]
        self.radius = C["back_radius_share"] * 337.5 / k if k else None
        blade = get(eye.case, "operation", "blade_height_mm")
        self.blade = C["blade_height_mm"] if blade is None else blade
        self.front = None
        if self.iris is not None and self.radius and lens:  # the vertex of the back, or its rim, lies on the plane
            self.front = self.iris - lens.thickness - max(0.0, sag(lens.c2, lens.radius))

    def clearance(self, x):
        endothelium = self.cornea + self.radius - math.sqrt(self.radius ** 2 - x * x)
        return self.front + sag(self.lens.c1, x) - self.blade - endothelium

    def thickness(self, x):
        return self.lens.thickness - sag(self.lens.c1, x) + sag(self.lens.c2, x)

    def along(self, method):
        """Distances from the centre that the cut passes through."""
        least = self.lens.radius / 3.0 if method == "thirds" else 0.0
        return [least + (self.lens.radius - least) * i / 2000.0 for i in range(2001)]


def room(eye, printed):
    try:
        if eye.power is None:
            raise ValueError
        lens = Shape(eye)
    except (ValueError, OverflowError, ZeroDivisionError):
        lens = None
    room, out = Room(eye, lens), {}
    for i, row in enumerate(printed["methods"]):
        cut = row["id"] not in ("whole", "folded") and row["widest_piece_mm"] is not None
        out[f"methods/{i}/least_clearance_mm"] = min(map(room.clearance, room.along(row["id"]))) if cut and room.front is not None else None
        out[f"methods/{i}/thickest_cut_mm"] = max(map(room.thickness, room.along(row["id"]))) if cut and lens else None
    if lens:
        out.update({"lens/centre_thickness_mm": lens.thickness, "lens/edge_thickness_mm": room.thickness(lens.radius)})
    if room.front is not None:
        out.update({"chamber/iris_plane_mm": room.iris, "chamber/cornea_thickness_mm": room.cornea, "chamber/endothelium_radius_mm": room.radius,
                    "chamber/lens_front_mm": room.front})
    return out


def weak(eye):
    """The zonule is told to tremble, to lack hours, or to have let lens and capsule go."""
    zonule, slipped = eye.case.get("zonule") or {}, eye.case.get("dislocation") or {}
    hours = zonule.get("missing_clock_hours")
    return zonule.get("donesis") in ("slight", "marked") or (hours or 0.0) > 0.0 or slipped.get("with_capsule") is True


def loose_bag(eye):
    """A lens in a bag that marked trembling or missing hours say hardly holds, and that has not slipped from it; not the second of two."""
    zonule, place = eye.case.get("zonule") or {}, get(eye.old, "position")
    lost = zonule.get("donesis") == "marked" or (zonule.get("missing_clock_hours") or 0.0) > C["zonule_lost_hours"]
    gone = "lens-dislocation" in reasons(eye.case) or eye.absent
    return lost and place in (None, "bag") and not gone and eye.old != eye.case.get("second_lens")


def turn(eye, wound, printed):
    """The junction beside the cut, and the way there in the loops' free direction; a lens comes back to itself after half a turn.
    A plate and a rigid lens are turned onto the wound itself: nothing is cut beside a loop."""
    free, now = stated(eye, "turns_freely"), get(eye.old, "junction_axis_deg")
    plate, rigid = stated(eye, "design") == "plate", stated(eye, "material") == "pmma"
    look_first = get(eye.old, "way_up") == "reversed" and free in ("clockwise", "both") and not plate  # as one that lies right turns: no turn
    free = "both" if look_first else free
    free = "both" if plate else free or ("anticlockwise" if get(eye.old, "way_up") == "reversed" else "clockwise")
    now = None if get(eye.case, "dislocation", "lies") in ("anterior-vitreous", "retina", "chamber") else now  # where it lies nothing is turned
    now = None if loose_bag(eye) else now  # nor in a bag that hardly holds
    beside = C["beside_junction_deg"] + (C["wedge_deg"] / 2.0 if printed["preferred"] == "wedge" else 0.0)
    side = 0.0 if plate else -1.0 if free == "anticlockwise" or look_first else 1.0
    out = {} if rigid else {"cut_meridian_deg": wound.position % 180.0 or 180.0}
    out["junction_position_deg"] = (wound.position + side * beside) % 360.0
    if now is None or look_first or printed["preferred"] == "whole":  # uncut it comes out as it lies
        return dict(out, turn_deg=None, turn_back_deg=None, turn_clock_hours=None)
    way = (out["junction_position_deg"] - now + 90.0) % 180.0 - 90.0
    back, against = way, {"clockwise": 1.0, "anticlockwise": -1.0}.get(free, 0.0)
    if way * against > 0.0:
        way -= 180.0 * against
    if weak(eye) and abs(way) > 1e-9:  # nothing is turned: the cut goes to the end of the junction nearer to the wound
        now += 180.0 if 90.0 < (now - wound.position) % 360.0 < 270.0 else 0.0
        if not rigid:
            out["cut_meridian_deg"] = (now - side * beside) % 180.0 or 180.0
        return dict(out, junction_position_deg=now % 360.0, turn_deg=None, turn_back_deg=None, turn_clock_hours=None)
    out["turn_deg"], out["turn_back_deg"] = way, back if back != way else None
    out["turn_clock_hours"] = abs(way) / C["clock_hour_deg"]
    return out


def numbers(eye, wound, printed):
    out = pieces(printed)
    out.update(room(eye, printed))
    if printed["orientation"] and printed["orientation"]["junction_position_deg"] is not None:
        out.update({"orientation/" + key: value for key, value in turn(eye, wound, printed).items()})
    return out
