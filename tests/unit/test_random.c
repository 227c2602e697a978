/* Properties on drawn cases (tests/tools/random_case.c), a few of them here and many in tests/heavy/blanking.c.
 * Source of the twins: the definitions of the contract (axes and places are seen from in front, both eyes alike; plus and minus
 * cylinder are one lens; radius and dioptres are one cornea; an object's keys have no order). */
#include "check.h"

#include "example_case.h"
#include "plan/work.h"
#include "tools/blanking.h"
#include "tools/random_case.h"

enum { BLANKED = 40, TWINS = 400 };

static iol_case c, other;
static iol_plan plan, twin_plan;
static char text[RANDOM_CASE_TEXT];

static struct { int seed, violations; } now;

static void violation(void *context, const char *path, const char *comparison, const char *what) {
    (void)context;
    now.violations++;
    print_error("case %d without %s: more permissive: %s (%s)\n", now.seed, path, comparison, what);
}

static void blanking(void **state) {
    (void)state;
    int leaves = 0;
    for (now.seed = 1; now.seed <= BLANKED; now.seed++) {
        assert_true(random_case((uint64_t)now.seed, example_site(), &c));
        leaves += blank_every_leaf(&c, example_site(), violation, NULL);
    }
    assert_int_equal(now.violations, 0);
    assert_true(leaves > 100 * BLANKED);
}

static void compare(const iol_case *a, const iol_case *b, int seed, const char *name, twin kind) {
    char where[160];
    iol_plan_make(a, example_site(), IOL_UNKNOWN_DATE, &plan);
    iol_plan_make(b, example_site(), IOL_UNKNOWN_DATE, &twin_plan);
    plans_differ(&plan, &twin_plan, kind, 1e-9, where);
    if (where[0]) fail_msg("case %d, %s: %s", seed, name, where);
}

static void key_order(void **state) {
    (void)state;
    static iol_faults faults;
    for (int seed = 1; seed <= TWINS; seed++) {
        assert_true(random_case((uint64_t)seed, example_site(), &c));
        size_t length = case_text(&c, (uint64_t)seed, text);
        assert_true(iol_case_read(text, length, &other, &faults));
        compare(&c, &other, seed, "keys in another order", TWIN_SAME);
    }
}

static void other_eye(void **state) {
    (void)state;
    for (int seed = 1; seed <= TWINS; seed++) {
        assert_true(random_case((uint64_t)seed, example_site(), &c));
        case_mirror(&c, &other);
        compare(&c, &other, seed, "in a mirror", TWIN_MIRRORED);
    }
}

static void other_cylinder(void **state) {
    (void)state;
    for (int seed = 1; seed <= TWINS; seed++) {
        assert_true(random_case((uint64_t)seed, example_site(), &c));
        case_other_cylinder(&c, &other);
        compare(&c, &other, seed, "cylinder of the other sign", TWIN_REWRITTEN);
    }
}

static void radii(void **state) {
    (void)state;
    for (int seed = 1; seed <= TWINS; seed++) {
        assert_true(random_case((uint64_t)seed, example_site(), &c));
        case_radii(&c, &other);
        compare(&c, &other, seed, "radii", TWIN_REWRITTEN);
    }
}

/* Codes of the notes of a place, in their order. */
static void same_notes(int place, int seed) {
    for (int i = 0, k = 0;; i++, k++) {
        i = iol_note_find(&plan.notes, place, 0, i), k = iol_note_find(&twin_plan.notes, place, 0, k);
        if ((i < 0) != (k < 0) || (i >= 0 && plan.notes.item[i].code != twin_plan.notes.item[k].code))
            fail_msg("case %d: other reasons", seed);
        if (i < 0) return;
    }
}

