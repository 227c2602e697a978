/* Data sets into a case: which eye, which day, before or after the operation. */
#include <stdlib.h>
#include <string.h>

#include "tables/say.h"
#include "taker.h"

/* ---- where it goes ---- */

static void need_day(iol_taker *t, const char *what) {
    iol_intake_fault(t->in, IOL_FAULT_missing, "/first_surgery/done_on", "nothing", what);
}

static bool coded(const iol_taker *t, long code) { return iol_dicom_has_code(t->set, t->eye, "00221024", code); }

static bool place_biometry(iol_taker *t) {
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

/* The reading that the case holds there is another one: of another day, or by another method. */
static bool other_reading(const iol_taker *t, const iol_refraction *held, int method) {
    if (!held->present) return false;
    bool other_method = held->method > 0 && method > 0 && held->method != method;
    return other_method || held->measured_on != t->set->day;
}

static bool skip_reading(iol_taker *t, const char *path) {
    iol_intake_note(t->in, path, "not taken: a reading of another day or method is there already");
    return false;
}

static bool place_before(iol_taker *t, int method, bool may_be_new) {
    const iol_refraction *held = &t->in->c->refraction_before_cataract;
    iol_append(t->reading, sizeof t->reading, "refraction_before_cataract");
    if (!may_be_new) return held->measured_on == t->set->day;
    return !other_reading(t, held, method) || skip_reading(t, "/refraction_before_cataract");
}

static bool place_reading(iol_taker *t, int method, bool may_be_new) {
    int32_t done = t->in->c->first_surgery.done_on, day = t->set->day;
    if (done == IOL_UNKNOWN_DATE || day == IOL_UNKNOWN_DATE) {
        need_day(t, "the day of the first operation (--set, or in --into), and one of the reading: they decide where "
                    "it belongs");
        return false;
    }
    if (day <= done) return place_before(t, method, may_be_new);
    int place = iol_intake_reading(t->in, day, method, may_be_new);
    if (place < 0 && may_be_new) iol_intake_fault(t->in, IOL_FAULT_too_long, "/refractions", "one more", "at most 16");
    if (place < 0) return false;
    iol_append(t->reading, sizeof t->reading, "refractions.");
    iol_append_number(t->reading, sizeof t->reading, place + 1);
    return true;
}

/* The state that a calculation states is a reading of a day that it does not tell: for want of another. */
static bool state_is_wanted(const iol_taker *t) {
    double sphere = 0.0, cylinder = 0.0;
    iol_view state = iol_dicom_value(t->eye, "0022001B");
    iol_view_number(iol_dicom_value(state, "00220007"), &sphere);
    iol_view_number(iol_dicom_value(state, "00220008"), &cylinder);
    return !t->after && !t->fellow && !t->in->c->refraction_before_cataract.present &&
           (sphere != 0.0 || cylinder != 0.0);
}

/* Depth and thickness belong to the crystalline lens, the depth behind an implanted one is another key; the fellow eye has nothing
 * but its biometry. */
static bool belongs(const iol_taker *t, const char *key, bool state) {
    const iol_case *c = t->in->c;
    const iol_biometry *b = t->fellow ? &c->fellow_eye.biometry : &c->biometry_repeat;
    bool depth = strcmp(key, "biometry.chamber_depth_mm") == 0,
         thickness = strcmp(key, "biometry.lens_thickness_mm") == 0;
    if (strncmp(key, "refraction_before_cataract.", 27) == 0) return state;
    if (t->fellow && strncmp(key, "biometry.", 9) != 0) return false;
    if (t->fellow && (depth || thickness) && b->eye_state == IOL_eye_state_phakic) return true;
    if (!t->after && !t->fellow) return true;
    return !thickness && strncmp(key, "first_surgery.", 14) != 0 &&
           (!depth || b->eye_state == IOL_eye_state_pseudophakic);
}

static iol_biometry *biometry_of(const iol_taker *t) {
    iol_case *c = t->in->c;
    return t->fellow ? &c->fellow_eye.biometry : t->after ? &c->biometry_repeat : &c->biometry;
}

static void take_rows(iol_taker *t) {
    const bool state = state_is_wanted(t);
    for (int i = 0; i < iol_map_rows; i++) /* what the eye held first */
        if (strcmp(iol_map[i].key ? iol_map[i].key : "", "biometry.eye_state") == 0) iol_taker_row(t, i);
    for (int i = 0; i < iol_map_rows; i++)
        if ((iol_map[i].kind <= IOL_MAP_BOTH || iol_map[i].kind == IOL_MAP_SAY) && belongs(t, iol_map[i].key, state))
            iol_taker_row(t, i);
    iol_taker_index(t);
}

static void take_biometry(iol_taker *t) {
    if (!place_biometry(t)) return;
    take_rows(t);
    const iol_biometry *b = biometry_of(t);
    if (t->day[0] && b->measured_on == IOL_UNKNOWN_DATE && b->present)
        iol_taker_put(t, "biometry.measured_on", t->day, "");
    if (t->day[0] && b->measured_on != IOL_UNKNOWN_DATE && b->measured_on != t->set->day)
        iol_taker_note(t, "biometry.measured_on", "values of more than one day stand together; each says its own");
    if (t->set->class == 8) iol_taker_sheet(t);
}

static void take_values(iol_taker *t) {
    const bool automatic = t->set->class == 2;
    iol_taker_put(t, "refractions.1.measured_on", t->day, "");
    iol_taker_put(t, "refractions.1.method", automatic ? "autorefractor" : "manifest", "");
    for (int i = 0; i < iol_map_rows; i++) iol_taker_row(t, i);
}

static int method_of(const iol_data_set *set) {
    return set->class == 2 ? IOL_refraction_method_autorefractor : IOL_refraction_method_manifest;
}

/* ---- the fellow eye: its biometry of one day; what it is now, from after the first operation of this one ---- */

static bool is_recent(const iol_taker *t) {
    int32_t done = t->in->c->first_surgery.done_on;
    return done != IOL_UNKNOWN_DATE && t->set->day != IOL_UNKNOWN_DATE && t->set->day > done;
}

static void take_fellow_lens(iol_taker *t) {
    const int state = t->in->c->fellow_eye.biometry.eye_state, held = t->in->c->fellow_eye.lens;
    const char *word = state > 0 ? IOL_WORD(eye_state, state) : NULL;
    if (!word || state == IOL_eye_state_silicone_oil || !is_recent(t)) return;
    if (held <= 0)
        iol_taker_put(t, "fellow_eye.lens", word, "");
    else if (strcmp(IOL_WORD(fellow_lens, held), word) != 0)
        iol_intake_note(t->in, "/fellow_eye/lens", "kept what the case says; a data set says otherwise: look");
}

static void fellow_biometry(iol_taker *t) {
    const iol_biometry *b = biometry_of(t);
    const int32_t day = b->present ? b->measured_on : t->length_day;
    if (day == IOL_UNKNOWN_DATE || t->set->day != day) {
        iol_intake_note(t->in, "/fellow_eye/biometry",
                        day == IOL_UNKNOWN_DATE ? "not taken: without a length" : "not taken: that of another day is");
        return;
    }
    iol_append(t->biometry, sizeof t->biometry, "fellow_eye.biometry");
    t->after = coded(t, 95217000) || b->eye_state == IOL_eye_state_pseudophakic;
    if (!b->present) iol_taker_put(t, "biometry.measured_on", t->day, "");
    take_rows(t);
    if (t->set->class == 7) take_fellow_lens(t);
}

static void take_fellow(iol_taker *t) {
    const iol_refraction *held = &t->in->c->fellow_eye.refraction;
    if (strchr("738", '0' + t->set->class)) {
        fellow_biometry(t);
        return;
    }
    if (!is_recent(t)) return;
    iol_append(t->reading, sizeof t->reading, "fellow_eye.refraction");
    if (t->set->class == 5 && held->measured_on == t->set->day) iol_taker_acuity(t);
    if (t->set->class == 5) return;
    if (other_reading(t, held, method_of(t->set)))
        skip_reading(t, "/fellow_eye/refraction");
    else
        take_values(t);
}

/* ---- all of them ---- */

/* Age, where the data set is of the year that the case counts to. */
static void take_age(iol_taker *t) {
    char text[8], years[8] = "";
    int32_t now = t->in->c->assessed_on;
    bool known = !isnan(t->in->c->age_years) || now == IOL_UNKNOWN_DATE || t->set->day == IOL_UNKNOWN_DATE;
    if (known || now < t->set->day || now - t->set->day > 365) return;
    if (!iol_view_text(iol_dicom_value(t->set->root, "00101010"), text, sizeof text) || strlen(text) != 4 ||
        text[3] != 'Y')
        return;
    if (strspn(text, "0123456789") != 3) return;
    iol_append_number(years, sizeof years, 100.0 * (text[0] - '0') + 10.0 * (text[1] - '0') + (text[2] - '0'));
    iol_taker_put(t, "age_years", years, "");
}

static void take_own(iol_taker *t) {
    const int class = t->set->class;
    if (class == 5) {
        if (place_reading(t, IOL_refraction_method_manifest, false))
            iol_taker_acuity(t);
        else if (t->in->faults->count == 0)
            iol_intake_note(t->in, "/refractions", "acuity not taken: no refraction of its day");
    } else if (class == 2 || class == 4) {
        if (place_reading(t, method_of(t->set), true)) take_values(t);
    } else
        take_biometry(t);
    take_age(t);
}

static iol_taker taker_of(const iol_data_set *set, bool right, bool fellow, iol_intake *intake) {
    const iol_map_class *class = iol_map_class_of(set->class);
    iol_taker t = {.in = intake, .set = set, .fellow = fellow, .length_day = IOL_UNKNOWN_DATE};
    t.items = iol_view_member(iol_view_member(set->root, right ? class->right : class->left), "Value");
    for (iol_view item = {NULL, NULL}; iol_view_each(t.items, &item); t.count++)
        if (t.count == 0) t.eye = item;
    if (set->day != IOL_UNKNOWN_DATE) iol_date_print(set->day, t.day);
    return t;
}

static void take_set(const iol_data_set *set, bool right, bool fellow, int32_t length_day, iol_intake *intake) {
    const iol_map_class *class = iol_map_class_of(set->class);
    iol_taker t = taker_of(set, right, fellow, intake);
    t.length_day = length_day;
    if (t.count > 0) {
        fellow ? take_fellow(&t) : take_own(&t);
    } else if (!fellow) {
        char words[80] = "nothing of this eye in the ";
        iol_append(words, sizeof words, class->name);
        iol_intake_note(intake, NULL, words);
    }
}

/* The newest first; of the same time, axial measurements before calculations. */
static int by_newest(const void *a, const void *b) {
    const iol_data_set *x = a, *y = b;
    static const int order[] = {[7] = 0, [3] = 1, [8] = 2, [4] = 3, [2] = 4, [5] = 5};
    if (strncmp(x->stamp, y->stamp, 8) != 0) return strncmp(y->stamp, x->stamp, 8);
    if (x->class != y->class) return order[x->class] - order[y->class];
    return strcmp(y->stamp, x->stamp);
}

/* The newest day with a length of this eye. */
static int32_t day_of_length(const iol_data_sets *sets, bool right, iol_intake *intake) {
    for (int i = 0; i < sets->count; i++) {
        iol_taker t = taker_of(&sets->set[i], right, true, intake);
        if (iol_taker_has(&t, "biometry.axial_length_mm")) return sets->set[i].day;
    }
    return IOL_UNKNOWN_DATE;
}

/* Readings before what stands in for them, manifest ones before automatic ones, acuity to the readings that there are then. */
static void take_eye(const iol_data_sets *sets, bool right, bool fellow, iol_intake *intake) {
    static const char *const pass[] = {"4", "2", "738", "5"};
    const int32_t length_day = fellow ? day_of_length(sets, right, intake) : IOL_UNKNOWN_DATE;
    for (size_t k = 0; k < sizeof pass / sizeof *pass; k++)
        for (int i = 0; i < sets->count; i++)
            if (strchr(pass[k], '0' + sets->set[i].class)) take_set(&sets->set[i], right, fellow, length_day, intake);
}

/* Nothing of a person passes, but data sets are compared among themselves. */
static bool of_one_person(const iol_data_sets *sets, iol_intake *intake) {
    if (iol_dicom_differ(sets, "00100030")) {
        iol_intake_fault(intake, IOL_FAULT_contradiction, "", "data sets with different dates of birth",
                         "those of one person: compare names on the instruments");
        return false;
    }
    if (iol_dicom_differ(sets, "00100020"))
        iol_intake_note(intake, NULL, "the data sets bear different patient numbers: compare names on the instruments");
    return true;
}

void iol_dicom_take(iol_data_sets *sets, int eye, iol_intake *intake) {
    const int before = intake->taken + intake->same;
    if (!of_one_person(sets, intake)) return;
    if (sets->others > 0) iol_intake_note(intake, NULL, "data sets of other classes were passed by");
    qsort(sets->set, (size_t)sets->count, sizeof *sets->set, by_newest);
    take_eye(sets, eye == IOL_side_right, false, intake);
    if (intake->taken + intake->same > before) take_eye(sets, eye != IOL_side_right, true, intake);
}
