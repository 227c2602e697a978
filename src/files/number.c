#include "number.h"

#include <string.h>

#define MOST_DECIMALS 9

/* Powers of ten are exact in a double, so the one rounding before the count is that of the product. */
static const double power_of_ten[MOST_DECIMALS + 1] = {1e0, 1e1, 1e2, 1e3, 1e4, 1e5, 1e6, 1e7, 1e8, 1e9};

/* The rule floor(p + 0.5 + 1e-6) is worked on the fraction of p alone, which is exact: adding 0.5 to a p above 2^52
 * would itself round. A count stays below 2^53, where every integer is a double and a JSON number keeps it. */
int64_t iol_count(double x, int decimals) {
    if (decimals < 0 || decimals > MOST_DECIMALS) {
        return IOL_NO_COUNT;
    }
    const double product = (x < 0 ? -x : x) * power_of_ten[decimals];
    if (!(product < 9007199254740992.0)) { /* 2^53; NaN and infinities end here too */
        return IOL_NO_COUNT;
    }
    const int64_t whole = (int64_t)product;
    const double part = product - (double)whole;
    const int64_t count = whole + (part >= 0.5 - 1e-6 ? 1 : 0);
    return x < 0 ? -count : count;
}

/* The last `places` digits of *left, written backwards from end and taken off it; returns where they start. */
static char *put_digits(uint64_t *left, size_t places, char *end) {
    static const char pairs[] = "00010203040506070809101112131415161718192021222324252627282930313233343536373839404142434445"
                                "46474849505152535455565758596061626364656667686970717273747576777879808182838485868788899091"
                                "9293949596979899";
    for (; places >= 2; places -= 2) {
        end -= 2;
        memcpy(end, pairs + 2 * (*left % 100), 2);
        *left /= 100;
    }
    if (places > 0) {
        *--end = (char)('0' + *left % 10);
        *left /= 10;
    }
    return end;
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
    char *at = put_digits(&left, part, out + used);
    if (point) *--at = '.';
    put_digits(&left, whole, at);
    return used;
}

size_t iol_print_number(double x, int decimals, bool always_sign, char *out, size_t size) {
    return iol_print_count(iol_count(x, decimals), decimals, always_sign, out, size);
}
