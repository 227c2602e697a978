/* Whole plans of eyes without a lens, with two, with a cornea altered by laser, and of children. The figures are those of the
 * optics (test_new_eyes.c has their outside rows); here the plan is held against them, and what is not known against what is. */
#include "check.h"
#include "estimate/estimate.h"
#include "example_case.h"
#include "hard_case.h"
#include "eye/eye.h"
#include "iolrevise.h"
#include "optics/no_lens.h"
#include "optics/two_lenses.h"
#include "tables/note_codes.h"
#include "tables/rule_codes.h"

static iol_case c;
static iol_plan plan;

static void make(void) { iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan); }
static void start(const char *name) {
    example_case(name, &c);
    make();
}

static bool cautioned(int code) { return has_note(&plan, IOL_AT_plan_cautions, code) >= 0; }
static bool stands_because(int code) { return has_note(&plan, IOL_AT_replacement_standing_reasons, code) >= 0; }

static const iol_left_out *left_out(const char *part) {
    for (int i = 0; i < plan.left_out_count; i++)
        if (strcmp(plan.left_out[i].part, part) == 0) return &plan.left_out[i];
    return NULL;
}

static const char *same_optics = "the same optics, by hand from the case";

/* ---- no lens ---- */

/* A second lens on the record of an eye without a lens says nothing: the reader refuses it, and the plan is that without it. In an
 * eye whose lens went out of the way it lies in the way of every reading: none counts as taken without a lens. */
static void a_second_lens_where_there_is_none(void **state) {
    (void)state;
    static iol_plan without;
    start("no-lens");
    without = plan;
    c.second_lens = (iol_lens){.present = true, .power_d = 9.0, .power_is = IOL_power_is_equivalent, .cylinder_d = 3.0};
    c.second_lens.axis_deg = 110.0, c.second_lens.position = IOL_position_sulcus;
    make();
    assert_true(plan.secondary.present && !plan.two_lenses.present);
    CHECK_NEAR(plan.secondary.power_exact_d, without.secondary.power_exact_d, 0.0, "the eye without it");
    CHECK_NEAR(iol_chosen_step(&plan.secondary)->expected.cylinder_d,
               iol_chosen_step(&without.secondary)->expected.cylinder_d, 0.0, "the eye without it");
    const iol_lens second = c.second_lens;
    example_case("dislocation", &c);
    iol_refraction *newest = &c.refractions[c.refractions_count - 1];
    *newest =
        (iol_refraction){.present = true, .sphere_d = 11.0, .cylinder_d = -1.0, .axis_deg = 90.0, .vertex_mm = 12.0};
    newest->lens_then = IOL_lens_then_aphakic, newest->measured_on = c.assessed_on;
    newest->method = IOL_refraction_method_manifest;
    c.refractions[0] = *newest, c.refractions_count = 1;
    iol_notes unused = {.off = true};
    iol_eye eye;
    iol_eye_make(&c, example_site(), IOL_UNKNOWN_DATE, IOL_EYE_POOLED, &unused, &eye);
    assert_true(eye.aphakic && eye.now.usable);
    c.second_lens = second;
    iol_eye_make(&c, example_site(), IOL_UNKNOWN_DATE, IOL_EYE_POOLED, &unused, &eye);
    assert_true(eye.two && !eye.aphakic && !eye.now.usable);
}

static void a_lens_is_put_in_none_comes_out(void **state) {
    (void)state;
    start("no-lens");
    assert_true(plan.secondary.present && !plan.replacement.present);
    assert_true(iol_new_lens(&plan) == &plan.secondary);
    static const char *const none[] = {"replacement", "removal", "piggyback", "rotation", "reposition"};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) {
        assert_non_null(left_out(none[i]));
        assert_int_equal(left_out(none[i])->why, IOL_left_why_not_applicable);
    }
    c.checks.dilated_look_done = IOL_UNKNOWN;
    make();
    for (int place = 0; place < IOL_AT_END; place++)
        assert_true(has_note(&plan, place, IOL_NOTE_missing_dilated_look) < 0);
    start("no-lens");
    assert_int_equal(plan.secondary.route, IOL_route_joint);
    assert_int_not_equal(plan.secondary.position, IOL_position_bag);
    assert_int_equal(plan.secondary.cross_checks_count, 2);
    double reading = plan.secondary.cross_checks[0].power_d, biometry = plan.secondary.cross_checks[1].power_d;
    assert_int_equal(plan.secondary.cross_checks[0].method, IOL_cross_method_aphakic_refraction);
    assert_int_equal(plan.secondary.cross_checks[1].method, IOL_cross_method_biometry_only);
    assert_true(plan.secondary.power_exact_d > fmin(reading, biometry));
    assert_true(plan.secondary.power_exact_d < fmax(reading, biometry));
    CHECK_NEAR(plan.secondary.power_low_d, fmin(reading, biometry), 1e-9, "the range spans the witnesses");
    CHECK_NEAR(plan.secondary.power_high_d, fmax(reading, biometry), 1e-9, "the range spans the witnesses");
    start("hyperopic-surprise");
    assert_true(!plan.secondary.present && plan.replacement.present && left_out("secondary"));
}

/* By the reading alone: the length that it implies places the lens, and the power is that of the equation without a length. */
static void the_reading_alone(void **state) {
    (void)state;
    example_case("no-lens", &c);
    c.refractions_count = 1;
    c.biometry.axial_length_mm = c.biometry_repeat.axial_length_mm = NAN;
    iol_notes unused = {.off = true};
    iol_eye eye;
    iol_lens_in_eye fresh;
    iol_model model;
    make();
    iol_eye_make(&c, example_site(), IOL_UNKNOWN_DATE, IOL_EYE_POOLED, &unused, &eye);
    assert_true(eye.aphakic && eye.no_lens == IOL_YES && eye.length_from_reading);
    iol_eye_shelf_lens(&eye, iol_eye_on_shelf(example_site(), plan.secondary.lens_id), plan.secondary.position, &fresh);
    assert_int_equal(plan.secondary.route, IOL_route_aphakic_refraction);
    assert_true(iol_eye_predict(&eye, (iol_formula)(plan.secondary.reference_formula - 1), &fresh, &model) >= 0);
    iol_no_lens by_hand = {model.cornea_d, model.position_mm, 12.0 - 0.75 / 2.0, 12.0, c.target_se_d, 12.0};
    iol_no_lens_gradient g;
    double power;
    assert_int_equal(iol_no_lens_power(&by_hand, &power, &g), IOL_OK);
    /* The plan takes the mean of the matrix at the cornea, the line above sphere and half the cylinder: 0.02 D apart here. */
    CHECK_NEAR(plan.secondary.power_exact_d, power, 0.03, same_optics);
    assert_int_equal(plan.secondary.cross_checks_count, 0);
    assert_true(has_note(&plan, IOL_AT_plan_assumptions, IOL_NOTE_assume_length_read) >= 0);
}

static void biometry_alone_where_nothing_was_read(void **state) {
    (void)state;
    example_case("no-lens", &c);
    c.refractions_count = 0;
    make();
    assert_int_equal(plan.secondary.route, IOL_route_biometry_only);
    double alone = plan.secondary.power_exact_d;
    start("no-lens");
    CHECK_NEAR(plan.secondary.cross_checks[1].power_d, alone, 1e-9, "the witness alone is the plan without the other");
}

static void a_contact_lens_reading_has_no_vertex(void **state) {
    (void)state;
    start("no-lens");
    double by_spectacles = plan.secondary.power_exact_d;
    for (int i = 0; i < c.refractions_count; i++) {
        iol_refraction *r = &c.refractions[i];
        double at_cornea, cylinder_end;
        iol_vertex_to_cornea(r->sphere_d, 12.0, &at_cornea);
        iol_vertex_to_cornea(r->sphere_d + r->cylinder_d, 12.0, &cylinder_end);
        r->sphere_d = at_cornea, r->cylinder_d = cylinder_end - at_cornea;
        r->with = IOL_reading_with_contact_lens;
        r->vertex_mm = NAN;
    }
    make();
    CHECK_NEAR(plan.secondary.power_exact_d, by_spectacles, 0.05, "the same light, read at the cornea");
    assert_false(cautioned(IOL_NOTE_vertex_matters));
}

