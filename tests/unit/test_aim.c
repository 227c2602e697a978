/* Aim and choice: toric marks, spreads of the expected refraction, and which step is taken. */
#include "case_text.h"
#include "check.h"

#include "plan/aim.h"
#include "plan/choices.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

static iol_case c;
static iol_site site;
static iol_notes notes;
static iol_eye eye;
static iol_plan plan;

static void start(void) {
    char json[4096];
    snprintf(json, sizeof json, WORKED_CASE, "srk-t");
    must_read_case(json, &c);
    must_read_site(WORKED_SITE, &site);
}
static void make_eye(void) {
    notes.count = 0;
    iol_eye_make(&c, &site, IOL_UNKNOWN_DATE, IOL_EYE_POOLED, &notes, &eye);
}
static void make(void) { iol_plan_make(&c, &site, IOL_UNKNOWN_DATE, &plan); }

/* A cornea of 2.00 D with its steep meridian at `steep`, and a toric class on the shelf. */
static void toric_eye(double steep) {
    start();
    c.biometry.k_flat_d = 43.25, c.biometry.k_steep_d = 45.25, c.biometry.k_steep_axis_deg = steep;
    site.lenses[0].cylinder_steps_d_count = 4;
    for (int i = 0; i < 4; i++) site.lenses[0].cylinder_steps_d[i] = i;
    c.operation.incision_width_mm = NAN;
}

static void marks_lie_on_the_steep_meridian(void **state) {
    (void)state;
    static const double steep[] = {5, 47, 90, 133, 180};
    for (size_t i = 0; i < 5; i++) {
        toric_eye(steep[i]);
        c.refractions_count = 0; /* the cornea speaks alone */
        make();
        assert_true(plan.replacement.choices_count > 0);
        const iol_choice *choice = &plan.replacement.choices[0];
        assert_true(choice->cylinder_d > 1.9);
        /* The wound turns the cornea a little. */
        CHECK_NEAR(iol_axis_turn(steep[i], choice->axis_deg), 0.0, 6.0, "contract: marks on the steepest meridian");
        assert_true(fabs(choice->expected.cylinder_d) < 0.7);
    }
}

/* Who has a toric lens is not given a plain one unasked: without a stated limit the toric class leads where the plain one
 * would leave more than 0.50 D of cylinder (judgement). What does not fit together is measured again before it is ordered. */
static void toric_for_toric(void **state) {
    (void)state;
    for (int toric = 0; toric < 2; toric++)
        for (int fits = 0; fits < 2; fits++) {
            toric_eye(90);
            site.lenses[1] = site.lenses[0], site.lenses_count = 2;
            memcpy(site.lenses[0].id, "plain", sizeof "plain");
            site.lenses[0].cylinder_steps_d_count = 0;
            c.target_cylinder_d = NAN;
            if (toric) c.first_surgery.lens.cylinder_d = 3.0, c.first_surgery.lens.axis_deg = 115;
            c.first_surgery.lens.power_is = IOL_power_is_equivalent;
            /* 2.0 D at 90 and 2.1 D at 25 in the spectacle plane add to 1.7 D at 57: minus cylinder at 147. */
            c.refractions[0].cylinder_d = toric ? -1.75 : -2.0;
            c.refractions[0].axis_deg = (toric ? 147 : 180) - (fits ? 0 : 90);
            make();
            bool plain = strcmp(plan.replacement.lens_id, "plain") == 0;
            assert_true(plain == !toric);
            int place = IOL_AT_replacement_standing_reasons;
            bool again = false;
            for (int i = iol_note_find(&plan.notes, place, 0, 0); i >= 0;
                 i = iol_note_find(&plan.notes, place, 0, i + 1))
                again |= plan.notes.item[i].code == IOL_NOTE_repeat_cylinder;
            assert_true(again == (toric && !fits));
        }
}

