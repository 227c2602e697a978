/* Where the plan's drawings put things: by hand, by the definitions of places and axes, and against the numbers of the plan. */
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "check.h"

#include "example_case.h"
#include "report/compose.h"
#include "report/labels.h"
#include "report/report.h"
#include "report/summary.h"
#include "tables/constants.h"

#define PLACES                                                                                                         \
    "definition: a surgeon behind the wound has the right hand toward wound + 90, both eyes seen from in front alike"
#define THIBOS "thibos_1997, from memory: J0 = -(C/2) cos 2a, J45 = -(C/2) sin 2a"

static iol_case c;
static iol_plan plan;
static iol_page page;

static void make(const char *name) {
    example_case(name, &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
}

static void remake(void) { iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan); }

/* The figure drawn by one of the drawers. */
static const iol_figure *drawn(void (*draw)(const iol_plan *, iol_page *)) {
    iol_page_start(&page);
    draw(&plan, &page);
    assert_int_equal(page.figures, 1);
    assert_false(page.lost || page.figure[0].lost);
    return &page.figure[0];
}

static const iol_mark *label(const iol_figure *f, const char *text) {
    for (int i = 0; i < f->marks; i++)
        if (f->mark[i].kind == IOL_MARK_LABEL && strcmp(f->bytes + f->mark[i].text, text) == 0) return &f->mark[i];
    return NULL;
}

static const iol_mark *nth(const iol_figure *f, iol_mark_kind kind, int n) {
    for (int i = 0; i < f->marks; i++)
        if (f->mark[i].kind == kind && n-- == 0) return &f->mark[i];
    return NULL;
}

static const iol_mark *heavy(const iol_figure *f, iol_mark_kind kind, int n) {
    for (int i = 0; i < f->marks; i++)
        if (f->mark[i].kind == kind && f->mark[i].stroke == IOL_STROKE_HEAVY && n-- == 0) return &f->mark[i];
    return NULL;
}

/* The labels of a figure are of these, each once at most, and no other. How many. */
static int labels_of(const iol_figure *f, char wanted[][48], int count) {
    int labels = 0, once[16] = {0};
    for (int i = 0; i < f->marks; i++) {
        if (f->mark[i].kind != IOL_MARK_LABEL) continue;
        int is = 0;
        while (is < count && (once[is] || strcmp(f->bytes + f->mark[i].text, wanted[is]) != 0)) is++;
        if (is == count) fail_msg("a label of nothing: %s", f->bytes + f->mark[i].text);
        once[is] = 1;
        labels++;
    }
    return labels;
}

/* They are these, each once. */
static void labels_are(const iol_figure *f, char wanted[][48], int count) {
    const int labels = labels_of(f, wanted, count);
    for (int k = 0; k < count; k++)
        if (!label(f, wanted[k])) fail_msg("no label %s", wanted[k]);
    assert_int_equal(labels, count);
}

/* ---- the old lens from the surgeon's seat ---- */

/* The last heavy line: the near junction is drawn before it. */
static const iol_mark *wound_of(const iol_figure *f) {
    const iol_mark *second = heavy(f, IOL_MARK_LINE, 1);
    return second ? second : heavy(f, IOL_MARK_LINE, 0);
}

/* Right eye, wound at its temporal side (180), a right-handed surgeon: the head lies to the left. */
static void a_right_eye_from_its_temple(void **state) {
    (void)state;
    make("hyperopic-surprise");
    assert_int_equal(plan.eye, IOL_side_right);
    CHECK_NEAR(plan.incision.position_deg, 180.0, 0.0, "the case");
    const iol_figure *f = drawn(iol_draw_lens_from_front);
    assert_non_null(strstr(f->bytes + f->title, "RIGHT eye"));
    assert_non_null(strstr(f->bytes + f->title, "at the bottom (180 deg)"));
    assert_true(label(f, "temporal")->y < -4.0 && label(f, "nasal")->y > 4.0);
    assert_true(label(f, "superior")->x < -4.0 && label(f, "inferior")->x > 4.0);
    const iol_mark *wound = wound_of(f);
    CHECK_NEAR(wound->y, wound->y2, 1e-9, "by hand: level");
    assert_true(wound->y < -4.0);
    CHECK_NEAR(fabs(wound->x - wound->x2), plan.incision.width_mm, 1e-9, "as wide as planned");
    /* The port at 120 deg, above the temporal side, is 60 deg from the wound toward the left hand. */
    const iol_mark *port = nth(f, IOL_MARK_DOT, 0);
    assert_int_equal(plan.removal.orientation.grip_hand, IOL_hand_left);
    CHECK_NEAR(port->x / hypot(port->x, port->y), -sqrt(3.0) / 2.0, 1e-9, PLACES);
    CHECK_NEAR(port->y / hypot(port->x, port->y), -0.5, 1e-9, PLACES);
    assert_non_null(label(f, "port, left hand"));
    assert_non_null(label(f, "55 deg clockwise"));
}

/* The same operation on a left eye (a mirror image): the wound at 0, the head lies to the right, the port on that side. */
static void a_left_eye_from_its_temple(void **state) {
    (void)state;
    make("hyperopic-surprise");
    c.eye = IOL_side_left;
    c.operation.incision_position_deg = 0.0;
    c.operation.seat_position_deg = NAN;
    c.operation.surgeon_hand = IOL_hand_left;
    c.operation.side_port_position_deg = 60.0;
    c.first_surgery.lens.junction_axis_deg = 110.0;
    c.first_surgery.lens.turns_freely = IOL_turns_anticlockwise;
    remake();
    const iol_figure *f = drawn(iol_draw_lens_from_front);
    assert_non_null(strstr(f->bytes + f->title, "LEFT eye"));
    assert_non_null(strstr(f->bytes + f->title, "at the bottom (0 deg)"));
    assert_true(label(f, "temporal")->y < -4.0 && label(f, "nasal")->y > 4.0);
    assert_true(label(f, "superior")->x > 4.0 && label(f, "inferior")->x < -4.0);
    assert_true(wound_of(f)->y < -4.0);
    const iol_mark *port = nth(f, IOL_MARK_DOT, 0);
    assert_non_null(label(f, "port, right hand"));
    CHECK_NEAR(port->x / hypot(port->x, port->y), sqrt(3.0) / 2.0, 1e-9, PLACES);
    CHECK_NEAR(port->y / hypot(port->x, port->y), -0.5, 1e-9, PLACES);
    assert_non_null(label(f, "55 deg anticlockwise"));
}

/* A left eye keeps the surgeon's hands: right-handed, the left hand holds, below on the patient and left on the drawing. */
static void a_left_eye_right_handed(void **state) {
    (void)state;
    make("hyperopic-surprise");
    c.eye = IOL_side_left;
    c.operation.incision_position_deg = 0.0;
    c.operation.seat_position_deg = c.operation.side_port_position_deg = NAN;
    c.operation.surgeon_hand = IOL_hand_right;
    remake();
    CHECK_NEAR(plan.removal.orientation.grip_port_position_deg, 270.0, 1e-9, PLACES);
    const iol_figure *f = drawn(iol_draw_lens_from_front);
    CHECK_NEAR(nth(f, IOL_MARK_DOT, 0)->y, 0.0, 1e-9, PLACES);
    assert_true(nth(f, IOL_MARK_DOT, 0)->x < -4.0);
}

