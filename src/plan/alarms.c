/* Red flags and very high pressure. */
#include "alarms.h"

#include "tables/constants.h"
#include "tables/note_codes.h"
#include "tables/say.h"
#include "text/list.h"

static const struct {
    size_t offset;
    const char *word;
    iol_note_code alarm;
} flags[] = {{offsetof(iol_red_flags, pain), "pain", IOL_NOTE_alarm_pain},
             {offsetof(iol_red_flags, sudden_loss), "sudden loss", IOL_NOTE_alarm_sudden_loss},
             {offsetof(iol_red_flags, infection_signs), "infection", IOL_NOTE_alarm_infection},
             {offsetof(iol_red_flags, wound_leak), "wound leak", IOL_NOTE_alarm_wound_leak},
             {offsetof(iol_red_flags, pupil_block), "pupil block", IOL_NOTE_alarm_pupil_block},
             {offsetof(iol_red_flags, lens_touches_cornea), "lens on cornea", IOL_NOTE_alarm_lens_touch},
             {offsetof(iol_red_flags, detachment_signs), "detachment", IOL_NOTE_alarm_detachment}};
enum { FLAGS = sizeof flags / sizeof *flags };

/* Answered alone, or with all seven at once. */
static iol_flag flag_of(const iol_case *c, int i) {
    iol_flag own = *(const iol_flag *)(const void *)((const char *)&c->red_flags + flags[i].offset);
    return own == IOL_UNKNOWN && c->red_flags.none == IOL_YES ? IOL_NO : own;
}

/* Not all are absent, and none is named. */
static bool unsaid(const iol_case *c) {
    bool named = false;
    for (int i = 0; i < FLAGS; i++) named |= flag_of(c, i) == IOL_YES;
    return c->red_flags.none == IOL_NO && !named;
}

/* Stop cautions before any other, so that they stand first in every output. */
void iol_alarms_say(const iol_case *c, iol_notes *notes) {
    double pressure = c->anterior_segment.pressure_mmhg;
    for (int i = 0; i < FLAGS; i++)
        if (flag_of(c, i) == IOL_YES) iol_note_add(notes, IOL_AT_plan_cautions, 0, flags[i].alarm, NAN, NAN, NULL);
    if (unsaid(c)) iol_note_add(notes, IOL_AT_plan_cautions, 0, IOL_NOTE_alarm_unsaid, NAN, NAN, NULL);
    if (iol_at_least(pressure, c_pressure_same_day_mmhg) == IOL_YES)
        iol_note_add(notes, IOL_AT_plan_cautions, 0, IOL_NOTE_alarm_pressure, pressure, NAN, NULL);
}

iol_flag iol_alarm_red_flags(const iol_case *c, char *words, size_t size) {
    enum { ALL = 4, SOME = 3 }; /* so many have room; the stops name the rest */
    iol_flag any = IOL_NO;
    int there = 0, told = 0;
    words[0] = '\0';
    for (int i = 0; i < FLAGS; i++) there += flag_of(c, i) == IOL_YES;
    for (int i = 0; i < FLAGS; i++) {
        any = iol_or(any, flag_of(c, i));
        if (flag_of(c, i) != IOL_YES || told == (there > ALL ? SOME : ALL)) continue;
        iol_list_add(words, size, flags[i].word, "");
        told++;
    }
    if (told < there) {
        char count[] = " and 0 more: see STOP";
        count[5] = (char)('0' + there - told);
        iol_append(words, size, count);
    }
    if (unsaid(c)) iol_append(words, size, "one, not said which");
    return unsaid(c) ? IOL_YES : any;
}

static void answer(iol_flag *flag) {
    if (*flag == IOL_UNKNOWN) *flag = IOL_NO;
}

static void answer_word(int *word, int no) {
    if (*word <= 0) *word = no;
}

void iol_alarms_answer_no(iol_case *c) {
    iol_anterior_segment *a = &c->anterior_segment;
    for (int i = 0; i < FLAGS; i++) answer((iol_flag *)(void *)((char *)&c->red_flags + flags[i].offset));
    c->red_flags.present = a->present = c->silicone_oil.present = true;
    if (isnan(a->pressure_mmhg)) a->pressure_mmhg = c_pressure_same_day_mmhg / 2.0;
    answer_word(&a->uveitis, IOL_uveitis_none);
    answer_word(&a->glaucoma, IOL_glaucoma_none);
    answer_word(&c->retina.macula, IOL_macula_normal);
    answer(&c->silicone_oil.now);
    answer(&c->silicone_oil.at_measurement);
    answer(&c->silicone_oil.at_refraction);
}