/* A toric lens with its marks right leaves little cylinder; keratometry, lens and reading then agree. Across, they cannot. */
static void marks_of_the_old_lens(void **state) {
    (void)state;
    for (int side = 0; side < 2; side++) {
        toric_eye(90);
        c.first_surgery.lens.cylinder_d = 3.0;
        c.first_surgery.lens.power_is = IOL_power_is_equivalent;
        c.first_surgery.lens.axis_deg = side ? 180 : 90;
        c.refractions[0].cylinder_d = 0.0;
        make();
        if (side)
            assert_true(plan.surprise.corneal_remainder_d > 3.5);
        else
            assert_true(plan.surprise.corneal_remainder_d < 0.3);
    }
    start();
    c.first_surgery.lens.cylinder_d = 3.0;
    c.first_surgery.lens.axis_deg = 0.0001;
    c.first_surgery.lens.power_is = IOL_power_is_weakest_meridian;
    make_eye();
    CHECK_NEAR(eye.old.power_d, 21.5, 1e-12, "weakest 20.0 D and 3.0 D of cylinder: equivalent 21.5 D");
    CHECK_NEAR(eye.old.power.xx, 20.0, 1e-6, "weakest along the marks");
    CHECK_NEAR(eye.old.power.yy, 23.0, 1e-6, "strongest across them");
    c.first_surgery.lens.power_is = IOL_power_is_equivalent;
    make_eye();
    CHECK_NEAR(eye.old.power.xx, 18.5, 1e-6, "weakest along the marks");
    CHECK_NEAR(eye.old.power.yy, 21.5, 1e-6, "strongest across them");
}

/* Residual of a turned toric lens, IACLE Module 3 App. B: over-refraction cylinder 2 C sin(angle), and its sphere half of it. */
static void a_turned_lens_against_the_published_table(void **state) {
    (void)state;
    check_table table;
    int rows = 0;
    toric_eye(90);
    c.first_surgery.lens.cylinder_d = 3.0;
    c.first_surgery.lens.power_is = IOL_power_is_equivalent;
    c.first_surgery.lens.axis_deg = 90;
    c.refractions[0].sphere_d = c.refractions[0].cylinder_d = 0.0;
    make_eye();
    iol_lens_in_eye same = eye.old;
    iol_estimate own;
    iol_aim aim;
    iol_aim_by_refraction(&eye, &same, &own, NULL, &aim);
    double cornea_d = iol_matrix_cylinder(aim.shape); /* what the lens takes away, at the cornea */
    check_open(&table, PUBLISHED);
    while (check_next_of(&table, "toric-misaligned")) {
        const char *inputs = check_text(&table, "inputs"), *printed = check_text(&table, "printed");
        double size = check_after(inputs, "C="), turn = check_after(inputs, "deg=");
        iol_matrix at_cornea, lens = iol_matrix_from_meridians(eye.old.power_d - 1.5, eye.old.power_d + 1.5, 90 + turn);
        assert_int_equal(iol_aim_at_cornea(&aim, lens, iol_matrix_scalar(0), &at_cornea), IOL_OK);
        double want = fabs(check_after(printed, "cylinder=")) / size, got = iol_matrix_cylinder(at_cornea) / cornea_d;
        /* Half the last digit of the table, and 1 %: the eye's lens does not lie at the cornea. */
        CHECK_NEAR(got, want, 0.005 / size + 0.01 * want, check_text(&table, "source"));
        rows++;
    }
    assert_int_equal(rows, 90);
}

