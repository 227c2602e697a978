#include "optics.h"

/* Purpose   Meridians, places on the limbus and exact sines of angles in degrees.
 * Equation  Remainders by fmod and remquo, which round nothing; sine and cosine of the rest within 45 degrees,
 *           turned by whole quarters.
 * Given     Angles in degrees, any finite size.
 * Returned  0 < meridian <= 180; 0 <= position < 360; sine and cosine with exact 0 and +-1 at whole quarters.
 * Status    None. NaN or an infinite angle gives NaN.
 * Source    Definitions; the horizontal meridian is written 180, not 0 (common practice, no source).
 * Differs   No.
 * Tests     tests/unit/test_spherocylinder.c */

static const double half_turn_deg = 180.0;
static const double whole_turn_deg = 360.0;
static const double quarter_turn_deg = 90.0;
static const double small_angle_deg = 1e9;
static const double radians_per_degree = 3.14159265358979323846 / 180.0;

double iol_axis_reduce(double axis_deg) {
    double rest = fmod(axis_deg, half_turn_deg);
    return rest <= 0.0 ? rest + half_turn_deg : rest;
}

double iol_position_reduce(double position_deg) {
    double rest = fmod(position_deg, whole_turn_deg);
    if (rest < 0.0) rest += whole_turn_deg;
    return rest == 0.0 || rest >= whole_turn_deg ? 0.0 : rest;
}

/* What is left of an angle within 45 degrees, exactly, and the whole quarters taken off. The difference of doubles of one
 * size rounds nothing; far larger angles leave it to remquo, which is slow. */
static double quarter_rest(double angle_deg, int *quarters) {
    *quarters = 0;
    if (!(fabs(angle_deg) < small_angle_deg)) return remquo(angle_deg, quarter_turn_deg, quarters);
    double whole = rint(angle_deg / quarter_turn_deg);
    *quarters = (int)whole;
    return angle_deg - whole * quarter_turn_deg;
}

void iol_sincos_deg(double angle_deg, double *sine, double *cosine) {
    int quarters;
    double rest = quarter_rest(angle_deg, &quarters) * radians_per_degree;
    double s = sin(rest), c = cos(rest);
    switch ((unsigned)quarters & 3u) {
    case 0:
        *sine = s;
        *cosine = c;
        break;
    case 1:
        *sine = c;
        *cosine = -s;
        break;
    case 2:
        *sine = -s;
        *cosine = -c;
        break;
    default:
        *sine = -c;
        *cosine = s;
        break;
    }
    *sine += 0.0; /* no negative zero */
    *cosine += 0.0;
}

double iol_axis_turn(double from_deg, double to_deg) {
    double turn = fmod(iol_axis_reduce(to_deg) - iol_axis_reduce(from_deg), half_turn_deg);
    if (turn > quarter_turn_deg) return turn - half_turn_deg;
    return turn <= -quarter_turn_deg ? turn + half_turn_deg : turn;
}