/* Who sits elsewhere sees the wound where it is: from above the head, a temporal wound of the right eye is on the right hand. */
static void a_seat_away_from_the_wound(void **state) {
    (void)state;
    make("hyperopic-surprise");
    c.operation.seat_position_deg = 90.0;
    remake();
    const iol_figure *f = drawn(iol_draw_lens_from_front);
    assert_true(label(f, "superior")->y < -4.0 && label(f, "temporal")->x > 4.0);
    const iol_mark *wound = wound_of(f), *cut = nth(f, IOL_MARK_ARROW, 0);
    CHECK_NEAR(wound->x, wound->x2, 1e-9, PLACES);
    assert_true(wound->x > 4.0);
    for (int i = 0; heavy(f, IOL_MARK_ARROW, i); i++) cut = heavy(f, IOL_MARK_ARROW, i);
    CHECK_NEAR(cut->y, 0.0, 1e-9, "the cut runs on the wound's meridian");
}

/* The drawn turn ends at the near junction and is as long and as directed as the text says, for every turn. */
static void the_turn_is_the_plan_s(void **state) {
    (void)state;
    make("hyperopic-surprise");
    for (double axis = 5.0; axis <= 180.0; axis += 12.5)
        for (int turns = IOL_turns_clockwise; turns <= IOL_turns_both; turns++) {
            c.first_surgery.lens.junction_axis_deg = axis;
            c.first_surgery.lens.turns_freely = turns;
            remake();
            const iol_removal_orientation *o = &plan.removal.orientation;
            const iol_figure *f = drawn(iol_draw_lens_from_front);
            const iol_mark *arc = nth(f, IOL_MARK_PATH, 0), *bar = heavy(f, IOL_MARK_LINE, 0);
            if (fabs(o->turn_deg) < 1e-9) continue;
            const iol_spot *p = &f->point[arc->point], *end = p + arc->points - 1;
            CHECK_NEAR(atan2(end->y, end->x), atan2(bar->y2, bar->x2), 1e-9, "ends at the junction");
            double swept = 0.0;
            for (; p < end; p++) swept += remainder(atan2(p[1].y, p[1].x) - atan2(p->y, p->x), 2.0 * acos(-1.0));
            CHECK_NEAR(swept * 180.0 / acos(-1.0), o->turn_deg, 1e-6, "plus is anticlockwise, as drawn");
            const iol_mark *was = NULL; /* today's place: dotted, across the rim, where the arc begins */
            for (int i = 0; i < f->marks; i++)
                if (f->mark[i].kind == IOL_MARK_LINE && f->mark[i].stroke == IOL_STROKE_DOTTED) was = &f->mark[i];
            assert_non_null(was);
            const double rim = plan.removal.lens.optic_diameter_mm / 2.0;
            assert_true(hypot(was->x, was->y) < rim && hypot(was->x2, was->y2) > rim && hypot(bar->x, bar->y) < rim);
            assert_true(hypot(bar->x2, bar->y2) > rim);
            const iol_spot *begin = &f->point[arc->point];
            CHECK_NEAR((was->x2 * begin->y - was->y2 * begin->x), 0.0, 1e-9, "where the arc begins");
            CHECK_NEAR((was->x2 * was->y - was->y2 * was->x), 0.0, 1e-9, "toward the middle");
            assert_true(was->x2 * begin->x + was->y2 * begin->y > 0.0);
        }
}

/* Cuts begin at the wound's side and the span is the widest piece of the table. */
static void cuts_and_pieces(void **state) {
    (void)state;
    make("hyperopic-surprise");
    for (int method = IOL_removal_method_whole; method <= IOL_removal_method_thirds; method++) {
        static const int cuts[] = {[IOL_removal_method_halved] = 1,
                                   [IOL_removal_method_halved_turned] = 2,
                                   [IOL_removal_method_partial] = 1,
                                   [IOL_removal_method_wedge] = 2,
                                   [IOL_removal_method_thirds] = 2};
        static const double first[][4] = {[IOL_removal_method_halved] = {0.0, 3.0, 0.0, -3.0},
                                          [IOL_removal_method_halved_turned] = {0.0, 3.0, 0.0, 0.0},
                                          [IOL_removal_method_partial] = {0.0, 3.0, 0.0, -0.5},
                                          [IOL_removal_method_wedge] = {-1.5, 2.5981, 0.0, 0.0},
                                          [IOL_removal_method_thirds] = {-1.0, 2.8284, -1.0, -2.8284}};
        plan.removal.preferred = method;
        plan.removal.cuts_count = cuts[method];
        for (int i = 0; i < cuts[method]; i++)
            plan.removal.cuts[i] = (iol_drawing_piece){true, i ? -first[method][0] : first[method][0], first[method][1],
                                                       i ? -first[method][2] : first[method][2], first[method][3]};
        const iol_figure *f = drawn(iol_draw_lens_from_front);
        for (int i = 0; i < cuts[method]; i++) assert_true(heavy(f, IOL_MARK_ARROW, i)->y < 0.0);
        assert_null(heavy(f, IOL_MARK_ARROW, cuts[method]));
        const iol_mark *span = nth(f, IOL_MARK_SPAN, 0);
        if (method == IOL_removal_method_folded) {
            assert_null(span); /* how it folds is not known */
            continue;
        }
        CHECK_NEAR(hypot(span->x2 - span->x, span->y2 - span->y), plan.removal.methods[method - 1].widest_piece_mm,
                   1e-9, "the table");
    }
}

/* The names on the lens from in front: sides, wound, port, junction, its turn, cuts, the widest piece; each once, and none of what
 * the plan does not hold. Who sits behind the wound sees all of them, but for a cut whose name has no room; elsewhere one gives way
 * where the ring is crowded. */
