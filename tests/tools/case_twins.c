/* The same eye written another way, and whether two plans say the same. */
#include <stdio.h>
#include <string.h>

#include "random_case.h"
#include "tables/note_codes.h"

static double meridian(double deg) { return deg >= 180.0 ? 180.0 : 180.0 - deg; }
static double place(double deg) { return fmod(540.0 - deg, 360.0); }
static double hour(double clock) { return fmod(24.0 - clock, 12.0) == 0.0 ? 12.0 : fmod(24.0 - clock, 12.0); }

static bool ends(const char *key, const char *ending) {
    size_t length = strlen(key), more = strlen(ending);
    return length >= more && strcmp(key + length - more, ending) == 0;
}

static bool is_meridian(const char *key) {
    return ends(key, "_deg") && (strstr(key, "axis") || strstr(key, "meridian"));
}

/* What a mirror makes of a number, by the name of its key; itself where it has no side. */
static double mirror_number(const char *key, double x) {
    if (is_meridian(key)) return meridian(x);
    if (ends(key, "position_deg") || ends(key, "base_deg")) return place(x);
    if (ends(key, "_from_clock") || ends(key, "_to_clock") || ends(key, "junction_clock")) return hour(x);
    if (strcmp(key, "turn_deg") == 0 || strcmp(key, "turn_back_deg") == 0) return -x;
    return x;
}

static int mirror_word(const iol_word_set *set, int word) {
    if (set == &iol_words_side && word > 0) return word == IOL_side_right ? IOL_side_left : IOL_side_right;
    if (set == &iol_words_hand && word > 0) return word == IOL_hand_right ? IOL_hand_left : IOL_hand_right;
    if (set == &iol_words_direction && word > 0)
        return word == IOL_direction_clockwise ? IOL_direction_anticlockwise : IOL_direction_clockwise;
    if (set == &iol_words_turns && word == IOL_turns_anticlockwise) return IOL_turns_clockwise;
    if (set == &iol_words_turns && word == IOL_turns_clockwise) return IOL_turns_anticlockwise;
    return word;
}

static void mirror_object(const iol_object *object, void *base) {
    for (int i = 0; i < object->count; i++) {
        const iol_field *f = &object->field[i];
        void *at = IOL_FIELD_AT(base, f);
        if (f->kind == IOL_KIND_NUM && !isnan(*(double *)at)) *(double *)at = mirror_number(f->key, *(double *)at);
        if (f->kind == IOL_KIND_WORD) *(int *)at = mirror_word(f->words, *(int *)at);
        if (f->kind == IOL_KIND_PART) mirror_object(f->inside, at);
        int count = f->kind == IOL_KIND_LIST ? *(int *)(void *)((char *)base + f->count_offset) : 0;
        for (int k = 0; k < count; k++) mirror_object(f->inside, (char *)at + (size_t)k * f->inside->size);
    }
}

/* The dial's hours run clockwise: the first of a gap becomes its last. */
static void turn_gap(iol_zonule *z) {
    double from = z->missing_from_clock;
    z->missing_from_clock = z->missing_to_clock;
    z->missing_to_clock = from;
}

void case_mirror(iol_case *c, iol_case *mirrored) {
    iol_operation *o = &c->operation;
    iol_lens *lens = &c->first_surgery.lens;
    o->present = c->first_surgery.present = lens->present = true;
    if (lens->turns_freely != IOL_turns_anticlockwise) lens->turns_freely = IOL_turns_clockwise;
    if (lens->way_up == IOL_way_up_reversed) lens->way_up = IOL_way_up_right; /* a way to turn fits one of the two alone */
    if (c->second_lens.way_up == IOL_way_up_reversed) c->second_lens.way_up = IOL_way_up_right;
    if (c->second_lens.present && c->second_lens.turns_freely != IOL_turns_anticlockwise)
        c->second_lens.turns_freely = IOL_turns_clockwise;
    if (o->surgeon_hand <= 0) o->surgeon_hand = IOL_hand_right;
    if (isnan(o->incision_position_deg)) o->incision_position_deg = c->eye == IOL_side_right ? 180.0 : 0.0;
    *mirrored = *c;
    mirror_object(iol_object_case, mirrored);
    turn_gap(&mirrored->zonule);
}

