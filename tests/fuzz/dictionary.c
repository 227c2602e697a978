/* The fuzzers' dictionary, from the tables: every key and every word. */
#include <stdio.h>

#include "tables/tables.h"

static void walk(const iol_object *object) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *f = &object->field[i];
        printf("\"\\\"%s\\\":\"\n", f->key);
        if (f->kind == IOL_KIND_WORD || f->kind == IOL_KIND_WORDS)
            for (int k = 1; k < f->words->count; k++) printf("\"\\\"%s\\\"\"\n", f->words->word[k]);
        if (f->inside) walk(f->inside);
    }
}

int main(void) {
    static const char *const signs[] = {"null",
                                        "true",
                                        "false",
                                        "[{",
                                        "}]",
                                        "{}",
                                        "[]",
                                        ",",
                                        "1e-5",
                                        "\\\"//\\\":\\\"\\\"",
                                        "\\\"2026-02-28\\\"",
                                        "\\\"not-examined\\\"",
                                        "\\\"unknown\\\"",
                                        "\\\\u0000",
                                        "\\xef\\xbb\\xbf"};
    walk(iol_object_case);
    walk(iol_object_site);
    for (size_t i = 0; i < sizeof signs / sizeof *signs; i++) printf("\"%s\"\n", signs[i]);
    return 0;
}
