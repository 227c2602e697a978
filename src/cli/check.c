/* iolrevise check: are these files what they should be? A line an input; faults and cautions on standard error, as JSON within the
 * document. */
#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "case/scan.h"
#include "case/unusual.h"
#include "check_json.h"
#include "eye/eye.h"
#include "records.h"
#include "tables/say.h"

typedef struct {
    iol_records records;
    iol_batch batch;
    iol_faults faults;
    iol_case c, blank;
    iol_site site, generic;
    iol_notes notes;
    iol_plan plan;
    iol_ask_room room;
    iol_output output;
    iol_check_json json;
    int status;
    long read; /* cases and sites of all inputs */
    /* the input that is being read */
    const char *name;
    long cases, refused;
    int cautions;
    bool held; /* one case over several lines, told already */
} checker;

/* Text is silent where JSON is written. */
static void put(checker *k, const char *text) {
    if (!k->json.on) iol_output_sink(&k->output, text, strlen(text));
}

static void count(checker *k, long n, const char *one, const char *many) {
    char text[40];
    snprintf(text, sizeof text, "%ld %s", n, n == 1 ? one : many);
    put(k, text);
}

static void put_name(checker *k) {
    char name[IOL_FAULT_QUOTED];
    put(k, iol_cli_printable(k->name, name, sizeof name));
    put(k, ": ");
}

/* ---- cautions ---- */

static void say_caution(checker *k, long line, const char *path, const char *code, const char *text) {
    char name[IOL_FAULT_QUOTED], at[24] = "";
    iol_check_json_caution(&k->json, line, path, code, text);
    k->cautions++;
    if (k->json.on) return;
    if (line > 0) snprintf(at, sizeof at, "%ld:", line);
    fprintf(stderr, "iolrevise: %s:%s %s: %s: %s\n", iol_cli_printable(k->name, name, sizeof name), at, path, code,
            text);
}

/* What is wrong with a case or a site: told on standard error or in the document. */
static void tell_faults(checker *k) {
    iol_check_json_faults(&k->json, &k->faults);
    int status = iol_faults_no_memory(&k->faults) ? IOL_EXIT_FAULT : IOL_EXIT_REFUSED;
    k->status = iol_cli_worse(k->status, k->json.on ? status : iol_cli_faults(k->name, &k->faults));
}

typedef struct {
    checker *k;
    long line;
} odd_context;

static void tell_odd(void *context, const iol_odd_value *odd) {
    odd_context *o = context;
    const iol_field *f = odd->field;
    char text[200] = "found ";
    iol_append_number(text, sizeof text, odd->value);
    iol_append(text, sizeof text, odd->axis_zero ? ", taken as 180" : ", usually ");
    if (!odd->axis_zero) {
        iol_append_number(text, sizeof text, odd->low);
        iol_append(text, sizeof text, " to ");
        iol_append_number(text, sizeof text, odd->high);
        iol_append(text, sizeof text, iol_units[f->unit].printed[0] ? " " : "");
        iol_append(text, sizeof text, iol_units[f->unit].printed);
    }
    say_caution(o->k, o->line, odd->path, odd->axis_zero ? "axis-zero" : "unusual", text);
}

/* What the eye has to say about the values of a case, without a plan. */
static void case_cautions(checker *k, long line) {
    iol_eye eye;
    odd_context o = {k, line};
    iol_odd_values(iol_object_case, &k->c, tell_odd, &o);
    memset(&k->notes, 0, sizeof k->notes);
    iol_eye_make(&k->c, &k->generic, k->c.assessed_on, IOL_EYE_POOLED, &k->notes, &eye);
    for (int i = 0; i < k->notes.count; i++) {
        const iol_note *note = &k->notes.item[i];
        char text[640];
        if (note->place != IOL_AT_plan_cautions) continue;
        say_caution(k, line, "(whole)", iol_note_rows[note->code].code, iol_note_text(note, text, sizeof text));
    }
}

/* The open questions that hold the power back, most first; nothing where it is advised or none can lift it. What is answered may
 * bring the next. */
static void to_be_advised(checker *k) {
    enum { NAMED = 5 };
    int named = 0;
    iol_plan_make(&k->c, &k->generic, IOL_UNKNOWN_DATE, &k->plan);
    if (!k->plan.replacement.present || k->plan.replacement.standing == IOL_standing_advised) return;
    iol_plan_ask(&k->c, &k->generic, IOL_UNKNOWN_DATE, &k->room, &k->plan);
    for (int i = 0; i < k->room.all.questions_count && named < NAMED; i++) {
        const iol_asked_question *q = &k->room.all.questions[i];
        if (q->lifts != IOL_YES) continue;
        put(k, named++ ? ", " : "  to reach ADVISED, answer: ");
        put(k, q->path + 1);
        iol_check_json_to_advised(&k->json, q->path);
    }
    if (named) put(k, "; then check again\n");
}

/* ---- records ---- */

static void end_of_line(checker *k) { put(k, "\n"); }

/* A line that ends within a case: most likely a case written over several lines. */
static void explain_cut_case(iol_fault *fault) {
    if (fault->code != IOL_FAULT_syntax || strcmp(fault->found, "the end of the text") != 0) return;
    fault->wanted[0] = '\0';
    iol_append(fault->wanted, sizeof fault->wanted,
               "a whole case on this line; a case over several lines goes into a file named .json");
}

