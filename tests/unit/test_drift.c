/* Drift: kind `pinned`, no source. Which parts of a plan each finding moves: every leaf of the case takes other values, one at a
 * time, on a sound eye; a row of tests/rows/drift.tsv names the parts that then differ (by name,
 * in any order). A row that differs says what changed, not that it is wrong:
 * look at the plan before and after, then UPDATE=1 build/tests/unit/test_drift writes the rows anew. */
#include "check.h"
#include "example_case.h"
#include "tools/leaves.h"
#include "sound_case.h"
#include "tables/risk.h"

enum { MOST_LEAVES = 512, MOST_PARTS = 40, MOST_ROWS = 2048, LINE = 640, MOST_TOLD = 5 };

/* ---- the sum of each part of a plan ---- */
typedef struct {
    char key[MOST_PARTS][32];
    uint32_t sum[MOST_PARTS];
    int parts;
} sums;

typedef struct {
    sums *out;
    int depth;
    bool inside, escaped;
    size_t length;
    char text[2048];
} reading;

static uint32_t add_byte(uint32_t sum, char byte) { return (sum ^ (unsigned char)byte) * 16777619u; }

/* Of a sentence only its digits count. */
static void take_string(reading *r) {
    sums *s = r->out;
    bool sentence = memchr(r->text, ' ', r->length) != NULL;
    if (s->parts == 0 || strcmp(s->key[s->parts - 1], "program_version") == 0) return;
    for (size_t i = 0; i < r->length; i++)
        if (!sentence || strchr("0123456789.+-", r->text[i]))
            s->sum[s->parts - 1] = add_byte(s->sum[s->parts - 1], r->text[i]);
}

static void take(reading *r, char byte) {
    sums *s = r->out;
    if (r->inside) {
        if (byte != '"' || r->escaped) {
            if (r->length < sizeof r->text) r->text[r->length++] = byte;
            r->escaped = byte == '\\' && !r->escaped;
            return;
        }
        r->inside = false;
        take_string(r);
        return;
    }
    if (byte == '{' || byte == '[') r->depth++;
    if (byte == '}' || byte == ']') r->depth--;
    if (byte == '"') r->inside = true, r->length = 0;
    if (byte == ':' && r->depth == 1) {
        assert_true(s->parts < MOST_PARTS);
        snprintf(s->key[s->parts], sizeof s->key[0], "%.*s", (int)r->length, r->text);
        s->sum[s->parts++] = 2166136261u;
    }
    if (byte > ' ' && s->parts > 0) s->sum[s->parts - 1] = add_byte(s->sum[s->parts - 1], byte);
}

static bool sink(void *context, const char *bytes, size_t length) {
    for (size_t i = 0; i < length; i++) take(context, bytes[i]);
    return true;
}

static void add_text(const char *text, sums *one) {
    for (const char *at = text; *at; at++) one->sum[one->parts - 1] = add_byte(one->sum[one->parts - 1], *at);
}

static void add_number(double x, sums *one) {
    char text[32] = "none ";
    if (!isnan(x)) snprintf(text, sizeof text, "%.6g ", x == 0.0 ? 0.0 : x);
    add_text(text, one);
}

/* What the sentences stand on, with more digits than they print. */
static void add_notes(const iol_notes *notes, sums *one) {
    assert_true(one->parts < MOST_PARTS);
    snprintf(one->key[one->parts], sizeof one->key[0], "notes");
    one->sum[one->parts++] = 2166136261u;
    for (int i = 0; i < notes->count; i++) {
        const iol_note *n = &notes->item[i];
        add_text(iol_note_rows[n->code].code, one);
        add_number(n->row, one);
        add_number(n->value, one);
        add_number(n->limit, one);
        add_text(n->word, one);
    }
}

static void sum_plan(const iol_case *c, sums *one) {
    static iol_plan plan;
    reading r = {.out = one};
    one->parts = 0;
    iol_plan_make(c, example_site(), IOL_UNKNOWN_DATE, &plan);
    assert_true(iol_plan_write(&plan, sink, &r));
    add_notes(&plan.notes, one);
}

/* ---- leaves and the values that they take ---- */
typedef struct {
    char path[96];
    const iol_field *field;
    size_t offset;
} leaf;
static leaf leaves[MOST_LEAVES];
static int leaf_count;

static void list_leaves(const iol_object *object, const iol_case *c, size_t offset, const char *above) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *f = &object->field[i];
        size_t here = offset + f->offset;
        char path[96];
        snprintf(path, sizeof path, "%.60s/%.30s", above, f->key);
        if (f->kind == IOL_KIND_PART) list_leaves(f->inside, c, here, path);
        if (f->kind == IOL_KIND_LIST)
            for (int k = 0; k < *(const int *)(const void *)((const char *)c + offset + f->count_offset); k++)
                list_leaves(f->inside, c, here + (size_t)k * f->inside->size, path);
        if (f->kind > IOL_KIND_DATE) continue;
        assert_true(leaf_count < MOST_LEAVES);
        leaves[leaf_count] = (leaf){.field = f, .offset = here};
        memcpy(leaves[leaf_count++].path, path, sizeof path);
    }
}

