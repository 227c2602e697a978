#include "number.h"

#include <math.h>
#include <string.h>

#define MOST_DECIMALS 9

/* Powers of ten are exact in a double, so the one rounding before the count is that of the product. */
static const double power_of_ten[MOST_DECIMALS + 1] = {1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9};

/* The rule floor(p + 0.5 + 1e-6) is worked on the fraction of p alone, which is exact: adding 0.5 to a p above 2^52
 * would itself round. A count stays below 2^53, where every integer is a double and a JSON number keeps it. */
static inline int64_t count_without_sign(double x, double power) {
    const double product = fabs(x) * power;
    if (!(product < 9007199254740992.0)) { /* 2^53; NaN and infinities end here too */
        return IOL_NO_COUNT;
    }
    const int64_t whole = (int64_t)product;
    const double part = product - (double)whole;
    return whole + (part >= 0.5 - 1e-6);
}

int64_t iol_count(double x, int decimals) {
    if (decimals < 0 || decimals > MOST_DECIMALS) return IOL_NO_COUNT;
    const int64_t count = count_without_sign(x, power_of_ten[decimals]);
    return count == IOL_NO_COUNT ? count : (1 - 2 * (x < 0)) * count; /* no branch on a sign that is never foreseen */
}

double iol_axis_told(double axis_deg, int decimals) { return iol_count(axis_deg, decimals) == 0 ? 180.0 : axis_deg; }

double iol_place_told(double position_deg, int decimals) {
    return iol_count(position_deg, decimals) == iol_count(360.0, decimals) ? 0.0 : position_deg;
}

size_t iol_print_count(int64_t count, int decimals, bool always_sign, char *out, size_t size) {
    if (size == 0) return 0;
    out[0] = '\0';
    if (count == IOL_NO_COUNT || decimals < 0 || decimals > MOST_DECIMALS) return 0;
    uint64_t left = (uint64_t)(count < 0 ? -count : count);
    size_t whole = 1, part = (size_t)decimals, point = part > 0;
    for (uint64_t above = 10 * (uint64_t)power_of_ten[decimals]; left >= above; above *= 10) whole++;
    bool sign = count < 0 || (always_sign && count > 0);
    size_t used = sign + whole + point + part;
    if (used >= size) return 0;
    if (sign) out[0] = count < 0 ? '-' : '+';
    out[used] = '\0';
    char *at = out + used, *behind_point = at - part;
    for (const char *first = out + sign; at > first; left /= 10) {
        if (point && at == behind_point) *--at = '.';
        *--at = (char)('0' + left % 10);
    }
    return used;
}

size_t iol_print_number(double x, int decimals, bool always_sign, char *out, size_t size) {
    return iol_print_count(iol_count(x, decimals), decimals, always_sign, out, size);
}

/* 2^32 / 10^4 rounded up: below 10^5 of them the excess stays under one. */
static const uint64_t units_of_last = 429497;

/* One or two digits before the point: no branch depends on them or on the sign, which no processor foresees. */
size_t iol_print_thousandths(double x, char *out, size_t size) {
    const int64_t count = count_without_sign(x, 1e3);
    if (count < 0 || count >= 100000 || size < sizeof "-99.999") return iol_print_number(x, 3, false, out, size);
    const size_t sign = (x < 0) & (count > 0), tens = count >= 10000;
    char digit[5];
    uint64_t rest = (uint64_t)count * units_of_last; /* the first digit in front of 32 bits of fraction */
    for (int i = 0; i < 5; i++, rest = (rest & UINT32_MAX) * 10) digit[i] = (char)('0' + (rest >> 32));
    out[0] = '-';
    char *at = out + sign;
    at[0] = digit[0];
    at += tens;
    at[0] = digit[1];
    at[1] = '.';
    memcpy(at + 2, digit + 2, 3);
    at[5] = '\0';
    return sign + tens + 5;
}
