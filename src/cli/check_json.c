/* The document of `check --format json`. */
#include "check_json.h"

#include <string.h>

static void word(iol_check_json *j, const char *key, const char *text) {
    iol_json_text(&j->json, key, text && text[0] ? text : NULL);
}

void iol_check_json_start(iol_check_json *j, iol_output *output) {
    if (!j->on) return;
    iol_json_start(&j->json, iol_output_sink, output, true);
    iol_json_open(&j->json, NULL, '{');
    iol_json_integer(&j->json, "check_format", 1);
    iol_json_open(&j->json, "inputs", '[');
}

void iol_check_json_input(iol_check_json *j, const char *name) {
    char printable[IOL_FAULT_QUOTED];
    if (!j->on) return;
    iol_json_open(&j->json, NULL, '{');
    iol_json_text(&j->json, "name", iol_cli_printable(name, printable, sizeof printable));
    iol_json_open(&j->json, "messages", '[');
    j->open = true;
}

static void open_message(iol_check_json *j, const char *kind, long line, const char *path, const char *code) {
    iol_json_open(&j->json, NULL, '{');
    iol_json_text(&j->json, "kind", kind);
    if (line > 0)
        iol_json_integer(&j->json, "line", line);
    else
        iol_json_null(&j->json, "line");
    word(j, "path", path && path[0] == '/' ? path : NULL);
    iol_json_text(&j->json, "code", code);
}

void iol_check_json_caution(iol_check_json *j, long line, const char *path, const char *code, const char *text) {
    if (!j->on) return;
    open_message(j, "caution", line, path, code);
    iol_json_text(&j->json, "text", text);
    iol_json_close(&j->json, '}');
}

void iol_check_json_faults(iol_check_json *j, const iol_faults *faults) {
    if (!j->on) return;
    for (int i = 0; i < faults->count; i++) {
        const iol_fault *f = &faults->item[i];
        open_message(j, "fault", f->line, f->path, iol_fault_word(f->code));
        word(j, "found", f->found);
        word(j, "wanted", f->wanted);
        word(j, "unit", f->unit);
        iol_json_close(&j->json, '}');
    }
}

void iol_check_json_not_read(iol_check_json *j, int error) {
    if (!j->on) return;
    open_message(j, "fault", 0, NULL, "not-read");
    iol_json_text(&j->json, "text", error ? strerror(error) : "nothing in it");
    iol_json_close(&j->json, '}');
}

void iol_check_json_verdict(iol_check_json *j, const char *verdict, long cases, long refused) {
    if (!j->on) return;
    iol_json_close(&j->json, ']');
    iol_json_text(&j->json, "verdict", verdict);
    iol_json_integer(&j->json, "cases", cases);
    iol_json_integer(&j->json, "refused", refused);
    iol_json_open(&j->json, "to_reach_advised", '[');
}

void iol_check_json_to_advised(iol_check_json *j, const char *path) {
    if (j->on) iol_json_text(&j->json, NULL, path);
}

void iol_check_json_end_input(iol_check_json *j) {
    if (!j->on || !j->open) return;
    iol_json_close(&j->json, ']');
    iol_json_close(&j->json, '}');
    j->open = false;
}

void iol_check_json_end(iol_check_json *j) {
    if (!j->on) return;
    iol_json_close(&j->json, ']');
    iol_json_close(&j->json, '}');
    iol_json_finish(&j->json);
}
