/* Parts read and added up. Nothing in them is trusted: lines pass the strict scanner, sums are checked, and what the lines say
 * must agree with the head and with the end. */
#include <errno.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>

#include "case/scan.h"
#include "case/view.h"
#include "partial.h"
#include "seen.h"

/* What one part says of itself, to be compared at its end. */
typedef struct {
    int64_t cases, counted, stood, others, inputs; /* counted: and why not; others: refused, without outcome */
    int64_t held[IOL_SERIES][IOL_SORTS], errors[IOL_SERIES][IOL_SORTS];
    int64_t ranks[IOL_SERIES], totals[IOL_SERIES], steps, told, eye_parts;
} sums;

typedef struct {
    const char *file;
    iol_statistics *s;
    char settings[17]; /* of the first part */
    iol_seen names, contents, records;
    sums part;
    uint64_t digest;
    int64_t read; /* lines */
    bool head, end, memory, told;
    iol_faults faults;
    iol_lines lines;
} merge;

static bool refuse(merge *m, const char *why) {
    char name[IOL_FAULT_QUOTED];
    if (!m->memory || m->told) return false;
    fprintf(stderr, "iolrevise: %s: %s\n", iol_cli_printable(m->file, name, sizeof name), why);
    m->told = true;
    return false;
}

static bool no_memory(merge *m) { return m->memory = false; }

static const int64_t most = INT64_C(1) << 53;

static bool count_of(iol_view object, const char *key, int64_t low, int64_t high, int64_t *value) {
    return iol_view_count(iol_view_member(object, key), 0, low, high, value);
}

static bool add_count(iol_view object, const char *key, int64_t *to) {
    int64_t value;
    return count_of(object, key, 0, most, &value) && iol_sum(to, value);
}

/* A list of just so many whole numbers; those not named in `counts` (bit i for number i) may be negative. */
static bool read_numbers(iol_view list, int count, unsigned counts, int64_t value[]) {
    iol_view item = {NULL, NULL};
    for (int i = 0; i < count; i++)
        if (!iol_view_each(list, &item) || !iol_view_count(item, 0, counts >> i & 1u ? 0 : -most, most, &value[i]))
            return false;
    return !iol_view_each(list, &item);
}

static bool read_hex(iol_view v, uint64_t *digest) {
    char text[17];
    *digest = 0;
    if (!iol_view_text(v, text, sizeof text) || strspn(text, "0123456789abcdef") != 16) return false;
    for (int i = 0; i < 16; i++)
        *digest = *digest << 4 | (unsigned)(text[i] <= '9' ? text[i] - '0' : text[i] - 'a' + 10);
    return true;
}

/* ---- head and inputs ---- */

static bool read_head(merge *m, iol_view root) {
    static const char none[] = "not a part that --partial wrote";
    int64_t format, refused = 0, no_outcome = 0;
    char settings[17];
    memset(&m->part, 0, sizeof m->part);
    if (!count_of(root, "partial_format", 1, most, &format)) return refuse(m, none);
    if (format != IOL_PARTIAL_FORMAT) return refuse(m, "a partial_format that this program does not read");
    if (!iol_view_text(iol_view_member(root, "settings"), settings, sizeof settings)) return refuse(m, none);
    if (!m->settings[0]) memcpy(m->settings, settings, sizeof settings);
    if (strcmp(m->settings, settings) != 0)
        return refuse(m, "made with other settings (program, site or --as-of) than the first part");
    m->head = true;
    if (!count_of(root, "inputs", 1, INT32_MAX, &m->part.inputs) || !add_count(root, "cases", &m->part.cases) ||
        !add_count(root, "refused", &refused) || !add_count(root, "no_outcome", &no_outcome))
        return refuse(m, none);
    m->part.others = refused + no_outcome;
    return (iol_sum(&m->s->cases, m->part.cases) && iol_sum(&m->s->refused, refused) &&
            iol_sum(&m->s->no_outcome, no_outcome)) ||
           refuse(m, none);
}

static bool is_new(merge *m, iol_seen *seen, uint64_t digest, const char *why) {
    int found = iol_seen_add(seen, digest);
    if (found == IOL_SEEN_NO_MEMORY) return no_memory(m);
    return found == IOL_SEEN_NEW || refuse(m, why);
}