static void a_vertex_not_given_is_shown_at_both_ends(void **state) {
    (void)state;
    double at[3];
    for (int i = 0; i < 3; i++) {
        example_case("no-lens", &c);
        for (int k = 0; k < c.refractions_count; k++) c.refractions[k].vertex_mm = i == 2 ? NAN : i == 0 ? 10.0 : 14.0;
        make();
        at[i] = plan.secondary.power_exact_d;
    }
    int note = has_note(&plan, IOL_AT_plan_cautions, IOL_NOTE_vertex_matters);
    assert_true(note >= 0 && at[0] < at[2] && at[2] < at[1]);
    CHECK_NEAR(plan.notes.item[note].value, at[0], 0.05,
               "the plan of that vertex; its own spread of the reading differs");
    CHECK_NEAR(plan.notes.item[note].limit, at[1], 0.05,
               "the plan of that vertex; its own spread of the reading differs");
}

static void a_theatre_reading_is_only_shown(void **state) {
    (void)state;
    start("no-lens");
    double before = plan.secondary.power_exact_d;
    assert_int_equal(plan.secondary.standing, IOL_standing_advised);
    iol_refraction *r = &c.refractions[c.refractions_count];
    *r = c.refractions[c.refractions_count++ - 1];
    r->with = IOL_reading_with_theatre, r->sphere_d = 9.0, r->cylinder_d = 0.0;
    make();
    CHECK_NEAR(plan.secondary.power_exact_d, before, 0.0, "never pooled");
    assert_int_equal(plan.secondary.standing, IOL_standing_advised);
    int note = has_note(&plan, IOL_AT_plan_cautions, IOL_NOTE_theatre_reading);
    assert_true(note >= 0);
    CHECK_NEAR(plan.notes.item[note].limit, 0.07 * 81.0 + 1.27 * 9.0 + 1.22, 1e-9, "printed relation, 82 eyes");
}

/* Two looks beside the power: the lens's own constants alone, and what a printed straight line expects (120 eyes, early 1980s). */
static void the_line_stands_beside_a_reading_without_a_lens(void **state) {
    (void)state;
    start("no-lens");
    assert_true(cautioned(IOL_NOTE_constants_new));
    assert_false(cautioned(IOL_NOTE_constants_beside));
    int note = has_note(&plan, IOL_AT_plan_cautions, IOL_NOTE_aphakic_line);
    assert_true(note >= 0);
    double k_d = (c.biometry.k_flat_d + c.biometry.k_steep_d) / 2.0;
    CHECK_NEAR(plan.notes.item[note].value, 80.4 - 1.65 * c.biometry.axial_length_mm - 0.7 * k_d, 0.1,
               "P = 80.4 - 1.65 L - 0.7 K, abstract; length and keratometry are pooled with the repeat");
    start("hyperopic-surprise");
    assert_false(cautioned(IOL_NOTE_constants_new) || cautioned(IOL_NOTE_aphakic_line));
    assert_true(cautioned(IOL_NOTE_constants_beside));
}

/* What is not known is never cleared: a reading that conflicts with the length, a day that is not known, an eye not said to be
 * empty. */
static void without_a_lens_nothing_is_cleared(void **state) {
    (void)state;
    example_case("no-lens", &c);
    c.biometry.axial_length_mm = c.biometry_repeat.axial_length_mm = 25.4;
    make();
    assert_true(fabs(plan.surprise.z) > 3.0 && plan.secondary.standing > IOL_standing_advised);
    example_case("no-lens", &c);
    c.first_surgery.done_on = IOL_UNKNOWN_DATE;
    make();
    assert_true(plan.secondary.standing >= IOL_standing_provisional);
    example_case("no-lens", &c);
    c.aphakic_now = IOL_UNKNOWN, c.reason = IOL_reason_power_error;
    c.biometry_repeat.eye_state = 0;
    make();
    assert_false(plan.secondary.present);
    assert_true(plan.replacement.standing >= IOL_standing_provisional &&
                stands_because(IOL_NOTE_provisional_lens_not_told));
    c.biometry_repeat.eye_state = IOL_eye_state_pseudophakic; /* the other says otherwise */
    make();
    assert_true(plan.replacement.standing >= IOL_standing_provisional &&
                stands_because(IOL_NOTE_provisional_lens_told_twice) &&
                !stands_because(IOL_NOTE_provisional_lens_not_told));
    c.biometry_repeat.eye_state = IOL_eye_state_aphakic;
    c.refractions[c.refractions_count - 1].lens_then = 0; /* it may have been taken without a lens too */
    make();
    assert_true(stands_because(IOL_NOTE_provisional_lens_not_told));
    c.aphakic_now = IOL_NO;
    make();
    assert_false(stands_because(IOL_NOTE_provisional_lens_not_told));
    c.aphakic_now = IOL_UNKNOWN;
    c.refractions[c.refractions_count - 1].lens_then = IOL_lens_then_aphakic;
    make();
    assert_true(plan.secondary.present);
}

/* A lens that lies in the vitreous: the reading taken without it gives the power, and the lens still has to come out. */
static void a_fallen_lens_still_comes_out(void **state) {
    (void)state;
    example_case("dislocation", &c);
    c.refractions_count = 1;
    c.refractions[0].lens_then = IOL_lens_then_aphakic;
    c.refractions[0].sphere_d = 10.0, c.refractions[0].cylinder_d = 0.0;
    make();
    assert_true(plan.secondary.present && plan.removal.present);
    assert_int_equal(plan.secondary.route,
                     isnan(c.biometry.axial_length_mm) ? IOL_route_aphakic_refraction : IOL_route_joint);
}

static const iol_option_row *option(int id) {
    for (int i = 0; i < plan.options_count; i++)
        if (plan.options[i].option == id) return &plan.options[i];
    return NULL;
}

static bool in_theatre(const char *item) {
    for (int i = 0; i < plan.theatre_list_count; i++)
        if (strcmp(plan.theatre_list[i].item, item) == 0) return true;
    return false;
}

/* Its own state, its own ways, nothing for a lens that is not there; glasses and contact lens at full power. */
static void decision_without_a_lens(void **state) {
    (void)state;
    start("no-lens");
    assert_int_equal(plan.decision.state, IOL_state_secondary_lens);
    assert_non_null(strstr(plan.decision.sentence, "Put a lens in"));
    static const int none[] = {IOL_option_exchange,    IOL_option_piggyback,     IOL_option_rotation,
                               IOL_option_remove_only, IOL_option_corneal_laser, IOL_option_capsule_laser};
    for (size_t i = 0; i < sizeof none / sizeof *none; i++) assert_null(option(none[i]));
    assert_true(option(IOL_option_secondary_lens)->rank == 1.0);
    assert_true(option(IOL_option_spectacles)->suitable == IOL_NO); /* over 3 D of anisometropia */
    assert_true(option(IOL_option_contact_lens)->suitable == IOL_YES);
    assert_false(in_theatre("lens scissors") || in_theatre("labelled pot for the lens taken out"));
    assert_true(in_theatre("dispersive viscoelastic"));
    /* power factor of a thin lens, entrance pupil 3 mm behind the cornea: 1/(1 - 0.015 F), 1/(1 - 0.003 F) */
    double f = plan.surprise.current_se_d;
    CHECK_NEAR(plan.spectacles.image_larger, 100.0 / (1.0 - 0.015 * f) - 100.0, 1e-9, "common practice, no source");
    CHECK_NEAR(plan.contact_lens.image_larger, 100.0 / (1.0 - 0.003 * plan.contact_lens.se_d) - 100.0, 1e-9,
               "common practice, no source");
    assert_true(plan.spectacles.image_larger > 15.0 && plan.spectacles.image_larger < 30.0);   /* taught: 20 to 30 % */
    assert_true(plan.contact_lens.image_larger > 3.0 && plan.contact_lens.image_larger < 8.0); /* taught: 5 to 8 % */
    c.wish.glasses_accepted = IOL_YES, c.fellow_eye.lens = IOL_fellow_lens_aphakic;
    c.fellow_eye.refraction.sphere_d = 11.0;
    make(); /* both eyes without a lens, glasses relieve it: they come first */
    assert_int_equal(plan.decision.state, IOL_state_other_option_first);
    start("hyperopic-surprise");
    assert_null(option(IOL_option_secondary_lens));
    assert_true(isnan(plan.spectacles.image_larger));
}

