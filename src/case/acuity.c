/* Acuity: logMAR = -log10 of the decimal, which is the fraction itself (definition). */
#include "acuity.h"

double iol_acuity_of_decimal(double decimal) {
    if (iol_above(decimal, 0.0) != IOL_YES) return NAN;
    return 0.0 - log(decimal) / log(10.0);
}

/* A plain number at *at, which is moved behind it; NaN when there is none. */
static double number(const char **at) {
    double value = 0.0, unit = 1.0;
    const char *start = *at;
    for (; **at >= '0' && **at <= '9'; ++*at) value = 10.0 * value + (**at - '0');
    if (*at == start) return NAN;
    if (**at != '.') return value;
    for (++*at; **at >= '0' && **at <= '9'; ++*at) value += (**at - '0') * (unit /= 10.0);
    return value;
}

double iol_acuity_of_fraction(const char *text) {
    double above = number(&text);
    if (*text++ != '/') return NAN;
    double below = number(&text);
    return *text ? NAN : iol_acuity_of_decimal(above / below);
}

static double first_known(double logmar, double decimal, const char *fraction) {
    if (!isnan(logmar)) return logmar;
    return !isnan(decimal) ? iol_acuity_of_decimal(decimal) : iol_acuity_of_fraction(fraction);
}

double iol_acuity_corrected(const iol_refraction *r) {
    return first_known(r->corrected_acuity_logmar, r->corrected_acuity_decimal, r->corrected_acuity_snellen);
}

double iol_acuity_uncorrected(const iol_refraction *r) {
    return first_known(r->uncorrected_acuity_logmar, r->uncorrected_acuity_decimal, r->uncorrected_acuity_snellen);
}
