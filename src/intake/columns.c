/* Cells against the table of the case. No text of a cell is ever quoted in a fault: its row and column tell where it stands. */
#include "columns.h"

#include <string.h>

#include "case/reader.h"
#include "case/scan.h"
#include "tables/say.h"

#define SAVE ": save the sheet as CSV with commas between the cells, points in numbers, in UTF-8"
enum { CELL = 400 };

/* ---- cells ---- */

typedef enum { CELL_NONE, CELL_GOOD, CELL_LONG, CELL_QUOTE } cell_state;
typedef struct {
    const char *at, *end;
    bool over;
    char text[CELL]; /* without blanks round it */
} cells;

static cells cells_of(const char *row, size_t length) {
    size_t mark = iol_scan_mark(row, length);
    while (length > mark && (row[length - 1] == '\r' || row[length - 1] == '\n')) length--;
    return (cells){.at = row + mark, .end = row + length};
}

static void trim(char *text) {
    size_t from = strspn(text, " "), length = strlen(text);
    while (length > from && text[length - 1] == ' ') length--;
    memmove(text, text + from, length - from);
    text[length - from] = '\0';
}

/* The next cell; behind the last CELL_NONE. */
static cell_state next_cell(cells *c) {
    size_t used = 0;
    bool quoted = c->at < c->end && *c->at == '"', fits = true;
    if (c->over) return CELL_NONE;
    const char *p = c->at + quoted;
    for (; p < c->end; p++) {
        if (quoted && *p == '"') {
            if (p + 1 == c->end || p[1] != '"') break;
            p++;
        } else if (!quoted && *p == ',')
            break;
        else if (!quoted && *p == '"')
            return c->over = true, CELL_QUOTE;
        if (*p == '\0' || used + 1 == CELL)
            fits = false;
        else
            c->text[used++] = *p;
    }
    if (quoted && (p == c->end || (p + 1 < c->end && p[1] != ','))) return c->over = true, CELL_QUOTE;
    p += quoted;
    c->text[used] = '\0';
    trim(c->text);
    c->over = p == c->end;
    c->at = p + 1;
    return fits ? CELL_GOOD : CELL_LONG;
}

bool iol_row_empty(const char *row, size_t length) {
    for (size_t i = 0; i < length; i++)
        if (!row[i] || !strchr(", \t\r\n", row[i])) return false;
    return true;
}

bool iol_row_open(const char *row, size_t length) {
    bool open = false;
    for (size_t i = 0; i < length; i++) open ^= row[i] == '"';
    return open;
}

size_t iol_row_length(const char *text, size_t length) {
    bool open = false;
    size_t i = 0;
    for (; i < length && (open || text[i] != '\n'); i++) open ^= text[i] == '"';
    return i;
}

/* ---- faults ---- */

static void fault_at(iol_faults *faults, int column, iol_fault_code code, const char *path, const char *found,
                     const char *wanted, const char *unit) {
    iol_fault *fault = iol_fault_add(faults, code, path, found, wanted, unit);
    if (fault) fault->column = column + 1;
}

static void bad_cell(iol_faults *faults, int column, cell_state state) {
    if (state == CELL_QUOTE)
        fault_at(faults, column, IOL_FAULT_syntax, "", "a quotation mark within a cell",
                 "quotation marks round the whole cell, those within it twice", "");
    else
        fault_at(faults, column, IOL_FAULT_too_long, "", "a longer cell", "at most 399", "bytes without NUL");
}

/* ---- heading ---- */

/* What a program put between the cells instead of commas; NULL: nothing else. */
static const char *other_separator(const char *row, size_t length) {
    size_t semicolons = 0, tabs = 0, commas = 0;
    for (size_t i = 0; i < length; i++) semicolons += row[i] == ';', tabs += row[i] == '\t', commas += row[i] == ',';
    if (memchr(row, 0, length)) return "NUL bytes, as in a sheet saved as UTF-16";
    if (semicolons > commas) return "semicolons between the cells";
    return tabs > commas ? "tabs between the cells" : NULL;
}

static size_t place_of(const iol_case *c, const void *at) { return (size_t)((const char *)at - (const char *)c); }

/* Every list of the scratch case is full, so that any place in it is found. */
static void fill_lists(iol_case *scratch) {
    for (int i = 0; i < iol_object_case->count; i++) {
        const iol_field *f = &iol_object_case->field[i];
        if (f->kind == IOL_KIND_LIST) *(int *)(void *)((char *)scratch + f->count_offset) = f->most;
    }
}

