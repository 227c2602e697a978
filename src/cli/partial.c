/* Counts of one part of the cases as JSON Lines, and their reading and adding up. */
#include "partial.h"

#include <cJSON.h>
#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "arena.h"
#include "write/json.h"

/* ---- writing ---- */

static void names_of(iol_json *j, int series) {
    int method, formula;
    iol_series_names(series, &method, &formula);
    iol_json_text(j, "method", IOL_WORD(recheck_method, method));
    iol_json_text(j, "formula", IOL_WORD(formula, formula));
}

static bool write_bins(iol_json *j, const char *key, const iol_bins *bins) {
    bool any = false;
    iol_json_open(j, key, '[');
    for (int v = iol_bins_next(bins, -IOL_ERROR_MOST); v <= IOL_ERROR_MOST; v = iol_bins_next(bins, v + 1)) {
        any = true;
        iol_json_open(j, NULL, '[');
        iol_json_integer(j, NULL, v);
        iol_json_integer(j, NULL, iol_bins_at(bins, v));
        iol_json_close(j, ']');
    }
    iol_json_close(j, ']');
    return any;
}

static bool empty(const iol_bins *bins) {
    for (size_t i = 0; i < sizeof bins->page / sizeof *bins->page; i++)
        if (bins->page[i]) return false;
    return true;
}

static void write_tally(iol_json *j, const iol_tally *t, int series, int sort) {
    int by;
    const char *is;
    iol_sort_names(sort, &by, &is);
    iol_json_text(j, "line", "tally");
    iol_json_text(j, "by", IOL_WORD(group_by, by));
    iol_json_text(j, "is", is);
    names_of(j, series);
    iol_json_open(j, "held", '[');
    for (int i = 0; i < IOL_interval_held_end; i++) iol_json_integer(j, NULL, t->held[i]);
    iol_json_close(j, ']');
    iol_json_integer(j, "slopes", t->slopes);
    iol_json_integer(j, "slope_sum", t->slope_sum);
    write_bins(j, "errors", &t->errors);
}

static void write_pair(iol_json *j, const iol_pair_tally *p, int series) {
    iol_json_text(j, "line", "pair");
    names_of(j, series);
    write_bins(j, "ranks", &p->ranks);
    iol_json_open(j, "totals", '[');
    const iol_moments *all = &p->by_total;
    for (int v = iol_moments_next(all, -2 * IOL_ERROR_MOST); v <= 2 * IOL_ERROR_MOST;
         v = iol_moments_next(all, v + 1)) {
        const iol_moment *m = iol_moments_at(all, v);
        iol_json_open(j, NULL, '[');
        iol_json_integer(j, NULL, v);
        iol_json_integer(j, NULL, m->n);
        iol_json_integer(j, NULL, m->sum);
        iol_json_integer(j, NULL, m->square);
        iol_json_close(j, ']');
    }
    iol_json_close(j, ']');
}

static void write_steps(iol_json *j, const iol_step_tally step[IOL_STEPS]) {
    iol_json_text(j, "line", "steps");
    iol_json_open(j, "steps", '[');
    for (int i = 0; i < IOL_STEPS; i++) {
        if (step[i].n == 0) continue;
        iol_json_open(j, NULL, '[');
        iol_json_integer(j, NULL, i - IOL_STEP_MOST);
        iol_json_integer(j, NULL, step[i].n);
        iol_json_integer(j, NULL, step[i].predicted);
        iol_json_integer(j, NULL, step[i].achieved);
        iol_json_integer(j, NULL, step[i].error);
        iol_json_integer(j, NULL, step[i].square);
        iol_json_close(j, ']');
    }
    iol_json_close(j, ']');
}

