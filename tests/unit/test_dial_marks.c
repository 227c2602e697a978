/* Marks of the dials against the plan, read back by plane geometry: hours, degrees and sides of the ring, wound, gap of the zonule,
 * loops, marks of a lens, the optic's size. Either eye, seats all round, one lens and two. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include <ctype.h>
#include <stdlib.h>

#include "check.h"
#include "drawn_marks.h"
#include "hard_case.h"
#include "report/report.h"
#include "report/screen.h"
#include "report/sheet.h"
#include "tables/constants.h"

#define SEEN "definition: places anticlockwise, seen facing the patient; the seat at the bottom, both eyes alike"
#define HOURS "definition: a clock that the surgeon faces, 3 o'clock at 0 degrees"
#define TRAIL "common practice, no source: loops trail behind the turn that they allow"

static iol_case c;
static iol_plan plan;

static double far_from(disc d, point p) { return hypot(p.x - d.middle.x, p.y - d.middle.y); }

static double seat_of(const iol_removal_orientation *o) {
    return o->present && !isnan(o->seat_position_deg) ? o->seat_position_deg : plan.incision.position_deg;
}

static double place_of(disc about, double seat, point p) {
    return atan2(about.middle.y - p.y, p.x - about.middle.x) * 180.0 / acos(-1.0) + seat + 90.0;
}

static void lies_at(const char *what, disc about, double seat, point p, double place, double off) {
    const double is = place_of(about, seat, p);
    if (!(fabs(remainder(is - place, 360.0)) <= off)) fail_msg("%s: %s at %.1f, belongs at %.1f", who, what, is, place);
}

static point word_of(const char *svg, const char *text) {
    char says[40];
    snprintf(says, sizeof says, ">%s</text>", text);
    const char *at = strstr(svg, says);
    if (!at) fail_msg("%s: no word %s", who, text);
    while (strncmp(at, "<text", 5) != 0) at--;
    return (point){value_of(at, "x"), value_of(at, "y") - 1.1};
}

/* ---- what every dial has ---- */

static void round_the_ring(const char *svg, double seat) {
    const disc ring = disc_of(svg, "ring");
    char text[12];
    for (int hour = 1; hour <= 12; hour++) {
        const double place = 90.0 - 30.0 * hour;
        point tick[2];
        snprintf(text, sizeof text, "%d", hour);
        lies_at(HOURS, ring, seat, word_of(svg, text), place, 1.0);
        snprintf(text, sizeof text, "%.0f\xC2\xB0", place < 0.0 ? place + 360.0 : place);
        lies_at(SEEN, ring, seat, word_of(svg, text), place, 1.0);
        line_of(svg, "l", hour - 1, tick);
        lies_at("a tick", ring, seat, tick[1], place, 0.1);
    }
    const double nose = plan.eye == IOL_side_right ? 0.0 : 180.0; /* a right eye, seen from in front, has its nose at the right */
    lies_at("superior", ring, seat, word_of(svg, "SUPERIOR"), 90.0, 20.0);
    lies_at("inferior", ring, seat, word_of(svg, "INFERIOR"), 270.0, 20.0);
    lies_at("nasal", ring, seat, word_of(svg, "NASAL"), nose, 20.0);
    lies_at("temporal", ring, seat, word_of(svg, "TEMPORAL"), 180.0 - nose, 20.0);
}

/* The chord of an arc that lies on the ring or just inside it. */
static double chord(const char *svg, const char *kind, point *middle) {
    point p[64];
    const int points = path_of(svg, kind, 0, p, 64);
    *middle = (point){(p[0].x + p[points - 1].x) / 2.0, (p[0].y + p[points - 1].y) / 2.0};
    return hypot(p[0].x - p[points - 1].x, p[0].y - p[points - 1].y);
}

