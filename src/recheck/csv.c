/* The csv of a recheck. */
#include "csv.h"

#include <string.h>

#include "past_case.h"
#include "text/calm.h"
#include "text/number.h"
#include "tables/tables.h"

const char iol_csv_header[] =
    "input,line,case_ref,eye,status,operation,method,formula,reference,position,posterior,lens_power_d,advised_power_d,"
    "power_gap_d,predicted_se_d,achieved_se_d,error_d,error_j0_d,error_j45_d,expected_sd_d,interval_held,state,"
    "standing,fault_count,fault,counted,tested,alarms_open,not_counted,dated_on,told_within_half,eye_part_d\n";

/* Room for any row but its input: cells of our own are short, a fault's path is the longest. */
enum { ROW = 1280 };

/* Each writes at `at` and returns what is behind. */
static char *put(char *at, const char *text, size_t length) {
    memcpy(at, text, length);
    return at + length;
}

static char *comma(char *at) {
    *at = ',';
    return at + 1;
}

static char *put_text(char *at, const char *text) { return comma(text ? put(at, text, strlen(text)) : at); }

static char *put_whole(char *at, double x) { return comma(at + iol_print_number(x, 0, false, at, 32)); }

static char *put_number(char *at, double x) { return comma(at + iol_print_thousandths(x, at, 32)); }

static char *put_flag(char *at, iol_flag flag) {
    return put_text(at, flag == IOL_UNKNOWN ? NULL : flag == IOL_YES ? "true" : "false");
}

/* Length of the cell written at out, which holds 2 * length + 3 bytes. */
static size_t cell(const char *text, size_t length, char *out) {
    size_t used = 0;
    bool plain = true;
    for (size_t i = 0; i < length; i++) plain = plain && !strchr(",\"\r\n", text[i]);
    if (plain) {
        memcpy(out, text, length);
        return length;
    }
    out[used++] = '"';
    for (size_t i = 0; i < length; i++) {
        if (text[i] == '"') out[used++] = '"';
        out[used++] = text[i];
    }
    out[used++] = '"';
    return used;
}

size_t iol_csv_name(const char *name, char *out, size_t size) {
    char text[4200], quoted[2 * sizeof text + 3];
    char first = name[0];
    bool harmless = (first >= 'a' && first <= 'z') || (first >= 'A' && first <= 'Z') ||
                    (first >= '0' && first <= '9') || first == '.' || first == '/' || first == '_';
    size_t before = harmless ? 0 : 2;
    memcpy(text, "./", 2);
    size_t length = before + iol_calm(name, text + before, sizeof text - before);
    size_t used = cell(text, length, quoted);
    if (used > size - 1) used = size - 1;
    memcpy(out, quoted, used);
    out[used] = '\0';
    return used;
}

/* The cells before the prediction's, and those behind. */
static char *put_front(char *at, const iol_recheck *c, const char *input, size_t input_length) {
    at = comma(put(at, input, input_length));
    at = put_whole(at, c->line);
    at = put_text(at, c->case_ref);
    at = put_text(at, IOL_WORD(side, c->eye));
    at = put_text(at, IOL_WORD(recheck_status, c->status));
    return put_text(at, IOL_WORD(operation_done, c->operation));
}

static char *put_back(char *at, const iol_recheck *c, int fault_count) {
    at = put_text(at, IOL_WORD(state, c->state));
    at = put_text(at, IOL_WORD(standing, c->standing));
    at = put_whole(at, fault_count);
    if (c->faults_count > 0) {
        char text[256];
        const iol_recheck_fault *fault = &c->faults[0];
        const char *path = fault->path[0] ? fault->path : "(whole)";
        char *end = put(text, path, strlen(path));
        end = put(end, ": ", 2);
        end = put(end, fault->code, strlen(fault->code));
        at += cell(text, (size_t)(end - text), at);
    }
    at = comma(at);
    at = put_flag(at, c->counted);
    at = put_flag(at, c->tested);
    at = put_whole(at, c->alarms_open);
    at = put_text(at, IOL_WORD(not_counted, c->not_counted));
    if (c->dated_on != IOL_UNKNOWN_DATE) {
        iol_date_print(c->dated_on, at);
        at += 10;
    }
    at = comma(at);
    at = put_number(at, c->told_within_half);
    at = put_number(at, c->eye_part_d);
    at[-1] = '\n';
    return at;
}

/* Cells that every row of a case shares, written once: in front, between those of the prediction, and behind. */
typedef struct {
    char place[96], achieved[32], back[720];
    size_t place_length, achieved_length, back_length;
} shared_cells;

static void share(const iol_recheck *c, int fault_count, shared_cells *s) {
    char *at = put_text(s->place, IOL_WORD(position, c->position));
    at = put_text(at, IOL_WORD(posterior_capsule, c->posterior));
    s->place_length = (size_t)(put_number(at, c->lens_power_d) - s->place);
    s->achieved_length = (size_t)(put_number(s->achieved, c->achieved_se_d) - s->achieved);
    s->back_length = (size_t)(put_back(s->back, c, fault_count) - s->back);
}

static char *put_prediction(char *at, const shared_cells *s, const iol_prediction *p) {
    at = put_text(at, IOL_WORD(recheck_method, p->method));
    at = put_text(at, IOL_WORD(formula, p->formula));
    at = put_flag(at, p->reference);
    at = put(at, s->place, s->place_length);
    at = put_number(at, p->advised_power_d);
    at = put_number(at, p->power_gap_d);
    at = put_number(at, p->predicted_se_d);
    at = put(at, s->achieved, s->achieved_length);
    at = put_number(at, p->error_d);
    at = put_number(at, p->error_j0_d);
    at = put_number(at, p->error_j45_d);
    at = put_number(at, p->expected_sd_d);
    return put_text(at, IOL_WORD(interval_held, p->interval_held));
}

size_t iol_csv_room(size_t input_length) { return IOL_PAST_ROWS * (input_length + ROW); }

size_t iol_csv_case(const iol_recheck *c, const char *input, size_t input_length, int fault_count, char *out) {
    shared_cells shared;
    share(c, fault_count, &shared);
    char *at = put_front(out, c, input, input_length);
    size_t front_length = (size_t)(at - out);
    for (int i = 0; i == 0 || i < c->predictions_count; i++) {
        if (i > 0) at = put(at, out, front_length);
        at = put_prediction(at, &shared, c->predictions_count > 0 ? &c->predictions[i] : &iol_no_prediction);
        at = put(at, shared.back, shared.back_length);
    }
    return (size_t)(at - out);
}
