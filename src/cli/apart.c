/* No output may be an input, and no two outputs one: files are told apart by device and inode, names not yet there by their
 * folder and last part. */
#include <dirent.h>
#include <stdlib.h>
#include <string.h>
#include <sys/stat.h>
#include <unistd.h>

#include "cli.h"

enum { MOST_WRITTEN = 8 };
typedef struct {
    const char *flag, *file; /* flag NULL: standard output */
    dev_t device;            /* of the file or, where it is not there yet, of its folder */
    ino_t inode;
    char *last; /* NULL: the file is there */
} place;

/* What a second writer, or a reader, would spoil: no terminal, no null device. */
static bool spoils(const struct stat *s) { return S_ISREG(s->st_mode) || S_ISFIFO(s->st_mode) || S_ISBLK(s->st_mode); }

/* False when nothing can be told of it: another call will say why. */
static bool find_place(const char *file, place *p) {
    struct stat s;
    p->last = NULL;
    if ((p->file ? stat(file, &s) : fstat(STDOUT_FILENO, &s)) == 0) {
        p->device = s.st_dev;
        p->inode = s.st_ino;
        return spoils(&s);
    }
    if (!p->file) return false;
    char *name = iol_cli_follow(file), *slash = name ? strrchr(name, '/') : NULL;
    if (!name) return false;
    char *last = strdup(slash ? slash + 1 : name);
    if (slash) slash[slash == name] = '\0';
    bool good = last && stat(slash ? name : ".", &s) == 0;
    free(name);
    if (!good) {
        free(last);
        return false;
    }
    p->last = last;
    p->device = s.st_dev;
    p->inode = s.st_ino;
    return true;
}

static bool same_place(const place *a, const place *b) {
    if (a->device != b->device || a->inode != b->inode) return false;
    return a->last && b->last ? strcmp(a->last, b->last) == 0 : !a->last && !b->last;
}

typedef struct {
    place written[MOST_WRITTEN];
    int count, status;
} places;

static int refuse(const place *p, const char *wanted) {
    return p->flag ? iol_cli_flag(p->flag, p->file, wanted) : iol_cli_usage(wanted, "standard output");
}

static void add_written(places *all, const char *flag, const char *file) {
    place p = {.flag = flag, .file = file};
    if (all->count == MOST_WRITTEN || !find_place(file, &p)) return;
    for (int i = 0; i < all->count && all->status == IOL_EXIT_DONE; i++)
        if (same_place(&all->written[i], &p))
            all->status = refuse(&p, "another file: two outputs would be written into this one");
    all->written[all->count++] = p;
}

static void against_written(places *all, const struct stat *s) {
    if (!spoils(s)) return;
    for (int i = 0; i < all->count && all->status == IOL_EXIT_DONE; i++) {
        const place *p = &all->written[i];
        if (!p->last && p->device == s->st_dev && p->inode == s->st_ino)
            all->status = refuse(p, "another file: this one is read too");
    }
}

static void add_folder(places *all, const char *folder) {
    DIR *directory = opendir(folder);
    const struct dirent *entry;
    struct stat s;
    while (directory && (entry = readdir(directory)) != NULL)
        if (fstatat(dirfd(directory), entry->d_name, &s, 0) == 0) against_written(all, &s);
    if (directory) closedir(directory);
}

static void add_read(places *all, const char *file) {
    struct stat s;
    if ((strcmp(file, "-") == 0 ? fstat(STDIN_FILENO, &s) : stat(file, &s)) != 0) return;
    if (S_ISDIR(s.st_mode))
        add_folder(all, file);
    else
        against_written(all, &s);
}

int iol_cli_apart(const iol_options *options, bool reads_files) {
    places all = {.count = 0, .status = IOL_EXIT_DONE};
    const char *flag, *file;
    bool written;
    for (int next = 0; iol_options_file(options, &next, &flag, &file, &written);)
        if (written && !iol_cli_is_standard_output(file)) add_written(&all, flag, file);
    if (!options->output || iol_cli_is_standard_output(options->output)) add_written(&all, NULL, NULL);
    for (int next = 0; all.count > 0 && iol_options_file(options, &next, &flag, &file, &written);)
        if (!written) add_read(&all, file);
    for (int i = 0; all.count > 0 && reads_files && i < options->files; i++) add_read(&all, options->file[i]);
    if (reads_files && options->files == 0) add_read(&all, "-");
    for (int i = 0; i < all.count; i++) free(all.written[i].last);
    return all.status;
}
