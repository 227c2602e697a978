/* Contradictions between fields: refused, each with the path of the value that cannot stand. */
#include <string.h>

#include "acuity.h"
#include "iolrevise/optics.h"
#include "lens_power.h"
#include "reader.h"
#include "tables/constants.h"
#include "tables/say.h"
#include "text/gs1.h"

typedef struct {
    iol_faults *faults;
} checker;

enum { PATH = 160 };

/* A fault at object + key, unless the value there was refused already. */
static void add(checker *k, iol_fault_code code, const char *object, const char *key, const char *found,
                const char *wanted) {
    char path[PATH] = "";
    iol_append(path, sizeof path, object);
    iol_append(path, sizeof path, key);
    for (int i = 0; i < k->faults->count; i++)
        if (strcmp(k->faults->item[i].path, path) == 0) return;
    iol_fault_add(k->faults, code, path, found, wanted, "");
}

static void contradiction(checker *k, const char *object, const char *key, const char *found, const char *wanted) {
    add(k, IOL_FAULT_contradiction, object, key, found, wanted);
}

static void absent(checker *k, const char *object, const char *key, const char *wanted) {
    add(k, IOL_FAULT_missing, object, key, "nothing", wanted);
}

/* "/refractions/3" */
static void element_path(char path[PATH], const char *list, int index) {
    path[0] = '\0';
    iol_append(path, PATH, list);
    iol_append(path, PATH, "/");
    iol_append_number(path, PATH, index);
}

static bool both_known(int32_t a, int32_t b) { return a != IOL_UNKNOWN_DATE && b != IOL_UNKNOWN_DATE; }

/* later must not lie before earlier; the fault stands at `key` of `object`. */
static void in_order(checker *k, int32_t earlier, int32_t later, int32_t shown, const char *object, const char *key,
                     const char *wanted) {
    char found[11];
    if (!both_known(earlier, later) || later >= earlier) return;
    iol_date_print(shown, found);
    contradiction(k, object, key, found, wanted);
}

static void check_biometry(checker *k, const iol_biometry *b, const char *path) {
    bool dioptres = !isnan(b->k_flat_d) || !isnan(b->k_steep_d),
         radii = !isnan(b->k_flat_radius_mm) || !isnan(b->k_steep_radius_mm);
    if (dioptres && radii)
        contradiction(k, path, isnan(b->k_flat_radius_mm) ? "/k_steep_radius_mm" : "/k_flat_radius_mm",
                      "radii and dioptres", "one of the two, so that they cannot disagree");
    if (b->k_flat_d > b->k_steep_d)
        contradiction(k, path, "/k_flat_d", "a flat power above the steep one", "k_flat_d at or below k_steep_d");
    if (b->k_flat_radius_mm < b->k_steep_radius_mm)
        contradiction(k, path, "/k_flat_radius_mm", "a flat radius below the steep one",
                      "k_flat_radius_mm at or above k_steep_radius_mm");
}

/* Acuity of one reading, in up to three forms that must be one. */
static void check_acuity(checker *k, const char *path, const char *decimal_key, const char *fraction_key, double logmar,
                         double decimal, const char *fraction) {
    double by_decimal = iol_acuity_of_decimal(decimal), by_fraction = iol_acuity_of_fraction(fraction);
    double first = isnan(logmar) ? by_decimal : logmar;
    if (fraction[0] && isnan(by_fraction))
        add(k, IOL_FAULT_bad_pattern, path, fraction_key, fraction, "a fraction as 6/9 or 20/30");
    if (iol_above(fabs(by_decimal - logmar), c_acuity_forms_logmar) == IOL_YES)
        contradiction(k, path, decimal_key, "another acuity than in logMAR", "one acuity, whatever its form");
    if (iol_above(fabs(by_fraction - first), c_acuity_forms_logmar) == IOL_YES)
        contradiction(k, path, fraction_key, "another acuity than in the other form", "one acuity, whatever its form");
}

