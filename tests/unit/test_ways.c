/* The ways that leave the old lens in: a second lens, a turn, glasses, contact lens, corneal laser. */
#include "check.h"
#include "hard_case.h"
#include "plan/aim.h"
#include "plan/laser.h"
#include "tables/rule_codes.h"

static iol_case c;
static iol_plan plan;

static void make(void) { iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan); }

static bool says(int place, iol_note_code code) { return has_note(&plan, place, (int)code) >= 0; }

static void one_reading(double sphere_d, double cylinder_d, double axis_deg) {
    example_case("hyperopic-surprise", &c);
    c.refractions[0] = c.refractions[c.refractions_count - 1];
    c.refractions_count = 1;
    c.refractions[0].sphere_d = sphere_d;
    c.refractions[0].cylinder_d = cylinder_d;
    c.refractions[0].axis_deg = axis_deg;
    c.refractions[0].vertex_mm = 12.0;
}

/* A wrong lens found on day 3: exchange is advised, a second lens in front has no power yet, and its row says so. */
static void second_lens_waits_for_its_own_power(void **state) {
    (void)state;
    example_case("wrong-lens", &c);
    make();
    assert_int_equal(plan.replacement.standing, IOL_standing_advised);
    assert_int_equal(plan.piggyback.power.standing, IOL_standing_provisional);
    assert_int_equal(plan.piggyback.suitable, IOL_UNKNOWN);
    assert_true(says(IOL_AT_piggyback_reasons, IOL_NOTE_opt_pb_provisional));
}

/* ---- contact lens ---- */
static void contact_lens_against_the_printed_chart(void **state) {
    (void)state;
    check_table table;
    int rows = 0;
    check_open(&table, PUBLISHED);
    while (check_next_of(&table, "vertex-12mm")) {
        one_reading(check_after(check_text(&table, "inputs"), "F="), 0.0, NAN);
        make();
        CHECK_NEAR(plan.contact_lens.se_d, check_number(&table, "printed"), check_number(&table, "tolerance"),
                   check_text(&table, "source"));
        rows++;
    }
    assert_int_equal(rows, 86);
}

/* Each meridian travels by itself: +10.00 -4.00 x 180 at 12 mm is 11.36 and 6.47 D at the cornea. */
static void contact_lens_for_each_meridian(void **state) {
    (void)state;
    one_reading(10.0, -4.0, 180.0);
    make();
    CHECK_NEAR(plan.contact_lens.sphere_d, 11.36, 0.005, "handbook staple +10.00 at 12 mm, from memory");
    CHECK_NEAR(plan.contact_lens.sphere_d + plan.contact_lens.cylinder_d, 6.0 / (1.0 - 0.012 * 6.0), 1e-9,
               "F / (1 - V F)");
    CHECK_NEAR(plan.contact_lens.axis_deg, 180.0, 1e-9, "the axis stays");
    CHECK_NEAR(plan.spectacles.sphere_d, 10.0, 1e-9, "there and back");
    CHECK_NEAR(plan.spectacles.cylinder_d, -4.0, 1e-9, "there and back");
}

/* ---- corneal laser ---- */
static void laser_depth_against_an_independent_derivation(void **state) {
    (void)state;
    check_table table;
    int rows = 0;
    check_open(&table, DERIVED("munnerlyn"));
    while (check_next(&table)) {
        double d = check_number(&table, "D"), zone = check_number(&table, "S_mm"),
               radius = check_number(&table, "R1_mm");
        double want = check_number(&table, "exact_um");
        CHECK_NEAR(iol_laser_depth_um(radius, -d, zone), want, check_digits(want, 1e-9), DERIVATION "/munnerlyn.tsv");
        rows++;
    }
    assert_true(rows > 10);
    assert_true(isnan(iol_laser_depth_um(7.8, 1.0, 6.0)) && isnan(iol_laser_depth_um(7.8, NAN, 6.0)));
    assert_true(isnan(iol_laser_depth_um(2.0, -1.0, 6.0)));
}

