/* Drift: kind `pinned`, no source. What each finding moves in a plan: every leaf of the case takes other values, one at a time on
 * a sound eye and several at a time on the examples; a row of tests/rows/drift.tsv holds a sum over each part that moved. Sums
 * are of numbers, words and codes: sentences may change. A row that differs says which part moved, not that it is wrong: look at
 * the plan before and after, then UPDATE=1 build/tests/unit/test_drift writes the rows anew. */
#include "check.h"
#include "example_case.h"
#include "tools/leaves.h"
#include "sound_case.h"
#include "tables/risk.h"

#define ROWS "tests/rows/drift.tsv"
enum {
    MOST_LEAVES = 512,
    MOST_PARTS = 40,
    MOST_VALUES = 8,
    LINE = 1600,
    MIXTURES = 12,
    IN_MIXTURE = 12,
    CHANGES = 4,
    MOST_TOLD = 5
};

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

/* The sum of a part goes on from that of the plans before. */
static void add_sums(const sums *one, sums *total) {
    if (total->parts == 0) {
        *total = *one;
        return;
    }
    assert_int_equal(one->parts, total->parts);
    for (int i = 0; i < one->parts; i++) total->sum[i] = total->sum[i] * 16777619u ^ one->sum[i];
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

/* ---- rows ---- */
static int differing;

static void end_row(FILE *old, FILE *out, const char *name, const sums *before, const sums *after) {
    char row[LINE], held[LINE] = "";
    size_t used = (size_t)snprintf(row, sizeof row, "%s", name);
    for (int i = 0; i < after->parts; i++)
        if (!before || before->sum[i] != after->sum[i])
            used +=
                (size_t)snprintf(row + used, sizeof row - used, "\t%s:%08x", after->key[i], (unsigned)after->sum[i]);
    assert_true(used < sizeof row);
    if (out) {
        fprintf(out, "%s\n", row);
        return;
    }
    if (fgets(held, sizeof held, old)) held[strcspn(held, "\n")] = '\0';
    if (strcmp(row, held) != 0 && differing++ < MOST_TOLD) print_error("held %s\nnow  %s\n", held, row);
}

/* The same case, made as often as the row has cases: what differs was moved by the finding. */
static void sweep(FILE *old, FILE *out) {
    static iol_case base, c;
    sound_case(&base);
    leaf_count = 0;
    list_leaves(iol_object_case, &base, 0, "");
    sums first, one;
    sum_plan(&base, &first);
    end_row(old, out, "sound", NULL, &first);
    for (int i = 0; i < leaf_count; i++) {
        sums same = {.parts = 0}, moved = {.parts = 0};
        c = base;
        int values = set_value(&leaves[i], &c, 0);
        for (int k = 0; k < values; k++) {
            c = base;
            set_value(&leaves[i], &c, k);
            set_present(iol_object_case, &c);
            sum_plan(&c, &one);
            add_sums(&one, &moved);
            add_sums(&first, &same);
        }
        end_row(old, out, leaves[i].path, &same, &moved);
        if (differing > MOST_TOLD) return;
    }
}

/* Numerical Recipes' quick generator: the same numbers everywhere. */
static int draw(uint32_t *state, int below) {
    *state = *state * 1664525u + 1013904223u;
    return (int)((*state >> 8) % (uint32_t)below);
}

static void mix(FILE *old, FILE *out) {
    static iol_case base, c;
    for (int i = 0; i < EXAMPLES + 1; i++) {
        if (i < EXAMPLES)
            example_case(example_names[i], &base);
        else
            sound_case(&base);
        leaf_count = 0;
        list_leaves(iol_object_case, &base, 0, "");
        uint32_t state = 2026u + (uint32_t)i;
        for (int m = 0; m < MIXTURES; m++) {
            sums total = {.parts = 0}, one;
            char name[64];
            for (int n = 0; n < IN_MIXTURE; n++) {
                c = base;
                for (int k = 0; k < CHANGES; k++) {
                    const leaf *l = &leaves[draw(&state, leaf_count)];
                    iol_case scratch = c;
                    set_value(l, &c, draw(&state, set_value(l, &scratch, 0)));
                }
                set_present(iol_object_case, &c);
                sum_plan(&c, &one);
                add_sums(&one, &total);
            }
            snprintf(name, sizeof name, "%s, mixture %d", i < EXAMPLES ? example_names[i] : "sound", m + 1);
            end_row(old, out, name, NULL, &total);
            if (differing > MOST_TOLD) return;
        }
    }
}

/* ---- every number of the tables stands a second time: a slip of a digit has to be made twice ---- */
#define NUMBERS "tests/rows/numbers.tsv"
static FILE *numbers;
static bool writing;

static void number(const char *table, const char *id, const char *value) {
    char row[LINE], held[LINE] = "";
    snprintf(row, sizeof row, "%s\t%s\t%s", table, id, value);
    if (writing) {
        fprintf(numbers, "%s\n", row);
        return;
    }
    if (fgets(held, sizeof held, numbers)) held[strcspn(held, "\n")] = '\0';
    if (strcmp(row, held) != 0 && differing++ < MOST_TOLD) print_error("held %s\nnow  %s\n", held, row);
}

static void limits(const iol_object *object, const char *above) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *f = &object->field[i];
        char path[LINE / 4], value[LINE / 4];
        snprintf(path, sizeof path, "%.200s/%.60s", above, f->key);
        snprintf(value, sizeof value, "%.10g %.10g %.10g %.10g, most %d", f->hard_low, f->hard_high, f->usual_low,
                 f->usual_high, f->kind == IOL_KIND_LIST || f->kind == IOL_KIND_TEXT || f->count_offset ? f->most : 0);
        if (f->kind == IOL_KIND_NUM || f->kind == IOL_KIND_NUMS || f->most > 0) number("limits", path, value);
        if (f->kind == IOL_KIND_PART || f->kind == IOL_KIND_LIST) limits(f->inside, path);
    }
}

