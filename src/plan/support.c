/* Capsule and zonule support: how likely the bag is lost or vitreous comes forward (method, section 7). */
#include "decision.h"
#include "positions.h"
#include "tables/constants.h"
#include "tables/risk.h"
#include "tables/say.h"
#include "text/list.h"
#include "tables/note_codes.h"

static void ask(const iol_case *c, const iol_facts *f, iol_flag answer[IOL_RISK_COUNT]) {
    int i = 0;
#define RATIO(id, group, predicate, figure, finding) answer[i++] = (predicate);
#define JUDGED(id, group, predicate, points, reference, finding, shows) answer[i++] = (predicate);
#define HARD(id, group, predicate, reference, finding, shows) answer[i++] = (predicate);
#include "risk_factors.def"
#undef RATIO
#undef JUDGED
#undef HARD
}

/* The row of a group with most points among those answered yes, or not answered no; -1 none. */
static int largest(const iol_flag answer[IOL_RISK_COUNT], int group, bool unknowns) {
    int best = -1;
    for (int i = 0; i < IOL_RISK_COUNT; i++) {
        if (iol_risk_rows[i].group != group || answer[i] == IOL_NO || (answer[i] == IOL_UNKNOWN && !unknowns)) continue;
        if (best < 0 || iol_risk_points(&iol_risk_rows[i]) > iol_risk_points(&iol_risk_rows[best])) best = i;
    }
    return best;
}

static int tier_of(double points, bool hard) {
    if (hard || iol_at_least(points, c_tier_very_high_points) == IOL_YES) return IOL_tier_very_high;
    if (iol_at_least(points, c_tier_high_points) == IOL_YES) return IOL_tier_high;
    return iol_at_least(points, c_tier_guarded_points) == IOL_YES ? IOL_tier_guarded : IOL_tier_routine;
}

/* Sum over the groups, marking the rows that count when `counted` is given. Returns the tier. */
static int add_up(const iol_flag answer[IOL_RISK_COUNT], bool unknowns, double *score, bool counted[IOL_RISK_COUNT]) {
    bool hard = false;
    *score = 0.0;
    for (int group = 1; group < IOL_risk_group_end; group++) {
        int i = largest(answer, group, unknowns);
        if (i < 0) continue;
        *score += iol_risk_points(&iol_risk_rows[i]);
        hard = hard || iol_risk_rows[i].hard;
        if (counted) counted[i] = true;
    }
    return tier_of(*score, hard);
}

static void add_factors(const iol_flag answer[IOL_RISK_COUNT], const bool counted[IOL_RISK_COUNT], iol_support *out) {
    static const int state[] = {IOL_risk_state_no, IOL_risk_state_unknown, IOL_risk_state_yes};
    for (int i = 0; i < IOL_RISK_COUNT; i++) {
        const iol_risk_row *row = &iol_risk_rows[i];
        out->factors[out->factors_count++] =
            (iol_risk_factor){.present = true,
                              .id = row->id,
                              .group = row->group,
                              .points = iol_risk_points(row),
                              .state = state[answer[i] + 1],
                              .counted = iol_from_bool(counted[i]),
                              .source = iol_references[iol_risk_reference(row)].key,
                              .finding = row->finding,
                              .hard = iol_from_bool(row->hard),
                              .basis = row->figure < 0 ? "judgement" : "published ratio",
                              .shows = row->shows};
    }
}

static void add_positions(iol_work *w, iol_support *out) {
    iol_rung ladder[IOL_RUNGS];
    int first = iol_position_planned(w), planned = w->facts.place;
    bool powered = !isnan(w->plan->replacement.power_exact_d) && !w->facts.withheld && !w->facts.provisional;
    if (planned != first) iol_caution(w, IOL_NOTE_position_not_on_shelf, NAN, NAN, IOL_WORD(position, first));
    iol_ladder_make(w, ladder);
    for (int i = 0; i < IOL_RUNGS; i++) {
        int row = out->positions_count++;
        out->positions[row] =
            (iol_position_outlook){.present = true, .position = ladder[i].position, .outlook = ladder[i].outlook};
        iol_note_add(&w->plan->notes, IOL_AT_position_outlook_why, row, ladder[i].why, NAN, NAN, ladder[i].missing);
        if (ladder[i].position == planned && ladder[i].only_unknown)
            iol_caution(w, powered ? IOL_NOTE_position_not_settled : IOL_NOTE_place_not_settled, NAN, NAN,
                        ladder[i].missing);
    }
}