static void laser_rule_of_thirds_as_printed(void **state) {
    (void)state;
    check_table table;
    static iol_site site;
    int rows = 0;
    check_open(&table, PUBLISHED);
    while (check_next_of(&table, "Munnerlyn rule of thirds")) {
        double d = 0.0, zone = 0.0;
        assert_int_equal(sscanf(check_text(&table, "inputs"), "%lf D, %lf mm", &d, &zone), 2);
        one_reading(-d / (1.0 - 0.012 * d), 0.0, NAN); /* d dioptres at the cornea */
        c.refractions[0].vertex_mm = 12.0;
        c.target_se_d = 0.0;
        site = *example_site();
        site.habits.laser.zone_mm = zone;
        iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
        if (plan.replacement.standing == IOL_standing_withheld) continue;
        double at_cornea = -plan.corneal_laser.se_cornea_d;
        CHECK_NEAR(plan.corneal_laser.depth_rule_of_thirds_um * d / at_cornea, check_number(&table, "printed"), 1e-9,
                   check_text(&table, "source"));
        rows++;
    }
    assert_int_equal(rows, 2);
}

static void laser_bed_and_share(void **state) {
    (void)state;
    static iol_site site;
    one_reading(-2.0, -1.0, 180.0);
    c.target_se_d = 0.0;
    c.cornea.thickness_um = 540.0;
    c.assessed_on = c.first_surgery.done_on + 120;
    site = *example_site();
    site.habits.laser.kind = IOL_laser_kind_flap;
    site.habits.laser.flap_um = 110.0;
    site.habits.laser.zone_mm = 6.0;
    site.habits.laser.transition_um = 5.0;
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
    const iol_corneal_laser *l = &plan.corneal_laser;
    double myopic = 3.0 / (1.0 + 0.012 * 3.0);
    CHECK_NEAR(l->depth_rule_of_thirds_um, 36.0 * myopic / 3.0, 1e-9, "S^2 D / 3 in the most myopic meridian");
    assert_true(l->depth_um > l->depth_rule_of_thirds_um); /* the rule under-states it: 11 % at 6 mm for 4 D */
    CHECK_NEAR(l->bed_left_um, 540.0 - 110.0 - l->depth_um - 5.0, 1e-9, "thickness less flap, depth and transition");
    CHECK_NEAR(l->tissue_share, (110.0 + l->depth_um + 5.0) / 540.0, 1e-12, "Santhiago: (flap + ablation) / thickness");
    assert_int_equal(l->suitable, IOL_YES);
    c.cornea.thickness_um = 345.0;
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
    assert_int_equal(plan.corneal_laser.suitable, IOL_NO);
    assert_true(says(IOL_AT_corneal_laser_reasons, IOL_NOTE_opt_laser_bed));
    assert_true(says(IOL_AT_corneal_laser_reasons, IOL_NOTE_opt_laser_share));
    c.cornea.thickness_um = NAN;
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
    assert_int_equal(plan.corneal_laser.suitable, IOL_UNKNOWN);
}

static void hyperopic_laser_has_no_depth(void **state) {
    (void)state;
    one_reading(2.0, 0.0, NAN);
    make();
    assert_true(isnan(plan.corneal_laser.depth_um) && isnan(plan.corneal_laser.depth_rule_of_thirds_um));
    assert_true(plan.corneal_laser.k_after_d > 43.0);
    assert_true(says(IOL_AT_corneal_laser_reasons, IOL_NOTE_laser_hyperopic_depth));
    static iol_site bare;
    iol_site_generic(&bare);
    iol_plan_make(&c, &bare, IOL_UNKNOWN_DATE, &plan);
    assert_true(says(IOL_AT_plan_assumptions, IOL_NOTE_assume_laser_kind));
    assert_true(says(IOL_AT_plan_assumptions, IOL_NOTE_assume_laser_zone));
    assert_true(says(IOL_AT_plan_assumptions, IOL_NOTE_assume_laser_transition));
    bare.habits.laser.kind = IOL_laser_kind_flap;
    iol_plan_make(&c, &bare, IOL_UNKNOWN_DATE, &plan);
    assert_true(says(IOL_AT_plan_assumptions, IOL_NOTE_assume_laser_flap));
}