static void names_of_the_front_view(void **state) {
    (void)state;
    static const char *const cuts[][2] = {[IOL_removal_method_halved] = {"cut", NULL},
                                          [IOL_removal_method_halved_turned] = {"first cut", "after half a turn"},
                                          [IOL_removal_method_partial] = {"cut", NULL},
                                          [IOL_removal_method_wedge] = {"first cut", "second cut"},
                                          [IOL_removal_method_thirds] = {"first cut", "second cut"}};
    int turned = 0, with_cuts = 0, whole_lenses = 0, crowded = 0, all = 0;
    for (int i = 0; i < EXAMPLES; i++)
        for (double seat = -60.0; seat < 360.0; seat += 60.0) {
            example_case(example_names[i], &c);
            if (seat >= 0.0) c.operation.seat_position_deg = seat;
            remake();
            const iol_removal *r = &plan.removal;
            const iol_removal_orientation *o = &r->orientation;
            const iol_figure *f = drawn(iol_draw_lens_from_front);
            char wanted[14][48] = {"superior", "inferior", "nasal", "temporal"};
            int n = 4;
            if (f->missing) continue;
            const bool whole = r->preferred == IOL_removal_method_whole;
            snprintf(wanted[n++], 48, "wound %.2f mm", plan.incision.end_width_mm);
            if (o->present && !isnan(o->grip_port_position_deg))
                snprintf(wanted[n++], 48, "port, %s hand", o->grip_hand == IOL_hand_left ? "left" : "right");
            const bool junction = o->present && !isnan(o->junction_position_deg) && !whole;
            if (junction) snprintf(wanted[n++], 48, "near junction");
            if (junction && fabs(o->turn_deg) > 0.0) {
                snprintf(wanted[n++], 48, "%.0f deg %s", fabs(o->turn_deg), o->turn_deg > 0.0 ? "anticlockwise" : "clockwise");
                if (fabs(o->turn_deg) > 25.0) snprintf(wanted[n++], 48, "now");
                turned++;
            }
            const iol_removal_row *way = iol_preferred_way(r);
            if (way && !isnan(way->widest_piece_mm) && way->id != IOL_removal_method_folded)
                snprintf(wanted[n++], 48, "%.2f mm", way->widest_piece_mm);
            const int numbers = n;
            for (int k = 0; k < r->cuts_count && k < 2; k++) snprintf(wanted[n++], 48, "%s", cuts[r->preferred][k]);
            with_cuts += r->cuts_count > 0, whole_lenses += whole;
            for (int k = 0; k < numbers && seat < 0.0; k++)
                if (!label(f, wanted[k])) fail_msg("%s: no label %s", example_names[i], wanted[k]);
            crowded += n - labels_of(f, wanted, n);
            all += n;
        }
    assert_true(crowded < all / 8);
    assert_true(turned > 10 && with_cuts > 20 && whole_lenses > 3);
}

/* A gate or a window a row, with its days, and today's. */
static void names_of_the_days(void **state) {
    (void)state;
    int looked = 0;
    for (int i = 0; i < EXAMPLES; i++) {
        make(example_names[i]);
        const iol_timing *t = &plan.timing;
        const iol_figure *f = drawn(iol_draw_timing);
        if (f->missing) continue;
        char wanted[6][48];
        int n = 0;
        const double today = t->days_since_first_surgery, first = plan.as_of - today;
        const iol_note *turn = iol_timing_turn(&plan);
        snprintf(wanted[n++], 48, "day of this plan: %.0f", today);
        if (t->earliest_by_refraction != IOL_UNKNOWN_DATE)
            snprintf(wanted[n++], 48, "Refraction counts from day %.0f", t->earliest_by_refraction - first);
        if (t->earliest_by_symptoms != IOL_UNKNOWN_DATE)
            snprintf(wanted[n++], 48, "Complaint: not before day %.0f", t->earliest_by_symptoms - first);
        if (turn) snprintf(wanted[n++], 48, "Turning: day %.0f to %.0f", turn->value, turn->limit);
        if (t->best_before != IOL_UNKNOWN_DATE)
            snprintf(wanted[n++], 48, "Exchange easier: day 0 to %.0f", t->best_before - first);
        labels_are(f, wanted, n);
        assert_true(f->x.shown && !f->x.sign && !f->y.shown);
        looked++;
    }
    assert_true(looked > 10);
}

static void nothing_unknown_is_drawn(void **state) {
    (void)state;
    make("hyperopic-surprise");
    c.first_surgery.lens.junction_axis_deg = NAN;
    remake();
    const iol_figure *f = drawn(iol_draw_lens_from_front);
    assert_null(nth(f, IOL_MARK_PATH, 0));
    assert_null(label(f, "now"));
    c.first_surgery.lens.design = 0;
    c.first_surgery.lens.lens_id[0] = '\0';
    remake();
    assert_false(plan.removal.orientation.present);
    f = drawn(iol_draw_lens_from_front);
    assert_null(label(f, "near junction"));
    assert_null(nth(f, IOL_MARK_DOT, 0));
    assert_null(strstr(f->bytes + f->title, "junction"));
    plan.incision.position_deg = NAN;
    assert_true(drawn(iol_draw_lens_from_front)->missing);
}

/* ---- the chamber from the side ---- */

/* The drawn gap between blade and endothelium, from the drawn curves, is the table's least clearance, for lenses of all signs. */
static void the_clearance_is_the_table_s(void **state) {
    (void)state;
    static const double power[] = {-4.0, 0.0, 6.0, 21.0, 30.0};
    make("hyperopic-surprise");
    for (int i = 0; i < 5; i++) {
        c.first_surgery.lens.power_d = power[i];
        remake();
        const iol_removal *r = &plan.removal;
        const iol_figure *f = drawn(iol_draw_chamber);
        const iol_mark *gap = nth(f, IOL_MARK_SPAN, 1), *blade = nth(f, IOL_MARK_BOX, 0);
        assert_true(r->preferred > 0 && r->cuts_count > 0);
        CHECK_NEAR(gap->y - gap->y2, r->methods[r->preferred - 1].least_clearance_mm, 1e-9, "cuts.c by another road");
        CHECK_NEAR(fabs(blade->y2 - blade->y), r->chamber.blade_height_mm, 1e-12, "the blade");
        const iol_mark *lens = nth(f, IOL_MARK_PATH, 0);
        double low = 0.0, high = 99.0;
        for (int k = 0; k < lens->points; k++) {
            low = fmax(low, f->point[lens->point + k].y);
            high = fmin(high, f->point[lens->point + k].y);
        }
        CHECK_NEAR(low, r->chamber.iris_plane_mm, 1e-9, "its lowest part rests on the iris plane");
        assert_true(high > r->chamber.cornea_thickness_mm);
        const iol_mark *thick = nth(f, IOL_MARK_SPAN, 0);
        CHECK_NEAR(thick->y2 - thick->y, r->lens.centre_thickness_mm, 1e-9, "the table");
    }
}

