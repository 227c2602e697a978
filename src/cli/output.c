/* Output: standard output, or a file that is replaced only when all of it was written. */
#include <errno.h>
#include <pthread.h>
#include <signal.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "cli.h"
#include "report/report.h"

/* ---- a signal: the temporary files go, the old files stay ---- */

static char *volatile waiting[4]; /* as many as are ever open at once */
enum { WAITING = sizeof waiting / sizeof *waiting };
static const int ending[] = {SIGHUP, SIGINT, SIGTERM, SIGQUIT, SIGALRM, SIGXCPU, SIGUSR1, SIGUSR2, SIGABRT};
enum { ENDING = sizeof ending / sizeof *ending };

/* Set with SA_RESETHAND: raised again, the signal ends the program as it would have. */
static void take_away(int signal_number) {
    for (int i = 0; i < WAITING; i++)
        if (waiting[i]) unlink(waiting[i]);
    raise(signal_number);
}

static void hold(sigset_t *before) {
    sigset_t set;
    sigemptyset(&set);
    for (int i = 0; i < ENDING; i++) sigaddset(&set, ending[i]);
    pthread_sigmask(SIG_BLOCK, &set, before);
}

static void let_go(const sigset_t *before) { pthread_sigmask(SIG_SETMASK, before, NULL); }

/* From now on `temporary` goes when a signal comes; one that is ignored stays so. */
static void watch(char *temporary) {
    struct sigaction old, new = {.sa_handler = take_away, .sa_flags = (int)SA_RESETHAND};
    sigemptyset(&new.sa_mask);
    for (int i = 0; i < ENDING; i++)
        if (sigaction(ending[i], NULL, &old) == 0 && old.sa_handler == SIG_DFL) sigaction(ending[i], &new, NULL);
    for (int i = 0; i < WAITING; i++)
        if (!waiting[i]) {
            waiting[i] = temporary;
            return;
        }
}

static void unwatch(const char *temporary) {
    for (int i = 0; i < WAITING; i++)
        if (waiting[i] == temporary) waiting[i] = NULL;
}

/* Renamed to the target or, when what it holds is not to stay, removed. errno is that of the first failure. */
static bool settle(iol_output *output, bool keep) {
    sigset_t before;
    hold(&before);
    bool good = !keep || rename(output->temporary, output->final) == 0;
    int error = errno;
    if (!keep || !good) unlink(output->temporary);
    unwatch(output->temporary);
    let_go(&before);
    errno = error;
    return good;
}

/* ---- opening ---- */

char *iol_cli_follow(const char *file) {
    enum { MOST_LINKS = 40 };
    char *name = strdup(file), link[4096];
    for (int hops = 0; name && hops < MOST_LINKS; hops++) {
        ssize_t length = readlink(name, link, sizeof link - 1);
        if (length < 0) return name;
        link[length] = '\0';
        const char *slash = strrchr(name, '/');
        size_t folder = link[0] == '/' || !slash ? 0 : (size_t)(slash - name) + 1;
        char *next = malloc(folder + (size_t)length + 1);
        if (next) {
            memcpy(next, name, folder);
            memcpy(next + folder, link, (size_t)length + 1);
        }
        free(name);
        name = next;
    }
    if (name) errno = ELOOP;
    free(name);
    return NULL;
}

/* The open descriptor that a name stands for, /dev/fd/3; -1 for any other name. */
static int descriptor_of(const char *name) {
    static const char *const standard[] = {"/dev/stdin", "/dev/stdout", "/dev/stderr"};
    static const char *const folder[] = {"/dev/fd/", "/proc/self/fd/"};
    for (int i = 0; i < 3; i++)
        if (strcmp(name, standard[i]) == 0) return i;
    for (int i = 0; i < 2; i++) {
        size_t length = strlen(folder[i]);
        if (strncmp(name, folder[i], length) != 0) continue;
        int number = 0;
        const char *digit = name + length;
        for (; *digit >= '0' && *digit <= '9' && number < 100000; digit++) number = number * 10 + (*digit - '0');
        return *digit || digit == name + length ? -1 : number;
    }
    return -1;
}

bool iol_cli_is_standard_output(const char *name) {
    return strcmp(name, "-") == 0 || descriptor_of(name) == STDOUT_FILENO;
}

/* The new file as the old one was. A new owner's is said: only a privileged user can give a file away. */
static void take_after(int descriptor, const char *file, const struct stat *old, mode_t mode) {
    char name[IOL_FAULT_QUOTED];
    if (old && (old->st_uid != geteuid() || old->st_gid != getegid()) &&
        fchown(descriptor, old->st_uid, old->st_gid) != 0 && old->st_uid != geteuid())
        fprintf(stderr, "iolrevise: %s belonged to another user: it will be yours\n",
                iol_cli_printable(file, name, sizeof name));
    fchmod(descriptor, mode);
}