static int wounds, wide_wounds, gaps;
static void on_the_ring(const char *svg, const iol_removal_orientation *o, bool second) {
    const disc ring = disc_of(svg, "ring");
    const double seat = seat_of(o), mm = 2.0 * ring.r / (o->present && !isnan(o->limbus_mm) ? o->limbus_mm : 11.8);
    const double end_mm = second ? plan.two_lenses.second_end_width_mm : plan.incision.end_width_mm;
    const bool wide = plan.incision.present && iol_above(end_mm, plan.incision.width_mm) == IOL_YES;
    point middle;
    if (nth(svg, "path", "wound", 0)) {
        wounds++;
        CHECK_NEAR(chord(svg, "wound", &middle) / mm, plan.incision.width_mm, 0.01, "to scale");
        lies_at("the wound", ring, seat, middle, plan.incision.position_deg, 0.2);
        assert_int_equal(count_of(svg, "path", "wound-wide"), wide);
        if (wide) CHECK_NEAR(chord(svg, "wound-wide", &middle) / mm, end_mm, 0.01, "to scale, as it is at the end");
        if (wide) lies_at("the wound at the end", ring, seat, middle, plan.incision.position_deg, 0.2);
        wide_wounds += wide;
    }
    const bool gap = o->present && !isnan(o->zonule_gap_hours) && !isnan(o->zonule_gap_position_deg);
    assert_int_equal(count_of(svg, "path", "zonule-gap"), gap);
    if (!gap) return;
    point p[64];
    const int points = path_of(svg, "zonule-gap", 0, p, 64);
    gaps++;
    lies_at("the gap's start", ring, seat, p[0], o->zonule_gap_position_deg - 15.0 * o->zonule_gap_hours, 0.2);
    lies_at("the gap's end", ring, seat, p[points - 1], o->zonule_gap_position_deg + 15.0 * o->zonule_gap_hours, 0.2);
    assert_true(far_from(ring, p[0]) < ring.r && far_from(ring, p[0]) > ring.r - 4.0);
}

/* The optic as large as it is, beside the ring. */
static disc optic_of(const char *svg, const iol_removal *r) {
    const disc ring = disc_of(svg, "ring"), optic = disc_of(svg, "optic");
    const double limbus = isnan(r->orientation.limbus_mm) ? 11.8 : r->orientation.limbus_mm;
    if (!isnan(r->lens.optic_diameter_mm))
        CHECK_NEAR(optic.r / ring.r, r->lens.optic_diameter_mm / limbus, 0.001, "to scale");
    return optic;
}

/* ---- loops and marks ---- */

static int with_loops, without;
static void loops(const char *svg, const iol_removal *r, disc optic, disc ring) {
    const iol_removal_orientation *o = &r->orientation;
    const double junction = r->preferred == IOL_removal_method_whole ? o->junction_axis_now_deg : o->junction_position_deg;
    const bool clockwise = o->loops_turn == IOL_turns_clockwise, one_way = clockwise || o->loops_turn == IOL_turns_anticlockwise;
    const bool drawn = one_way && !isnan(junction);
    assert_int_equal(count_of(svg, "line", "junction"), isnan(junction) ? 0 : 2);
    assert_int_equal(count_of(svg, "path", "loop"), drawn ? 2 : 0);
    with_loops += drawn, without += !drawn;
    point first[32], loop[32];
    for (int k = 0; drawn && k < 2; k++) {
        const int points = path_of(svg, "loop", k, loop, 32);
        double swept = 0.0, before = far_from(optic, loop[0]), place = place_of(optic, 0.0, loop[0]);
        assert_true(points > 8);
        CHECK_NEAR(before, optic.r, 0.02, "a loop begins at the rim");
        lies_at("a loop's root", optic, seat_of(o), loop[0], junction + 180.0 * k, 0.2);
        for (int i = 1; i < points; i++) {
            const double far = far_from(optic, loop[i]), by = remainder(place_of(optic, 0.0, loop[i]) - place, 360.0);
            if (!(far > before - 0.02)) fail_msg("%s: a loop runs inward", who);
            if (!((clockwise ? by : -by) > 1.0)) fail_msg("%s: a loop turns back: " TRAIL, who);
            swept += by, before = far, place += by;
        }
        const double most = fmax(ring.r, far_from(ring, optic.middle) + optic.r + 2.1);
        if (!(before > optic.r + 1.9 && far_from(ring, loop[points - 1]) < most))
            fail_msg("%s: a loop ends on the optic or beyond the ring", who);
        if (!(fabs(swept) > 60.0 && fabs(swept) < 180.0)) fail_msg("%s: a loop runs round %.0f degrees", who, swept);
        for (int i = 0; k == 1 && i < points; i++)
            if (!(hypot(first[i].x + loop[i].x - 2.0 * optic.middle.x, first[i].y + loop[i].y - 2.0 * optic.middle.y) < 0.03))
                fail_msg("%s: the loops are not alike", who);
        memcpy(first, loop, sizeof first);
    }
}