/* Every number beside the chamber is the plan's, and stands at what it names. */
static void numbers_of_the_chamber(void **state) {
    (void)state;
    static const double power[] = {-4.0, 0.0, 6.0, 21.0, 30.0};
    make("hyperopic-surprise");
    for (int i = 0; i < 10; i++) {
        c.first_surgery.lens.power_d = power[i % 5];
        if (i == 5) c.biometry.chamber_depth_mm = c.biometry_repeat.chamber_depth_mm = c.biometry_repeat.lens_depth_mm = NAN;
        remake();
        const iol_removal *r = &plan.removal;
        const iol_removal_chamber *room = &r->chamber;
        char wanted[6][48];
        snprintf(wanted[0], 48, "centre %.2f mm", r->lens.centre_thickness_mm);
        snprintf(wanted[1], 48, "edge %.2f mm", r->lens.edge_thickness_mm);
        snprintf(wanted[2], 48, "endothelium");
        snprintf(wanted[3], 48, "iris plane %.2f mm", room->iris_plane_mm);
        snprintf(wanted[4], 48, "blade %.2f mm", room->blade_height_mm);
        snprintf(wanted[5], 48, "clearance %.2f mm", iol_preferred_way(r) ? iol_preferred_way(r)->least_clearance_mm : NAN);
        const iol_figure *f = drawn(iol_draw_chamber);
        assert_int_equal(room->present, i < 5);
        labels_are(f, wanted, room->present ? 6 : 2);
        const iol_mark *lens = nth(f, IOL_MARK_PATH, 0), *edge = label(f, wanted[1]), *centre = label(f, wanted[0]);
        const iol_spot *rim = &f->point[lens->point], *last = rim + lens->points - 1;
        CHECK_NEAR(edge->x, rim->x, 1e-9, "at the rim");
        CHECK_NEAR(edge->y, (rim->y + last->y) / 2.0, 1e-9, "half way between its faces");
        CHECK_NEAR(last->y - rim->y, r->lens.edge_thickness_mm, 1e-9, "the table");
        CHECK_NEAR(centre->y, nth(f, IOL_MARK_SPAN, 0)->y2, 1e-9, "at the back vertex");
        if (!room->present) continue;
        const iol_mark *back = nth(f, IOL_MARK_PATH, 1), *plane = nth(f, IOL_MARK_LINE, 0);
        assert_true(back->stroke == IOL_STROKE_HEAVY && back->points > 12 && !back->closed && lens->closed);
        for (int k = 0; k < back->points; k++) { /* a sphere behind the thickness of the cornea */
            const iol_spot *p = &f->point[back->point + k];
            const double bends = room->endothelium_radius_mm;
            CHECK_NEAR(hypot(p->x, room->cornea_thickness_mm + bends - p->y), bends, 1e-9, "definition of a sphere");
        }
        const iol_spot *from = &f->point[back->point], *to = from + back->points - 1;
        CHECK_NEAR(from->x, -to->x, 1e-9, "alike on both sides");
        assert_true(to->x > -rim->x && plane->x2 > -rim->x && plane->x == -plane->x2 && plane->y == plane->y2);
        const iol_mark *blade = nth(f, IOL_MARK_BOX, 0), *gap = nth(f, IOL_MARK_SPAN, 1);
        CHECK_NEAR(label(f, wanted[2])->y, room->cornea_thickness_mm, 1e-9, "the back of the cornea in its middle");
        CHECK_NEAR(label(f, wanted[3])->y, room->iris_plane_mm, 1e-9, "on its plane");
        CHECK_NEAR(label(f, wanted[4])->x, (blade->x + blade->x2) / 2.0, 1e-9, "at the blade");
        CHECK_NEAR(label(f, wanted[4])->y, (blade->y + blade->y2) / 2.0, 1e-9, "at the blade");
        CHECK_NEAR(label(f, wanted[5])->x, gap->x, 1e-9, "at the gap");
        CHECK_NEAR(label(f, wanted[5])->y, (gap->y + gap->y2) / 2.0, 1e-9, "at the gap");
    }
}

static void no_chamber_no_cornea(void **state) {
    (void)state;
    make("hyperopic-surprise");
    c.biometry.chamber_depth_mm = c.biometry_repeat.chamber_depth_mm = c.biometry_repeat.lens_depth_mm = NAN;
    remake();
    assert_false(plan.removal.chamber.present);
    const iol_figure *f = drawn(iol_draw_chamber);
    assert_null(label(f, "endothelium"));
    assert_null(nth(f, IOL_MARK_BOX, 0));
    assert_non_null(strstr(f->bytes + f->title, "not drawn"));
    plan.removal.lens.centre_thickness_mm = NAN;
    assert_true(drawn(iol_draw_chamber)->missing);
}

/* The caption names what the drawing only assumes, and nothing that the case states. */
static const char *caption(void (*draw)(const iol_plan *, iol_page *)) {
    const iol_figure *f = drawn(draw);
    return f->bytes + f->title;
}
static void captions_name_what_is_assumed(void **state) {
    (void)state;
    static const char *const parts[] = {"size of the optic", "edge thickness", "thickness of the cornea", "blade"};
    make("hyperopic-surprise");
    iol_lens *lens = &c.first_surgery.lens;
    lens->front_radius_mm = lens->back_radius_mm = 20.0;
    lens->centre_thickness_mm = NAN; /* two radii and the edge: nothing is left to assume */
    lens->edge_thickness_mm = 0.25;
    remake();
    assert_null(strstr(caption(iol_draw_chamber), "assumed"));
    assert_null(strstr(caption(iol_draw_lens_from_front), "assumed"));
    lens->lens_id[0] = '\0';
    lens->optic_diameter_mm = lens->edge_thickness_mm = NAN;
    c.cornea.thickness_um = c.operation.blade_height_mm = NAN;
    remake();
    for (int i = 0; i < 4; i++) {
        assert_non_null(strstr(caption(iol_draw_chamber), parts[i]));
        assert_true((strstr(caption(iol_draw_lens_from_front), parts[i]) != NULL) == (i == 0));
    }
    c.biometry.chamber_depth_mm = c.biometry_repeat.chamber_depth_mm = c.biometry_repeat.lens_depth_mm = NAN;
    remake();
    assert_null(strstr(caption(iol_draw_chamber), "blade")); /* none is drawn */
}

/* ---- astigmatism ---- */

static void points_by_thibos(void **state) {
    (void)state;
    static const struct {
        double cylinder, axis, j0, j45;
    } row[] = {{-1.0, 180.0, 0.5, 0.0}, {-1.0, 90.0, -0.5, 0.0}, {-1.0, 45.0, 0.0, 0.5}, {-2.0, 135.0, 0.0, -1.0}};
    make("hyperopic-surprise");
    plan.incision.present = plan.rotation.present = false;
    plan.replacement.choices_count = plan.piggyback.power.choices_count = 0;
    for (int i = 0; i < 4; i++) {
        plan.spectacles.cylinder_d = row[i].cylinder;
        plan.spectacles.axis_deg = row[i].axis;
        const iol_mark *dot = nth(drawn(iol_draw_astigmatism), IOL_MARK_DOT, 0);
        CHECK_NEAR(dot->x, row[i].j0, 1e-12, THIBOS);
        CHECK_NEAR(dot->y, row[i].j45, 1e-12, THIBOS);
    }
    /* A cornea of 1.00 D, steepest at 90, is corrected by -1.00 x 180. */
    plan.spectacles.present = false;
    plan.incision = (iol_incision){
        .present = true, .corneal_cylinder_now_d = 1.0, .corneal_axis_now_deg = 90.0, .corneal_cylinder_after_d = NAN};
    const iol_figure *f = drawn(iol_draw_astigmatism);
    CHECK_NEAR(nth(f, IOL_MARK_DOT, 0)->x, 0.5, 1e-12, THIBOS);
    assert_null(nth(f, IOL_MARK_DOT, 1));
}

