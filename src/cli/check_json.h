/* What `check` found, as JSON: an object for each input, written as it is read. */
#ifndef IOL_CLI_CHECK_JSON_H
#define IOL_CLI_CHECK_JSON_H

#include "cli.h"
#include "write/json.h"

typedef struct {
    bool on; /* asked for; else every call does nothing */
    bool open;
    iol_json json;
} iol_check_json;

void iol_check_json_start(iol_check_json *j, iol_output *output);
void iol_check_json_input(iol_check_json *j, const char *name);
void iol_check_json_caution(iol_check_json *j, long line, const char *path, const char *code, const char *text);
void iol_check_json_faults(iol_check_json *j, const iol_faults *faults);
/* An input that was not read. error: an errno; 0: there was nothing in it. */
void iol_check_json_not_read(iol_check_json *j, int error);
/* Behind the messages of an input. cases: how many an input of JSON Lines held; refused: how many were. */
void iol_check_json_verdict(iol_check_json *j, const char *verdict, long cases, long refused);
/* A question that would lift what holds the power back, behind the verdict. */
void iol_check_json_to_advised(iol_check_json *j, const char *path);
void iol_check_json_end_input(iol_check_json *j);
void iol_check_json_end(iol_check_json *j);

#endif