static void an_old_lens_without_constants(void **state) {
    (void)state;
    iol_estimate own;
    iol_aim aim;
    iol_lens_in_eye fresh;
    start();
    c.first_surgery.lens.constants.a_constant = NAN;
    static const struct {
        int from, to;
        double change;
    } rows[] = {{IOL_position_bag, IOL_position_bag, 0.0},
                {IOL_position_bag, IOL_position_sulcus, -0.5},
                {IOL_position_sulcus, IOL_position_bag, 0.5},
                {IOL_position_chamber, IOL_position_chamber, 0.0}};
    for (size_t i = 0; i < 4; i++) {
        c.first_surgery.lens.position = rows[i].from;
        site.lenses[0].constants.for_position = rows[i].to == IOL_position_chamber ? rows[i].to : 0;
        make_eye();
        iol_eye_shelf_lens(&eye, &site.lenses[0], rows[i].to, &fresh);
        iol_aim_by_refraction(&eye, &fresh, &own, NULL, &aim);
        assert_true(aim.status >= 0);
        CHECK_NEAR(aim.model.position_mm - own.posterior.position_mm, rows[i].change, 1e-12,
                   "only the fixation moves it");
    }
}

/* A lens that was fixed in the sclera lies where the usual distance has it, wherever the next one is fixed: with no constant of its
 * own, and the next lens 1 mm from the limbus, that one lies by the published difference further forward. */
static void an_old_lens_in_the_sclera(void **state) {
    (void)state;
    iol_estimate own;
    iol_aim aim;
    iol_lens_in_eye fresh;
    start();
    c.first_surgery.lens.constants.a_constant = NAN;
    c.first_surgery.lens.position = IOL_position_bag;
    c.operation.fixation_distance_mm = 1.0;
    make_eye();
    iol_eye_shelf_lens(&eye, &site.lenses[0], IOL_position_sclera, &fresh);
    iol_aim_by_refraction(&eye, &fresh, &own, NULL, &aim);
    CHECK_NEAR(aim.model.position_mm - own.posterior.position_mm, -0.5, 1e-12, "docs/method.md, The eye model");
    c.first_surgery.lens.position = IOL_position_sclera;
    make_eye();
    iol_eye_shelf_lens(&eye, &site.lenses[0], IOL_position_bag, &fresh);
    iol_aim_by_refraction(&eye, &fresh, &own, NULL, &aim);
    CHECK_NEAR(aim.model.position_mm - own.posterior.position_mm, 0.0, 1e-12, "docs/method.md, The eye model: 2 mm");
}

/* A lens in the chamber whose constants are for the bag stands, by the refraction alone, as the first lens of the shelf that
 * is made for the chamber; its Haigis constants do not hold there either. Without such a lens: the usual one in the bag. */
static void a_constant_that_does_not_hold(void **state) {
    (void)state;
    static iol_mixture m;
    iol_estimate own, held;
    for (int shelf = 0; shelf < 2; shelf++) {
        start();
        iol_lens *lens = &c.first_surgery.lens;
        c.formula = IOL_formula_haigis, c.biometry.chamber_depth_mm = 3.1;
        if (shelf) {
            site.lenses[1] = site.lenses[0], site.lenses_count = 2;
            site.lenses[1].constants.a_constant = 115.4, site.lenses[1].constants.for_position = IOL_position_chamber;
        }
        lens->position = shelf ? IOL_position_chamber : IOL_position_bag;
        lens->constants = (iol_constants){.present = true,
                                          .a_constant = shelf ? 115.4 : c_a_constant_assumed,
                                          .surgeon_factor_mm = NAN,
                                          .pacd_mm = NAN,
                                          .haigis_a0_mm = NAN,
                                          .haigis_a1 = NAN,
                                          .haigis_a2 = NAN,
                                          .for_position = shelf ? IOL_position_chamber : 0};
        make_eye();
        iol_mixture_alone(&eye, &m, &held);
        lens->position = IOL_position_chamber, lens->constants.for_position = 0, lens->constants.a_constant = 119.0;
        lens->constants.haigis_a0_mm = 0.4, lens->constants.haigis_a1 = lens->constants.haigis_a2 = 0.0;
        make_eye();
        iol_mixture_alone(&eye, &m, &own);
        assert_true(own.status >= 0 && held.status >= 0);
        CHECK_NEAR(own.posterior.position_mm, held.posterior.position_mm, 1e-12, "docs/method.md, From the refraction alone");
        CHECK_NEAR(own.posterior.length_mm, held.posterior.length_mm, 1e-12, "docs/method.md, From the refraction alone");
        assert_true(shelf ? own.posterior.position_mm < 4.5 : own.posterior.position_mm > 4.5);
    }
}