/* ---- two lenses ---- */

static const iol_two_way *way(int id) {
    for (int i = 0; i < plan.two_lenses.ways_count; i++)
        if (plan.two_lenses.ways[i].way == id) return &plan.two_lenses.ways[i];
    return NULL;
}

static void five_ways_side_by_side(void **state) {
    (void)state;
    start("two-lenses");
    assert_int_equal(plan.two_lenses.ways_count, 5);
    assert_null(way(IOL_two_way_second_turned));
    assert_true(plan.replacement.standing == IOL_standing_advised && !cautioned(IOL_NOTE_two_lenses));
    assert_non_null(left_out("piggyback"));
    double target = c.target_se_d, now = plan.surprise.current_se_d;
    CHECK_NEAR(way(IOL_two_way_both_stay)->expected.se_d, now, 0.15, "both stay: what is read, less its own error");
    assert_true(way(IOL_two_way_second_out)->expected.se_d > now + 3.0); /* +5 D out: hyperopic by about 0.8 x 5 D */
    CHECK_NEAR(way(IOL_two_way_second_out)->expected.se_d - way(IOL_two_way_both_stay)->expected.se_d, 0.75 * 5.0, 0.3,
               "a lens in the sulcus is worth about 0.75 D a dioptre in glasses");
    static const int exchanged[] = {IOL_two_way_second_exchanged, IOL_two_way_first_exchanged,
                                    IOL_two_way_one_for_both};
    for (size_t i = 0; i < 3; i++) {
        const iol_two_way *w = way(exchanged[i]);
        CHECK_NEAR(w->expected.se_d, target, 0.30, "the nearest half step");
        CHECK_NEAR(w->power_exact_d, w->power_d, 0.251, "half a step of 0.5 D");
        assert_true(w->sd_d > 0.30 && w->sd_d < 0.60 && w->within_half_d > 0.5);
    }
    CHECK_NEAR(way(IOL_two_way_one_for_both)->power_exact_d, plan.replacement.power_exact_d, 0.0, "told once");
    CHECK_NEAR(way(IOL_two_way_one_for_both)->power_d, iol_chosen_step(&plan.replacement)->power_d, 0.0, "told once");
}

/* A shelf that has no second lens: the power is told, no step of it, and why. */
static void no_class_for_a_place(void **state) {
    (void)state;
    static iol_site bare;
    bare = *example_site();
    bare.lenses_count = 0;
    for (int i = 0; i < example_site()->lenses_count; i++)
        if (example_site()->lenses[i].purpose != IOL_purpose_piggyback)
            bare.lenses[bare.lenses_count++] = example_site()->lenses[i];
    example_case("two-lenses", &c);
    iol_plan_make(&c, &bare, IOL_UNKNOWN_DATE, &plan);
    const iol_two_way *without = way(IOL_two_way_second_exchanged), *with = way(IOL_two_way_first_exchanged);
    CHECK_NAN(without->power_d);
    CHECK_NAN(without->within_half_d);
    CHECK_NAN(without->within_one_d);
    CHECK_NAN(without->sd_d);
    for (int i = 0; i < plan.two_lenses.ways_count; i++) { /* nothing is turned */
        CHECK_NAN(plan.two_lenses.ways[i].axis_now_deg);
        CHECK_NAN(plan.two_lenses.ways[i].turn_deg);
        CHECK_NAN(plan.two_lenses.ways[i].loss_per_degree_d);
    }
    assert_true(!isnan(without->power_exact_d) && !isnan(with->power_d));
    assert_true(has_note(&plan, IOL_AT_two_way_reasons, (int)IOL_NOTE_two_no_class) >= 0);
}

static void which_lens_comes_out(void **state) {
    (void)state;
    start("two-lenses");
    assert_true(option(IOL_option_second_exchange)->rank == 1.0);
    assert_null(option(IOL_option_piggyback));
    c.anterior_segment.pigment_dispersion = IOL_YES; /* it rubs: out first, none in its place */
    make();
    assert_true(option(IOL_option_second_out)->rank == 1.0);
    assert_true(option(IOL_option_second_exchange)->suitable != IOL_YES);
    c.anterior_segment.pigment_dispersion = IOL_UNKNOWN;
    make();
    assert_true(option(IOL_option_second_exchange)->suitable != IOL_YES); /* nor while that is not excluded */
    start("hyperopic-surprise");
    assert_true(!option(IOL_option_second_out) && !option(IOL_option_second_exchange));
}

/* Steep at 95 deg by 2.4 D, and one of the two lenses of 3 D marked on 70 deg: what is left is about 1.9 D at 36 deg. */
static void one_of_two_toric(bool second) {
    iol_biometry *read[] = {&c.biometry, &c.biometry_repeat};
    example_case("two-lenses", &c);
    for (int i = 0; i < 2; i++) read[i]->k_flat_d = 42.5, read[i]->k_steep_d = 44.9, read[i]->k_steep_axis_deg = 95.0;
    for (int i = 0; i < 2; i++)
        c.refractions[i].sphere_d = 0.55, c.refractions[i].cylinder_d = -1.9, c.refractions[i].axis_deg = 36.0;
    iol_lens *toric = second ? &c.second_lens : &c.first_surgery.lens;
    c.reason = IOL_reason_cylinder_error;
    c.second_lens.power_d = 1.0;
    toric->cylinder_d = 3.0, toric->power_is = IOL_power_is_equivalent, toric->axis_deg = 70.0;
    if (!second) toric->axis_intended_deg = 95.0;
    make();
}

static bool two_note(int code) { return has_note(&plan, IOL_AT_two_lenses_reasons, code) >= 0; }

static bool told(int code) {
    for (int i = 0; i < plan.notes.count; i++)
        if (plan.notes.item[i].place == IOL_AT_counsel_say && plan.notes.item[i].code == code) return true;
    return false;
}

/* The talk is of the way that leads: of the second lens, not of the lens for both. */
static void the_talk_is_of_the_second_lens(void **state) {
    (void)state;
    start("two-lenses");
    assert_int_equal(plan.options[0].option, IOL_option_second_exchange);
    assert_true(told(IOL_NOTE_say_option_second_new) && !told(IOL_NOTE_say_option_power) &&
                !told(IOL_NOTE_say_chance_model));
    for (int i = 0; i < 2; i++) c.refractions[i].sphere_d = -3.4;
    c.first_surgery.lens.power_d = 23.0; /* without the second lens it ends on its target */
    make();
    assert_true(told(IOL_NOTE_say_option_second_out) && !told(IOL_NOTE_say_option_second_new) &&
                !told(IOL_NOTE_say_option_power));
    one_of_two_toric(true);
    assert_true(told(IOL_NOTE_say_option_second_turn) && !told(IOL_NOTE_say_option_power));
    start("two-lenses");
    c.reason = IOL_reason_lens_opacity;
    c.first_surgery.lens.opacity = c.second_lens.opacity = IOL_opacity_marked;
    make();
    assert_true(told(IOL_NOTE_say_option_power) && told(IOL_NOTE_say_chance_model));
}

/* Beside a toric lens the exact power is the one whose refraction, as it is told, is the target: a shelf that holds that power and
 * no other shows it. The site's own spread of a second lens's place counts. */
