"""Taking the lens out: pieces, cuts and reach by plane geometry."""
import math

from constants import C


def lengths(diameter):
    a = diameter / 2.0
    third = a * math.sqrt(1.0 - 1.0 / 9.0)             # half a cut that runs a third of the radius beside the centre
    half = math.radians(C["wedge_deg"] / 2.0)
    past = a + C["partial_past_centre_mm"]
    return {"whole": (diameter, 0.0, None), "folded": (a, 0.0, None), "halved": (a, diameter, diameter), "halved-turned": (a, diameter, a),
            "partial": (diameter, past, past), "wedge": (a + a * math.cos(half), diameter, a), "thirds": (diameter / 3.0, 4.0 * third, a + third)}


def numbers(printed):
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