/* Where no reading counts, what the old lens would have done to one is no part of the eye: a toric one gives the power of a plain
 * one. */
static void an_old_lens_that_was_not_read(void **state) {
    (void)state;
    start();
    c.refractions_count = 0;
    make();
    double plain = plan.replacement.power_exact_d;
    c.first_surgery.lens.cylinder_d = 6.0, c.first_surgery.lens.axis_deg = 30.0;
    make();
    assert_int_equal(plan.replacement.route, IOL_route_biometry_only);
    CHECK_NEAR(plan.replacement.power_exact_d, plain, 1e-9, "biometry alone");
}

/* Spread of the expected refraction, put together by hand from the derivatives that other tests check. */
static void spread_of_the_expected_refraction(void **state) {
    (void)state;
    iol_estimate e, own;
    iol_aim aim;
    iol_lens_in_eye fresh;
    iol_gradient h;
    start(), make_eye();
    iol_eye_shelf_lens(&eye, &site.lenses[0], IOL_position_bag, &fresh);
    iol_aim_by_refraction(&eye, &fresh, &own, NULL, &aim);
    iol_refraction_gradient(aim.model, 24.0, eye.vertex_mm, &h);
    double rest = pow(0.20 * h.power, 2) + pow(0.15 * h.position, 2) + pow(0.30, 2);
    CHECK_NEAR(iol_aim_sd(&eye, &aim, 24.0), sqrt(rest), 1e-12, "lens, position and reading alone");
    iol_estimate_make(&eye, IOL_FORMULA_srk_t, &e);
    iol_aim_by_formula(&eye, &e, &fresh, &aim);
    iol_refraction_gradient(aim.model, 24.0, eye.vertex_mm, &h);
    const double g[] = {[IOL_L] = h.length, [IOL_K] = h.cornea, [IOL_E] = h.position};
    double inside = 0.0;
    for (int i = 0; i < 3; i++)
        for (int k = 0; k < 3; k++) inside += g[i] * e.covariance[i][k] * g[k];
    rest = pow(0.20 * h.power, 2) + pow(0.15 * h.position, 2) + pow(0.30, 2);
    CHECK_NEAR(iol_aim_sd(&eye, &aim, 24.0), sqrt(inside + rest), 1e-12, "method, section 4: joint");
}

static const iol_choice *chosen(void) {
    const iol_choice *found = NULL;
    make();
    for (int i = 0; i < plan.replacement.choices_count; i++) {
        if (plan.replacement.choices[i].chosen != IOL_YES) continue;
        assert_null(found);
        found = &plan.replacement.choices[i];
    }
    assert_non_null(found);
    return found;
}

static void the_step_that_is_taken(void **state) {
    (void)state;
    for (double target = -1.0; target <= 0.0; target += 0.0625) {
        start();
        c.target_se_d = target;
        site.habits.aim = IOL_aim_nearest;
        const iol_choice *one = chosen();
        for (int i = 0; i < plan.replacement.choices_count; i++)
            assert_true(fabs(one->expected.se_d - target) <=
                        fabs(plan.replacement.choices[i].expected.se_d - target) + 1e-12);
        site.habits.aim = IOL_aim_not_above_target;
        one = chosen();
        assert_true(one->expected.se_d <= target);
        for (int i = 0; i < plan.replacement.choices_count; i++)
            if (plan.replacement.choices[i].power_d < one->power_d)
                assert_true(plan.replacement.choices[i].expected.se_d > target);
        assert_true(plan.replacement.choices_count == 7);
    }
}

/* A step further than 3 D from the exact power neither is chosen nor tells which chance is the greatest; where none is near,
 * any is. */
