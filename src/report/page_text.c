/* A page as plain ASCII text of at most 80 columns. Every kind of block but a heading is a run of rows of cells: a
 * paragraph has one column, an item, a pair and a caution have two, a table has its own. */
#include "page.h"

#include <string.h>

#include "text/tie.h"

#define COLUMNS 80
#define GAP 2       /* spaces between columns */
#define LONGEST 18  /* a word beyond it, the path of a field, may be broken before other columns give way */
#define NARROWEST 8 /* a left-aligned column is not made narrower while another can give way */

/* The same words as in page_html.c; a test holds them together. */
#define LOST_TEXT                                                                                                      \
    "This page is not complete: it was too long and its end was left out. Do not act on it; "                          \
    "take the same result as JSON."

#define STYLE_BOLD "\033[1m"
#define STYLE_STOP "\033[1;31m"
#define STYLE_WARN "\033[1;33m"
#define STYLE_END "\033[0m"

typedef struct {
    iol_sink sink;
    void *context;
    bool colour;
    bool ok;
    size_t used;
    char line[COLUMNS + 32]; /* one line, its style codes and its newline */
} text_out;

/* One row of cells: columns of a given width, the first one perhaps styled. */
typedef struct {
    int columns;
    int width[IOL_PAGE_CELLS];
    int word[IOL_PAGE_CELLS]; /* its longest */
    bool numeric[IOL_PAGE_CELLS];
    const char *style; /* of the first column, or NULL */
} row_shape;

static const char *cell_text(const iol_page *page, const iol_block *block, int cell) {
    return cell < block->cells ? page->bytes + block->text[cell] : "";
}

static void put(text_out *out, const char *bytes, int length) {
    memcpy(out->line + out->used, bytes, (size_t)length);
    out->used += (size_t)length;
}

static void put_fill(text_out *out, char byte, int count) {
    for (int i = 0; i < count; i++) out->line[out->used++] = byte;
}

static void put_styled(text_out *out, const char *style, const char *bytes, int length) {
    const bool styled = out->colour && style != NULL;
    if (styled) put(out, style, (int)strlen(style));
    put(out, bytes, length);
    if (styled) put(out, STYLE_END, (int)strlen(STYLE_END));
}

static void end_line(text_out *out) {
    out->line[out->used++] = '\n';
    out->ok = out->ok && out->sink(out->context, out->line, out->used);
    out->used = 0;
}

/* Blanks, control characters and DEL all separate words: no control code of a case file reaches a terminal. */
static bool is_blank(char byte) { return byte != '\0' && ((unsigned char)byte <= ' ' || byte == 0x7F); }

static bool is_continuation(char byte) { return ((unsigned char)byte & 0xC0) == 0x80; }

/* Step over one printed character; a character outside ASCII prints as '?'. */
static char take_character(const char **text) {
    const char first = *(*text)++;
    if ((unsigned char)first < 0x80) return first;
    while (is_continuation(**text)) (*text)++;
    return '?';
}

static const char *skip_blanks(const char *text) {
    while (is_blank(*text)) text++;
    return text;
}

/* The word at `at` ends: a blank that ties nothing, or the end of the text that begins at `text`. */
static bool is_end(const char *text, const char *at) {
    return *at == '\0' || (is_blank(*at) && !iol_is_tie(text, (size_t)(at - text)));
}

/* Copy the word at *at, with what is tied to it, at most `most` columns, and step over what was copied. Returns the columns. */
static int take_word(const char *text, const char **at, int most, char *word) {
    int length = 0;
    while (length < most && !is_end(text, *at)) word[length++] = take_character(at);
    return length;
}

/* Copy the next line of at most `width` columns: whole words with one space between; a word longer than the width is
 * broken. Returns its columns, 0 at the end of the text. */
static int take_line(const char **text, int width, char *line) {
    int length = 0;
    const char *rest = skip_blanks(*text);
    while (*rest != '\0') {
        const int before = length == 0 ? 0 : length + 1;
        const char *after = rest;
        if (before < width) {
            const int word = take_word(*text, &after, width - before, line + before);
            const bool whole = is_end(*text, after);
            if (!whole && length > 0) break;
            if (length > 0) line[length] = ' ';
            length = before + word;
            rest = skip_blanks(after);
        }
        if (before >= width || length == width) break;
    }
    *text = rest;
    return length;
}

