/* What every output must satisfy, whatever went in. A breach ends the program with abort. */
#ifndef TESTS_FUZZ_OUTPUTS_H
#define TESTS_FUZZ_OUTPUTS_H

#include "fuzz.h"

/* A sink for iol_plan_write and the pages. */
static inline bool fuzz_sink(void *context, const char *bytes, size_t length) {
    fuzz_text *t = context;
    fuzz_must(length < sizeof t->bytes - t->used, "an output of more than a mebibyte");
    memcpy(t->bytes + t->used, bytes, length);
    t->used += length;
    t->bytes[t->used] = '\0';
    return true;
}

static inline void fuzz_same(const fuzz_text *a, const fuzz_text *b, const char *what) {
    fuzz_must(a->used == b->used && memcmp(a->bytes, b->bytes, a->used) == 0, what);
}

static inline bool fuzz_is_letter(char c) { return (c >= 'a' && c <= 'z') || (c >= 'A' && c <= 'Z'); }
static inline bool fuzz_is_digit(char c) { return c >= '0' && c <= '9'; }

/* JSON outside its texts: true, false, null, signs and numbers of digits and a point, none of them a negative zero. */
static inline void fuzz_check_json(const char *text) {
    for (const char *c = text; *c;) {
        if (*c == '"') {
            for (c++; *c != '"'; c++) {
                fuzz_must((unsigned char)*c >= ' ', "a control character in a JSON text");
                if (*c == '\\') c++;
            }
            c++;
        } else if (*c == '-' || fuzz_is_digit(*c)) {
            bool minus = *c == '-', zero = true;
            for (c += minus; fuzz_is_digit(*c) || *c == '.'; c++) zero = zero && (*c == '0' || *c == '.');
            fuzz_must(!(minus && zero), "a negative zero, or a minus without a number");
            fuzz_must(strchr(",]}\n", *c) != NULL, "a number with an exponent or a letter");
        } else if (fuzz_is_letter(*c)) {
            size_t length = strspn(c, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ");
            fuzz_must((length == 4 && (!memcmp(c, "true", 4) || !memcmp(c, "null", 4))) ||
                          (length == 5 && !memcmp(c, "false", 5)),
                      "a word that JSON does not know");
            c += length;
        } else {
            fuzz_must(strchr("{}[]:, \n", *c) != NULL, "a sign that JSON does not know");
            c++;
        }
    }
}

/* A word that a number without value prints as, alone between signs; and a zero with a minus sign. */
static inline void fuzz_check_numbers(const char *text) {
    static const char *const words[] = {"nan", "inf", "NaN", "Inf", "NAN", "INF", "infinity"};
    for (const char *c = text; *c; c++) {
        bool starts = strchr("nNiI", *c) != NULL && (c == text || (!fuzz_is_letter(c[-1]) && c[-1] != '-'));
        for (size_t i = 0; i < sizeof words / sizeof *words && starts; i++) {
            size_t length = strlen(words[i]);
            fuzz_must(strncmp(c, words[i], length) != 0 || fuzz_is_letter(c[length]), "a number without value");
        }
        if (*c != '-' || (c > text && strchr(" \n(>", c[-1]) == NULL)) continue;
        size_t zeros = strspn(c + 1, "0.");
        fuzz_must(c[1] != '0' || fuzz_is_digit(c[1 + zeros]), "a negative zero");
    }
}

/* Lines of at most 80 columns of printable ASCII, without blanks at the end. */
static inline void fuzz_check_text(const char *text) {
    int column = 0;
    for (const char *c = text; *c; c++) {
        fuzz_must(*c == '\n' || (*c >= ' ' && *c <= '~'), "a byte outside printable ASCII");
        if (*c == '\n') fuzz_must(c == text || c[-1] != ' ', "a blank at the end of a line");
        column = *c == '\n' ? 0 : column + 1;
        fuzz_must(column <= 80, "a line of more than 80 columns");
    }
    fuzz_check_numbers(text);
}

/* One tag at *at, moved behind it: lower-case name, attributes name="value", all closed in turn. */
typedef struct {
    int depth;
    char name[64][16];
} fuzz_tags;

static inline void fuzz_take_tag(const char **at, fuzz_tags *open) {
    static const char *const single[] = {"meta"};
    const char *c = *at + 1;
    bool closing = *c == '/', alone = false;
    c += closing;
    size_t length = strspn(c, "abcdefghijklmnopqrstuvwxyz0123456789");
    char name[16] = "";
    fuzz_must(length > 0 && length < sizeof name, "a < that begins no tag");
    memcpy(name, c, length);
    fuzz_must(strcmp(name, "script") != 0 && strcmp(name, "iframe") != 0 && strcmp(name, "img") != 0, "an active tag");
    for (c += length; *c == ' ';) {
        c++;
        if (*c == '/') break;
        size_t key = strspn(c, "abcdefghijklmnopqrstuvwxyzABCDEFGHIJKLMNOPQRSTUVWXYZ0123456789-");
        fuzz_must(key > 0 && strncmp(c, "on", 2) != 0 && c[key] == '=' && c[key + 1] == '"', "a strange attribute");
        c += key + 2;
        for (; *c != '"'; c++) fuzz_must(*c != '\0' && *c != '<' && *c != '>', "an attribute that does not end");
        c++;
    }
    if (*c == '/') alone = true, c++;
    fuzz_must(*c == '>', "a tag that does not end");
    *at = c + 1;
    for (size_t i = 0; i < sizeof single / sizeof *single; i++) alone = alone || strcmp(name, single[i]) == 0;
    if (closing) {
        fuzz_must(open->depth > 0 && strcmp(open->name[--open->depth], name) == 0, "a tag closed out of turn");
    } else if (!alone) {
        fuzz_must(open->depth < 64, "tags too deep");
        memcpy(open->name[open->depth++], name, sizeof name);
    }
}

/* Tags in turn, entities for what may not stand for itself, nothing that runs or is fetched. */
static inline void fuzz_check_html(const char *html) {
    static const char *const entities[] = {"&nbsp;", "&amp;", "&lt;", "&gt;", "&quot;", "&#39;"};
    static const char first[] = "<!DOCTYPE html>\n";
    fuzz_tags open = {0};
    fuzz_must(strncmp(html, first, sizeof first - 1) == 0, "no document type");
    for (const char *c = html + sizeof first - 1; *c;) {
        if (*c == '<') {
            bool style = strncmp(c, "<style>", 7) == 0;
            fuzz_take_tag(&c, &open);
            if (style) c = strstr(c, "</style>");
            fuzz_must(c != NULL, "a style that does not end");
            continue;
        }
        bool known = *c != '&';
        for (size_t i = 0; i < sizeof entities / sizeof *entities; i++)
            known = known || strncmp(c, entities[i], strlen(entities[i])) == 0;
        fuzz_must(known && *c != '>', "a sign that is not escaped");
        fuzz_must(*c == '\n' || (unsigned char)*c >= ' ', "a control character in the page");
        c++;
    }
    fuzz_must(open.depth == 0, "a tag that is not closed");
    fuzz_check_numbers(html);
}

#endif