static void no_step_beyond_reach(void **state) {
    (void)state;
    static iol_work w;
    static iol_replacement out;
    static const struct {
        double power, off, half;
    } row[] = {{20.0, 0.0, 0.50}, {22.0, 0.6, 0.32}, {23.5, 0.1, 0.315}, {24.0, 0.0, 0.20}};
    start();
    iol_work_start(&w, &c, &site, IOL_UNKNOWN_DATE, &plan);
    w.facts.power_mends = IOL_NO;
    for (int round = 0; round < 2; round++) {
        out = (iol_replacement){.power_exact_d = round == 0 ? 24.0 : 40.0, .choices_count = 4};
        memcpy(out.lens_id, "bag-119", sizeof "bag-119");
        for (int i = 0; i < 4; i++) {
            out.choices[i] = (iol_choice){.power_d = row[i].power, .within_half_d = row[i].half, .chosen = IOL_NO};
            out.choices[i].expected.se_d = w.eye.target_se_d + row[i].off;
            memcpy(out.choices[i].lens_id, "bag-119", sizeof "bag-119");
        }
        iol_choices_choose(&w, &out);
        for (int i = 0; i < 4; i++) assert_int_equal(out.choices[i].chosen == IOL_YES, i == (round == 0 ? 2 : 0));
    }
}

static void off_the_shelf(void **state) {
    (void)state;
    for (int side = 0; side < 2; side++) {
        start();
        site.lenses[0].power_last_d = side ? 23.0 : 24.0; /* the exact power is 23.77 D */
        make();
        bool said = false;
        for (int i = 0; i < plan.notes.count; i++) said |= plan.notes.item[i].code == IOL_NOTE_off_shelf;
        assert_int_equal(said, side);
    }
}

static void a_strong_reading_without_vertex(void **state) {
    (void)state;
    static const double sphere[] = {6.0, 6.25};
    for (int side = 0; side < 2; side++) {
        start();
        c.refractions[0].vertex_mm = NAN;
        c.refractions[0].sphere_d = sphere[side];
        c.first_surgery.lens.power_d = 13.5; /* a lens that such a reading fits */
        make();
        const iol_note *said = NULL;
        for (int i = 0; i < plan.notes.count; i++)
            if (plan.notes.item[i].code == IOL_NOTE_vertex_matters) said = &plan.notes.item[i];
        assert_int_equal(said != NULL, side);
        if (!side) continue;
        /* A hyperope's glasses further away stand for more at the cornea: more power. */
        assert_true(said->value < plan.replacement.power_exact_d && plan.replacement.power_exact_d < said->limit);
        c.refractions[0].vertex_mm = 14.0;
        double low = said->value, high = said->limit;
        make();
        CHECK_NEAR(plan.replacement.power_exact_d, high, 1e-9, "the power at 14 mm");
        c.refractions[0].vertex_mm = 10.0;
        make();
        CHECK_NEAR(plan.replacement.power_exact_d, low, 1e-9, "the power at 10 mm");
    }
}

/* Of the cylinders that are made the one that leaves least is listed: tried one by one. */
static void the_cylinder_that_leaves_least(void **state) {
    (void)state;
    static const double made[] = {0.0, 0.75, 1.5, 2.25, 3.0, 4.5};
    for (int e = 0; e < 5; e++) {
        double left[6], least = INFINITY, best = NAN;
        for (int one = 0; one <= 6; one++) {
            toric_eye(90.0);
            c.biometry.k_steep_d = c.biometry.k_flat_d + 0.5 + 0.8 * e;
            c.refractions_count = 0;
            site.lenses[0].cylinder_steps_d_count = one < 6 ? 1 : 6;
            for (int i = 0; i < 6; i++) site.lenses[0].cylinder_steps_d[i] = one < 6 ? made[one] : made[i];
            make();
            assert_true(plan.replacement.choices_count > 0);
            const iol_choice *first = &plan.replacement.choices[0];
            if (one == 6) {
                CHECK_NEAR(first->cylinder_d, best, 0.0, "tried one by one");
                CHECK_NEAR(fabs(first->expected.cylinder_d), least, 1e-9, "tried one by one");
                break;
            }
            CHECK_NEAR(first->cylinder_d, made[one], 0.0, "the only one made");
            left[one] = fabs(first->expected.cylinder_d);
            if (left[one] < least) least = left[one], best = made[one];
        }
    }
}