/* Two marks on a meridian, at its two ends, from inside the ring to just inside it. */
static int limbus_marks;
static void marks_inside(const char *svg, disc ring, double seat, double axis) {
    assert_int_equal(count_of(svg, "line", "mark limbus"), isnan(axis) ? 0 : 2);
    for (int i = 0; i < 2 && !isnan(axis); i++) {
        point end[2];
        line_of(svg, "mark limbus", i, end);
        for (int k = 0; k < 2; k++) {
            lies_at("a mark at the limbus", ring, seat, end[k], axis + 180.0 * i, 0.2);
            if (!(far_from(ring, end[k]) < ring.r && far_from(ring, end[k]) > ring.r - 5.0)) fail_msg("%s: a mark elsewhere", who);
        }
        if (!(far_from(ring, end[1]) - far_from(ring, end[0]) > 1.0)) fail_msg("%s: a mark too short to be seen", who);
        limbus_marks++;
    }
}

/* The marks on the optic, today's and those after the turn, each with a line to its meridian at the limbus. */
static void marks_on_optic(const char *svg, const char *kind, const char *leads, disc optic, disc ring, double seat,
                           double axis) {
    assert_int_equal(count_of(svg, "line", kind), 2);
    assert_int_equal(count_of(svg, "line", leads), 2);
    for (int i = 0; i < 2; i++) {
        point end[2], lead[2];
        line_of(svg, kind, i, end), line_of(svg, leads, i, lead);
        for (int k = 0; k < 2; k++) lies_at("a mark", optic, seat, end[k], axis + 180.0 * i, 0.4);
        const double inner = far_from(optic, end[0]), outer = far_from(optic, end[1]);
        if (!(inner > 0.0 && inner < outer - 2.0 && outer < optic.r)) fail_msg("%s: a mark not on the optic", who);
        lies_at("a lead's start", optic, seat, lead[0], axis + 180.0 * i, 0.4);
        lies_at("a lead's end", ring, seat, lead[1], axis + 180.0 * i, 0.2);
        const double begins = far_from(optic, lead[0]), ends = far_from(ring, lead[1]);
        if (!(begins > outer - 0.02 && begins < optic.r + 0.02)) fail_msg("%s: a lead does not begin at its mark", who);
        if (!(ends < ring.r + 0.02 && ends > ring.r - 5.0)) fail_msg("%s: a lead does not reach the limbus", who);
    }
}

/* ---- words ---- */

typedef struct {
    const char *text; /* what it begins with */
    double number;    /* and the degrees behind that; NaN: none */
    const char *tag, *kind; /* the mark that it names; NULL: the optic */
    int found;
} name;

/* How far a point lies from a line. */
static double off_line(point a, point b, point p) {
    const double x = b.x - a.x, y = b.y - a.y, length = x * x + y * y;
    const double t = length > 0.0 ? fmax(0.0, fmin(1.0, ((p.x - a.x) * x + (p.y - a.y) * y) / length)) : 0.0;
    return hypot(p.x - a.x - t * x, p.y - a.y - t * y);
}

/* How far a mark of this kind lies from a spot, at least. */
static double off_mark(const char *svg, const char *tag, const char *kind, point p) {
    double least = INFINITY;
    for (int n = 0; n < count_of(svg, tag, kind); n++) {
        point at[64];
        const bool line = strcmp(tag, "line") == 0;
        if (line) line_of(svg, kind, n, at);
        const int points = line ? 2 : path_of(svg, kind, n, at, 64);
        for (int i = 1; i < points; i++) least = fmin(least, off_line(at[i - 1], at[i], p));
    }
    return least;
}

/* A word stands beside its mark, or a thin line leads from the mark to it. half: of its width. */
static bool belongs(const char *svg, const name *n, point at, double half) {
    const double near_mm = 6.5;
    for (int i = -2; i <= 2; i++)
        if (off_mark(svg, n->tag, n->kind, (point){at.x + half * i / 2.0, at.y}) < near_mm) return true;
    for (int k = 0; k < count_of(svg, "line", "thin"); k++) {
        point end[2];
        line_of(svg, "thin", k, end);
        const bool reaches = fabs(end[1].x - at.x) < half + 1.0 && fabs(end[1].y - at.y) < 3.0;
        if (reaches && off_mark(svg, n->tag, n->kind, end[0]) < 3.5) return true;
    }
    return false;
}

