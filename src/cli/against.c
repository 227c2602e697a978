/* Old rechecks in a table of digests, asked by every new one. */
#include "against.h"

#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "buffer.h"
#include "seen.h"
#include "case/scan.h"
#include "case/value.h"
#include "case/view.h"
#include "text/number.h"
#include "write/object_json.h"

enum { SEEN = 1, ONLY_NEW = 2 };
typedef struct {
    uint64_t key; /* digest of case_ref, eye and day; 0: no entry */
    int32_t power;
    int8_t state, standing, formula;
    uint8_t flags;
} entry;

struct iol_against {
    const char *old;
    iol_recheck_format format;
    iol_output *output;
    entry *entry;
    size_t room, used;
    long count[IOL_drift_change_end], compared;
    uint64_t last_input;     /* digest of the input that the last case of the old run came from, */
    int64_t last_line;       /* and its line there */
    long behind, behind_new; /* cases of this run behind it, and those of them that are new */
    int64_t read;            /* lines of the old run since its beginning, and their digest */
    uint64_t digest;
    bool told, ended; /* its lines tell the end of a run; the last one read does */
    bool memory;
    iol_faults faults;
    iol_lines lines;
};

/* ---- the table ---- */

static uint64_t key_of(const iol_drift *d) {
    uint64_t digest = iol_digest(IOL_DIGEST_START, d->case_ref, strlen(d->case_ref) + 1);
    digest = iol_digest(digest, (const char *)&d->eye, sizeof d->eye);
    digest = iol_digest(digest, (const char *)&d->dated_on, sizeof d->dated_on);
    return digest ? digest : 1;
}

static entry *slot(entry *table, size_t room, uint64_t key) {
    size_t at = (size_t)(key ^ (key >> 32)) & (room - 1);
    while (table[at].key && table[at].key != key) at = (at + 1) & (room - 1);
    return &table[at];
}

/* Entry of a key, with key 0 when it is new; NULL without memory. */
static entry *find(iol_against *a, uint64_t key) {
    if (4 * (a->used + 1) > 3 * a->room) {
        size_t room = a->room ? 2 * a->room : 1024;
        entry *grown = calloc(room, sizeof *grown);
        if (!grown) return NULL;
        for (size_t i = 0; i < a->room; i++)
            if (a->entry[i].key) *slot(grown, room, a->entry[i].key) = a->entry[i];
        free(a->entry);
        a->entry = grown;
        a->room = room;
    }
    return slot(a->entry, a->room, key);
}

static void fill(iol_against *a, entry *e, uint64_t key, const iol_drift_side *side, int flags) {
    int64_t power = iol_count(side->advised_power_d, 3);
    bool known = power >= -INT32_MAX && power <= INT32_MAX; /* IOL_NO_COUNT is beyond */
    *e = (entry){.key = key,
                 .power = known ? (int32_t)power : INT32_MIN,
                 .state = (int8_t)side->state,
                 .standing = (int8_t)side->standing,
                 .formula = (int8_t)side->formula,
                 .flags = (uint8_t)flags};
    a->used++;
}

static iol_drift_side side_of(const entry *e) {
    return (iol_drift_side){.present = true,
                            .state = e->state,
                            .standing = e->standing,
                            .formula = e->formula,
                            .advised_power_d = e->power == INT32_MIN ? NAN : e->power / 1000.0};
}

/* ---- writing ---- */

static void put(iol_against *a, const char *text) { iol_output_sink(a->output, text, strlen(text)); }

static void put_word(iol_against *a, const char *before, const char *word) {
    put(a, before);
    if (word) put(a, word);
}

static void put_power(iol_against *a, const char *before, double power_d, bool sign) {
    char text[32];
    iol_print_number(power_d, 3, sign, text, sizeof text);
    put(a, before);
    put(a, text);
}

static const char *day(int32_t dated_on, char text[11]) {
    text[0] = '\0';
    if (dated_on != IOL_UNKNOWN_DATE) iol_date_print(dated_on, text);
    return text;
}

