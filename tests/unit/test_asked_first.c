/* One finding tells one story, whatever the reason for coming; what is asked, looked at or held ready before. Limits: judgement or
 * common practice, as the rules say; each eye beside one in which the other advice is right. */
#include <math.h>

#include "check.h"

#include "hard_case.h"
#include "kept_text.h"
#include "report/compose.h"
#include "tables/constants.h"
#include "tables/rule_codes.h"
#include "way_of.h"

static iol_case c;
static iol_plan plan;

static void make(void) { iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan); }
static bool says(int place, iol_note_code code) { return has_note(&plan, place, (int)code) >= 0; }
static bool acts(iol_note_code code) { return says(IOL_AT_act_text, code); }
static bool told(iol_note_code code) { return says(IOL_AT_told_say, code); }
static int deciding(void) { return deciding_note(&plan); }
static bool card_says(const char *words) { return strstr(text_of_plan(&plan, "theatre"), words) != NULL; }

/* Marked trembling, or more than 4 hours of the zonule gone: how the lens is held comes first, within weeks; nothing is turned or
 * cut in that bag, and its capsule comes out with the lens (common practice). Below, at, above, and by its word; opposite: a zonule
 * that holds, a lens held without its capsule. */
static void a_zonule_that_hardly_holds(void **state) {
    (void)state;
    static const char *const came_for[] = {"displaced", "two-lenses", "hyperopic-surprise", "multifocal-photic", "lens-opacity"};
    for (int e = 0; e < 5; e++)
        for (int i = 0; i < 5; i++) {
            example_case(came_for[e], &c);
            const bool out = e == 4;
            c.zonule.donesis = i == 3 || i == 4 ? IOL_donesis_marked : IOL_donesis_none;
            c.zonule.missing_clock_hours = i == 0 ? 3.9 : i == 1 ? 4.0 : i == 2 ? 4.1 : 0.0; /* limit: judgement */
            if (i == 4) c.first_surgery.lens.position = IOL_position_sclera;
            make();
            const bool loose = i == 2 || i == 3;
            assert_true((deciding() == (out ? IOL_NOTE_rule_loose_out : IOL_NOTE_rule_lens_loose)) == loose);
            assert_true(acts(out ? IOL_NOTE_act_loose_out : IOL_NOTE_act_loose) == loose);
            assert_true(card_says("NO TURN, NO CUT IN THE BAG") == loose);
            assert_true(card_says("Lens and bag come forward together") == loose);
            if (!loose) continue;
            assert_int_equal(plan.decision.urgency, IOL_urgency_weeks);
            assert_true(isnan(plan.removal.orientation.turn_deg));
            assert_true(told(IOL_NOTE_plain_held_weakly) == (e != 0) && told(IOL_NOTE_plain_next_weeks));
            assert_true(way_of(&plan, IOL_option_reposition) != NULL && plan.reposition.present);
            assert_true((plan.reposition.suitable == IOL_NO) == out);
        }
}

/* Where it lies is not told, or no reading counts: found out before an exchange stands beside holding it. Opposite: both told. */
static void hardly_held_and_not_told(void **state) {
    (void)state;
    for (int i = 0; i < 3; i++) {
        example_case("multifocal-photic", &c);
        c.zonule.donesis = IOL_donesis_marked;
        if (i == 1) c.first_surgery.lens.position = 0;
        if (i == 2) c.refractions_count = 0;
        make();
        assert_int_equal(deciding(), i ? IOL_NOTE_rule_lens_loose_unread : IOL_NOTE_rule_lens_loose);
        assert_int_equal(plan.decision.state, i ? IOL_state_find_cause_first : IOL_state_exchange_or_alternative);
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(a_zonule_that_hardly_holds), cmocka_unit_test(hardly_held_and_not_told)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
