/* Property: not knowing something never makes a plan more permissive. Every leaf field of every example is blanked in turn,
 * the case is planned again and compared. A new comparison is one row of `comparisons`. */
#include "case_text.h"
#include "check.h"

#include <dirent.h>

#include "leaves.h"

#define MOST_PATH 200
static iol_site site;
static iol_case full, blanked;
static iol_plan before, after;

/* ---- comparisons: true when `after` is more permissive; what says how ---- */
typedef bool (*comparison)(char what[80]);

static bool tier(char what[80]) {
    snprintf(what, 80, "tier %d -> %d", before.support.tier, after.support.tier);
    return after.support.tier < before.support.tier;
}

/* A place may become "possible" only where the finding that barred it is now named as not known; none becomes expected. */
static bool positions(char what[80]) {
    for (int i = 0; i < before.support.positions_count; i++) {
        const iol_position_outlook *old = &before.support.positions[i];
        for (int k = 0; k < after.support.positions_count; k++) {
            const iol_position_outlook *now = &after.support.positions[k];
            if (now->position != old->position || now->outlook >= old->outlook) continue;
            int note = iol_note_find(&after.notes, IOL_AT_position_outlook_why, k, 0);
            bool named = note >= 0 && after.notes.item[note].code == IOL_NOTE_rung_not_known;
            snprintf(what, 80, "%s %d -> %d", IOL_WORD(position, now->position), old->outlook, now->outlook);
            if (now->outlook == IOL_outlook_expected || !named) return true;
        }
    }
    return false;
}

static const iol_fallback *fallback_at(const iol_plan *plan, int position) {
    for (int i = 0; i < plan->fallbacks_count; i++)
        if (plan->fallbacks[i].position == position) return &plan->fallbacks[i];
    return NULL;
}

static bool barred(const iol_plan *plan, int position) {
    for (int i = 0; i < plan->support.positions_count; i++)
        if (plan->support.positions[i].position == position)
            return plan->support.positions[i].outlook == IOL_outlook_no;
    return false;
}

/* A fallback of a place that was barred must name what is not known; in front of the iris it has no power. */
static bool fallbacks(char what[80]) {
    for (int i = 0; i < after.fallbacks_count; i++) {
        const iol_fallback *f = &after.fallbacks[i];
        const iol_fallback *old = fallback_at(&before, f->position);
        bool in_front = f->position == IOL_position_iris_front || f->position == IOL_position_chamber;
        bool named = false;
        for (int n = iol_note_find(&after.notes, IOL_AT_fallback_needs, i, 0); n >= 0;
             n = iol_note_find(&after.notes, IOL_AT_fallback_needs, i, n + 1))
            named = named || after.notes.item[n].code == IOL_NOTE_need_finding;
        snprintf(what, 80, "fallback %s", IOL_WORD(position, f->position));
        if (barred(&before, f->position) && (!named || (in_front && !isnan(f->power_d)))) return true;
        if (old && isnan(old->power_d) && !isnan(f->power_d)) return true;
    }
    return false;
}

static bool standing(char what[80]) {
    snprintf(what, 80, "standing %d -> %d", before.replacement.standing, after.replacement.standing);
    return after.replacement.present && after.replacement.standing < before.replacement.standing;
}

static bool has_chosen(const iol_plan *plan) {
    for (int i = 0; i < plan->replacement.choices_count; i++)
        if (plan->replacement.choices[i].chosen == IOL_YES) return true;
    return false;
}

static bool chosen(char what[80]) {
    snprintf(what, 80, "a power is chosen");
    return has_chosen(&after) && !has_chosen(&before);
}

static bool theatre_powers(char what[80]) {
    int old = 0, now = 0;
    for (int i = 0; i < before.theatre_list_count; i++) old += !isnan(before.theatre_list[i].power_d);
    for (int i = 0; i < after.theatre_list_count; i++) now += !isnan(after.theatre_list[i].power_d);
    snprintf(what, 80, "powers in theatre %d -> %d", old, now);
    return old == 0 && now > 0;
}

/* How much a decision lets happen to the lens; urgency is no permission: an alarm that is not answered is asked for instead. */
static int permits(int state) {
    if (state == IOL_state_exchange || state == IOL_state_exchange_or_alternative) return 2;
    return state == IOL_state_other_option_first ? 1 : 0;
}

static bool decision(char what[80]) {
    snprintf(what, 80, "state %d -> %d", before.decision.state, after.decision.state);
    return permits(after.decision.state) > permits(before.decision.state);
}