static void check_refraction(checker *k, const iol_refraction *r, const char *path) {
    if (!isnan(r->cylinder_d) && r->cylinder_d != 0.0 && isnan(r->axis_deg))
        absent(k, path, "/axis_deg", "the axis of the cylinder");
    if (isnan(r->sphere_d) && !isnan(r->cylinder_d))
        absent(k, path, "/sphere_d", "the sphere that goes with the cylinder");
    bool asked = r->method == IOL_refraction_method_manifest || r->method == IOL_refraction_method_cycloplegic;
    if (asked && r->with == IOL_reading_with_theatre)
        contradiction(k, path, "/with", "theatre", "no manifest or cycloplegic reading is taken in theatre");
    check_acuity(k, path, "/corrected_acuity_decimal", "/corrected_acuity_snellen", r->corrected_acuity_logmar,
                 r->corrected_acuity_decimal, r->corrected_acuity_snellen);
    check_acuity(k, path, "/uncorrected_acuity_decimal", "/uncorrected_acuity_snellen", r->uncorrected_acuity_logmar,
                 r->uncorrected_acuity_decimal, r->uncorrected_acuity_snellen);
}

/* "47.2 D"; "about" stands before a figure that was worked out. */
static void figure(char out[40], const char *before, double value, const char *unit) {
    out[0] = '\0';
    iol_append(out, 40, before);
    iol_append_number(out, 40, floor(value * 100.0 + 0.5) / 100.0);
    iol_append(out, 40, unit);
}

/* Radii and index make a power in the aqueous: not that of the label, within rounding and what a toric surface adds. */
static void check_radii(checker *k, const iol_lens *lens, const char *path) {
    iol_thick_lens body;
    char found[40], wanted[40];
    double thickness = isnan(lens->centre_thickness_mm) ? 0.0 : lens->centre_thickness_mm;
    double label = iol_lens_equivalent(lens->power_d, lens->power_is, lens->cylinder_d);
    double more = isnan(lens->cylinder_d) ? 0.0 : lens->cylinder_d;
    if (isnan(label)) return;
    if (iol_thick_lens_power(lens->front_radius_mm, lens->back_radius_mm, thickness, lens->refractive_index,
                             c_index_aqueous, &body) < 0)
        return;
    if (iol_above(fabs(body.power_d - label), c_lens_radii_off_d + more) != IOL_YES) return;
    figure(found, "radii and index that make about ", body.power_d, " D");
    figure(wanted, "power_d, ", label, " D");
    contradiction(k, path, "/front_radius_mm", found, wanted);
}

static void check_lens(checker *k, const iol_lens *lens, const char *path) {
    check_radii(k, lens, path);
    if (lens->cylinder_d > 0.0 && lens->power_is == 0)
        absent(k, path, "/power_is", "equivalent or weakest-meridian: what power_d of a lens with cylinder means");
    double apart = fabs(iol_axis_turn(lens->tilt_axis_deg + 90.0, lens->tilted_back_position_deg));
    if (iol_above(apart, c_meridians_off_deg) == IOL_YES)
        contradiction(k, path, "/tilt_axis_deg", "an axis that is not across the place of the back edge",
                      "tilt_axis_deg 90 degrees from tilted_back_position_deg, or one of the two");
}

/* Vertex distance and lens words that a reading's own kind does not allow. */
static void check_reading_kind(checker *k, const iol_refraction *r, const char *path) {
    if (r->with == IOL_reading_with_contact_lens && r->vertex_mm > 0.0)
        contradiction(k, path, "/vertex_mm", "a vertex distance of a contact lens", "0 or null; or with spectacles");
    if (r->with == IOL_reading_with_theatre && r->lens_then > 0 && r->lens_then != IOL_lens_then_aphakic)
        contradiction(k, path, "/lens_then", "a lens in a theatre reading",
                      "aphakic or null: a theatre reading is taken with the lens out");
}

/* No lens, and a word that speaks of one. A lens that lies somewhere is in the eye; one that every word of today says is gone is
 * not. */