/* Columns that a text takes on one line, or COLUMNS if it needs more than one line. */
static int natural_width(const char *text) {
    char line[COLUMNS];
    const int length = take_line(&text, COLUMNS, line);
    return *text == '\0' ? length : COLUMNS;
}

static int larger(int a, int b) { return a > b ? a : b; }

/* Columns of the longest word of a text. */
static int longest_word(const char *text) {
    char word[COLUMNS];
    int longest = 0;
    for (const char *at = skip_blanks(text); *at != '\0'; at = skip_blanks(at))
        longest = larger(longest, take_word(text, &at, COLUMNS, word));
    return longest;
}

static int gap_before(int column) { return column > 0 ? GAP : 0; }

/* Print a row of cells, each wrapped inside its column, lines without trailing blanks. An empty row is one line. */
static void put_row(text_out *out, const row_shape *shape, const char *const cells[]) {
    const char *rest[IOL_PAGE_CELLS];
    /* cppcheck-suppress uninitvar; a row sets as many cells as its table has columns */
    memcpy(rest, cells, (size_t)shape->columns * sizeof rest[0]);
    bool more = true;
    while (more) {
        int printed = 0;
        int start = 0;
        more = false;
        for (int i = 0; i < shape->columns; i++) {
            char part[COLUMNS];
            start += gap_before(i);
            const int length = take_line(&rest[i], shape->width[i], part);
            const int at = start + (shape->numeric[i] ? shape->width[i] - length : 0);
            if (length > 0) {
                put_fill(out, ' ', at - printed);
                put_styled(out, i == 0 ? shape->style : NULL, part, length);
                printed = at + length;
            }
            start += shape->width[i];
            more = more || *rest[i] != '\0';
        }
        end_line(out);
    }
}

/* The widest left-aligned column that can give way by one: without breaking a word, or anyhow; -1 none. */
static int gives_way(const row_shape *shape, bool breaks) {
    int widest = -1;
    for (int i = 0; i < shape->columns; i++) {
        const int word = shape->word[i] > LONGEST ? NARROWEST : shape->word[i];
        const int least = breaks ? NARROWEST : larger(NARROWEST, word);
        if (shape->numeric[i] || shape->width[i] <= least) continue;
        if (widest < 0 || shape->width[i] > shape->width[widest]) widest = i;
    }
    return widest;
}

/* Narrow columns by one at a time until the row fits: left-aligned ones first, any one at last. */
static void fit(row_shape *shape) {
    int total = 0;
    for (int i = 0; i < shape->columns; i++) total += shape->width[i] + gap_before(i);
    for (; total > COLUMNS; total--) {
        int at = gives_way(shape, false);
        if (at < 0) at = gives_way(shape, true);
        int widest = 0;
        for (int i = 0; i < shape->columns; i++) widest = shape->width[i] > shape->width[widest] ? i : widest;
        shape->width[at >= 0 ? at : widest]--;
    }
}

/* The shape of the run of blocks [first, end): as wide as its widest cells, then made to fit. */
static row_shape shape_of(const iol_page *page, int first, int end) {
    row_shape shape = {0};
    for (int b = first; b < end; b++) {
        const iol_block *block = &page->block[b];
        shape.columns = larger(shape.columns, block->cells);
        for (int i = 0; i < block->cells; i++) {
            shape.width[i] = larger(shape.width[i], natural_width(cell_text(page, block, i)));
            shape.word[i] = larger(shape.word[i], longest_word(cell_text(page, block, i)));
            shape.numeric[i] = shape.numeric[i] || block->numeric[i];
        }
    }
    fit(&shape);
    return shape;
}

static void put_block(text_out *out, const iol_page *page, const iol_block *block, const row_shape *shape) {
    const char *cells[IOL_PAGE_CELLS];
    for (int i = 0; i < shape->columns; i++) cells[i] = cell_text(page, block, i);
    put_row(out, shape, cells);
}

/* Title or heading, underlined as far as its longest line. */
static void put_heading(text_out *out, const char *text, char underline) {
    char line[COLUMNS];
    int longest = 0;
    while (*(text = skip_blanks(text)) != '\0') {
        const int length = take_line(&text, COLUMNS, line);
        put_styled(out, STYLE_BOLD, line, length);
        end_line(out);
        longest = larger(longest, length);
    }
    put_fill(out, underline, longest);
    end_line(out);
}