static void the_exact_power_of_one_of_two(void **state) {
    (void)state;
    static iol_site site;
    example_case("two-lenses", &c);
    site = *example_site();
    c.first_surgery.lens.cylinder_d = 4.0, c.first_surgery.lens.axis_deg = 40.0;
    iol_shelf_lens *made = NULL;
    for (int i = 0; i < site.lenses_count && !made; i++)
        if (site.lenses[i].purpose == IOL_purpose_piggyback) made = &site.lenses[i];
    assert_non_null(made);
    double sd[2];
    for (int round = 0; round < 3; round++) {
        iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
        const iol_two_way *way = NULL;
        for (int i = 0; i < plan.two_lenses.ways_count; i++)
            if (plan.two_lenses.ways[i].way == IOL_two_way_second_exchanged) way = &plan.two_lenses.ways[i];
        assert_non_null(way);
        made->power_first_d = made->power_last_d = way->power_exact_d;
        if (round == 1) CHECK_NEAR(way->expected.se_d, c.target_se_d, 1e-6, "the target");
        if (round > 0) sd[round - 1] = way->sd_d;
        if (round == 1) site.spread.piggyback_position_mm = 0.6;
    }
    assert_true(sd[1] > sd[0]);
}

/* Turned to the meridian that leaves least; the power stays. */
static void a_toric_lens_of_two_is_turned(void **state) {
    (void)state;
    one_of_two_toric(true);
    const iol_two_way *stay = way(IOL_two_way_both_stay), *turned = way(IOL_two_way_second_turned);
    assert_non_null(turned);
    assert_true(two_note(IOL_NOTE_two_toric) && !two_note(IOL_NOTE_two_toric_no_axis));
    CHECK_NEAR(stay->expected.cylinder_d, -1.9, 0.02, "both stay: today's cylinder");
    CHECK_NEAR(stay->expected.axis_deg, 36.0, 0.5, "both stay: today's axis");
    CHECK_NEAR(turned->axis_deg, 95.0, 2.5,
               "a toric lens is marked on its weaker meridian, for the cornea's steep one");
    CHECK_NEAR(turned->turn_deg, turned->axis_deg - 70.0, 1e-9, "anticlockwise is plus");
    CHECK_NEAR(turned->expected.se_d, stay->expected.se_d, 0.01, "a turn keeps the spherical equivalent");
    assert_true(fabs(turned->expected.cylinder_d) < 0.25 && isnan(turned->power_exact_d) && !turned->lens_id[0]);
    /* what a turn changes is 2 sin(turn) of what the lens does there */
    const double degree = 3.14159265358979323846 / 180.0;
    const double across = stay->expected.cylinder_d * cos(2.0 * degree * stay->expected.axis_deg) -
                          turned->expected.cylinder_d * cos(2.0 * degree * turned->expected.axis_deg);
    const double along = stay->expected.cylinder_d * sin(2.0 * degree * stay->expected.axis_deg) -
                         turned->expected.cylinder_d * sin(2.0 * degree * turned->expected.axis_deg);
    const double effect = hypot(across, along) / (2.0 * sin(turned->turn_deg * degree));
    CHECK_NEAR(turned->loss_per_degree_d / effect, 0.035, 0.0005, "trade article: 3.5 % for the first degree");
    assert_true(option(IOL_option_second_turn)->rank == 1.0 && option(IOL_option_second_turn)->suitable == IOL_YES);
    assert_non_null(strstr(plan.decision.sentence, "Turn the second lens 2"));
    assert_true(option(IOL_option_second_exchange)->rank >
                option(IOL_option_exchange)->rank);  /* it leaves the cylinder */
    c.anterior_segment.pigment_dispersion = IOL_YES; /* turned it would rub on */
    make();
    assert_true(option(IOL_option_second_turn)->suitable != IOL_YES);
    one_of_two_toric(true);
    c.second_lens.axis_deg = turned->axis_deg;
    for (int i = 0; i < 2; i++) c.refractions[i].cylinder_d = -0.1;
    make(); /* where it should be: a turn takes nothing off */
    CHECK_NEAR(way(IOL_two_way_second_turned)->turn_deg, 0.0, 6.0, "already there");
    assert_true(option(IOL_option_second_turn)->suitable == IOL_NO);
    c.target_se_d = way(IOL_two_way_second_turned)->expected.se_d; /* the power alone is as wanted */
    make();
    const int note = has_note(&plan, IOL_AT_option_row_why, IOL_NOTE_opt_second_turn_gain);
    assert_true(note >= 0); /* what it gains: the cylinder of today less what it would leave */
    CHECK_NEAR(plan.notes.item[note].value,
               fabs(c.refractions[1].cylinder_d) - fabs(way(IOL_two_way_second_turned)->expected.cylinder_d), 0.01,
               "definition");
}

/* Before a round cornea every meridian leaves the same: no turn is made up. */
static void no_turn_where_none_gains(void **state) {
    (void)state;
    one_of_two_toric(true);
    c.refractions_count = 0;
    iol_biometry *b[] = {&c.biometry, &c.biometry_repeat};
    for (int i = 0; i < 2; i++) b[i]->k_flat_d = b[i]->k_steep_d = 43.0;
    make();
    CHECK_NEAR(way(IOL_two_way_second_turned)->axis_deg, c.second_lens.axis_deg, 0.0, "where it lies");
    CHECK_NEAR(way(IOL_two_way_second_turned)->turn_deg, 0.0, 0.0, "where it lies");
}

/* A lens of 0 D is a lens: its own label and place count. */
static void a_lens_without_power_is_a_lens(void **state) {
    (void)state;
    start("two-lenses");
    make();
    c.target_se_d = way(IOL_two_way_second_out)->expected.se_d;
    make();
    const iol_two_way *none = way(IOL_two_way_second_out), *put = way(IOL_two_way_second_exchanged);
    CHECK_NEAR(put->power_d, 0.0, 0.0, "what taking it out leaves");
    CHECK_NEAR(put->expected.se_d, none->expected.se_d, 1e-9, "as without it");
    const double label = 0.15 * (1.0 - 12.0 * put->expected.se_d / 1000.0); /* half of 0.3 D, a lens near the cornea */
    const double told = sqrt(put->sd_d * put->sd_d - none->sd_d * none->sd_d);
    assert_true(told > 0.6 * label && told < label);
}

static void the_first_of_two_is_turned_behind_the_second(void **state) {
    (void)state;
    one_of_two_toric(false);
    CHECK_NEAR(plan.rotation.expected.se_d, way(IOL_two_way_both_stay)->expected.se_d, 0.01, "the second lens stays");
    CHECK_NEAR(plan.rotation.least_cylinder_axis_deg, 95.0, 2.5, "marked on its weaker meridian");
    assert_true(fabs(plan.rotation.expected.cylinder_d) < 0.25);
    assert_true(has_note(&plan, IOL_AT_rotation_reasons, IOL_NOTE_turn_behind_second) >= 0);
    assert_true(has_note(&plan, IOL_AT_rotation_reasons, IOL_NOTE_turn_wrong_cylinder) < 0);
    assert_non_null(strstr(plan.decision.sentence, "Turn the first lens"));
    assert_null(option(IOL_option_second_turn));
    c.cornea.surface = IOL_surface_scarred; /* nor does the refraction alone tell which of two lenses is off */
    make();
    assert_true(has_note(&plan, IOL_AT_rotation_reasons, IOL_NOTE_turn_by_refraction) < 0);
    one_of_two_toric(false);
    c.first_surgery.lens.axis_deg = NAN;
    make();
    assert_true(two_note(IOL_NOTE_two_toric_no_axis) && cautioned(IOL_NOTE_two_lenses));
    assert_int_equal(plan.replacement.standing, IOL_standing_withheld);
    assert_int_equal(plan.two_lenses.ways_count, 0);
}