static void write_head(iol_json *j, const iol_statistics *s, const iol_records *records, const char *settings) {
    iol_json_integer(j, "partial_format", 1);
    iol_json_text(j, "program_version", IOLREVISE_VERSION);
    iol_json_text(j, "settings", settings);
    iol_json_integer(j, "cases", s->cases);
    iol_json_integer(j, "refused", s->refused);
    iol_json_integer(j, "no_outcome", s->no_outcome);
    iol_json_open(j, "inputs", '[');
    for (int i = 0; i < records->count; i++) {
        char digest[17];
        snprintf(digest, sizeof digest, "%016llx", (unsigned long long)records->input[i].digest);
        iol_json_open(j, NULL, '{');
        iol_json_text(j, "name", records->input[i].name);
        iol_json_integer(j, "bytes", (int64_t)records->input[i].bytes);
        iol_json_text(j, "digest", digest);
        iol_json_close(j, '}');
    }
    iol_json_close(j, ']');
}

int iol_partial_write(const char *file, const iol_statistics *s, const iol_records *records, const char *settings) {
    iol_output output;
    iol_json j;
    int status = iol_output_open(&output, file);
    if (status != IOL_EXIT_DONE) return status;
#define LINE(writes)                                                                                                   \
    do {                                                                                                               \
        iol_json_start(&j, iol_output_sink, &output, false);                                                           \
        iol_json_open(&j, NULL, '{');                                                                                  \
        writes;                                                                                                        \
        iol_json_close(&j, '}');                                                                                       \
        iol_json_finish(&j);                                                                                           \
    } while (0)
    LINE(write_head(&j, s, records, settings));
    for (int series = 0; series < IOL_SERIES; series++)
        for (int sort = 0; sort < IOL_SORTS; sort++)
            if (!empty(&s->tally[series][sort].errors)) LINE(write_tally(&j, &s->tally[series][sort], series, sort));
    for (int series = 1; series < IOL_SERIES; series++)
        if (!empty(&s->pair[series].ranks)) LINE(write_pair(&j, &s->pair[series], series));
    LINE(write_steps(&j, s->step));
    LINE(iol_json_bool(&j, "end", true));
#undef LINE
    return iol_output_close(&output);
}

/* ---- reading ---- */

typedef struct {
    const char *file;
    iol_statistics *s;
    char *settings; /* of the first part */
    struct {
        char digest[17];
        double bytes;
    } * input;
    int inputs;
    bool head, end, memory;
} merge;

static bool refuse(const merge *m, const char *why) {
    char name[IOL_FAULT_QUOTED];
    if (!m->memory) return false; /* told when the part is left */
    fprintf(stderr, "iolrevise: %s: %s\n", iol_cli_printable(m->file, name, sizeof name), why);
    return false;
}

/* A whole number within limits. */
static bool whole(const cJSON *item, double low, double high, int64_t *value) {
    if (!cJSON_IsNumber(item) || !(item->valuedouble >= low && item->valuedouble <= high)) return false;
    *value = (int64_t)item->valuedouble;
    return (double)*value == item->valuedouble;
}

static const double most = 9007199254740992.0; /* 2^53 */

static bool add_count(const cJSON *root, const char *key, int64_t *to) {
    int64_t value;
    if (!whole(cJSON_GetObjectItemCaseSensitive(root, key), 0.0, most, &value)) return false;
    *to += value;
    return true;
}

static bool new_input(merge *m, const cJSON *input) {
    const cJSON *digest = cJSON_GetObjectItemCaseSensitive(input, "digest");
    int64_t bytes;
    if (!cJSON_IsString(digest) || strlen(digest->valuestring) != 16 ||
        !whole(cJSON_GetObjectItemCaseSensitive(input, "bytes"), 0.0, most, &bytes))
        return refuse(m, "not a part that --partial wrote");
    for (int i = 0; i < m->inputs; i++)
        if (bytes > 0 && m->input[i].bytes == (double)bytes && strcmp(m->input[i].digest, digest->valuestring) == 0)
            return refuse(m, "holds an input that another part holds too");
    void *grown = realloc(m->input, (size_t)(m->inputs + 1) * sizeof *m->input);
    m->memory = grown != NULL;
    if (!grown) return false;
    m->input = grown;
    m->input[m->inputs].bytes = (double)bytes;
    memcpy(m->input[m->inputs++].digest, digest->valuestring, 17);
    return true;
}