static FILE *make_temporary(const char *target, char *temporary, const struct stat *old, mode_t mode) {
    sigset_t before;
    hold(&before);
    int descriptor = mkstemp(temporary);
    FILE *file = descriptor < 0 ? NULL : fdopen(descriptor, "wb");
    int error = errno;
    if (file) {
        take_after(descriptor, target, old, mode);
        watch(temporary);
    } else if (descriptor >= 0) {
        close(descriptor);
        unlink(temporary);
    }
    let_go(&before);
    errno = error;
    return file;
}

static bool open_temporary(iol_output *output, const char *file) {
    struct stat old;
    int descriptor = descriptor_of(file);
    if (descriptor >= 0) { /* what is open is written on, not opened and cut again */
        descriptor = dup(descriptor);
        output->file = descriptor < 0 ? NULL : fdopen(descriptor, "wb");
        return output->file != NULL;
    }
    char *target = iol_cli_follow(file);
    if (!target) return false;
    if (stat(file, &old) == 0 && !S_ISREG(old.st_mode)) {
        free(target);
        output->file = fopen(file, "wb");
        return output->file != NULL;
    }
    bool exists = stat(target, &old) == 0;
    size_t length = strlen(target);
    output->temporary = malloc(length + 8);
    output->final = target;
    if (!output->temporary) return false;
    memcpy(output->temporary, target, length);
    memcpy(output->temporary + length, ".XXXXXX", 8);
    mode_t mask = umask(0);
    umask(mask);
    output->file =
        make_temporary(target, output->temporary, exists ? &old : NULL, exists ? old.st_mode & 07777 : 0666 & ~mask);
    return output->file != NULL;
}

int iol_output_open(iol_output *output, const char *file) {
    *output = (iol_output){.target = file};
    if (!file) {
        output->file = stdout;
        return IOL_EXIT_DONE;
    }
    if (open_temporary(output, file)) return IOL_EXIT_DONE;
    int status = iol_cli_cannot("write", file, IOL_EXIT_OUTPUT);
    free(output->temporary);
    free(output->final);
    return status;
}

/* ---- writing, closing ---- */

static void fail(iol_output *output) {
    if (!output->failed) output->error = errno;
    output->failed = true;
}

bool iol_output_sink(void *context, const char *bytes, size_t length) {
    iol_output *output = context;
    if (!output->failed && length > 0 && fwrite(bytes, 1, length, output->file) != length) fail(output);
    return !output->failed;
}

/* All bytes on their way to where they stay; nothing is renamed yet. */
static bool finish(iol_output *output) {
    if (!output->failed && fflush(output->file) != 0) fail(output);
    if (output->temporary && !output->failed && fsync(fileno(output->file)) != 0) fail(output);
    if (output->target && fclose(output->file) != 0) fail(output);
    return !output->failed;
}

static void forget(iol_output *output) {
    free(output->temporary);
    free(output->final);
}

int iol_output_close_all(iol_output *const output[], int count) {
    int status = IOL_EXIT_DONE;
    bool good = true;
    for (int i = 0; i < count; i++) good = finish(output[i]) && good;
    for (int i = 0; i < count; i++) {
        iol_output *o = output[i];
        if (o->temporary && !settle(o, good) && good) {
            fail(o);
            good = false;
        }
        errno = o->error;
        bool quiet = count == 1 && o->error == EPIPE;
        if (o->failed && !quiet)
            status = iol_cli_worse(status,
                                   iol_cli_cannot("write", o->target ? o->target : "standard output", IOL_EXIT_OUTPUT));
        forget(o);
    }
    return status;
}

int iol_output_close(iol_output *output) { return iol_output_close_all(&output, 1); }

void iol_output_drop(iol_output *output) {
    if (output->target) fclose(output->file);
    if (output->temporary) settle(output, false);
    forget(output);
}

bool iol_cli_colour(int descriptor) {
    const char *no = getenv("NO_COLOR"), *terminal = getenv("TERM");
    return !(no && no[0]) && terminal && terminal[0] && strcmp(terminal, "dumb") != 0 && isatty(descriptor);
}

int iol_cli_write_plan(const iol_options *options, int format, const iol_plan *plan, iol_page *page) {
    iol_output output;
    const bool colour = !options->output && iol_cli_colour(STDOUT_FILENO);
    int status = iol_output_open(&output, options->output);
    if (status != IOL_EXIT_DONE) return status;
    if (format == IOL_FORMAT_JSON)
        iol_plan_write(plan, iol_output_sink, &output);
    else if (format == IOL_FORMAT_SCREEN) {
        const iol_report_choice choice = {.only = options->only, .colour = colour,
                                          .language = iol_language_find(options->language)};
        iol_report_text(plan, &choice, page, iol_output_sink, &output);
    } else if (format == IOL_FORMAT_TEXT)
        iol_page_text(page, colour, iol_output_sink, &output);
    else if (format == IOL_FORMAT_SHEETS)
        iol_sheets_html(plan, iol_language_find(options->language), page, iol_output_sink, &output);
    else
        iol_page_html(page, iol_output_sink, &output);
    status = iol_output_close(&output);
    return options->strict && iol_plan_stops(plan) ? iol_cli_worse(status, IOL_EXIT_STOP) : status;
}
