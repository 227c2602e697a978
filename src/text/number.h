/* The one number rule: a double becomes an integer count of its last digit, once, here. */
#ifndef IOL_TEXT_NUMBER_H
#define IOL_TEXT_NUMBER_H

#include <stdbool.h>
#include <stddef.h>
#include <stdint.h>

/* floor(|x| 10^decimals + 0.5 + 1e-6) with the sign put back; decimals 0..9. INT64_MIN for NaN, infinities and
 * values whose count would not fit. */
#define IOL_NO_COUNT INT64_MIN
int64_t iol_count(double x, int decimals);

/* Print a count with its decimals: "-0.25", "+1.50" with always_sign; zero never carries a sign. Writes at most
 * size-1 bytes and a NUL, returns the length (0 and "" for IOL_NO_COUNT or a buffer too small; 32 bytes always fit). */
size_t iol_print_count(int64_t count, int decimals, bool always_sign, char *out, size_t size);
/* Both at once. */
size_t iol_print_number(double x, int decimals, bool always_sign, char *out, size_t size);

/* The same with three decimals and a sign only for what is below 0: what tables of dioptres and millimetres are full of. */
size_t iol_print_thousandths(double x, char *out, size_t size);

/* A direction as it is told with so many decimals: a meridian lies above 0 to 180, so that 0.04 is told as 180.0; a place lies
 * from 0 to below 360, so that 359.97 is told as 0.0. */
double iol_axis_told(double axis_deg, int decimals);
double iol_place_told(double position_deg, int decimals);

#endif