/* Where the input can be read here, it must be what the part was made from. */
static bool is_fresh(const char *name, int64_t bytes, uint64_t digest) {
    char block[16384];
    struct stat s;
    uint64_t now = IOL_DIGEST_START;
    size_t got;
    if (stat(name, &s) != 0 || !S_ISREG(s.st_mode)) return true;
    if (s.st_size != bytes) return false;
    FILE *in = fopen(name, "rb");
    if (!in) return true;
    while ((got = fread(block, 1, sizeof block, in)) > 0) now = iol_digest(now, block, got);
    bool failed = ferror(in) != 0;
    fclose(in);
    return failed || now == digest;
}

static bool read_input(merge *m, iol_view root) {
    char name[4200];
    int64_t bytes;
    uint64_t digest;
    if (!count_of(root, "bytes", 0, most, &bytes) || !read_hex(iol_view_member(root, "digest"), &digest) ||
        !iol_view_text(iol_view_member(root, "name"), name, sizeof name))
        return false;
    m->part.inputs--;
    if (bytes > 0 && !is_new(m, &m->contents, digest ^ (uint64_t)bytes, "holds an input that another part holds too"))
        return false;
    if (strcmp(name, "-") == 0) return true;
    if (!is_new(m, &m->names, iol_digest(IOL_DIGEST_START, name, strlen(name)),
                "holds an input of a name that another part holds too: one of them is old, or cases are counted twice"))
        return false;
    return is_fresh(name, bytes, digest) || refuse(m, "old: its input has changed since it was written");
}

static bool read_records(merge *m, iol_view root) {
    iol_view item = {NULL, NULL}, list = iol_view_member(root, "least");
    uint64_t digest;
    if (!iol_view_is_list(list)) return false;
    while (iol_view_each(list, &item)) {
        if (!read_hex(item, &digest)) return false;
        if (!is_new(m, &m->records, digest, "holds cases that another part holds too")) return false;
    }
    return true;
}

/* ---- counts ---- */

static int series_of(iol_view root) {
    for (int series = 0; series < IOL_SERIES; series++) {
        int method, formula;
        iol_series_names(series, &method, &formula);
        if (iol_view_is(iol_view_member(root, "method"), IOL_WORD(recheck_method, method)) &&
            iol_view_is(iol_view_member(root, "formula"), IOL_WORD(formula, formula)))
            return series;
    }
    return -1;
}

static int sort_of(iol_view root) {
    for (int sort = 0; sort < IOL_SORTS; sort++) {
        int by;
        const char *is;
        iol_sort_names(sort, &by, &is);
        if (iol_view_is(iol_view_member(root, "by"), IOL_WORD(group_by, by)) &&
            iol_view_is(iol_view_member(root, "is"), is))
            return sort;
    }
    return -1;
}

static bool read_bins(merge *m, iol_view list, iol_bins *bins, int64_t *n) {
    iol_view entry = {NULL, NULL};
    if (!iol_view_is_list(list)) return false;
    while (iol_view_each(list, &entry)) {
        int64_t v[2];
        if (!read_numbers(entry, 2, 2u, v) || llabs(v[0]) > IOL_ERROR_MOST || v[1] < 1 || v[1] > UINT32_MAX)
            return false;
        if (!iol_bins_add(bins, (int)v[0], (uint32_t)v[1])) return bins->over ? false : no_memory(m);
        if (!iol_sum(n, v[1])) return false;
    }
    return true;
}

static bool read_tally(merge *m, iol_view root) {
    int series = series_of(root), sort = sort_of(root);
    int64_t held[IOL_interval_held_end], slope_sum;
    if (series < 0 || sort < 0) return false;
    iol_tally *t = &m->s->tally[series][sort];
    if (!read_numbers(iol_view_member(root, "held"), IOL_interval_held_end, ~0u, held)) return false;
    for (int i = 0; i < IOL_interval_held_end; i++)
        if (!iol_sum(&t->held[i], held[i]) || !iol_sum(&m->part.held[series][sort], held[i])) return false;
    return count_of(root, "slope_sum", -most, most, &slope_sum) && iol_sum(&t->slope_sum, slope_sum) &&
           add_count(root, "slopes", &t->slopes) &&
           read_bins(m, iol_view_member(root, "errors"), &t->errors, &m->part.errors[series][sort]);
}

static bool read_ranks(merge *m, iol_view root) {
    int series = series_of(root);
    return series > 0 &&
           read_bins(m, iol_view_member(root, "ranks"), &m->s->pair[series].ranks, &m->part.ranks[series]);
}