/* Each ordinary source of error by its name. */
static void powers_by_cause(void **state) {
    (void)state;
    static const int quantity[] = {IOL_quantity_lens_position, IOL_quantity_axial_length, IOL_quantity_cornea,
                                   IOL_quantity_lens_label};
    start();
    make();
    assert_int_equal(plan.replacement.by_cause_count, 4);
    for (int i = 0; i < 4; i++) {
        assert_int_equal(plan.replacement.by_cause[i].quantity, quantity[i]);
        assert_true(isfinite(plan.replacement.by_cause[i].power_d));
    }
}

/* More classes than the list of steps has room for: those of the first stand, that some are lost is known, nothing is written
 * beyond. */
static void more_classes_than_room(void **state) {
    (void)state;
    start();
    site.lenses_count = 12;
    for (int i = 1; i < 12; i++) {
        site.lenses[i] = site.lenses[0];
        snprintf(site.lenses[i].id, sizeof site.lenses[i].id, "class-%d", i);
    }
    make();
    const iol_replacement *r = &plan.replacement;
    assert_int_equal(r->choices_count, (int)IOL_MOST(r->choices));
    assert_true(r->choices_lost);
    for (int i = 0; i < r->choices_count; i++) assert_true(r->choices[i].present && isfinite(r->choices[i].power_d));
}

/* A second lens starts from the refraction that is believed: its spread is that of the four quantities together, here by
 * differences of the refraction itself; by the reading alone that of the reading. */
static void what_a_second_lens_starts_from(void **state) {
    (void)state;
    iol_estimate joint;
    iol_aim aim;
    start();
    make_eye();
    iol_estimate_make(&eye, IOL_FORMULA_srk_t, &joint);
    joint.leading = NULL, joint.mixture = NULL;
    assert_int_equal(joint.status, IOL_OK);
    double g[IOL_STATES], variance = 0.0;
    for (int i = 0; i < IOL_STATES; i++) {
        double side[2];
        for (int k = 0; k < 2; k++) {
            const double by = k == 0 ? 1e-4 : -1e-4;
            iol_model m = joint.posterior;
            if (i == IOL_L) m.length_mm += by;
            if (i == IOL_K) m.cornea_d += by;
            if (i == IOL_E) m.position_mm += by;
            assert_int_equal(iol_refraction_of(m, joint.posterior_p0_d + (i == IOL_P ? by : 0.0), eye.vertex_mm, &side[k]), IOL_OK);
        }
        g[i] = (side[0] - side[1]) / 2e-4;
    }
    for (int i = 0; i < IOL_STATES; i++)
        for (int k = 0; k < IOL_STATES; k++) variance += g[i] * joint.covariance[i][k] * g[k];
    iol_aim_by_piggyback(&eye, &joint, IOL_route_joint, &aim);
    assert_true(fabs(sqrt(variance) - eye.now.sd_d) > 0.001);
    CHECK_NEAR(aim.sd_start_d, sqrt(variance), 1e-6, "propagation of errors, by central differences");
    iol_aim_by_piggyback(&eye, &joint, IOL_route_refraction_only, &aim);
    CHECK_NEAR(aim.sd_start_d, eye.now.sd_d, 0.0, "the reading's own");
}

