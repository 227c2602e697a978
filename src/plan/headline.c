/* The decision as a sentence: data/headlines.def, filled in with way, condition, day and place. */
#include "glance.h"
#include "suit.h"
#include "tables/say.h"
#include "text/date_words.h"
#include "text/number.h"
#include "tables/note_codes.h"

#include <string.h>

enum { SENTENCE_MOST = 100 };

typedef struct {
    const iol_work *w;
    char *out;
    size_t size;
} sentence;

static void put(sentence *s, const char *text) { iol_append(s->out, s->size, text); }

static void put_date(sentence *s, int32_t day) {
    char text[24];
    iol_date_words(day, NULL, text, sizeof text);
    put(s, text);
}

static bool notes_hold(const iol_plan *plan, int place, int code) { return iol_note_with(&plan->notes, place, code) >= 0; }

static const char *template_of(const iol_plan *plan) {
    if (plan->secondary.present && plan->decision.state == IOL_state_exchange) return "Put a lens in{place}{soon}.";
    const int first = iol_note_find(&plan->notes, IOL_AT_decision_reasons, 0, 0);
    switch (first < 0 ? -1 : plan->notes.item[first].code) {
#define HEADLINE(rule, text)                                                                                           \
    case IOL_NOTE_##rule: return text;
#include "headlines.def"
    default: break;
    }
    switch (plan->decision.state) {
#define ALONE(state, text)                                                                                             \
    case IOL_state_##state: return text;
#include "headlines.def"
    default: return "";
    }
}

static const char *way_words(int option, bool leading) {
    switch (option) {
#define WAY(option, first, otherwise)                                                                                  \
    case IOL_option_##option: return leading ? first : otherwise;
#include "headlines.def"
    default: return "";
    }
}

static double turn_of(const iol_plan *plan, int option) {
    const iol_two_way *second = iol_two_way_of(plan, IOL_two_way_second_turned);
    if (option == IOL_option_rotation) return plan->rotation.turn_deg;
    return option == IOL_option_second_turn && second ? second->turn_deg : NAN;
}

static void put_turn(sentence *s, double turn_deg) {
    char text[32];
    if (isnan(turn_deg) || !iol_print_number(fabs(turn_deg), 0, false, text, sizeof text)) return;
    put(s, " ");
    put(s, text);
    put(s, turn_deg > 0.0 ? " deg anticlockwise" : " deg clockwise");
}

/* What the first way hangs on, where that is not known. */
static const char *condition(int option) {
    switch (option) {
    case IOL_option_treat_surface: return ", if it is unhealthy";
    case IOL_option_treat_macula: return ", if it is not normal";
    default: return ", if that fits";
    }
}

/* It mends sight without changing the refraction: no other way in place of one that does not fit. */
static bool mends_no_power(int option) {
    return option == IOL_option_leave || option == IOL_option_treat_surface || option == IOL_option_treat_macula ||
           option == IOL_option_capsule_laser || option == IOL_option_relax_rim;
}

/* "Corneal laser first, if that fits: not before 14 Dec 2025". */
static void put_way(sentence *s) {
    const iol_option_row *first = iol_first_way(s->w->plan);
    const iol_decision *d = &s->w->plan->decision;
    if (!first) {
        put(s, "Something smaller first");
        return;
    }
    bool of_two = first->option == IOL_option_rotation && s->w->plan->two_lenses.present;
    put(s, of_two ? "Turn the first lens" : way_words(first->option, true));
    put_turn(s, turn_of(s->w->plan, first->option));
    if (first->suitable == IOL_UNKNOWN) put(s, condition(first->option));
    if (first->not_before != IOL_UNKNOWN_DATE) {
        put(s, ": not before ");
        put_date(s, first->not_before);
    } else if (d->do_by != IOL_UNKNOWN_DATE) {
        put(s, ", by ");
        put_date(s, d->do_by);
    }
}

/* Behind "if not": of two lenses an exchange takes both out. */
static const char *way_of_eye(const sentence *s, int option) {
    return s->w->eye.two && option == IOL_option_exchange ? "exchange both lenses for one" : way_words(option, false);
}

