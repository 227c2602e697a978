/* What speaks for and against each way. */
#include "suit.h"

#include <string.h>

#include "replacement.h"
#include "surprise.h"

#define FIGURE(key) iol_evidence[IOL_EVIDENCE_##key].value

typedef struct {
    int option;
    iol_option_effect effect;
    iol_flag answer;
    const char *finding;
    double value, limit;
    iol_note_code note;
} rule;

enum {
#define OPTION_RULE(option, id, effect, predicate, finding, value, limit, reference, code, text) RULE_##id,
#include "option_rules.def"
    RULES
};

static void ask(const iol_work *w, const iol_option_facts *f, rule all[RULES]) {
    const iol_case *c = w->c;
#define OPTION_RULE(option, id, effect, predicate, finding, value, limit, reference, code, text)                       \
    all[RULE_##id] =                                                                                                   \
        (rule){IOL_option_##option, IOL_EFFECT_##effect, predicate, finding, value, limit, IOL_NOTE_opt_##id};
#include "option_rules.def"
}

/* Append one finding, once; what does not fit is told by "...". */
static void name_one(char *list, size_t size, const char *finding, size_t more) {
    char one[60];
    size_t used = strlen(list);
    if (more == 0 || more >= sizeof one) return;
    memcpy(one, finding, more);
    one[more] = '\0';
    if (strstr(list, one) || strstr(list, "...")) return;
    if (used + more + 8 > size) {
        memcpy(list + used, ", ...", 6);
        return;
    }
    if (used) memcpy(list + used, ", ", 3), used += 2;
    memcpy(list + used, one, more + 1);
}

/* The findings of a rule, "a, b", each once. */
static void name(char *list, size_t size, const char *findings) {
    const char *comma;
    for (; (comma = strstr(findings, ", ")) != NULL; findings = comma + 2)
        name_one(list, size, findings, (size_t)(comma - findings));
    name_one(list, size, findings, strlen(findings));
}

/* A rule that decides: the first of the strongest effect. */
static void decide(iol_verdict *out, int *strength, int this_strength, const rule *r) {
    if (this_strength <= *strength) return;
    *strength = this_strength;
    out->why = r->note;
    out->value = r->value;
    out->limit = r->limit;
}

/* Does not fit when a rule says so; not known when one that could speak against it is not known. */
static iol_flag suitable(const rule all[RULES], int option) {
    iol_flag fits = IOL_YES;
    for (int i = 0; i < RULES; i++) {
        if (all[i].option != option || all[i].answer == IOL_NO) continue;
        bool not_known = all[i].answer == IOL_UNKNOWN && all[i].effect < IOL_EFFECT_least;
        if (not_known || all[i].effect == IOL_EFFECT_doubt) fits = iol_and(fits, IOL_UNKNOWN);
        if (all[i].effect == IOL_EFFECT_no && all[i].answer == IOL_YES) fits = IOL_NO;
    }
    return fits;
}

/* What is not known, named; it is the reason when nothing stronger decides. */
static void not_known(iol_work *w, const rule all[RULES], int option, int place, int row, int strength,
                      iol_verdict *out) {
    char list[60] = "";
    for (int i = 0; i < RULES; i++)
        if (all[i].option == option && all[i].answer == IOL_UNKNOWN && all[i].effect < IOL_EFFECT_first)
            name(list, sizeof list, all[i].finding);
    if (!list[0]) return;
    if (place >= 0) iol_note_add(&w->plan->notes, place, row, IOL_NOTE_opt_not_known, NAN, NAN, list);
    if (strength >= 3) return;
    out->why = IOL_NOTE_opt_not_known;
    memcpy(out->word, list, sizeof out->word);
}

/* Where one rule puts a way; a later place holds against an earlier one. */
static void place_by(const rule *r, iol_verdict *out) {
    bool yes = r->answer == IOL_YES;
    out->top = out->top || (r->effect == IOL_EFFECT_top && yes);
    out->first = out->first || (r->effect == IOL_EFFECT_first && yes);
    out->last = out->last || r->effect == IOL_EFFECT_last || (r->effect == IOL_EFFECT_after && yes);
    out->least = out->least || r->effect == IOL_EFFECT_least || (r->effect == IOL_EFFECT_end && yes);
}

void iol_option_judge(iol_work *w, const iol_option_facts *facts, int option, int place, int row, iol_verdict *out) {
    static const int strength_of[] = {
        [IOL_EFFECT_no] = 6,    [IOL_EFFECT_doubt] = 5, [IOL_EFFECT_top] = 4,   [IOL_EFFECT_last] = 2,
        [IOL_EFFECT_after] = 2, [IOL_EFFECT_end] = 3,   [IOL_EFFECT_least] = 2, [IOL_EFFECT_first] = 1};
    rule all[RULES];
    int strength = 0;
    ask(w, facts, all);
    *out = (iol_verdict){.suitable = suitable(all, option), .why = IOL_NOTE_opt_fits, .value = NAN, .limit = NAN};
    for (int i = 0; i < RULES; i++) {
        const rule *r = &all[i];
        if (r->option != option || r->answer == IOL_NO) continue;
        place_by(r, out);
        if (r->answer != IOL_YES) continue;
        decide(out, &strength, strength_of[r->effect], r);
        if (place >= 0 && (out->suitable != IOL_NO || r->effect <= IOL_EFFECT_doubt))
            iol_note_add(&w->plan->notes, place, row, r->note, r->value, r->limit, NULL);
    }
    if (out->suitable != IOL_NO) not_known(w, all, option, place, row, strength, out);
}

const iol_choice *iol_choice_leading(const iol_replacement *r) {
    const iol_choice *best = NULL;
    for (int i = 0; i < r->choices_count; i++) {
        const iol_choice *one = &r->choices[i];
        if (one->chosen == IOL_YES) return one;
        if (strcmp(one->lens_id, r->lens_id) != 0) continue;
        bool nearer = best && fabs(one->expected.se_d - r->target_se_d) < fabs(best->expected.se_d - r->target_se_d);
        if (!best || nearer) best = one;
    }
    return best;
}

/* Spherical equivalent of a written refraction; a cylinder that is not known makes it not known. */
static double equivalent(const iol_refraction *r) { return r->sphere_d + r->cylinder_d / 2.0; }

/* The newest reading taken with the lens in its place. */
static double in_place(const iol_work *w) {
    const iol_case *c = w->c;
    if (w->eye.now.usable && !w->eye.aphakic) return w->eye.now.spectacle_d;
    double found = NAN;
    if (w->eye.fluid_seen) return NAN;
    for (int i = 0; i < c->refractions_count; i++)
        if (c->refractions[i].lens_then == IOL_lens_then_in_place) found = equivalent(&c->refractions[i]);
    return found;
}

/* A cylinder that was only assumed to be none is not known here. */
static double cylinder_now(const iol_eye *eye) {
    iol_matrix spectacle;
    if (!iol_found_cylinder_stated(eye->c) || !eye->now.usable ||
        iol_matrix_step(eye->now.at_cornea, -eye->now.vertex_mm / 1000.0, &spectacle) < 0)
        return NAN;
    return iol_matrix_cylinder(spectacle);
}

static void complaints(const iol_case *c, iol_option_facts *f) {
    iol_flag tilt = iol_case_has_reason(c, IOL_reason_lens_tilt);
    iol_flag shifted = iol_case_has_reason(c, IOL_reason_lens_decentration);
    f->optical =
        iol_or(iol_case_has_reason(c, IOL_reason_power_error), iol_case_has_reason(c, IOL_reason_cylinder_error));
    f->photic_negative = iol_case_has_reason(c, IOL_reason_photic_negative);
    f->photic_positive = iol_case_has_reason(c, IOL_reason_photic_positive);
    f->multifocal = iol_case_has_reason(c, IOL_reason_photic_multifocal);
    f->clouded = iol_case_has_reason(c, IOL_reason_lens_opacity);
    f->damaged = iol_case_has_reason(c, IOL_reason_lens_damage);
    f->off_centre = iol_or(tilt, shifted);
    f->moved = iol_or(f->off_centre, iol_case_has_reason(c, IOL_reason_lens_dislocation));
    f->inflamed = iol_case_has_reason(c, IOL_reason_inflammation);
    f->cornea_damage = iol_case_has_reason(c, IOL_reason_cornea_damage);
    f->lens_fault = iol_or(f->moved, iol_or(f->clouded, f->damaged));
    f->bag_lost = iol_or(iol_found_bag_slipped(c), iol_found_zonule_lost(c));
}

void iol_option_facts_make(const iol_work *w, iol_option_facts *f) {
    const iol_case *c = w->c;
    *f = (iol_option_facts){.turn_se_d = NAN,
                            .turn_cylinder_d = NAN,
                            .turn_gain_d = NAN,
                            .turn_short_deg = NAN,
                            .laser_se_d = NAN,
                            .k_after_d = NAN,
                            .bed_left_um = NAN,
                            .bed_least_um = NAN,
                            .bed_wanted_um = NAN,
                            .tissue_share = NAN,
                            .pb_se_d = NAN,
                            .pb_cylinder_d = NAN,
                            .pb_se_gain_d = NAN,
                            .pb_cylinder_gain_d = NAN,
                            .ex_cylinder_d = NAN,
                            .ex_se_d = NAN,
                            .without_lens_d = NAN};
    f->reading = w->eye.now.usable;
    const iol_replacement *r = &w->plan->replacement;
    int standing = r->present ? r->standing : w->plan->piggyback.power.standing;
    f->withheld = standing == IOL_standing_withheld;
    f->fluid = iol_standing_fluid(w) == IOL_YES;
    f->provisional = standing == IOL_standing_provisional;
    f->gap_d = w->eye.now.spectacle_d - w->eye.target_se_d;
    f->cylinder_d = cylinder_now(&w->eye);
    f->remainder_d = w->plan->surprise.present ? w->plan->surprise.corneal_remainder_d : NAN;
    f->cylinder_open = iol_surprise_cylinder_open(w);
    f->cylinder_accepted_d = fmax(c_option_cylinder_d, c->target_cylinder_d);
    f->difference_d = w->eye.now.spectacle_d - equivalent(&c->fellow_eye.refraction);
    int32_t done = c->first_surgery.done_on, as_of = w->plan->as_of;
    f->day = done == IOL_UNKNOWN_DATE || as_of == IOL_UNKNOWN_DATE ? NAN : (double)as_of - (double)done;
    f->chamber_mm = w->eye.lens_depth_mm; /* else the chamber before, which has only become deeper */
    if (isnan(f->chamber_mm) && iol_at_least(w->eye.chamber_depth_mm, c_piggyback_chamber_mm) == IOL_YES)
        f->chamber_mm = w->eye.chamber_depth_mm;
    f->in_place_d = in_place(w);
    const iol_choice *exchanged = iol_choice_leading(&w->plan->replacement);
    if (exchanged) {
        f->ex_se_d = exchanged->expected.se_d;
        f->ex_cylinder_d = isnan(f->cylinder_d) ? NAN : fabs(exchanged->expected.cylinder_d);
    }
    complaints(c, f);
    iol_flag residual =
        iol_or(iol_above(fabs(f->gap_d), c_option_close_d), iol_above(f->cylinder_d, f->cylinder_accepted_d));
    f->power_mends = iol_and(iol_or(f->optical, iol_and(f->multifocal, residual)), iol_not(f->lens_fault));
}
