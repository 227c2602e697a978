/* Words of the dials: none on another, none on what it names or on the hatching, none outside; and a lens off its place is
 * drawn where the record says that it lies, or is said not to be. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include <ctype.h>
#include <stdlib.h>

#include "check.h"
#include "hard_case.h"
#include "kept.h"
#include "report/report.h"
#include "report/screen.h"
#include "report/sheet.h"
#include "tools/random_case.h"

#define LETTERS "widths of the usual sans-serif letters in thousandths of the height, published with the type; from memory"

static iol_case c;
static iol_plan plan;

typedef struct {
    double x1, y1, x2, y2;
    bool scale; /* a number of the ring */
    char text[40];
} word;

/* ---- how wide a word is printed ---- */

static double letter(const char **at, bool bold) {
    static const int plain_low[] = {556, 556, 500, 556, 556, 278, 556, 556, 222, 222, 500, 222, 833,
                                    556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500},
                     bold_low[] = {556, 611, 556, 611, 556, 333, 611, 611, 278, 278, 556, 278, 889,
                                   611, 611, 611, 611, 389, 556, 333, 611, 556, 778, 556, 556, 500},
                     high[] = {722, 722, 722, 722, 667, 611, 778, 722, 278, 556, 722, 611, 833,
                               722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611};
    const unsigned char one = (unsigned char)*(*at)++;
    if (one >= 'a' && one <= 'z') return (bold ? bold_low : plain_low)[one - 'a'] / 1000.0;
    if (one >= 'A' && one <= 'Z') return high[one - 'A'] / 1000.0;
    if (isdigit(one)) return 0.556;
    if (one == ' ' || one == '.' || one == ',') return 0.278;
    if (one == '&') { /* a blank that does not break */
        *at += strcspn(*at, ";") + 1;
        return 0.278;
    }
    while (((unsigned char)**at & 0xC0) == 0x80) (*at)++;
    return one == 0xC2 ? 0.4 : 0.584; /* degree; minus */
}

static bool is(const char *kind, const char *what) {
    char padded[64], wanted[16];
    snprintf(padded, sizeof padded, " %s ", kind);
    snprintf(wanted, sizeof wanted, " %s ", what);
    return strstr(padded, wanted) != NULL;
}

static double value_of(const char *at, const char *name) {
    char open[16];
    snprintf(open, sizeof open, " %s=\"", name);
    const char *found = strstr(at, open);
    assert_non_null(found);
    return strtod(found + strlen(open), NULL);
}

static int words_of(const char *svg, word out[], int most) {
    int count = 0;
    for (const char *at = svg; (at = strstr(at, "<text class=\"")) && count < most; at++) {
        char kind[40];
        word *w = &out[count++];
        snprintf(kind, sizeof kind, "%.*s", (int)strcspn(at + 13, "\""), at + 13);
        const char *text = strchr(at, '>') + 1, *end = strchr(text, '<');
        snprintf(w->text, sizeof w->text, "%.*s", (int)(end - text), text);
        const double size = is(kind, "s") ? 2.9 : 3.1, x = value_of(at, "x"), y = value_of(at, "y");
        double wide = 0.0;
        for (const char *l = text; l < end;) wide += size * letter(&l, is(kind, "w"));
        const double left = is(kind, "m") ? x - wide / 2.0 : is(kind, "e") ? x - wide : x;
        *w = (word){.x1 = left, .x2 = left + wide, .y1 = y - 0.72 * size, .y2 = y + 0.2 * size, .scale = is(kind, "scale")};
        snprintf(w->text, sizeof w->text, "%.*s", (int)(end - text), text);
        const char *turned = strstr(at, "rotate(");
        if (!turned || turned > text) continue;
        const double middle_x = x + (strncmp(turned + 7, "90", 2) == 0 ? 1.0 : -1.0) * 0.26 * size;
        w->x1 = middle_x - 0.46 * size, w->x2 = middle_x + 0.46 * size, w->y1 = y - wide / 2.0, w->y2 = y + wide / 2.0;
    }
    return count;
}

/* ---- what a word may not stand on ---- */