/* How many values a leaf takes; sets the one of this index. Numbers: not known, both ends and the middle of what is usual, and a
 * little more or less than given. */
static int set_value(const leaf *l, iol_case *c, int index) {
    const iol_field *f = l->field;
    void *at = (char *)c + l->offset;
    if (f->kind == IOL_KIND_NUM) {
        double low = f->usual_low, wide = f->usual_high - low, given = *(double *)at;
        double start = isnan(given) ? low + wide / 4.0 : given;
        const double values[] = {NAN, low, low + wide / 2.0, low + wide, start + wide / 64.0, start - wide / 32.0};
        *(double *)at = values[index];
        return (int)(sizeof values / sizeof *values);
    }
    if (f->kind == IOL_KIND_DATE) {
        int32_t given = *(int32_t *)at == IOL_UNKNOWN_DATE ? c->first_surgery.done_on : *(int32_t *)at;
        if (given == IOL_UNKNOWN_DATE) given = 0;
        const int32_t values[] = {IOL_UNKNOWN_DATE, given - 20, given + 8, given + 200};
        *(int32_t *)at = values[index];
        return (int)(sizeof values / sizeof *values);
    }
    *(int *)at = f->kind == IOL_KIND_FLAG ? index - 1 : index;
    return f->kind == IOL_KIND_FLAG ? 3 : f->words->count;
}

/* ---- rows, found by the name before the last tab ---- */
typedef struct {
    char row[MOST_ROWS][LINE];
    bool seen[MOST_ROWS];
    int count, differing;
    FILE *out; /* written anew, not compared */
} held_rows;

static held_rows held;

static void rows_open(const char *path) {
    bool update = getenv("UPDATE") != NULL;
    FILE *in = update ? NULL : fopen(path, "r");
    held.count = held.differing = 0;
    held.out = update ? fopen(path, "w") : NULL;
    assert_true(in || held.out);
    while (in && held.count < MOST_ROWS && fgets(held.row[held.count], LINE, in)) {
        held.seen[held.count] = false;
        held.row[held.count][strcspn(held.row[held.count], "\n")] = '\0';
        held.count++;
    }
    if (in) fclose(in);
}

static void row_now(const char *name, const char *value) {
    size_t length = strlen(name);
    if (held.out) fprintf(held.out, "%s\t%s\n", name, value);
    if (held.out) return;
    for (int i = 0; i < held.count; i++)
        if (!held.seen[i] && strncmp(held.row[i], name, length) == 0 && held.row[i][length] == '\t') {
            held.seen[i] = true;
            if (strcmp(held.row[i] + length + 1, value) != 0 && held.differing++ < MOST_TOLD)
                print_error("%s\nheld %s\nnow  %s\n", name, held.row[i] + length + 1, value);
            return;
        }
    if (held.differing++ < MOST_TOLD) print_error("%s\nheld nothing\nnow  %s\n", name, value);
}

static void rows_close(void) {
    if (held.out) fclose(held.out);
    for (int i = 0; i < held.count; i++)
        if (!held.seen[i] && held.differing++ < MOST_TOLD) print_error("held %s\nnow  nothing\n", held.row[i]);
    assert_int_equal(held.differing, 0);
}

/* ---- what each leaf moves ---- */
static void sweep(void) {
    static iol_case base, c;
    sound_case(&base);
    leaf_count = 0;
    list_leaves(iol_object_case, &base, 0, "");
    sums first, one;
    sum_plan(&base, &first);
    for (int i = 0; i < leaf_count; i++) {
        bool moved[MOST_PARTS] = {false};
        c = base;
        int values = set_value(&leaves[i], &c, 0);
        for (int k = 0; k < values; k++) {
            c = base;
            set_value(&leaves[i], &c, k);
            set_present(iol_object_case, &c);
            sum_plan(&c, &one);
            assert_int_equal(one.parts, first.parts);
            for (int p = 0; p < one.parts; p++) moved[p] |= one.sum[p] != first.sum[p];
        }
        char parts[LINE] = "";
        for (int p = 0, used = 0; p < first.parts; p++)
            if (moved[p])
                used += snprintf(parts + used, sizeof parts - (size_t)used, "%s%s", used ? " " : "", first.key[p]);
        if (*parts) row_now(leaves[i].path, parts);
    }
}

static void test_drift(void **state) {
    (void)state;
    rows_open("tests/rows/drift.tsv");
    sweep();
    rows_close();
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_drift)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