/* A file of one case or site. */
static void whole(checker *k, const char *text, size_t length) {
    if (iol_cli_blank(text, length)) {
        put_name(k);
        put(k, "not read\n");
        iol_check_json_not_read(&k->json, 0);
        iol_check_json_verdict(&k->json, "not-read", 0, 0);
        k->status = iol_cli_worse(k->status, iol_cli_nothing(k->name));
        return;
    }
    k->read++;
    bool is_site = iol_scan_has_key(text, length, "site_format");
    bool good =
        is_site ? iol_site_read(text, length, &k->site, &k->faults) : iol_case_read(text, length, &k->c, &k->faults);
    odd_context o = {k, 0};
    if (good && is_site) iol_odd_values(iol_object_site, &k->site, tell_odd, &o);
    if (good && !is_site) case_cautions(k, 0);
    put_name(k);
    if (good)
        put(k, "ok");
    else {
        tell_faults(k);
        if (iol_faults_no_memory(&k->faults))
            put(k, "not read");
        else
            count(k, k->faults.count + k->faults.more, "fault", "faults");
    }
    if (k->cautions > 0) {
        put(k, ", ");
        count(k, k->cautions, "caution", "cautions");
    }
    end_of_line(k);
    iol_check_json_verdict(&k->json, good ? "ok" : "refused", !is_site, !is_site && !good);
    if (good && !is_site) to_be_advised(k);
}

static void record(checker *k, const char *text, const iol_batch_item *item) {
    bool good = false;
    k->cases++;
    k->read++;
    if (text && item->columns)
        good = iol_columns_case(item->columns, text, item->length, &k->blank, &k->c, &k->faults);
    else if (text)
        good = iol_case_read(text, item->length, &k->c, &k->faults);
    else {
        char found[32] = "";
        iol_faults_start(&k->faults);
        iol_append_number(found, sizeof found, (double)item->length);
        iol_fault_add(&k->faults, IOL_FAULT_too_long, "", found, "at most 65536", "bytes");
    }
    for (int i = 0; i < k->faults.count; i++) k->faults.item[i].line = (int)item->line;
    if (good) {
        case_cautions(k, item->line);
        return;
    }
    k->refused++;
    if (!item->columns) explain_cut_case(&k->faults.item[0]);
    tell_faults(k);
}

static bool is_case_file(const checker *k) {
    size_t length = strlen(k->name);
    return k->held || (!k->records.csv && length > 5 && strcmp(k->name + length - 5, ".json") == 0);
}

static void start_input(checker *k, int input) {
    k->name = k->records.input[input].name;
    k->cases = k->refused = 0;
    k->cautions = 0;
    k->held = false;
    iol_check_json_input(&k->json, k->name);
}

static const char *verdict_of_lines(const checker *k) {
    return k->cases == 0 ? "not-read" : k->refused > 0 ? "refused" : "ok";
}

/* The line of an input of JSON Lines; failed: it was told that it cannot be read. */
static void end_input(checker *k, bool failed) {
    bool lines = !failed && !is_case_file(k);
    if (lines && k->cases == 0) iol_check_json_not_read(&k->json, 0);
    if (lines) iol_check_json_verdict(&k->json, verdict_of_lines(k), k->cases, k->refused);
    iol_check_json_end_input(&k->json);
    if (!lines) return;
    put_name(k);
    count(k, k->cases, "case", "cases");
    put(k, ", ");
    count(k, k->refused, "refused", "refused");
    end_of_line(k);
}

static void over_all(checker *k) {
    int at = 0;
    bool failed = false;
    start_input(k, 0);
    while (iol_records_take(&k->records, &k->batch))
        for (int i = 0; i < k->batch.count; i++) {
            const iol_batch_item *item = &k->batch.item[i];
            for (; at < item->input; failed = false) {
                end_input(k, failed);
                start_input(k, ++at);
            }
            if (item->kind == IOL_RECORD_NOT_OPENED || item->kind == IOL_RECORD_NOT_READ) {
                failed = true;
                errno = item->error;
                int status =
                    iol_cli_cannot(item->kind == IOL_RECORD_NOT_OPENED ? "open" : "read", k->name, IOL_EXIT_INPUT);
                k->status = iol_cli_worse(k->status, status);
                iol_check_json_not_read(&k->json, item->error);
                iol_check_json_verdict(&k->json, "not-read", k->cases, k->refused);
            } else if (item->whole) {
                k->held = true;
                whole(k, k->batch.bytes + item->at, item->length);
            } else
                record(k, item->kind == IOL_RECORD_LONG ? NULL : k->batch.bytes + item->at, item);
        }
    for (; at < k->records.count; failed = false) {
        end_input(k, failed);
        if (++at < k->records.count) start_input(k, at);
    }
}

int iol_cli_check(const iol_options *options) {
    checker *k = malloc(sizeof *k);
    if (!k) return iol_cli_cannot("check", "the inputs", IOL_EXIT_FAULT);
    int format, status = iol_cli_format("check", options->format, &format);
    if (status == IOL_EXIT_DONE) status = iol_output_open(&k->output, options->output);
    if (status != IOL_EXIT_DONE) {
        free(k);
        return status;
    }
    k->json = (iol_check_json){.on = format == IOL_FORMAT_JSON};
    k->status = IOL_EXIT_DONE;
    k->read = 0;
    iol_site_generic(&k->generic);
    iol_case_reset(&k->blank);
    if (status == IOL_EXIT_DONE) status = iol_records_start(&k->records, options->file, options->files);
    k->records.csv = options->csv != NULL;
    iol_check_json_start(&k->json, &k->output);
    if (status == IOL_EXIT_DONE && k->records.count > 0) over_all(k);
    iol_check_json_end(&k->json);
    if (status == IOL_EXIT_DONE && k->status == IOL_EXIT_DONE && k->read == 0)
        k->status = iol_cli_nothing(k->records.count == 1 ? k->records.input[0].name : "the inputs");
    iol_records_end(&k->records);
    status = iol_cli_worse(status, iol_cli_worse(k->status, iol_output_close(&k->output)));
    free(k);
    return status;
}