static void unknown_heading(iol_faults *faults, int column, const char *heading, const iol_refusal *refusal) {
    if (iol_key_names_a_person(heading))
        fault_at(faults, column, IOL_FAULT_identity_key, "", "a column about a person",
                 "nothing that identifies a person, for privacy: use case_ref, your own reference", "");
    else
        fault_at(faults, column, refusal->code, "", "a heading that is no path", refusal->wanted, "");
}

static bool take_heading(iol_columns *all, iol_case *scratch, int i, const char *heading) {
    iol_column *column = &all->column[i];
    iol_entry entry;
    iol_refusal refusal = {.brief = iol_faults_full(&all->faults)};
    *column = (iol_column){.kind = !heading[0]                              ? IOL_COLUMN_BLANK
                                   : heading[0] == '/' && heading[1] == '/' ? IOL_COLUMN_REMARK
                                                                            : IOL_COLUMN_VALUE};
    if (column->kind != IOL_COLUMN_VALUE) return true;
    if (heading[0] == '/' || !iol_entry_find(scratch, heading, &entry, &refusal)) {
        if (heading[0] == '/') refusal = (iol_refusal){.code = IOL_FAULT_unknown_key, .wanted = "a path with points"};
        return unknown_heading(&all->faults, i, heading, &refusal), false;
    }
    column->object = entry.object, column->field = entry.field;
    column->at = place_of(scratch, IOL_FIELD_AT(entry.base, entry.field));
    column->count = entry.count ? place_of(scratch, entry.count) : 0;
    column->index = entry.index, column->depth = entry.depth;
    for (int k = 0; k < entry.depth; k++) column->present[k] = place_of(scratch, entry.present[k]);
    memcpy(column->path, entry.path, sizeof column->path);
    for (int k = 0; k < i; k++)
        if (strcmp(all->column[k].path, column->path) == 0)
            return fault_at(&all->faults, i, IOL_FAULT_duplicate_key, column->path, "the same heading a second time",
                            "each path once", ""),
                   false;
    return true;
}

bool iol_columns_read(const char *row, size_t length, iol_columns *columns) {
    iol_case scratch;
    cells c = cells_of(row, length);
    const char *other = other_separator(row, length);
    iol_faults_start(&columns->faults);
    columns->count = 0;
    if (other) {
        fault_at(&columns->faults, 0, IOL_FAULT_syntax, "", other, "commas" SAVE, "");
        return false;
    }
    iol_case_reset(&scratch);
    fill_lists(&scratch);
    for (cell_state state; (state = next_cell(&c)) != CELL_NONE; columns->count++) {
        if (columns->count == IOL_COLUMNS_MOST) {
            fault_at(&columns->faults, columns->count, IOL_FAULT_too_long, "", "more", "at most 512", "columns");
            return false;
        }
        if (state == CELL_GOOD)
            take_heading(columns, &scratch, columns->count, c.text);
        else
            bad_cell(&columns->faults, columns->count, state);
    }
    return columns->faults.count == 0;
}

/* ---- values ---- */

/* Signs that a number or a day is made of: what was typed can be shown. */
static bool shows(const char *text) {
    size_t length = strlen(text);
    return length <= 24 && strspn(text, "0123456789+-.,/: ") == length;
}

static void small_letters(char *text) {
    for (; *text; text++)
        if (*text >= 'A' && *text <= 'Z') *text = (char)(*text + ('a' - 'A'));
}

/* Several words in a cell, blanks between. */
static bool take_words(const iol_column *column, char *text, iol_case *c, iol_refusal *refusal) {
    int *into = (int *)(void *)((char *)c + column->at);
    int *count = (int *)(void *)((char *)c + column->field->count_offset); /* of the case itself */
    for (char *word = text + strspn(text, " "), *next; *word; word = next) {
        int value;
        next = word + strcspn(word, " ");
        if (*next) *next++ = '\0';
        next += strspn(next, " ");
        if (*count == column->field->most || !iol_take_word(column->field->words, word, &value, refusal)) {
            if (*count == column->field->most) iol_refuse_kind(column->field, false, refusal);
            return false;
        }
        into[(*count)++] = value;
    }
    return true;
}