static void check_no_lens(checker *k, const iol_case *c) {
    const bool two = c->second_lens.present || c->two_lenses_now == IOL_YES, lies = c->dislocation.lies > 0;
    const bool fluid = c->anterior_segment.fluid_behind_lens == IOL_finding_yes;
    const int newest = c->refractions_count - 1;
    const bool without = newest >= 0 && c->refractions[newest].lens_then == IOL_lens_then_aphakic;
    if (c->aphakic_now == IOL_YES && (lies || fluid))
        contradiction(k, "", "/aphakic_now",
                      lies ? "no lens in the eye, and where it lies" : "no lens in the eye, and fluid behind it",
                      "one of the two");
    if (two && (c->aphakic_now == IOL_YES || (c->aphakic_now != IOL_NO && c->reason == IOL_reason_no_lens)))
        contradiction(k, "", "/aphakic_now", "no lens in the eye, and a second lens", "one of the two");
    if (two && without)
        contradiction(k, "", "/refractions", "the newest of an eye without a lens, and a second lens in it",
                      "displaced or in-place in lens_then: the second lens lies in the way");
    if (c->two_lenses_now == IOL_NO && c->second_lens.present)
        contradiction(k, "", "/two_lenses_now", "one lens in the eye, and a second lens", "one of the two");
    if (c->aphakic_now == IOL_NO && c->reason == IOL_reason_no_lens)
        contradiction(k, "", "/aphakic_now", "a lens in the eye, and no-lens as the reason", "one of the two");
    if (c->aphakic_now == IOL_NO && without && c->biometry_repeat.eye_state == IOL_eye_state_aphakic && !lies)
        contradiction(k, "", "/aphakic_now",
                      "a lens in the eye, and the newest refraction and the repeat biometry of an eye without one",
                      "true, or where the lens lies in dislocation/lies");
    if (!two && !isnan(c->second_lens_gap_mm))
        contradiction(k, "", "/second_lens_gap_mm", "a distance to a second lens, and none", "second_lens, or null");
}

/* Oil goes in after the vitreous came out, and what is not there cannot stay. */
static void check_oil(checker *k, const iol_case *c) {
    static const char wanted[] = "false, or zonule/vitrectomised true: oil takes the place of the vitreous";
    const iol_silicone_oil *oil = &c->silicone_oil;
    const struct {
        const char *key;
        iol_flag there;
    } all[] = {{"/now", oil->now},
               {"/at_measurement", oil->at_measurement},
               {"/at_refraction", oil->at_refraction},
               {"/stays", oil->stays}};
    if (oil->now == IOL_NO && oil->stays == IOL_YES)
        contradiction(k, "/silicone_oil", "/stays", "true, and no oil now", "false, or now true");
    if (c->zonule.vitrectomised != IOL_NO) return;
    for (size_t i = 0; i < sizeof all / sizeof *all; i++)
        if (all[i].there == IOL_YES)
            contradiction(k, "/silicone_oil", all[i].key, "oil in an eye that had no vitrectomy", wanted);
    for (int i = 0; i < c->refractions_count; i++) {
        char path[PATH];
        element_path(path, "/refractions", i);
        if (c->refractions[i].oil_then == IOL_YES)
            contradiction(k, path, "/oil_then", "oil in an eye that had no vitrectomy", wanted);
    }
}

/* Mean keratometry at index 1.3375; NaN where a meridian is missing. */
static double mean_k(const iol_biometry *b) {
    double index = isnan(b->keratometric_index) ? c_keratometric_index : b->keratometric_index;
    double same = (c_keratometric_index - 1.0) / (index - 1.0), by_radius = 1000.0 * (c_keratometric_index - 1.0) / 2.0;
    double dioptres = same * (b->k_flat_d + b->k_steep_d) / 2.0;
    return isnan(dioptres) ? by_radius / b->k_flat_radius_mm + by_radius / b->k_steep_radius_mm : dioptres;
}

