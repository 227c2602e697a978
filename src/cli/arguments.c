/* The option table: parser and help. */
#include <string.h>

#include "case/suggest.h"
#include "cli.h"
#include "tables/say.h"

enum {
#define COMMAND(id, arguments, help) INDEX_##id,
#include "commands.def"
#undef COMMAND
    COMMAND_COUNT
};
#define C(id) (1u << INDEX_##id)
#define ALL 0xFFFFu

static const struct {
    const char *name, *arguments, *help;
} commands[] = {
#define COMMAND(id, arguments, help) {#id, arguments, help},
#include "commands.def"
#undef COMMAND
};
static const struct {
    const char *name, *argument, *help;
    unsigned commands;
    size_t offset;
    bool repeated;
} options_known[] = {
#define OPTION(member, name, argument, commands, help)                                                                 \
    {name, argument, help, commands, offsetof(iol_options, member), false},
#define REPEATED(member, name, argument, commands, help)                                                               \
    {name, argument, help, commands, offsetof(iol_options, member), true},
#include "options.def"
#undef OPTION
#undef REPEATED
};
static const struct {
    const char *word, *endings;
    unsigned commands;
} formats[] = {
#define FORMAT(word, commands, endings) {#word, endings, commands},
#include "formats.def"
#undef FORMAT
};
enum { FORMATS = sizeof formats / sizeof *formats };
enum { OPTION_COUNT = sizeof options_known / sizeof *options_known };

static int command_index(const char *command) {
    for (int i = 0; i < COMMAND_COUNT; i++)
        if (strcmp(commands[i].name, command) == 0) return i;
    return -1;
}

/* The long name of a short one: the same for every command. */
static const char *long_name(const char *argument) {
    static const char *const name[][2] = {
        {"-h", "--help"}, {"-V", "--version"}, {"-o", "--output"}, {"-f", "--format"}};
    for (size_t i = 0; i < sizeof name / sizeof *name; i++)
        if (strcmp(name[i][0], argument) == 0) return name[i][1];
    return argument;
}

/* "wanted; perhaps NEAR", the nearest of the names; those start at 1. */
void iol_cli_unknown(const char *wanted, const char *found, const char *const name[], int count) {
    char text[160] = "";
    const iol_word_set set = {.word = name, .count = count};
    const char *near = iol_suggest_word(&set, found);
    iol_append(text, sizeof text, wanted);
    if (near) iol_append(text, sizeof text, "; perhaps ");
    if (near) iol_append(text, sizeof text, near);
    iol_cli_usage(text, found);
}

int iol_cli_unknown_command(const char *found) {
    const char *name[COMMAND_COUNT + 1] = {NULL};
    for (int i = 0; i < COMMAND_COUNT; i++) name[i + 1] = commands[i].name;
    iol_cli_unknown("a command (iolrevise --help lists them)", found, name, COMMAND_COUNT + 1);
    return IOL_EXIT_USAGE;
}

/* The nearest of this command's; an option of another command says whose it is. */
static bool unknown_option(int command, const char *found) {
    const char *name[OPTION_COUNT + 1] = {NULL};
    char text[160] = "an option of this command (--help lists them)", alone[64];
    int count = 1;
    size_t length = strcspn(found, "=");
    for (int k = 0; k < OPTION_COUNT; k++) {
        if (options_known[k].commands & (1u << command)) name[count++] = options_known[k].name;
        if (strlen(options_known[k].name) != length || strncmp(options_known[k].name, found, length) != 0) continue;
        for (int i = 0; i < COMMAND_COUNT; i++)
            if (options_known[k].commands & (1u << i)) {
                iol_append(text, sizeof text, "; it belongs to ");
                iol_append(text, sizeof text, commands[i].name);
                return iol_cli_usage(text, found), false;
            }
    }
    snprintf(alone, sizeof alone, "%.*s", (int)(length < 60 ? length : 60), found);
    iol_cli_unknown(text, alone, name, count);
    return false;
}

/* Whether a name ends in one of these endings. */
static bool ends_in(const char *name, const char *endings) {
    size_t length = strlen(name), size;
    for (; *endings; endings += size + (endings[size] == ' ')) {
        size = strcspn(endings, " ");
        if (length > size && strncmp(name + length - size, endings, size) == 0) return true;
    }
    return false;
}

