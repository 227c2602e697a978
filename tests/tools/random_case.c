/* Random cases: a walk over the table draws every field, then what belongs together is drawn together. */
#include "random_case.h"

#include <stdio.h>
#include <stdlib.h>
#include <string.h>

#include "eye/eye.h"
#include "leaves.h"

/* ---- chance: splitmix64 ---- */
typedef struct {
    uint64_t state;
    const iol_site *site;
    double known, sick; /* of this case: share of the leaves that are known, of the findings that are there */
} source;

static double uniform(source *s) {
    uint64_t z = s->state += 0x9e3779b97f4a7c15u;
    z = (z ^ (z >> 30)) * 0xbf58476d1ce4e5b9u;
    z = (z ^ (z >> 27)) * 0x94d049bb133111ebu;
    return ((double)((z ^ (z >> 31)) >> 11) + 0.5) / 9007199254740992.0;
}
static bool chance(source *s, double share) { return uniform(s) < share; }
static int below(source *s, int count) { return (int)(uniform(s) * count); }
static double between(source *s, double low, double high) { return low + (high - low) * uniform(s); }
static double normal(source *s, double mean, double sd) {
    double size = sqrt(-2.0 * log(uniform(s)));
    return mean + sd * size * cos(6.283185307179586 * uniform(s));
}
static double step(double x, double size) { return size * floor(x / size + 0.5); }
static double held(double x, double low, double high) { return x < low ? low : x > high ? high : x; }

/* ---- every field ---- */
static const struct {
    const char *key;
    double share; /* of the cases in which the object, or the yes of the field, is there */
} own_share[] = {{"second_lens", 0.05}, {"meant_lens", 0.10}, {"outcome", 0.05},    {"dislocation", 0.03},
                 {"checks", 0.95},      {"oct_done", 0.7},    {"aphakic_now", 0.05}};

static double share_of(const char *key, double usual) {
    for (size_t i = 0; i < sizeof own_share / sizeof *own_share; i++)
        if (strcmp(own_share[i].key, key) == 0) return own_share[i].share;
    return usual;
}

/* Mostly usual, now and then unusual, seldom anything that is not refused. */
static double draw_number(source *s, const iol_field *f) {
    double low = f->usual_low, high = f->usual_high, kind = uniform(s);
    if (kind < 0.03) low = f->hard_low, high = f->hard_high;
    if (kind >= 0.03 && kind < 0.10) {
        double wide = 0.2 * (high - low);
        low = held(low - wide, f->hard_low, f->hard_high), high = held(high + wide, f->hard_low, f->hard_high);
    }
    int digits = iol_units[f->unit].json_decimals > 2 ? 2 : iol_units[f->unit].json_decimals;
    double x = step(between(s, low, high), pow(10.0, -digits));
    return held(x, f->hard_low, f->hard_high);
}

/* The first word of a set is the ordinary one, but for findings, which are yes or no. */
static int draw_word(source *s, const iol_word_set *set) {
    if (set->not_examined && chance(s, 0.05)) return IOL_NOT_EXAMINED;
    if (chance(s, 0.6 - 0.5 * s->sick)) return set == &iol_words_finding ? IOL_finding_no : 1;
    return 1 + below(s, set->count - 1);
}

static void draw_text(source *s, const iol_field *f, char *text) {
    const iol_site *site = s->site;
    const char *drawn = "x-1";
    char made[41];
    if (strcmp(f->key, "lens_id") == 0 && site->lenses_count > 0) drawn = site->lenses[below(s, site->lenses_count)].id;
    if (strcmp(f->key, "sheet_formula") == 0) drawn = iol_formulas[below(s, IOL_FORMULA_COUNT)].name;
    if (strstr(f->key, "snellen")) {
        snprintf(made, sizeof made, "6/%d", 4 + below(s, 15));
        drawn = made;
    }
    if ((int)strlen(drawn) <= f->most) memcpy(text, drawn, strlen(drawn) + 1);
}

