/* What the screens and the sheets say alike. */
#include <string.h>

#include "screen.h"
#include "tables/constants.h"
#include "tables/rule_codes.h"
#include "text/date_words.h"
#include "text/number.h"

bool iol_ways_told(const iol_plan *plan) {
    const int state = plan->decision.state;
    const iol_replacement *r = iol_new_lens(plan);
    if (!r->present || r->standing != IOL_standing_withheld) return true;
    return state == IOL_state_exchange_or_alternative || state == IOL_state_other_option_first;
}

/* Putting the lens back where that may fit, else the first way that keeps the lens. */
const iol_option_row *iol_weighed_beside(const iol_plan *plan) {
    const iol_option_row *best = NULL;
    if (plan->decision.state != IOL_state_exchange_or_alternative || plan->secondary.present) return NULL;
    for (int i = 0; i < plan->options_count; i++) {
        const iol_option_row *o = &plan->options[i];
        const bool keeps = o->option != IOL_option_exchange && o->option != IOL_option_remove_only;
        if (isnan(o->rank) || !keeps) continue;
        if (o->option == IOL_option_reposition) return o;
        if (!best || o->rank < best->rank) best = o;
    }
    return best;
}

bool iol_exchange_leads(const iol_plan *plan) {
    const int state = plan->decision.state;
    if (state == IOL_state_exchange || state == IOL_state_secondary_lens) return true;
    const iol_option_row *first = iol_first_way(plan);
    return state == IOL_state_exchange_or_alternative && first && first->option == IOL_option_exchange &&
           !iol_weighed_beside(plan);
}

const char *iol_way_name(int option) {
    static const char *const name[] = {
        [IOL_option_leave] = "leave it as it is",
        [IOL_option_treat_surface] = "treat the surface",
        [IOL_option_treat_macula] = "treat the macula",
        [IOL_option_capsule_laser] = "open capsule by laser",
        [IOL_option_relax_rim] = "relax the rim, measure",
        [IOL_option_spectacles] = "glasses",
        [IOL_option_contact_lens] = "contact lens",
        [IOL_option_corneal_laser] = "corneal laser",
        [IOL_option_rotation] = "turn the lens",
        [IOL_option_reposition] = "put it back, fix it",
        [IOL_option_optic_capture] = "capture the optic",
        [IOL_option_piggyback] = "second lens in front",
        [IOL_option_exchange] = "exchange the lens",
        [IOL_option_remove_only] = "take it out, no lens",
        [IOL_option_second_out] = "second lens out",
        [IOL_option_second_turn] = "turn second lens",
        [IOL_option_second_exchange] = "exchange second lens",
        [IOL_option_secondary_lens] = "put a lens in",
    };
    return option > 0 && option < (int)IOL_MOST(name) && name[option] ? name[option] : "";
}

static bool is_worn(int option) { return option == IOL_option_spectacles || option == IOL_option_contact_lens; }

/* What glasses, a contact lens and a laser leave is meant, not measured. */
bool iol_is_meant(const iol_option_row *o, double x) {
    return (is_worn(o->option) || o->option == IOL_option_corneal_laser) && iol_count(x, 2) == 0;
}

void iol_line_after(iol_line *line, const iol_option_row *o, double x) {
    if (isnan(x))
        iol_line_text(line, "-");
    else if (iol_is_meant(o, x))
        iol_line_text(line, "about 0");
    else
        iol_line_signed(line, x, IOL_UNIT_d);
}

void iol_line_way(iol_line *line, const iol_plan *plan, const iol_option_row *o) {
    iol_line_text(line, iol_way_of(plan, o));
    if (is_worn(o->option)) iol_line_text(line, ", worn");
}

bool iol_line_last_read(iol_line *line, const iol_plan *plan) {
    if (plan->surprise.read_on == IOL_UNKNOWN_DATE) return false;
    iol_line_text(line, plan->reposition.present ? "in place (" : "that counts (");
    iol_line_day(line, plan->surprise.read_on);
    iol_line_text(line, ") ");
    return true;
}