static bool suitability(char what[80]) {
    const struct {
        const char *name;
        iol_flag old, now;
    } rows[] = {{"piggyback", before.piggyback.suitable, after.piggyback.suitable},
                {"rotation", before.rotation.suitable, after.rotation.suitable},
                {"reposition", before.reposition.suitable, after.reposition.suitable},
                {"spectacles", before.spectacles.suitable, after.spectacles.suitable},
                {"contact-lens", before.contact_lens.suitable, after.contact_lens.suitable},
                {"corneal-laser", before.corneal_laser.suitable, after.corneal_laser.suitable}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        snprintf(what, 80, "%s suitable %d -> %d", rows[i].name, (int)rows[i].old, (int)rows[i].now);
        if (rows[i].now == IOL_YES && rows[i].old != IOL_YES) return true;
    }
    return false;
}

/* No way fits that did not; the exchange does not come first where it did not. */
static bool ways(char what[80]) {
    for (int i = 0; i < before.options_count; i++) {
        const iol_option_row *old = &before.options[i];
        for (int k = 0; k < after.options_count; k++) {
            const iol_option_row *now = &after.options[k];
            if (now->option != old->option) continue;
            snprintf(what, 80, "%s fits %d -> %d", IOL_WORD(option, now->option), (int)old->suitable,
                     (int)now->suitable);
            if (now->suitable == IOL_YES && old->suitable != IOL_YES) return true;
            snprintf(what, 80, "%s rank %.0f -> %.0f", IOL_WORD(option, now->option), old->rank, now->rank);
            bool taking = now->option == IOL_option_exchange && now->rank == 1.0 && old->rank != 1.0;
            if (taking && now->suitable == IOL_YES) return true;
        }
    }
    return false;
}

static const struct {
    const char *name;
    comparison permissive;
} comparisons[] = {
    {"tier", tier},         {"positions", positions},     {"fallbacks", fallbacks},
    {"standing", standing}, {"chosen", chosen},           {"theatre", theatre_powers},
    {"decision", decision}, {"suitability", suitability}, {"ways", ways},
};
enum { COMPARISONS = sizeof comparisons / sizeof *comparisons };

/* Known exceptions, each with its reason; each must still occur. */
static struct {
    const char *file, *path, *comparison, *reason;
    int seen;
} exceptions[] = {
    {"examples/myopic-surprise-early.json", "/refractions/sphere_d", "standing",
     "growing myopia raises trapped fluid; a reading that is not given cannot show it, and the standing stays "
     "provisional",
     0},
    {"examples/myopic-surprise-early.json", "/refractions/sphere_d", "fallbacks", "the same", 0},
    {"examples/myopic-surprise-early.json", "/refractions/axis_deg", "standing", "the same: a cylinder without axis",
     0},
    {"examples/myopic-surprise-early.json", "/refractions/axis_deg", "fallbacks", "the same", 0},
    {"examples/short-eye.json", "/first_surgery/lens/constants/a_constant", "standing",
     "the rule of thumb ignores that old and new class differ in constant; without the constant another class is "
     "planned and "
     "the rule agrees",
     0},
};
enum { EXCEPTIONS = sizeof exceptions / sizeof *exceptions };

static bool excepted(const char *file, const char *path, const char *name) {
    for (int i = 0; i < EXCEPTIONS; i++) {
        if (strcmp(exceptions[i].file, file) || strcmp(exceptions[i].path, path)) continue;
        if (strcmp(exceptions[i].comparison, name)) continue;
        exceptions[i].seen++;
        return true;
    }
    return false;
}

/* ---- the walk ---- */

/* Blank one leaf; false when it was blank already. */
static bool blank(const iol_field *field, void *at) {
    double *number = at;
    int *word = at;
    int32_t *date = at;
    char *text = at;
    switch (field->kind) {
    case IOL_KIND_NUM:
        if (isnan(*number)) return false;
        *number = NAN;
        return true;
    case IOL_KIND_DATE:
        if (*date == IOL_UNKNOWN_DATE) return false;
        *date = IOL_UNKNOWN_DATE;
        return true;
    case IOL_KIND_TEXT:
        if (!text[0]) return false;
        text[0] = '\0';
        return true;
    default:
        if (*word == 0) return false;
        *word = 0;
        return true;
    }
}

typedef struct {
    const char *file;
    char path[MOST_PATH];
    int leaves, failures;
} walk;

