/* Words of a drawing beside what they name: rooms about it are tried from near to far, the first free one is taken. */
#include "placing.h"

#include <math.h>
#include <string.h>

#include "iolrevise/optics.h"

static bool has(const char *kind, char what) {
    for (const char *at = kind; (at = strchr(at, what)) != NULL; at++)
        if ((at == kind || at[-1] == ' ') && (at[1] == '\0' || at[1] == ' ')) return true;
    return false;
}

/* Parts of the height of the type; degrees are printed as a sign of their own. */
static double wide(const char *text) {
    double sum = 0.0;
    for (; *text; text++) {
        if (strncmp(text, " deg", 4) == 0) {
            sum += 0.42;
            text += 3;
        } else
            sum += *text == ' ' || *text == '.' ? 0.3 : *text >= 'A' && *text <= 'Z' ? 0.74 : 0.57;
    }
    return sum;
}

iol_placed iol_placing_room(const char *kind, double x, double y, const char *text) {
    const double size = has(kind, 's') ? 2.9 : 3.1, width = size * wide(text) * (has(kind, 'w') ? 1.07 : 1.0);
    const double left = has(kind, 'm') ? x - width / 2.0 : has(kind, 'e') ? x - width : x;
    return (iol_placed){left, y - 0.76 * size, left + width, y + 0.22 * size};
}

void iol_placing_taken(iol_placing *p, iol_placed room) {
    if (p->words < IOL_PLACING_WORDS) p->word[p->words++] = room;
}

static void spot(iol_placing *p, double x, double y, double half, bool heavy) {
    if (p->marks == IOL_PLACING_MARKS || isnan(x + y + half)) return;
    p->heavy[p->marks] = heavy;
    p->mark[p->marks++] = (iol_placed){x - half, y - half, x + half, y + half};
}

void iol_placing_line(iol_placing *p, double x1, double y1, double x2, double y2, double half, bool heavy) {
    const int steps = 1 + (int)fmin(hypot(x2 - x1, y2 - y1) / 0.9, 99.0);
    for (int i = 0; i <= steps; i++) spot(p, x1 + (x2 - x1) * i / steps, y1 + (y2 - y1) * i / steps, half, heavy);
}

void iol_placing_arc(iol_placing *p, double x, double y, double radius, double from_deg, double to_deg, double half,
                     bool heavy) {
    const int steps = 1 + (int)fmin(fabs(to_deg - from_deg) / 57.0 * radius / 0.9, 200.0);
    for (int i = 0; i <= steps; i++) {
        double sine, cosine;
        iol_sincos_deg(from_deg + (to_deg - from_deg) * i / steps, &sine, &cosine);
        spot(p, x + radius * cosine, y - radius * sine, half, heavy);
    }
}

static bool meet(iol_placed a, iol_placed b) { return a.x1 < b.x2 && b.x1 < a.x2 && a.y1 < b.y2 && b.y1 < a.y2; }

/* What the room would hide: heavy marks count as many thin ones; below 0: it may not be taken at all. */
static double hides(const iol_placing *p, const iol_drawing *d, iol_placed room) {
    static const double gap_mm = 0.4, beside_mm = 1.8, heavy = 20.0;
    const iol_placed wider = {room.x1 - beside_mm, room.y1 - gap_mm, room.x2 + beside_mm, room.y2 + gap_mm};
    double sum = 0.0;
    if (room.x1 < 0.0 || room.y1 < 0.0 || room.x2 > d->width_mm || room.y2 > d->height_mm) return -1.0;
    for (int i = 0; i < p->words; i++)
        if (meet(wider, p->word[i])) return -1.0;
    for (int i = 0; i < p->marks; i++)
        if (meet(room, p->mark[i])) sum += p->heavy[i] ? heavy : 1.0;
    return sum;
}

static void nearest(iol_placed room, const double at[2], double edge[2]) {
    edge[0] = fmin(fmax(at[0], room.x1), room.x2), edge[1] = fmin(fmax(at[1], room.y1), room.y2);
}

/* Heavy marks that a line to the room would cross, behind its first millimetres. */
static double crossed(const iol_placing *p, const double at[2], iol_placed room) {
    static const double step_mm = 0.8, each = 4.0;
    double edge[2], sum = 0.0;
    nearest(room, at, edge);
    const double far = hypot(edge[0] - at[0], edge[1] - at[1]);
    for (double along = 3.0; along < far; along += step_mm) {
        const double x = at[0] + (edge[0] - at[0]) * along / far, y = at[1] + (edge[1] - at[1]) * along / far;
        const iol_placed dot = {x - 0.1, y - 0.1, x + 0.1, y + 0.1};
        for (int i = 0; i < p->marks; i++)
            if (p->heavy[i] && meet(dot, p->mark[i])) {
                sum += each;
                break;
            }
    }
    return sum;
}

double iol_placing_find(const iol_placing *p, const iol_drawing *d, const char *kind, const double at[2],
                        const double to[2], const char *text, double found[2]) {
    enum { RINGS = 40, WAYS = 24 };
    static const double far = 0.35; /* a ring further away weighs as a third of a thin line's millimetre */
    const double first = atan2(at[1] - to[1], to[0] - at[0]) * 180.0 / acos(-1.0);
    double least = INFINITY;
    found[0] = at[0], found[1] = at[1];
    for (int i = 0; i < RINGS * WAYS && far * (i / WAYS) < least; i++) {
        const int ring = i / WAYS, way = i % WAYS;
        double sine, cosine;
        iol_sincos_deg(first + (way % 2 ? -1.0 : 1.0) * ((way + 1) / 2) * 360.0 / WAYS, &sine, &cosine);
        const double x = at[0] + (2.2 + 0.8 * ring) * cosine, y = at[1] - (2.2 + 0.8 * ring) * sine + 1.0;
        const iol_placed room = iol_placing_room(kind, x, y, text);
        const double hidden = hides(p, d, room);
        if (hidden < 0.0 || hidden + far * ring >= least) continue;
        const double cost = hidden + far * ring + crossed(p, at, room);
        if (cost < least) least = cost, found[0] = x, found[1] = y;
    }
    return least;
}

/* From the mark to the nearest edge of its word. */
static void lead(iol_placing *p, iol_drawing *d, const double at[2], iol_placed room) {
    double edge[2];
    nearest(room, at, edge);
    if (hypot(edge[0] - at[0], edge[1] - at[1]) < 2.4) return;
    iol_draw_line(d, "thin", at[0], at[1], edge[0], edge[1]);
    iol_placing_line(p, at[0], at[1], edge[0], edge[1], 0.2, true);
}

void iol_placing_word(iol_placing *p, iol_drawing *d, const char *kind, double x, double y, double to_x, double to_y,
                      const char *text) {
    double found[2];
    if (isnan(x + y)) return;
    iol_placing_find(p, d, kind, (double[]){x, y}, (double[]){to_x, to_y}, text, found);
    const iol_placed room = iol_placing_room(kind, found[0], found[1], text);
    lead(p, d, (double[]){x, y}, room);
    iol_draw_text(d, kind, found[0], found[1], text);
    iol_placing_taken(p, room);
}