/* The format that a name's ending asks for; NULL: none. */
static const char *format_of_name(const char *name) {
    for (int i = 0; i < FORMATS; i++)
        if (ends_in(name, formats[i].endings)) return formats[i].word;
    return NULL;
}

/* "text (default), json or html", of one command; mark: what stands behind the first. */
static void tell_formats(unsigned mask, const char *mark, char *out, size_t size) {
    const char *before = NULL;
    bool first = true;
    *out = '\0';
    for (int i = 0; i < FORMATS; i++) {
        if (!(formats[i].commands & mask)) continue;
        if (before) iol_append(out, size, first ? "" : ", ");
        if (before) iol_append(out, size, before);
        if (before && first) iol_append(out, size, mark);
        first = first && !before;
        before = formats[i].word;
    }
    if (!before) return;
    iol_append(out, size, " or ");
    iol_append(out, size, before);
}

int iol_cli_format(const char *command, const char *text, int *format) {
    const unsigned mask = 1u << command_index(command);
    char wanted[80];
    int at = 0;
    *format = 0;
    for (int i = 0; text && i < FORMATS; i++) {
        if (!(formats[i].commands & mask)) continue;
        if (strcmp(text, formats[i].word) == 0) return *format = at, IOL_EXIT_DONE;
        at++;
    }
    tell_formats(mask, "", wanted, sizeof wanted);
    return text ? iol_cli_usage(wanted, text) : IOL_EXIT_DONE;
}

/* Without --format the name of --output decides; with it the two must agree. */
static bool settle_format(unsigned mask, iol_options *options) {
    const char *meant = options->output ? format_of_name(options->output) : NULL;
    bool has_format = false;
    for (int k = 0; k < OPTION_COUNT; k++)
        has_format = has_format || (strcmp(options_known[k].name, "--format") == 0 && options_known[k].commands & mask);
    if (!meant || !has_format) return true;
    if (!options->format) options->format = meant;
    if (strcmp(options->format, meant) == 0) return true;
    char text[120] = "a name for --output that ends as --format says, ";
    iol_append(text, sizeof text, options->format);
    return iol_cli_usage(text, options->output), false;
}

/* Length of the option's name when the argument is it, alone or as --name=value; 0 otherwise. */
static size_t matches(const char *name, const char *argument) {
    size_t length = strlen(name);
    return strncmp(name, argument, length) == 0 && (argument[length] == '\0' || argument[length] == '=') ? length : 0;
}

/* Where the option's value goes; NULL when it was given too often. */
static const char **place_of(iol_options *options, int known) {
    void *at = (char *)options + options_known[known].offset;
    iol_repeated *many = at;
    if (!options_known[known].repeated) return at;
    return many->count < IOL_REPEATED_MOST ? &many->value[many->count++] : NULL;
}

/* "-0.25" is a value, not an option. */
static bool is_number(const char *argument) { return strchr("0123456789.", argument[1]) != NULL; }

bool iol_options_parse(const char *command, int argc, char **argv, iol_options *options) {
    int index = command_index(command);
    unsigned mask = 1u << index;
    bool only_files = false;
    memset(options, 0, sizeof *options);
    options->file = argv;
    for (int i = 0; i < argc; i++) {
        char *argument = argv[i];
        if (only_files || argument[0] != '-' || argument[1] == '\0' || is_number(argument)) {
            argv[options->files++] = argument;
            continue;
        }
        if (strcmp(argument, "--") == 0) {
            only_files = true;
            continue;
        }
        int found = -1;
        size_t length = 0;
        const char *name = long_name(argument);
        for (int k = 0; k < OPTION_COUNT && found < 0; k++)
            if (options_known[k].commands & mask && (length = matches(options_known[k].name, name)) > 0) found = k;
        if (found < 0) return unknown_option(index, argument);
        const char **into = place_of(options, found);
        if (!into) return iol_cli_usage("this option at most 16 times", argument), false;
        bool inline_value = name[length] == '=';
        if (*into) return iol_cli_usage("each option once", argument), false;
        if (!options_known[found].argument) {
            if (inline_value) return iol_cli_usage("this option without a value", argument), false;
            *into = "";
        } else if (inline_value)
            *into = argument + length + 1;
        else if (i + 1 < argc)
            *into = argv[++i];
        const char *wants = options_known[found].argument;
        const bool two = wants && strchr(wants, ' ');
        if (two && i + 1 < argc) options->second = argv[++i];
        if (!*into || (two && !options->second))
            return iol_cli_usage(two ? "two values after this option" : "a value after this option", argument), false;
    }
    if (options->output && strcmp(options->output, "-") == 0) options->output = NULL;
    return settle_format(mask, options);
}

