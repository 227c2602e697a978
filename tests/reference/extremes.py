#!/usr/bin/env python3
"""Cases at the ends of what eyes have, for the second computation: K 30 to 60 D, length 18 to 34 mm, powers -10 to +40 D, vertex 0 to 16 mm,
cylinder to 6 D, axes 0, 90 and 180, either eye. extremes.py COUNT EXAMPLE.json; the same cases each time. With `both` behind: eyes with two
lenses, either or both of them toric."""
import copy
import json
import sys

K = (30, 34, 38, 42, 44, 46, 50, 54, 56, 60)
LENGTH = (18.0, 18.5, 19.5, 21, 21.99, 22, 23.5, 24.2, 24.21, 26, 26.01, 28, 31, 31.5, 34)
POWER = (-10, -5, -1, 0, 4, 9.5, 15, 20, 25.5, 30, 34, 40)
AXES = (0, 1, 45, 90, 135, 179, 180)


class Draw:
    """A small generator of our own: the same on every Python."""

    def __init__(self, seed):
        self.state = seed

    def below(self, count):
        self.state = (self.state * 6364136223846793005 + 1442695040888963407) % 2 ** 64
        return (self.state >> 33) % count

    def of(self, *values):
        return values[self.below(len(values))]


def extreme(example, draw, number):
    case = copy.deepcopy(example)
    case["case_ref"], case["eye"] = f"X-{number}", draw.of("left", "right")
    k, cylinder, length = draw.of(*K), draw.of(0, 0.5, 2, 6), draw.of(*LENGTH)
    b, r = case["biometry"], case["biometry_repeat"]
    b.update(axial_length_mm=length, k_flat_d=k - cylinder / 2, k_steep_d=k + cylinder / 2, k_steep_axis_deg=draw.of(*AXES))
    r.update({key: b[key] for key in ("k_flat_d", "k_steep_d", "k_steep_axis_deg")}, axial_length_mm=length + draw.of(-0.1, 0, 0.05, 0.4),
             lens_depth_mm=draw.of(None, 3.0, 4.6, 6.5))
    if draw.below(2):
        case["biometry_repeat"] = None
    lens = case["first_surgery"]["lens"]
    lens["power_d"] = draw.of(*POWER)
    if draw.below(5) < 2:
        lens.update(lens_id=None, cylinder_d=draw.of(1.5, 3, 6), axis_deg=draw.of(*AXES), power_is=draw.of("equivalent", "weakest-meridian"))
    lens["position"] = draw.of("bag", "bag", "bag", "sulcus", "sulcus-captured", "sclera")
    case["formula"] = draw.of(None, "srk-t", "t2", "holladay-1", "hoffer-q", "haigis")
    case["target_se_d"] = draw.of(-3, -0.25, 0, 1)
    case["refractions"] = case["refractions"][-1:]
    case["refractions"][0].update(sphere_d=draw.of(-10, -6, -2, 0, 1.5, 5, 10), cylinder_d=draw.of(-6, -2.5, 0, 1.25, 6),
                                  axis_deg=draw.of(*AXES), vertex_mm=draw.of(0, 8, 12, 14, 16))
    case["cornea"]["earlier_refractive_surgery"] = draw.of("none", "none", "none", "myopic-laser", "hyperopic-laser", "radial-cuts")
    return case


def both(example, draw, number):
    """An eye with two lenses, either of them toric, at any axes."""
    case = copy.deepcopy(example)
    case["case_ref"], case["eye"] = f"T-{number}", draw.of("left", "right")
    k, cylinder, length = draw.of(40, 43, 46), draw.of(0, 0.5, 2, 4), draw.of(21, 22.5, 23.5, 25, 27)
    for b in (case["biometry"], case["biometry_repeat"]):
        b.update(axial_length_mm=length, k_flat_d=k - cylinder / 2, k_steep_d=k + cylinder / 2, k_steep_axis_deg=draw.of(*AXES))
    if draw.below(3) == 0:
        case["biometry_repeat"] = None
    for lens, most in ((case["first_surgery"]["lens"], 24), (case["second_lens"], 6)):
        lens["power_d"] = draw.below(2 * most) / 2 + draw.of(0, 4)
        lens["identified_by"] = "sticker"
        if draw.below(2):
            lens.update(lens_id=None, cylinder_d=draw.of(1, 2.25, 4), axis_deg=draw.of(*AXES, draw.below(180)),
                        power_is=draw.of("equivalent", "weakest-meridian"), turns_freely=draw.of("clockwise", "anticlockwise", "both", None))
    case["second_lens"]["power_d"] -= 4
    case["second_lens_gap_mm"] = draw.of(None, 0.3, 0.55, 1)
    case["target_se_d"], case["target_cylinder_d"] = draw.of(-2, -0.25, 0), draw.of(None, 0.5)
    case["refractions"] = case["refractions"][draw.below(2):]
    for r in case["refractions"]:
        r.update(sphere_d=draw.of(-4, -1, 1, 3), cylinder_d=draw.of(-4, -1.5, 0, 0.75), axis_deg=draw.of(*AXES))
    if draw.below(6) == 0:
        case["refractions"] = []
    return case


def main(count, path, make="extreme"):
    with open(path, encoding="utf-8") as f:
        example = json.load(f)
    draw = Draw(4)
    for number in range(int(count)):
        print(json.dumps({"extreme": extreme, "both": both}[make](example, draw, number + 1)))


if __name__ == "__main__":
    main(*sys.argv[1:4])