/* Every word of a dial, but for its ring and the four sides, is one of these, and each of these stands there once. */
static void words_are(const char *svg, name some[], int count) {
    for (const char *at = svg; (at = strstr(at, "<text class=\"")); at++) {
        char kind[40], text[40];
        snprintf(kind, sizeof kind, "%.*s", (int)strcspn(at + 13, "\""), at + 13);
        const char *inside = strchr(at, '>') + 1;
        snprintf(text, sizeof text, "%.*s", (int)strcspn(inside, "<"), inside);
        if (strstr(kind, "scale") || strstr("SUPERIOR INFERIOR NASAL TEMPORAL", text)) continue;
        name *is = NULL;
        for (int i = 0; i < count && !is; i++) {
            const size_t length = strlen(some[i].text);
            if (some[i].found || strncmp(text, some[i].text, length) != 0) continue;
            if (isnan(some[i].number) ? text[length] == '\0'
                                      : isdigit((unsigned char)text[length]) && strstr(text, "\xC2\xB0") &&
                                            fabs(strtod(text + length, NULL) - some[i].number) < 0.501)
                is = &some[i];
        }
        if (!is) fail_msg("%s: a word of nothing: %s", who, text);
        is->found = 1;
        const double half = 0.26 * 2.9 * (double)strlen(text);
        if (is->kind && !belongs(svg, is, (point){value_of(at, "x"), value_of(at, "y") - 1.1}, half))
            fail_msg("%s: %s does not stand beside its mark", who, text);
    }
    for (int i = 0; i < count; i++)
        if (!some[i].found) fail_msg("%s: not named: %s", who, some[i].text);
}

static bool said(const char *svg, const char *words) { return strstr(strstr(svg, "</svg>"), words) != NULL; }

static void says(const char *svg, const char *words, bool wanted) {
    if (said(svg, words) != wanted) fail_msg("%s: %s: %s", who, wanted ? "not said" : "said", words);
}

/* What is under a dial: what is to scale, and what of the lens is not drawn as it is. */
static int not_drawn;
static void caption(const char *svg, const iol_removal_orientation *o, bool second) {
    const bool fallen = !second && iol_lens_behind(&plan), measured = !isnan(o->limbus_mm);
    const bool wound = nth(svg, "path", "wound", 0), unplaced = nth(svg, "circle", "optic unplaced", 0);
    char words[60];
    snprintf(words, sizeof words, "Limbus %.2f&nbsp;mm", measured ? o->limbus_mm : 11.8);
    says(svg, words, true);
    says(svg, ", not measured: drawn broken.", !measured);
    says(svg, ", optic and wound to scale.", measured && wound);
    says(svg, ", optic to scale.", measured && !wound);
    says(svg, "Square: port.", nth(svg, "rect", "port", 0));
    says(svg, "Lens drawn where it comes to lie once it is lifted.", fallen);
    says(svg, "off centre, direction not known, drawn in the middle.", unplaced && !fallen);
    says(svg, "Lens not to scale: it lies further out than drawn.", strstr(svg, ">lies further out<"));
    const bool tilt = nth(svg, "line", "tilt-axis", 0), hidden = o->tilt_deg > c_tilt_matters_deg && !tilt && !fallen;
    says(svg, "Its tilt is not drawn: direction not known.", hidden);
    if (tilt && !(o->tilt_deg > 0.0 && !isnan(o->tilt_axis_deg) && !fallen)) fail_msg("%s: a tilt of nothing", who);
    if (!tilt && o->tilt_deg > 0.0 && !isnan(o->tilt_axis_deg) && !fallen) fail_msg("%s: a tilt is not drawn", who);
    not_drawn += hidden;
}

