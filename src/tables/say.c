/* What to type for a field, in words. */
#include "say.h"

#include <string.h>

#include "text/number.h"

void iol_append_bytes(char *out, size_t size, const char *bytes, size_t length) {
    size_t used = strlen(out);
    if (length > size - 1 - used) length = size - 1 - used;
    memcpy(out + used, bytes, length);
    out[used + length] = '\0';
}

void iol_append(char *out, size_t size, const char *text) { iol_append_bytes(out, size, text, strlen(text)); }

int iol_say_decimals(double x) {
    int64_t count = iol_count(x, 4);
    int decimals = 4;
    while (decimals > 0 && count % 10 == 0) {
        count /= 10;
        decimals--;
    }
    return decimals;
}

void iol_append_number(char *out, size_t size, double x) {
    char number[32];
    if (iol_print_number(x, iol_say_decimals(x), false, number, sizeof number) > 0) iol_append(out, size, number);
}

bool iol_field_is_reference(const iol_field *field) {
    return strstr(field->key, "_ref") || strcmp(field->key, "id") == 0 || strstr(field->key, "_id");
}

void iol_append_words(char *out, size_t size, const iol_word_set *set) {
    const char *extra[2];
    int extras = 0, last = set->count - 1;
    if (set->not_examined) extra[extras++] = "not-examined";
    if (set->unknown) extra[extras++] = "unknown";
    for (int i = 1; i <= last + extras; i++) {
        if (i > 1) iol_append(out, size, i == last + extras ? " or " : ", ");
        iol_append(out, size, i <= last ? set->word[i] : extra[i - last - 1]);
    }
}

static void append_range(char *out, size_t size, const iol_field *field) {
    if (field->hard_low == field->hard_high) {
        iol_append_number(out, size, field->hard_low);
        return;
    }
    if (iol_field_is_whole(field)) iol_append(out, size, "a whole number, ");
    iol_append_number(out, size, field->hard_low);
    iol_append(out, size, " to ");
    iol_append_number(out, size, field->hard_high);
}

static void append_most(char *out, size_t size, const iol_field *field, const char *of) {
    iol_append(out, size, "a list of at most ");
    iol_append_number(out, size, field->most);
    iol_append(out, size, of);
}

void iol_append_value(char *out, size_t size, const iol_field *field) {
    switch (field->kind) {
    case IOL_KIND_NUM: append_range(out, size, field); break;
    case IOL_KIND_WORD: iol_append_words(out, size, field->words); break;
    case IOL_KIND_FLAG: iol_append(out, size, "true or false"); break;
    case IOL_KIND_DATE: iol_append(out, size, "a day as 2026-11-25"); break;
    case IOL_KIND_TEXT:
        iol_append(out, size, "1 to ");
        iol_append_number(out, size, field->most);
        iol_append(out, size,
                   iol_field_is_reference(field) ? " letters, digits, \".\", \"_\" or \"-\", first a letter or digit"
                                                 : " bytes of text, first a letter or digit, without control characters");
        break;
    case IOL_KIND_WORDS:
        append_most(out, size, field, " of ");
        iol_append_words(out, size, field->words);
        break;
    case IOL_KIND_NUMS:
        append_most(out, size, field, " numbers, ");
        append_range(out, size, field);
        break;
    case IOL_KIND_LIST: append_most(out, size, field, " objects in braces"); break;
    default: iol_append(out, size, "an object in braces"); break;
    }
}

bool iol_field_required(const iol_object *object, const iol_field *field) {
    for (const char *const *must = object->must; *must; must++)
        if (strcmp(*must, field->key) == 0) return true;
    return false;
}

const char *iol_say_field(const iol_field *field, char *out, size_t size) {
    const char *unit = iol_units[field->unit].printed;
    out[0] = '\0';
    iol_append(out, size, field->text);
    if (field->kind >= IOL_KIND_STRING || field->kind == IOL_KIND_PART || field->kind == IOL_KIND_LIST) return out;
    iol_append(out, size, ": ");
    iol_append_value(out, size, field);
    if (unit[0]) iol_append(out, size, " ");
    iol_append(out, size, unit);
    return out;
}

const char *iol_plain_word(const char *code) {
    static const struct {
        const char *code, *words;
    } row[] = {
#define PLAIN_WORD(code, words) {code, words},
#include "plain_words.def"
#undef PLAIN_WORD
    };
    for (size_t i = 0; i < sizeof row / sizeof *row; i++)
        if (strcmp(row[i].code, code) == 0) return row[i].words;
    return code;
}