/* ---- second lens ---- */
static iol_eye second_eye(double vertex_mm, double now_d) {
    static iol_site none;
    iol_site_reset(&none);
    iol_case_reset(&c);
    iol_eye eye = {.c = &c, .site = &none, .vertex_mm = vertex_mm};
    eye.now = (iol_reading){.usable = true, .spectacle_d = now_d, .vertex_mm = vertex_mm, .sd_d = 0.3};
    double at_cornea;
    iol_vertex_to_cornea(now_d, vertex_mm, &at_cornea);
    eye.now.at_cornea = iol_matrix_scalar(at_cornea);
    eye.keratometry = iol_matrix_scalar(43.5);
    return eye;
}

static void second_lens_against_an_independent_derivation(void **state) {
    (void)state;
    check_table table;
    int rows = 0;
    check_open(&table, DERIVED("secondary"));
    while (check_next(&table)) {
        double now = check_number(&table, "Rx_now"), want = check_number(&table, "P_add_for_target");
        iol_eye eye = second_eye(check_number(&table, "V_mm"), now);
        iol_estimate own = {.status = IOL_OK, .posterior_p0_d = NAN, .believed_d = now};
        own.posterior = (iol_model){check_number(&table, "K_D"), NAN, check_number(&table, "d_mm") + 0.5};
        iol_aim aim;
        iol_spectacle_form form;
        iol_aim_by_piggyback(&eye, &own, IOL_route_refraction_only, &aim);
        CHECK_NEAR(iol_aim_power(&eye, &aim, check_number(&table, "Rx_target")), want, check_digits(want, 1e-9),
                   DERIVATION "/secondary.tsv");
        double after = check_number(&table, "Rx_after");
        iol_aim_expected(&eye, &aim, iol_matrix_scalar(check_number(&table, "P_add")), iol_matrix_scalar(0.0), &form);
        CHECK_NEAR(form.se_d, after, check_digits(after, 1e-8), DERIVATION "/secondary.tsv");
        rows++;
    }
    assert_true(rows > 10);
}

/* The customary multipliers 1.5 and 1.3 lie in what exact arithmetic gives at K 43.5, 4.7 mm, 12 mm (Hill's rules, up to 7 D). */
static void second_lens_multipliers_hold_the_habit(void **state) {
    (void)state;
    double least[2] = {INFINITY, INFINITY}, most[2] = {0.0, 0.0};
    for (int error = -7; error <= 7; error++) {
        if (error == 0) continue;
        iol_eye eye = second_eye(12.0, error);
        iol_estimate own = {.status = IOL_OK, .posterior_p0_d = NAN, .believed_d = error};
        own.posterior = (iol_model){43.5, NAN, 5.2};
        iol_aim aim;
        iol_aim_by_piggyback(&eye, &own, IOL_route_refraction_only, &aim);
        double times = iol_aim_power(&eye, &aim, 0.0) / error;
        int sign = error > 0;
        least[sign] = fmin(least[sign], times);
        most[sign] = fmax(most[sign], times);
    }
    assert_true(least[1] < 1.5 && most[1] > 1.5);
    assert_true(least[0] < 1.3 && most[0] > 1.3);
    CHECK_NEAR(least[1], 1.42, 0.005, "independent arithmetic at K 43.5, 4.7 mm, vertex 12 mm, two decimals");
    CHECK_NEAR(most[1], 1.57, 0.005, "independent arithmetic at K 43.5, 4.7 mm, vertex 12 mm, two decimals");
    CHECK_NEAR(most[0], 1.37, 0.005, "independent arithmetic at K 43.5, 4.7 mm, vertex 12 mm, two decimals");
    CHECK_NEAR(least[0], 1.25, 0.005, "independent arithmetic at K 43.5, 4.7 mm, vertex 12 mm, two decimals");
}