static void all_numbers(void) {
    char value[LINE / 4];
#define CONSTANT(id, value, unit, reference, status, text) number("constants", #id, #value);
#include "constants.def"
#undef CONSTANT
#define GROSS(suspect, key, rate, quantities, look, reference, status, text) number("rates", key, #rate);
#include "gross_rates.def"
#undef GROSS
#define FACTOR(key, value, reference, status, text) number("factors", #key, #value);
#include "evidence_factors.def"
#undef FACTOR
#define SPREAD(id, value, unit, reference, status, text) number("spreads", #id, #value);
#include "spreads.def"
#undef SPREAD
#define REMOVAL_WIDTH(method, low, low_ref, low_status, high, high_ref, high_status, text)                             \
    number("removal_widths", #method, #low " " #high);
#include "removal_widths.def"
#undef REMOVAL_WIDTH
#define EVIDENCE(key, value, low, high, unit, reference, status, text)                                                 \
    number("evidence", #key, #value " " #low " " #high);
#include "evidence.def"
#undef EVIDENCE
    for (int i = 0; i < IOL_RISK_COUNT; i++) {
        snprintf(value, sizeof value, "%.10g", iol_risk_points(&iol_risk_rows[i]));
        number("risk_factors", iol_risk_rows[i].id, value);
    }
#define UNIT(id, printed, json, text) number("units", #id, #json " " #text);
#include "units.def"
#undef UNIT
    static iol_site shelf;
    iol_site_generic(&shelf);
    for (int i = 0; i < shelf.lenses_count; i++) {
        const iol_shelf_lens *l = &shelf.lenses[i];
        int used = snprintf(value, sizeof value, "%.10g %.10g %.10g %.10g %.10g to %.10g by %.10g, cylinder",
                            l->length_mm, l->constants.a_constant, l->refractive_index, l->optic_diameter_mm,
                            l->power_first_d, l->power_last_d, l->power_step_d);
        for (int k = 0; k < l->cylinder_steps_d_count; k++)
            used += snprintf(value + used, sizeof value - (size_t)used, " %.10g", l->cylinder_steps_d[k]);
        number("generic_shelf", l->id, value);
    }
    limits(iol_object_case, "");
    limits(iol_object_site, "");
}

static void test_numbers(void **state) {
    (void)state;
    char rest[LINE];
    writing = getenv("UPDATE") != NULL;
    differing = 0;
    numbers = fopen(NUMBERS, writing ? "w" : "r");
    assert_non_null(numbers);
    all_numbers();
    bool longer = !writing && fgets(rest, sizeof rest, numbers);
    fclose(numbers);
    assert_false(longer);
    assert_int_equal(differing, 0);
}

static void test_drift(void **state) {
    (void)state;
    bool update = getenv("UPDATE") != NULL;
    differing = 0;
    char rest[LINE];
    FILE *old = fopen(ROWS, update ? "w" : "r");
    assert_non_null(old);
    sweep(old, update ? old : NULL);
    mix(old, update ? old : NULL);
    bool longer = !update && fgets(rest, sizeof rest, old);
    fclose(old);
    assert_false(longer);
    assert_int_equal(differing, 0);
}

int main(void) {
    const struct CMUnitTest tests[] = {cmocka_unit_test(test_numbers), cmocka_unit_test(test_drift)};
    return cmocka_run_group_tests(tests, NULL, NULL);
}