bool iol_way_unwanted(const iol_work *w, const iol_option_row *o) {
    const iol_case *c = w->c;
    if (o->option == IOL_option_spectacles) return c->wish.glasses_accepted == IOL_NO && w->facts.child != IOL_YES;
    return o->option == IOL_option_contact_lens &&
           ((c->wish.contact_lens == IOL_tolerance_not_tolerated && w->facts.contact_again != IOL_YES) ||
            (o->suitable == IOL_YES && c->cornea.ocular_surface != IOL_ocular_surface_healthy));
}

/* The next way that changes the power and is not unwanted, where the first may not fit. */
static void put_else(sentence *s) {
    const iol_plan *plan = s->w->plan;
    const iol_option_row *first = iol_first_way(plan), *next = NULL;
    if (!first || first->suitable != IOL_UNKNOWN) return;
    for (int i = 0; i < plan->options_count; i++) {
        const iol_option_row *o = &plan->options[i];
        if (o == first || isnan(o->rank) || o->suitable == IOL_NO || mends_no_power(o->option)) continue;
        if (iol_way_unwanted(s->w, o)) continue;
        if (!next || o->rank < next->rank) next = o;
    }
    if (!next) return;
    if (next->option == IOL_option_exchange && s->w->facts.zonule_weighs == IOL_YES) {
        put(s, next->suitable == IOL_UNKNOWN ? " If not, perhaps weigh exchange." : " If not, weigh exchange: weak zonule.");
        return;
    }
    put(s, next->suitable == IOL_UNKNOWN ? " If not, perhaps " : " If not, ");
    put(s, way_of_eye(s, next->option));
    put(s, ".");
}

static void put_soon(sentence *s) {
    const iol_decision *d = &s->w->plan->decision;
    if (d->do_by != IOL_UNKNOWN_DATE) {
        put(s, ", best by ");
        put_date(s, d->do_by);
        return;
    }
    switch (d->urgency) {
    case IOL_urgency_same_day: put(s, " today"); break;
    case IOL_urgency_days: put(s, ", within days"); break;
    case IOL_urgency_weeks: put(s, ", within weeks"); break;
    default: put(s, ". Planned, no hurry"); break;
    }
}

static void put_by(sentence *s) {
    if (s->w->plan->decision.do_by == IOL_UNKNOWN_DATE) return;
    put(s, ", by ");
    put_date(s, s->w->plan->decision.do_by);
}

static const char *place_words(int position) {
    switch (position) {
    case IOL_position_sulcus: return "in the sulcus";
    case IOL_position_sulcus_captured: return "in the sulcus, captured";
    case IOL_position_sclera: return "held in the sclera";
    case IOL_position_iris_behind: return "behind the iris";
    case IOL_position_iris_front: return "before the iris";
    case IOL_position_chamber: return "in the chamber";
    default: return NULL;
    }
}

static void put_place(sentence *s) {
    const iol_replacement *r = iol_new_lens(s->w->plan);
    const char *words = r->present ? place_words(r->position) : NULL;
    if (!words) return;
    put(s, s->w->eye.no_lens == IOL_YES ? ", " : ", new one ");
    put(s, words);
}

static void put_until(sentence *s) {
    const int32_t day = s->w->plan->decision.not_before;
    if (day == IOL_UNKNOWN_DATE)
        put(s, "the eye has settled");
    else
        put_date(s, day);
}

/* The first of the ways that keep the lens and are not known not to fit; NULL: none. */
static const iol_option_row *keeping(const iol_plan *plan) {
    const iol_option_row *best = NULL;
    for (int i = 0; i < plan->options_count; i++) {
        const iol_option_row *o = &plan->options[i];
        if (isnan(o->rank) || !iol_option_words(o->option)[0]) continue;
        if (!best || o->rank < best->rank) best = o;
    }
    return best;
}

static void put_lens(sentence *s) { put(s, s->w->eye.two ? "both lenses for one" : "the lens"); }

