/* Is a plan more permissive than another? And the walk that blanks every leaf of a case in turn. */
#include "blanking.h"
#include "tables/note_codes.h"

#include <stdio.h>
#include <string.h>

#include "case/reader.h"
#include "leaves.h"

/* ---- comparisons: true when `after` is more permissive; what says how ---- */
typedef bool (*comparison)(const iol_plan *before, const iol_plan *after, char what[80]);

static bool tier(const iol_plan *before, const iol_plan *after, char what[80]) {
    snprintf(what, 80, "tier %d -> %d", before->support.tier, after->support.tier);
    return after->support.tier < before->support.tier;
}

/* A place may become "possible" only where the finding that barred it is now named as not known; none becomes expected. */
static bool positions(const iol_plan *before, const iol_plan *after, char what[80]) {
    for (int i = 0; i < before->support.positions_count; i++) {
        const iol_position_outlook *old = &before->support.positions[i];
        for (int k = 0; k < after->support.positions_count; k++) {
            const iol_position_outlook *now = &after->support.positions[k];
            if (now->position != old->position || now->outlook >= old->outlook) continue;
            int note = iol_note_find(&after->notes, IOL_AT_position_outlook_why, k, 0);
            bool named = note >= 0 && after->notes.item[note].code == IOL_NOTE_rung_not_known;
            snprintf(what, 80, "%s %d -> %d", IOL_WORD(position, now->position), old->outlook, now->outlook);
            if (now->outlook == IOL_outlook_expected || !named) return true;
        }
    }
    return false;
}

/* Withheld and provisional are one: nothing may be ordered. */
static bool may_be_ordered(int standing) {
    return standing == IOL_standing_advised || standing == IOL_standing_repeat_before_ordering;
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
static bool fallbacks(const iol_plan *before, const iol_plan *after, char what[80]) {
    for (int i = 0; i < after->fallbacks_count; i++) {
        const iol_fallback *f = &after->fallbacks[i];
        const iol_fallback *old = fallback_at(before, f->position);
        bool in_front = f->position == IOL_position_iris_front || f->position == IOL_position_chamber;
        bool named = false;
        for (int n = iol_note_find(&after->notes, IOL_AT_fallback_needs, i, 0); n >= 0;
             n = iol_note_find(&after->notes, IOL_AT_fallback_needs, i, n + 1))
            named = named || after->notes.item[n].code == IOL_NOTE_need_finding;
        snprintf(what, 80, "fallback %s", IOL_WORD(position, f->position));
        if (barred(before, f->position) && (!named || (in_front && !isnan(f->power_d)))) return true;
        bool ordered = may_be_ordered(iol_new_lens(after)->standing); /* else it is shown as provisional */
        if (old && ordered && isnan(old->power_d) && !isnan(f->power_d)) return true;
    }
    return false;
}

static bool standing(const iol_plan *before, const iol_plan *after, char what[80]) {
    int old = iol_new_lens(before)->standing, now = iol_new_lens(after)->standing;
    snprintf(what, 80, "standing %d -> %d", old, now);
    return may_be_ordered(now) && !may_be_ordered(old);
}

static bool has_chosen(const iol_plan *plan) {
    const iol_replacement *r = iol_new_lens(plan);
    for (int i = 0; i < r->choices_count; i++)
        if (r->choices[i].chosen == IOL_YES) return true;
    return false;
}

static bool chosen(const iol_plan *before, const iol_plan *after, char what[80]) {
    snprintf(what, 80, "a power is chosen");
    return has_chosen(after) && !has_chosen(before);
}

static bool theatre_powers(const iol_plan *before, const iol_plan *after, char what[80]) {
    int old = 0, now = 0;
    for (int i = 0; i < before->theatre_list_count; i++) old += !isnan(before->theatre_list[i].power_d);
    for (int i = 0; i < after->theatre_list_count; i++) now += !isnan(after->theatre_list[i].power_d);
    snprintf(what, 80, "powers in theatre %d -> %d", old, now);
    return old == 0 && now > 0;
}

/* The way ranked first leaves lens and cornea as they are. */
static bool touches_nothing(const iol_plan *plan) {
    static const int gentle[] = {IOL_option_treat_surface, IOL_option_treat_macula, IOL_option_leave,
                                 IOL_option_spectacles, IOL_option_contact_lens};
    for (size_t i = 0; i < sizeof gentle / sizeof *gentle; i++)
        if (plan->options_count > 0 && plan->options[0].option == gentle[i]) return true;
    return false;
}

/* How much a decision lets happen to the lens; urgency is no permission: an alarm that is not answered is asked for instead. */
static int permits(int state) {
    if (state == IOL_state_exchange || state == IOL_state_exchange_or_alternative || state == IOL_state_secondary_lens)
        return 2;
    return state == IOL_state_other_option_first ? 1 : 0;
}

/* Something first that touches neither lens nor cornea lets happen no more than a search for the cause: glasses first, an
 * exchange behind them. A true relaxation: whether the exchange fits, comes first, or has a power that may be ordered or is
 * chosen, is compared beside this and is not relaxed. Cases 600 to 719 (646 is where the two words once differed) show none
 * without this line. */
static bool decision(const iol_plan *before, const iol_plan *after, char what[80]) {
    int old = before->decision.state, now = after->decision.state;
    snprintf(what, 80, "state %d -> %d", old, now);
    if (now == IOL_state_other_option_first && touches_nothing(after)) return false;
    return permits(now) > permits(old);
}

static bool suitability(const iol_plan *before, const iol_plan *after, char what[80]) {
    const struct {
        const char *name;
        iol_flag old, now;
    } rows[] = {{"piggyback", before->piggyback.suitable, after->piggyback.suitable},
                {"rotation", before->rotation.suitable, after->rotation.suitable},
                {"reposition", before->reposition.suitable, after->reposition.suitable},
                {"spectacles", before->spectacles.suitable, after->spectacles.suitable},
                {"contact-lens", before->contact_lens.suitable, after->contact_lens.suitable},
                {"corneal-laser", before->corneal_laser.suitable, after->corneal_laser.suitable}};
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        snprintf(what, 80, "%s suitable %d -> %d", rows[i].name, (int)rows[i].old, (int)rows[i].now);
        if (rows[i].now == IOL_YES && rows[i].old != IOL_YES) return true;
    }
    return false;
}

