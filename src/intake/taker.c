/* Values of a data set into a case: by the rows of the map, and what takes more than a row. */
#include "taker.h"

#include <string.h>

#include "tables/say.h"
#include "text/number.h"

static void origin(const iol_taker *t, const char *more, char out[IOL_INTAKE_ORIGIN]) {
    out[0] = '\0';
    iol_append(out, IOL_INTAKE_ORIGIN, "DICOM, ");
    iol_append(out, IOL_INTAKE_ORIGIN, iol_map_class_of(t->set->class)->name);
    iol_append(out, IOL_INTAKE_ORIGIN, t->day[0] ? " of " : ", day not known");
    iol_append(out, IOL_INTAKE_ORIGIN, t->day);
    iol_append(out, IOL_INTAKE_ORIGIN, t->fellow ? ", the other eye" : "");
    iol_append(out, IOL_INTAKE_ORIGIN, more);
}

/* The place in the case of a key of the table; "" where it goes nowhere. */
static void place_of(const iol_taker *t, const char *key, char out[IOL_ENTRY_PATH]) {
    const char *point = strchr(key, '.');
    out[0] = '\0';
    if (strncmp(key, "biometry.", 9) == 0) {
        bool depth = t->after && strcmp(point, ".chamber_depth_mm") == 0;
        if (t->biometry[0]) iol_append(out, IOL_ENTRY_PATH, t->biometry);
        if (t->biometry[0]) iol_append(out, IOL_ENTRY_PATH, depth ? ".lens_depth_mm" : point);
    } else if (strncmp(key, "refractions.1", 13) == 0) {
        if (t->reading[0]) iol_append(out, IOL_ENTRY_PATH, t->reading);
        if (t->reading[0]) iol_append(out, IOL_ENTRY_PATH, point + 2);
    } else
        iol_append(out, IOL_ENTRY_PATH, key);
}

void iol_taker_put(iol_taker *t, const char *key, const char *text, const char *more) {
    char path[IOL_ENTRY_PATH], words[IOL_INTAKE_ORIGIN];
    place_of(t, key, path);
    origin(t, more, words);
    if (path[0]) iol_intake_put(t->in, path, text, words);
}

/* "/biometry/chamber_depth_mm", for messages. */
void iol_taker_note(iol_taker *t, const char *key, const char *words) {
    char path[IOL_ENTRY_PATH] = "", pointer[IOL_ENTRY_PATH] = "/";
    place_of(t, key, path);
    iol_append(pointer, sizeof pointer, path[0] ? path : key);
    for (char *p = pointer; *p; p++)
        if (*p == '.') *p = '/';
    iol_intake_note(t->in, pointer, words);
}

static bool is_keratometry(const char *key) { return strncmp(key, "biometry.k", 10) == 0; }

/* The sentence of a row that refuses this key: a code is there, or one is not. */
static const char *refusal_of(const iol_taker *t, const char *key) {
    for (int i = 0; i < iol_map_rows; i++) {
        const iol_map_row *row = &iol_map[i];
        if ((row->kind != IOL_MAP_REFUSE && row->kind != IOL_MAP_UNLESS) || row->class != t->set->class) continue;
        bool meant = row->key ? strcmp(row->key, key) == 0 : is_keratometry(key);
        bool there = iol_dicom_has_code(t->set, t->eye, row->path, row->code);
        if (meant && there == (row->kind == IOL_MAP_REFUSE)) return row->word;
    }
    return NULL;
}

static bool by_hand(const iol_taker *t, const char *key) {
    for (int i = 0; i < iol_map_rows; i++) {
        const iol_map_row *row = &iol_map[i];
        if (row->kind == IOL_MAP_HAND && row->class == t->set->class && strcmp(row->key, key) == 0 &&
            iol_dicom_has_code(t->set, t->eye, row->path, row->code))
            return true;
    }
    return false;
}

