/* A small streaming JSON emitter: members in the order they are given, escapes in one place. */
#ifndef IOL_WRITE_JSON_H
#define IOL_WRITE_JSON_H

#include "text/number.h"
#include "sink.h"

#define IOL_JSON_DEPTH 24

typedef struct {
    iol_sink sink;
    void *context;
    bool pretty; /* two-space indent; otherwise one line without spaces */
    bool failed; /* a sink refusal, or more levels than IOL_JSON_DEPTH */
    int depth;
    bool has_member[IOL_JSON_DEPTH];
    size_t used;
    char buffer[4096];
} iol_json;

void iol_json_start(iol_json *json, iol_sink sink, void *context, bool pretty);
/* key is NULL inside a list and for the root. */
void iol_json_open(iol_json *json, const char *key, char bracket);             /* '{' or '[' */
void iol_json_close(iol_json *json, char bracket);                             /* '}' or ']' */
void iol_json_number(iol_json *json, const char *key, double x, int decimals); /* NaN -> null */
void iol_json_integer(iol_json *json, const char *key, int64_t value);
void iol_json_bool(iol_json *json, const char *key, bool value);
void iol_json_null(iol_json *json, const char *key);
void iol_json_text(iol_json *json, const char *key,
                   const char *text); /* NULL -> null; valid UTF-8 passes, controls escaped */
/* Newline after the root value, flush; false if anything failed. */
bool iol_json_finish(iol_json *json);

#endif