static bool read_head(merge *m, const cJSON *root) {
    int64_t format = 0;
    const cJSON *settings = cJSON_GetObjectItemCaseSensitive(root, "settings"),
                *inputs = cJSON_GetObjectItemCaseSensitive(root, "inputs"), *input;
    if (!whole(cJSON_GetObjectItemCaseSensitive(root, "partial_format"), 1.0, 1e6, &format) ||
        !cJSON_IsString(settings) || !cJSON_IsArray(inputs))
        return refuse(m, "not a part that --partial wrote");
    if (format != 1) return refuse(m, "a partial_format that this program does not read");
    if (!m->settings) m->settings = strdup(settings->valuestring);
    if (!m->settings) return m->memory = false;
    if (strcmp(m->settings, settings->valuestring) != 0)
        return refuse(m, "made with other settings (program, site or --as-of) than the first part");
    m->head = true;
    cJSON_ArrayForEach(input, inputs) if (!new_input(m, input)) return false;
    return (add_count(root, "cases", &m->s->cases) && add_count(root, "refused", &m->s->refused) &&
            add_count(root, "no_outcome", &m->s->no_outcome)) ||
           refuse(m, "not a part that --partial wrote");
}

static bool same(const cJSON *item, const char *text) {
    return text ? cJSON_IsString(item) && strcmp(item->valuestring, text) == 0 : cJSON_IsNull(item);
}

static int series_of(const cJSON *root) {
    for (int series = 0; series < IOL_SERIES; series++) {
        int method, formula;
        iol_series_names(series, &method, &formula);
        if (same(cJSON_GetObjectItemCaseSensitive(root, "method"), IOL_WORD(recheck_method, method)) &&
            same(cJSON_GetObjectItemCaseSensitive(root, "formula"), IOL_WORD(formula, formula)))
            return series;
    }
    return -1;
}

static int sort_of(const cJSON *root) {
    for (int sort = 0; sort < IOL_SORTS; sort++) {
        int by;
        const char *is;
        iol_sort_names(sort, &by, &is);
        if (same(cJSON_GetObjectItemCaseSensitive(root, "by"), IOL_WORD(group_by, by)) &&
            same(cJSON_GetObjectItemCaseSensitive(root, "is"), is))
            return sort;
    }
    return -1;
}

static bool read_bins(merge *m, const cJSON *list, iol_bins *bins) {
    const cJSON *entry;
    if (!cJSON_IsArray(list)) return false;
    cJSON_ArrayForEach(entry, list) {
        int64_t value, n;
        if (!cJSON_IsArray(entry) || !entry->child || !entry->child->next) return false;
        if (!whole(entry->child, -IOL_ERROR_MOST, IOL_ERROR_MOST, &value)) return false;
        if (!whole(entry->child->next, 1.0, UINT32_MAX, &n)) return false;
        if (!iol_bins_add(bins, (int)value, (uint32_t)n)) return m->memory = false;
    }
    return true;
}

/* A list of whole numbers; those named in `counts` (bit i for number i) are not negative. */
static bool read_numbers(const cJSON *list, int count, unsigned counts, int64_t value[]) {
    const cJSON *item = cJSON_IsArray(list) ? list->child : NULL;
    for (int i = 0; i < count; i++, item = item->next)
        if (!item || !whole(item, counts >> i & 1u ? 0.0 : -most, most, &value[i])) return false;
    return true;
}

static bool read_totals(merge *m, const cJSON *list, iol_moments *moments) {
    const cJSON *entry;
    if (!cJSON_IsArray(list)) return false;
    cJSON_ArrayForEach(entry, list) {
        int64_t value[4];
        if (!read_numbers(entry, 4, 1u << 1 | 1u << 3, value)) return false;
        if (value[0] < -2 * IOL_ERROR_MOST || value[0] > 2 * IOL_ERROR_MOST) return false;
        if (!iol_moments_add(moments, (int)value[0], (iol_moment){value[1], value[2], value[3]}))
            return m->memory = false;
    }
    return true;
}