static void draw_words(source *s, const iol_field *f, void *at, void *count_at) {
    int *list = at, *count = count_at;
    for (int tries = below(s, 3); tries > 0; tries--) {
        int word = 1 + below(s, f->words->count - 1);
        bool there = false;
        for (int i = 0; i < *count; i++) there = there || list[i] == word;
        if (!there && *count < f->most) list[(*count)++] = word;
    }
}

static void draw_object(source *s, const iol_object *object, void *at, double yes);

static void draw_field(source *s, const iol_field *f, void *base, double yes) {
    void *at = IOL_FIELD_AT(base, f), *count = (char *)base + f->count_offset;
    if (f->kind == IOL_KIND_PART) {
        bool asked = strcmp(f->key, "checks") == 0 || strcmp(f->key, "wish") == 0;
        if (chance(s, share_of(f->key, 0.92))) draw_object(s, f->inside, at, asked ? 0.7 : s->sick);
        return;
    }
    if (f->kind == IOL_KIND_LIST) {
        int elements = below(s, 4);
        for (int i = 0; i < elements && i < f->most; i++)
            draw_object(s, f->inside, (char *)at + (size_t)i * f->inside->size, yes);
        *(int *)count = elements;
        return;
    }
    if (!chance(s, s->known)) return;
    switch (f->kind) {
    case IOL_KIND_NUM: *(double *)at = draw_number(s, f); break;
    case IOL_KIND_WORD: *(int *)at = draw_word(s, f->words); break;
    case IOL_KIND_FLAG: *(iol_flag *)at = iol_from_bool(chance(s, share_of(f->key, yes))); break;
    case IOL_KIND_TEXT: draw_text(s, f, at); break;
    case IOL_KIND_WORDS: draw_words(s, f, at, count); break;
    case IOL_KIND_DATE: *(int32_t *)at = 20000 + below(s, 400); break;
    default: break;
    }
}

static void draw_object(source *s, const iol_object *object, void *at, double yes) {
    for (int i = 0; i < object->count; i++) draw_field(s, &object->field[i], at, yes);
}

/* ---- what belongs together ---- */
typedef struct {
    double length_mm, k_d, half_d, axis_deg;
} body;

static void set_known(double *at, double value) {
    if (!isnan(*at)) *at = value;
}

static void write_biometry(source *s, const body *eye, iol_biometry *b) {
    static const double indices[] = {1.3315, 1.332, 1.336};
    double index = chance(s, 0.8) ? 1.3375 : indices[below(s, 3)];
    bool radii = chance(s, 0.2);
    double flat = step(eye->k_d - eye->half_d + normal(s, 0.0, 0.1), 0.01);
    double steep = step(eye->k_d + eye->half_d + normal(s, 0.0, 0.1), 0.01);
    if (flat > steep) flat = steep;
    set_known(&b->axial_length_mm, step(normal(s, eye->length_mm, 0.05), 0.01));
    set_known(&b->k_steep_axis_deg, eye->axis_deg);
    set_known(&b->keratometric_index, index);
    double told = isnan(b->keratometric_index) ? 1.0 : (index - 1.0) / 0.3375; /* dioptres by that index */
    set_known(&b->k_flat_d, step(told * flat, 0.01));
    set_known(&b->k_steep_d, step(told * steep, 0.01));
    set_known(&b->k_flat_radius_mm, step(337.5 / flat, 0.001));
    set_known(&b->k_steep_radius_mm, step(337.5 / steep, 0.001));
    if (radii)
        b->k_flat_d = b->k_steep_d = NAN;
    else
        b->k_flat_radius_mm = b->k_steep_radius_mm = NAN;
}