void iol_line_latest(iol_line *line, const iol_plan *plan) {
    const iol_surprise *s = &plan->surprise;
    if (isnan(s->latest_se_d)) {
        iol_line_text(line, "no newer reading");
        return;
    }
    iol_line_day(line, s->latest_on);
    iol_line_text(line, ": ");
    iol_line_signed(line, s->latest_se_d, IOL_UNIT_d);
    iol_line_text(line, ", as the eye is read now");
}

bool iol_only_held(const iol_plan *plan) {
    static const iol_note_code rules[] = {IOL_NOTE_rule_lens_loose, IOL_NOTE_rule_lens_loose_unread,
                                          IOL_NOTE_rule_dislocation_trembles};
    const int decided = iol_note_find(&plan->notes, IOL_AT_decision_reasons, 0, 0);
    for (size_t i = 0; i < sizeof rules / sizeof *rules; i++)
        if (decided >= 0 && plan->notes.item[decided].code == (int)rules[i]) return true;
    return false;
}

const char *iol_way_in(const iol_plan *plan, int option) {
    if (option == IOL_option_exchange && plan->two_lenses.present) return "one lens for both";
    if (option == IOL_option_reposition && iol_only_held(plan)) return "fix it where it lies";
    return iol_way_name(option);
}

const char *iol_way_of(const iol_plan *plan, const iol_option_row *way) { return iol_way_in(plan, way->option); }

void iol_line_words(iol_line *line, const char *code) {
    const char *plain = iol_plain_word(code);
    if (plain != code) {
        iol_line_text(line, plain);
        return;
    }
    for (; *code; code++) iol_line_text(line, (const char[]){*code == '-' || *code == '_' ? ' ' : *code, '\0'});
}

enum { IOL_WHY_MOST = 24 }; /* letters that the column takes, a question mark behind */
void iol_line_way_why(iol_line *line, const iol_plan *plan, int row) {
    const int note = iol_note_find(&plan->notes, IOL_AT_option_row_why, row, 0);
    if (note < 0) return;
    const iol_note *why = &plan->notes.item[note], *speaks = iol_way_for(plan, row);
    const size_t length = strlen(why->word);
    if (why->code == IOL_NOTE_opt_not_known && length > 0 && length <= IOL_WHY_MOST && !strchr(why->word, ',')) {
        iol_line_text(line, why->word); /* the one finding that is missing; of several it is not told which */
        iol_line_text(line, "?");
        return;
    }
    const bool alone = why->code == IOL_NOTE_opt_fits || iol_has_drawback(plan, row);
    if (plan->options[row].rank == 1.0 && (speaks || (alone && !iol_is_smallest(plan->options[row].option)))) {
        iol_line_words(line, speaks ? iol_note_rows[speaks->code].code : "no-smaller-way-as-good");
        return;
    }
    iol_line_words(line, iol_note_rows[why->code].code);
}

/* The first reason that the sentence of the decision does not say already. */
static void decided(iol_line *line, const iol_plan *plan) {
    char text[640];
    for (int i = iol_note_find(&plan->notes, IOL_AT_decision_reasons, 0, 0); i >= 0;
         i = iol_note_find(&plan->notes, IOL_AT_decision_reasons, 0, i + 1)) {
        iol_note_text(&plan->notes.item[i], text, sizeof text);
        if (strncmp(text, plan->decision.sentence, strcspn(text, ".")) == 0) continue;
        iol_line_text(line, text);
        return;
    }
}

void iol_line_soon(iol_line *line, const iol_plan *plan) {
    static const char *const soon[] = {[IOL_urgency_same_day] = "",
                                       [IOL_urgency_days] = "Within days. ",
                                       [IOL_urgency_weeks] = "Within weeks. ",
                                       [IOL_urgency_planned] = "Planned, no hurry. "};
    if (plan->decision.state != IOL_state_other_option_first || !iol_first_way(plan)) return;
    const char *words = soon[plan->decision.urgency];
    if (words[0] && strstr(plan->decision.sentence, "within ")) return; /* it says so itself */
    iol_line_text(line, words);
}

void iol_line_because(iol_line *line, const iol_plan *plan) {
    const iol_option_row *first = iol_first_way(plan);
    if (plan->decision.state == IOL_state_other_option_first && first)
        iol_line_why_first(line, plan, (int)(first - plan->options));
    else
        decided(line, plan);
}

