/* Where a new lens can be held (method, section 7). */
#include "positions.h"

#include "tables/constants.h"
#include "text/list.h"
#include "tables/note_codes.h"

typedef struct {
    int position, effect;
    iol_note_code why;
    const char *finding;
} test_row;
static const test_row tests[] = {
#define RUNG(position, effect, predicate, why, finding)                                                                \
    {IOL_position_##position, IOL_outlook_##effect, IOL_NOTE_##why, finding},
#define EXPECTED(position, why)
#include "rungs.def"
#undef RUNG
#undef EXPECTED
};
enum { TESTS = sizeof tests / sizeof *tests };

/* The answers to the rows of tests, in their order. */
static void ask(const iol_case *c, const iol_facts *f, iol_flag answer[TESTS]) {
    int i = 0;
#define RUNG(position, effect, predicate, why, finding) answer[i++] = (predicate);
#define EXPECTED(position, why)
#include "rungs.def"
#undef RUNG
#undef EXPECTED
}

static const struct {
    int position;
    iol_note_code why;
} places[IOL_RUNGS] = {
#define RUNG(position, effect, predicate, why, finding)
#define EXPECTED(position, why) {IOL_position_##position, IOL_NOTE_##why},
#include "rungs.def"
#undef RUNG
#undef EXPECTED
};

/* A doubt that a tension ring, or a whole rim, answers. */
static bool ring_holds(int position, iol_note_code doubt) {
#define RUNG(position, effect, predicate, why, finding)
#define EXPECTED(position, why)
#define HELD(place, why)                                                                                               \
    if (position == IOL_position_##place && doubt == IOL_NOTE_##why) return true;
#include "rungs.def"
#undef RUNG
#undef EXPECTED
    return false;
}

/* Of one place: the first rows that bar it and that make it doubtful; -1 none. */
typedef struct {
    int barred, doubted;
} verdict;

static int place_of(int position) {
    int place = 0;
    while (places[place].position != position) place++;
    return place;
}

/* Every row once. words: what is missing is named; else only that something is. */
static void judge(const iol_flag answer[TESTS], bool words, verdict found[IOL_RUNGS], iol_rung ladder[IOL_RUNGS]) {
    for (int i = 0; i < TESTS; i++) {
        if (answer[i] == IOL_NO) continue;
        int place = place_of(tests[i].position);
        bool bars = tests[i].effect == IOL_outlook_no;
        iol_rung *rung = &ladder[place];
        int *first = bars ? &found[place].barred : &found[place].doubted;
        if (answer[i] == IOL_YES) {
            if (*first < 0) *first = i;
            continue;
        }
        rung->bar_unknown = rung->bar_unknown || bars;
        if (words)
            iol_list_add(rung->missing, sizeof rung->missing, tests[i].finding, ", more");
        else
            rung->missing[0] = '?';
    }
}

static void settle(const verdict *found, iol_rung *rung) {
    if (found->barred >= 0) {
        rung->outlook = IOL_outlook_no;
        rung->why = tests[found->barred].why;
    } else if (found->doubted >= 0 || rung->missing[0]) {
        rung->outlook = IOL_outlook_possible;
        rung->why = found->doubted < 0 || rung->bar_unknown ? IOL_NOTE_rung_not_known : tests[found->doubted].why;
        rung->only_unknown = found->doubted < 0;
        rung->by_ring = found->doubted >= 0 && ring_holds(rung->position, tests[found->doubted].why);
    }
}

static void make_ladder(const iol_work *w, bool words, iol_rung ladder[IOL_RUNGS]) {
    int old_position = w->eye.old.position;
    iol_flag answer[TESTS];
    ask(w->c, &w->facts, answer);
    verdict found[IOL_RUNGS];
    for (int i = 0; i < IOL_RUNGS; i++) {
        found[i] = (verdict){-1, -1};
        ladder[i] = (iol_rung){.position = places[i].position, .outlook = IOL_outlook_expected, .why = places[i].why};
    }
    judge(answer, words, found, ladder);
    for (int i = 0; i < IOL_RUNGS; i++) settle(&found[i], &ladder[i]);
    for (int i = IOL_RUNGS - 1; i > 0; i--) {
        if (ladder[i].position != old_position || ladder[i - 1].position <= IOL_position_sulcus_captured) continue;
        iol_rung up = ladder[i];
        ladder[i] = ladder[i - 1];
        ladder[i - 1] = up;
    }
}

void iol_ladder_make(const iol_work *w, iol_rung ladder[IOL_RUNGS]) { make_ladder(w, true, ladder); }

/* Nothing known speaks against a place that the capsule gives, but a weak zonule that a ring or the rim bears, and what is not
 * examined could only make it doubtful: it comes before a place that needs a vitrectomy. */
static bool likely_in_capsule(const iol_rung *rung) { /* ORDER position */
    return rung->position <= IOL_position_sulcus_captured && (rung->only_unknown || rung->by_ring) &&
           !rung->bar_unknown;
}

bool iol_position_unknown(const iol_work *w, int position) {
    iol_rung ladder[IOL_RUNGS];
    iol_ladder_make(w, ladder);
    bool unknown = false;
    for (int i = 0; i < IOL_RUNGS; i++) unknown = unknown || (ladder[i].position == position && ladder[i].missing[0]);
    return unknown;
}

static int planned_on(const iol_rung ladder[IOL_RUNGS], int old_position) {
    for (int i = 0; i < IOL_RUNGS; i++)
        if (ladder[i].outlook == IOL_outlook_expected || likely_in_capsule(&ladder[i]) ||
            (ladder[i].only_unknown && ladder[i].position == old_position))
            return ladder[i].position;
    for (int i = 0; i < IOL_RUNGS; i++)
        if (ladder[i].only_unknown && !ladder[i].bar_unknown) return ladder[i].position;
    int planned = old_position;
    for (int i = IOL_RUNGS - 1; i >= 0; i--)
        if (ladder[i].outlook == IOL_outlook_possible) planned = ladder[i].position;
    return planned;
}

int iol_position_planned(const iol_work *w) {
    iol_rung ladder[IOL_RUNGS];
    make_ladder(w, false, ladder);
    return planned_on(ladder, w->eye.old.position);
}

int iol_position_on_shelf(const iol_work *w) {
    const iol_site *site = w->site;
    iol_rung ladder[IOL_RUNGS];
    make_ladder(w, false, ladder);
    int planned = planned_on(ladder, w->eye.old.position);
    for (int i = -1; i < IOL_RUNGS; i++) {
        int position = i < 0 ? planned : ladder[i].position;
        if (i >= 0 && ladder[i].outlook == IOL_outlook_no) continue;
        for (int k = 0; k < site->lenses_count; k++)
            if (iol_position_allows(&site->lenses[k], position)) return position;
    }
    return planned;
}

bool iol_position_allows(const iol_shelf_lens *lens, int position) {
    bool sulcus = position == IOL_position_sulcus || position == IOL_position_sulcus_captured;
    if (lens->purpose != IOL_purpose_replacement || (sulcus && lens->design != IOL_design_three_piece)) return false;
    for (int i = 0; i < lens->positions_count; i++)
        if (lens->positions[i] == position) return true;
    return false;
}