/* A second lens without power gives back today's refraction, whatever the cylinder of cornea and old lens. */
static void no_power_changes_nothing(void **state) {
    (void)state;
    static const char *const names[] = {"toric-turned", "hyperopic-surprise", "wrong-lens"};
    for (size_t i = 0; i < 3; i++) {
        example_case(names[i], &c);
        static iol_work w;
        iol_work_start(&w, &c, example_site(), IOL_UNKNOWN_DATE, &plan);
        iol_aim aim;
        iol_spectacle_form form;
        iol_aim_by_piggyback(&w.eye, w.joint, IOL_route_joint, &aim);
        assert_true(aim.shape_known);
        iol_aim_expected(&w.eye, &aim, iol_matrix_scalar(0.0), iol_matrix_scalar(0.0), &form);
        CHECK_NEAR(form.se_d, w.joint->believed_d, 1e-9, "nothing added");
        make();
        CHECK_NEAR(form.cylinder_d, plan.spectacles.cylinder_d, 0.02, "nothing added; the sphere is the estimate's");
        CHECK_NEAR(iol_axis_turn(form.axis_deg, plan.spectacles.axis_deg), 0.0, 1e-6, "nothing added");
        iol_matrix lens;
        assert_true(iol_aim_lens(&w.eye, &aim, -0.25, iol_matrix_scalar(0.0), &lens) >= 0);
        iol_aim_expected(&w.eye, &aim, lens, iol_matrix_scalar(0.0), &form);
        CHECK_NEAR(form.se_d, -0.25, 1e-9, "there and back");
        CHECK_NEAR(form.cylinder_d, 0.0, 1e-9, "there and back");
    }
}

static void second_lens_needs_no_axial_length(void **state) {
    (void)state;
    example_case("hyperopic-surprise", &c);
    make();
    double joint = plan.piggyback.power_from_reading_d;
    c.biometry.axial_length_mm = c.biometry_repeat.axial_length_mm = NAN;
    make();
    assert_int_equal(plan.piggyback.power.route, IOL_route_refraction_only);
    CHECK_NEAR(plan.piggyback.power.power_exact_d, joint, 0.02, "the figure from the reading does not need the length");
    assert_true(says(IOL_AT_piggyback_reasons, IOL_NOTE_pb_multiplier));
}

static void a_sharp_or_short_lens_is_no_second_lens(void **state) {
    (void)state;
    static iol_site site;
    example_case("hyperopic-surprise", &c);
    site = *example_site();
    for (int i = 0; i < site.lenses_count; i++)
        if (site.lenses[i].purpose == IOL_purpose_piggyback) site.lenses[i].edge = IOL_edge_square;
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
    assert_true(says(IOL_AT_piggyback_reasons, IOL_NOTE_opt_pb_shelf));
    site = *example_site();
    for (int i = 0; i < site.lenses_count; i++)
        if (site.lenses[i].purpose == IOL_purpose_piggyback) site.lenses[i].length_mm = 12.9;
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
    assert_int_equal(plan.piggyback.suitable, IOL_NO);
    for (int i = 0; i < site.lenses_count; i++)
        if (site.lenses[i].purpose == IOL_purpose_piggyback) site.lenses[i].length_mm = 13.0;
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
    assert_int_equal(plan.piggyback.suitable, IOL_YES);
    for (int i = 0; i < site.lenses_count; i++)
        if (site.lenses[i].purpose == IOL_purpose_piggyback)
            site.lenses[i].positions_count = 1, site.lenses[i].positions[0] = IOL_position_bag;
    iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan);
    assert_int_equal(plan.piggyback.suitable, IOL_NO); /* none is made for the sulcus */
    CHECK_NAN(plan.piggyback.power.power_exact_d);
}

/* ---- turning ---- */

