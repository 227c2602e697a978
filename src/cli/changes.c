/* Values changed on the command line, read as strictly as a file's. */
#include "changes.h"

#include <string.h>

#include "case/reader.h"
#include "case/entry.h"
#include "tables/say.h"

/* One PATH=VALUE of `length` bytes. */
static int change(const char *option, const char *text, size_t length, iol_case *c, iol_changes *changes) {
    char typed[256] = "";
    iol_entry entry;
    iol_refusal refusal = {.brief = false};
    iol_append_bytes(typed, sizeof typed, text, length);
    char *value = strchr(typed, '=');
    if (!value || length >= sizeof typed)
        return iol_cli_flag(option, typed, "PATH=VALUE, as biometry.axial_length_mm=23.45; null clears the value");
    *value++ = '\0';
    if (!iol_entry_find(c, typed, &entry, &refusal)) return iol_cli_flag(option, typed, refusal.wanted);
    if (!iol_has_room(changes->count, IOL_MOST(changes->item), &(bool){false}))
        return iol_cli_flag(option, typed, "at most 16 changes");
    iol_change *done = &changes->item[changes->count++];
    *done = (iol_change){.present = true};
    iol_append(done->path, sizeof done->path, entry.path);
    iol_entry_print(&entry, done->from, sizeof done->from);
    if (strcmp(value, "null") == 0)
        iol_entry_clear(&entry, c);
    else if (!iol_entry_set(&entry, value, &refusal)) {
        char wanted[IOL_FAULT_WANTED + 16] = "";
        iol_append(wanted, sizeof wanted, refusal.wanted);
        if (refusal.unit[0]) iol_append(wanted, sizeof wanted, " ");
        iol_append(wanted, sizeof wanted, refusal.unit);
        value[-1] = '=';
        return iol_cli_flag(option, typed, wanted);
    }
    iol_entry_print(&entry, done->to, sizeof done->to);
    return IOL_EXIT_DONE;
}

/* What the changed case contradicts, as of a file. */
static int check(const char *option, const iol_case *c) {
    iol_faults faults;
    iol_faults_start(&faults);
    iol_case_check(c, &faults);
    return faults.count > 0 ? iol_cli_faults(option, &faults) : IOL_EXIT_DONE;
}

int iol_cli_set(const iol_repeated *set, iol_case *c, iol_changes *changes) {
    int status = IOL_EXIT_DONE;
    changes->count = 0;
    for (int i = 0; i < set->count; i++)
        status = iol_cli_worse(status, change("--set", set->value[i], strlen(set->value[i]), c, changes));
    return status == IOL_EXIT_DONE && set->count > 0 ? check("--set", c) : status;
}

int iol_cli_what_if(const char *text, iol_case *c, iol_changes *changes) {
    int status = IOL_EXIT_DONE;
    changes->count = 0;
    for (;;) {
        size_t length = strcspn(text, ",");
        status = iol_cli_worse(status, change("--what-if", text, length, c, changes));
        if (!text[length]) break;
        text += length + 1;
    }
    return status == IOL_EXIT_DONE ? check("--what-if", c) : status;
}

void iol_cli_tell_changes(const iol_changes *changes, iol_plan *plan) {
    plan->changed_count = changes->count;
    memcpy(plan->changed, changes->item, sizeof changes->item);
}
