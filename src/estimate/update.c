/* The update of many components by one refraction: a lane each. The divisions of one lane wait for each other, those of another
 * lane need not; loops without a branch let the compiler do several lanes at once. What a lane does depends on no other; one that
 * has settled leaves, because a cause that fits badly takes many more rounds than the rest. */
#include "update.h"

#include "optics/vergence.h"

enum { MOST_ROUNDS = 50, LANES = IOL_MIX_MOST };

/* P0 is tied to nothing before a refraction. */
enum { LL, LK, LE, KK, KE, EE, PP, TERMS };
static const int term[IOL_STATES][IOL_STATES] = {[IOL_L] = {[IOL_L] = LL, [IOL_K] = LK, [IOL_E] = LE, [IOL_P] = -1},
                                                 [IOL_K] = {[IOL_L] = LK, [IOL_K] = KK, [IOL_E] = KE, [IOL_P] = -1},
                                                 [IOL_E] = {[IOL_L] = LE, [IOL_K] = KE, [IOL_E] = EE, [IOL_P] = -1},
                                                 [IOL_P] = {[IOL_L] = -1, [IOL_K] = -1, [IOL_E] = -1, [IOL_P] = PP}};

typedef struct {
    int count, whose[LANES]; /* lanes that have not settled, and their components */
    double vertex_mm;
    double mean[IOL_STATES][LANES], c[TERMS][LANES], found[LANES], noise[LANES];
    /* gradient, covariance times it, what is left and its variance where the round looked; x is where it led, by that step */
    double x[IOL_STATES][LANES], g[IOL_STATES][LANES], column[IOL_STATES][LANES], left[LANES], s[LANES], step[LANES];
} lanes;

static void load(const iol_eye *eye, const iol_component component[], int count, lanes *u) {
    u->count = count;
    u->vertex_mm = eye->vertex_mm;
    for (int i = 0; i < count; i++) {
        const iol_component *from = &component[i];
        u->whose[i] = i;
        for (int a = 0; a < IOL_STATES; a++) {
            u->mean[a][i] = u->x[a][i] = from->mean[a];
            for (int b = a; b < IOL_STATES; b++)
                if (term[a][b] >= 0) u->c[term[a][b]][i] = from->covariance[a][b];
        }
        u->found[i] = eye->now.spectacle_d - from->offset_d;
        u->noise[i] = from->sd_reading_d * from->sd_reading_d;
    }
}

/* R and its gradient at x; x is lost where the eye leads to none. */
static void look(lanes *restrict u) {
    for (int i = 0; i < u->count; i++) {
        double length = u->x[IOL_L][i], cornea = u->x[IOL_K][i], position = u->x[IOL_E][i], power = u->x[IOL_P][i];
        iol_way_back w = iol_go_back((iol_model){cornea, length, position}, power, u->vertex_mm);
        iol_gradient g = iol_gradient_back(w);
        bool good = (position > 0.0) & (position < length) & (w.b > 0.0) & (w.d > 0.0);
        u->g[IOL_L][i] = g.length, u->g[IOL_K][i] = g.cornea, u->g[IOL_E][i] = g.position, u->g[IOL_P][i] = g.power;
        double left = u->found[i] - w.c / w.d;
        u->left[i] = good ? left : NAN;
    }
}

/* r and S with R and its gradient at x. */
static void compare(lanes *restrict u) {
    for (int i = 0; i < u->count; i++) {
        double gl = u->g[IOL_L][i], gk = u->g[IOL_K][i], ge = u->g[IOL_E][i], gp = u->g[IOL_P][i];
        double l = u->c[LL][i] * gl + u->c[LK][i] * gk + u->c[LE][i] * ge;
        double k = u->c[LK][i] * gl + u->c[KK][i] * gk + u->c[KE][i] * ge;
        double e = u->c[LE][i] * gl + u->c[KE][i] * gk + u->c[EE][i] * ge;
        double p = u->c[PP][i] * gp;
        double moved = gl * (u->mean[IOL_L][i] - u->x[IOL_L][i]) + gk * (u->mean[IOL_K][i] - u->x[IOL_K][i]) +
                       ge * (u->mean[IOL_E][i] - u->x[IOL_E][i]) + gp * (u->mean[IOL_P][i] - u->x[IOL_P][i]);
        u->column[IOL_L][i] = l, u->column[IOL_K][i] = k, u->column[IOL_E][i] = e, u->column[IOL_P][i] = p;
        u->left[i] -= moved;
        u->s[i] = gl * l + gk * k + ge * e + gp * p + u->noise[i];
    }
}

/* The next x. */
static void go_on(lanes *restrict u) {
    for (int i = 0; i < u->count; i++) {
        double gain = u->left[i] / u->s[i];
        double l = u->x[IOL_L][i], k = u->x[IOL_K][i], e = u->x[IOL_E][i], p = u->x[IOL_P][i];
        u->x[IOL_L][i] = u->mean[IOL_L][i] + u->column[IOL_L][i] * gain;
        u->x[IOL_K][i] = u->mean[IOL_K][i] + u->column[IOL_K][i] * gain;
        u->x[IOL_E][i] = u->mean[IOL_E][i] + u->column[IOL_E][i] * gain;
        u->x[IOL_P][i] = u->mean[IOL_P][i] + u->column[IOL_P][i] * gain;
        u->step[i] =
            fabs(u->x[IOL_L][i] - l) + fabs(u->x[IOL_K][i] - k) + fabs(u->x[IOL_E][i] - e) + fabs(u->x[IOL_P][i] - p);
    }
}

/* Where a lane has ended. */
static void store(const lanes *u, int i, iol_component *c) {
    double by_s = 1.0 / u->s[i];
    c->left_d = u->left[i], c->variance_d = u->s[i];
    c->updated = u->step[i] < c_update_settled && isfinite(c->left_d);
    c->log_likelihood += c->updated ? iol_log_normal(c->left_d, c->variance_d) : -INFINITY;
    for (int a = 0; a < IOL_STATES; a++) {
        c->slope[a] = u->g[a][i];
        c->mean[a] = u->x[a][i];
        for (int b = a; b < IOL_STATES; b++)
            c->covariance[a][b] = c->covariance[b][a] -= u->column[a][i] * u->column[b][i] * by_s;
    }
}

/* The last lane takes the place of one that has gone. */
static void close_up(lanes *u, int i) {
    int last = --u->count;
    u->whose[i] = u->whose[last];
    for (int a = 0; a < IOL_STATES; a++) u->mean[a][i] = u->mean[a][last], u->x[a][i] = u->x[a][last];
    for (int t = 0; t < TERMS; t++) u->c[t][i] = u->c[t][last];
    u->found[i] = u->found[last], u->noise[i] = u->noise[last];
}

/* Those that have settled, or are lost, or all. */
static void leave(lanes *u, bool all, iol_component component[]) {
    for (int i = u->count - 1; i >= 0; i--) {
        if (u->step[i] >= c_update_settled && !all) continue;
        store(u, i, &component[u->whose[i]]);
        close_up(u, i);
    }
}

void iol_components_see(const iol_eye *eye, iol_component component[], int count) {
    lanes u;
    load(eye, component, count, &u);
    for (int round = 0; u.count > 0; round++) {
        look(&u);
        compare(&u);
        go_on(&u);
        leave(&u, round == MOST_ROUNDS, component);
    }
}