/* A history of a laser that was not; a total power of another cornea than the keratometry. */
static void check_cornea(checker *k, const iol_case *c) {
    static const char wanted[] = "null, or the laser in earlier_refractive_surgery";
    const iol_cornea *cornea = &c->cornea;
    double today = mean_k(&c->biometry_repeat);
    char found[40], near[60];
    if (isnan(today)) today = mean_k(&c->biometry);
    if (cornea->earlier_refractive_surgery == IOL_corneal_surgery_none) {
        if (!isnan(cornea->k_before_surgery_d))
            contradiction(k, "/cornea", "/k_before_surgery_d", "keratometry before a surgery, and no such surgery",
                          wanted);
        if (!isnan(cornea->laser_correction_d))
            contradiction(k, "/cornea", "/laser_correction_d", "what a laser corrected, and no such surgery", wanted);
    }
    int other =
        cornea->laser_correction_d < 0.0 ? IOL_corneal_surgery_hyperopic_laser : IOL_corneal_surgery_myopic_laser;
    if (fabs(cornea->laser_correction_d) > 0.0 && cornea->earlier_refractive_surgery == other)
        contradiction(k, "/cornea", "/laser_correction_d", "a sign that this laser does not have",
                      "minus after myopic laser, plus after hyperopic laser");
    if (iol_above(fabs(cornea->k_total_d - today), c_total_off_d) != IOL_YES) return;
    figure(found, "", cornea->k_total_d, " D");
    figure(near, "within 5 D of the keratometry, ", today, " D");
    contradiction(k, "/cornea", "/k_total_d", found, near);
}

static void check_dates(checker *k, const iol_case *c) {
    int32_t now = c->assessed_on, done = c->first_surgery.done_on;
    const char *past = "a day at or before assessed_on";
    in_order(k, c->biometry.measured_on, now, c->biometry.measured_on, "/biometry", "/measured_on", past);
    in_order(k, c->biometry_repeat.measured_on, now, c->biometry_repeat.measured_on, "/biometry_repeat", "/measured_on",
             past);
    in_order(k, done, now, done, "/first_surgery", "/done_on", past);
    in_order(k, c->capsule.opened_on, now, c->capsule.opened_on, "/capsule", "/opened_on", past);
    in_order(k, c->biometry.measured_on, done, c->biometry.measured_on, "/biometry", "/measured_on",
             "a day at or before first_surgery/done_on; later biometry is biometry_repeat");
    in_order(k, done, c->biometry_repeat.measured_on, c->biometry_repeat.measured_on, "/biometry_repeat",
             "/measured_on", "a day at or after first_surgery/done_on");
    in_order(k, done, c->capsule.opened_on, c->capsule.opened_on, "/capsule", "/opened_on",
             "a day at or after first_surgery/done_on");
    in_order(k, c->refraction_before_cataract.measured_on, now, c->refraction_before_cataract.measured_on,
             "/refraction_before_cataract", "/measured_on", past);
    in_order(k, c->refraction_before_cataract.measured_on, done, c->refraction_before_cataract.measured_on,
             "/refraction_before_cataract", "/measured_on",
             "a day at or before first_surgery/done_on; later readings are refractions");
    in_order(k, c->fellow_eye.biometry.measured_on, now, c->fellow_eye.biometry.measured_on, "/fellow_eye/biometry",
             "/measured_on", past);
    in_order(k, c->fellow_eye.refraction.measured_on, now, c->fellow_eye.refraction.measured_on,
             "/fellow_eye/refraction", "/measured_on", past);
    in_order(k, c->outcome.done_on, c->outcome.refraction.measured_on, c->outcome.refraction.measured_on,
             "/outcome/refraction", "/measured_on", "a day at or after outcome/done_on");
    in_order(k, done, c->outcome.done_on, c->outcome.done_on, "/outcome", "/done_on",
             "a day at or after first_surgery/done_on");
}

