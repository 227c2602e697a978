/* The command line: options, messages, files. Everything that touches the outside world is here. */
#ifndef IOL_CLI_CLI_H
#define IOL_CLI_CLI_H

#include <pthread.h>
#include <stdio.h>

#include "write/sink.h"
#include "iolrevise.h"
#include "report/page.h"

enum {
    IOL_EXIT_DONE = 0,
    IOL_EXIT_REFUSED = 1, /* a case was refused */
    IOL_EXIT_USAGE = 2,
    IOL_EXIT_INPUT = 3,  /* an input cannot be opened or read */
    IOL_EXIT_OUTPUT = 4, /* output not written */
    IOL_EXIT_STOP = 5,   /* --strict and a stop caution */
    IOL_EXIT_FAULT = 70  /* a fault of the program, out of memory included */
};
enum { IOL_REPEATED_MOST = 16 };
/* The worse of two exit statuses: 70, 4, 2, 3, 1, 5, first wins. */
int iol_cli_worse(int a, int b);

/* What was given behind an option that may stand several times. */
typedef struct {
    int count;
    const char *value[IOL_REPEATED_MOST];
} iol_repeated;
typedef struct {
#define OPTION(member, name, argument, commands, help) const char *member;
#define REPEATED(member, name, argument, commands, help) iol_repeated member;
#include "options.def"
#undef OPTION
#undef REPEATED
    const char *second; /* value of the option that takes two */
    int files;
    char **file;
} iol_options;

/* Parse what follows the command; a flag without argument becomes "". False after a usage message. */
bool iol_options_parse(const char *command, int argc, char **argv, iol_options *options);
/* A usage message with the nearest command. */
/* A usage fault that names the nearest of some names; those start at 1. */
void iol_cli_unknown(const char *wanted, const char *found, const char *const name[], int count);
int iol_cli_unknown_command(const char *found);
void iol_options_help(const char *command, FILE *to);
/* The files that options name, one a call, *next from 0 on; an ARGUMENT of FILE or OUT is written. False at the end. */
bool iol_options_file(const iol_options *options, int *next, const char **flag, const char **file, bool *written);

/* A thread with a stack that suffices for any command. */
bool iol_cli_thread(pthread_t *thread, void *(*run)(void *), void *context);

#define COMMAND(id, arguments, help) int iol_cli_##id(const iol_options *options);
#include "commands.def"
#undef COMMAND

/* ---- messages: one line on standard error, nothing from outside printed raw ---- */
int iol_cli_usage(const char *what, const char *found);
/* A value typed behind a flag that cannot stand; found NULL: the flag is not there. */
int iol_cli_flag(const char *flag, const char *found, const char *wanted);
/* "cannot WHAT FILE: reason" by errno. Returns exit_status, IOL_EXIT_FAULT when it was for want of memory. */
int iol_cli_cannot(const char *what, const char *file, int exit_status);
/* "out of memory". Returns IOL_EXIT_FAULT. */
int iol_cli_no_memory(void);
/* A file name as it is printed: itself when plain, else escaped into out. */
const char *iol_cli_printable(const char *file, char *out, size_t size);
/* The same as a line, with an errno. */
void iol_cli_cannot_line(const char *what, const char *file, int error, char *out, size_t size);
enum { IOL_CLI_LINE = IOL_FAULT_LINE + 256 };
/* Line of one fault; behind the last, of how many more there are. False when there is none. */
bool iol_cli_fault_line(const char *file, const iol_faults *faults, int index, char *out, size_t size);
/* Every fault of one input, in the contract's line format. IOL_EXIT_REFUSED, or IOL_EXIT_FAULT when memory ran out. */
int iol_cli_faults(const char *file, const iol_faults *faults);

/* "right" or "left" of what was typed: right, left, OD, OS, R or L, in letters of either case; NULL: none of them. */
const char *iol_cli_side(const char *typed);

/* ---- files ---- */
typedef struct {
    char *bytes;
    size_t length;
} iol_text;
/* Blanks and line ends alone, or nothing at all. */
bool iol_cli_blank(const char *bytes, size_t length);
/* A name that ends in .csv. */
bool iol_cli_is_sheet(const char *file);
/* A whole file or, with "-" or NULL, standard input; more than 1 MiB is cut one byte over, for the reader to refuse; one
 * without anything in it is an input that cannot be read. */
int iol_cli_slurp(const char *file, iol_text *text);
/* A scanned code: the text itself or, with "-", standard input. No message quotes it. */
enum { IOL_CLI_CODE = 2200 };
int iol_cli_code(const char *typed, char out[IOL_CLI_CODE]);
/* Nothing was in it: a message and IOL_EXIT_INPUT. */
int iol_cli_nothing(const char *file);
/* The site file, or the generic shelf without one. */
int iol_cli_site(const char *file, iol_site *site);
/* The day of --as-of; IOL_UNKNOWN_DATE without one. */
int iol_cli_as_of(const char *text, int32_t *day);

/* The name that a chain of symbolic links ends at; to be freed. NULL with errno: no memory, or a loop. */
char *iol_cli_follow(const char *file);
/* "-", /dev/stdout and their like. */
bool iol_cli_is_standard_output(const char *name);
/* Refused before anything is written: an output that is also an input, or two outputs that are one, by device and inode.
 * reads_files: the names behind the command are read (standard input where there are none). IOL_EXIT_DONE, IOL_EXIT_USAGE. */
int iol_cli_apart(const iol_options *options, bool reads_files);

/* Where output goes: standard output, or a temporary file beside FILE that is renamed when all went well. A signal that ends
 * the program takes the temporary file away. */
typedef struct {
    FILE *file;
    const char *target;      /* NULL: standard output */
    char *temporary, *final; /* NULL: written straight */
    bool failed;
    int error; /* errno of the first failure, whichever thread met it */
} iol_output;
int iol_output_open(iol_output *output, const char *file);
bool iol_output_sink(void *context, const char *bytes, size_t length);
/* Flush, sync, rename. IOL_EXIT_OUTPUT after a message when anything failed; a closed pipe is not a failure. */
int iol_output_close(iol_output *output);
/* The same of several that belong together: none is renamed unless all were written whole, and then a closed pipe is a
 * failure like any other. */
int iol_output_close_all(iol_output *const output[], int count);
/* Instead of closing, when what was written is not whole: an old file stays. */
void iol_output_drop(iol_output *output);
/* Colour and other escapes may go to this descriptor: a terminal that knows them, and no NO_COLOR. */
bool iol_cli_colour(int descriptor);
/* The word of --format, counted among those of the command (formats.def); text without one. */
int iol_cli_format(const char *command, const char *text, int *format);
/* Those of a plan. */
enum {
    IOL_FORMAT_TEXT,
    IOL_FORMAT_JSON,
    IOL_FORMAT_HTML,
    IOL_FORMAT_SCREEN, /* of a plan, where the page is more */
    IOL_FORMAT_SHEETS
};
/* A plan where --output says: as JSON, or its page as text or HTML. */
int iol_cli_write_plan(const iol_options *options, int format, const iol_plan *plan, iol_page *page);

#endif
