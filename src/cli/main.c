/* iolrevise: the program. */
#include <signal.h>
#include <string.h>

#include "cli.h"

static const struct {
    const char *name;
    int (*run)(const iol_options *options);
} commands[] = {
#define COMMAND(id, arguments, help) {#id, iol_cli_##id},
#include "commands.def"
#undef COMMAND
};

int main(int argc, char **argv) {
    iol_options options;
    signal(SIGPIPE, SIG_IGN);
    if (argc < 2) {
        iol_options_help(NULL, stderr);
        return IOL_EXIT_USAGE;
    }
    if (strcmp(argv[1], "--help") == 0 || strcmp(argv[1], "--version") == 0) {
        if (argv[1][2] == 'h')
            iol_options_help(NULL, stdout);
        else
            puts("iolrevise " IOLREVISE_VERSION);
        return fflush(stdout) == 0 ? IOL_EXIT_DONE : IOL_EXIT_OUTPUT;
    }
    for (size_t i = 0; i < sizeof commands / sizeof *commands; i++) {
        if (strcmp(argv[1], commands[i].name) != 0) continue;
        if (!iol_options_parse(commands[i].name, argc - 2, argv + 2, &options)) return IOL_EXIT_USAGE;
        if (options.help || options.version) {
            if (options.help)
                iol_options_help(commands[i].name, stdout);
            else
                puts("iolrevise " IOLREVISE_VERSION);
            return fflush(stdout) == 0 ? IOL_EXIT_DONE : IOL_EXIT_OUTPUT;
        }
        return commands[i].run(&options);
    }
    return iol_cli_usage("a command (iolrevise --help lists them)", argv[1]);
}