/* By symmetry: the wound moves the point of the cornea along its own meridian by half of what it induces. */
static void the_wound_moves_the_cornea(void **state) {
    (void)state;
    make("hyperopic-surprise");
    const iol_figure *f = drawn(iol_draw_astigmatism);
    const iol_mark *now = nth(f, IOL_MARK_DOT, 0), *after = nth(f, IOL_MARK_DOT, 1);
    CHECK_NEAR(hypot(after->x - now->x, after->y - now->y), plan.incision.induced_cylinder_d / 2.0, 1e-9,
               "definition: it flattens its own meridian by half and steepens the other by half");
    assert_true(after->x > now->x); /* a wound at 180 makes the cornea steeper at 90 */
}

static bool has_dot(const iol_figure *f, iol_dot dot) {
    for (int i = 0; i < f->marks; i++)
        if (f->mark[i].kind == IOL_MARK_DOT && f->mark[i].dot == dot) return true;
    return false;
}

/* A plan that withholds its powers, or chooses none, draws no step that rests on one. */
static void no_step_without_a_power(void **state) {
    (void)state;
    for (int i = 0; i < EXAMPLES; i++) {
        make(example_names[i]);
        bool chosen = false, second = false;
        for (int k = 0; k < iol_new_lens(&plan)->choices_count; k++)
            chosen |= iol_new_lens(&plan)->choices[k].chosen == IOL_YES;
        for (int k = 0; k < plan.piggyback.power.choices_count; k++)
            second |= plan.piggyback.power.choices[k].chosen == IOL_YES;
        const iol_figure *f = drawn(iol_draw_astigmatism);
        assert_true(chosen == has_dot(f, IOL_DOT_DIAMOND));
        assert_true(second || !has_dot(f, IOL_DOT_CROSS));
    }
    example_case("silicone-oil", &c);
    remake();
    assert_int_equal(plan.replacement.standing, IOL_standing_withheld);
    assert_false(has_dot(drawn(iol_draw_astigmatism), IOL_DOT_DIAMOND));
}

/* Marks are numbered on; the axes at the rim and the rings bear their own cylinder. */
static void numbers_of_the_diagram(void **state) {
    (void)state;
    int rings = 0;
    for (int i = 0; i < EXAMPLES; i++) {
        make(example_names[i]);
        const iol_figure *f = drawn(iol_draw_astigmatism);
        if (f->missing) continue;
        double rim = 0.0;
        int dots = 0, named[7] = {0};
        for (int k = 0; k < f->marks; k++) {
            if (f->mark[k].kind == IOL_MARK_CIRCLE) rim = fmax(rim, f->mark[k].x2);
            dots += f->mark[k].kind == IOL_MARK_DOT;
        }
        char east[24], north[24], west[24], south[24];
        snprintf(east, sizeof east, "J0 %+.2f D", rim), snprintf(west, sizeof west, "J0 %+.2f D", -rim);
        snprintf(north, sizeof north, "axis 45, J45 %+.2f D", rim), snprintf(south, sizeof south, "axis 135, J45 %+.2f D", -rim);
        const char *const at_rim[] = {"axis 180", east, "axis 90", west, north, south};
        for (int k = 0; k < 6; k++) {
            const iol_mark *m = label(f, at_rim[k]);
            if (!m) fail_msg("%s: no label %s", example_names[i], at_rim[k]);
            assert_true(m->scale);
            CHECK_NEAR(m->x, (k < 2 ? 1.0 : k < 4 ? -1.0 : 0.0) * rim, 1e-9, THIBOS);
            assert_true(k < 4 ? fabs(m->y) < 0.2 * rim : fabs(m->y - (k == 4 ? rim : -rim)) < 1e-9);
        }
        for (int k = 0; k < f->marks; k++) {
            const iol_mark *m = &f->mark[k];
            const char *text = f->bytes + m->text;
            if (m->kind != IOL_MARK_LABEL || strstr(text, "axis") || strstr(text, "J0")) continue;
            if (m->scale) { /* a ring: as far out as half its cylinder */
                CHECK_NEAR(hypot(m->x, m->y), atof(text) / 2.0, 1e-9, THIBOS);
                assert_non_null(strstr(text, " D"));
                rings++;
                continue;
            }
            const int number = atoi(text);
            assert_true(number >= 1 && number <= dots && dots < 7);
            named[number]++;
            const iol_mark *dot = nth(f, IOL_MARK_DOT, number - 1);
            assert_true(hypot(m->x - dot->x, m->y - dot->y) < 0.15 * (f->y_to - f->y_from)); /* beside its mark, or near it */
        }
        for (int k = 1; k <= dots; k++)
            if (named[k] != 1) fail_msg("%s: %d labels %d", example_names[i], named[k], k);
    }
    assert_true(rings >= 20);
}

/* Each number of the shelf's figure stands at its step and is what is expected of it; powers bear their sign, as on a label. */
static void numbers_of_the_shelf(void **state) {
    (void)state;
    int told = 0;
    for (int i = 0; i < EXAMPLES; i++) {
        make(example_names[i]);
        const iol_replacement *r = iol_new_lens(&plan);
        iol_page_start(&page);
        iol_draw_choices(r, &page);
        const iol_figure *f = &page.figure[0];
        if (f->missing) continue;
        assert_true(f->x.shown && f->x.sign && f->y.shown && f->y.sign);
        for (int k = 0; k < f->marks; k++) {
            const iol_mark *m = &f->mark[k];
            if (m->kind != IOL_MARK_LABEL) continue;
            const iol_choice *step = NULL;
            for (int n = 0; n < r->choices_count; n++)
                if (strcmp(r->choices[n].lens_id, r->lens_id) == 0 && fabs(r->choices[n].power_d - m->x) < 1e-9)
                    step = &r->choices[n];
            assert_non_null(step);
            CHECK_NEAR(atof(f->bytes + m->text), step->expected.se_d, 0.005, "the table");
            CHECK_NEAR(fabs(m->y - step->expected.se_d), step->sd_d, 1e-9, "at an end of its bar");
            assert_true((m->y > step->expected.se_d) == (m->beside == IOL_BESIDE_ABOVE));
            told++;
        }
    }
    assert_true(told > 40);
}

/* The frame of the shelf holds each step with its bar and the target, a step of room on either side; the exact power has its line
 * where it lies inside; the title says both. Powers that nobody may order by have no figure. */