static bool read_totals(merge *m, iol_view root) {
    iol_view entry = {NULL, NULL}, list = iol_view_member(root, "totals");
    int series = series_of(root);
    if (series < 1 || !iol_view_is_list(list)) return false;
    iol_moments *moments = &m->s->pair[series].by_total;
    while (iol_view_each(list, &entry)) {
        int64_t v[4], far = 2 * IOL_ERROR_MOST;
        if (!read_numbers(entry, 4, 1u << 1 | 1u << 3, v) || llabs(v[0]) > far) return false;
        if (v[1] > IOL_CASES_MOST || llabs(v[2]) > far * v[1] || v[3] > far * far * v[1]) return false;
        if (!iol_moments_add(moments, (int)v[0], (iol_moment){v[1], v[2], v[3]}))
            return moments->over ? false : no_memory(m);
        m->part.totals[series] += v[1];
    }
    return true;
}

/* Those of the cases come once, and agree with the head. */
static bool read_counts(merge *m, iol_view root) {
    int64_t why[IOL_not_counted_end], constants[IOL_constants_of_end], support[2 * IOL_tier_end], sum = 0;
    int64_t standing[IOL_standing_end];
    if (!read_numbers(iol_view_member(root, "not_counted"), IOL_not_counted_end, ~0u, why) ||
        !read_numbers(iol_view_member(root, "constants"), IOL_constants_of_end, ~0u, constants) ||
        !read_numbers(iol_view_member(root, "support"), 2 * IOL_tier_end, ~0u, support) ||
        !read_numbers(iol_view_member(root, "standing"), IOL_standing_end, ~0u, standing) ||
        !add_count(root, "alarms_open", &m->s->alarms_open))
        return false;
    for (int i = 0; i < IOL_standing_end; i++)
        if (!iol_sum(&m->part.stood, standing[i]) || !iol_sum(&m->s->standing[i], standing[i])) return false;
    for (int i = 0; i < IOL_not_counted_end; i++)
        if (!iol_sum(&sum, why[i]) || !iol_sum(&m->s->not_counted[i], why[i])) return false;
    for (int i = 0; i < IOL_constants_of_end; i++)
        if (!iol_sum(&m->s->constants[i], constants[i])) return false;
    for (int i = 0; i < 2 * IOL_tier_end; i++)
        if (!iol_sum(&m->s->support[i / 2][i % 2], support[i])) return false;
    m->part.counted = sum;
    return why[IOL_not_counted_refused] + why[IOL_not_counted_no_outcome] == m->part.others;
}

static bool read_steps(merge *m, iol_view root) {
    iol_view entry = {NULL, NULL}, list = iol_view_member(root, "steps");
    if (!iol_view_is_list(list)) return false;
    while (iol_view_each(list, &entry)) {
        int64_t v[6];
        if (!read_numbers(entry, 6, 1u << 1 | 1u << 5, v) || llabs(v[0]) > IOL_STEP_MOST) return false;
        iol_step_tally more = {v[1], v[2], v[3], v[4], v[5]};
        if (!iol_steps_add(&m->s->step[IOL_STEP_MOST + v[0]], &more) || !iol_sum(&m->part.steps, v[1])) return false;
    }
    return true;
}

static bool read_tallies(iol_view root, iol_told_tally tally[], int count, int64_t *n) {
    iol_view entry = {NULL, NULL}, list = iol_view_member(root, "tallies");
    if (!iol_view_is_list(list)) return false;
    while (iol_view_each(list, &entry)) {
        int64_t v[4];
        if (!read_numbers(entry, 4, ~0u, v) || v[0] >= count || v[2] > v[1]) return false;
        iol_told_tally more = {v[1], v[2], v[3]};
        if (v[1] > IOL_CASES_MOST || v[3] > IOL_TOLD_MOST * v[1]) return false;
        if (!iol_told_add(&tally[v[0]], &more) || !iol_sum(n, v[1])) return false;
    }
    return true;
}
static bool read_told(merge *m, iol_view root) {
    return read_tallies(root, m->s->told, IOL_TOLD_MOST + 1, &m->part.told);
}
static bool read_eye_part(merge *m, iol_view root) {
    return read_tallies(root, m->s->eye_part, IOL_EYE_PARTS, &m->part.eye_parts);
}

/* ---- the end ---- */