const iol_note *iol_goals_apart(const iol_plan *plan) {
    const int at = iol_note_with(&plan->notes, IOL_AT_plan_cautions, IOL_NOTE_goals_apart);
    return at < 0 ? NULL : &plan->notes.item[at];
}

void iol_line_goals(iol_line *line, const iol_plan *plan) {
    const iol_note *note = iol_goals_apart(plan);
    if (!note) return;
    iol_line_text(line, "Aim not settled: ");
    iol_line_signed(line, note->limit, IOL_UNIT_d);
    iol_line_text(line, " rules here, not the ");
    iol_line_signed(line, note->value, IOL_UNIT_d);
    iol_line_text(line, " meant at the first operation.");
}

void iol_line_cylinder_now(iol_line *line, const iol_plan *plan) {
    const double cylinder_d = plan->spectacles.present ? plan->spectacles.cylinder_d : NAN;
    if (plan->surprise.read_on != IOL_UNKNOWN_DATE || iol_above(fabs(cylinder_d), c_leads_cylinder_d) != IOL_YES) return;
    iol_line_text(line, " cyl ");
    iol_line_signed(line, cylinder_d, IOL_UNIT_d);
}

void iol_line_then(iol_line *line, const iol_plan *plan) {
    static const char *const what[] = {[IOL_state_exchange] = "exchange the lens",
                                       [IOL_state_exchange_or_alternative] = "exchange, or keep and fix the lens",
                                       [IOL_state_other_option_first] = "something smaller first",
                                       [IOL_state_wait] = "nothing is operated",
                                       [IOL_state_find_cause_first] = "find the cause first",
                                       [IOL_state_not_for_exchange] = "not for exchange",
                                       [IOL_state_secondary_lens] = "put a lens in"};
    static const char *const soon[] = {[IOL_urgency_same_day] = "today",
                                       [IOL_urgency_days] = "within days",
                                       [IOL_urgency_weeks] = "within weeks",
                                       [IOL_urgency_planned] = "no hurry"};
    _Static_assert(sizeof what / sizeof *what == IOL_state_end, "a word for every state");
    enum { TOLD = 3 };
    const iol_then *then = &plan->decision.then;
    if (!then->present) return;
    const int count = then->if__count, told = count <= TOLD + 1 ? count : TOLD;
    iol_line_text(line, count > 0 ? "If " : "If every open question is answered reassuringly");
    for (int i = 0; i < told; i++) {
        if (i > 0) iol_line_text(line, i == count - 1 ? " and " : ", ");
        iol_line_text(line, then->if_[i].means);
    }
    if (told < count) {
        iol_line_text(line, ", and ");
        iol_line_number(line, count - told, IOL_UNIT_count);
        iol_line_text(line, " more answers are as good");
    }
    iol_line_text(line, ": ");
    const bool way = then->state == IOL_state_other_option_first && then->first_way > 0;
    iol_line_text(line, way ? iol_way_name(then->first_way) : what[then->state]);
    if (way) iol_line_text(line, " first");
    if (then->not_before != IOL_UNKNOWN_DATE) {
        char date[24];
        iol_date_words(then->not_before, NULL, date, sizeof date);
        iol_line_text(line, " before ");
        iol_line_text(line, date);
    } else if (then->state == IOL_state_wait)
        iol_line_text(line, " yet");
    iol_line_text(line, ", ");
    iol_line_text(line, soon[then->urgency]);
    iol_line_text(line, ".");
}

const char *iol_note_plain(const iol_note *note, char *text, size_t size) {
    iol_note_text(note, text, size);
    for (char *path = strstr(text, " (/"); path; path = strstr(path, " (/")) {
        const char *end = strchr(path, ')');
        if (!end) break;
        memmove(path, end + 1, strlen(end));
    }
    return text;
}

/* What stands in the acts or on every plan. */
static bool acts_say(const iol_plan *plan, iol_note_code code) {
    return iol_note_with(&plan->notes, IOL_AT_act_text, (int)code) >= 0;
}

