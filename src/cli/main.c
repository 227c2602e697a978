/* iolrevise: the program. */
#include <fcntl.h>
#include <signal.h>
#include <string.h>
#include <unistd.h>

#include "cli.h"

static const struct {
    const char *name;
    int (*run)(const iol_options *options);
} commands[] = {
#define COMMAND(id, arguments, help) {#id, iol_cli_##id},
#include "commands.def"
#undef COMMAND
};

/* The command runs on a stack of known size, whatever the limit of the shell. */
typedef struct {
    int (*run)(const iol_options *options);
    const iol_options *options;
    sigset_t signals; /* that were blocked when the program began */
    int status;
} errand;

static void *do_errand(void *context) {
    errand *e = context;
    pthread_sigmask(SIG_SETMASK, &e->signals, NULL);
    e->status = e->run(e->options);
    return NULL;
}

static int run_command(int (*run)(const iol_options *options), const iol_options *options) {
    errand e = {.run = run, .options = options, .status = IOL_EXIT_FAULT};
    pthread_t thread;
    sigset_t all;
    sigfillset(&all); /* signals come to the command alone, which holds them while a file is renamed */
    pthread_sigmask(SIG_BLOCK, &all, &e.signals);
    if (!iol_cli_thread(&thread, do_errand, &e)) return iol_cli_no_memory();
    pthread_join(thread, NULL);
    return e.status;
}

/* Names behind these commands are no files. */
static bool reads_files(const char *command) {
    static const char *const other[] = {"power", "template", "schema", "sources", "box"};
    for (size_t i = 0; i < sizeof other / sizeof *other; i++)
        if (strcmp(command, other[i]) == 0) return false;
    return true;
}

/* The help of a command, NULL of all; else the version. */
static int tell(const char *command, bool help) {
    iol_output output;
    int status = iol_output_open(&output, NULL);
    if (status != IOL_EXIT_DONE) return status;
    if (help)
        iol_options_help(command, output.file);
    else
        fprintf(output.file, "iolrevise %s\n", IOLREVISE_VERSION);
    return iol_output_close(&output);
}

static int help(const char *command) {
    for (size_t i = 0; command && i < sizeof commands / sizeof *commands; i++)
        if (strcmp(command, commands[i].name) == 0) return tell(command, true);
    return command ? iol_cli_unknown_command(command) : tell(NULL, true);
}

/* A standard descriptor that came closed is taken, so that no file of ours gets its number and messages end up in it; the wrong
 * way round, so that reading and writing fail as they would have. */
static void hold_standard(void) {
    for (int i = STDIN_FILENO; i <= STDERR_FILENO; i++)
        if (fcntl(i, F_GETFD) < 0 && open("/dev/null", i == STDIN_FILENO ? O_WRONLY : O_RDONLY) < 0) return;
}

int main(int argc, char **argv) {
    iol_options options;
    hold_standard();
    signal(SIGPIPE, SIG_IGN);
#ifdef SIGXFSZ
    signal(SIGXFSZ, SIG_IGN); /* a file past the limit is a failed write, not the end */
#endif
    if (argc < 2) {
        iol_options_help(NULL, stderr);
        return IOL_EXIT_USAGE;
    }
    const char *first = argv[1];
    if (strcmp(first, "--version") == 0 || strcmp(first, "-V") == 0) return tell(NULL, false);
    if (strcmp(first, "--help") == 0 || strcmp(first, "-h") == 0) return tell(NULL, true);
    if (strcmp(first, "help") == 0) return help(argc > 2 ? argv[2] : NULL);
    for (size_t i = 0; i < sizeof commands / sizeof *commands; i++) {
        if (strcmp(first, commands[i].name) != 0) continue;
        if (!iol_options_parse(commands[i].name, argc - 2, argv + 2, &options)) return IOL_EXIT_USAGE;
        if (options.help || options.version) return tell(commands[i].name, options.help != NULL);
        int status = iol_cli_apart(&options, reads_files(commands[i].name));
        return status == IOL_EXIT_DONE ? run_command(commands[i].run, &options) : status;
    }
    return iol_cli_unknown_command(first);
}