/* A toric lens is put in for the one that is exchanged where it leaves enough less; the one that stays is counted. */
static void a_toric_lens_for_one_of_two(void **state) {
    (void)state;
    static iol_site site;
    one_of_two_toric(true);
    const iol_two_way *first = way(IOL_two_way_first_exchanged), *front = way(IOL_two_way_second_exchanged);
    assert_true(first->cylinder_d > 0.0 && fabs(first->expected.cylinder_d) < 0.5);
    assert_true(isnan(front->cylinder_d) && fabs(front->expected.cylinder_d) > 2.0); /* the shelf has plain ones */
    site = *example_site();
    iol_shelf_lens *toric = &site.lenses[site.lenses_count++];
    *toric = *iol_eye_on_shelf(&site, "sulcus-addon");
    strcpy(toric->id, "sulcus-toric");
    for (int i = 0; i < 5; i++) toric->cylinder_steps_d[i] = 1.0 + i;
    toric->cylinder_steps_d_count = 5;
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
    front = way(IOL_two_way_second_exchanged);
    assert_string_equal(front->lens_id, "sulcus-toric");
    CHECK_NEAR(front->axis_deg, 94.0, 4.0, "marked on its weaker meridian, for the cornea's steep one");
    assert_true(fabs(front->expected.cylinder_d) < 0.4 && fabs(front->expected.se_d - c.target_se_d) < 0.3);
    bool listed = false;
    for (int i = 0; i < plan.theatre_list_count; i++)
        listed = listed || (strcmp(plan.theatre_list[i].lens_id, "sulcus-toric") == 0 &&
                            plan.theatre_list[i].cylinder_d == front->cylinder_d);
    assert_true(listed);
    c.biometry.k_steep_axis_deg = c.biometry_repeat.k_steep_axis_deg = NAN;
    c.refractions_count = 0;
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan); /* no axis of anything: nothing toric */
    assert_true(isnan(way(IOL_two_way_second_exchanged)->cylinder_d) &&
                isnan(way(IOL_two_way_second_turned)->axis_deg));
    assert_true(isnan(way(IOL_two_way_first_exchanged)->cylinder_d));
}

/* The word alone that there are two lenses withholds the power, and asks; a second lens beside the word for one is refused. */
static void two_lenses_by_the_word_alone(void **state) {
    (void)state;
    example_case("hyperopic-surprise", &c);
    c.two_lenses_now = IOL_YES;
    make();
    assert_int_equal(plan.replacement.standing, IOL_standing_withheld);
    assert_true(cautioned(IOL_NOTE_two_lenses) && plan.two_lenses.present && plan.two_lenses.ways_count == 0);
    c.two_lenses_now = IOL_NO;
    make();
    assert_int_equal(plan.replacement.standing, IOL_standing_advised);
}

/* What is wrong with the lens behind is not mended in front of it; what is wrong with the one in front is. */
static void the_second_lens_mends_its_own_faults(void **state) {
    (void)state;
    example_case("two-lenses", &c);
    c.reason = IOL_reason_lens_dislocation;
    c.dislocation.present = true, c.dislocation.lies = IOL_lies_pupil, c.dislocation.with_capsule = IOL_YES;
    c.zonule.donesis = IOL_donesis_marked, c.zonule.missing_clock_hours = 6.0;
    make();
    assert_true(option(IOL_option_second_out)->suitable == IOL_NO);
    assert_true(option(IOL_option_second_exchange)->suitable == IOL_NO);
    assert_true(option(IOL_option_reposition)->rank == 1.0);
    assert_true(has_note(&plan, IOL_AT_reposition_reasons, IOL_NOTE_place_two) >= 0);
    assert_true(isnan(way(IOL_two_way_first_exchanged)->power_exact_d)); /* its bag holds no other lens */
    assert_true(has_note(&plan, IOL_AT_two_way_reasons, IOL_NOTE_two_first_place) >= 0);
    assert_true(has_note(&plan, IOL_AT_decision_reasons, IOL_NOTE_advise_step_without_lens) >= 0);
    example_case("two-lenses", &c);
    c.reason = IOL_reason_lens_opacity;
    c.second_lens.opacity = IOL_opacity_marked; /* the one in front has clouded */
    make();
    assert_true(option(IOL_option_second_out)->suitable == IOL_YES);
    c.second_lens.opacity = IOL_opacity_none; /* then it is the one behind */
    make();
    assert_true(option(IOL_option_second_out)->suitable == IOL_NO);
    c.second_lens.opacity = 0; /* not looked at */
    make();
    assert_true(option(IOL_option_second_out)->suitable == IOL_UNKNOWN);
    example_case("two-lenses", &c);
    c.first_surgery.lens.position = IOL_position_sulcus; /* one piece of acrylic there, and the second rubs */
    c.anterior_segment.pigment_dispersion = IOL_YES;
    make();
    assert_true(option(IOL_option_second_out)->suitable == IOL_NO);
    assert_true(option(IOL_option_exchange)->rank == 1.0);
    assert_non_null(strstr(plan.decision.sentence, "Exchange both lenses for one"));
    example_case("two-lenses", &c);
    c.second_lens.edge = 0; /* an edge that is not known is not a round one */
    make();
    assert_true(option(IOL_option_second_exchange)->suitable == IOL_UNKNOWN);
}

/* Both labels by one refraction: as good as alike, so that neither is singled out. */
static void the_two_labels_are_not_told_apart(void **state) {
    (void)state;
    start("two-lenses");
    double first = plan.two_lenses.first_believed_d - 21.0, second = plan.two_lenses.second_believed_d - 5.0;
    assert_true(first > 0.0 && second > 0.0 && fabs(first) < 0.2 && fabs(second) < 0.2);
    assert_true(has_note(&plan, IOL_AT_two_lenses_reasons, IOL_NOTE_two_labels) >= 0);
}

static void a_missing_power_or_place_withholds(void **state) {
    (void)state;
    for (int i = 0; i < 4; i++) {
        example_case("two-lenses", &c);
        if (i == 0) c.first_surgery.lens.power_d = NAN;
        if (i == 1) c.second_lens.power_d = NAN;
        if (i == 2) c.first_surgery.lens.position = 0;
        if (i == 3) c.second_lens.position = 0;
        make();
        assert_int_equal(plan.replacement.standing, IOL_standing_withheld);
        assert_true(stands_because(IOL_NOTE_withheld_two_lenses) && cautioned(IOL_NOTE_two_lenses));
        CHECK_NAN(plan.replacement.power_exact_d);
        for (int k = 0; k < plan.two_lenses.ways_count; k++) {
            CHECK_NAN(plan.two_lenses.ways[k].power_exact_d);
            assert_false(plan.two_lenses.ways[k].expected.present);
        }
    }
}

/* No length measured: the refraction and both labels give it, and the eye is told as what the refraction alone says. With the
 * length the eye reads +1.50 D and 22.8 D; the ways without it lie within their own spread of that. */
static void two_lenses_by_refraction_alone(void **state) {
    (void)state;
    for (int without_k = 0; without_k < 2; without_k++) {
        start("two-lenses");
        const double one = way(IOL_two_way_one_for_both)->power_exact_d,
                     out = way(IOL_two_way_second_out)->expected.se_d;
        double known_sd_d[5];
        for (int i = 0; i < 5; i++) known_sd_d[i] = plan.two_lenses.ways[i].sd_d;
        c.biometry.axial_length_mm = c.biometry_repeat.axial_length_mm = NAN;
        if (without_k)
            c.biometry.k_flat_d = c.biometry.k_steep_d = c.biometry_repeat.k_flat_d = c.biometry_repeat.k_steep_d = NAN;
        make();
        assert_int_equal(plan.replacement.route, IOL_route_refraction_only);
        assert_int_equal(plan.replacement.standing, IOL_standing_repeat_before_ordering);
        assert_true(has_note(&plan, IOL_AT_plan_assumptions, IOL_NOTE_assume_length_two) >= 0);
        assert_true((has_note(&plan, IOL_AT_plan_assumptions, IOL_NOTE_assume_k_two) >= 0) == without_k);
        CHECK_NEAR(way(IOL_two_way_one_for_both)->power_exact_d, one, 0.6,
                   "the same eye with its length, within its spread");
        CHECK_NEAR(way(IOL_two_way_second_out)->expected.se_d, out, 0.4,
                   "the same eye with its length, within its spread");
        CHECK_NAN(plan.surprise.z);
        for (int i = 0; i < 5; i++) assert_true(plan.two_lenses.ways[i].sd_d > known_sd_d[i]); /* less is known */
        if (!without_k) continue;
        iol_notes unused = {.off = true};
        iol_eye eye;
        iol_eye_make(&c, example_site(), IOL_UNKNOWN_DATE, IOL_EYE_POOLED, &unused, &eye);
        const double uneven_d = iol_matrix_mean(eye.keratometry) - eye.k_d;
        CHECK_NEAR(uneven_d, 0.0, 1e-12, "an assumed cornea is a sphere of the power assumed");
    }
    c.refractions[0].sphere_d = 60.0; /* no length leads to it */
    for (int i = 1; i < c.refractions_count; i++) c.refractions[i].sphere_d = 60.0;
    make();
    assert_true(has_note(&plan, IOL_AT_plan_assumptions, IOL_NOTE_assume_length_two) < 0);
}