static void anchor(iol_work *w, iol_note_code code, iol_evidence_key first, iol_evidence_key second) {
    iol_note_add(&w->plan->notes, IOL_AT_support_vitrectomy_anchor, 0, code, iol_evidence[first].value,
                 iol_evidence[second].value, NULL);
}

/* Published rates beside the score. Series that disagree both stand. */
static void add_anchors(iol_work *w, const iol_flag answer[IOL_RISK_COUNT]) {
    if (w->eye.no_lens == IOL_YES) return; /* they are of exchanges */
    anchor(w, IOL_NOTE_anchor_open_closed, IOL_EVIDENCE_exchange_vitrectomy_open,
           IOL_EVIDENCE_exchange_vitrectomy_closed);
    if (answer[IOL_RISK_posterior_opened] != IOL_NO) {
        anchor(w, IOL_NOTE_anchor_open_experts, IOL_EVIDENCE_exchange_vitrectomy_open_experts,
               IOL_EVIDENCE_exchange_vitrectomy_open);
        anchor(w, IOL_NOTE_anchor_bag_open, IOL_EVIDENCE_exchange_bag_open, IOL_EVIDENCE_exchange_bag_closed);
        anchor(w, IOL_NOTE_anchor_complications, IOL_EVIDENCE_exchange_complications_open,
               IOL_EVIDENCE_exchange_complications_closed);
    } else if (w->facts.posterior_gone == IOL_NO)
        anchor(w, IOL_NOTE_anchor_bag_closed, IOL_EVIDENCE_exchange_bag_closed,
               IOL_EVIDENCE_exchange_bag_closed_optical);
    anchor(w, IOL_NOTE_anchor_all, IOL_EVIDENCE_exchange_vitrectomy_all, IOL_EVIDENCE_exchange_vitreous_prolapse);
    if (answer[IOL_RISK_pseudoexfoliation] == IOL_YES)
        anchor(w, IOL_NOTE_anchor_pseudoexfoliation, IOL_EVIDENCE_pxf_vitrectomy_sign,
               IOL_EVIDENCE_pxf_vitrectomy_donesis);
}

/* A finding with its limit. */
static void beyond(char *list, size_t size, const char *what, double limit, const char *unit) {
    char one[40] = "";
    iol_append(one, sizeof one, what);
    iol_append_number(one, sizeof one, limit);
    iol_append(one, sizeof one, unit);
    iol_list_add(list, size, one, "");
}

/* Age, length and retina say nothing of the bag: they make vitreous loss dearer. */
static void detachment(iol_work *w) {
    char why[60] = "";
    if (iol_below(w->c->age_years, c_detachment_age_years) == IOL_YES)
        beyond(why, sizeof why, "age under ", c_detachment_age_years, "");
    if (iol_above(w->eye.axial_length_mm, c_detachment_length_mm) == IOL_YES)
        beyond(why, sizeof why, "eye over ", c_detachment_length_mm, " mm");
    if (iol_or(w->c->retina.detachment_risk, w->c->retina.earlier_detachment) == IOL_YES)
        iol_list_add(why, sizeof why, "retina at risk", "");
    if (why[0])
        iol_caution(w, IOL_NOTE_detachment, FIGURE(detachment_vitreous_loss), FIGURE(detachment_vitrectomy), why);
}

int iol_support_tier(const iol_work *w) {
    iol_flag answer[IOL_RISK_COUNT];
    double score;
    ask(w->c, &w->facts, answer);
    return add_up(answer, true, &score, NULL);
}

void iol_part_support(iol_work *w) {
    iol_support *out = &w->plan->support;
    iol_flag answer[IOL_RISK_COUNT];
    bool counted[IOL_RISK_COUNT] = {false};
    out->present = true;
    ask(w->c, &w->facts, answer);
    out->tier_of_findings = add_up(answer, false, &out->score, counted);
    out->tier = add_up(answer, true, &out->score_if_unknowns_present, NULL);
    add_factors(answer, counted, out);
    add_positions(w, out);
    add_anchors(w, answer);
    detachment(w);
}
