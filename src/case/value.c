/* Values against their limits, words and patterns. */
#include "value.h"

#include <string.h>

#include "suggest.h"
#include "tables/say.h"

static bool refuse(iol_refusal *refusal, iol_fault_code code, const char *wanted, const char *unit) {
    refusal->code = code;
    refusal->unit = unit;
    refusal->wanted[0] = '\0';
    iol_append(refusal->wanted, sizeof refusal->wanted, wanted);
    return false;
}

/* ---- numbers ---- */

typedef struct {
    const char *object, *key;
    bool above;
    double limit; /* NaN: the hard one */
    iol_fault_code code;
    const char *meant; /* %1 the value, %k a thousand times, %c a hundredth of it */
} hint;
enum { hint_below = 0, hint_above = 1 };
static const hint hints[] = {
#define HINT(object, key, side, limit, code, meant)                                                                    \
    {#object, #key, hint_##side == hint_above, limit, IOL_FAULT_##code, meant},
#define BEYOND(object, key, side, code, meant) HINT(object, key, side, NAN, code, meant)
#include "hints.def"
#undef HINT
#undef BEYOND
};

static const hint *find_hint(const iol_object *object, const iol_field *field, double x) {
    for (size_t i = 0; i < sizeof hints / sizeof *hints; i++) {
        const hint *h = &hints[i];
        if (strcmp(h->object, object->name) != 0 || strcmp(h->key, field->key) != 0) continue;
        double hard = h->above ? field->hard_high : field->hard_low, limit = isnan(h->limit) ? hard : h->limit;
        if (h->above ? x > limit : x < limit) return h;
    }
    return NULL;
}

static void say_hint(const hint *h, double x, iol_refusal *refusal) {
    refuse(refusal, h->code, "", "");
    for (const char *p = h->meant; *p; p++) {
        double scale = p[0] != '%' ? 0.0 : p[1] == '1' ? 1.0 : p[1] == 'k' ? 1000.0 : p[1] == 'c' ? 0.01 : 0.0;
        if (scale > 0.0) {
            iol_append_number(refusal->wanted, sizeof refusal->wanted, scale * x);
            p++;
        } else
            iol_append_bytes(refusal->wanted, sizeof refusal->wanted, p, 1);
    }
}

bool iol_take_number(const iol_object *object, const iol_field *field, double x, double *into, iol_refusal *refusal) {
    bool inside = x >= field->hard_low && x <= field->hard_high;
    if (inside && (!iol_field_is_whole(field) || x == floor(x))) {
        *into = x + 0.0; /* minus zero is zero */
        return true;
    }
    const hint *h = find_hint(object, field, x); /* every hint's limit lies at or beyond the hard ones */
    if (h) {
        say_hint(h, x, refusal);
        return false;
    }
    if (strstr(field->key, "_format") && x > field->hard_high)
        return refuse(refusal, IOL_FAULT_unsupported_format, "1, the newest format that this version reads", "");
    refuse(refusal, IOL_FAULT_out_of_range, "", iol_units[field->unit].printed);
    if (field->kind == IOL_KIND_NUM)
        iol_append_value(refusal->wanted, sizeof refusal->wanted, field);
    else {
        iol_append_number(refusal->wanted, sizeof refusal->wanted, field->hard_low);
        iol_append(refusal->wanted, sizeof refusal->wanted, " to ");
        iol_append_number(refusal->wanted, sizeof refusal->wanted, field->hard_high);
    }
    return false;
}

/* ---- words, dates, texts ---- */

bool iol_take_word(const iol_word_set *set, const char *text, int *into, iol_refusal *refusal) {
    *into = 0;
    for (int i = 1; i < set->count; i++)
        if (set->word[i][0] == text[0] && strcmp(set->word[i], text) == 0) return (*into = i) > 0;
    if (set->not_examined && strcmp(text, "not-examined") == 0) {
        *into = IOL_NOT_EXAMINED;
        return true;
    }
    if (set->unknown && strcmp(text, "unknown") == 0) return true;
    const char *near = refusal->brief ? NULL : iol_suggest_word(set, text);
    refuse(refusal, IOL_FAULT_not_a_word, "", "");
    iol_append_words(refusal->wanted, sizeof refusal->wanted, set);
    if (near) iol_append(refusal->wanted, sizeof refusal->wanted, "; perhaps ");
    if (near) iol_append(refusal->wanted, sizeof refusal->wanted, near);
    return false;
}

bool iol_take_date(const char *text, int32_t *into, iol_refusal *refusal) {
    if (iol_date_read(text, into)) return true;
    return refuse(refusal, IOL_FAULT_bad_date, "a real day as 2026-11-25: year, month, day", "");
}

static bool is_reference(const char *text) {
    for (size_t i = 0; text[i]; i++) {
        char c = text[i];
        bool alnum = (c >= 'A' && c <= 'Z') || (c >= 'a' && c <= 'z') || (c >= '0' && c <= '9');
        if (!alnum && (i == 0 || !strchr("._-", c))) return false;
    }
    return text[0] != '\0';
}

/* What drives a terminal or turns the writing around: control characters (U+0080 to U+009F too), and the marks U+200B to U+200F,
 * U+2028 to U+202E, U+2060 to U+206F and U+FEFF, which nobody sees. */
static bool is_unseen(const unsigned char *p) {
    if (p[0] < 0x20 || p[0] == 0x7f || (p[0] == 0xc2 && p[1] < 0xa0)) return true;
    if (p[0] == 0xe2 && p[1] == 0x80) return (p[2] >= 0x8b && p[2] <= 0x8f) || (p[2] >= 0xa8 && p[2] <= 0xae);
    return (p[0] == 0xe2 && p[1] == 0x81 && p[2] >= 0xa0 && p[2] <= 0xaf) ||
           (p[0] == 0xef && p[1] == 0xbb && p[2] == 0xbf);
}

/* A label: as a reference its first sign is a letter or digit, of any writing; no sign is unseen. */
static bool is_label(const char *text) {
    unsigned char first = (unsigned char)text[0];
    if (first < 0x80 && !is_reference((const char[]){text[0], '\0'})) return false;
    for (const unsigned char *p = (const unsigned char *)text; *p; p++)
        if (is_unseen(p)) return false;
    return true;
}

bool iol_take_text(const iol_field *field, const char *text, char *into, iol_refusal *refusal) {
    size_t length = strlen(text);
    bool good = iol_field_is_reference(field) ? is_reference(text) : is_label(text);
    if (good && length <= (size_t)field->most) {
        memcpy(into, text, length + 1);
        return true;
    }
    refuse(refusal, IOL_FAULT_bad_pattern, "", "");
    iol_append_value(refusal->wanted, sizeof refusal->wanted, field);
    return false;
}

/* ---- another kind, nothing at all ---- */

void iol_refuse_kind(const iol_field *field, bool element, iol_refusal *refusal) {
    bool number = field->kind == IOL_KIND_NUM || (element && field->kind == IOL_KIND_NUMS);
    char *wanted = refusal->wanted;
    size_t size = sizeof refusal->wanted;
    refuse(refusal, IOL_FAULT_wrong_type, "", number ? iol_units[field->unit].printed : "");
    if (number) iol_append(wanted, size, "a number without quotation marks, null when not known; ");
    if (element && field->kind == IOL_KIND_NUMS) {
        iol_append_number(wanted, size, field->hard_low);
        iol_append(wanted, size, " to ");
        iol_append_number(wanted, size, field->hard_high);
    } else if (element && field->kind == IOL_KIND_WORDS)
        iol_append_words(wanted, size, field->words);
    else if (element)
        iol_append(wanted, size, "an object in braces");
    else
        iol_append_value(wanted, size, field);
    if (field->kind == IOL_KIND_WORD || field->kind == IOL_KIND_DATE || field->kind == IOL_KIND_TEXT)
        iol_append(wanted, size, ", in quotation marks");
    if (field->kind == IOL_KIND_FLAG) iol_append(wanted, size, " without quotation marks, null when not known");
}

void iol_refuse_missing(const iol_field *field, iol_refusal *refusal) {
    refuse(refusal, IOL_FAULT_missing, field->text, iol_units[field->unit].printed);
    iol_append(refusal->wanted, sizeof refusal->wanted, ": ");
    iol_append_value(refusal->wanted, sizeof refusal->wanted, field);
}

/* ---- keys ---- */

/* The next letter or digit of a key, small; 0 at the end. */
static char next_sign(const char **at) {
    while (**at) {
        char c = *(*at)++;
        if (c >= 'A' && c <= 'Z') return (char)(c + ('a' - 'A'));
        if ((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9')) return c;
    }
    return 0;
}

static bool is_identity(const char *key) {
    static const char *const identity[] = {
#define IDENTITY(key) key,
#include "identity_keys.def"
#undef IDENTITY
    };
    const char *rest = key;
    const char first = next_sign(&rest);
    for (size_t i = 0; i < sizeof identity / sizeof *identity; i++) {
        const char *a = identity[i], *b = key;
        char x, y;
        if (*a != first) continue; /* every row begins with a small letter */
        do {
            x = next_sign(&a);
            y = next_sign(&b);
        } while (x && x == y);
        if (x == y) return true;
    }
    return false;
}

bool iol_key_names_a_person(const char *key) { return is_identity(key); }

static bool is_sign(char c) { return next_sign(&(const char *){(const char[]){c, '\0'}}) != 0; }

enum { MOST_WORDS = 3, WORDS = 48 }; /* words of the longest identity key, and its letters with room to spare */

/* One to three words that end at `end`, in a text from `from` on, are an identity key. whole: nothing stands before them but the
 * start of the text or of a clause. */
static bool ends_in_identity(const char *from, const char *end, bool whole) {
    char words[WORDS];
    const char *start = end;
    for (int i = 0; i < MOST_WORDS; i++) {
        while (start > from && !is_sign(start[-1])) start--;
        while (start > from && is_sign(start[-1])) start--;
        size_t length = (size_t)(end - start);
        if (length == 0 || length >= sizeof words) return false;
        memcpy(words, start, length);
        words[length] = '\0';
        const char *before = start;
        while (whole && before > from && before[-1] == ' ') before--;
        bool alone = !whole || before == from || strchr(".,;|(/-\n", before[-1]);
        if (alone && is_identity(words)) return true;
        if (whole && alone) return false; /* the clause begins here */
    }
    return false;
}

bool iol_remark_names_a_person(const char *key, const char *text) {
    if (is_identity(key)) return true;
    for (const char *p = key; *p; p++)
        if (is_sign(*p) && !is_sign(p[1]) && ends_in_identity(key, p + 1, false)) return true;
    for (const char *p = text + strcspn(text, ":="); *p; p += 1 + strcspn(p + 1, ":="))
        if (ends_in_identity(text, p, true)) return true;
    return false;
}