static void put_csv(iol_against *a, const iol_drift *d) {
    char date[11];
    put(a, IOL_WORD(drift_change, d->change));
    put_word(a, ",", d->case_ref);
    put_word(a, ",", IOL_WORD(side, d->eye));
    put_word(a, ",", day(d->dated_on, date));
    put_word(a, ",", IOL_WORD(state, d->old.state));
    put_word(a, ",", IOL_WORD(state, d->new.state));
    put_word(a, ",", IOL_WORD(standing, d->old.standing));
    put_word(a, ",", IOL_WORD(standing, d->new.standing));
    put_word(a, ",", IOL_WORD(formula, d->old.formula));
    put_word(a, ",", IOL_WORD(formula, d->new.formula));
    put_power(a, ",", d->old.advised_power_d, false);
    put_power(a, ",", d->new.advised_power_d, false);
    put(a, "\n");
}

static void put_change(iol_against *a, const char *what, const char *old, const char *new) {
    if (old == new) return;
    put_word(a, what, old ? old : "none");
    put_word(a, " -> ", new ? new : "none");
}

static void put_text(iol_against *a, const iol_drift *d) {
    char date[11];
    put(a, IOL_WORD(drift_change, d->change));
    put_word(a, " ", d->case_ref);
    put_word(a, " ", IOL_WORD(side, d->eye));
    put_word(a, " ", day(d->dated_on, date));
    if (d->change == IOL_drift_change_changed) {
        put_change(a, "\n    state ", IOL_WORD(state, d->old.state), IOL_WORD(state, d->new.state));
        put_change(a, "\n    standing ", IOL_WORD(standing, d->old.standing), IOL_WORD(standing, d->new.standing));
        put_change(a, "\n    formula ", IOL_WORD(formula, d->old.formula), IOL_WORD(formula, d->new.formula));
        if (iol_count(d->old.advised_power_d, 3) != iol_count(d->new.advised_power_d, 3)) {
            put_power(a, "\n    power ", d->old.advised_power_d, true);
            put_power(a, isnan(d->old.advised_power_d) ? "none -> " : " -> ", d->new.advised_power_d, true);
            put(a, isnan(d->new.advised_power_d) ? "none" : " D");
        }
    }
    put(a, "\n");
}

static void say(iol_against *a, iol_drift *d, int change) {
    d->change = change;
    d->present = true;
    a->count[change]++;
    if (a->format == IOL_RECHECK_JSONL)
        iol_object_write(iol_object_drift, d, false, iol_output_sink, a->output);
    else if (a->format == IOL_RECHECK_CSV)
        put_csv(a, d);
    else
        put_text(a, d);
}

/* ---- the old run ---- */

static int word_of(iol_view object, const char *key, const iol_word_set *set) {
    iol_view item = iol_view_member(object, key);
    for (int i = 1; i < set->count; i++)
        if (iol_view_is(item, set->word[i])) return i;
    return 0;
}

/* Reference and day as strictly as in a case: they are printed again. */
static bool read_key(iol_view root, iol_drift *d) {
    char ref[sizeof d->case_ref], day_text[16];
    iol_refusal refusal = {.brief = false};
    iol_view given = iol_view_member(root, "case_ref"), date = iol_view_member(root, "dated_on");
    const iol_field *field = iol_object_find(iol_object_case, "case_ref", strlen("case_ref"));
    iol_object_reset(iol_object_drift, d);
    if (!iol_view_is(given, NULL) &&
        !(iol_view_text(given, ref, sizeof ref) && (!ref[0] || iol_take_text(field, ref, d->case_ref, &refusal))))
        return false;
    if (!iol_view_is(date, NULL) &&
        !(iol_view_text(date, day_text, sizeof day_text) && iol_date_read(day_text, &d->dated_on)))
        return false;
    d->eye = word_of(root, "eye", &iol_words_side);
    return true;
}

/* The side of one line of the old run: its joint row of the reference formula. */
static bool read_side(iol_view root, iol_drift_side *side) {
    iol_view row = {NULL, NULL}, rows = iol_view_member(root, "predictions");
    *side = (iol_drift_side){.present = true, .advised_power_d = NAN};
    side->state = word_of(root, "state", &iol_words_state);
    side->standing = word_of(root, "standing", &iol_words_standing);
    while (iol_view_each(rows, &row)) {
        int64_t power;
        iol_view given = iol_view_member(row, "advised_power_d");
        if (word_of(row, "method", &iol_words_recheck_method) != IOL_recheck_method_joint) continue;
        if (!iol_view_is_true(iol_view_member(row, "reference"))) continue;
        side->formula = word_of(row, "formula", &iol_words_formula);
        if (iol_view_is(given, NULL)) continue;
        if (!iol_view_count(given, 3, -INT32_MAX, INT32_MAX, &power)) return false;
        side->advised_power_d = (double)power / 1000.0;
    }
    return iol_view_is_list(rows);
}