/* No way fits that did not; the exchange does not come first where it did not. */
static bool ways(const iol_plan *before, const iol_plan *after, char what[80]) {
    for (int i = 0; i < before->options_count; i++) {
        const iol_option_row *old = &before->options[i];
        for (int k = 0; k < after->options_count; k++) {
            const iol_option_row *now = &after->options[k];
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
enum { COMPARED = sizeof comparisons / sizeof *comparisons };

void more_permissive(const iol_plan *before, const iol_plan *after, const char *path, blanking_teller tell,
                     void *context) {
    char what[80];
    for (int i = 0; i < COMPARED; i++)
        if (comparisons[i].permissive(before, after, what)) tell(context, path, comparisons[i].name, what);
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
    const iol_case *full;
    const iol_site *site;
    char path[200];
    blanking_teller tell;
    void *context;
    iol_case blanked;
    iol_plan before, after;
} walk;

/* Only what the reader would take: a cylinder without axis is no case. */
static bool readable(const iol_case *c) {
    static iol_faults faults;
    iol_faults_start(&faults);
    iol_case_check(c, &faults);
    return faults.count == 0;
}

static bool required(const iol_object *object, const char *key) {
    for (const char *const *must = object->must; *must; must++)
        if (strcmp(*must, key) == 0) return true;
    return false;
}

static int visit(walk *w, const iol_object *object, size_t offset) {
    size_t used = strlen(w->path);
    int leaves = 0;
    for (int i = 0; i < object->count; i++) {
        const iol_field *field = &object->field[i];
        size_t here = offset + field->offset;
        snprintf(w->path + used, sizeof w->path - used, "/%s", field->key);
        if (field->kind == IOL_KIND_PART) {
            leaves += visit(w, field->inside, here);
        } else if (field->kind == IOL_KIND_LIST) {
            int count = *(const int *)(const void *)((const char *)w->full + offset + field->count_offset);
            for (int k = 0; k < count; k++) leaves += visit(w, field->inside, here + (size_t)k * field->inside->size);
        } else if (field->kind != IOL_KIND_WORDS && field->kind != IOL_KIND_NUMS && !required(object, field->key)) {
            w->blanked = *w->full;
            if (blank(field, (char *)&w->blanked + here) && readable(&w->blanked)) {
                set_present(iol_object_case, &w->blanked);
                iol_plan_make(&w->blanked, w->site, IOL_UNKNOWN_DATE, &w->after);
                more_permissive(&w->before, &w->after, w->path, w->tell, w->context);
                leaves++;
            }
        }
        w->path[used] = '\0';
    }
    return leaves;
}

int blank_every_leaf(const iol_case *c, const iol_site *site, blanking_teller tell, void *context) {
    static walk w;
    w = (walk){.full = c, .site = site, .tell = tell, .context = context};
    iol_plan_make(c, site, IOL_UNKNOWN_DATE, &w.before);
    return visit(&w, iol_object_case, 0);
}