static void frame_of_the_shelf(void **state) {
    (void)state;
    static iol_replacement r;
    for (int n = 0; n < 40; n++) {
        const int count = 2 + n % 5, standing = n % 4 ? IOL_standing_advised : IOL_standing_repeat_before_ordering;
        const double step_d = n % 3 ? 0.5 : 1.0, low = 18.0 + n, target = -0.25 * (n % 4);
        double least = target, most = target;
        r = (iol_replacement){.present = true, .standing = standing, .target_se_d = target, .choices_count = count + 1};
        strcpy(r.lens_id, "one");
        r.power_exact_d = low + step_d * (-2.5 + 0.72 * (n % 11));
        for (int i = 0; i <= count; i++) {
            iol_choice *one = &r.choices[i];
            *one = (iol_choice){.present = true, .power_d = low + step_d * (i < count ? i : 20.0), .sd_d = 0.4};
            strcpy(one->lens_id, i < count ? "one" : "two");
            one->expected.se_d = 1.0 - 0.7 * step_d * i;
            one->chosen = i == 1 && n % 2 ? IOL_YES : IOL_NO;
            if (i < count) least = fmin(least, one->expected.se_d - 0.4), most = fmax(most, one->expected.se_d + 0.4);
        }
        iol_page_start(&page);
        iol_draw_choices(&r, &page);
        const iol_figure *f = &page.figure[0];
        const char *title = f->bytes + f->title, *says = f->bytes + f->description;
        const double high = low + step_d * (count - 1);
        assert_false(f->missing || f->lost);
        CHECK_NEAR(f->x_from, low - step_d, 1e-9, "a step of room");
        CHECK_NEAR(f->x_to, high + step_d, 1e-9, "a step of room");
        const double all = most - least;
        assert_true(f->y_from < least - 0.05 * all && f->y_from > least - 0.3 * all);
        assert_true(f->y_to > most + 0.05 * all && f->y_to < most + 0.3 * all);
        const bool exact = r.power_exact_d >= low - step_d && r.power_exact_d <= high + step_d;
        char wanted[120];
        snprintf(wanted, sizeof wanted, "Expected refraction of each step. Broken line: target %.2f D", target + 0.0);
        if (exact) snprintf(wanted + strlen(wanted), 50, "; dotted: exact power %+.2f D", r.power_exact_d);
        assert_string_equal(title, wanted);
        const iol_mark *dashed = NULL, *dotted = NULL;
        for (int i = 0; i < f->marks; i++) {
            if (f->mark[i].stroke == IOL_STROKE_DASHED) dashed = &f->mark[i];
            if (f->mark[i].stroke == IOL_STROKE_DOTTED) dotted = &f->mark[i];
        }
        assert_true(dashed && dashed->y == target && dashed->y2 == target && dashed->x == f->x_from && dashed->x2 == f->x_to);
        assert_true((dotted != NULL) == exact);
        if (dotted) assert_true(dotted->x == r.power_exact_d && dotted->x2 == dotted->x);
        if (dotted) assert_true(dotted->y == f->y_from && dotted->y2 == f->y_to);
        assert_non_null(strstr(says, "Each step of one with the spherical equivalent expected"));
        assert_true((strstr(says, "The full diamond is the chosen step.") != NULL) == (n % 2 == 1));
        assert_true((strstr(says, "No step is chosen.") != NULL) == (n % 2 == 0));
        for (int k = 0; k < 3; k++) {
            if (k < 2) r.standing = k ? IOL_standing_withheld : IOL_standing_provisional;
            if (k == 2) r.standing = standing, r.choices_count = 1;
            iol_page_start(&page);
            iol_draw_choices(&r, &page);
            static const char *const why[] = {"provisional", "withheld", "no steps to compare"};
            assert_true(page.figure[0].missing);
            assert_non_null(strstr(page.figure[0].bytes + page.figure[0].description, why[k]));
        }
    }
}

/* Days: a row each, one above the other and all inside; a gate opens to the right end, a window spans its days, today's line
 * crosses all. */
static void rows_of_the_days(void **state) {
    (void)state;
    int looked = 0;
    for (int i = 0; i < EXAMPLES; i++) {
        make(example_names[i]);
        const double now = plan.timing.days_since_first_surgery;
        const iol_figure *f = drawn(iol_draw_timing);
        if (f->missing) continue;
        double last = now, top = -1.0;
        int rows = 0, guides = 0;
        for (int k = 0; k < f->marks; k++) {
            const iol_mark *m = &f->mark[k];
            if (m->kind == IOL_MARK_LABEL || m->stroke == IOL_STROKE_DASHED) continue;
            assert_true(m->y >= 0.0 && m->y < f->y_to && m->x >= 0.0 && m->x <= f->x_to);
            if (m->stroke == IOL_STROKE_FAINT) assert_true(m->x == 0.0 && m->x2 == f->x_to && m->y == m->y2), guides++;
            if (m->stroke != IOL_STROKE_HEAVY) continue;
            const bool gate = m->kind == IOL_MARK_ARROW;
            assert_true(gate || m->kind == IOL_MARK_SPAN);
            assert_true(m->y == m->y2 && m->x2 > m->x && (!gate || m->x2 == f->x_to));
            const iol_mark *said = NULL;
            for (int n = 0; n < f->marks; n++) { /* its name above it; no other in its row */
                const iol_mark *o = &f->mark[n];
                if (o->kind == IOL_MARK_LABEL && o->y > m->y && o->y < m->y + 1.0 && o->x == 0.0) said = o;
                if (o != m && o->stroke == IOL_STROKE_HEAVY && o->kind != IOL_MARK_DOT) assert_true(fabs(o->y - m->y) > 0.99);
            }
            assert_non_null(said);
            const double from = atof(strstr(f->bytes + said->text, " day ") + 5);
            CHECK_NEAR(m->x, from, 0.5, "its first day");
            if (gate) assert_null(strstr(f->bytes + said->text, " to "));
            if (!gate) CHECK_NEAR(m->x2, atof(strstr(f->bytes + said->text, " to ") + 4), 0.5, "its last day");
            last = fmax(last, gate ? m->x : m->x2), top = fmax(top, m->y), rows++;
        }
        assert_int_equal(guides, rows);
        const iol_mark *today = nth(f, IOL_MARK_LINE, 0);
        assert_true(today->stroke == IOL_STROKE_DASHED && today->x == now && today->x2 == now);
        assert_true(today->y == 0.0 && today->y2 > top + 0.9);
        assert_true(f->y_from < 0.0 && f->y_to > today->y2 && f->x_from == 0.0 && f->x_to > last && f->x_to < 1.5 * last);
        looked += rows;
    }
    assert_true(looked > 14);
}

static void nothing_known_of_cylinders(void **state) {
    (void)state;
    make("hyperopic-surprise");
    plan.incision.present = plan.spectacles.present = plan.rotation.present = false;
    plan.replacement.choices_count = plan.piggyback.power.choices_count = 0;
    assert_true(drawn(iol_draw_astigmatism)->missing);
}

/* ---- labels ---- */