/* The same value of first and repeat biometry is said once. */
static bool is_twin(const iol_plan *plan, const iol_note *note) {
    char text[640], before[640];
    const char *words = iol_note_plain(note, text, sizeof text);
    for (const iol_note *one = plan->notes.item; note->code == IOL_NOTE_unusual && one < note; one++)
        if (one->place == note->place && one->code == note->code &&
            strcmp(words, iol_note_plain(one, before, sizeof before)) == 0)
            return true;
    return false;
}

bool iol_caution_said(const iol_plan *plan, const iol_note *note) {
    if (is_twin(plan, note)) return true;
    switch (note->code) {
    case IOL_NOTE_near_target: return acts_say(plan, IOL_NOTE_act_near_target);
    case IOL_NOTE_goals_apart: return acts_say(plan, IOL_NOTE_act_goals) || acts_say(plan, IOL_NOTE_act_near_target);
    case IOL_NOTE_eyes_differ:
        return acts_say(plan, IOL_NOTE_act_eyes_differ) || acts_say(plan, IOL_NOTE_act_contradicted);
    case IOL_NOTE_corneal_remainder: return acts_say(plan, IOL_NOTE_act_cylinder);
#define ACT(id, when, place, source, told, text) case IOL_NOTE_act_##id:
#include "acts.def"
    case IOL_NOTE_no_capsule_laser:
    case IOL_NOTE_no_laser_loose:
    case IOL_NOTE_licensed_surgeon:
    case IOL_NOTE_local_rules:
    case IOL_NOTE_second_route: return true;
    default: return false;
    }
}

void iol_line_ident(iol_line *line, const iol_plan *plan) {
    iol_line_text(line, plan->eye == IOL_side_right ? "RIGHT EYE" : "LEFT EYE");
    iol_line_text(line, "   case ");
    iol_line_text(line, plan->case_ref);
    iol_line_text(line, "   ");
    iol_line_as_of(line, plan);
}

/* "pain, wound leak", "trapped fluid". */
int iol_line_stop_names(iol_line *line, const iol_plan *plan) {
    static const char flag[] = "red-flag-";
    int stops = 0;
    for (int i = 0; i < plan->notes.count; i++) {
        const iol_note *note = &plan->notes.item[i];
        const iol_note_row *row = &iol_note_rows[note->code];
        if (note->place != IOL_AT_plan_cautions || row->severity != IOL_SEVERITY_stop) continue;
        iol_line_text(line, stops++ ? ", " : "");
        iol_line_words(line, strncmp(row->code, flag, sizeof flag - 1) == 0 ? row->code + sizeof flag - 1 : row->code);
    }
    return stops;
}

/* Nobody may take the plan of a changed case for that of the file. */
static void say_changes(iol_screen *s, const iol_plan *plan) {
    iol_line line;
    if (plan->changed_count == 0) return;
    iol_line_start(&line);
    iol_line_text(&line, "For this plan alone, not in the file: ");
    iol_line_changes(&line, plan);
    iol_screen_say(s, IOL_RANK_NEVER, "SET", line.text);
}

void iol_screen_ident(iol_screen *s, const iol_plan *plan) {
    iol_line line, day;
    iol_line_start(&line);
    iol_line_start(&day);
    iol_line_ident(&line, plan);
    iol_line_as_of(&day, plan);
    const bool apart = line.used > IOL_SCREEN_COLUMNS;
    if (apart) line.text[line.used - day.used - 3] = '\0';
    iol_screen_row(s, IOL_RANK_NEVER, line.text);
    if (apart) iol_screen_row(s, IOL_RANK_NEVER, day.text);
    iol_screen_row(s, IOL_RANK_NEVER,
                   "================================================================================");
    say_changes(s, plan);
}

void iol_line_as_of(iol_line *line, const iol_plan *plan) {
    const double day = plan->timing.present ? plan->timing.days_since_first_surgery : NAN;
    if (plan->as_of == IOL_UNKNOWN_DATE)
        iol_line_text(line, "date of the plan not known");
    else {
        iol_line_text(line, "as of ");
        iol_line_day(line, plan->as_of);
    }
    iol_line_text(line, isnan(day) ? ", day not known" : ", day ");
    if (!isnan(day)) iol_line_number(line, day, IOL_UNIT_count);
}