bool iol_options_file(const iol_options *options, int *next, const char **flag, const char **file, bool *written) {
    while (*next < OPTION_COUNT) {
        const char *argument = options_known[*next].argument;
        *flag = options_known[*next].name;
        *file = *(const char *const *)(const void *)((const char *)options + options_known[*next].offset);
        ++*next;
        if (!*file || !argument) continue;
        *written = strcmp(argument, "FILE") == 0 || strcmp(argument, "OUT") == 0;
        if (*written || strstr(argument, ".json")) return true;
    }
    if (*next > OPTION_COUNT || !options->second) return false;
    ++*next;
    *flag = "--compare", *file = options->second, *written = false; /* the one option with two values */
    return true;
}

/* Name and argument, then the help behind column 26, wrapped at 80. */
static void help_line(FILE *to, const char *name, const char *argument, const char *help) {
    enum { INDENT = 26, COLUMNS = 80 };
    int at = fprintf(to, "  %s%s%s", name, argument && argument[0] ? " " : "", argument ? argument : "");
    if (at > INDENT - 2) fputs("\n", to), at = 0;
    at += fprintf(to, "%*s", INDENT - at, "");
    for (bool first = true; *help; first = false) {
        int word = (int)strcspn(help, " ");
        if (!first && at + 1 + word > COLUMNS)
            at = fprintf(to, "\n%*s", INDENT, "") - 1;
        else if (!first)
            at += fprintf(to, " ");
        at += fprintf(to, "%.*s", word, help);
        help += word + (help[word] == ' ');
    }
    fputs("\n", to);
}

static const struct {
    int command;
    const char *text;
} examples[] = {
#define EXAMPLE(id, text) {INDEX_##id, text},
#include "help.def"
#undef EXAMPLE
};

static void help_examples(FILE *to, int command) {
    bool first = true;
    for (size_t i = 0; i < sizeof examples / sizeof *examples; i++) {
        if (examples[i].command != command) continue;
        fprintf(to, "%s  %s\n", first ? "\nExamples:\n" : "", examples[i].text);
        first = false;
    }
}

void iol_options_help(const char *command, FILE *to) {
    if (!command) {
        fputs("iolrevise plans the revision of an implanted intraocular lens.\n"
              "Decision support for licensed surgeons; local rules come first.\n\n",
              to);
        for (int i = 0; i < COMMAND_COUNT; i++)
            help_line(to, commands[i].name, commands[i].arguments, commands[i].help);
        fputs("\niolrevise help COMMAND, or COMMAND --help, shows a command's options. Short:\n"
              "-h --help, -V --version, -o --output, -f --format.\n",
              to);
    } else {
        int index = command_index(command);
        fprintf(to, "iolrevise %s %s\n%s\n\n", command, commands[index].arguments, commands[index].help);
        char told[80];
        tell_formats(1u << index, " (default)", told, sizeof told);
        for (int k = 0; k < OPTION_COUNT; k++) {
            const char *help = options_known[k].help;
            if (options_known[k].commands & (1u << index))
                help_line(to, options_known[k].name, options_known[k].argument, help[0] ? help : told);
        }
        help_examples(to, index);
    }
    fputs("\nExit status: 0 done, 1 a case was refused, 2 usage, 3 input not read,\n"
          "4 output not written, 5 a stop caution with --strict or a change with\n"
          "--fail-on-change, 70 a fault of the program.\n",
          to);
}