static void labels_do_not_cover(void **state) {
    (void)state;
    iol_labels l;
    iol_page_start(&page);
    iol_figure *f = iol_page_figure(&page, "t", "d");
    iol_figure_extents(f, 0.0, 1.0, 0.0, 1.0);
    iol_labels_start(&l, f);
    int placed = 0;
    for (int i = 0; i < 12; i++) placed += iol_labels_put_beside(&l, 0.5, 0.5, "12.50 D");
    assert_true(placed >= 3 && placed < 12); /* full at the fifth side, at most */
    for (int i = 0; i < l.taken; i++)
        for (int k = i + 1; k < l.taken; k++)
            assert_true(fabs(l.x[i] - l.x[k]) >= l.half_width[i] + l.half_width[k] ||
                        fabs(l.y[i] - l.y[k]) >= l.half_height[i] + l.half_height[k]);
    assert_false(iol_labels_put_beside(&l, NAN, 0.5, "x"));
    static const iol_beside right[] = {IOL_BESIDE_RIGHT};
    assert_false(iol_labels_put(&l, 1.0, 0.1, right, 1, "beyond the figure"));
}

/* ---- the summary of past cases ---- */

static void the_summary_s_figures(void **state) {
    (void)state;
    static iol_summary s;
    iol_object_reset(iol_object_summary, &s);
    s.groups_count = s.steps_count = s.error_bars_count = 1;
    s.groups[0] = (iol_group){.present = true,
                              .by = IOL_group_by_all,
                              .method = IOL_recheck_method_joint,
                              .n = 4.0,
                              .within_quarter = 0.25,
                              .within_half = 0.5,
                              .within_three_quarters = 0.5,
                              .within_one = 0.75,
                              .within_two = 1.0,
                              .held_50 = 0.5,
                              .held_80 = 0.75,
                              .held_95 = 1.0};
    s.steps[0] = (iol_predicted_step){true, -0.5, 4.0, -0.4, -0.25, 0.6};
    s.error_bars[0] = (iol_error_bar){true, 0.25, 4.0, 1.0};
    iol_report_summary(&s, &page);
    assert_int_equal(page.figures, 4);
    const iol_mark *dot = nth(&page.figure[0], IOL_MARK_DOT, 0), *span = nth(&page.figure[0], IOL_MARK_SPAN, 0);
    CHECK_NEAR(dot->x, -0.4, 0.0, "predicted to the right");
    CHECK_NEAR(dot->y, -0.25, 0.0, "achieved upward");
    CHECK_NEAR(span->y2 - span->y, 1.2, 1e-12, "one standard deviation to each side");
    CHECK_NEAR(nth(&page.figure[1], IOL_MARK_BOX, 0)->y2, 100.0, 1e-12, "all in one bar");
    CHECK_NEAR(nth(&page.figure[2], IOL_MARK_DOT, 3)->y, 75.0, 1e-12, "within 1.00 D");
    CHECK_NEAR(nth(&page.figure[3], IOL_MARK_DOT, 1)->x, 80.0, 1e-12, "promised");
    CHECK_NEAR(nth(&page.figure[3], IOL_MARK_DOT, 1)->y, 75.0, 1e-12, "held");
    s.groups_count = 0;
    iol_report_summary(&s, &page);
    assert_int_equal(page.figures, 0);
}

/* A row a group, all eyes on top, years last however they come; another method is none of them; what has no room is left out. */
static void near_by_group(void **state) {
    (void)state;
    static iol_summary s;
    iol_object_reset(iol_object_summary, &s);
    const iol_group all = {.present = true, .by = IOL_group_by_all, .method = IOL_recheck_method_joint, .n = 40.0,
                           .within_half = 0.5, .within_half_low = 0.34, .within_half_high = 0.66};
    s.groups[0] = s.groups[1] = s.groups[2] = s.groups[3] = all;
    s.groups[1].method = IOL_recheck_method_refraction_only;
    s.groups[2].by = IOL_group_by_year, s.groups[2].is = "2024", s.groups[2].within_half = 0.25;
    s.groups[3].by = IOL_group_by_position, s.groups[3].is = "bag", s.groups[3].within_half = 0.75;
    s.groups_count = 4;
    iol_report_summary(&s, &page);
    const iol_figure *f = &page.figure[0];
    const double down[] = {2.0, 1.0, 0.0}, share[] = {50.0, 75.0, 25.0};
    for (int i = 0; i < 3; i++) {
        const iol_mark *dot = nth(f, IOL_MARK_DOT, i), *span = nth(f, IOL_MARK_SPAN, i);
        CHECK_NEAR(dot->x, share[i], 1e-9, "the share, of 100");
        CHECK_NEAR(dot->y, down[i], 0.0, "all eyes on top, years last");
        CHECK_NEAR(span->x, 34.0, 1e-9, "its lower limit");
        CHECK_NEAR(span->x2, 66.0, 1e-9, "its upper limit");
    }
    assert_null(nth(f, IOL_MARK_DOT, 3));
    assert_non_null(label(f, "Operated in 2024"));
    assert_non_null(label(f, "New lens: bag"));
    for (int i = 0; i < 30; i++) s.groups[i] = s.groups[2];
    s.groups_count = 30;
    iol_report_summary(&s, &page);
    assert_non_null(nth(&page.figure[0], IOL_MARK_DOT, 11));
    assert_null(nth(&page.figure[0], IOL_MARK_DOT, 12));
    CHECK_NEAR(iol_near_limit[IOL_NEAR_HALF], 1000.0 * c_band_half_d, 1e-9, "one narrow band for plans and past cases");
    CHECK_NEAR(iol_near_limit[IOL_NEAR_ONE], 1000.0 * c_band_one_d, 1e-9, "one wide band");
}

/* ---- the displaced lens from the side ---- */

static const iol_mark *shaded(const iol_figure *f) {
    for (int i = 0; i < f->marks; i++)
        if (f->mark[i].kind == IOL_MARK_PATH && f->mark[i].fill == IOL_FILL_SHADE) return &f->mark[i];
    return NULL;
}