/* An eye made forward: cornea steep at 90, a toric lens that matches it, its marks off by a turn. */
static void turned_eye(double off_deg) {
    example_case("toric-turned", &c);
    make();
    static iol_work w;
    iol_work_start(&w, &c, example_site(), IOL_UNKNOWN_DATE, &plan);
    iol_model eye = w.joint->posterior;
    iol_matrix right = iol_eye_old_lens_turned(&w.eye, 21.0, 90.0), needed, at_cornea, spectacle;
    iol_matrix_needed(eye.length_mm, eye.position_mm, right, &needed);
    iol_matrix lens = iol_eye_old_lens_turned(&w.eye, 21.0, 90.0 + off_deg);
    iol_matrix_refraction(needed, eye.length_mm, eye.position_mm, lens, &at_cornea);
    iol_matrix_step(at_cornea, -0.012, &spectacle);
    iol_spherocylinder form = iol_matrix_to_spherocylinder(spectacle);
    for (int i = 0; i < c.refractions_count; i++) {
        c.refractions[i].sphere_d = form.sphere_d;
        c.refractions[i].cylinder_d = form.cylinder_d;
        c.refractions[i].axis_deg = form.axis_deg;
    }
    c.first_surgery.lens.axis_deg = iol_axis_reduce(90.0 + off_deg);
}

static void the_search_finds_the_meridian_and_the_way(void **state) {
    (void)state;
    static const struct {
        int turns;
        double off, turn, back;
        int direction;
    } rows[] = {{IOL_turns_clockwise, 20, -20, NAN, IOL_direction_clockwise},
                {IOL_turns_clockwise, -8, -172, 8, IOL_direction_clockwise},
                {IOL_turns_anticlockwise, 20, 160, -20, IOL_direction_anticlockwise},
                {IOL_turns_anticlockwise, -20, 20, NAN, IOL_direction_anticlockwise},
                {IOL_turns_clockwise, 90, -90, NAN, IOL_direction_clockwise}, /* a quarter is as long either way */
                {IOL_turns_anticlockwise, 90, 90, NAN, IOL_direction_anticlockwise},
                {IOL_turns_both, 20, -20, NAN, IOL_direction_clockwise},
                {IOL_turns_both, -20, 20, NAN, IOL_direction_anticlockwise},
                {IOL_turns_clockwise, -0.2, 0, NAN, 0}, /* not half round for so little, in no direction */
                {IOL_turns_anticlockwise, 0.2, 0, NAN, 0},
                {0, -20, -160, 20, IOL_direction_clockwise}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        turned_eye(rows[i].off);
        c.first_surgery.lens.turns_freely = rows[i].turns;
        make();
        const iol_rotation *r = &plan.rotation;
        CHECK_NEAR(r->least_cylinder_axis_deg, 90.0, 0.3, "eye made forward; the estimate moves the lens a little");
        CHECK_NEAR(fabs(r->expected.cylinder_d), 0.0, 0.03, "eye made forward");
        CHECK_NEAR(r->turn_deg, rows[i].turn, 0.3, "eye made forward");
        if (isnan(rows[i].back))
            assert_true(isnan(r->turn_back_deg));
        else
            CHECK_NEAR(r->turn_back_deg, rows[i].back, 0.3, "eye made forward");
        assert_int_equal(r->direction, rows[i].direction);
        assert_int_equal(says(IOL_AT_plan_assumptions, IOL_NOTE_assume_turns), rows[i].turns == 0);
    }
}

/* Cylinder left by a lens turned from the least meridian, over that of the lens: 2 sin(turn), the printed table's law. */
static void loss_for_each_degree(void **state) {
    (void)state;
    turned_eye(20.0);
    make();
    double effect = fabs(plan.spectacles.cylinder_d) / (2.0 * sin(20.0 * 3.14159265358979323846 / 180.0));
    double share = plan.rotation.loss_per_degree_d / effect;
    CHECK_NEAR(share, 0.035, 0.0005, "trade article: 3.5 % for the first degree");
    assert_true(says(IOL_AT_rotation_reasons, IOL_NOTE_turn_keeps_se));
    assert_true(says(IOL_AT_rotation_reasons, IOL_NOTE_turn_exchange));
    assert_int_equal(plan.rotation.suitable, IOL_YES);
    c.first_surgery.lens.axis_deg = NAN;
    make();
    assert_true(isnan(plan.rotation.turn_deg));
    assert_int_equal(plan.rotation.suitable, IOL_UNKNOWN);
}

