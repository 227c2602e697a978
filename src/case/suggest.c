/* The key or word that was meant: the nearest known one, here or elsewhere in the file. */
#include "suggest.h"

#include <string.h>

#include "tables/say.h"

enum { LONGEST = 40, FAR = 1000 };

typedef struct {
    const char *typed, *meant;
} alias;
static const alias keys[] = {
#define ALIAS(typed, key) {typed, key},
#define WORD_ALIAS(typed, word)
#include "key_aliases.def"
#undef ALIAS
#undef WORD_ALIAS
    {NULL, NULL},
};
static const alias words[] = {
#define ALIAS(typed, key)
#define WORD_ALIAS(typed, word) {typed, word},
#include "key_aliases.def"
#undef ALIAS
#undef WORD_ALIAS
    {NULL, NULL},
};

/* This is one of the things that people write for it. */
static bool stands_for(const alias *row, const char *typed, const char *meant) {
    for (; row->typed; row++)
        if (row->typed[0] == typed[0] && strcmp(row->typed, typed) == 0 && strcmp(row->meant, meant) == 0) return true;
    return false;
}

/* Small letters and digits alone: how a key is spelt is not what was meant. False when nothing or too much is left. */
static bool bare(const char *text, char out[LONGEST + 1]) {
    int used = 0;
    for (; *text; text++) {
        char c = *text;
        if (c >= 'A' && c <= 'Z') c = (char)(c + ('a' - 'A'));
        if (!((c >= 'a' && c <= 'z') || (c >= '0' && c <= '9'))) continue;
        if (used == LONGEST) return false;
        out[used++] = c;
    }
    out[used] = '\0';
    return used > 0;
}

/* Edits (insert, delete, replace, swap of neighbours) that turn a into b, or more than `most`. */
static int edits(const char *a, const char *b, int most) {
    int n = (int)strlen(a), m = (int)strlen(b), row[3][LONGEST + 1], least_now = 0, least_before = 0;
    if (n - m > most || m - n > most) return most + 1;
    for (int j = 0; j <= m; j++) row[0][j] = j;
    for (int i = 1; i <= n; i++) {
        if (least_now > most && least_before > most) return most + 1; /* a row is made of the two before it */
        least_before = least_now, least_now = i;
        int *now = row[i % 3], *before = row[(i + 2) % 3], *two = row[(i + 1) % 3];
        now[0] = i;
        for (int j = 1; j <= m; j++) {
            int replace = before[j - 1] + (a[i - 1] != b[j - 1]), least = before[j] + 1;
            if (now[j - 1] + 1 < least) least = now[j - 1] + 1;
            if (replace < least) least = replace;
            if (i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1] && two[j - 2] + 1 < least)
                least = two[j - 2] + 1;
            now[j] = least;
            if (least < least_now) least_now = least;
        }
    }
    return row[n % 3][m];
}

/* 0 the same, 1 the start of it (a unit is missing), else twice the edits; FAR when a third of the letters differ. */
static int distance(const char *typed, const char *known) {
    char plain[LONGEST + 1];
    if (!bare(known, plain)) return FAR;
    size_t length = strlen(typed);
    if (strcmp(typed, plain) == 0) return 0;
    if (length >= 3 && strncmp(typed, plain, length) == 0) return 1;
    const int most = (int)length / 3 + (length > 3), found = edits(typed, plain, most);
    return found > most ? FAR : 2 * found;
}

typedef struct {
    const char *typed;
    int distance;
    char path[120];
} search;

static void offer(search *s, const char *path, const char *key, int penalty) {
    int d = (stands_for(keys, s->typed, key) ? 0 : distance(s->typed, key)) + penalty;
    if (d >= s->distance) return;
    s->distance = d;
    s->path[0] = '\0';
    iol_append(s->path, sizeof s->path, path);
    iol_append(s->path, sizeof s->path, "/");
    iol_append(s->path, sizeof s->path, key);
}

static void look(search *s, const iol_object *object, const char *path, bool deeper) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *field = &object->field[i];
        char inside[120] = "";
        offer(s, path, field->key, deeper ? 1 : 0);
        if (!field->inside || !deeper) continue;
        iol_append(inside, sizeof inside, path);
        iol_append(inside, sizeof inside, "/");
        iol_append(inside, sizeof inside, field->key);
        if (field->kind == IOL_KIND_LIST) iol_append(inside, sizeof inside, "/0");
        look(s, field->inside, inside, true);
    }
}

/* The very key has its place in another object. */
static void exact_elsewhere(const iol_object *root, const char *typed, char *out, size_t size) {
    search s = {.typed = typed, .distance = 2, .path = ""}; /* 0 and 1 for being elsewhere */
    look(&s, root, "", true);
    if (!s.path[0]) return;
    iol_append(out, size, ", or it belongs at ");
    iol_append(out, size, s.path);
}

void iol_suggest_key(const iol_object *root, const iol_object *here, const char *key, char *out, size_t size) {
    char typed[LONGEST + 1];
    search s = {.typed = typed, .distance = FAR, .path = ""};
    out[0] = '\0';
    if (bare(key, typed)) {
        if (stands_for(keys, typed, "//")) {
            iol_append(out, size, "a key of the format; a remark goes into a key that starts with //");
            return;
        }
        look(&s, here, "", false);
        if (s.path[0]) {
            iol_append(out, size, "a key of the format, perhaps ");
            iol_append(out, size, s.path + 1);
            if (s.distance > 0) exact_elsewhere(root, typed, out, size);
            return;
        }
        look(&s, root, "", true);
    }
    iol_append(out, size, "a key of the format");
    iol_append(out, size, s.path[0] ? "; perhaps it belongs at " : " (iolrevise template prints them)");
    iol_append(out, size, s.path);
}

const char *iol_suggest_word(const iol_word_set *set, const char *text) {
    char typed[LONGEST + 1];
    const char *near = NULL;
    int least = FAR;
    for (int i = 1; i < set->count && bare(text, typed); i++) {
        int d = stands_for(words, typed, set->word[i]) ? 0 : distance(typed, set->word[i]);
        if (d < least) {
            least = d;
            near = set->word[i];
        }
    }
    return near;
}
