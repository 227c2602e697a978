#include "lens_power.h"

#include "iolrevise/case.h"

double iol_lens_equivalent(double power_d, int power_is, double cylinder_d) {
    return power_is == IOL_power_is_weakest_meridian ? power_d + cylinder_d / 2.0 : power_d;
}