static void check_readings(checker *k, const iol_case *c) {
    int32_t last = IOL_UNKNOWN_DATE;
    for (int i = 0; i < c->refractions_count; i++) {
        char path[PATH];
        const iol_refraction *r = &c->refractions[i];
        element_path(path, "/refractions", i);
        check_refraction(k, r, path);
        check_reading_kind(k, r, path);
        in_order(k, r->measured_on, c->assessed_on, r->measured_on, path, "/measured_on",
                 "a day at or before assessed_on");
        in_order(k, c->first_surgery.done_on, r->measured_on, r->measured_on, path, "/measured_on",
                 "a day at or after first_surgery/done_on");
        in_order(k, last, r->measured_on, r->measured_on, path, "/measured_on", "readings oldest first");
        if (r->measured_on != IOL_UNKNOWN_DATE) last = r->measured_on;
    }
}

/* All seven answered at once, and one of them otherwise. */
static void check_red_flags(checker *k, const iol_red_flags *f) {
    bool any = f->pain == IOL_YES || f->sudden_loss == IOL_YES || f->infection_signs == IOL_YES ||
               f->wound_leak == IOL_YES || f->pupil_block == IOL_YES || f->lens_touches_cornea == IOL_YES ||
               f->detachment_signs == IOL_YES;
    if (f->none == IOL_YES && any)
        contradiction(k, "/red_flags", "/none", "none, and one of them true", "none false, or no red flag true");
}

void iol_case_check(const iol_case *c, iol_faults *faults) {
    checker k = {.faults = faults};
    check_red_flags(&k, &c->red_flags);
    check_biometry(&k, &c->biometry, "/biometry");
    check_biometry(&k, &c->biometry_repeat, "/biometry_repeat");
    check_biometry(&k, &c->fellow_eye.biometry, "/fellow_eye/biometry");
    check_refraction(&k, &c->refraction_before_cataract, "/refraction_before_cataract");
    check_refraction(&k, &c->fellow_eye.refraction, "/fellow_eye/refraction");
    check_refraction(&k, &c->outcome.refraction, "/outcome/refraction");
    check_lens(&k, &c->first_surgery.lens, "/first_surgery/lens");
    if (c->first_surgery.meant_lens.cylinder_d > 0.0 && c->first_surgery.meant_lens.power_is == 0)
        absent(&k, "/first_surgery/meant_lens", "/power_is",
               "equivalent or weakest-meridian: what power_d of a lens with cylinder means");
    check_lens(&k, &c->second_lens, "/second_lens");
    check_lens(&k, &c->outcome.lens, "/outcome/lens");
    check_no_lens(&k, c);
    check_oil(&k, c);
    check_cornea(&k, c);
    check_dates(&k, c);
    check_readings(&k, c);
}

bool iol_case_check_day(const iol_case *c, int32_t day, iol_faults *faults) {
    static const char wanted[] = "a day at or before --as-of, which intervals are counted to";
    checker k = {.faults = faults};
    char path[PATH];
    in_order(&k, c->first_surgery.done_on, day, c->first_surgery.done_on, "/first_surgery", "/done_on", wanted);
    in_order(&k, c->biometry_repeat.measured_on, day, c->biometry_repeat.measured_on, "/biometry_repeat",
             "/measured_on", wanted);
    for (int i = 0; i < c->refractions_count; i++) {
        element_path(path, "/refractions", i);
        in_order(&k, c->refractions[i].measured_on, day, c->refractions[i].measured_on, path, "/measured_on", wanted);
    }
    return faults->count == 0;
}

static bool allows(const iol_shelf_lens *lens, int position) {
    for (int i = 0; i < lens->positions_count; i++)
        if (lens->positions[i] == position) return true;
    return false;
}

/* A one-piece or plate lens that is square-edged, shorter than 13.0 mm or made for replacement does not belong in the
 * sulcus. What is not stated does not speak for the lens. */