/* A cylinder that nobody stated is reckoned as none and listed; nothing is cleared by it, and none is left unexplained. */
static void a_cylinder_not_stated_clears_nothing(void **state) {
    (void)state;
    start("two-lenses");
    assert_true(option(IOL_option_second_exchange)->suitable == IOL_YES);
    for (int i = 0; i < c.refractions_count; i++) c.refractions[i].cylinder_d = c.refractions[i].axis_deg = NAN;
    make();
    assert_true(has_note(&plan, IOL_AT_plan_assumptions, IOL_NOTE_assume_no_cylinder) >= 0);
    assert_true(option(IOL_option_second_exchange)->suitable == IOL_UNKNOWN);
    assert_true(option(IOL_option_second_out)->suitable == IOL_UNKNOWN);
    start("toric-turned");
    assert_true(!isnan(plan.surprise.corneal_remainder_d));
    for (int i = 0; i < c.refractions_count; i++) c.refractions[i].cylinder_d = c.refractions[i].axis_deg = NAN;
    make();
    CHECK_NAN(plan.surprise.corneal_remainder_d);
    assert_true(!cautioned(IOL_NOTE_corneal_remainder));
}

/* A complaint may fade where a lens is in the eye; an eye without one does not mend itself, whether that is told or not. */
static void a_complaint_fades_beside_a_lens(void **state) {
    (void)state;
    static const int trends[] = {IOL_trend_better, IOL_trend_same, 0};
    for (size_t i = 0; i < 3; i++) {
        example_case("no-lens", &c);
        c.complaint.present = true, c.complaint.trend = trends[i];
        make();
        assert_true(option(IOL_option_secondary_lens)->rank == 1.0);
    }
    example_case("hyperopic-surprise", &c);
    c.complaint.present = true, c.complaint.trend = IOL_trend_better;
    make();
    assert_true(option(IOL_option_leave)->rank == 1.0);
}

/* Two lenses and biometry told to be that of an eye with its own lens: which lenses are in the eye is in doubt, and so is what is
 * left when one comes out, whether the depth between them is told (the miss bars the power) or not. */
static void own_lens_bars_the_second_too(void **state) {
    (void)state;
    for (int gap = 0; gap < 2; gap++) {
        example_case("two-lenses", &c);
        c.second_lens.opacity = IOL_opacity_marked, c.reason = IOL_reason_lens_opacity;
        c.second_lens_gap_mm = gap ? 0.7 : NAN;
        make();
        assert_true(option(IOL_option_second_out)->suitable == IOL_YES);
        c.biometry_repeat.present = true, c.biometry_repeat.eye_state = IOL_eye_state_phakic;
        c.biometry_repeat.axial_length_mm = c.biometry.axial_length_mm;
        make();
        assert_true(option(IOL_option_second_out)->suitable == IOL_UNKNOWN);
    }
}

static void a_gap_is_assumed_and_listed(void **state) {
    (void)state;
    example_case("two-lenses", &c);
    c.second_lens_gap_mm = NAN;
    make();
    CHECK_NEAR(plan.two_lenses.gap_mm, 0.50, 0.0, "judgement");
    assert_true(has_note(&plan, IOL_AT_plan_assumptions, IOL_NOTE_assume_gap) >= 0);
    assert_true(has_note(&plan, IOL_AT_two_lenses_reasons, IOL_NOTE_two_gap) < 0); /* 5 D: not worth asking */
    c.second_lens.power_d = 6.5;
    make();
    assert_true(has_note(&plan, IOL_AT_two_lenses_reasons, IOL_NOTE_two_gap) >= 0);
}

/* ---- altered cornea ---- */

static void both_corneas_of_a_lasered_eye(void **state) {
    (void)state;
    example_case("after-laser", &c);
    c.cornea.k_before_surgery_d = 44.2, c.cornea.laser_correction_d = -6.0;
    make();
    const iol_altered_cornea *a = &plan.altered_cornea;
    double at_cornea;
    assert_int_equal(iol_vertex_to_cornea(-6.0, 12.0, &at_cornea), IOL_OK);
    CHECK_NEAR(a->k_history_d, 44.2 + at_cornea, 1e-9, same_optics);
    CHECK_NEAR(a->k_today_d, (a->k_history_d / 0.5625 + a->k_measured_d) / (1.0 / 0.5625 + 1.0), 1e-9,
               "inverse variance of 0.75 and 1.0 D");
    CHECK_NEAR(a->k_today_sd_d, 0.60, 1e-9, "inverse variance of 0.75 and 1.0 D");
    assert_true(a->k_before_known == IOL_YES && a->formulas_count >= 4);
    for (int i = 0; i < a->formulas_count; i++) {
        assert_true(a->formulas[i].power_double_d >= a->formulas[i].power_plain_d);
        assert_true(a->formulas[i].power_low_d <= a->formulas[i].power_high_d);
    }
    c.cornea.k_before_surgery_d = a->k_today_d; /* an unaltered cornea: the plain formula */
    c.cornea.laser_correction_d = NAN;
    c.cornea.k_total_d = a->k_today_d;
    make();
    for (int i = 0; i < a->formulas_count; i++)
        CHECK_NEAR(a->formulas[i].power_double_d, a->formulas[i].power_plain_d, 1e-12, "K before = K now");
    c.cornea.earlier_refractive_surgery = IOL_corneal_surgery_none;
    make();
    assert_true(!a->present && left_out("altered_cornea"));
}

/* Without a refraction: nothing is chosen; not known whether it was altered is not "untouched". */
/* A total power of the cornea has no cylinder, and a steep meridian without keratometry makes none of 0 D. */
static void no_cylinder_without_keratometry(void **state) {
    (void)state;
    example_case("after-laser", &c);
    iol_biometry *b[] = {&c.biometry, &c.biometry_repeat};
    for (int i = 0; i < 2; i++) {
        b[i]->k_flat_d = b[i]->k_steep_d = b[i]->k_flat_radius_mm = b[i]->k_steep_radius_mm = NAN;
        b[i]->k_steep_axis_deg = 90.0;
    }
    c.cornea.k_total_d = 38.5;
    make();
    assert_true(plan.incision.present);
    assert_true(isnan(plan.incision.corneal_cylinder_now_d));
}

static void nothing_chosen_after_laser_unread(void **state) {
    (void)state;
    example_case("after-laser", &c);
    c.refractions_count = 0;
    make();
    assert_int_equal(plan.replacement.standing, IOL_standing_withheld);
    assert_true(stands_because(IOL_NOTE_withheld_laser) && plan.altered_cornea.formulas_count == 0);
    c.cornea.earlier_refractive_surgery = 0;
    make();
    assert_int_equal(plan.replacement.standing, IOL_standing_withheld);
    c.cornea.earlier_refractive_surgery = IOL_corneal_surgery_radial_cuts;
    c.cornea.k_before_surgery_d = 44.0; /* cuts: no history counts */
    make();
    assert_int_equal(plan.replacement.standing, IOL_standing_withheld);
    c.cornea.earlier_refractive_surgery = IOL_corneal_surgery_myopic_laser;
    make();
    assert_int_equal(plan.replacement.standing, IOL_standing_provisional);
    double by_k = plan.replacement.power_exact_d;
    c.cornea.k_before_surgery_d = NAN, c.cornea.laser_correction_d = -5.0;
    make();
    assert_int_equal(plan.replacement.standing, IOL_standing_provisional);
    assert_true(isfinite(by_k) && isfinite(plan.replacement.power_exact_d));
    for (int i = 0; i < plan.replacement.choices_count; i++)
        assert_int_not_equal(plan.replacement.choices[i].chosen, IOL_YES);
    c.cornea.earlier_refractive_surgery = IOL_corneal_surgery_none;
    make();
    assert_int_not_equal(plan.replacement.standing, IOL_standing_withheld);
}

