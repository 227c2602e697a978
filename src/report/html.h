/* What the files that write HTML share. Every text that is not ours goes through iol_html_escaped. */
#ifndef IOL_REPORT_HTML_H
#define IOL_REPORT_HTML_H

#include "write/sink.h"
#include "figure.h"

typedef struct {
    iol_sink sink;
    void *context;
    bool ok; /* false once the sink refused; nothing is written after that */
} iol_html;

void iol_html_put(iol_html *out, const char *markup);
void iol_html_escaped(iol_html *out, const char *text);
/* Whole number, for identifiers. */
void iol_html_count(iol_html *out, int count);
/* The figure with its caption; number: its place on the page, from 1. */
void iol_html_figure(iol_html *out, const iol_figure *f, int number);

#endif
