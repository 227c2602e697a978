/* Five lines for the record: eye, finding, decision, lens, what was told. */
#include "screen.h"

#include <string.h>

static void expect(iol_line *line, const iol_spectacle_form *e) {
    iol_line_text(line, ", expect ");
    if (!isnan(e->sphere_d)) {
        iol_line_refraction(line, e->sphere_d, e->cylinder_d, e->axis_deg);
        iol_line_text(line, ", ");
    }
    iol_line_text(line, "SE ");
    iol_line_signed(line, e->se_d, IOL_UNIT_d);
}

/* "-0.25 D in place (12 Nov 2014), +4.75 D now (10 Feb 2026)". */
static void read_now(const iol_plan *plan, iol_line *line) {
    const iol_surprise *p = &plan->surprise;
    iol_line_signed(line, p->current_se_d, IOL_UNIT_d);
    iol_line_cylinder_now(line, plan);
    iol_line_text(line, p->read_on == IOL_UNKNOWN_DATE ? " now" : " ");
    if (!iol_line_last_read(line, plan)) return;
    line->text[--line->used] = '\0'; /* its last blank */
    if (isnan(p->latest_se_d)) return;
    iol_line_text(line, ", ");
    iol_line_signed(line, p->latest_se_d, IOL_UNIT_d);
    iol_line_text(line, " now (");
    iol_line_day(line, p->latest_on);
    iol_line_text(line, ")");
}

static void finding(const iol_plan *plan, iol_line *line) {
    const iol_surprise *p = &plan->surprise;
    if (!p->present || isnan(p->current_se_d)) {
        iol_line_text(line, iol_is_alarm(plan) ? "an alarm: see the decision" : "no refraction of this eye counts");
        return;
    }
    read_now(plan, line);
    iol_line_text(line, ", meant ");
    iol_line_signed(line, p->intended_se_d, IOL_UNIT_d);
    const iol_note *goals = iol_goals_apart(plan);
    if (goals) {
        iol_line_text(line, ", aim ");
        iol_line_signed(line, goals->limit, IOL_UNIT_d);
    }
    if (!isnan(p->miss_d)) {
        iol_line_text(line, ", miss ");
        iol_line_signed(line, p->miss_d, IOL_UNIT_d);
    }
    iol_line_text(line, "; cause ");
    iol_line_cause(line, plan);
}

/* The sentence, and how soon where it does not say so. */
static void decided(const iol_plan *plan, iol_line *line) {
    iol_line soon;
    iol_line_text(line, plan->decision.sentence);
    if (plan->decision.urgency == IOL_urgency_planned || strstr(plan->decision.sentence, ", by ")) return;
    iol_line_start(&soon);
    iol_line_soon(&soon, plan);
    if (!soon.used) return;
    iol_line_text(line, " ");
    soon.text[soon.used - 1] = '\0'; /* its last blank */
    iol_line_text(line, soon.text);
}

/* What the lens that stays, or leaves none, is expected to leave: of the way that leads, or is weighed beside the exchange. */
static void without_new_lens(const iol_plan *plan, iol_line *line) {
    const iol_option_row *first = iol_first_way(plan), *beside = iol_weighed_beside(plan);
    const bool leads = plan->decision.state == IOL_state_other_option_first && first;
    const iol_option_row *way = leads ? first : beside;
    if (!way || isnan(way->expected_se_d)) return;
    const bool out = way->option == IOL_option_second_out;
    if (!out && way->option != IOL_option_reposition && way->option != IOL_option_optic_capture) return;
    iol_line_text(line, out ? "second lens out, none put in" : leads ? "the old lens stays" : "if the old lens stays");
    iol_line_text(line, ", expect SE ");
    iol_line_signed(line, way->expected_se_d, IOL_UNIT_d);
    iol_line_text(line, "; ");
}

static void exchange(const iol_plan *plan, iol_line *line) {
    const iol_replacement *r = iol_new_lens(plan);
    const iol_choice *c = iol_chosen_step(r);
    if (!iol_exchange_leads(plan))
        iol_line_text(line, plan->secondary.present ? "if a lens is put in: " : "if exchanged: ");
    if (iol_misses(c->expected.se_d, r->target_se_d)) {
        iol_line_text(line, "NO STEP FITS, no power is given (exact ");
        iol_line_signed(line, r->power_exact_d, IOL_UNIT_d);
        iol_line_text(line, ", target ");
        iol_line_signed(line, r->target_se_d, IOL_UNIT_d);
        iol_line_text(line, ")");
        return;
    }
    iol_line_lens_warns(line, plan);
    if (iol_power_not_settled(plan)) {
        iol_line_text(line, "No power is given");
        return;
    }
    iol_line_step(line, r, c);
    expect(line, &c->expected);
}

static void planned_lens(const iol_plan *plan, iol_line *line) {
    iol_turn t;
    iol_lead lead;
    if (iol_turn_first(plan, &t) && (t.second || plan->decision.state == IOL_state_other_option_first)) {
        iol_line_text(line, t.second ? "turn the second lens " : "");
        iol_line_marks_turn(line, &t);
        expect(line, &t.expected);
    } else if (iol_cause_before_lens(plan))
        iol_line_text(line, "no power is given");
    else if (iol_lead_lens(plan, &lead)) {
        iol_line_text(line, iol_way_name(lead.way->option));
        iol_line_text(line, ": ");
        iol_line_lead_warns(line, &lead);
        iol_line_lead(line, &lead);
        expect(line, &lead.expected);
    } else {
        without_new_lens(plan, line);
        if (iol_power_given(plan))
            exchange(plan, line);
        else
            iol_line_text(line, "no power is given");
    }
}

/* The topics to be talked about: the plan cannot know what was said. */
static void told(const iol_plan *plan, iol_line *line) {
    const char *topic = "";
    for (int i = 0; i < plan->counselling_count; i++) {
        if (strcmp(plan->counselling[i].topic, topic) == 0) continue;
        topic = plan->counselling[i].topic;
        iol_line_text(line, i ? ", " : "");
        iol_line_words(line, topic);
    }
}

/* Not wrapped: a record has lines of its own. A stop stands at the head of the first and at the end of the last. */
void iol_screen_note(const iol_plan *plan, iol_screen *s) {
    static const char *const head[] = {"Eye: ", "Found: ", "Decided: ", "Lens: ", "Told (strike out what was not): "};
    iol_line line, stop;
    iol_line_start(&stop);
    if (iol_plan_stops(plan)) {
        iol_line_text(&stop, "STOP (");
        iol_line_stop_names(&stop, plan);
        iol_line_text(&stop, ")");
    }
    iol_screen_start(s);
    for (int i = 0; i < 5; i++) {
        iol_line_start(&line);
        if (i == 0 && stop.used) {
            iol_line_text(&line, stop.text);
            iol_line_text(&line, " ");
        }
        iol_line_text(&line, head[i]);
        switch (i) {
        case 0:
            iol_line_ident(&line, plan);
            if (plan->changed_count > 0) iol_line_text(&line, ". NOT THE FILE'S CASE, changed: ");
            iol_line_changes(&line, plan);
            break;
        case 1: finding(plan, &line); break;
        case 2: decided(plan, &line); break;
        case 3: planned_lens(plan, &line); break;
        default: told(plan, &line); break;
        }
        if (i == 4 && stop.used) {
            iol_line_text(&line, ". ");
            iol_line_text(&line, stop.text);
        }
        iol_screen_whole(s, line.text);
    }
}