/* ---- children ---- */

static void no_laser_and_no_waiting_for_a_child(void **state) {
    (void)state;
    start("child");
    assert_true(option(IOL_option_corneal_laser)->suitable == IOL_NO);
    assert_true(option(IOL_option_spectacles)->rank == 1.0);
    assert_int_equal(plan.decision.urgency, IOL_urgency_weeks);
    c.age_years = 17.99;
    make();
    assert_true(option(IOL_option_corneal_laser)->suitable == IOL_NO);
    c.age_years = NAN; /* not known: not cleared */
    make();
    assert_true(option(IOL_option_corneal_laser)->suitable != IOL_YES);
    c.age_years = 18.0;
    make();
    assert_true(option(IOL_option_corneal_laser)->suitable == IOL_YES);
    c.age_years = 8.0;
    make();
    assert_int_equal(plan.decision.urgency, IOL_urgency_planned);
    start("wrong-lens"); /* exchanged within days, in a child too: the ways say what the decision says */
    c.age_years = 6.0;
    make();
    assert_int_equal(plan.decision.state, IOL_state_exchange);
    assert_true(option(IOL_option_exchange)->rank == 1.0);
    c.patient.only_seeing_eye = IOL_YES; /* hampered: then glasses first */
    make();
    assert_true(option(IOL_option_spectacles)->rank == 1.0);
}

static void growth_is_no_conflict(void **state) {
    (void)state;
    start("child");
    assert_false(stands_because(IOL_NOTE_repeat_conflict) || cautioned(IOL_NOTE_measurements_in_conflict));
    int note = has_note(&plan, IOL_AT_plan_assumptions, IOL_NOTE_assume_growth);
    assert_true(note >= 0);
    /* from 4.46 to 6.00 years, 0.2 mm a year */
    CHECK_NEAR(plan.notes.item[note].value, 0.2 * (c.biometry_repeat.measured_on - c.biometry.measured_on) / 365.25,
               1e-9, "judgement, 0.2 mm a year from 3 to 6 years");
    c.biometry_repeat.axial_length_mm =
        c.biometry.axial_length_mm + 0.31 + 0.31 + 0.05; /* growth and the limit of a conflict */
    make();
    assert_true(stands_because(IOL_NOTE_repeat_conflict));
    example_case("child", &c);
    c.age_years = 30.0;
    make();
    assert_true(stands_because(IOL_NOTE_repeat_conflict)); /* an adult's eye does not grow */
    c.age_years = NAN;
    make();
    assert_true(stands_because(IOL_NOTE_repeat_conflict)); /* nor does one whose age is not known */
    example_case("child", &c);
    c.biometry_repeat.measured_on = IOL_UNKNOWN_DATE;
    make();
    assert_true(stands_because(IOL_NOTE_repeat_conflict)); /* nor one without dates */
    example_case("child", &c);
    c.biometry_repeat.axial_length_mm = c.biometry.axial_length_mm - 0.37;
    make();
    assert_true(stands_because(IOL_NOTE_repeat_conflict)); /* no eye grows shorter */
}

static void a_range_beside_the_target(void **state) {
    (void)state;
    start("child");
    assert_true(plan.growth.present && cautioned(IOL_NOTE_child_later) && cautioned(IOL_NOTE_child_sight));
    CHECK_NEAR(plan.growth.from_se_d, c.target_se_d, 0.0, "it starts from the target");
    assert_true(plan.growth.later_se_low_d < plan.growth.later_se_high_d &&
                plan.growth.later_se_high_d < c.target_se_d);
    c.age_years = 8.0;
    make();
    assert_false(cautioned(IOL_NOTE_child_sight));
    c.age_years = 18.0;
    make();
    assert_true(!plan.growth.present && !cautioned(IOL_NOTE_child_later));
    c.age_years = 0.9;
    make();
    assert_false(plan.growth.present);
    start("child"); /* no target said: from the refraction, not from the plano of a what-if */
    c.target_se_d = c.first_surgery.intended_se_d = NAN;
    make();
    CHECK_NEAR(plan.growth.from_se_d, 0.38, 0.005, "examples/child.json: +0.62 -0.50, SE +0.37 or +0.38");
    c.age_years = NAN;
    make();
    assert_int_equal(left_out("growth")->why, IOL_left_why_missing_input);
}

/* What a way does not have is not told with it: no lens goes in where both stay, one comes out or one is turned; only the turn
 * turns, and only a toric lens has an axis. By definition of the ways. */
static void a_way_has_its_own_numbers(void **state) {
    (void)state;
    int seen[IOL_two_way_end] = {0};
    for (int i = 0; i < EXAMPLES + HARD_CASES; i++) {
        const char *who = any_case(i, &c);
        make();
        for (int k = 0; k < plan.two_lenses.ways_count; k++) {
            const iol_two_way *w = &plan.two_lenses.ways[k];
            const bool turns = w->way == IOL_two_way_second_turned;
            const bool puts_in = w->way == IOL_two_way_second_exchanged || w->way == IOL_two_way_first_exchanged ||
                                 w->way == IOL_two_way_one_for_both;
            if (isnan(w->turn_deg) == turns || isnan(w->axis_now_deg) == turns || isnan(w->loss_per_degree_d) == turns)
                fail_msg("%s, way %d: a turn of %g from %g", who, w->way, w->turn_deg, w->axis_now_deg);
            if (!puts_in && !(isnan(w->power_d) && isnan(w->power_exact_d) && isnan(w->cylinder_d) == !turns))
                fail_msg("%s, way %d: a lens of %g D goes in", who, w->way, w->power_d);
            if (!puts_in && w->lens_id[0]) fail_msg("%s, way %d: lens %s goes in", who, w->way, w->lens_id);
            if (isnan(w->axis_deg) != isnan(w->cylinder_d)) fail_msg("%s, way %d: axis %g", who, w->way, w->axis_deg);
            if (!isnan(w->power_d) && isnan(w->power_exact_d)) fail_msg("%s, way %d: a step without a power", who, w->way);
            seen[w->way]++;
        }
    }
    for (int way = 1; way < IOL_two_way_end; way++)
        if (!seen[way]) fail_msg("way %d is met nowhere", way);
}

/* Shares of an eye with two lenses: z is the difference in units of the whole spread, of which that of the reading is one share and
 * all shares are the whole (definition). */
static void shares_of_two_lenses(void **state) {
    (void)state;
    static iol_eye eye;
    static iol_notes notes;
    iol_observed two;
    iol_estimate e;
    example_case("two-lenses", &c);
    iol_eye_make(&c, example_site(), IOL_UNKNOWN_DATE, IOL_EYE_POOLED, &notes, &eye);
    iol_estimate_two_lenses(&eye, (iol_formula)eye.reference, &two, &e);
    assert_int_equal(e.status, IOL_OK);
    const double spread = (eye.now.spectacle_d - e.predicted_d) / e.z;
    double sum = 0.0;
    for (int i = 0; i <= IOL_STATES; i++) sum += e.share[i];
    CHECK_NEAR(sum, 1.0, 1e-12, "all shares");
    CHECK_NEAR(e.share[IOL_STATES], eye.now.sd_d * eye.now.sd_d / (spread * spread), 1e-9, "that of the reading");
}