/* An arrow of a turn runs about the optic, round it where the lens lies in the middle, and never beyond the ring. */
static void arrow(const char *svg, disc optic, disc ring) {
    point p[64];
    const int points = path_of(svg, "turn", 0, p, 64);
    for (int i = 0; i < points; i++) {
        CHECK_NEAR(far_from(optic, p[i]), far_from(optic, p[0]), 0.03, "about the optic");
        if (!(far_from(ring, p[i]) < ring.r - 1.0)) fail_msg("%s: an arrow at the ring or beyond it", who);
    }
    const double gap = far_from(optic, p[0]) - optic.r;
    if (!(fabs(gap) > 2.0)) fail_msg("%s: an arrow on the rim", who);
    if (far_from(ring, optic.middle) < 1.0 && gap < 0.0) fail_msg("%s: an arrow on the optic, with room round it", who);
}

/* What stands on any dial: the wound, the gap, how the optic lies. */
static int common(const char *svg, const iol_removal *r, name out[]) {
    const iol_removal_orientation *o = &r->orientation;
    const disc ring = disc_of(svg, "ring"), optic = disc_of(svg, "optic");
    const double limbus = isnan(o->limbus_mm) ? 11.8 : o->limbus_mm;
    const double off_mm = far_from(ring, optic.middle) * limbus / (2.0 * ring.r);
    const int behind = iol_lens_behind(&plan);
    int n = 0;
    if (nth(svg, "path", "wound", 0)) out[n++] = (name){"wound", NAN, "path", "wound", 0};
    if (nth(svg, "path", "zonule-gap", 0)) out[n++] = (name){"zonule gap", NAN, "path", "zonule-gap", 0};
    if (nth(svg, "path", "tilt-back", 0)) out[n++] = (name){"edge back", NAN, "path", "tilt-back", 0};
    if (nth(svg, "circle", "optic unplaced", 0)) {
        const char *where = behind == IOL_lies_retina ? "on the retina" : behind ? "in the vitreous" : "lies elsewhere";
        out[n++] = (name){where, NAN, NULL, NULL, 0};
        out[n++] = (name){"not to scale", NAN, NULL, NULL, 0};
    } else if (!isnan(o->decentration_position_deg) && o->decentration_mm > off_mm + 0.01)
        out[n++] = (name){"lies further out", NAN, NULL, NULL, 0};
    return n;
}

/* ---- the dials of a plan ---- */

static bool second_lens;
static iol_turn the_turn;
static void cut_dial(iol_sheet *s) { iol_sheet_cut_dial(s, second_lens); }
static void turn_dial(iol_sheet *s) { iol_sheet_turn_dial(s, &the_turn); }

static const char *drawn(void (*dial)(iol_sheet *)) { return drawn_of(&plan, dial); }

/* The meridian of the lens that goes in. */
static double goes_in_at(bool second) {
    iol_lead lead;
    const iol_choice *step = iol_power_given(&plan) ? iol_chosen_step(iol_new_lens(&plan)) : NULL;
    if (second) return iol_lead_operates(&plan, &lead) && lead.cylinder_d > 0.0 ? lead.axis_deg : NAN;
    return step && step->cylinder_d > 0.0 ? step->axis_deg : NAN;
}