void case_other_cylinder(const iol_case *c, iol_case *other) {
    *other = *c;
    iol_refraction *all[16 + 2] = {&other->refraction_before_cataract, &other->fellow_eye.refraction};
    int count = 2;
    for (int i = 0; i < other->refractions_count; i++) all[count++] = &other->refractions[i];
    for (int i = 0; i < count; i++) {
        iol_refraction *r = all[i];
        if (isnan(r->cylinder_d) || r->cylinder_d == 0.0) continue;
        r->sphere_d += r->cylinder_d;
        r->cylinder_d = -r->cylinder_d;
        r->axis_deg = r->axis_deg > 90.0 ? r->axis_deg - 90.0 : r->axis_deg + 90.0;
    }
}

void case_radii(iol_case *c, iol_case *other) {
    iol_biometry *given[] = {&c->biometry, &c->biometry_repeat, &c->fellow_eye.biometry};
    for (int i = 0; i < 3; i++)
        if (isnan(given[i]->keratometric_index)) given[i]->keratometric_index = 1.3375;
    *other = *c;
    iol_biometry *all[] = {&other->biometry, &other->biometry_repeat, &other->fellow_eye.biometry};
    for (int i = 0; i < 3; i++) {
        iol_biometry *b = all[i];
        if (isnan(b->k_flat_d) && isnan(b->k_steep_d)) continue;
        double index = b->keratometric_index;
        b->k_flat_radius_mm = 1000.0 * (index - 1.0) / b->k_flat_d;
        b->k_steep_radius_mm = 1000.0 * (index - 1.0) / b->k_steep_d;
        b->k_flat_d = b->k_steep_d = NAN;
    }
}

/* ---- do two plans say the same? ---- */
typedef struct {
    bool mirrored, rewritten;
    double tolerance;
    char *where; /* room for 160 */
} comparer;

static bool told(comparer *k, const char *key, double a, double b) {
    char inner[100];
    snprintf(inner, sizeof inner, "%.95s", k->where);
    if (strchr(inner, ':'))
        snprintf(k->where, 160, "%.40s/%s", key, inner);
    else
        snprintf(k->where, 160, "%.40s: %.9g, %.9g", key, a, b);
    return true;
}

static bool numbers_differ(comparer *k, const iol_field *f, double a, double b) {
    double period = is_meridian(f->key) ? 180.0 : ends(f->key, "position_deg") ? 360.0 : 0.0;
    if (isnan(a) || isnan(b)) return isnan(a) != isnan(b) && told(k, f->key, a, b);
    double want = k->mirrored ? mirror_number(f->key, a) : a, apart = fabs(want - b);
    double tolerance = k->tolerance * fmax(1.0, fabs(a));
    if (period > 0.0) apart = fabs(remainder(want - b, period));
    if (ends(f->key, "_deg")) tolerance = 1e6 * k->tolerance; /* some are found by a search */
    return !(apart <= tolerance) && told(k, f->key, want, b);
}

static bool objects_differ(comparer *k, const iol_object *object, const void *a, const void *b);

