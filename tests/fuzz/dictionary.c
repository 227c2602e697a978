/* dictionary KIND: what the fuzzers put together, from the tables. json: keys and words of case and site; rows: of what
 * recheck writes; paths: of a case, as typed, and words; tags: of DICOM; options: of `power`. */
#include <stdio.h>
#include <string.h>

#include "recheck/statistics.h"
#include "tables/tables.h"

static void words(const iol_word_set *set, bool quoted) {
    for (int k = 1; k < set->count; k++) printf(quoted ? "\"\\\"%s\\\"\"\n" : "\"%s\"\n", set->word[k]);
}

static void keys(const iol_object *object) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *f = &object->field[i];
        printf("\"\\\"%s\\\":\"\n", f->key);
        if (f->kind == IOL_KIND_WORD || f->kind == IOL_KIND_WORDS) words(f->words, true);
        if (f->inside) keys(f->inside);
    }
}

static void paths(const iol_object *object, const char *before) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *f = &object->field[i];
        char path[200];
        snprintf(path, sizeof path, "%s%s%s", before, f->key, f->kind == IOL_KIND_LIST ? ".1" : "");
        if (f->kind == IOL_KIND_WORD || f->kind == IOL_KIND_WORDS) words(f->words, false);
        if (!f->inside) printf("\"%s\"\n", path);
        if (f->inside) strcat(path, "."), paths(f->inside, path);
    }
}

static void signs(const char *const sign[]) {
    for (; *sign; sign++) printf("\"%s\"\n", *sign);
}

static void json(void) {
    static const char *const sign[] = {"null",
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
                                       "\\xef\\xbb\\xbf",
                                       NULL};
    keys(iol_object_case);
    keys(iol_object_site);
    signs(sign);
}

static void rows(void) {
    static const char *const sign[] = {"\\xff",
                                       "\\x0a",
                                       "\\\"line\\\":\\\"tally\\\"",
                                       "\\\"line\\\":\\\"ranks\\\"",
                                       "\\\"line\\\":\\\"totals\\\"",
                                       "\\\"line\\\":\\\"steps\\\"",
                                       "\\\"line\\\":\\\"told\\\"",
                                       "\\\"line\\\":\\\"eye-part\\\"",
                                       "\\\"held\\\":[0,0,0,1]",
                                       "\\\"errors\\\":[[0,1]]",
                                       "\\\"end\\\":true",
                                       "9007199254740992",
                                       "4294967295",
                                       "-1",
                                       NULL};
    keys(iol_object_recheck);
    keys(iol_object_summary);
    for (int i = 0; i < IOL_SERIES; i++) {
        int method, formula;
        iol_series_names(i, &method, &formula);
        printf("\"\\\"method\\\":\\\"%s\\\"\"\n", IOL_WORD(recheck_method, method));
    }
    signs(sign);
}

static void typed(void) {
    static const char *const sign[] = {"=",    ",",          "\\x0a", "?",    "null", "yes", "no",
                                       "true", "2026-02-28", "-0.25", "+1.5", "/",    "1e9", "refractions.2.",
                                       NULL};
    paths(iol_object_case, "");
    signs(sign);
}

static void codes(long code) { printf("\"\\\"%ld\\\"\"\n", code); }

static void tags(const char *path) {
    for (; *path; path += path[8] ? 9 : 8) printf("\"\\\"%.8s\\\":\"\n", path);
}

static void dicom(void) {
    static const char *const sign[] = {"\\\"Value\\\":[",
                                       "\\\"vr\\\":\\\"SQ\\\"",
                                       "00080016",
                                       "00080100",
                                       "0008002A",
                                       "00080023",
                                       "00101010",
                                       "00100030",
                                       "00221101",
                                       "00221053",
                                       "00221054",
                                       "\\\"113857\\\"",
                                       "\\\"YES\\\"",
                                       "\\\"20250820\\\"",
                                       NULL};
#define CLASS(class, right, left, name)                                                                                \
    tags(right), tags(left), printf("\"\\\"1.2.840.10008.5.1.4.1.1.78.%d\\\"\"\n", class);
#define NUMBER(class, path, key) tags(path);
#define NUMBER_IF(class, path, yes, key) tags(path), tags(yes);
#define NEWEST(class, path, second, key) tags(path), tags(second);
#define PICK(class, path, name, code, value, key) tags(path), tags(name), codes(code), tags(value);
#define CODED(class, path, code, key, word) tags(path), codes(code);
#define WRITTEN(class, path, value, key, word) tags(path), printf("\"\\\"%s\\\"\"\n", value);
#define BOTH(class, path, code, second, other, key, word) tags(path), codes(code), tags(second), codes(other);
#define HAND(class, path, key) tags(path);
#define REFUSE(class, path, code, key, sentence) tags(path), codes(code);
#define UNLESS(class, path, code, key, sentence) tags(path), codes(code);
#define SAY(class, path, code, key, sentence) tags(path), codes(code);
#define CONSTANT_OF(code, key) codes(code);
#include "dicom_map.def"
    signs(sign);
}

static void options(void) {
    static const char *const sign[] = {"OD",
                                       "OS",
                                       "21D",
                                       "21.0",
                                       "+2.25 -0.75 x 80",
                                       "+2.25DS/-0.75DCx80",
                                       "plano",
                                       "43.50",
                                       "43.10@5/43.90@95",
                                       "-0.25",
                                       "manifest",
                                       "optical",
                                       "118.4",
                                       "bag",
                                       "sulcus",
                                       "\\x0a",
                                       "ax",
                                       "1.3,0.4,0.1",
                                       NULL};
    printf("\"\\x0a--set\"\n");
#define C(command) 0
#define ALL 0
#define OPTION(member, name, argument, commands, help) printf("\"\\x0a%s\\x0a\"\n", name);
#define REPEATED(member, name, argument, commands, help) printf("\"\\x0a%s\\x0a\"\n", name);
#include "cli/options.def"
    signs(sign);
}

int main(int argc, char **argv) {
    static const struct {
        const char *kind;
        void (*print)(void);
    } all[] = {{"json", json}, {"rows", rows}, {"paths", typed}, {"tags", dicom}, {"options", options}};
    for (size_t i = 0; argc == 2 && i < sizeof all / sizeof *all; i++)
        if (strcmp(argv[1], all[i].kind) == 0) return all[i].print(), 0;
    fprintf(stderr, "dictionary json|rows|paths|tags|options\n");
    return 2;
}
