/* Where the words of a drawing stand: beside what they name, on no other word, on no mark that they would hide, inside the
 * drawing. */
#ifndef IOL_REPORT_PLACING_H
#define IOL_REPORT_PLACING_H

#include "drawing.h"

enum { IOL_PLACING_WORDS = 64, IOL_PLACING_MARKS = 1200 };
typedef struct {
    double x1, y1, x2, y2;
} iol_placed;
typedef struct {
    iol_placed word[IOL_PLACING_WORDS], mark[IOL_PLACING_MARKS];
    bool heavy
        [IOL_PLACING_MARKS]; /* a mark that may not be hidden; a thin line may be crossed where there is no other room */
    int words, marks;
} iol_placing;

/* Room that a text takes, from its classes (iol_draw_text): at least as wide as it is printed. */
iol_placed iol_placing_room(const char *kind, double x, double y, const char *text);
/* A text that stands where it must. */
void iol_placing_taken(iol_placing *p, iol_placed room);
/* A line or an arc of a circle with half its thickness. */
void iol_placing_line(iol_placing *p, double x1, double y1, double x2, double y2, double half, bool heavy);
void iol_placing_arc(iol_placing *p, double x, double y, double radius, double from_deg, double to_deg, double half,
                     bool heavy);
/* The best room for it: 0 is free and near; marks that it or the line to it would cross, and distance, add. */
double iol_placing_find(const iol_placing *p, const iol_drawing *d, const char *kind, const double at[2],
                        const double to[2], const char *text, double found[2]);
/* Draws the text beside x, y: the nearest free room, first toward to_x, to_y; a thin line leads to it from further away. */
void iol_placing_word(iol_placing *p, iol_drawing *d, const char *kind, double x, double y, double to_x, double to_y,
                      const char *text);

#endif