/* A lens back to front and of known build lies elsewhere than its constant says, also when it is turned on its axis: the spherical
 * equivalent stays what it is, as far as the reading is believed. */
static void turned_it_stays_reversed(void **state) {
    (void)state;
    turned_eye(20.0);
    iol_lens *lens = &c.first_surgery.lens;
    lens->way_up = IOL_way_up_reversed;
    lens->front_radius_mm = 7.333, lens->back_radius_mm = -200.0, lens->centre_thickness_mm = 0.8;
    lens->refractive_index = 1.49;
    make();
    CHECK_NEAR(plan.rotation.expected.se_d, plan.surprise.current_se_d, 0.60,
               "a turn changes no spherical equivalent; two spreads of the reading");
}

/* A lens of too little cylinder and one of too much are both told, with what the cornea asks for; no turn mends either. */
static void the_wrong_cylinder_either_way(void **state) {
    (void)state;
    int weak = 0, strong = 0;
    for (double axis = 10.0; axis <= 180.0; axis += 10.0)
        for (double cylinder = 1.0; cylinder <= 6.0; cylinder += 2.5) {
            example_case("toric-turned", &c);
            c.first_surgery.lens.cylinder_d = cylinder;
            for (int i = 0; i < c.refractions_count; i++) c.refractions[i].axis_deg = axis;
            make();
            const int note = has_note(&plan, IOL_AT_rotation_reasons, IOL_NOTE_turn_wrong_cylinder);
            if (note < 0) continue;
            const iol_note *n = &plan.notes.item[note];
            CHECK_NEAR(n->value, cylinder, 1e-9, "what the lens has");
            assert_true(fabs(n->value - n->limit) > 0.75);
            weak += n->value < n->limit, strong += n->value > n->limit;
        }
    if (!weak || !strong) fail_msg("%d too weak, %d too strong", weak, strong);
}

static void not_toric_is_left_out(void **state) {
    (void)state;
    example_case("hyperopic-surprise", &c);
    make();
    assert_false(plan.rotation.present);
    assert_false(plan.reposition.present);
    int said = 0;
    for (int i = 0; i < plan.left_out_count; i++) said += plan.left_out[i].why == IOL_left_why_not_applicable;
    assert_true(said >= 2);
}

/* ---- putting the old lens back ---- */
static void how_the_lens_would_be_held(void **state) {
    (void)state;
    example_case("dislocation", &c);
    make();
    assert_int_equal(plan.reposition.how, IOL_reposition_how_suture);
    c.dislocation.with_capsule = IOL_NO;
    make();
    assert_int_equal(plan.reposition.how, 0); /* one piece, zonule lost, no bag round it */
    assert_int_equal(plan.reposition.suitable, IOL_NO);
    c.first_surgery.lens.design = IOL_design_three_piece;
    make();
    assert_int_equal(plan.reposition.how, IOL_reposition_how_sclera);
    assert_false(says(IOL_AT_reposition_reasons, IOL_NOTE_place_shift)); /* as deep as before */
    c.first_surgery.lens.position = IOL_position_sulcus;
    make();
    CHECK_NEAR(plan.reposition.shift_mm, 0.5, 1e-12, "the sclera takes it where the bag held it, the sulcus 0.5 mm before");
    assert_true(says(IOL_AT_reposition_reasons, IOL_NOTE_place_shift));
    example_case("hyperopic-surprise", &c);
    c.reason = IOL_reason_lens_decentration;
    c.dislocation.with_capsule = IOL_NO;
    make();
    assert_int_equal(plan.reposition.how, IOL_reposition_how_recentre);
    c.first_surgery.lens.position = IOL_position_sulcus;
    c.first_surgery.lens.design = IOL_design_three_piece;
    c.capsule.opening_mm = 5.0;
    make();
    assert_int_equal(plan.reposition.how, IOL_reposition_how_capture);
    const double captured_d = plan.reposition.expected.se_d;
    c.target_se_d = captured_d + 1.5; /* over 1 D off: the way of the capture tells the same refraction */
    make();
    const int note = has_note(&plan, IOL_AT_option_row_reasons, IOL_NOTE_opt_capture_power);
    assert_true(note >= 0);
    CHECK_NEAR(plan.notes.item[note].value, captured_d, 1e-9, "one lens in one place");
    c.zonule.missing_clock_hours = NAN;
    c.zonule.donesis = 0;
    make();
    assert_int_equal(plan.reposition.how, 0);
}

