/* What the program says on standard error. */
#include <errno.h>
#include <string.h>

#include "cli.h"

int iol_cli_worse(int a, int b) {
    static const int order[] = {IOL_EXIT_FAULT, IOL_EXIT_OUTPUT,  IOL_EXIT_USAGE,
                                IOL_EXIT_INPUT, IOL_EXIT_REFUSED, IOL_EXIT_STOP};
    for (size_t i = 0; i < sizeof order / sizeof *order; i++)
        if (a == order[i] || b == order[i]) return order[i];
    return IOL_EXIT_DONE;
}

int iol_cli_usage(const char *what, const char *found) {
    char quoted[IOL_FAULT_QUOTED];
    fprintf(stderr, "iolrevise: usage: found %s, wanted %s\n",
            iol_fault_quote(found, strlen(found), quoted, sizeof quoted), what);
    return IOL_EXIT_USAGE;
}

int iol_cli_flag(const char *flag, const char *found, const char *wanted) {
    char quoted[IOL_FAULT_QUOTED];
    fprintf(stderr, "iolrevise: %s: found %s, wanted %s\n", flag,
            found ? iol_fault_quote(found, strlen(found), quoted, sizeof quoted) : "nothing", wanted);
    return IOL_EXIT_USAGE;
}

/* A file name as it is printed: itself when plain, else escaped. */
const char *iol_cli_printable(const char *file, char *out, size_t size) {
    for (size_t i = 0; file[i]; i++)
        if (file[i] < ' ' || file[i] > '~' || i > 200) return iol_fault_quote(file, strlen(file), out, size);
    return file;
}

void iol_cli_cannot_line(const char *what, const char *file, int error, char *out, size_t size) {
    char name[IOL_FAULT_QUOTED];
    snprintf(out, size, "iolrevise: cannot %s %s: %s\n", what, iol_cli_printable(file, name, sizeof name),
             strerror(error));
}

int iol_cli_cannot(const char *what, const char *file, int exit_status) {
    char line[IOL_FAULT_LINE];
    int status = errno == ENOMEM ? IOL_EXIT_FAULT : exit_status;
    iol_cli_cannot_line(what, file, errno, line, sizeof line);
    fputs(line, stderr);
    return status;
}

int iol_cli_no_memory(void) {
    fputs("iolrevise: out of memory\n", stderr);
    return IOL_EXIT_FAULT;
}

bool iol_cli_fault_line(const char *file, const iol_faults *faults, int index, char *out, size_t size) {
    char line[IOL_FAULT_LINE], name[IOL_FAULT_QUOTED];
    const char *shown = iol_cli_printable(file, name, sizeof name);
    if (index < faults->count) {
        iol_fault_print(&faults->item[index], line, sizeof line);
        return snprintf(out, size, "iolrevise: %s:%s\n", shown, line) > 0;
    }
    if (index > faults->count || faults->more == 0) return false;
    return snprintf(out, size, "iolrevise: %s: and %d more\n", shown, faults->more) > 0;
}

int iol_cli_faults(const char *file, const iol_faults *faults) {
    char line[IOL_CLI_LINE];
    for (int i = 0; i <= faults->count; i++)
        if (iol_cli_fault_line(file, faults, i, line, sizeof line)) fputs(line, stderr);
    return iol_faults_no_memory(faults) ? IOL_EXIT_FAULT : IOL_EXIT_REFUSED;
}
