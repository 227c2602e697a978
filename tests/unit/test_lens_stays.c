/* Where the lens stays, or stays for now: an exchange that no finding asks for does not lead, and a lens that does harm does not
 * wait. Limits: judgement or common practice, as the rules say; each eye beside one in which the other advice is right. */
#include <math.h>

#include "check.h"

#include "hard_case.h"
#include "report/compose.h"
#include "report/screen.h"
#include "tables/constants.h"
#include "tables/rule_codes.h"
#include "way_of.h"

static iol_case c;
static iol_plan plan;

static void example(const char *name) { example_case(name, &c); }
static void make(void) { iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan); }
static bool says(int place, iol_note_code code) { return has_note(&plan, place, (int)code) >= 0; }

static bool advised(iol_note_code code) { return says(IOL_AT_decision_reasons, code); }

static bool acts(iol_note_code code) { return says(IOL_AT_act_text, code); }
static int deciding(void) { return deciding_note(&plan); }

static const iol_option_row *way(int option) { return way_of(&plan, option); }

static bool exchange_leads(void) { return way(IOL_option_exchange)->rank == 1.0; }

/* No step of the shelf reaches the target and a second lens does not fit: what leaves the eye closed, and another shelf; that too
 * where a wrong lens on record comes out all the same. Opposite: the same eye with a second lens that fits, or a target that the
 * shelf reaches. */
static void no_step_reaches(void **state) {
    (void)state;
    for (int i = 0; i < 4; i++) {
        example("short-eye");
        if (i > 0) c.anterior_segment.pigment_dispersion = IOL_YES;
        if (i == 2) c.first_surgery.lens.documented_wrong = IOL_YES;
        if (i == 3) c.target_se_d = 2.0;
        make();
        const bool another = i == 1 || i == 2; /* a lens that comes out all the same: another shelf first */
        assert_true(advised(IOL_NOTE_advise_shelf_short) == another && acts(IOL_NOTE_act_shelf_short) == another);
        assert_true((way(IOL_option_spectacles)->rank == 1.0) == (i == 1));
        assert_true(exchange_leads() == (i == 2));
        assert_true((way(IOL_option_exchange)->rank < way(IOL_option_leave)->rank) == (i > 1));
    }
}

/* A dark arc: no exchange into a place that is not known to relieve it. Opposite: a sound zonule, the sulcus. */
static void no_known_place_for_a_shadow(void **state) {
    (void)state;
    for (int sound = 0; sound < 2; sound++) {
        example("negative-dysphotopsia");
        on_day(&c, 251);
        c.checks.topography_done = IOL_YES;
        c.zonule.donesis = sound ? IOL_donesis_none : IOL_donesis_marked;
        make();
        assert_true((plan.replacement.position == IOL_position_sulcus) == sound);
        assert_true(way(IOL_option_exchange)->rank > 1.0);
        /* on a lost zonule how the lens is held comes first, and leaving it stays ahead of exchange */
        assert_true((deciding_note(&plan) == IOL_NOTE_rule_lens_loose) == !sound);
        assert_true(sound || way(IOL_option_leave)->rank < way(IOL_option_exchange)->rank);
    }
}

/* A lens that is clear, or hardly clouded with a good acuity, is watched. Opposite: marked clouding, or mild with poor acuity.
 * Not stated clears nothing. */
static void hardly_clouded(void **state) {
    (void)state;
    static const struct {
        int opacity;
        double acuity;
        bool small, open;
    } eyes[] = {{IOL_opacity_none, 0.0, true, false},  {IOL_opacity_mild, 0.0, true, false}, {IOL_opacity_mild, 0.31, false, false},
                {IOL_opacity_marked, 0.0, false, false}, {0, 0.0, false, true},                {IOL_opacity_mild, NAN, false, true},
                {IOL_opacity_none, NAN, true, false}};
    for (size_t i = 0; i < sizeof eyes / sizeof *eyes; i++) {
        example("hyperopic-surprise");
        c.reason = IOL_reason_lens_opacity;
        c.first_surgery.lens.opacity = eyes[i].opacity;
        for (int k = 0; k < c.refractions_count; k++) c.refractions[k].corrected_acuity_logmar = eyes[i].acuity;
        make();
        assert_true((deciding() == IOL_NOTE_rule_cloud_small) == eyes[i].small);
        assert_true((deciding() == IOL_NOTE_rule_cloud_open) == eyes[i].open);
        assert_true((deciding() == IOL_NOTE_rule_opacity) == (!eyes[i].small && !eyes[i].open));
        assert_true(exchange_leads() == (!eyes[i].small && !eyes[i].open));
    }
}

/* A zonule that hardly holds: taking a wrong lens out is weighed, and only what is found is said. Opposite: a sound zonule. */
static void a_wrong_lens_that_is_held_badly(void **state) {
    (void)state;
    static const int by[] = {0, IOL_NOTE_rule_documented_wrong, IOL_NOTE_rule_wrong_hampered, IOL_NOTE_rule_wrong_open};
    for (int i = 1; i < 4; i++) {
        example("wrong-lens");
        if (i > 1) c.zonule.donesis = i == 2 ? IOL_donesis_marked : 0;
        make();
        assert_int_equal(deciding(), by[i]);
        const iol_note *first = &plan.notes.item[iol_note_find(&plan.notes, IOL_AT_decision_reasons, 0, 0)];
        if (i == 2) assert_string_equal(first->word, "a zonule that hardly holds");
    }
}

/* One piece in the sulcus with cells, pigment or pressure comes out within weeks, whatever the reason. Opposite: three pieces, or
 * none of them found. */
static void one_piece_that_rubs(void **state) {
    (void)state;
    for (int i = 0; i < 7; i++) {
        example("sulcus-lens");
        c.first_surgery.lens.design = i == 6 ? IOL_design_three_piece : IOL_design_one_piece;
        if (i == 1 || i == 6) c.anterior_segment.uveitis = IOL_uveitis_active;
        if (i == 2) c.anterior_segment.pigment_dispersion = IOL_YES;
        if (i == 3 || i == 4) c.anterior_segment.pressure_mmhg = i == 3 ? c_pressure_treat_mmhg : c_pressure_rubs_mmhg + 0.1;
        if (i == 5) c.anterior_segment.pressure_mmhg = c_pressure_rubs_mmhg;
        make();
        assert_true((deciding() == IOL_NOTE_rule_chafes_inflamed) == (i == 1));
        assert_true((deciding() == IOL_NOTE_rule_lens_chafes) == (i == 2 || i == 4));
        assert_true((deciding() == IOL_NOTE_rule_chafes_pressure) == (i == 3) && acts(IOL_NOTE_act_pressure_chafes) == (i == 3));
        assert_true((deciding() == IOL_NOTE_rule_uveitis_active) == (i == 6));
        if (i > 0 && i < 5) assert_int_equal(plan.decision.urgency, IOL_urgency_weeks);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(no_step_reaches), cmocka_unit_test(no_known_place_for_a_shadow),
                                       cmocka_unit_test(hardly_clouded), cmocka_unit_test(a_wrong_lens_that_is_held_badly),
                                       cmocka_unit_test(one_piece_that_rubs)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