/* A lens chosen for the aim, now and then wrong by some dioptres. */
static void write_lens(source *s, const body *eye, iol_case *c, iol_model *model) {
    iol_first_surgery *f = &c->first_surgery;
    iol_constants *k = &f->lens.constants;
    double a = step(between(s, 118.0, 119.4), 0.1), aim = isnan(f->intended_se_d) ? -0.3 : f->intended_se_d,
           power = NAN;
    iol_formula_input in = {.axial_length_mm = eye->length_mm, .radius_mm = 337.5 / eye->k_d, .chamber_depth_mm = NAN};
    in.lens = (iol_lens_constants){a, iol_surgeon_factor_from_a(a), NAN, NAN, NAN, NAN};
    in.radius_before_mm = NAN;
    if (iol_formula_predict(IOL_FORMULA_holladay_1, &in, model) >= 0) iol_power_for(*model, aim, 12.0, &power);
    set_known(&k->a_constant, a);
    set_known(&k->surgeon_factor_mm, step(iol_surgeon_factor_from_a(a), 0.01));
    set_known(&k->pacd_mm, step(iol_pacd_from_a(a), 0.01));
    if (chance(s, 0.8) || k->for_position != f->lens.position) k->for_position = 0; /* constants of that lens */
    if (isnan(power)) return;
    double wrong = chance(s, 0.2) ? normal(s, 0.0, 4.0) : 0.0;
    set_known(&f->lens.power_d, held(step(power + wrong, 0.5), -10.0, 40.0));
    set_known(&f->sheet_se_d, step(aim + normal(s, 0.0, 0.2), 0.01));
}

static void write_reading(source *s, double se_d, iol_refraction *r) {
    double cylinder = step(fabs(normal(s, 0.0, 1.0)), 0.25);
    if (isnan(r->sphere_d)) {
        r->cylinder_d = r->axis_deg = NAN;
        return;
    }
    set_known(&r->cylinder_d, -cylinder);
    if (isnan(r->cylinder_d)) cylinder = 0.0;
    if (cylinder > 0.0 && isnan(r->axis_deg)) r->axis_deg = 1.0 + below(s, 180);
    r->sphere_d = step(normal(s, se_d, 0.25) + cylinder / 2.0, 0.25);
    if (chance(s, 0.7) && r->lens_then != IOL_lens_then_fluid_behind) r->lens_then = IOL_lens_then_in_place;
    if (chance(s, 0.3) && !isnan(r->cylinder_d)) { /* in plus form */
        r->sphere_d += r->cylinder_d;
        r->cylinder_d = -r->cylinder_d;
        r->axis_deg = r->axis_deg > 90.0 ? r->axis_deg - 90.0 : r->axis_deg + 90.0;
    }
}

static void write_lens_cylinder(source *s, iol_lens *lens) {
    if (chance(s, 0.7) || isnan(lens->cylinder_d)) lens->cylinder_d = lens->axis_deg = lens->axis_intended_deg = NAN;
    if (isnan(lens->cylinder_d)) lens->power_is = 0;
    if (lens->cylinder_d > 0.0 && lens->power_is == 0) lens->power_is = IOL_power_is_equivalent;
}

/* What the site file says of the lens that its id names, the case does not deny; radii and index make the labelled power. */
static void write_lens_body(const source *s, iol_lens *lens) {
    for (int i = 0; i < s->site->lenses_count; i++) {
        const iol_shelf_lens *shelf = &s->site->lenses[i];
        if (strcmp(shelf->id, lens->lens_id) != 0) continue;
        if (lens->material > 0) lens->material = shelf->material;
        if (lens->design > 0) lens->design = shelf->design;
        set_known(&lens->refractive_index, shelf->refractive_index);
        set_known(&lens->optic_diameter_mm, shelf->optic_diameter_mm);
        set_known(&lens->length_mm, shelf->length_mm);
    }
    if (isnan(lens->refractive_index) || isnan(lens->power_d)) return;
    double back = 1.0 / (1.0 / lens->front_radius_mm - lens->power_d / (1000.0 * (lens->refractive_index - 1.336)));
    set_known(&lens->back_radius_mm, fabs(back) > 200.0 ? NAN : step(back, 0.01));
}