static int cut_dials, turn_dials, lies_dials, moved, turned;
static void dials(void) {
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    for (int k = 0; k < 2; k++) {
        const iol_removal *r = iol_removal_of(&plan, second_lens = k == 1);
        const char *svg = drawn(cut_dial);
        if (!*svg) continue;
        const disc ring = disc_of(svg, "ring"), optic = optic_of(svg, r);
        round_the_ring(svg, seat_of(&r->orientation));
        on_the_ring(svg, &r->orientation, second_lens);
        loops(svg, r, optic, ring);
        const double axis = goes_in_at(second_lens), turn = r->orientation.turn_deg;
        marks_inside(svg, ring, seat_of(&r->orientation), axis);
        name all[8];
        int n = common(svg, r, all);
        const bool whole = r->preferred == IOL_removal_method_whole, turns = !isnan(turn) && turn != 0.0;
        if (!isnan(whole ? r->orientation.junction_axis_now_deg : r->orientation.junction_position_deg))
            all[n++] = (name){"junction", NAN, "line", "junction", 0};
        if (turns) all[n++] = (name){"", fabs(turn), "path", "turn", 0};
        if (!isnan(axis)) all[n++] = (name){"new ", axis == 0.0 ? 180.0 : axis, "line", "mark limbus", 0};
        words_are(svg, all, n);
        caption(svg, &r->orientation, second_lens);
        if (turns) arrow(svg, optic, ring);
        turned += turns, cut_dials++;
    }
    if (iol_turn_first(&plan, &the_turn) && !isnan(the_turn.turn_deg)) {
        const iol_removal *r = iol_removal_of(&plan, the_turn.second);
        const char *svg = drawn(turn_dial);
        const disc ring = disc_of(svg, "ring"), optic = optic_of(svg, r);
        const double seat = seat_of(&r->orientation);
        round_the_ring(svg, seat);
        on_the_ring(svg, &r->orientation, the_turn.second);
        marks_inside(svg, ring, seat, the_turn.to_deg);
        if (far_from(ring, optic.middle) < 0.1) {
            marks_on_optic(svg, "mark-now", "dot", optic, ring, seat, the_turn.from_deg);
            marks_on_optic(svg, "mark", "b", optic, ring, seat, the_turn.to_deg);
        }
        name all[8];
        int n = common(svg, r, all);
        all[n++] = (name){"", fabs(the_turn.turn_deg), "path", "turn", 0};
        all[n++] = (name){"to ", the_turn.to_deg, "line", "mark limbus", 0};
        all[n++] = (name){"now ", the_turn.from_deg, "line", "dot", 0};
        words_are(svg, all, n);
        caption(svg, &r->orientation, the_turn.second);
        arrow(svg, optic, ring);
        turn_dials++;
    }
    const char *svg = drawn(iol_sheet_lies_dial);
    if (!*svg) return;
    const disc ring = disc_of(svg, "ring"), optic = optic_of(svg, &plan.removal), belongs = disc_of(svg, "belongs");
    round_the_ring(svg, seat_of(&plan.removal.orientation));
    CHECK_NEAR(far_from(ring, belongs.middle), 0.0, 0.01, "a lens belongs in the middle");
    CHECK_NEAR(belongs.r, optic.r, 0.01, "the same lens");
    const bool away = far_from(ring, optic.middle) > 1.5;
    assert_int_equal(count_of(svg, "line", "move"), away);
    if (away) {
        point end[2];
        line_of(svg, "move", 0, end);
        CHECK_NEAR(far_from(optic, end[0]), 0.0, 0.01, "from where it lies");
        CHECK_NEAR(far_from(ring, end[1]), 0.0, 0.01, "to where it belongs");
    }
    name all[8];
    int n = common(svg, &plan.removal, all);
    if (away) all[n++] = (name){"move", NAN, "line", "move", 0};
    words_are(svg, all, n);
    caption(svg, &plan.removal.orientation, false);
    lies_dials++, moved += away;
}

static void every_dial(void **state) {
    (void)state;
    for (int i = 0; i < EXAMPLES + HARD_CASES; i++)
        for (int k = 0; k < 2; k++) {
            who = any_case(i, &c);
            if (k == 1) {
                c.operation.seat_position_deg = fmod(35.0 + 47.0 * i, 360.0);
                c.eye = i % 2 ? IOL_side_right : IOL_side_left;
                c.first_surgery.lens.turns_freely = i % 3 ? IOL_turns_anticlockwise : IOL_turns_both;
            }
            dials();
        }
    assert_true(cut_dials > 60 && lies_dials > 50 && moved > 4 && turned > 20);
    assert_true(with_loops > 20 && without > 10 && wounds > 60 && wide_wounds > 5 && limbus_marks > 30);
}

/* A gap of the zonule all round, and a lens off its place. */
static void gaps_all_round(void **state) {
    (void)state;
    for (int n = 0; n < 24; n++) {
        who = "a gap";
        example_case(n % 2 ? "hyperopic-surprise" : "displaced", &c);
        c.zonule.missing_clock_hours = 1 + n % 5;
        c.zonule.missing_from_clock = 1 + n % 12;
        c.zonule.missing_to_clock = 1 + (n + n % 5 + 1) % 12;
        c.operation.seat_position_deg = fmod(67.0 * n, 360.0);
        c.first_surgery.lens.turns_freely = n % 3 ? IOL_turns_clockwise : IOL_turns_anticlockwise;
        c.first_surgery.lens.decentration_mm = n % 4;
        c.first_surgery.lens.tilt_deg = 4.0 * (n % 3);
        if (n % 5 == 3) c.first_surgery.lens.tilted_back_position_deg = c.first_surgery.lens.tilt_axis_deg = NAN;
        dials();
    }
    assert_true(gaps > 20 && not_drawn > 4);
}