/* A plan that is made only to be compared leaves out what a reader wants, and decides the same. */
static void compared(void **state) {
    (void)state;
    for (int seed = 1; seed <= TWINS; seed++) {
        assert_true(random_case((uint64_t)seed, example_site(), &c));
        iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
        iol_plan_make_compared(&c, example_site(), IOL_UNKNOWN_DATE, &twin_plan);
        const iol_replacement *a = iol_new_lens(&plan), *b = iol_new_lens(&twin_plan);
        const iol_choice *step = iol_chosen_step(a), *same = iol_chosen_step(b);
        const iol_option_row *way = iol_first_way(&plan), *also = iol_first_way(&twin_plan);
        bool alike = plan.decision.state == twin_plan.decision.state &&
                     plan.decision.urgency == twin_plan.decision.urgency && a->standing == b->standing &&
                     a->position == b->position && !step == !same && !way == !also;
        if (!alike || (step && step->power_d != same->power_d) || (way && way->option != also->option))
            fail_msg("case %d: another decision", seed);
        same_notes(IOL_AT_decision_reasons, seed);
        same_notes(IOL_AT_replacement_standing_reasons, seed);
    }
}

/* Marks the fields that a drawn case holds. */
static void mark(const iol_object *object, const void *base, bool seen[], int *at) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *f = &object->field[i];
        const void *value = (const char *)base + f->offset;
        int mine = (*at)++;
        int count = f->count_offset ? *(const int *)(const void *)((const char *)base + f->count_offset) : 0;
        switch (f->kind) {
        case IOL_KIND_NUM: seen[mine] |= !isnan(*(const double *)value); break;
        case IOL_KIND_DATE: seen[mine] |= *(const int32_t *)value != IOL_UNKNOWN_DATE; break;
        case IOL_KIND_TEXT: seen[mine] |= *(const char *)value != '\0'; break;
        case IOL_KIND_PART:
        case IOL_KIND_LIST:
            seen[mine] = true;
            mark(f->inside, value, seen, at);
            break;
        case IOL_KIND_WORDS: seen[mine] |= count > 0; break;
        default: seen[mine] |= *(const int *)value != 0; break;
        }
    }
}

static void name_missing(const iol_object *object, const bool seen[], int *at, int *missing) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *f = &object->field[i];
        if (!seen[(*at)++]) print_error("never drawn: %s.%s\n", object->name, f->key), (*missing)++;
        if (f->inside) name_missing(f->inside, seen, at, missing);
    }
}

/* Every field of the table is drawn, a new one too. */
static void every_field(void **state) {
    (void)state;
    static bool seen[1024];
    int at, missing = 0;
    for (int seed = 1; seed <= 4 * TWINS; seed++) {
        assert_true(random_case((uint64_t)seed, example_site(), &c));
        at = 0;
        mark(iol_object_case, &c, seen, &at);
    }
    assert_true(at < 1024);
    at = 0;
    name_missing(iol_object_case, seen, &at, &missing);
    assert_int_equal(missing, 0);
}

/* The comparer sees a difference of each kind. */
static void sees(void **state) {
    (void)state;
    char where[160];
    assert_true(random_case(1, example_site(), &c));
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    twin_plan = plan;
    plans_differ(&plan, &twin_plan, TWIN_SAME, 0.0, where);
    assert_string_equal(where, "");
    twin_plan.decision.state = 0;
    plans_differ(&plan, &twin_plan, TWIN_SAME, 0.0, where);
    assert_non_null(strstr(where, "decision/state"));
    twin_plan = plan;
    twin_plan.support.score += 1.0;
    plans_differ(&plan, &twin_plan, TWIN_SAME, 1e-9, where);
    assert_non_null(strstr(where, "support/score"));
    twin_plan = plan;
    twin_plan.notes.count--;
    plans_differ(&plan, &twin_plan, TWIN_SAME, 0.0, where);
    assert_non_null(strstr(where, "note: "));
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(blanking),  cmocka_unit_test(key_order),
                                       cmocka_unit_test(other_eye), cmocka_unit_test(other_cylinder),
                                       cmocka_unit_test(radii),     cmocka_unit_test(every_field),
                                       cmocka_unit_test(sees),      cmocka_unit_test(compared)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