static void compare(walk *w) {
    char what[80];
    iol_plan_make(&blanked, &site, IOL_UNKNOWN_DATE, &after);
    w->leaves++;
    for (int i = 0; i < COMPARISONS; i++) {
        if (!comparisons[i].permissive(what) || excepted(w->file, w->path, comparisons[i].name)) continue;
        print_error("%s without %s: more permissive: %s (%s)\n", w->file, w->path, comparisons[i].name, what);
        w->failures++;
    }
}

static bool required(const iol_object *object, const char *key) {
    for (const char *const *must = object->must; *must; must++)
        if (strcmp(*must, key) == 0) return true;
    return false;
}

static void visit(walk *w, const iol_object *object, size_t offset) {
    size_t used = strlen(w->path);
    for (int i = 0; i < object->count; i++) {
        const iol_field *field = &object->field[i];
        size_t here = offset + field->offset;
        snprintf(w->path + used, MOST_PATH - used, "/%s", field->key);
        if (field->kind == IOL_KIND_PART) {
            visit(w, field->inside, here);
        } else if (field->kind == IOL_KIND_LIST) {
            int count = *(int *)(void *)((char *)&full + offset + field->count_offset);
            for (int k = 0; k < count; k++) visit(w, field->inside, here + (size_t)k * field->inside->size);
        } else if (field->kind != IOL_KIND_WORDS && field->kind != IOL_KIND_NUMS && !required(object, field->key)) {
            blanked = full;
            if (blank(field, (char *)&blanked + here)) {
                set_present(iol_object_case, &blanked);
                compare(w);
            }
        }
        w->path[used] = '\0';
    }
}

static char *read_file(const char *path) {
    FILE *file = fopen(path, "rb");
    char *text = calloc(1, 1 << 20);
    if (!file || !text || fread(text, 1, (1 << 20) - 1, file) == 0) fail_msg("cannot read %s", path);
    fclose(file);
    return text;
}

static void test_examples(void **state) {
    (void)state;
    DIR *folder = opendir("examples");
    int cases = 0, failures = 0;
    assert_non_null(folder);
    char *text = read_file("examples/site.json");
    must_read_site(text, &site);
    free(text);
    for (struct dirent *entry; (entry = readdir(folder));) {
        char path[MOST_PATH];
        const char *ending = strstr(entry->d_name, ".json");
        if (!ending || strcmp(ending, ".json") != 0 || strcmp(entry->d_name, "site.json") == 0) continue;
        snprintf(path, sizeof path, "examples/%.180s", entry->d_name);
        text = read_file(path);
        must_read_case(text, &full);
        free(text);
        iol_plan_make(&full, &site, IOL_UNKNOWN_DATE, &before);
        walk w = {.file = path};
        visit(&w, iol_object_case, 0);
        assert_true(w.leaves > 8);
        failures += w.failures;
        cases++;
    }
    closedir(folder);
    assert_true(cases >= 13);
    assert_int_equal(failures, 0);
    for (int i = 0; i < EXCEPTIONS; i++) assert_true(exceptions[i].seen > 0);
}

/* The comparisons themselves can fail: a plan with one permissive change is told. */
static void test_comparisons_see_a_change(void **state) {
    (void)state;
    char what[80];
    worked_plan("srk-t", &before);
    after = before;
    for (int i = 0; i < COMPARISONS; i++) assert_false(comparisons[i].permissive(what));
    after.rotation.suitable = IOL_YES;
    assert_true(suitability(what));
    after.support.tier = IOL_tier_routine;
    assert_true(tier(what));
    after.support.positions[0].outlook = IOL_outlook_expected;
    assert_true(positions(what));
    before.replacement.standing = IOL_standing_withheld;
    assert_true(standing(what));
    for (int i = 0; i < before.replacement.choices_count; i++) before.replacement.choices[i].chosen = IOL_NO;
    assert_true(chosen(what));
    for (int i = 0; i < before.theatre_list_count; i++) before.theatre_list[i].power_d = NAN;
    assert_true(theatre_powers(what));
    for (int i = 0; i < before.fallbacks_count; i++) before.fallbacks[i].power_d = NAN;
    after.fallbacks[0].power_d = 20.0;
    assert_true(fallbacks(what));
    before.decision.state = IOL_state_wait;
    after.decision.state = IOL_state_other_option_first;
    assert_true(decision(what));
    before.decision.state = IOL_state_other_option_first;
    after.decision.state = IOL_state_exchange;
    assert_true(decision(what));
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_examples),
                                       cmocka_unit_test(test_comparisons_see_a_change)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