/* Exchange beside what keeps the lens: only what may fit is named. */
static void put_both(sentence *s) {
    const iol_reposition *r = &s->w->plan->reposition;
    const iol_option_row *first = iol_first_way(s->w->plan);
    const bool before = first && mends_no_power(first->option); /* what ranks first and touches no lens is named first */
    if (r->present && r->suitable != IOL_NO && before && !s->w->eye.two) {
        const bool leave = first->option == IOL_option_leave;
        put(s, leave ? "Leave it as it is, put it back or exchange it: weigh these" : "First ");
        if (leave) return;
        put(s, way_words(first->option, false));
        put(s, ", then put the lens back or exchange it: weigh both");
        return;
    }
    if (r->present && r->suitable != IOL_NO) {
        put(s, s->w->eye.two ? "Put the lens that moved back, or exchange both for one: weigh it"
                             : "Put the lens back or exchange it: weigh both");
        return;
    }
    const iol_option_row *keep = keeping(s->w->plan);
    put(s, s->w->eye.no_lens == IOL_YES ? "Put a lens in" : "Exchange ");
    if (s->w->eye.no_lens != IOL_YES) put_lens(s);
    if (!keep) return;
    put(s, keep->suitable == IOL_UNKNOWN ? ", or perhaps " : ", or ");
    put(s, way_words(keep->option, false));
    put(s, s->w->eye.two ? ": weigh it" : ": weigh both");
}


/* Of two lenses both come out for one; which of them is at fault stands behind. */
static void put_fault(sentence *s, const char *one, const char *of_two) { put(s, s->w->eye.two ? of_two : one); }
static void put_clouded(sentence *s) {
    const bool both = s->w->facts.second_clouded == IOL_YES;
    put_fault(s, "the clouded lens", both ? "both clouded lenses for one" : "both lenses for one (first clouded)");
}
static void put_damaged(sentence *s) { put_fault(s, "the damaged lens", "both lenses for one (one damaged)"); }
static void put_chafing(sentence *s) { put_fault(s, "the lens that chafes", "both lenses for one (they chafe)"); }
static void put_wrong(sentence *s) { put_fault(s, "the wrong lens", "both lenses for one (first is wrong)"); }

static const struct {
    const char *name;
    void (*put)(sentence *s);
} pieces[] = {{"{way}", put_way},     {"{else}", put_else},   {"{soon}", put_soon}, {"{by}", put_by},
              {"{lens}", put_lens},   {"{place}", put_place}, {"{until}", put_until}, {"{both}", put_both},
              {"{clouded}", put_clouded}, {"{damaged}", put_damaged}, {"{chafing}", put_chafing}, {"{wrong}", put_wrong}};

/* What the way leaves, where that is not what is wanted. */
static void put_left(sentence *s) {
    const iol_facts *f = &s->w->facts;
    char text[32], more[64] = "";
    if (!f->operates || !(f->leads_off || f->leads_cylinder)) return;
    const double value = f->leads_off ? f->leads_se_d : f->leads_cylinder_d;
    if (!iol_print_number(value, 2, f->leads_off, text, sizeof text)) return;
    iol_append(more, sizeof more, " It leaves about ");
    iol_append(more, sizeof more, text);
    iol_append(more, sizeof more, f->leads_off ? " D." : " D of cylinder.");
    if (strlen(s->out) + strlen(more) <= SENTENCE_MOST) put(s, more);
}

/* Nobody asked about the alarms: that comes before anything that the sentence says. */
static void put_alarms(sentence *s) {
    const iol_plan *plan = s->w->plan;
    if (plan->decision.urgency != IOL_urgency_same_day &&
        notes_hold(plan, IOL_AT_decision_missing_tests, IOL_NOTE_missing_red_flags))
        put(s, "Ask every red flag today. ");
}

void iol_headline_make(const iol_work *w) {
    sentence s = {w, w->plan->decision.sentence, sizeof w->plan->decision.sentence};
    put_alarms(&s);
    for (const char *at = template_of(w->plan); *at;) {
        const size_t plain = strcspn(at, "{");
        iol_append_bytes(s.out, s.size, at, plain);
        at += plain;
        for (size_t i = 0; *at && i < sizeof pieces / sizeof *pieces; i++) {
            const size_t length = strlen(pieces[i].name);
            if (strncmp(at, pieces[i].name, length) != 0) continue;
            pieces[i].put(&s);
            at += length;
            break;
        }
    }
    put_left(&s);
}