static void check_sulcus(checker *k, const iol_shelf_lens *lens, const char *path) {
    bool solid = lens->design == IOL_design_one_piece || lens->design == IOL_design_plate;
    if (!solid || !allows(lens, IOL_position_sulcus)) return;
    const char *found = lens->purpose != IOL_purpose_piggyback ? "sulcus for a one-piece or plate replacement lens"
                        : lens->edge == IOL_edge_square        ? "sulcus for a square-edged one-piece or plate lens"
                        : lens->edge != IOL_edge_round         ? "sulcus for a one-piece or plate lens of unknown edge"
                        : isnan(lens->length_mm) ? "sulcus for a one-piece or plate lens of unknown length"
                        : lens->length_mm < c_sulcus_length_mm ? "sulcus for a one-piece or plate lens under 13.0 mm"
                                                               : NULL;
    if (found)
        contradiction(
            k, path, "/positions", found,
            "sulcus only for a piggyback lens with edge round and length_mm from 13.0: others chafe the iris, "
            "bleed or tilt; a three-piece lens is free of this rule");
}

/* The last power is first + a whole number of steps. */
static void check_powers(checker *k, const iol_shelf_lens *lens, const char *path) {
    double steps = (lens->power_last_d - lens->power_first_d) / lens->power_step_d;
    if (lens->power_first_d > lens->power_last_d)
        contradiction(k, path, "/power_first_d", "a first power above the last",
                      "power_first_d at or below power_last_d");
    else if (fabs(steps - floor(steps + 0.5)) > 1e-6)
        contradiction(k, path, "/power_last_d", "a last power between two steps",
                      "power_first_d and a whole number of steps; list a range with another step as a lens of its own");
}

static bool on_shelf(const iol_site *site, const char *id) {
    for (int i = 0; i < site->lenses_count; i++)
        if (strcmp(site->lenses[i].id, id) == 0) return true;
    return false;
}

/* Each product number once, of a lens on the shelf. */
static void check_stock(checker *k, const iol_site *site) {
    for (int i = 0; i < site->stock_count; i++) {
        const iol_stock_item *item = &site->stock[i];
        char path[PATH];
        element_path(path, "/stock", i);
        if (!item->present) continue;
        if (!item->gtin[0]) absent(k, path, "/gtin", "the product number on the box");
        if (!item->lens_id[0]) absent(k, path, "/lens_id", "the id of a lens in lenses");
        if (isnan(item->power_d)) absent(k, path, "/power_d", "its labelled power");
        if (item->gtin[0] && !iol_gs1_gtin(item->gtin))
            add(k, IOL_FAULT_bad_pattern, path, "/gtin", "a number whose check digit is not right",
                "14 digits, zeros in front of a shorter number, the last the check digit of the others");
        if (item->lens_id[0] && !on_shelf(site, item->lens_id))
            contradiction(k, path, "/lens_id", "no lens of the shelf", "the id of a lens in lenses");
        if (item->cylinder_d > 0.0 && item->power_is == 0)
            absent(k, path, "/power_is", "equivalent or weakest-meridian: what power_d of a lens with cylinder means");
        for (int j = 0; j < i; j++)
            if (item->gtin[0] && strcmp(site->stock[j].gtin, item->gtin) == 0) {
                contradiction(k, path, "/gtin", "the product number of a row above", "each product number once");
                break;
            }
    }
}

void iol_site_check(const iol_site *site, iol_faults *faults) {
    checker k = {.faults = faults};
    check_stock(&k, site);
    for (int i = 0; i < site->lenses_count; i++) {
        const iol_shelf_lens *lens = &site->lenses[i];
        char path[PATH];
        element_path(path, "/lenses", i);
        check_powers(&k, lens, path);
        check_sulcus(&k, lens, path);
        for (int j = 0; j < i; j++)
            if (strcmp(site->lenses[j].id, lens->id) == 0 && lens->id[0]) {
                contradiction(&k, path, "/id", "the id of a lens above", "each id once");
                break;
            }
    }
}