/* Where the old run ended: a run that was cut between two lines cannot be told by them. */
static void note_end(iol_against *a, iol_view root) {
    char name[4200];
    a->last_input = 0;
    if (iol_view_text(iol_view_member(root, "input"), name, sizeof name) &&
        iol_view_count(iol_view_member(root, "line"), 0, 0, INT64_MAX, &a->last_line))
        a->last_input = iol_digest(IOL_DIGEST_START, name, strlen(name));
}

/* The last line of a run tells how many there were: NULL when they are those, or it is not the last. */
static const char *check_end(iol_against *a, const iol_record *record, iol_view root) {
    char digest[17];
    int64_t lines;
    size_t covered = iol_recheck_covered(record->text, record->length);
    if (covered == 0) return NULL; /* of a version that told no end */
    a->told = true;
    a->read++;
    a->digest = iol_digest(a->digest, record->text, covered);
    a->ended = !iol_view_is(iol_view_member(root, "end_lines"), NULL);
    if (!a->ended) return NULL;
    snprintf(digest, sizeof digest, "%016llx", (unsigned long long)a->digest);
    bool whole = iol_view_count(iol_view_member(root, "end_lines"), 0, 1, INT64_MAX, &lines) && lines == a->read &&
                 iol_view_is(iol_view_member(root, "end_digest"), digest);
    a->read = 0;
    a->digest = IOL_DIGEST_START;
    return whole ? NULL : "damaged: the lines of this run are not those that were written";
}

/* NULL when the line is one of the old run, else what is wrong with it. */
static const char *read_old(iol_against *a, const iol_record *record, iol_drift *d, iol_drift_side *side) {
    static const char no_line[] = "not a line that recheck --format jsonl wrote";
    int64_t format;
    if (!record->text || !iol_scan_json(record->text, record->length, IOL_LINE_MOST, &a->faults)) return no_line;
    iol_view root = iol_view_of(record->text, record->length);
    if (!iol_view_count(iol_view_member(root, "recheck_format"), 0, 0, INT32_MAX, &format)) return no_line;
    if (format != 1) return "a recheck_format that this program does not read";
    note_end(a, root);
    return read_key(root, d) && read_side(root, side) ? check_end(a, record, root) : no_line;
}

static size_t source(void *context, char *bytes, size_t size) { return fread(bytes, 1, size, context); }

static bool take_old(iol_against *a, iol_drift *d, const iol_drift_side *side) {
    uint64_t key = key_of(d);
    entry *e = find(a, key);
    if (!e) return a->memory = false;
    if (e->key) {
        d->old = *side;
        say(a, d, IOL_drift_change_twice);
    } else
        fill(a, e, key, side, 0);
    return true;
}

static bool tell_gone(iol_against *a, iol_drift *d, const iol_drift_side *side) {
    entry *e = find(a, key_of(d));
    if (!e) return a->memory = false;
    if (e->key && !(e->flags & SEEN)) {
        e->flags |= SEEN;
        d->old = *side;
        say(a, d, IOL_drift_change_gone);
    }
    return true;
}

static int refuse(const iol_against *a, long line, const char *why) {
    char name[IOL_FAULT_QUOTED];
    fprintf(stderr, "iolrevise: %s:%ld: %s\n", iol_cli_printable(a->old, name, sizeof name), line, why);
    return IOL_EXIT_REFUSED;
}

/* Every line of the old run. */
static int over_old(iol_against *a, bool (*each)(iol_against *, iol_drift *, const iol_drift_side *)) {
    iol_record record = {.line = 0};
    iol_drift d;
    iol_drift_side side;
    const char *wrong = NULL;
    FILE *in = fopen(a->old, "rb");
    if (!in) return iol_cli_cannot("open", a->old, IOL_EXIT_INPUT);
    iol_lines_start(&a->lines, source, in);
    a->read = 0, a->digest = IOL_DIGEST_START, a->told = a->ended = false;
    while (!wrong && a->memory && iol_lines_next(&a->lines, &record)) {
        wrong = read_old(a, &record, &d, &side);
        if (a->lines.unended) wrong = "cut: the last line does not end, so the run that wrote it did not end either";
        if (!wrong && d.case_ref[0]) each(a, &d, &side);
    }
    if (!wrong && a->told && !a->ended) wrong = "cut: the line that ends a run is missing";
    int status = ferror(in) ? iol_cli_cannot("read", a->old, IOL_EXIT_INPUT) : IOL_EXIT_DONE;
    fclose(in);
    if (!a->memory) return iol_cli_no_memory();
    return wrong ? refuse(a, record.line, wrong) : status;
}

