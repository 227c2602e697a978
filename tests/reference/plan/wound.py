"""The wound: induced cylinder by width, place and site; the cornea before and after."""
import math

from constants import C
from eye import get
from optics import Matrix, cornea_matrix


def apart(a, b):
    """Angle between two places on the limbus."""
    d = abs(a - b) % 360.0
    return min(d, 360.0 - d)


def superior_share(position):
    """0 at 3 and 9 o'clock and below, 1 at 12: the square of the height."""
    return max(math.sin(math.radians(position)), 0.0) ** 2


class Wound:
    def __init__(self, eye, least_mm=0.0):
        """least_mm: as wide as that at the end, whatever is planned."""
        case, habits = eye.case, eye.site.habits
        self.position = get(case, "operation", "incision_position_deg")
        if self.position is None:
            self.position = habits.get("incision_position_deg", C["wound_temporal_right_deg"] if case["eye"] == "right" else C["wound_temporal_left_deg"])
        self.width = get(case, "operation", "incision_width_mm") or habits.get("incision_width_mm", C["wound_width_mm"])
        self.width = max(self.width, least_mm)
        self.site = get(case, "operation", "incision_site") or habits.get("incision_site", "cornea")
        self.rows = sorted((r for r in habits.get("induced_cylinder", []) if r.get("site", self.site) == self.site), key=lambda r: r["width_mm"])
        new, sd = self.induced(self.width)
        first = get(case, "first_surgery", "incision") or {}
        p, w = get(first, "position_deg"), get(first, "width_mm")
        if p is not None and w is not None and apart(p, self.position) <= C["wound_same_deg"] + 1e-9:
            new = max(new - self.induced(w)[0], 0.0) if self.width > w else 0.0
        self.cylinder = new
        self.sd = sd

    def induced(self, width):
        if self.rows:
            low = [r for r in self.rows if r["width_mm"] <= width]
            high = [r for r in self.rows if r["width_mm"] >= width]
            if low and high:
                a, b = low[-1], high[0]
                share = 0.0 if a["width_mm"] == b["width_mm"] else (width - a["width_mm"]) / (b["width_mm"] - a["width_mm"])
                return a["cylinder_d"] + share * (b["cylinder_d"] - a["cylinder_d"]), a["sd_d"] + share * (b["sd_d"] - a["sd_d"])
            near = low[-1] if low else high[0]
            s = max(near["cylinder_d"] + self.slope() * (width - near["width_mm"]), 0.0)
            return s, max(C["induced_sd_share"] * s, near["sd_d"])
        up = superior_share(self.position)
        if self.site == "sclera":
            t, u = C["induced_scleral_temporal_d"], C["induced_scleral_superior_d"]
            s = (t + up * (u - t)) * width / C["induced_scleral_mm"]
        else:
            s = max(C["induced_base_d"] + C["induced_slope_d_per_mm"] * (width - C["induced_base_mm"]), 0.0)
            s *= 1.0 + up * (C["induced_superior"] - 1.0)
        return s, max(C["induced_sd_share"] * s, C["induced_sd_least_d"])

    def slope(self):
        """Of the built-in rule, per mm of width."""
        up = superior_share(self.position)
        if self.site == "sclera":
            return (C["induced_scleral_temporal_d"] + up * (C["induced_scleral_superior_d"] - C["induced_scleral_temporal_d"])) / C["induced_scleral_mm"]
        return C["induced_slope_d_per_mm"] * (1.0 + up * (C["induced_superior"] - 1.0))

    def matrix(self):
        a = math.radians(2.0 * self.position)
        return Matrix(0.0, -self.cylinder / 2.0 * math.cos(a), -self.cylinder / 2.0 * math.sin(a))

    def numbers(self, eye):
        out = {"position_deg": self.position, "width_mm": self.width, "induced_cylinder_d": self.cylinder, "sd_d": self.sd}
        return out
