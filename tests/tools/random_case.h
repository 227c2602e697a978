/* Random cases drawn from the table of the case file: every field, a new one by itself, none that the strict reader refuses.
 * Same seed, same case. And the same eye written another way: in a mirror, plus for minus cylinder, radii for dioptres. */
#ifndef IOL_TESTS_RANDOM_CASE_H
#define IOL_TESTS_RANDOM_CASE_H

#include "iolrevise.h"
#include "tables/tables.h"

enum { RANDOM_CASE_TEXT = 1 << 16 };

/* Draw until the reader takes it. site: whose shelf the lens ids come from. False after many tries: the drawing is at fault. */
bool random_case(uint64_t seed, const iol_site *site, iol_case *c);

/* The site file of a path; false when it cannot be read. */
bool read_site_file(const char *path, iol_site *site);

/* The case as the text of a case file; keys in the order of the table, or shuffled when order is not 0. Returns its length. */
size_t case_text(const iol_case *c, uint64_t order, char text[RANDOM_CASE_TEXT]);

/* The other eye in a mirror: a meridian a is 180 - a, a place p is 180 - p, turns, hands and hours of the dial are changed over.
 * What the case leaves open and the program would take from a habit of one side is stated in both. */
void case_mirror(iol_case *c, iol_case *mirrored);
/* S + C x a is S+C, -C x a+90, in every reading. */
void case_other_cylinder(const iol_case *c, iol_case *other);
/* Keratometry in mm instead of dioptres; the index is stated in both. */
void case_radii(iol_case *c, iol_case *other);

/* The first place where two plans differ, "" when nowhere: numbers by more than the part `tolerance` of their size, or of 1;
 * notes by place, row and code. TWIN_MIRRORED: the second is of the mirrored eye. TWIN_REWRITTEN: suspects are not compared,
 * because some of them ask how a figure was written. */
typedef enum { TWIN_SAME, TWIN_MIRRORED, TWIN_REWRITTEN } twin;
void plans_differ(const iol_plan *a, const iol_plan *b, twin kind, double tolerance, char where[160]);

#endif