static bool fields_differ(comparer *k, const iol_field *f, const void *base_a, const void *base_b) {
    const void *a = (const char *)base_a + f->offset, *b = (const char *)base_b + f->offset;
    int word_a = 0, word_b = 0, count_a = 0, count_b = 0;
    switch (f->kind) {
    case IOL_KIND_NUM: return numbers_differ(k, f, *(const double *)a, *(const double *)b);
    case IOL_KIND_WORD:
    case IOL_KIND_FLAG:
        word_a = *(const int *)a, word_b = *(const int *)b;
        if (k->mirrored && f->kind == IOL_KIND_WORD) word_a = mirror_word(f->words, word_a);
        return word_a != word_b && told(k, f->key, word_a, word_b);
    case IOL_KIND_DATE:
        return *(const int32_t *)a != *(const int32_t *)b && told(k, f->key, *(const int32_t *)a, *(const int32_t *)b);
    case IOL_KIND_TEXT: return strcmp(a, b) != 0 && told(k, f->key, 0.0, 0.0);
    case IOL_KIND_STRING: return *(const char *const *)a != *(const char *const *)b && told(k, f->key, 0.0, 0.0);
    case IOL_KIND_PART:
    case IOL_KIND_SAME: return objects_differ(k, f->inside, a, b) && told(k, f->key, 0.0, 0.0);
    case IOL_KIND_LIST:
        count_a = *(const int *)(const void *)((const char *)base_a + f->count_offset);
        count_b = *(const int *)(const void *)((const char *)base_b + f->count_offset);
        if (count_a != count_b) return told(k, f->key, count_a, count_b);
        for (int i = 0; i < count_a; i++) {
            size_t element = (size_t)i * f->inside->size;
            if (objects_differ(k, f->inside, (const char *)a + element, (const char *)b + element))
                return told(k, f->key, i, i);
        }
        return false;
    default: return false;
    }
}

/* An axis has no meaning without cylinder. */
static bool no_cylinder(const iol_object *object, const void *at) {
    const iol_field *cylinder = iol_object_find(object, "cylinder_d", strlen("cylinder_d"));
    return cylinder && fabs(*(const double *)(const void *)((const char *)at + cylinder->offset)) < 1e-4;
}

static bool objects_differ(comparer *k, const iol_object *object, const void *a, const void *b) {
    if (*(const bool *)a != *(const bool *)b) return told(k, object->name, *(const bool *)a, *(const bool *)b);
    for (int i = 0; i < object->count; i++) {
        if (strcmp(object->field[i].key, "axis_deg") == 0 && no_cylinder(object, a)) continue;
        if (k->rewritten && object->field[i].inside && strcmp(object->field[i].inside->name, "suspect") == 0) continue;
        if (fields_differ(k, &object->field[i], a, b)) return true;
    }
    return false;
}

/* What is said of a figure as written, not of the eye. */
static bool of_writing(const iol_note *note) {
    return note->place == IOL_AT_suspect_check || note->code == IOL_NOTE_unusual || note->code == IOL_NOTE_axis_zero;
}

/* The next note that is compared, from `at` on. */
static int next_note(const comparer *k, const iol_notes *notes, int at) {
    while (at < notes->count && (k->rewritten || k->mirrored) && of_writing(&notes->item[at])) at++;
    return at;
}

static bool same_note(const iol_note *a, const iol_note *b) {
    return a->place == b->place && a->row == b->row && a->code == b->code;
}

void plans_differ(const iol_plan *a, const iol_plan *b, twin kind, double tolerance, char where[160]) {
    comparer k = {kind == TWIN_MIRRORED, kind == TWIN_REWRITTEN, tolerance, where};
    where[0] = '\0';
    if (objects_differ(&k, iol_object_plan, a, b)) return;
    int i = next_note(&k, &a->notes, 0), j = next_note(&k, &b->notes, 0);
    while (i < a->notes.count && j < b->notes.count && same_note(&a->notes.item[i], &b->notes.item[j]))
        i = next_note(&k, &a->notes, i + 1), j = next_note(&k, &b->notes, j + 1);
    if (i < a->notes.count || j < b->notes.count)
        snprintf(where, 160, "note: %s, %s", i < a->notes.count ? iol_note_rows[a->notes.item[i].code].code : "none",
                 j < b->notes.count ? iol_note_rows[b->notes.item[j].code].code : "none");
}