/* What a series of lasers reached is told where a laser may fit, and only there. */
static void series_only_where_it_may_fit(void **state) {
    (void)state;
    static const int surface[] = {0, IOL_surface_regular, IOL_surface_irregular};
    int fits = 0, not = 0;
    for (int e = 0; e < EXAMPLES; e++)
        for (int k = 0; k < 3; k++) {
            example_case(example_names[e], &c);
            c.cornea.surface = surface[k];
            make();
            if (!plan.corneal_laser.present) continue;
            bool no = plan.corneal_laser.suitable == IOL_NO || c.cornea.earlier_refractive_surgery != IOL_corneal_surgery_none;
            assert_int_equal(says(IOL_AT_corneal_laser_reasons, IOL_NOTE_published_laser), !no);
            assert_int_equal(says(IOL_AT_corneal_laser_reasons, IOL_NOTE_published_laser_one), !no);
            assert_false(no && says(IOL_AT_corneal_laser_reasons, IOL_NOTE_laser_planned));
            fits += !no, not += no;
        }
    assert_true(fits > 0 && not > 0);
}

/* Reasons of a way that has a part of its own stand there, not a second time in its row. */
static void reasons_stand_once(void **state) {
    (void)state;
    static const int own[] = {IOL_option_spectacles, IOL_option_contact_lens, IOL_option_corneal_laser,
                              IOL_option_rotation,   IOL_option_reposition,   IOL_option_piggyback};
    int rows = 0, others = 0;
    for (int i = 0; i < EXAMPLES + HARD_CASES; i++) {
        const char *name = any_case(i, &c);
        make();
        for (int k = 0; k < plan.options_count; k++) {
            bool part = false;
            for (int o = 0; o < 6; o++) part |= plan.options[k].option == own[o];
            const bool told = iol_note_find(&plan.notes, IOL_AT_option_row_reasons, k, 0) >= 0;
            rows += part, others += told;
            if (part && told) fail_msg("%s: %s", name, iol_word_text(&iol_words_option, plan.options[k].option));
        }
    }
    assert_true(rows > 100 && others > 20);
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(reasons_stand_once),
        cmocka_unit_test(the_wrong_cylinder_either_way),
        cmocka_unit_test(series_only_where_it_may_fit),
        cmocka_unit_test(second_lens_waits_for_its_own_power),
        cmocka_unit_test(contact_lens_against_the_printed_chart),
        cmocka_unit_test(contact_lens_for_each_meridian),
        cmocka_unit_test(laser_depth_against_an_independent_derivation),
        cmocka_unit_test(laser_rule_of_thirds_as_printed),
        cmocka_unit_test(laser_bed_and_share),
        cmocka_unit_test(hyperopic_laser_has_no_depth),
        cmocka_unit_test(second_lens_against_an_independent_derivation),
        cmocka_unit_test(second_lens_multipliers_hold_the_habit),
        cmocka_unit_test(no_power_changes_nothing),
        cmocka_unit_test(second_lens_needs_no_axial_length),
        cmocka_unit_test(a_sharp_or_short_lens_is_no_second_lens),
        cmocka_unit_test(the_search_finds_the_meridian_and_the_way),
        cmocka_unit_test(loss_for_each_degree),
        cmocka_unit_test(turned_it_stays_reversed),
        cmocka_unit_test(not_toric_is_left_out),
        cmocka_unit_test(how_the_lens_would_be_held),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