static void set_date(int32_t *at, int32_t day) {
    if (*at != IOL_UNKNOWN_DATE) *at = day;
}

static void write_dates(source *s, iol_case *c) {
    static const int reach[] = {12, 45, 120, 1500};
    int32_t done = 20000 + below(s, 2000), since = below(s, reach[below(s, 4)]), now = done + since;
    set_date(&c->first_surgery.done_on, done);
    set_date(&c->assessed_on, now);
    set_date(&c->biometry.measured_on, done - below(s, 60));
    set_date(&c->biometry_repeat.measured_on, now - below(s, since + 1));
    set_date(&c->refraction_before_cataract.measured_on, done - below(s, 400));
    set_date(&c->fellow_eye.biometry.measured_on, done - below(s, 60));
    set_date(&c->fellow_eye.refraction.measured_on, now - below(s, 60));
    set_date(&c->capsule.opened_on, now - below(s, since + 1));
    for (int i = c->refractions_count, day = now; i > 0; i--) {
        day -= below(s, (day - done) / i + 1);
        set_date(&c->refractions[i - 1].measured_on, day);
    }
}

/* What one place of the case says, another does not deny. */
static void write_oil_and_fluid(iol_case *c) {
    iol_silicone_oil *oil = &c->silicone_oil;
    int held = c->first_surgery.lens.position;
    if (oil->now == IOL_NO && oil->stays == IOL_YES) oil->stays = IOL_NO;
    bool oily =
        oil->now == IOL_YES || oil->at_measurement == IOL_YES || oil->at_refraction == IOL_YES || oil->stays == IOL_YES;
    if (oily && c->zonule.vitrectomised == IOL_NO) c->zonule.vitrectomised = IOL_YES;
    for (int i = 0; i < c->refractions_count; i++)
        if (oil->at_refraction != IOL_UNKNOWN && c->refractions[i].oil_then != IOL_UNKNOWN)
            c->refractions[i].oil_then = oil->at_refraction;
    if (held > IOL_position_sulcus_captured && c->anterior_segment.fluid_behind_lens == IOL_finding_yes)
        c->anterior_segment.fluid_behind_lens = IOL_finding_no;
}

/* None of the red flags, or not none: as the single ones say. */
static void write_red_flags(iol_case *c) {
    iol_red_flags *r = &c->red_flags;
    const iol_flag all[] = {r->pain,        r->sudden_loss,         r->infection_signs, r->wound_leak,
                            r->pupil_block, r->lens_touches_cornea, r->detachment_signs};
    iol_flag any = IOL_NO;
    for (size_t i = 0; i < sizeof all / sizeof *all; i++) any = iol_or(any, iol_from_bool(all[i] == IOL_YES));
    if (r->none != IOL_UNKNOWN) r->none = iol_not(any);
}

/* An eye without a lens says so everywhere, and one with a lens nowhere that it has none. */
static void write_no_lens(iol_case *c) {
    bool also = false;
    for (int i = 0; i < c->reasons_also_count; i++) also = also || c->reasons_also[i] == IOL_reason_no_lens;
    if (also || c->reason == IOL_reason_no_lens) c->aphakic_now = IOL_YES;
    if (c->aphakic_now != IOL_YES) {
        if (c->biometry_repeat.eye_state == IOL_eye_state_aphakic)
            c->biometry_repeat.eye_state = IOL_eye_state_pseudophakic;
        return;
    }
    if (c->anterior_segment.fluid_behind_lens == IOL_finding_yes)
        c->anterior_segment.fluid_behind_lens = IOL_finding_no;
    if (c->biometry_repeat.present || c->biometry_repeat.eye_state)
        c->biometry_repeat.eye_state = IOL_eye_state_aphakic;
    for (int i = 0; i < c->refractions_count; i++)
        if (c->refractions[i].lens_then) c->refractions[i].lens_then = IOL_lens_then_aphakic;
    iol_object_reset(iol_object_find(iol_object_case, "second_lens", strlen("second_lens"))->inside, &c->second_lens);
    c->two_lenses_now = IOL_UNKNOWN;
    c->second_lens_gap_mm = NAN;
}

