/* Blocks of a page for people. Composers append blocks; renderers know blocks and nothing of plans. */
#ifndef IOL_REPORT_PAGE_H
#define IOL_REPORT_PAGE_H

#include "write/sink.h"
#include "figure.h"

typedef enum {
    IOL_BLOCK_TITLE,   /* once, at the top */
    IOL_BLOCK_HEADING, /* starts a section; a second text names it for links */
    IOL_BLOCK_SUBHEADING,
    IOL_BLOCK_PARAGRAPH,
    IOL_BLOCK_PAIR,       /* label, value: runs of pairs are aligned together */
    IOL_BLOCK_ITEM,       /* one point of a list */
    IOL_BLOCK_TABLE_HEAD, /* starts a table; cells are column heads */
    IOL_BLOCK_ROW,        /* a row of the table started last */
    IOL_BLOCK_CAUTION,    /* severity word in label, sentence in value */
    IOL_BLOCK_FIGURE,     /* drawn in HTML, nothing in text */
    IOL_BLOCK_FOLD,       /* HTML: what follows up to UNFOLD is folded behind this line; nothing in text */
    IOL_BLOCK_UNFOLD,
    IOL_BLOCK_ALONE /* HTML: links that show the section alone, and all again; nothing in text */
} iol_block_kind;

#define IOL_PAGE_BLOCKS 640
#define IOL_PAGE_BYTES 65536
#define IOL_PAGE_CELLS 8
#define IOL_PAGE_FIGURES 10

typedef struct {
    iol_block_kind kind;
    int cells;                    /* how many of text[] are used */
    int text[IOL_PAGE_CELLS];     /* offsets into bytes */
    bool numeric[IOL_PAGE_CELLS]; /* right-aligned cell */
    int figure;                   /* which of the page's figures */
} iol_block;

typedef struct {
    iol_block block[IOL_PAGE_BLOCKS];
    int blocks;
    char bytes[IOL_PAGE_BYTES];
    size_t used;
    bool behind_sheets; /* the tables of a page whose first sheet says that no power is given: none stands in them */
    bool lost;                               /* the page overflowed; renderers say so at its end */
    iol_figure figure[IOL_PAGE_FIGURES + 1]; /* the last takes what a full page loses */
    int figures;
} iol_page;

void iol_page_start(iol_page *page);
/* All texts are copied. NULL is "". */
void iol_page_title(iol_page *page, const char *text);
void iol_page_heading(iol_page *page, const char *text);
/* A heading whose section has a name, unique on the page: lower-case letters and hyphens. */
void iol_page_section(iol_page *page, const char *name, const char *text);
void iol_page_subheading(iol_page *page, const char *text);
void iol_page_paragraph(iol_page *page, const char *text);
void iol_page_pair(iol_page *page, const char *label, const char *value);
void iol_page_item(iol_page *page, const char *text);
void iol_page_caution(iol_page *page, const char *severity, const char *text);
/* Columns whose head starts with '>' are right-aligned; the mark is not printed. cells <= IOL_PAGE_CELLS. */
void iol_page_table(iol_page *page, int cells, const char *const heads[]);
void iol_page_row(iol_page *page, int cells, const char *const values[]);
/* A figure to fill; never NULL. figure.h says how. */
iol_figure *iol_page_figure(iol_page *page, const char *title, const char *description);
/* In its place a line that says why there is none. */
void iol_page_figure_missing(iol_page *page, const char *title, const char *why);
/* Long supporting lists: HTML folds them (closed, not printed) behind a line that says what is inside. Never a stop or
 * a warning, an assumption, a reason that decided, a power or its standing. A heading ends a fold. */
void iol_page_fold(iol_page *page, const char *what);
void iol_page_unfold(iol_page *page);
/* The named section around it can be shown and printed alone: the words of the two links. */
void iol_page_alone(iol_page *page, const char *alone, const char *back);

/* At most 80 columns; paragraphs, items, cautions and pair values wrap with a hanging indent; a table too wide wraps
 * the widest left-aligned column inside its cell. colour: only headings and severities, ANSI. False if the sink refused. */
bool iol_page_text(const iol_page *page, bool colour, iol_sink sink, void *context);
/* One self-contained HTML document, no scripts, no outside resources, printable; everything escaped. */
bool iol_page_html(const iol_page *page, iol_sink sink, void *context);

#endif