/* By hand: 9 deg over 6.0 mm lifts one edge and sinks the other by 3 sin 9 = 0.47 mm; its middle 0.60 cos 8 deg to the right. */
static void a_tilted_lens_from_the_side(void **state) {
    (void)state;
    make("displaced");
    const iol_figure *f = drawn(iol_draw_displaced);
    const iol_mark *lens = shaded(f);
    assert_non_null(lens);
    double left = INFINITY, right = -INFINITY, left_depth = 0.0, right_depth = 0.0;
    for (int i = 0; i < lens->points; i++) {
        const iol_spot *p = &f->point[lens->point + i];
        if (p->x < left) left = p->x, left_depth = p->y;
        if (p->x > right) right = p->x, right_depth = p->y;
    }
    const double degree = acos(-1.0) / 180.0;
    CHECK_NEAR((left + right) / 2.0, 0.60 * cos(8.0 * degree), 0.001, "by hand");
    CHECK_NEAR(right_depth - left_depth, 6.0 * sin(9.0 * degree), 0.30, "by hand; corners of an edge 0.2 mm thick");
    assert_true(right_depth > left_depth);
    /* Every point of the outline, turned back by hand, lies on one of the two spheres that the plan's numbers give. */
    const iol_displaced_drawing *d = &plan.displaced.drawing;
    const double sine = sin(9.0 * degree), cosine = cos(9.0 * degree), r = d->front_radius_mm;
    CHECK_NEAR(d->back_radius_mm, -r, 1e-9, "the same on both sides");
    for (int i = 0; i < lens->points; i++) {
        const iol_spot *p = &f->point[lens->point + i];
        double x = p->x - d->along_mm, y = p->y - d->front_depth_mm - d->centre_thickness_mm / 2.0;
        double height = x * cosine + y * sine, depth = y * cosine - x * sine; /* from the middle of the lens */
        double off = hypot(fabs(depth) + r - d->centre_thickness_mm / 2.0, height) - r;
        double edge = hypot(r - d->centre_thickness_mm / 2.0 - fabs(depth), height) - r;
        CHECK_NEAR(fmin(fabs(off), fabs(edge)), 0.0, 1e-9, "spheres, to scale");
        assert_true(fabs(height) < 3.0 + 1e-9);
    }
    char wanted[4][48] = {"tilt 9 deg", "off centre 0.60 mm", "88 deg", "268 deg"};
    labels_are(f, wanted, 4);
    assert_true(label(f, "88 deg")->x > 5.0 && label(f, "268 deg")->x < -5.0);
    const iol_mark *cornea = heavy(f, IOL_MARK_PATH, 0);
    assert_true(cornea->points > 12 && !cornea->closed);
    for (int i = 0; i < cornea->points; i++) {
        const iol_spot *p = &f->point[cornea->point + i];
        CHECK_NEAR(hypot(p->x, d->cornea_radius_mm - p->y), d->cornea_radius_mm, 1e-9, "definition of a sphere, its front at 0");
    }
    CHECK_NEAR(f->point[cornea->point].x, -f->point[cornea->point + cornea->points - 1].x, 1e-9, "alike on both sides");
    CHECK_NEAR(f->point[cornea->point].x, heavy(f, IOL_MARK_LINE, 0)->x2, 1e-9, "as wide as the iris");
    assert_true(f->equal && f->y.shown && !f->y.sign && !f->x.shown && f->y_from > f->y_to); /* to scale, deeper is lower */
    const iol_mark *belongs = NULL; /* the same lens in its place: faint, about the axis of the cornea */
    for (int i = 0; i < f->marks; i++)
        if (f->mark[i].kind == IOL_MARK_PATH && f->mark[i].stroke == IOL_STROKE_FAINT) belongs = &f->mark[i];
    assert_true(belongs && belongs->closed && belongs->points == lens->points);
    double about = 0.0;
    for (int i = 0; i < belongs->points; i++) about += f->point[belongs->point + i].x;
    CHECK_NEAR(about, 0.0, 1e-9, "alike on both sides");
    const iol_mark *axis = NULL; /* of the lens: through its middle, square to it */
    for (int i = 0; i < f->marks; i++)
        if (f->mark[i].kind == IOL_MARK_LINE && f->mark[i].stroke == IOL_STROKE_DASHED) axis = &f->mark[i];
    assert_non_null(axis);
    CHECK_NEAR((axis->x + axis->x2) / 2.0, d->along_mm, 1e-9, "the middle of the lens");
    CHECK_NEAR((axis->y + axis->y2) / 2.0, d->front_depth_mm + d->centre_thickness_mm / 2.0, 1e-9, "the middle of the lens");
    CHECK_NEAR(atan2(axis->x - axis->x2, axis->y2 - axis->y), 9.0 * degree, 1e-9, "turned as the lens is");
    /* The iris is cut on both sides of the pupil, alike (anatomy: round). */
    double inner = 0.0, outer = 0.0;
    int sides = 0;
    for (int i = 0; i < f->marks; i++) {
        const iol_mark *m = &f->mark[i];
        if (m->kind != IOL_MARK_LINE || m->stroke != IOL_STROKE_HEAVY || m->y != m->y2) continue;
        sides++;
        assert_true(fabs(m->x) > 0.0 && fabs(m->x2) > fabs(m->x));
        inner += m->x, outer += m->x2;
    }
    assert_int_equal(sides, 2);
    CHECK_NEAR(inner, 0.0, 1e-12, "alike on both sides");
    CHECK_NEAR(outer, 0.0, 1e-12, "alike on both sides");
    /* Turned the other way round the picture is the same: the back edge stays at the right. */
    c.first_surgery.lens.tilted_back_position_deg = 268.0;
    c.first_surgery.lens.decentration_position_deg = 260.0;
    remake();
    f = drawn(iol_draw_displaced);
    assert_true(label(f, "268 deg")->x > 5.0);
    /* No direction: drawn, and said. */
    c.first_surgery.lens.tilted_back_position_deg = NAN;
    remake();
    f = drawn(iol_draw_displaced);
    labels_are(f, wanted, 2);
    assert_non_null(strstr(f->bytes + f->title, "not known"));
    char moved[3][48] = {"off centre 0.60 mm", "260 deg", "80 deg"};
    c.first_surgery.lens.tilt_deg = 0.0; /* no tilt, no number of it: only moved, and toward where is known */
    remake();
    labels_are(drawn(iol_draw_displaced), moved, 3);
    c.first_surgery.lens.tilt_deg = 9.0, c.first_surgery.lens.decentration_mm = 0.0;
    remake();
    labels_are(drawn(iol_draw_displaced), wanted, 1);
    /* Nothing traced: no drawing, and why. */
    c.first_surgery.lens.tilt_deg = 20.0;
    remake();
    f = drawn(iol_draw_displaced);
    assert_true(f->missing);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_tilted_lens_from_the_side),
        cmocka_unit_test(a_right_eye_from_its_temple),
        cmocka_unit_test(a_left_eye_from_its_temple),
        cmocka_unit_test(a_left_eye_right_handed),
        cmocka_unit_test(a_seat_away_from_the_wound),
        cmocka_unit_test(the_turn_is_the_plan_s),
        cmocka_unit_test(cuts_and_pieces),
        cmocka_unit_test(names_of_the_front_view),
        cmocka_unit_test(names_of_the_days),
        cmocka_unit_test(nothing_unknown_is_drawn),
        cmocka_unit_test(the_clearance_is_the_table_s),
        cmocka_unit_test(numbers_of_the_chamber),
        cmocka_unit_test(no_chamber_no_cornea),
        cmocka_unit_test(numbers_of_the_diagram),
        cmocka_unit_test(numbers_of_the_shelf),
        cmocka_unit_test(frame_of_the_shelf),
        cmocka_unit_test(rows_of_the_days),
        cmocka_unit_test(captions_name_what_is_assumed),
        cmocka_unit_test(points_by_thibos),
        cmocka_unit_test(the_wound_moves_the_cornea),
        cmocka_unit_test(no_step_without_a_power),
        cmocka_unit_test(nothing_known_of_cylinders),
        cmocka_unit_test(labels_do_not_cover),
        cmocka_unit_test(the_summary_s_figures),
        cmocka_unit_test(near_by_group),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
