/* starve SCARCE FOLDER KEPT PROGRAM ARGUMENT...: runs the program again and again, its first allocation refused, its second, and so
 * on until none is left to refuse; then the same with all behind it refused too. Each run must do what the run with memory did, or
 * end with 70 and a word of memory on standard error. KEPT, a file in FOLDER that the program writes, then holds what it held
 * before, and nothing else lies in FOLDER. SCARCE: the library of scarce.c. Standard input is the file STARVE_INPUT. */
#include <dirent.h>
#include <fcntl.h>
#include <stdbool.h>
#include <stdio.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <sys/wait.h>
#include <unistd.h>

typedef struct {
    int status;
    char *out, *err, *kept;
} result;

static const char *scarce, *folder, *kept;
static char **command;
static const char before[] = "what was there\n";

static void fail(const char *what, const char *mode, long n, const result *r) {
    fprintf(stderr, "FAILED starve: %s (%s=%ld):", what, mode, n);
    for (int i = 0; command[i]; i++) fprintf(stderr, " %s", command[i]);
    if (r) fprintf(stderr, "\nstatus %d\n%s", r->status, r->err);
    exit(1);
}

static char *path(const char *name) {
    static char text[4][4096];
    static int next;
    char *at = text[next++ % 4];
    snprintf(at, sizeof text[0], "%s/%s", folder, name);
    return at;
}

static char *slurp(const char *name) {
    FILE *file = fopen(name, "rb");
    size_t size = 1 << 22;
    char *text = malloc(size);
    if (!file || !text) fail(name, "cannot read", 0, NULL);
    size_t used = fread(text, 1, size - 1, file);
    fclose(file);
    text[used] = '\0';
    return text;
}

static void spill(const char *name, const char *text) {
    FILE *file = fopen(name, "wb");
    if (!file) fail(name, "cannot write", 0, NULL);
    fputs(text, file);
    fclose(file);
}

static void redirect(const char *name, int flags, int to) {
    int file = open(name, flags, 0600);
    if (file < 0 || dup2(file, to) < 0) _exit(99);
}

static result run(const char *mode, long n) {
    char number[32];
    int status = 0;
    result r;
    if (kept) spill(kept, before);
    unlink(path(".mark"));
    pid_t child = fork();
    if (child == 0) {
        snprintf(number, sizeof number, "%ld", n);
        redirect(getenv("STARVE_INPUT") ? getenv("STARVE_INPUT") : "/dev/null", O_RDONLY, 0);
        redirect(path(".out"), O_WRONLY | O_CREAT | O_TRUNC, 1);
        redirect(path(".err"), O_WRONLY | O_CREAT | O_TRUNC, 2);
        setenv("SCARCE_MARK", path(".mark"), 1);
        if (mode) setenv(mode, number, 1);
        setenv("LD_PRELOAD", scarce, 1);
        execv(command[0], command);
        _exit(99);
    }
    waitpid(child, &status, 0);
    r.status = WIFEXITED(status) ? WEXITSTATUS(status) : 1000 + WTERMSIG(status);
    r.out = slurp(path(".out"));
    r.err = slurp(path(".err"));
    r.kept = kept ? slurp(kept) : strdup("");
    return r;
}

static void drop(result *r) {
    free(r->out);
    free(r->err);
    free(r->kept);
}

/* Each line of the program's own, one of them of memory. */
static bool is_clear(const char *err) {
    for (const char *line = err; *line; line = strchr(line, '\n') + 1)
        if (strncmp(line, "iolrevise: ", 11) != 0 || !strchr(line, '\n')) return false;
    return strstr(err, "memory") != NULL;
}

/* Files in the folder whose names do not begin with a point. */
static int count_files(void) {
    DIR *directory = opendir(folder);
    const struct dirent *entry;
    int count = 0;
    if (!directory) fail(folder, "cannot list", 0, NULL);
    while ((entry = readdir(directory)) != NULL) count += entry->d_name[0] != '.';
    closedir(directory);
    return count;
}

static long starve(const char *mode, const result *wanted, int files) {
    for (long n = 1;; n++) {
        result r = run(mode, n);
        if (access(path(".mark"), F_OK) != 0) {
            drop(&r);
            return n - 1;
        }
        if (r.status >= 1000) fail("it crashed", mode, n, &r);
        if (count_files() != files) fail("something is left beside the output", mode, n, &r);
        if (r.status == 70) {
            if (!is_clear(r.err)) fail("70 without a word of memory", mode, n, &r);
            if (kept && strcmp(r.kept, before) != 0) fail("the old file did not stay", mode, n, &r);
        } else if (r.status != wanted->status || strcmp(r.out, wanted->out) != 0 || strcmp(r.err, wanted->err) != 0 ||
                   strcmp(r.kept, wanted->kept) != 0)
            fail("neither 70 nor as with memory", mode, n, &r);
        drop(&r);
    }
}

int main(int argc, char **argv) {
    if (argc < 5) return 2;
    scarce = argv[1];
    folder = argv[2];
    kept = strcmp(argv[3], "-") == 0 ? NULL : argv[3];
    command = argv + 4;
    result wanted = run(NULL, 0);
    if (wanted.status >= 70) fail("it does not run with memory", "-", 0, &wanted);
    int files = count_files();
    long alone = starve("SCARCE_AT", &wanted, files), all = starve("SCARCE_FROM", &wanted, files);
    printf("%ld and %ld refusals, status %d:", alone, all, wanted.status);
    for (int i = 1; command[i]; i++) printf(" %s", command[i]);
    printf("\n");
    drop(&wanted);
    return 0;
}
