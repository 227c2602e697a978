/* Lines as the arguments of `power`. Byte 0, bit 0: only what was typed is read, no plan is made. An answer is a screen of at
 * most 24 lines of 80 columns, or a refusal that says what is wanted. */
#include "memory.h"

#include "cli/power.h"

enum { ARGUMENTS = 40 };

static int split(fuzz_text *text, char *argv[]) {
    int argc = 0;
    for (char *line = text->bytes, *next; *line && argc < ARGUMENTS; line = next) {
        next = line + strcspn(line, "\n");
        if (*next) *next++ = '\0';
        argv[argc++] = line;
    }
    return argc;
}

/* Letters of UTF-8 count once. */
static void check_screen(const char *text, bool screen) {
    int lines = 0, columns = 0;
    for (const char *c = text; *c; c++) {
        if (*c == '\n')
            lines++, columns = 0;
        else if ((*c & 0xC0) != 0x80)
            columns++;
        fuzz_must(columns <= 80, "a line of more than 80 columns");
        fuzz_must((unsigned char)*c >= ' ' || *c == '\n', "a control character");
    }
    fuzz_must(!screen || lines <= 24, "more than 24 lines");
    fuzz_must(!strstr(text, "nan") && !strstr(text, "inf ") && !strstr(text, "-0.00"), "a number that is none");
}

/* True where there is something to answer; files are nobody's business here. */
static bool parse(fuzz_text *text, iol_options *options, int *status) {
    static char *argv[ARGUMENTS];
    const int argc = split(text, argv);
    *status = IOL_EXIT_USAGE;
    if (!iol_options_parse("power", argc, argv, options)) return false;
    options->site = options->output = NULL;
    return !options->help && !options->version;
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static fuzz_text text;
    static iol_options options;
    static iol_power_typed typed;
    int status;
    if (size == 0) return 0;
    fuzz_fill(&text, data + 1, size - 1);
    fuzz_listen();
    const bool asked = parse(&text, &options, &status);
    if (asked) status = data[0] & 1 ? iol_power_read(&options, &typed) : iol_cli_power(&options);
    const size_t told = fuzz_heard();
    if (!asked) return 0;
    const bool plain = !options.format || strcmp(options.format, "text") == 0;
    fuzz_must(status == IOL_EXIT_DONE || status == IOL_EXIT_REFUSED || status == IOL_EXIT_USAGE ||
                  status == IOL_EXIT_STOP,
              "another exit status");
    const bool done = status == IOL_EXIT_DONE || status == IOL_EXIT_STOP;
    fuzz_must(done || fuzz_kept[1][0], "refused without a message");
    fuzz_must(done || told == 0, "something is answered and refused");
    fuzz_must(!done || data[0] & 1 || told > 0, "done without an answer");
    if (told > 0 && plain) check_screen(fuzz_kept[0], !options.full);
    return 0;
}