/* The severity is one word of at most 8 letters. */
static void put_caution(text_out *out, const char *severity, const char *text) {
    char word[8 + 1] = "";
    const int length = take_word(severity, &severity, 8, word);
    for (int i = 0; i < length; i++) word[i] = (char)(word[i] >= 'a' && word[i] <= 'z' ? word[i] - 'a' + 'A' : word[i]);
    const int label = larger(4, length);
    const char *style = strcmp(word, "STOP") == 0 ? STYLE_STOP : strcmp(word, "WARN") == 0 ? STYLE_WARN : STYLE_BOLD;
    const row_shape shape = {.columns = 2, .width = {label, COLUMNS - GAP - label}, .style = style};
    const char *const cells[] = {word, text};
    put_row(out, &shape, cells);
}

static void put_item(text_out *out, const char *text) {
    const row_shape shape = {.columns = 2, .width = {1, COLUMNS - GAP - 1}};
    const char *const cells[] = {"-", text};
    put_row(out, &shape, cells);
}

static void put_paragraph(text_out *out, const char *text) {
    const row_shape shape = {.columns = 1, .width = {COLUMNS}};
    put_row(out, &shape, &text);
}

static void put_rule(text_out *out, const row_shape *shape) {
    int blanks = 0;
    for (int i = 0; i < shape->columns; i++) {
        blanks += gap_before(i);
        if (shape->width[i] > 0) { /* a column without any text has no rule */
            put_fill(out, ' ', blanks);
            put_fill(out, '-', shape->width[i]);
            blanks = 0;
        }
    }
    end_line(out);
}

/* Pairs and tables: rows of one shape; a rule under the heads. */
static void put_rows(text_out *out, const iol_page *page, int first, int end) {
    const row_shape shape = shape_of(page, first, end);
    for (int b = first; b < end; b++) {
        put_block(out, page, &page->block[b], &shape);
        if (page->block[b].kind == IOL_BLOCK_TABLE_HEAD) put_rule(out, &shape);
    }
}

static bool is_heading(iol_block_kind kind) { return kind == IOL_BLOCK_HEADING || kind == IOL_BLOCK_SUBHEADING; }

/* What a text page says nothing of. */
static bool is_silent(iol_block_kind kind) {
    return kind == IOL_BLOCK_FIGURE || kind == IOL_BLOCK_FOLD || kind == IOL_BLOCK_UNFOLD || kind == IOL_BLOCK_ALONE;
}

/* Blocks that are set without a blank line between them: a run of one kind, and a table's head with its rows. */
static int end_of_run(const iol_page *page, int first) {
    const iol_block_kind kind = page->block[first].kind;
    const iol_block_kind next = kind == IOL_BLOCK_TABLE_HEAD ? IOL_BLOCK_ROW : kind;
    int end = first + 1;
    if (kind == IOL_BLOCK_TITLE || is_heading(kind) || kind == IOL_BLOCK_PARAGRAPH) return end;
    while (end < page->blocks && page->block[end].kind == next) end++;
    return end;
}

static void put_run(text_out *out, const iol_page *page, int first, int end) {
    if (page->block[first].kind == IOL_BLOCK_PAIR || page->block[first].kind == IOL_BLOCK_TABLE_HEAD ||
        page->block[first].kind == IOL_BLOCK_ROW) {
        put_rows(out, page, first, end);
        return;
    }
    for (int b = first; b < end; b++) {
        const iol_block *block = &page->block[b];
        const char *text = cell_text(page, block, 0);
        if (block->kind == IOL_BLOCK_TITLE) {
            put_heading(out, text, '=');
        } else if (is_heading(block->kind)) {
            put_heading(out, text, '-');
        } else if (block->kind == IOL_BLOCK_ITEM) {
            put_item(out, text);
        } else if (block->kind == IOL_BLOCK_CAUTION) {
            put_caution(out, text, cell_text(page, block, 1));
        } else {
            put_paragraph(out, text);
        }
    }
}

bool iol_page_text(const iol_page *page, bool colour, iol_sink sink, void *context) {
    text_out out = {.sink = sink, .context = context, .colour = colour, .ok = true};
    bool blank = false; /* the next run stands behind a blank line */
    for (int first = 0, end; first < page->blocks && out.ok; first = end) {
        end = end_of_run(page, first);
        if (is_silent(page->block[first].kind)) continue;
        if (blank) end_line(&out);
        blank = !is_heading(page->block[first].kind);
        put_run(&out, page, first, end);
    }
    if (page->lost) {
        if (page->blocks > 0) end_line(&out);
        put_caution(&out, "STOP", LOST_TEXT);
    }
    return out.ok;
}
