#include "number.h"

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

/* Digits of a number from its last one backwards, two at a time; returns where they start. */
static char *put_digits(uint64_t left, int places, char *end) {
    static const char pairs[] = "00010203040506070809101112131415161718192021222324252627282930313233343536373839404142434445"
                                "46474849505152535455565758596061626364656667686970717273747576777879808182838485868788899091"
                                "9293949596979899";
    char *at = end;
    while (left >= 10) {
        const char *pair = pairs + 2 * (left % 100);
        left /= 100;
        *--at = pair[1];
        *--at = pair[0];
    }
    if (left > 0) *--at = (char)('0' + left);
    while (end - at < places) *--at = '0';
    while (end - at > places && *at == '0') at++;
    return at;
}

size_t iol_print_count(int64_t count, int decimals, bool always_sign, char *out, size_t size) {
    if (size == 0) return 0;
    out[0] = '\0';
    if (count == IOL_NO_COUNT || decimals < 0 || decimals > MOST_DECIMALS) return 0;
    char digits[32], *end = digits + sizeof digits; /* 19 digits at most */
    char *start = put_digits((uint64_t)(count < 0 ? -count : count), decimals + 1, end);
    size_t whole = (size_t)(end - start) - (size_t)decimals, used = 0;
    bool sign = count < 0 || (always_sign && count > 0);
    if (sign + whole + (decimals > 0) + (size_t)decimals >= size) return 0;
    if (sign) out[used++] = count < 0 ? '-' : '+';
    while (whole-- > 0) out[used++] = *start++;
    if (decimals > 0) out[used++] = '.';
    while (start < end) out[used++] = *start++;
    out[used] = '\0';
    return used;
}

size_t iol_print_number(double x, int decimals, bool always_sign, char *out, size_t size) {
    return iol_print_count(iol_count(x, decimals), decimals, always_sign, out, size);
}