/* Without keratometry the reading alone takes the assumed cornea and says so; with it, its own. */
static void a_reading_without_keratometry(void **state) {
    (void)state;
    iol_estimate own;
    start();
    make_eye();
    iol_aim_reading_alone(&eye, &own, &notes);
    CHECK_NEAR(own.posterior.cornea_d, 44.25, 1e-12, "mean of 43.75 and 44.75 D");
    for (int i = 0; i < notes.count; i++) assert_int_not_equal(notes.item[i].code, IOL_NOTE_assume_k);
    c.biometry.k_flat_d = c.biometry.k_steep_d = NAN;
    make_eye();
    iol_aim_reading_alone(&eye, &own, &notes);
    assert_int_equal(own.status, IOL_OK);
    CHECK_NEAR(own.posterior.cornea_d, 43.5, 0.0, "data/constants.def: the cornea that is assumed");
    CHECK_NEAR(own.believed_d, eye.now.spectacle_d, 0.0, "the reading is believed");
    int told = -1;
    for (int i = 0; i < notes.count; i++)
        if (notes.item[i].code == IOL_NOTE_assume_k) told = i;
    assert_true(told >= 0);
    CHECK_NEAR(notes.item[told].value, 43.5, 0.0, "told");
    for (int known = 0; known < 2; known++) { /* likewise where the refraction aims for a new lens */
        const iol_lens_in_eye same = eye.old;
        iol_aim aim;
        notes.count = told = 0;
        if (known) eye.k_d = 44.0;
        iol_aim_by_refraction(&eye, &same, &own, &notes, &aim);
        for (int i = 0; i < notes.count; i++) told += notes.item[i].code == IOL_NOTE_assume_k;
        assert_int_equal(told, !known);
        assert_int_equal(aim.route, IOL_route_refraction_only);
    }
    c.refractions_count = 0;
    make_eye();
    iol_aim_reading_alone(&eye, &own, &notes);
    assert_int_equal(own.status, IOL_BAD_INPUT);
}

/* A lens of 400 D has its far point inside the eye: nothing is predicted for it, and no corneal cylinder is worked out. */
static void a_lens_without_an_answer(void **state) {
    (void)state;
    iol_estimate own;
    bool known = true;
    start();
    make_eye();
    iol_estimate_make(&eye, IOL_FORMULA_srk_t, &own);
    iol_estimate_astigmatism(&eye, &own, &known);
    assert_true(known && isfinite(own.predicted_d));
    c.first_surgery.lens.power_d = 400.0;
    make_eye();
    iol_estimate_make(&eye, IOL_FORMULA_srk_t, &own);
    CHECK_NAN(own.predicted_d);
    iol_matrix none = iol_estimate_astigmatism(&eye, &own, &known);
    assert_false(known);
    CHECK_NEAR(fabs(none.xx) + fabs(none.xy) + fabs(none.yy), 0.0, 0.0, "nothing is worked out");
}

/* What is not known leaves no lens: no estimate, no shape of the cornea, no formula. */
static void nothing_known_no_lens(void **state) {
    (void)state;
    iol_matrix lens;
    iol_estimate joint, own;
    iol_aim aim;
    start();
    make_eye();
    iol_estimate_make(&eye, IOL_FORMULA_srk_t, &joint);
    iol_aim_by_formula(&eye, &joint, &eye.old, &aim);
    assert_true(aim.status >= 0 && aim.shape_known);
    assert_int_equal(iol_aim_lens(&eye, &aim, 0.0, iol_matrix_scalar(0.0), &lens), IOL_OK);
    iol_aim unknown = aim;
    unknown.shape_known = false;
    assert_int_equal(iol_aim_lens(&eye, &unknown, 0.0, iol_matrix_scalar(0.0), &lens), IOL_BAD_INPUT);
    CHECK_NAN(lens.xx);
    unknown = aim;
    unknown.status = IOL_NO_SOLUTION;
    assert_int_equal(iol_aim_lens(&eye, &unknown, 0.0, iol_matrix_scalar(0.0), &lens), IOL_BAD_INPUT);
    CHECK_NAN(lens.xx);
    joint.status = IOL_NO_CONVERGENCE;
    iol_aim_by_formula(&eye, &joint, &eye.old, &aim);
    assert_true(aim.status < 0);
    c.biometry.axial_length_mm = c.biometry_repeat.axial_length_mm = NAN;
    make_eye();
    own.status = IOL_OK; /* whatever stood there */
    iol_aim_by_biometry(&eye, &eye.old, &own, &aim);
    assert_true(own.status < 0 && aim.status < 0);
}