/* The turn to make now, either way. */
static void turns_all_round(void **state) {
    (void)state;
    const int before = turn_dials;
    int left = 0;
    for (int n = 0; n < 16; n++) {
        who = "a turn";
        example_case("toric-turned", &c);
        c.eye = n % 2 ? IOL_side_right : IOL_side_left;
        c.operation.seat_position_deg = c.operation.incision_position_deg = fmod(45.0 * n + 10.0 * (n / 8), 360.0);
        if (n / 4 % 2) { /* in the mirror: the other way round */
            double *const axis[] = {&c.biometry.k_steep_axis_deg, &c.biometry_repeat.k_steep_axis_deg, &c.refractions[0].axis_deg,
                                    &c.refractions[1].axis_deg, &c.first_surgery.lens.axis_deg};
            for (int i = 0; i < 5; i++) *axis[i] = 180.0 - *axis[i];
            c.first_surgery.lens.turns_freely = IOL_turns_anticlockwise;
        }
        if (n % 3 == 1) c.first_surgery.lens.tilt_deg = 3.0, c.first_surgery.lens.tilted_back_position_deg = 70.0 * n;
        dials();
        left += the_turn.turn_deg > 0.0;
    }
    assert_true(turn_dials - before > 10 && left > 4 && left < 12);
}

/* Any cylinder has its marks, none has none. */
static void marks_of_any_cylinder(void **state) {
    (void)state;
    who = "a cylinder";
    example_case("hyperopic-surprise", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    second_lens = false;
    assert_true(iol_power_given(&plan));
    iol_choice *step = NULL;
    for (int i = 0; i < plan.replacement.choices_count; i++)
        if (plan.replacement.choices[i].chosen == IOL_YES) step = &plan.replacement.choices[i];
    assert_non_null(step);
    step->axis_deg = 30.0;
    for (int k = 0; k < 2; k++) {
        step->cylinder_d = k ? 0.05 : 0.0;
        const char *svg = drawn(cut_dial);
        marks_inside(svg, disc_of(svg, "ring"), seat_of(&plan.removal.orientation), k ? 30.0 : NAN);
    }
}

/* What is not known is not drawn, and the caption does not speak of it. */
static void nothing_unknown(void **state) {
    (void)state;
    for (int k = 0; k < 6; k++) {
        who = "not known";
        example_case("hyperopic-surprise", &c);
        c.zonule.missing_clock_hours = 2, c.zonule.missing_from_clock = 4, c.zonule.missing_to_clock = 6;
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
        iol_removal_orientation *o = &plan.removal.orientation;
        double *const lost[] = {&plan.incision.width_mm, &o->grip_port_position_deg, &o->zonule_gap_hours,
                                &o->zonule_gap_position_deg, &o->junction_position_deg};
        if (k > 0) *lost[k - 1] = NAN;
        const char *svg = drawn(cut_dial);
        name all[8];
        int n = common(svg, &plan.removal, all);
        assert_int_equal(count_of(svg, "path", "wound"), k != 1);
        assert_int_equal(count_of(svg, "rect", "port"), k != 2);
        assert_int_equal(count_of(svg, "path", "zonule-gap"), k != 3 && k != 4);
        assert_int_equal(count_of(svg, "line", "junction"), k == 5 ? 0 : 2);
        if (k != 5) all[n++] = (name){"junction", NAN, "line", "junction", 0};
        if (k != 5 && fabs(o->turn_deg) > 0.0) all[n++] = (name){"", fabs(o->turn_deg), "path", "turn", 0};
        const double axis = goes_in_at(false);
        if (!isnan(axis)) all[n++] = (name){"new ", axis, "line", "mark limbus", 0};
        if (k != 5) words_are(svg, all, n);
        caption(svg, o, false);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(every_dial), cmocka_unit_test(gaps_all_round),
                                       cmocka_unit_test(turns_all_round), cmocka_unit_test(marks_of_any_cylinder),
                                       cmocka_unit_test(nothing_unknown)};
    return cmocka_run_group_tests_name("marks of the dials", tests, NULL, NULL);
}