/* A total power measured after laser, and no keratometry: the cornea is that power, without a cylinder that nobody measured. */
static void a_total_power_alone(void **state) {
    (void)state;
    static iol_eye eye;
    static iol_notes notes;
    example_case("after-laser", &c);
    c.cornea.k_total_d = 39.5;
    c.biometry.k_flat_d = c.biometry.k_steep_d = c.biometry.k_flat_radius_mm = c.biometry.k_steep_radius_mm = NAN;
    c.biometry_repeat.k_flat_d = c.biometry_repeat.k_steep_d = NAN;
    iol_eye_make(&c, example_site(), IOL_UNKNOWN_DATE, IOL_EYE_POOLED, &notes, &eye);
    assert_true(!isnan(eye.k_d));
    CHECK_NEAR(iol_matrix_mean(eye.keratometry), eye.k_d, 1e-12, "its mean is the power");
    CHECK_NEAR(iol_matrix_cylinder(eye.keratometry), 0.0, 1e-12, "no cylinder");
}

/* A first lens of another constant lies elsewhere, and the second stays where it is: what each step is expected to leave is the
 * refraction of those two lenses there, reckoned from the estimate (an eye without cylinder: the means are the whole). */
static void first_lens_that_lies_elsewhere(void **state) {
    (void)state;
    static iol_eye eye;
    static iol_notes notes;
    static iol_site site;
    double exact[3] = {NAN, NAN, NAN};
    for (int k = 0; k < 3; k++) {
        iol_observed two;
        iol_estimate e;
        site = *example_site();
        example_case("two-lenses", &c);
        c.biometry.k_flat_d = c.biometry.k_steep_d = (c.biometry.k_flat_d + c.biometry.k_steep_d) / 2.0;
        c.biometry_repeat.k_flat_d = c.biometry_repeat.k_steep_d = (c.biometry_repeat.k_flat_d + c.biometry_repeat.k_steep_d) / 2.0;
        for (int n = 0; n < c.refractions_count; n++) {
            iol_refraction *r = &c.refractions[n];
            r->sphere_d += r->cylinder_d / 2.0, r->cylinder_d = 0.0, r->axis_deg = NAN;
        }
        for (int n = 0; n < site.lenses_count; n++) { /* all but the plain bag lens are off the shelf */
            const bool plain = site.lenses[n].cylinder_steps_d_count == 0 && site.lenses[n].purpose == IOL_purpose_replacement;
            if (!plain) site.lenses[n].purpose = IOL_purpose_piggyback;
            iol_constants *of = &site.lenses[n].constants;
            *of = c.first_surgery.lens.constants;
            of->a_constant += 0.5 * (k - 1);
            if (!isnan(of->surgeon_factor_mm)) of->surgeon_factor_mm += 0.3 * (k - 1);
            if (!isnan(of->pacd_mm)) of->pacd_mm += 0.3 * (k - 1);
            if (!isnan(of->haigis_a0_mm)) of->haigis_a0_mm += 0.3 * (k - 1);
        }
        iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
        const iol_two_way *way = iol_two_way_of(&plan, IOL_two_way_first_exchanged);
        assert_non_null(way);
        exact[k] = way->power_exact_d;
        iol_eye_make(&c, &site, IOL_UNKNOWN_DATE, IOL_EYE_POOLED, &notes, &eye);
        iol_estimate_two_lenses(&eye, (iol_formula)eye.reference, &two, &e);
        iol_lens_pair pair = iol_estimate_two_of(&two);
        iol_lens_in_eye fresh;
        double change_mm, sd_mm, se_d, slope[IOL_TWO_STATES];
        int basis;
        const iol_shelf_lens *shelf = iol_eye_on_shelf(&site, way->lens_id);
        assert_non_null(shelf);
        iol_eye_shelf_lens(&eye, shelf, eye.old.position, &fresh);
        iol_eye_position_change(&eye, (iol_formula)eye.reference, e.prior.position_mm, &fresh, &change_mm, &sd_mm, &basis);
        pair.eye.position_mm += change_mm, pair.gap_mm += change_mm;
        pair.first_d = way->power_d;
        assert_int_equal(iol_two_lenses_refraction(&pair, eye.vertex_mm, &se_d, slope), IOL_OK);
        CHECK_NEAR(way->expected.se_d, se_d, 0.002, "two lenses where they lie");
    }
    assert_true(exact[0] < exact[1] - 0.2 && exact[1] < exact[2] - 0.2); /* further back: more power */
}

static bool same(double a, double b) { return isnan(a) ? isnan(b) : a == b; }

/* The way out of a second lens is the preferred one of its own table, number by number. */
static void second_lens_taken_out(void **state) {
    (void)state;
    int seen = 0;
    for (int i = 0; i < EXAMPLES + HARD_CASES; i++) {
        const char *who = any_case(i, &c);
        make();
        const iol_two_lenses *two = &plan.two_lenses;
        if (!two->present || !two->second_way_out.present) continue;
        const iol_removal *out = &two->second_way_out.ways;
        const iol_removal_row *way = NULL;
        for (int k = 0; k < out->methods_count; k++)
            if (out->methods[k].id == out->preferred) way = &out->methods[k];
        if (!way) continue;
        if (two->second_removal != way->id || two->second_fits != way->fits || !same(two->second_widest_mm, way->widest_piece_mm) ||
            !same(two->second_wound_low_mm, way->wound_low_mm) || !same(two->second_wound_high_mm, way->wound_high_mm) ||
            !same(two->second_optic_mm, out->lens.optic_diameter_mm))
            fail_msg("%s: not the way of its table", who);
        seen++;
    }
    assert_true(seen > 1);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(a_total_power_alone),
        cmocka_unit_test(first_lens_that_lies_elsewhere),
        cmocka_unit_test(shares_of_two_lenses),
        cmocka_unit_test(second_lens_taken_out),
        cmocka_unit_test(a_way_has_its_own_numbers),
        cmocka_unit_test(a_second_lens_where_there_is_none),
        cmocka_unit_test(a_lens_is_put_in_none_comes_out),
        cmocka_unit_test(the_reading_alone),
        cmocka_unit_test(biometry_alone_where_nothing_was_read),
        cmocka_unit_test(a_contact_lens_reading_has_no_vertex),
        cmocka_unit_test(a_vertex_not_given_is_shown_at_both_ends),
        cmocka_unit_test(a_theatre_reading_is_only_shown),
        cmocka_unit_test(the_line_stands_beside_a_reading_without_a_lens),
        cmocka_unit_test(without_a_lens_nothing_is_cleared),
        cmocka_unit_test(a_fallen_lens_still_comes_out),
        cmocka_unit_test(decision_without_a_lens),
        cmocka_unit_test(no_class_for_a_place),
        cmocka_unit_test(which_lens_comes_out),
        cmocka_unit_test(no_cylinder_without_keratometry),
        cmocka_unit_test(nothing_chosen_after_laser_unread),
        cmocka_unit_test(no_laser_and_no_waiting_for_a_child),
        cmocka_unit_test(five_ways_side_by_side),
        cmocka_unit_test(the_talk_is_of_the_second_lens),
        cmocka_unit_test(the_exact_power_of_one_of_two),
        cmocka_unit_test(a_toric_lens_of_two_is_turned),
        cmocka_unit_test(no_turn_where_none_gains),
        cmocka_unit_test(a_lens_without_power_is_a_lens),
        cmocka_unit_test(the_first_of_two_is_turned_behind_the_second),
        cmocka_unit_test(a_toric_lens_for_one_of_two),
        cmocka_unit_test(two_lenses_by_the_word_alone),
        cmocka_unit_test(the_second_lens_mends_its_own_faults),
        cmocka_unit_test(the_two_labels_are_not_told_apart),
        cmocka_unit_test(a_missing_power_or_place_withholds),
        cmocka_unit_test(two_lenses_by_refraction_alone),
        cmocka_unit_test(a_cylinder_not_stated_clears_nothing),
        cmocka_unit_test(a_complaint_fades_beside_a_lens),
        cmocka_unit_test(own_lens_bars_the_second_too),
        cmocka_unit_test(a_gap_is_assumed_and_listed),
        cmocka_unit_test(both_corneas_of_a_lasered_eye),
        cmocka_unit_test(growth_is_no_conflict),
        cmocka_unit_test(a_range_beside_the_target),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