/* What the items say alike. 1 found, 0 nothing, -1 they differ. */
static int find(const iol_taker *t, const iol_map_row *row, char *out, size_t size) {
    iol_view item = {NULL, NULL};
    char other[40];
    int state = 0;
    while (iol_view_each(t->items, &item)) {
        int found = iol_map_find(row, t->set, item, state ? other : out, state ? sizeof other : size);
        if (found < 0 || (found && state && strcmp(out, other) != 0)) return -1;
        if (found) state = 1;
    }
    return state;
}

/* One of the first rows holds a value of this key. */
static bool has_among(const iol_taker *t, const char *key, int rows) {
    char text[40];
    for (int i = 0; i < rows; i++)
        if (iol_map[i].class == t->set->class && iol_map[i].kind <= IOL_MAP_BOTH && strcmp(iol_map[i].key, key) == 0 &&
            find(t, &iol_map[i], text, sizeof text) != 0)
            return true;
    return false;
}

bool iol_taker_has(const iol_taker *t, const char *key) { return has_among(t, key, iol_map_rows); }

/* Instruments write 0 for a length that was not measured. */
static bool is_nothing(const char *key, const char *text) {
    size_t length = strlen(key);
    bool is_length = strcmp(key + length - 3, "_mm") == 0 || strcmp(key + length - 3, "_um") == 0;
    return is_length && strspn(text, "0.") == strlen(text);
}

void iol_taker_row(iol_taker *t, int i) {
    const iol_map_row *row = &iol_map[i];
    char text[40], words[IOL_INTAKE_ORIGIN] = "";
    if (row->class == t->set->class && row->kind == IOL_MAP_SAY &&
        iol_dicom_has_code(t->set, t->eye, row->path, row->code))
        iol_taker_note(t, row->key, row->word);
    if (row->kind > IOL_MAP_BOTH || row->class != t->set->class || has_among(t, row->key, i)) return;
    int found = find(t, row, text, sizeof text);
    if (found < 0) iol_taker_note(t, row->key, "not taken: several values, and none is selected");
    if (found <= 0) return;
    if (is_nothing(row->key, text)) {
        iol_taker_note(t, row->key, "0 in the data set, taken as not measured");
        return;
    }
    const char *refused = refusal_of(t, row->key);
    if (refused) {
        iol_append(words, sizeof words, "not taken: wanted ");
        iol_append(words, sizeof words, refused);
        iol_taker_note(t, row->key, words);
        return;
    }
    if (row->kind == IOL_MAP_NEWEST) iol_append(words, sizeof words, ", the newest: none was selected");
    if (row->kind == IOL_MAP_NEWEST) iol_taker_note(t, row->key, "no length was selected: the newest is taken");
    if (strcmp(row->key, "biometry.white_to_white_mm") == 0) iol_append(words, sizeof words, ", corneal size");
    if (strncmp(row->key, "refraction_before_cataract.", 27) == 0)
        iol_append(words, sizeof words, ", as stated there, its own day not told");
    if (by_hand(t, row->key)) {
        iol_append(words, sizeof words, ", entered by hand");
        iol_taker_note(t, row->key, "was entered by hand at the instrument: check it");
    }
    iol_taker_put(t, row->key, text, words);
}

/* ---- what takes more than a row ---- */

/* The index that radii and dioptres were turned into each other with: n = 1 + K r / 1000, of those that keratometers have. */
static double index_of(const iol_taker *t) {
    static const char *const meridian[] = {"00460074", "00460080"};
    double sum = 0.0;
    int count = 0;
    for (int i = 0; i < 2; i++) {
        double radius, power;
        iol_view m = iol_dicom_value(t->eye, meridian[i]);
        if (!iol_view_number(iol_dicom_value(m, "00460075"), &radius) ||
            !iol_view_number(iol_dicom_value(m, "00460076"), &power))
            continue;
        sum += 1.0 + power * radius / 1000.0, count++;
    }
    return count ? iol_map_index(sum / count) : NAN;
}

