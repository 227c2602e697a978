/* Data sets of a file: of which class, measured when. */
#include "dicom_map.h"

#include <string.h>

#include "tables/say.h"

#define CLASSES "1.2.840.10008.5.1.4.1.1.78."

static iol_view attribute(iol_view root, const char *tag) { return iol_dicom_value(root, tag); }

bool iol_dicom_is(iol_view root) {
    iol_view first = {NULL, NULL};
    if (iol_view_is_list(root)) return iol_view_each(root, &first) && iol_dicom_is(first);
    return iol_view_member(iol_view_member(root, "00080016"), "Value").at != NULL;
}

/* Digits of a date and time: "20250820" and what follows. */
static void read_day(iol_data_set *set) {
    char text[40], date[11] = "0000-00-00";
    iol_view when = attribute(set->root, "0008002A");
    if (!when.at) when = attribute(set->root, "00080023");
    set->day = IOL_UNKNOWN_DATE;
    set->stamp[0] = '\0';
    if (!iol_view_text(when, text, sizeof text) || strspn(text, "0123456789") < 8) return;
    memcpy(date, text, 4), memcpy(date + 5, text + 4, 2), memcpy(date + 8, text + 6, 2);
    if (iol_date_read(date, &set->day))
        iol_append_bytes(set->stamp, sizeof set->stamp, text, strspn(text, "0123456789"));
}

static bool too_many(iol_faults *faults) {
    iol_fault_add(faults, IOL_FAULT_too_long, "", "more", "at most 32", "data sets at once");
    return false;
}

/* One that is not read is counted and passed by. */
static bool add_one(iol_data_sets *sets, iol_view root, iol_faults *faults) {
    char uid[80] = "";
    iol_view_text(attribute(root, "00080016"), uid, sizeof uid);
    iol_data_set set = {.root = root};
    const size_t length = strlen(CLASSES);
    if (strncmp(uid, CLASSES, length) == 0 && uid[length] && !uid[length + 1]) set.class = uid[length] - '0';
    if (!iol_map_class_of(set.class)) return sets->others++, true;
    if (sets->count == IOL_DICOM_SETS) return too_many(faults);
    read_day(&set);
    sets->set[sets->count++] = set;
    return true;
}

bool iol_dicom_add(iol_data_sets *sets, iol_view root, iol_faults *faults) {
    const int before = sets->count;
    iol_view item = {NULL, NULL};
    if (!iol_view_is_list(root)) add_one(sets, root, faults);
    while (iol_view_each(root, &item))
        if (!add_one(sets, item, faults)) return false;
    if (sets->count == before)
        iol_fault_add(faults, IOL_FAULT_unsupported_format, "", "a data set of another class",
                      "autorefraction, keratometry, subjective refraction, visual acuity, axial measurements or a lens "
                      "calculation (SOP classes " CLASSES "2, 3, 4, 5, 7, 8)",
                      "");
    return sets->count > before;
}

/* ---- of one person? ---- */

/* What a person is told by, without blanks behind; "" where it is not there. */
static void mark_of(iol_view root, const char *tag, char out[68]) {
    if (!iol_view_text(attribute(root, tag), out, 68)) out[0] = '\0';
    for (size_t length = strlen(out); length > 0 && out[length - 1] == ' ';) out[--length] = '\0';
}

bool iol_dicom_differ(const iol_data_sets *sets, const char *tag) {
    char kept[68] = "", mark[68];
    for (int i = 0; i < sets->count; i++) {
        mark_of(sets->set[i].root, tag, mark);
        if (mark[0] && kept[0] && strcmp(mark, kept) != 0) return true;
        if (mark[0]) memcpy(kept, mark, sizeof kept);
    }
    return false;
}