/* The sign of a laser's correction is that of its kind. */
static void write_laser(iol_cornea *c) {
    if (c->earlier_refractive_surgery == IOL_corneal_surgery_myopic_laser)
        c->laser_correction_d = -fabs(c->laser_correction_d);
    if (c->earlier_refractive_surgery == IOL_corneal_surgery_hyperopic_laser)
        c->laser_correction_d = fabs(c->laser_correction_d);
}

/* Two lenses are told by the second one; the word beside it says the same. */
static void write_two_lenses(iol_case *c) {
    if (c->two_lenses_now != IOL_UNKNOWN) c->two_lenses_now = iol_from_bool(c->second_lens.present);
    for (int i = 0; i < c->refractions_count && c->second_lens.present; i++)
        if (c->refractions[i].lens_then == IOL_lens_then_aphakic) c->refractions[i].lens_then = IOL_lens_then_displaced;
}

static void write_together(source *s, iol_case *c) {
    body eye = {held(normal(s, 23.6, 1.4), 18.0, 32.0), held(normal(s, 43.7, 1.6), 37.0, 50.0),
                fabs(normal(s, 0.0, 0.5)), 1.0 + below(s, 180)};
    body fellow = {eye.length_mm + normal(s, 0.0, 0.25), eye.k_d + normal(s, 0.0, 0.4), eye.half_d,
                   181.0 - eye.axis_deg};
    iol_model model = {NAN, NAN, NAN};
    double se = NAN;
    write_dates(s, c);
    write_biometry(s, &eye, &c->biometry);
    write_biometry(s, &eye, &c->biometry_repeat);
    write_biometry(s, &fellow, &c->fellow_eye.biometry);
    const double depth = c->biometry_repeat.lens_depth_mm; /* behind the iris, before the vitreous */
    if (!isnan(depth)) c->biometry_repeat.lens_depth_mm = held(depth, 2.8, 6.5);
    set_known(&c->cornea.k_total_d, step(normal(s, eye.k_d - 1.0, 0.3), 0.01));
    write_lens(s, &eye, c, &model);
    write_lens_cylinder(s, &c->first_surgery.lens);
    write_lens_cylinder(s, &c->second_lens);
    write_lens_body(s, &c->first_surgery.lens);
    write_lens_body(s, &c->second_lens);
    if (!known(iol_object_find(iol_object_case, "second_lens", strlen("second_lens"))->inside, &c->second_lens))
        c->second_lens_gap_mm = NAN;
    if (c->cornea.earlier_refractive_surgery == IOL_corneal_surgery_none)
        c->cornea.k_before_surgery_d = c->cornea.laser_correction_d = NAN;
    model.position_mm += normal(s, 0.0, 0.5);
    if (isnan(c->first_surgery.lens.power_d) || iol_refraction_of(model, c->first_surgery.lens.power_d, 12.0, &se) < 0)
        se = normal(s, 0.0, 2.0);
    for (int i = 0; i < c->refractions_count; i++) write_reading(s, se, &c->refractions[i]);
    write_reading(s, normal(s, 0.0, 2.5), &c->refraction_before_cataract);
    write_reading(s, normal(s, 0.0, 1.5), &c->fellow_eye.refraction);
    write_oil_and_fluid(c);
    write_red_flags(c);
    write_no_lens(c);
    write_two_lenses(c);
    write_laser(&c->cornea);
    const iol_field *dislocation = iol_object_find(iol_object_case, "dislocation", strlen("dislocation"));
    bool slipped = iol_case_has_reason(c, IOL_reason_lens_dislocation) == IOL_YES;
    if (slipped && chance(s, 0.9)) draw_object(s, dislocation->inside, &c->dislocation, 0.5);
}