/* It is read twice. */
static int read_twice(const char *old) {
    struct stat s;
    if (stat(old, &s) != 0 || S_ISREG(s.st_mode) || S_ISDIR(s.st_mode)) return IOL_EXIT_DONE;
    return iol_cli_flag("--against", old, "a plain file: it is read twice");
}

/* ---- the new run ---- */

int iol_against_start(iol_against **against, const char *old, iol_recheck_format format, iol_output *output) {
    iol_against *a = *against = calloc(1, sizeof *a);
    if (!a) return iol_cli_cannot("read", old, IOL_EXIT_FAULT);
    a->old = old;
    a->format = format;
    a->output = output;
    a->memory = true;
    int status = read_twice(old);
    if (status != IOL_EXIT_DONE) return status;
    if (format == IOL_RECHECK_CSV)
        put(a, "change,case_ref,eye,dated_on,old_state,new_state,old_standing,new_standing,old_formula,new_formula,"
               "old_power_d,new_power_d\n");
    return over_old(a, take_old);
}

bool iol_against_case(void *context, const iol_recheck_kept *kept) {
    iol_against *a = context;
    const iol_recheck *r = &kept->recheck;
    iol_drift d;
    if (!r->case_ref[0]) return true;
    iol_object_reset(iol_object_drift, &d);
    memcpy(d.case_ref, r->case_ref, sizeof d.case_ref);
    d.eye = r->eye;
    d.dated_on = r->dated_on;
    d.new = (iol_drift_side){.present = true, .state = r->state, .standing = r->standing, .advised_power_d = NAN};
    for (int i = 0; i < r->predictions_count; i++) {
        const iol_prediction *p = &r->predictions[i];
        if (p->method != IOL_recheck_method_joint || p->reference != IOL_YES) continue;
        d.new.formula = p->formula;
        d.new.advised_power_d = p->advised_power_d;
    }
    uint64_t key = key_of(&d);
    entry *e = find(a, key);
    if (!e) return false;
    a->compared++;
    bool behind = a->last_input && (int64_t)r->line > a->last_line &&
                  iol_digest(IOL_DIGEST_START, r->input, strlen(r->input)) == a->last_input;
    a->behind += behind;
    a->behind_new += behind && !e->key;
    if (!e->key) {
        fill(a, e, key, &d.new, SEEN | ONLY_NEW);
        say(a, &d, IOL_drift_change_new);
        return true;
    }
    entry now;
    fill(a, &now, key, &d.new, 0);
    a->used--;
    d.old = side_of(e);
    if (e->flags & SEEN)
        say(a, &d, IOL_drift_change_twice);
    else if (now.state != e->state || now.standing != e->standing || now.formula != e->formula || now.power != e->power)
        say(a, &d, IOL_drift_change_changed);
    e->flags |= SEEN;
    return true;
}

int iol_against_finish(iol_against *a, bool fail_on_change) {
    int status = over_old(a, tell_gone);
    if (a->format == IOL_RECHECK_TEXT) {
        char text[160];
        snprintf(text, sizeof text, "%ld cases: %ld changed, %ld new, %ld gone, %ld twice\n", a->compared,
                 a->count[IOL_drift_change_changed], a->count[IOL_drift_change_new], a->count[IOL_drift_change_gone],
                 a->count[IOL_drift_change_twice]);
        put(a, text);
    }
    if (a->behind > 0 && a->behind == a->behind_new) {
        char name[IOL_FAULT_QUOTED];
        fprintf(stderr,
                "iolrevise: %s: ends at line %lld of its last input, and all %ld cases behind that are new: was that "
                "run cut?\n",
                iol_cli_printable(a->old, name, sizeof name), (long long)a->last_line, a->behind);
    }
    long changes =
        a->count[IOL_drift_change_changed] + a->count[IOL_drift_change_gone] + a->count[IOL_drift_change_twice];
    return fail_on_change && changes > 0 ? iol_cli_worse(status, IOL_EXIT_STOP) : status;
}

void iol_against_end(iol_against *a) {
    if (a) free(a->entry);
    free(a);
}