static void points_clear(const char *svg, const char *kind, const word *w, const char *who) {
    char open[48];
    snprintf(open, sizeof open, "class=\"%s\" d=\"", kind);
    const char *at = strstr(svg, open);
    for (at = at ? strchr(at, 'M') : NULL; at && *at != '"'; at++) {
        if (*at != 'M' && *at != 'L') continue;
        char *end;
        const double x = strtod(at + 1, &end), y = strtod(end, NULL);
        if (x > w->x1 && x < w->x2 && y > w->y1 && y < w->y2) fail_msg("%s: %s on %s", who, w->text, kind);
    }
}

static int apart(const char *svg, const char *who) {
    word all[64];
    const int count = words_of(svg, all, 64);
    for (int i = 0; i < count; i++) {
        const word *a = &all[i];
        if (!(a->x1 >= 0.0 && a->y1 >= 0.0 && a->x2 <= 90.0 && a->y2 <= 82.8)) fail_msg("%s: %s leaves the drawing", who, a->text);
        points_clear(svg, "wound", a, who);
        points_clear(svg, "zonule-gap", a, who);
        for (int k = 0; k < i; k++) { /* two words on a line are not read as one */
            const word *b = &all[k];
            const double high = fmin(a->y2, b->y2) - fmax(a->y1, b->y1), gap = fmax(a->x1, b->x1) - fmin(a->x2, b->x2);
            if (!a->scale && !b->scale && high > 1.0 && gap < 1.2) fail_msg("%s: %s beside %s", who, a->text, b->text);
        }
        for (int k = 0; k < i; k++)
            if (a->x1 < all[k].x2 && all[k].x1 < a->x2 && a->y1 < all[k].y2 && all[k].y1 < a->y2)
                fail_msg("%s: %s on %s", who, a->text, all[k].text);
    }
    return count;
}

static void cut_dial(iol_sheet *s) { iol_sheet_cut_dial(s, false); }
static void second_dial(iol_sheet *s) { iol_sheet_cut_dial(s, true); }

static const char *drawn(void (*dial)(iol_sheet *)) {
    iol_html out = {.sink = keep, .ok = true};
    iol_sheet s = {.out = &out, .plan = &plan};
    kept.used = 0, kept.bytes[0] = '\0';
    dial(&s);
    return kept.bytes;
}

/* The turn of the lens, or of the second one. */
static void turn_dial(iol_sheet *s) {
    const iol_rotation *r = &s->plan->rotation;
    iol_turn t;
    if (!iol_turn_first(s->plan, &t))
        t = (iol_turn){.turn_deg = r->turn_deg, .from_deg = r->axis_now_deg, .to_deg = r->least_cylinder_axis_deg};
    if (!isnan(t.turn_deg)) iol_sheet_turn_dial(s, &t);
}

static int all_dials(const char *who) {
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    int words = apart(drawn(cut_dial), who);
    words += apart(drawn(second_dial), who);
    words += apart(drawn(turn_dial), who);
    return words + apart(drawn(iol_sheet_lies_dial), who);
}

static void words_apart(void **state) {
    (void)state;
    int words = 0;
    for (int i = 0; i < EXAMPLES + HARD_CASES; i++) {
        const char *who = any_case(i, &c);
        words += all_dials(who);
    }
    assert_true(words > 30 * 28);
}

/* Seats, wounds, junctions, axes, gaps and lenses off their place all round. */
static void words_apart_drawn(void **state) {
    (void)state;
    static const char *const of[] = {"hyperopic-surprise", "toric-turned", "dislocation", "displaced"};
    int words = 0;
    for (int n = 0; n < 500; n++) {
        char who[40];
        snprintf(who, sizeof who, "drawn %d", n);
        if (n % 5 == 4)
            assert_true(random_case((uint64_t)n + 1, example_site(), &c));
        else {
            example_case(of[n % 5], &c);
            c.operation.seat_position_deg = fmod(37.0 * n, 360.0);
            c.operation.incision_position_deg = fmod(37.0 * n + 15.0 * (n % 7 - 3), 360.0);
            c.operation.side_port_position_deg = NAN;
            c.operation.surgeon_hand = n % 3 ? IOL_hand_right : IOL_hand_left;
            c.eye = n % 2 ? IOL_side_right : IOL_side_left;
            c.first_surgery.lens.junction_axis_deg = fmod(53.0 * n, 180.0);
            c.first_surgery.lens.axis_deg = fmod(31.0 * n, 180.0);
            c.first_surgery.lens.decentration_mm = n % 11 * 0.5;
            c.first_surgery.lens.decentration_position_deg = n % 4 ? fmod(71.0 * n, 360.0) : NAN;
            c.first_surgery.lens.tilt_deg = n % 13;
            c.first_surgery.lens.tilted_back_position_deg = fmod(41.0 * n, 360.0);
            c.first_surgery.lens.turns_freely = n % 2 ? IOL_turns_clockwise : IOL_turns_anticlockwise;
            c.zonule.missing_clock_hours = n % 6;
            c.zonule.missing_from_clock = 1 + n % 12;
            c.zonule.missing_to_clock = 1 + (n + n % 6) % 12;
        }
        words += all_dials(who);
    }
    assert_true(words > 500 * 28);
}

