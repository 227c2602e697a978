/* The option table: parser and help. */
#include <string.h>

#include "cli.h"

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
} options_known[] = {
#define OPTION(member, name, argument, commands, help) {name, argument, help, commands, offsetof(iol_options, member)},
#include "options.def"
#undef OPTION
};
enum { OPTION_COUNT = sizeof options_known / sizeof *options_known };

static int command_index(const char *command) {
    for (int i = 0; i < COMMAND_COUNT; i++)
        if (strcmp(commands[i].name, command) == 0) return i;
    return -1;
}

/* Length of the option's name when the argument is it, alone or as --name=value; 0 otherwise. */
static size_t matches(const char *name, const char *argument) {
    size_t length = strlen(name);
    return strncmp(name, argument, length) == 0 && (argument[length] == '\0' || argument[length] == '=') ? length : 0;
}

bool iol_options_parse(const char *command, int argc, char **argv, iol_options *options) {
    unsigned mask = 1u << command_index(command);
    bool only_files = false;
    memset(options, 0, sizeof *options);
    options->file = argv;
    for (int i = 0; i < argc; i++) {
        char *argument = argv[i];
        if (only_files || argument[0] != '-' || argument[1] == '\0') {
            argv[options->files++] = argument;
            continue;
        }
        if (strcmp(argument, "--") == 0) {
            only_files = true;
            continue;
        }
        int found = -1;
        size_t length = 0;
        for (int k = 0; k < OPTION_COUNT && found < 0; k++)
            if (options_known[k].commands & mask && (length = matches(options_known[k].name, argument)) > 0) found = k;
        if (found < 0) return iol_cli_usage("an option of this command (--help lists them)", argument), false;
        const char **into = (const char **)(void *)((char *)options + options_known[found].offset);
        bool inline_value = argument[length] == '=';
        if (*into) return iol_cli_usage("each option once", argument), false;
        if (!options_known[found].argument) {
            if (inline_value) return iol_cli_usage("this option without a value", argument), false;
            *into = "";
        } else if (inline_value)
            *into = argument + length + 1;
        else if (i + 1 < argc)
            *into = argv[++i];
        else
            return iol_cli_usage("a value after this option", argument), false;
    }
    if (options->output && strcmp(options->output, "-") == 0) options->output = NULL;
    return true;
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
    return false;
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

void iol_options_help(const char *command, FILE *to) {
    if (!command) {
        fputs("iolrevise plans the revision of an implanted intraocular lens.\n"
              "Decision support for licensed surgeons; local rules come first.\n\n",
              to);
        for (int i = 0; i < COMMAND_COUNT; i++)
            help_line(to, commands[i].name, commands[i].arguments, commands[i].help);
        fputs("\niolrevise COMMAND --help shows a command's options.\n", to);
    } else {
        int index = command_index(command);
        fprintf(to, "iolrevise %s %s\n%s\n\n", command, commands[index].arguments, commands[index].help);
        for (int k = 0; k < OPTION_COUNT; k++)
            if (options_known[k].commands & (1u << index))
                help_line(to, options_known[k].name, options_known[k].argument, options_known[k].help);
    }
    fputs("\nExit status: 0 done, 1 a case was refused, 2 usage, 3 input not read,\n"
          "4 output not written, 5 a stop caution with --strict or a change with\n"
          "--fail-on-change, 70 a fault of the program.\n",
          to);
}
