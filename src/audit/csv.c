/* The csv of a recheck. */
#include "csv.h"

#include <string.h>

#include "audit.h"
#include "files/number.h"
#include "tables/tables.h"

const char iol_csv_header[] =
    "input,line,case_ref,eye,status,operation,method,formula,reference,position,posterior,lens_power_d,advised_power_d,"
    "power_gap_d,predicted_se_d,achieved_se_d,error_d,error_j0_d,error_j45_d,expected_sd_d,interval_held,state,"
    "standing,fault_count,fault,counted,tested\n";

/* Room for any row but its input: cells of our own are short, a fault's path is the longest. */
enum { ROW = 1280 };

typedef struct {
    size_t used;
    char bytes[ROW];
} row;

static void put(row *r, const char *text, size_t length) {
    memcpy(r->bytes + r->used, text, length);
    r->used += length;
}

static void comma(row *r) { r->bytes[r->used++] = ','; }

static void put_text(row *r, const char *text) {
    if (text) put(r, text, strlen(text));
    comma(r);
}

static void put_whole(row *r, double x) {
    r->used += iol_print_number(x, 0, false, r->bytes + r->used, 32);
    comma(r);
}

static void put_number(row *r, double x) {
    r->used += iol_print_thousandths(x, r->bytes + r->used, 32);
    comma(r);
}

static void put_flag(row *r, iol_flag flag) {
    put_text(r, flag == IOL_UNKNOWN ? NULL : flag == IOL_YES ? "true" : "false");
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
    size_t length = strlen(name), before = harmless ? 0 : 2;
    if (length > sizeof text - 2) length = sizeof text - 2;
    memcpy(text, "./", 2);
    memcpy(text + before, name, length);
    size_t used = cell(text, before + length, quoted);
    if (used > size - 1) used = size - 1;
    memcpy(out, quoted, used);
    out[used] = '\0';
    return used;
}

/* The cells before the prediction's, and those behind. */
static void put_front(row *r, const iol_recheck *c) {
    comma(r);
    put_whole(r, c->line);
    put_text(r, c->case_ref);
    put_text(r, IOL_WORD(side, c->eye));
    put_text(r, IOL_WORD(recheck_status, c->status));
    put_text(r, IOL_WORD(operation_done, c->operation));
}

static void put_back(row *r, const iol_recheck *c, int fault_count) {
    put_text(r, IOL_WORD(state, c->state));
    put_text(r, IOL_WORD(standing, c->standing));
    put_whole(r, fault_count);
    if (c->faults_count > 0) {
        char text[256], quoted[2 * sizeof text + 3];
        const iol_recheck_fault *fault = &c->faults[0];
        const char *path = fault->path[0] ? fault->path : "(whole)";
        size_t n = strlen(path), m = strlen(fault->code);
        memcpy(text, path, n);
        memcpy(text + n, ": ", 2);
        memcpy(text + n + 2, fault->code, m);
        put(r, quoted, cell(text, n + 2 + m, quoted));
    }
    comma(r);
    put_flag(r, c->counted);
    put_flag(r, c->tested);
    r->bytes[r->used - 1] = '\n';
}

/* Cells that every row of a case shares, between those of the prediction. */
typedef struct {
    row place, achieved;
} shared_cells;

static void put_row(row *r, const row *cells) { put(r, cells->bytes, cells->used); }

static void share(const iol_recheck *c, shared_cells *s) {
    s->place.used = s->achieved.used = 0;
    put_text(&s->place, IOL_WORD(position, c->position));
    put_text(&s->place, IOL_WORD(posterior_capsule, c->posterior));
    put_number(&s->place, c->lens_power_d);
    put_number(&s->achieved, c->achieved_se_d);
}

static void put_prediction(row *r, const shared_cells *s, const iol_prediction *p) {
    put_text(r, IOL_WORD(recheck_method, p->method));
    put_text(r, IOL_WORD(formula, p->formula));
    put_flag(r, p->reference);
    put_row(r, &s->place);
    put_number(r, p->advised_power_d);
    put_number(r, p->power_gap_d);
    put_number(r, p->predicted_se_d);
    put_row(r, &s->achieved);
    put_number(r, p->error_d);
    put_number(r, p->error_j0_d);
    put_number(r, p->error_j45_d);
    put_number(r, p->expected_sd_d);
    put_text(r, IOL_WORD(interval_held, p->interval_held));
}

bool iol_csv_case(const iol_recheck *c, const char *input, size_t input_length, int fault_count, iol_sink sink,
                  void *context) {
    row front, back, whole;
    shared_cells cells;
    front.used = back.used = 0;
    put_front(&front, c);
    put_back(&back, c, fault_count);
    share(c, &cells);
    for (int i = 0; i == 0 || i < c->predictions_count; i++) {
        whole.used = 0;
        put_row(&whole, &front);
        put_prediction(&whole, &cells, c->predictions_count > 0 ? &c->predictions[i] : &iol_no_prediction);
        put_row(&whole, &back);
        if (!sink(context, input, input_length) || !sink(context, whole.bytes, whole.used)) return false;
    }
    return true;
}
