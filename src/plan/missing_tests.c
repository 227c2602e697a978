/* Tests to ask for: the rows of data/missing_tests.def, and every field that the case calls not examined. */
#include <string.h>

#include "decision.h"
#include "tables/note_codes.h"

/* Paths that a row has asked for already. */
typedef struct {
    iol_work *w;
    const char *asked[8];
    int asked_count;
} search;

static void ask(search *s, iol_note_code code, const char *path) {
    iol_note_add(&s->w->plan->notes, IOL_AT_decision_missing_tests, 0, code, NAN, NAN, NULL);
    if (path && s->asked_count < (int)(sizeof s->asked / sizeof *s->asked)) s->asked[s->asked_count++] = path;
}

static bool join(char *out, size_t size, const char *path, const char *key) {
    size_t used = strlen(path), more = strlen(key);
    if (used + more + 2 > size) return false;
    memcpy(out, path, used);
    out[used] = '/';
    memcpy(out + used + 1, key, more + 1);
    return true;
}

static void not_examined(search *s, const char *path, const char *meaning) {
    for (int i = 0; i < s->asked_count; i++)
        if (strcmp(s->asked[i], path) == 0) return;
    iol_note_add(&s->w->plan->notes, IOL_AT_decision_missing_tests, 0, IOL_NOTE_missing_not_examined, NAN, NAN,
                 meaning);
}

/* Every word of the case, the objects inside it too. No list of the case holds a word that can be not examined. */
static void walk(search *s, const iol_object *object, const void *at, const char *path) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *field = &object->field[i];
        const char *value = (const char *)at + field->offset;
        char inside[sizeof((iol_note *)0)->word];
        if (field->kind != IOL_KIND_WORD && field->kind != IOL_KIND_PART) continue;
        if (!join(inside, sizeof inside, path, field->key)) continue;
        if (field->kind == IOL_KIND_PART)
            walk(s, field->inside, value, inside);
        else if (*(const int *)(const void *)value == IOL_NOT_EXAMINED)
            not_examined(s, inside, field->text);
    }
}

static bool not_said(int word) { return word <= 0; }

void iol_missing_tests(iol_work *w) {
    const iol_facts *f = &w->facts;
    search s = {.w = w};
    const iol_case *c = w->c;
#define MISSING(id, path, when)                                                                                        \
    if (when) ask(&s, IOL_NOTE_missing_##id, path);
#include "missing_tests.def"
#undef MISSING
    walk(&s, iol_object_case, c, "");
}
