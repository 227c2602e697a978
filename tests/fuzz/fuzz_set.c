/* Lines as --set of an example (byte 0, a fourth of it), those that begin with ? as --what-if. What is taken is a case that
 * the reader takes, and setting what the change says it was set to changes nothing more; what is refused is told. */
#include "edits.h"
#include "memory.h"

#include "case/reader.h"
#include "cli/changes.h"

static iol_case example[FUZZ_EXAMPLES], c, again;
static iol_changes changes, repeated;
static iol_faults faults;
static fuzz_text json;

static bool ready(void) {
    static bool done;
    for (int i = 0; i < FUZZ_EXAMPLES && !done; i++)
        if (!fuzz_example(i, &json) || !iol_case_read(json.bytes, json.used, &example[i], &faults)) return false;
    return done = true;
}

static bool same(const iol_case *a, const iol_case *b) {
    static fuzz_text one, two;
    one.used = two.used = 0;
    fuzz_put_object(&one, iol_object_case, a);
    fuzz_put_object(&two, iol_object_case, b);
    return one.used == two.used && memcmp(one.bytes, two.bytes, one.used) == 0;
}

/* Once more, each by what was told of it. */
static void repeat(const iol_case *from) {
    static char typed[IOL_REPEATED_MOST][512];
    iol_repeated set = {.count = 0};
    for (int i = 0; i < changes.count; i++) {
        const iol_change *change = &changes.item[i];
        if (strlen(change->to) + 1 >= sizeof change->to) return; /* a text that may be cut */
        snprintf(typed[i], sizeof typed[i], "%s=%s", change->path, change->to[0] ? change->to : "null");
        set.value[set.count++] = typed[i];
    }
    again = *from;
    fuzz_listen();
    const int status = iol_cli_set(&set, &again, &repeated);
    fuzz_heard();
    if (status != IOL_EXIT_DONE) fprintf(stderr, "%s", fuzz_kept[1]);
    fuzz_must(status == IOL_EXIT_DONE, "what was told of a change is refused");
    fuzz_must(same(&c, &again), "what was told of the changes makes another case");
}

/* The reader is slow: asked by every fourth input. */
static void check_taken(const iol_case *from, bool read) {
    repeat(from);
    if (!read) return;
    json.used = 0;
    fuzz_put_object(&json, iol_object_case, &c);
    if (!iol_case_read(json.bytes, json.used, &again, &faults)) {
        char line[IOL_FAULT_LINE];
        iol_fault_print(&faults.item[0], line, sizeof line);
        fprintf(stderr, "%s\n", line);
        fuzz_must(false, "a changed case is refused");
    }
}

static void what_if(const char *line, const iol_case *from, bool read) {
    c = *from;
    fuzz_listen();
    const int status = iol_cli_what_if(line, &c, &changes);
    fuzz_heard();
    fuzz_must((status == IOL_EXIT_DONE) == (fuzz_kept[1][0] == '\0'), "refused without a message, or taken with one");
    if (status == IOL_EXIT_DONE) check_taken(from, read);
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static fuzz_text text;
    if (size == 0 || !ready()) return 0;
    const iol_case *from = &example[data[0] / 4 % FUZZ_EXAMPLES];
    const bool read = data[0] % 4 == 0;
    iol_repeated set = {.count = 0};
    fuzz_fill(&text, data + 1, size - 1);
    for (char *line = text.bytes, *next; *line; line = next) {
        next = line + strcspn(line, "\n");
        if (*next) *next++ = '\0';
        if (line[0] == '?')
            what_if(line + 1, from, read);
        else if (set.count < IOL_REPEATED_MOST)
            set.value[set.count++] = line;
    }
    c = *from;
    fuzz_listen();
    const int status = iol_cli_set(&set, &c, &changes);
    fuzz_must(fuzz_heard() == 0, "a change is told on standard output");
    fuzz_must((status == IOL_EXIT_DONE) == (fuzz_kept[1][0] == '\0'), "refused without a message, or taken with one");
    fuzz_must(status == IOL_EXIT_DONE || status == IOL_EXIT_USAGE || status == IOL_EXIT_REFUSED, "another exit status");
    if (status == IOL_EXIT_DONE) check_taken(from, read);
    return 0;
}