/* A wound at the nose is nobody's habit (common practice, no source): an eye that was changed over takes its wound along. The
 * nose lies at 0 deg of a right eye, seen from in front, and at 180 of a left one. */
static void no_wound_at_the_nose(void **state) {
    (void)state;
    for (int i = 0; i < EXAMPLES + HARD_CASES; i++) {
        const char *who = any_case(i, &c);
        const double nose = c.eye == IOL_side_right ? 0.0 : 180.0;
        const double place[] = {c.operation.incision_position_deg, c.operation.seat_position_deg};
        for (int k = 0; k < 2; k++)
            if (fabs(remainder(place[k] - nose, 360.0)) < 60.0) fail_msg("%s: a wound or a seat at the nose", who);
    }
}

/* ---- a lens off its place ---- */

static void disc_of(const char *svg, const char *kind, double x[3]) {
    char open[48];
    snprintf(open, sizeof open, "<circle class=\"%s\"", kind);
    const char *at = strstr(svg, open);
    assert_non_null(at);
    x[0] = value_of(at, "cx"), x[1] = value_of(at, "cy"), x[2] = value_of(at, "r");
}

static void lies_there(void **state) {
    (void)state;
    double ring[3], optic[3], belongs[3];
    example_case("displaced", &c);
    c.biometry.white_to_white_mm = 12.5;
    c.operation.seat_position_deg = c.operation.incision_position_deg = 90.0;
    c.first_surgery.lens.decentration_mm = 2.0;
    c.first_surgery.lens.decentration_position_deg = 180.0;
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    const char *svg = drawn(iol_sheet_lies_dial);
    disc_of(svg, "ring", ring), disc_of(svg, "optic", optic), disc_of(svg, "belongs", belongs);
    CHECK_NEAR(optic[0] - ring[0], 2.0 * 50.0 / 12.5, 0.01, "seat at 90: place 180 lies at the right, 4 mm a mm of the eye");
    CHECK_NEAR(optic[1] - ring[1], 0.0, 0.01, "the same");
    CHECK_NEAR(belongs[0], ring[0], 0.001, "in the middle");
    assert_non_null(strstr(svg, "class=\"move\""));
    c.first_surgery.lens.decentration_mm = 5.0;
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    svg = drawn(cut_dial);
    assert_non_null(strstr(svg, ">lies further out</text>"));
    assert_non_null(strstr(svg, "Lens not to scale: it lies further out than drawn."));
    c.first_surgery.lens.decentration_position_deg = c.first_surgery.lens.tilted_back_position_deg = NAN;
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    svg = drawn(cut_dial);
    assert_non_null(strstr(svg, "class=\"optic unplaced\""));
    assert_non_null(strstr(svg, ">lies elsewhere</text>"));
    assert_non_null(strstr(svg, ">not to scale</text>"));
    assert_non_null(strstr(svg, "Lens not to scale: 5.00&nbsp;mm off centre, direction not known, drawn in the middle."));
    assert_non_null(strstr(svg, "Its tilt is not drawn: direction not known."));
    c.operation.seat_position_deg = c.operation.incision_position_deg = NAN;
    c.first_surgery.lens.decentration_mm = 0.0;
    example_case("hyperopic-surprise", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    svg = drawn(cut_dial);
    assert_null(strstr(svg, "not to scale</text>"));
    assert_null(strstr(svg, "unplaced"));
}

/* Middle of the n-th closed path of a class, and how far its upper half lies to the right of its lower one. */
static void lens_of(const char *svg, const char *kind, double middle[2], double *leans) {
    char open[48];
    snprintf(open, sizeof open, "<path class=\"%s\" d=\"", kind);
    const char *at = strstr(svg, open);
    double x[40], y[40];
    int points = 0;
    assert_non_null(at);
    for (at = strchr(at, 'M'); *at != '"' && points < 40; at++) {
        if (*at != 'M' && *at != 'L') continue;
        char *end;
        x[points] = strtod(at + 1, &end);
        y[points++] = strtod(end, NULL);
    }
    middle[0] = middle[1] = *leans = 0.0;
    for (int i = 0; i < points; i++) middle[0] += x[i] / points, middle[1] += y[i] / points;
    for (int i = 0; i < points; i++) *leans += (y[i] < middle[1] ? 1.0 : -1.0) * x[i];
}

static const char *side(void) {
    static char text[1 << 16];
    iol_html out = {.sink = keep, .ok = true};
    iol_sheet s = {.out = &out, .plan = &plan};
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    kept.used = 0;
    iol_sheet_eye_side(&s, IOL_option_exchange, false, iol_language_find(NULL));
    assert_true(kept.used < sizeof text);
    memcpy(text, kept.bytes, kept.used + 1);
    return text;
}

static void patient_sees_it(void **state) {
    (void)state;
    double place[2], lens[2], leans, none;
    example_case("displaced", &c);
    const char *svg = side(); /* toward 80 deg: up; the edge at 88 deg lies back: the upper one, to the right */
    lens_of(svg, "b", place, &none), lens_of(svg, "kk", lens, &leans);
    assert_true(lens[1] < place[1] - 1.0);
    assert_true(leans > 1.0);
    assert_non_null(strstr(svg, ">not to scale</text>"));
    assert_null(strstr(svg, "thin skin<"));
    c.first_surgery.lens.decentration_position_deg = 280.0;
    c.first_surgery.lens.tilted_back_position_deg = 268.0;
    svg = side();
    lens_of(svg, "b", place, &none), lens_of(svg, "kk", lens, &leans);
    assert_true(lens[1] > place[1] + 1.0);
    assert_true(leans < -1.0);
    example_case("dislocation", &c); /* no direction: downward, and said not to be to scale */
    svg = side();
    lens_of(svg, "b", place, &none), lens_of(svg, "kk", lens, &leans);
    assert_true(lens[1] > place[1] + 3.0);
    assert_non_null(strstr(svg, ">not to scale</text>"));
    example_case("hyperopic-surprise", &c);
    svg = side();
    assert_null(strstr(svg, "not to scale"));
    assert_non_null(strstr(svg, ">thin skin</text>"));
}

/* ---- the card ---- */

static const char *card(void) {
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    return drawn(iol_sheet_theatre);
}

/* Steps stand in the order in which they are done, and count on: the turn is before the cut, out is last. */
static void steps_in_order(void **state) {
    (void)state;
    int turned = 0;
    for (int i = 0; i < EXAMPLES + HARD_CASES; i++) {
        const char *who = any_case(i, &c), *at = card();
        const char *turn = strstr(at, "<b>1 Turn</b>"), *out = strstr(at, " Out</b>");
        const bool lens_out = strstr(at, "<p class=\"step\">") != NULL;
        int number = 1;
        if (!lens_out) continue;
        if (turn && (!out || out < turn)) fail_msg("%s: out before turn", who);
        turned += turn != NULL;
        const char *frames = strstr(at, "class=\"frames\""), *step = strstr(at, "class=\"step\"");
        const char *b = frames && frames < step ? frames : step, *end = strstr(at, "class=\"ticks");
        const char *then = strstr(at, "How the old lens comes out then"); /* behind what is done first: counted anew */
        for (; (b = strstr(b, "<b>")) != NULL && b < end; b++) {
            if (then && b > then) number = 1, then = NULL;
            if (isdigit((unsigned char)b[3]) && (b[4] == ' ' || b[4] == '<')) assert_int_equal(b[3] - '0', number++);
        }
    }
    assert_true(turned >= 3);
    example_case("hyperopic-surprise", &c);
    const char *at = card();
    const char *const order[] = {"<b>1 Turn</b>", "<b>2</b> Cut from the wound to the centre", "<b>3</b> Turn the lens half round",
                                 "<b>4</b> Cut again", "<b>5 Out</b>"};
    for (size_t i = 0; i < sizeof order / sizeof *order; i++) {
        const char *next = strstr(at, order[i]);
        if (!next) fail_msg("missing or out of order: %s", order[i]);
        at = next;
    }
}

/* A lens that is put back: the power of an exchange is small and said to be for that. */
static void stays_in(void **state) {
    (void)state;
    hard_case_named("put-back", &c);
    const char *at = card();
    assert_non_null(strstr(at, "PUT THE LENS BACK"));
    assert_null(strstr(at, "class=\"huge\">+"));
    const char *title = strstr(at, "If it cannot be held: exchange"), *power = strstr(at, "<b class=\"second\">+21.0");
    assert_true(title && power && title < power);
    assert_null(strstr(at, "class=\"dial cut-dial\""));
    assert_non_null(strstr(at, "class=\"dial lies-dial\""));
    /* If it is exchanged all the same: the hand, its port and the blade are those of the old lens. */
    const iol_removal *r = &plan.removal;
    const char *then = strstr(at, "<h3>If exchanged</h3>");
    char wanted[80];
    assert_true(then && iol_preferred_way(r));
    snprintf(wanted, sizeof wanted, "%s hand, port at %.0f&nbsp;", r->orientation.grip_hand == IOL_hand_left ? "left" : "right",
             r->orientation.grip_port_position_deg);
    if (!strstr(then, wanted)) wanted[strlen(wanted) - 6] = '\0'; /* the sign of degrees may follow at once */
    assert_non_null(strstr(then, wanted));
    snprintf(wanted, sizeof wanted, "thickest cut %.2f&nbsp;mm", iol_preferred_way(r)->thickest_cut_mm);
    assert_non_null(strstr(then, wanted));
}

/* A turn that no exchange stands behind: leave it, close. Neither a lens nor other places are named for its failure. */
static void turn_alone(void **state) {
    (void)state;
    example_case("toric-turned", &c);
    assert_non_null(strstr(card(), "If it does not turn or hold: exchange"));
    double *rank[2] = {NULL, NULL};
    for (int i = 0; i < plan.options_count; i++) {
        if (plan.options[i].option == IOL_option_exchange) rank[0] = &plan.options[i].rank;
        if (plan.options[i].option == IOL_option_leave) rank[1] = &plan.options[i].rank;
    }
    assert_true(rank[0] && rank[1]);
    *rank[0] = 8.0, *rank[1] = 7.0;
    assert_true(iol_turn_alone(&plan) && iol_power_given(&plan));
    const char *at = drawn(iol_sheet_theatre);
    const char *fails = strstr(at, "<h3>If it does not turn or hold</h3>");
    assert_true(fails && !strstr(fails + 10, "If it does not turn or hold"));
    assert_null(strstr(at, "If it does not turn or hold: exchange"));
    assert_null(strstr(at, "class=\"second\""));
    assert_null(strstr(at, "class=\"rungs\""));
}

/* What the box is compared with, or that nothing is on record. */
static void product_number(void **state) {
    (void)state;
    int with = 0, without = 0;
    for (int i = 0; i < EXAMPLES + HARD_CASES; i++) {
        const char *who = any_case(i, &c), *at = card();
        if (!*at || !strstr(at, "lens seen in the room")) continue;
        const bool number = strstr(at, "product number 0") || strstr(at, "product number 1");
        const bool none = strstr(at, "no product number on record") != NULL;
        if (number == none) fail_msg("%s: product number", who);
        with += number, without += none;
    }
    assert_true(with >= 2 && without >= 2);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(words_apart),     cmocka_unit_test(words_apart_drawn), cmocka_unit_test(lies_there),
        cmocka_unit_test(patient_sees_it), cmocka_unit_test(steps_in_order),    cmocka_unit_test(stays_in),
        cmocka_unit_test(turn_alone),
        cmocka_unit_test(product_number),  cmocka_unit_test(no_wound_at_the_nose),
    };
    return cmocka_run_group_tests_name("drawings", tests, NULL, NULL);
}