static void draw_case(source *s, iol_case *c) {
    static const double known[] = {0.6, 0.85, 0.97, 1.0, 1.0, 1.0}, sick[] = {0.0, 0.0, 0.03, 0.2};
    iol_case_reset(c);
    s->known = known[below(s, 6)];
    s->sick = sick[below(s, 4)];
    draw_object(s, iol_object_case, c, s->sick);
    c->case_format = 1.0;
    memcpy(c->case_ref, "R-1", 4);
    c->eye = chance(s, 0.5) ? IOL_side_right : IOL_side_left;
    c->reason = chance(s, 0.4) ? IOL_reason_power_error : 1 + below(s, iol_words_reason.count - 1);
    write_together(s, c);
}

/* ---- what the reader refuses is left blank, or drawn where it must be ---- */

/* The field that a JSON Pointer names, and where its value stands. */
static const iol_field *find(iol_case *c, const char *path, void **at, void **base) {
    const iol_object *object = iol_object_case;
    const iol_field *field = NULL;
    char *here = (char *)c;
    while (*path == '/') {
        size_t length = strcspn(++path, "/");
        if (field && field->kind == IOL_KIND_LIST) {
            here += strtoul(path, NULL, 10) * object->size;
            field = NULL;
        } else {
            field = iol_object_find(object, path, length);
            if (!field) return NULL;
            *base = here;
            here += field->offset;
            if (field->inside) object = field->inside;
        }
        path += length;
    }
    *at = here;
    return field;
}

static void blank_object(const iol_object *object, void *at) { iol_object_reset(object, at); }

static void mend(source *s, iol_case *c, const iol_fault *fault) {
    void *at = NULL, *base = NULL;
    const iol_field *f = find(c, fault->path, &at, &base);
    if (!f) return;
    if (fault->code == IOL_FAULT_missing) {
        double known = s->known;
        s->known = 1.0;
        draw_field(s, f, base, 0.5);
        s->known = known;
        return;
    }
    switch (f->kind) {
    case IOL_KIND_NUM: *(double *)at = NAN; break;
    case IOL_KIND_DATE: *(int32_t *)at = IOL_UNKNOWN_DATE; break;
    case IOL_KIND_TEXT: *(char *)at = '\0'; break;
    case IOL_KIND_WORD: *(int *)at = 0; break;
    case IOL_KIND_FLAG: *(iol_flag *)at = IOL_UNKNOWN; break;
    case IOL_KIND_PART: blank_object(f->inside, at); break;
    default: *(int *)(void *)((char *)base + f->count_offset) = 0; break;
    }
}

bool random_case(uint64_t seed, const iol_site *site, iol_case *c) {
    static char text[RANDOM_CASE_TEXT];
    static iol_faults faults;
    static iol_case drawn;
    source s = {.state = seed * 0x2545f4914f6cdd1du + 1, .site = site};
    draw_case(&s, &drawn);
    for (int tries = 0; tries < 40; tries++) {
        size_t length = case_text(&drawn, 0, text);
        if (iol_case_read(text, length, c, &faults)) return true;
        for (int i = 0; i < faults.count; i++) mend(&s, &drawn, &faults.item[i]);
    }
    for (int i = 0; i < faults.count; i++) fprintf(stderr, "seed %d: %s\n", (int)seed, faults.item[i].path);
    return false;
}

bool read_site_file(const char *path, iol_site *site) {
    static char text[1 << 16];
    static iol_faults faults;
    FILE *file = fopen(path, "rb");
    if (!file) return false;
    size_t length = fread(text, 1, sizeof text, file);
    fclose(file);
    return iol_site_read(text, length, site, &faults);
}