/* Eyes at the ends of what a case may hold: an estimate either has an answer that the optics confirm, or is nothing at all. */
static void estimates_of_impossible_eyes(void **state) {
    (void)state;
    static const double length[] = {14, 16, 22, 30, 40}, power[] = {-40, -10, 20, 60},
                        sphere[] = {-40, -36, -8, 0, 24, 40};
    int unsettled = 0, settled = 0;
    iol_estimate own;
    start();
    for (int i = 0; i < 5 * 4 * 6 * IOL_FORMULA_COUNT; i++) {
        iol_formula formula = (iol_formula)(i % IOL_FORMULA_COUNT);
        c.biometry.axial_length_mm = length[i / IOL_FORMULA_COUNT % 5];
        c.first_surgery.lens.power_d = power[i / IOL_FORMULA_COUNT / 5 % 4];
        c.refractions[0].sphere_d = sphere[i / IOL_FORMULA_COUNT / 20];
        make_eye();
        memset(&own, 0, sizeof own);
        iol_estimate_make(&eye, formula, &own);
        if (own.status < 0) {
            for (int k = 0; k < IOL_STATES * IOL_STATES; k++) CHECK_NAN(own.covariance[k / IOL_STATES][k % IOL_STATES]);
            CHECK_NAN(own.posterior.length_mm);
            CHECK_NAN(own.posterior_p0_d);
            CHECK_NAN(own.believed_d);
        } else if (!isnan(own.believed_d)) {
            double again;
            assert_int_equal(iol_refraction_of(own.posterior, own.posterior_p0_d, eye.vertex_mm, &again), IOL_OK);
            CHECK_NEAR(own.believed_d, again, 1e-9, "the thin-lens eye");
            assert_true(own.posterior.position_mm >= 1.0 && own.posterior.position_mm <= fmin(8.0, own.posterior.length_mm - 10.0));
        }
        unsettled += own.status == IOL_NO_CONVERGENCE;
        settled += own.status >= 0;
    }
    assert_true(unsettled > 100 && settled > 60); /* a lens where none can lie is no answer */
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(marks_lie_on_the_steep_meridian),
                                       cmocka_unit_test(nothing_known_no_lens),
                                       cmocka_unit_test(marks_of_the_old_lens),
                                       cmocka_unit_test(toric_for_toric),
                                       cmocka_unit_test(more_classes_than_room),
                                       cmocka_unit_test(what_a_second_lens_starts_from),
                                       cmocka_unit_test(a_reading_without_keratometry),
                                       cmocka_unit_test(a_lens_without_an_answer),
                                       cmocka_unit_test(the_cylinder_that_leaves_least),
                                       cmocka_unit_test(powers_by_cause),
                                       cmocka_unit_test(estimates_of_impossible_eyes),
                                       cmocka_unit_test(a_turned_lens_against_the_published_table),
                                       cmocka_unit_test(an_old_lens_without_constants),
                                       cmocka_unit_test(an_old_lens_in_the_sclera),
                                       cmocka_unit_test(a_constant_that_does_not_hold),
                                       cmocka_unit_test(an_old_lens_that_was_not_read),
                                       cmocka_unit_test(spread_of_the_expected_refraction),
                                       cmocka_unit_test(the_step_that_is_taken),
                                       cmocka_unit_test(no_step_beyond_reach),
                                       cmocka_unit_test(off_the_shelf),
                                       cmocka_unit_test(a_strong_reading_without_vertex)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
