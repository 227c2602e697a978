/* What the files that write HTML share. Every text that is not ours goes through iol_html_escaped. */
#ifndef IOL_REPORT_HTML_H
#define IOL_REPORT_HTML_H

#include "write/sink.h"
#include "figure.h"
#include "page.h"

typedef struct {
    iol_sink sink;
    void *context;
    bool ok; /* false once the sink refused; nothing is written after that */
    const char *prefix; /* of every identifier, where two plans stand in one document; NULL: none */
} iol_html;

void iol_html_put(iol_html *out, const char *markup);
void iol_html_escaped(iol_html *out, const char *text);
/* An identifier of the document, behind its prefix: what id="..." and href="#..." hold. */
void iol_html_name(iol_html *out, const char *name);
/* Whole number, for identifiers. */
void iol_html_count(iol_html *out, int count);
/* The figure with its caption; number: its place on the page, from 1. */
void iol_html_figure(iol_html *out, const iol_figure *f, int number);

/* From the doctype to before the title. */
extern const char iol_html_opening[];
/* The blocks of a page, without head and body. plain: folds stand open, wide tables scroll on their own. */
void iol_page_html_blocks(const iol_page *page, bool plain, iol_html *out);

#endif
