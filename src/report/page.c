#include "page.h"

#include <string.h>

void iol_page_start(iol_page *page) {
    page->blocks = 0;
    page->used = 0;
    page->behind_sheets = false;
    page->lost = false;
    page->figures = 0;
}

/* A block goes in whole or not at all, and nothing goes in after the first loss: a page may lack its end, never a
 * piece of its middle. Returns the block, or NULL when it was lost. */
static iol_block *append(iol_page *page, iol_block_kind kind, int cells, const char *const texts[]) {
    page->lost = page->lost || page->blocks == IOL_PAGE_BLOCKS || cells < 1 || cells > IOL_PAGE_CELLS;
    if (page->lost) return NULL;
    iol_block *block = &page->block[page->blocks];
    size_t used = page->used;
    memset(block, 0, sizeof *block);
    block->kind = kind;
    block->cells = cells;
    for (int i = 0; i < cells; i++) {
        const char *text = texts[i] == NULL ? "" : texts[i];
        const size_t size = strlen(text) + 1;
        if (size > sizeof page->bytes - used) {
            page->lost = true;
            return NULL;
        }
        memcpy(page->bytes + used, text, size);
        block->text[i] = (int)used;
        used += size;
    }
    page->used = used;
    page->blocks++;
    return block;
}

static void append_one(iol_page *page, iol_block_kind kind, const char *text) {
    const char *const texts[] = {text};
    append(page, kind, 1, texts);
}

static void append_two(iol_page *page, iol_block_kind kind, const char *first, const char *second) {
    const char *const texts[] = {first, second};
    append(page, kind, 2, texts);
}

void iol_page_title(iol_page *page, const char *text) { append_one(page, IOL_BLOCK_TITLE, text); }

void iol_page_heading(iol_page *page, const char *text) { append_one(page, IOL_BLOCK_HEADING, text); }

void iol_page_section(iol_page *page, const char *name, const char *text) {
    append_two(page, IOL_BLOCK_HEADING, text, name);
}

void iol_page_subheading(iol_page *page, const char *text) { append_one(page, IOL_BLOCK_SUBHEADING, text); }

void iol_page_paragraph(iol_page *page, const char *text) { append_one(page, IOL_BLOCK_PARAGRAPH, text); }

void iol_page_pair(iol_page *page, const char *label, const char *value) {
    append_two(page, IOL_BLOCK_PAIR, label, value);
}

void iol_page_item(iol_page *page, const char *text) { append_one(page, IOL_BLOCK_ITEM, text); }

void iol_page_caution(iol_page *page, const char *severity, const char *text) {
    append_two(page, IOL_BLOCK_CAUTION, severity, text);
}

void iol_page_table(iol_page *page, int cells, const char *const heads[]) {
    iol_block *block = append(page, IOL_BLOCK_TABLE_HEAD, cells, heads);
    for (int i = 0; block != NULL && i < cells; i++) {
        if (page->bytes[block->text[i]] == '>') {
            block->numeric[i] = true;
            block->text[i]++;
        }
    }
}

void iol_page_row(iol_page *page, int cells, const char *const values[]) {
    iol_block *row = append(page, IOL_BLOCK_ROW, cells, values);
    for (int i = page->blocks - 2; row != NULL && i >= 0; i--) {
        if (page->block[i].kind == IOL_BLOCK_TABLE_HEAD) {
            memcpy(row->numeric, page->block[i].numeric, sizeof row->numeric);
            return;
        }
    }
}

iol_figure *iol_page_figure(iol_page *page, const char *title, const char *description) {
    const bool room = page->figures < IOL_PAGE_FIGURES;
    iol_figure *figure = &page->figure[room ? page->figures : IOL_PAGE_FIGURES];
    iol_figure_start(figure, title, description);
    page->lost = page->lost || !room;
    iol_block *block = append(page, IOL_BLOCK_FIGURE, 1, &(const char *){NULL});
    if (block != NULL) block->figure = page->figures++;
    return figure;
}

void iol_page_figure_missing(iol_page *page, const char *title, const char *why) {
    iol_page_figure(page, title, why)->missing = true;
}

void iol_page_fold(iol_page *page, const char *what) { append_one(page, IOL_BLOCK_FOLD, what); }

void iol_page_unfold(iol_page *page) { append_one(page, IOL_BLOCK_UNFOLD, NULL); }

void iol_page_alone(iol_page *page, const char *alone, const char *back) {
    append_two(page, IOL_BLOCK_ALONE, alone, back);
}