static bool read_tally(merge *m, const cJSON *root) {
    int series = series_of(root), sort = sort_of(root), i = 0;
    const cJSON *held = cJSON_GetObjectItemCaseSensitive(root, "held"), *one;
    int64_t value;
    if (series < 0 || sort < 0 || cJSON_GetArraySize(held) != IOL_interval_held_end) return false;
    iol_tally *t = &m->s->tally[series][sort];
    cJSON_ArrayForEach(one, held) {
        if (!whole(one, 0.0, most, &value)) return false;
        t->held[i++] += value;
    }
    if (!whole(cJSON_GetObjectItemCaseSensitive(root, "slope_sum"), -most, most, &value)) return false;
    t->slope_sum += value;
    return add_count(root, "slopes", &t->slopes) &&
           read_bins(m, cJSON_GetObjectItemCaseSensitive(root, "errors"), &t->errors);
}

static bool read_pair(merge *m, const cJSON *root) {
    int series = series_of(root);
    return series > 0 && read_bins(m, cJSON_GetObjectItemCaseSensitive(root, "ranks"), &m->s->pair[series].ranks) &&
           read_totals(m, cJSON_GetObjectItemCaseSensitive(root, "totals"), &m->s->pair[series].by_total);
}

static bool read_steps(merge *m, const cJSON *root) {
    const cJSON *list = cJSON_GetObjectItemCaseSensitive(root, "steps"), *entry;
    if (!cJSON_IsArray(list)) return false;
    cJSON_ArrayForEach(entry, list) {
        int64_t value[6];
        if (!read_numbers(entry, 6, 1u << 1 | 1u << 5, value)) return false;
        if (value[0] < -IOL_STEP_MOST || value[0] > IOL_STEP_MOST) return false;
        iol_step_tally *step = &m->s->step[IOL_STEP_MOST + value[0]];
        step->n += value[1], step->predicted += value[2], step->achieved += value[3];
        step->error += value[4], step->square += value[5];
    }
    return true;
}

static bool read_line(merge *m, const char *text, size_t length) {
    cJSON *root = cJSON_ParseWithLength(text, length);
    if (iol_arena_lacked()) return m->memory = false;
    const cJSON *line = cJSON_GetObjectItemCaseSensitive(root, "line");
    bool good;
    if (m->end)
        good = refuse(m, "text after its last line");
    else if (!m->head)
        good = read_head(m, root);
    else if (cJSON_IsTrue(cJSON_GetObjectItemCaseSensitive(root, "end")))
        good = m->end = true;
    else
        good = (same(line, "tally") && read_tally(m, root)) || (same(line, "pair") && read_pair(m, root)) ||
               (same(line, "steps") && read_steps(m, root)) || refuse(m, "a line that --partial did not write");
    cJSON_Delete(root);
    return good;
}

static int read_part(merge *m, const char *file) {
    char *text = NULL;
    size_t room = 0;
    ssize_t length;
    bool good = true;
    FILE *in = strcmp(file, "-") == 0 ? stdin : fopen(file, "rb");
    if (!in) return iol_cli_cannot("open", file, IOL_EXIT_INPUT);
    m->file = file;
    m->head = m->end = false;
    errno = 0;
    while (good && (length = getline(&text, &room, in)) > 0) good = read_line(m, text, (size_t)length);
    bool failed = good && (ferror(in) || errno == ENOMEM);
    int status = failed ? iol_cli_cannot("read", file, IOL_EXIT_INPUT) : IOL_EXIT_DONE;
    if (good && status == IOL_EXIT_DONE && !m->end)
        good = refuse(m, "its last line is missing: the run that wrote it did not end");
    if (in != stdin) fclose(in);
    free(text);
    return !m->memory ? iol_cli_no_memory() : good ? status : IOL_EXIT_REFUSED;
}

int iol_partial_merge(char *const files[], int count, iol_statistics *s) {
    merge m = {.s = s, .memory = true};
    int status = count > 0 ? IOL_EXIT_DONE : iol_cli_usage("the files that --partial wrote", "--merge alone");
    iol_arena_hook();
    for (int i = 0; i < count && status == IOL_EXIT_DONE; i++) status = read_part(&m, files[i]);
    free(m.settings);
    free(m.input);
    return status;
}