/* The parts of the part agree: every error has its interval or none, no group is larger than all, no more errors than cases. */
static bool agrees(const sums *p) {
    bool good = p->inputs == 0 && p->counted == p->cases && p->stood == p->cases && p->others <= p->cases &&
                p->errors[0][0] <= p->cases - p->others;
    good = good && p->steps == p->errors[0][0] && p->told <= p->steps && p->eye_parts <= p->told;
    for (int i = 0; i < IOL_SERIES; i++) {
        good = good && p->ranks[i] == p->totals[i] && p->ranks[i] <= p->errors[0][0];
        for (int k = 0; k < IOL_SORTS; k++)
            good = good && p->held[i][k] == p->errors[i][k] && p->errors[i][k] <= p->errors[i][0];
    }
    return good;
}

static bool read_end(merge *m, iol_view root) {
    int64_t lines;
    uint64_t digest;
    m->end = true;
    if (!count_of(root, "lines", 0, most, &lines) || !read_hex(iol_view_member(root, "digest"), &digest))
        return refuse(m, "not a part that --partial wrote");
    if (lines != m->read || digest != m->digest) return refuse(m, "damaged: its lines are not those that were written");
    return agrees(&m->part) || refuse(m, "its counts do not agree with its head");
}

static bool read_line(merge *m, const iol_record *record) {
    static const struct {
        const char *name;
        bool (*read)(merge *, iol_view);
    } kind[] = {{"input", read_input}, {"records", read_records}, {"counts", read_counts},
                {"tally", read_tally}, {"ranks", read_ranks},     {"totals", read_totals},
                {"steps", read_steps}, {"told", read_told},       {"eye-part", read_eye_part}};
    bool scanned = record->text && iol_scan_json(record->text, record->length, IOL_LINE_MOST, &m->faults);
    if (m->end) return refuse(m, "text after its last line");
    if (!scanned) return refuse(m, m->head ? "a line that --partial did not write" : "not a part that --partial wrote");
    iol_view root = iol_view_of(record->text, record->length), line = iol_view_member(root, "line");
    if (m->head && iol_view_is_true(iol_view_member(root, "end"))) return read_end(m, root);
    m->digest = iol_digest(iol_digest(m->digest, record->text, record->length), "\n", 1);
    m->read++;
    if (!m->head) return read_head(m, root);
    for (size_t i = 0; i < sizeof kind / sizeof *kind; i++)
        if (iol_view_is(line, kind[i].name) && kind[i].read(m, root)) return true;
    return refuse(m, "a line that --partial did not write");
}

static size_t source(void *context, char *bytes, size_t size) { return fread(bytes, 1, size, context); }

static int read_part(merge *m, const char *file) {
    iol_record record;
    bool good = true;
    FILE *in = strcmp(file, "-") == 0 ? stdin : fopen(file, "rb");
    if (!in) return iol_cli_cannot("open", file, IOL_EXIT_INPUT);
    m->file = file;
    m->head = m->end = m->told = false;
    m->digest = IOL_DIGEST_START;
    m->read = 0;
    iol_lines_start(&m->lines, source, in);
    while (good && iol_lines_next(&m->lines, &record)) good = read_line(m, &record);
    int status = good && ferror(in) ? iol_cli_cannot("read", file, IOL_EXIT_INPUT) : IOL_EXIT_DONE;
    if (good && status == IOL_EXIT_DONE && !m->end)
        good = refuse(m, "its last line is missing: the run that wrote it did not end");
    if (in != stdin) fclose(in);
    return !m->memory ? iol_cli_no_memory() : good ? status : IOL_EXIT_REFUSED;
}

int iol_partial_merge(char *const files[], int count, int wanted, iol_statistics *s) {
    if (count == 0) return iol_cli_usage("the files that --partial wrote", "--merge alone");
    if (wanted > 0 && count != wanted) {
        fprintf(stderr, "iolrevise: --merge: found %d parts, wanted %d: one is missing, or one is too many\n", count,
                wanted);
        return IOL_EXIT_REFUSED;
    }
    merge *m = calloc(1, sizeof *m);
    int status = m ? IOL_EXIT_DONE : iol_cli_no_memory();
    for (int i = 0; i < count && status == IOL_EXIT_DONE; i++) {
        m->s = s;
        m->memory = true;
        status = read_part(m, files[i]);
    }
    if (status == IOL_EXIT_DONE && !iol_statistics_hold(s)) {
        fputs("iolrevise: --merge: more cases than can be counted\n", stderr);
        status = IOL_EXIT_REFUSED;
    }
    if (m) iol_seen_end(&m->names), iol_seen_end(&m->contents), iol_seen_end(&m->records);
    free(m);
    return status;
}