void iol_taker_index(iol_taker *t) {
    char text[32], stated[32] = "";
    double index = index_of(t);
    if (isnan(index) || !t->biometry[0] || refusal_of(t, "biometry.k_flat_radius_mm")) return;
    if (index < 0.0) {
        iol_taker_note(t, "biometry.keratometric_index",
                       "not taken: radii and dioptres do not fit any index that keratometers are built with");
        return;
    }
    iol_print_number(index, 4, false, text, sizeof text);
    if (iol_dicom_number(iol_dicom_value(t->eye, "00221033"), 4, stated, sizeof stated) && strcmp(stated, text) != 0)
        iol_taker_note(t, "biometry.keratometric_index",
                       "the data set states another index than its radii and dioptres show: theirs is taken");
    iol_taker_put(t, "biometry.keratometric_index", text, ", from its radii and dioptres");
}

/* Without zeros at its end. */
static void shorten(char *number) {
    char *end = number + strlen(number) - 1;
    if (!strchr(number, '.')) return;
    while (*end == '0') *end-- = '\0';
    if (*end == '.') *end = '\0';
}

/* What the sheet printed for the lens that was put in. The calculation of a lens is no record of the lens put in: its constants are
 * taken only where that power stands on the sheet and no lens is named. */
static void take_constants(iol_taker *t) {
    iol_view item = {NULL, NULL}, list = iol_view_member(iol_view_member(t->eye, "00221092"), "Value");
    if (t->in->c->first_surgery.lens.lens_id[0] || t->count != 1) return;
    while (iol_view_each(list, &item)) {
        char text[32];
        const char *key = iol_map_constant(iol_dicom_value(item, "0040A043"));
        if (!key || !iol_dicom_number(iol_dicom_value(item, "0040A30A"), 4, text, sizeof text)) continue;
        shorten(text);
        iol_taker_put(t, key, text, ", of the lens calculated");
    }
}

void iol_taker_sheet(iol_taker *t) {
    char implanted[32], power[32], error[32], kept[32] = "";
    iol_view eye = {NULL, NULL};
    if (t->after || iol_print_number(t->in->c->first_surgery.lens.power_d, 2, false, implanted, sizeof implanted) == 0)
        return;
    while (iol_view_each(t->items, &eye)) {
        iol_view row = {NULL, NULL}, rows = iol_view_member(iol_view_member(eye, "00221090"), "Value");
        while (iol_view_each(rows, &row)) {
            if (!iol_dicom_number(iol_dicom_value(row, "00221053"), 2, power, sizeof power) ||
                strcmp(power, implanted) != 0)
                continue;
            if (!iol_dicom_number(iol_dicom_value(row, "00221054"), 2, error, sizeof error)) continue;
            if (kept[0] && strcmp(kept, error) != 0) {
                iol_taker_note(t, "first_surgery.sheet_se_d",
                               "not taken: several lenses were calculated, and the sheets differ");
                return;
            }
            memcpy(kept, error, sizeof kept);
        }
    }
    if (!kept[0]) return;
    iol_taker_put(t, "first_surgery.sheet_se_d", kept, ", for the power put in");
    take_constants(t);
}

void iol_taker_acuity(iol_taker *t) {
    char text[32];
    const bool corrected = iol_dicom_has_code(t->set, t->eye, "00460121", 419775003),
               bare = iol_dicom_has_code(t->set, t->eye, "00460121", 420050001);
    if (!iol_dicom_number(iol_dicom_value(t->eye, "00460137"), 3, text, sizeof text)) return;
    shorten(text);
    if (!corrected && !bare) {
        iol_intake_note(t->in, "/refractions", "acuity not taken: wanted the best corrected or the uncorrected one");
        return;
    }
    iol_taker_put(t, corrected ? "refractions.1.corrected_acuity_decimal" : "refractions.1.uncorrected_acuity_decimal",
                  text, "");
}
