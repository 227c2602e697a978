/* Data sets into a case: which eye, which day, before or after the operation, what is refused, and the origin of each value. */
#include "dicom_map.h"

#include <stdlib.h>
#include <string.h>

#include "tables/say.h"
#include "text/number.h"

/* ---- one set, one eye ---- */

typedef struct {
    iol_intake *in;
    const iol_data_set *set;
    iol_view eye; /* first item of the eye's sequence */
    iol_view items;
    int count;                      /* items: a lens calculation has one for each lens */
    char biometry[32], reading[40]; /* where its values go; "" nowhere */
    bool after;                     /* biometry of an eye whose first operation is over */
    char day[11];
} taker;

static void origin(const taker *t, const char *more, char out[IOL_INTAKE_ORIGIN]) {
    out[0] = '\0';
    iol_append(out, IOL_INTAKE_ORIGIN, "DICOM, ");
    iol_append(out, IOL_INTAKE_ORIGIN, iol_map_class_of(t->set->class)->name);
    iol_append(out, IOL_INTAKE_ORIGIN, t->day[0] ? " of " : ", day not known");
    iol_append(out, IOL_INTAKE_ORIGIN, t->day);
    iol_append(out, IOL_INTAKE_ORIGIN, more);
}

/* The place in the case of a key of the table; "" where it goes nowhere. */
static void place_of(const taker *t, const char *key, char out[IOL_ENTRY_PATH]) {
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

static void put(taker *t, const char *key, const char *text, const char *more) {
    char path[IOL_ENTRY_PATH], words[IOL_INTAKE_ORIGIN];
    place_of(t, key, path);
    origin(t, more, words);
    if (path[0]) iol_intake_put(t->in, path, text, words);
}

/* "/biometry/chamber_depth_mm", for messages. */
static void note(taker *t, const char *key, const char *words) {
    char path[IOL_ENTRY_PATH] = "", pointer[IOL_ENTRY_PATH] = "/";
    place_of(t, key, path);
    iol_append(pointer, sizeof pointer, path[0] ? path : key);
    for (char *p = pointer; *p; p++)
        if (*p == '.') *p = '/';
    iol_intake_note(t->in, pointer, words);
}

static bool is_keratometry(const char *key) { return strncmp(key, "biometry.k", 10) == 0; }

/* The sentence of a row that refuses this key. */
static const char *refusal_of(const taker *t, const char *key) {
    for (int i = 0; i < iol_map_rows; i++) {
        const iol_map_row *row = &iol_map[i];
        if (row->kind != IOL_MAP_REFUSE || row->class != t->set->class) continue;
        bool meant = row->key ? strcmp(row->key, key) == 0 : is_keratometry(key);
        if (meant && iol_dicom_has_code(t->set, t->eye, row->path, row->code)) return row->word;
    }
    return NULL;
}

static bool by_hand(const taker *t, const char *key) {
    for (int i = 0; i < iol_map_rows; i++) {
        const iol_map_row *row = &iol_map[i];
        if (row->kind == IOL_MAP_HAND && row->class == t->set->class && strcmp(row->key, key) == 0 &&
            iol_dicom_has_code(t->set, t->eye, row->path, row->code))
            return true;
    }
    return false;
}

/* What the items say alike. 1 found, 0 nothing, -1 they differ. */
static int find(const taker *t, const iol_map_row *row, char *out, size_t size) {
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

/* Taken already from an earlier row of this class. */
static bool has_earlier(const taker *t, int row) {
    char text[40];
    for (int i = 0; i < row; i++)
        if (iol_map[i].class == t->set->class && iol_map[i].kind <= IOL_MAP_BOTH &&
            strcmp(iol_map[i].key, iol_map[row].key) == 0 && find(t, &iol_map[i], text, sizeof text) != 0)
            return true;
    return false;
}

static void take_row(taker *t, int i) {
    const iol_map_row *row = &iol_map[i];
    char text[40], words[IOL_INTAKE_ORIGIN] = "";
    if (row->kind > IOL_MAP_BOTH || row->class != t->set->class || has_earlier(t, i)) return;
    int found = find(t, row, text, sizeof text);
    if (found < 0) note(t, row->key, "not taken: several values, and none is selected");
    if (found <= 0) return;
    const char *refused = refusal_of(t, row->key);
    if (refused) {
        iol_append(words, sizeof words, "not taken: wanted ");
        iol_append(words, sizeof words, refused);
        note(t, row->key, words);
        return;
    }
    if (row->kind == IOL_MAP_NEWEST) iol_append(words, sizeof words, ", the newest: none was selected");
    if (row->kind == IOL_MAP_NEWEST) note(t, row->key, "no length was selected: the newest is taken");
    if (strcmp(row->key, "biometry.white_to_white_mm") == 0) iol_append(words, sizeof words, ", corneal size");
    if (by_hand(t, row->key)) {
        iol_append(words, sizeof words, ", entered by hand");
        note(t, row->key, "was entered by hand at the instrument: check it");
    }
    put(t, row->key, text, words);
}

/* ---- what takes more than a row ---- */

/* The index that radii and dioptres were turned into each other with: n = 1 + K r / 1000, of those that keratometers have. */
static double index_of(const taker *t) {
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

static void take_index(taker *t) {
    char text[32], stated[32] = "";
    double index = index_of(t);
    if (isnan(index) || !t->biometry[0] || refusal_of(t, "biometry.k_flat_radius_mm")) return;
    if (index < 0.0) {
        note(t, "biometry.keratometric_index",
             "not taken: radii and dioptres do not fit any index that keratometers are built with");
        return;
    }
    iol_print_number(index, 4, false, text, sizeof text);
    if (iol_dicom_number(iol_dicom_value(t->eye, "00221033"), 4, stated, sizeof stated) && strcmp(stated, text) != 0)
        note(t, "biometry.keratometric_index",
             "the data set states another index than its radii and dioptres show: theirs is taken");
    put(t, "biometry.keratometric_index", text, ", from its radii and dioptres");
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
static void take_constants(taker *t) {
    iol_view item = {NULL, NULL}, list = iol_view_member(iol_view_member(t->eye, "00221092"), "Value");
    if (t->in->c->first_surgery.lens.lens_id[0] || t->count != 1) return;
    while (iol_view_each(list, &item)) {
        char text[32];
        const char *key = iol_map_constant(iol_dicom_value(item, "0040A043"));
        if (!key || !iol_dicom_number(iol_dicom_value(item, "0040A30A"), 4, text, sizeof text)) continue;
        shorten(text);
        put(t, key, text, ", of the lens calculated");
    }
}

static void take_sheet(taker *t) {
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
                note(t, "first_surgery.sheet_se_d", "not taken: several lenses were calculated, and the sheets differ");
                return;
            }
            memcpy(kept, error, sizeof kept);
        }
    }
    if (!kept[0]) return;
    put(t, "first_surgery.sheet_se_d", kept, ", for the power put in");
    take_constants(t);
}

static void take_acuity(taker *t) {
    char text[32];
    const bool corrected = iol_dicom_has_code(t->set, t->eye, "00460121", 419775003),
               bare = iol_dicom_has_code(t->set, t->eye, "00460121", 420050001);
    if (!iol_dicom_number(iol_dicom_value(t->eye, "00460137"), 3, text, sizeof text)) return;
    shorten(text);
    if (!corrected && !bare) {
        iol_intake_note(t->in, "/refractions", "acuity not taken: wanted the best corrected or the uncorrected one");
        return;
    }
    put(t, corrected ? "refractions.1.corrected_acuity_decimal" : "refractions.1.uncorrected_acuity_decimal", text, "");
}

/* ---- where it goes ---- */

static void need_day(taker *t, const char *what) {
    iol_intake_fault(t->in, IOL_FAULT_missing, "/first_surgery/done_on", "nothing", what);
}

static bool coded(const taker *t, long code) { return iol_dicom_has_code(t->set, t->eye, "00221024", code); }

static bool place_biometry(taker *t) {
    int32_t done = t->in->c->first_surgery.done_on, day = t->set->day;
    bool known = done != IOL_UNKNOWN_DATE && day != IOL_UNKNOWN_DATE, phakic = coded(t, 309649001),
         pseudophakic = coded(t, 95217000);
    if (!known && !phakic && !pseudophakic) {
        need_day(t,
                 "the day of the first operation (--set, or in --into): it decides whether this was measured before");
        return false;
    }
    t->after = known ? day > done : pseudophakic;
    if (t->after ? phakic : pseudophakic) {
        iol_intake_fault(t->in, IOL_FAULT_contradiction,
                         t->after ? "/biometry_repeat/eye_state" : "/biometry/eye_state",
                         t->after ? "phakic, measured after the first operation"
                                  : "pseudophakic, measured before the first operation",
                         "a lens status and a day that fit each other: is it the right person's file?");
        return false;
    }
    iol_append(t->biometry, sizeof t->biometry, t->after ? "biometry_repeat" : "biometry");
    return true;
}

static bool place_reading(taker *t, int method, bool may_be_new) {
    int32_t done = t->in->c->first_surgery.done_on, day = t->set->day;
    if (done == IOL_UNKNOWN_DATE || day == IOL_UNKNOWN_DATE) {
        need_day(t, "the day of the first operation (--set, or in --into), and one of the reading: they decide where "
                    "it belongs");
        return false;
    }
    if (day <= done) {
        iol_append(t->reading, sizeof t->reading, "refraction_before_cataract");
        return may_be_new || t->in->c->refraction_before_cataract.measured_on == day;
    }
    int place = iol_intake_reading(t->in, day, method, may_be_new);
    if (place < 0 && may_be_new) iol_intake_fault(t->in, IOL_FAULT_too_long, "/refractions", "one more", "at most 16");
    if (place < 0) return false;
    iol_append(t->reading, sizeof t->reading, "refractions.");
    iol_append_number(t->reading, sizeof t->reading, place + 1);
    return true;
}

/* Depth and thickness of a lens that is not the crystalline one. */
static bool belongs(const taker *t, const char *key) {
    bool depth = strcmp(key, "biometry.chamber_depth_mm") == 0,
         thickness = strcmp(key, "biometry.lens_thickness_mm") == 0;
    bool intended = strncmp(key, "first_surgery.", 14) == 0;
    if (!t->after) return true;
    return !thickness && !intended && (!depth || t->in->c->biometry_repeat.eye_state == IOL_eye_state_pseudophakic);
}

static void take_biometry(taker *t) {
    char held[24];
    if (!place_biometry(t)) return;
    for (int i = 0; i < iol_map_rows; i++) /* what the eye held first */
        if (iol_map[i].class == t->set->class &&
            strcmp(iol_map[i].key ? iol_map[i].key : "", "biometry.eye_state") == 0)
            take_row(t, i);
    for (int i = 0; i < iol_map_rows; i++)
        if (iol_map[i].class == t->set->class && iol_map[i].kind <= IOL_MAP_BOTH && belongs(t, iol_map[i].key))
            take_row(t, i);
    take_index(t);
    const iol_biometry *b = t->after ? &t->in->c->biometry_repeat : &t->in->c->biometry;
    if (t->day[0] && b->measured_on == IOL_UNKNOWN_DATE && b->present) put(t, "biometry.measured_on", t->day, "");
    if (t->day[0] && b->measured_on != IOL_UNKNOWN_DATE && b->measured_on != t->set->day) {
        iol_date_print(b->measured_on, held);
        note(t, "biometry.measured_on", "values of more than one day stand together; each says its own");
    }
    if (t->set->class == 8) take_sheet(t);
}

static void take_reading(taker *t) {
    const bool automatic = t->set->class == 2;
    if (!place_reading(t, automatic ? IOL_refraction_method_autorefractor : IOL_refraction_method_manifest, true))
        return;
    put(t, "refractions.1.measured_on", t->day, "");
    put(t, "refractions.1.method", automatic ? "autorefractor" : "manifest", "");
    for (int i = 0; i < iol_map_rows; i++) take_row(t, i);
}

/* Age, where the data set is of the year that the case counts to. */
static void take_age(taker *t) {
    char text[8], years[8] = "";
    int32_t now = t->in->c->assessed_on;
    bool known = !isnan(t->in->c->age_years) || now == IOL_UNKNOWN_DATE || t->set->day == IOL_UNKNOWN_DATE;
    if (known || now < t->set->day || now - t->set->day > 365) return;
    if (!iol_view_text(iol_dicom_value(t->set->root, "00101010"), text, sizeof text) || strlen(text) != 4 ||
        text[3] != 'Y')
        return;
    if (strspn(text, "0123456789") != 3) return;
    iol_append_number(years, sizeof years, 100.0 * (text[0] - '0') + 10.0 * (text[1] - '0') + (text[2] - '0'));
    put(t, "age_years", years, "");
}

static void take_set(const iol_data_set *set, int eye, iol_intake *intake) {
    const iol_map_class *class = iol_map_class_of(set->class);
    taker t = {.in = intake, .set = set};
    const char *tag = eye == IOL_side_right ? class->right : class->left;
    t.items = iol_view_member(iol_view_member(set->root, tag), "Value");
    for (iol_view item = {NULL, NULL}; iol_view_each(t.items, &item); t.count++)
        if (t.count == 0) t.eye = item;
    if (set->day != IOL_UNKNOWN_DATE) iol_date_print(set->day, t.day);
    if (t.count == 0) {
        char words[80] = "nothing of this eye in the ";
        iol_append(words, sizeof words, class->name);
        iol_intake_note(intake, NULL, words);
        return;
    }
    if (set->class == 5) {
        if (place_reading(&t, 0, false))
            take_acuity(&t);
        else if (intake->faults->count == 0)
            iol_intake_note(intake, "/refractions", "acuity not taken: no refraction of its day");
    } else if (set->class == 2 || set->class == 4)
        take_reading(&t);
    else
        take_biometry(&t);
    take_age(&t);
}

/* The newest first; of the same time, axial measurements before calculations, and manifest readings before automatic ones. */
static int by_newest(const void *a, const void *b) {
    const iol_data_set *x = a, *y = b;
    static const int order[] = {[7] = 0, [3] = 1, [8] = 2, [4] = 3, [2] = 4, [5] = 5};
    if (strncmp(x->stamp, y->stamp, 8) != 0) return strncmp(y->stamp, x->stamp, 8);
    if (x->class != y->class) return order[x->class] - order[y->class];
    return strcmp(y->stamp, x->stamp);
}

void iol_dicom_take(iol_data_sets *sets, int eye, iol_intake *intake) {
    qsort(sets->set, (size_t)sets->count, sizeof *sets->set, by_newest);
    for (int i = 0; i < sets->count; i++)
        if (sets->set[i].class != 5) take_set(&sets->set[i], eye, intake);
    for (int i = 0; i < sets->count; i++)
        if (sets->set[i].class == 5) take_set(&sets->set[i], eye, intake);
}