static bool take_value(const iol_column *column, char *text, iol_case *c, iol_refusal *refusal) {
    char *base = (char *)c;
    const iol_field *f = column->field;
    iol_entry entry = {
        .object = column->object, .field = f, .base = base + column->at - f->offset, .depth = column->depth};
    if (f->kind != IOL_KIND_TEXT) small_letters(text);
    for (int i = 0; i < column->depth; i++) entry.present[i] = (bool *)(void *)(base + column->present[i]);
    if (f->kind == IOL_KIND_WORDS) return take_words(column, text, c, refusal) && (*entry.present[0] = true);
    if (!iol_entry_set(&entry, text, refusal)) return false;
    int *count = (int *)(void *)(base + column->count);
    if (column->count > 0 && *count <= column->index) *count = column->index + 1;
    return true;
}

static void refuse_value(iol_faults *faults, int i, const iol_column *column, const char *text, iol_refusal *refusal) {
    char found[IOL_FAULT_QUOTED];
    const bool kind = refusal->code == IOL_FAULT_wrong_type && column->field->kind == IOL_KIND_NUM;
    const bool comma = kind && strchr(text, ',');
    const char *quoted = shows(text) ? iol_fault_quote(text, strlen(text), found, sizeof found) : "a text";
    const char *wanted = refusal->wanted, *unit = comma ? "" : refusal->unit;
    if (kind)
        wanted = comma ? "a decimal point" SAVE : unit[0] ? "a plain number as 21.5, in" : "a plain number as 21.5";
    if (refusal->code == IOL_FAULT_bad_date)
        wanted = "a day as 2026-11-25: give the column that form, or the form of text";
    fault_at(faults, i, refusal->code, column->path, quoted, wanted, unit);
}

static void take_cell(const iol_columns *columns, int i, char *text, iol_case *c, iol_faults *faults) {
    const iol_column *column = &columns->column[i];
    char typed[CELL];
    iol_refusal refusal = {.brief = iol_faults_full(faults)};
    if (!text[0] || strcmp(text, "null") == 0 || (i < columns->count && column->kind == IOL_COLUMN_REMARK)) return;
    if (i >= columns->count || column->kind == IOL_COLUMN_BLANK) {
        fault_at(faults, i, IOL_FAULT_unknown_key, "", "a cell without a heading",
                 "a heading over it; a decimal comma makes one cell too many", "");
        return;
    }
    memcpy(typed, text, CELL);
    if (!take_value(column, text, c, &refusal)) refuse_value(faults, i, column, typed, &refusal);
}

/* The column of a path, or of one inside or round it; 0: none. */
static int column_of(const iol_columns *columns, const char *path) {
    for (int i = 0; i < columns->count; i++)
        if (columns->column[i].path[0] && strcmp(columns->column[i].path, path) == 0) return i + 1;
    return 0;
}

bool iol_columns_part(const iol_columns *columns, const char *row, size_t length, iol_case *into, iol_faults *faults) {
    cells c = cells_of(row, length);
    int i = 0;
    iol_faults_start(faults);
    if (columns->faults.count > 0) {
        *faults = columns->faults;
        return false;
    }
    for (cell_state state; (state = next_cell(&c)) != CELL_NONE; i++) {
        if (state == CELL_GOOD)
            take_cell(columns, i, c.text, into, faults);
        else
            bad_cell(faults, i, state);
    }
    return faults->count == 0;
}

/* As of a file: what must be there is, and nothing contradicts. */
static void check_whole(const iol_columns *columns, iol_case *c, iol_faults *faults) {
    int before = faults->count;
    for (const char *const *must = iol_object_case->must; *must; must++) {
        iol_entry entry;
        iol_refusal refusal = {.brief = false};
        bool told = !iol_entry_find(c, *must, &entry, &refusal) || iol_entry_known(&entry);
        for (int i = 0; i < before; i++) told = told || strcmp(faults->item[i].path, entry.path) == 0;
        if (told) continue;
        iol_refuse_missing(entry.field, &refusal);
        fault_at(faults, column_of(columns, entry.path) - 1, refusal.code, entry.path, "nothing", refusal.wanted,
                 refusal.unit);
    }
    before = faults->count;
    iol_case_check(c, faults);
    for (int i = before; i < faults->count; i++) faults->item[i].column = column_of(columns, faults->item[i].path);
}

bool iol_columns_case(const iol_columns *columns, const char *row, size_t length, const iol_case *blank, iol_case *into,
                      iol_faults *faults) {
    memcpy(into, blank, sizeof *into);
    iol_columns_part(columns, row, length, into, faults);
    bool cut = false; /* what stands behind it is not missing */
    for (int i = 0; i < faults->count; i++) cut = cut || faults->item[i].code == IOL_FAULT_syntax;
    if (columns->faults.count == 0 && !cut) check_whole(columns, into, faults);
    return faults->count == 0;
}
