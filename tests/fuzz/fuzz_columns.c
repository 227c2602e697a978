/* Any bytes as a sheet: every row is read or refused, no text of a cell is told, and an accepted case written out is read again. */
#include "fuzz.h"
#include "intake/columns.h"

static iol_columns columns;
static iol_case blank, c, again;
static iol_faults faults;
static fuzz_text text;

/* Faults show numbers and days alone. */
static void check(const iol_faults *list) {
    fuzz_must(list->count >= 1, "refused without a fault");
    for (int i = 0; i < list->count; i++) {
        const char *found = list->item[i].found;
        fuzz_must(found[0] != '"' || strspn(found, "\"0123456789+-.,/: ") == strlen(found), "a text of a cell is told");
        fuzz_must(list->item[i].wanted[0], "a fault that does not say what is wanted");
        fuzz_must(list->item[i].column >= 0 && list->item[i].column <= IOL_COLUMNS_ROW + 1, "no such column");
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    const char *at = (const char *)data, *end = at + size;
    if (size == 0) return 0;
    iol_case_reset(&blank);
    size_t length = iol_row_length(at, size);
    if (!iol_columns_read(at, length, &columns)) {
        check(&columns.faults);
        return 0;
    }
    for (at += length + 1; at < end; at += length + 1) {
        length = iol_row_length(at, (size_t)(end - at));
        fuzz_must(length <= (size_t)(end - at), "a row beyond its end");
        if (!iol_columns_case(&columns, at, length, &blank, &c, &faults)) {
            check(&faults);
            continue;
        }
        text.used = 0;
        fuzz_put_object(&text, iol_object_case, &c);
        fuzz_must(iol_case_read(text.bytes, text.used, &again, &faults), "written as JSON it is refused");
    }
    return 0;
}
