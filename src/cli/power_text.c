/* The clinic line for people: under a screen where it can be, the lens and refraction read back first. */
#include <string.h>

#include "power_text.h"
#include "report/compose.h"
#include "tables/constants.h"
#include "tables/note_codes.h"
#include "text/number.h"

/* A reason of the standing in few words ("day?": not told), and what to type to answer it; NULL: nothing typed does. */
static const struct {
    iol_note_code code;
    const char *why, *type;
} answers[] = {
    {IOL_NOTE_withheld_fluid_seen, "fluid behind the lens", NULL},
    {IOL_NOTE_withheld_fluid, "fluid behind the lens?", "--no-fluid, once you have looked behind the lens"},
    {IOL_NOTE_withheld_oil_stays, "silicone oil", NULL},
    {IOL_NOTE_withheld_oil_out, "silicone oil", NULL},
    {IOL_NOTE_withheld_oil, "silicone oil", "--no-oil, for a refraction and a biometry without oil"},
    {IOL_NOTE_withheld_own_lens, "an eye with its own lens?", NULL},
    {IOL_NOTE_provisional_own_lens, "an eye with its own lens?", NULL},
    {IOL_NOTE_withheld_two_lenses, "two lenses", NULL},
    {IOL_NOTE_withheld_laser, "corneal surgery, and no refraction that counts", NULL},
    {IOL_NOTE_withheld_no_route, "no route to a power", "--k, --length and --a-constant"},
    {IOL_NOTE_withheld_no_lens, "no lens for that place", "--new-a-constant for that place, --from and --a-constant"},
    {IOL_NOTE_provisional_alarm, "an alarm comes first", NULL},
    {IOL_NOTE_provisional_day, "day?", "--days N"},
    {IOL_NOTE_provisional_read_early, "read in days that do not count", "a refraction of now, with its --days N"},
    {IOL_NOTE_provisional_read_old, "refraction over a year old", NULL},
    {IOL_NOTE_provisional_read_old_open, "age of the refraction not known", "--days N"},
    {IOL_NOTE_provisional_outgrown, "the eye has outgrown what was measured", NULL},
    {IOL_NOTE_provisional_outgrown_open, "growth of a child's eye not known", "--days N"},
    {IOL_NOTE_provisional_child_aim, "aim too myopic for the age", NULL},
    {IOL_NOTE_repeat_child_pressure, "pressure of a child raised, or not told", "--pressure P --age N"},
    {IOL_NOTE_provisional_early, "read too early", "a refraction of day 28 or later, with its --days N"},
    {IOL_NOTE_provisional_other_eye, "biometry of another eye", NULL},
    {IOL_NOTE_provisional_laser, "laser, and no refraction that counts", NULL},
    {IOL_NOTE_provisional_unread, "no refraction that counts", NULL},
    {IOL_NOTE_provisional_untested, "lens?", "--identified sticker (or record)"},
    {IOL_NOTE_provisional_alarms_open, "alarms?", "--examined and --pressure N"},
    {IOL_NOTE_provisional_fluid_open, "fluid?", "--no-fluid, once you have looked behind the lens"},
    {IOL_NOTE_provisional_oil_open, "oil?", "--no-oil"},
    {IOL_NOTE_provisional_belongs_open, "whose biometry?", "--examined"},
    {IOL_NOTE_provisional_reading_open, "reading?", "--examined"},
    {IOL_NOTE_provisional_place_open, "place?", "--examined or --from"},
    {IOL_NOTE_provisional_bag_gone, "capsule?", "--examined"},
    {IOL_NOTE_provisional_front_open, "iris?", NULL},
    {IOL_NOTE_repeat_cylinder_open, "cylinder?", NULL},
    {IOL_NOTE_provisional_laser_open, "laser, and reading?", "--examined and --no-earlier-laser"},
    {IOL_NOTE_provisional_lens_told_twice, "a lens in the eye, or none", NULL},
    {IOL_NOTE_provisional_lens_not_told, "lens in the eye not told", NULL},
    {IOL_NOTE_provisional_unused, "the refraction tells nothing", NULL},
    {IOL_NOTE_provisional_no_lens_apart, "refraction and biometry apart", NULL},
    {IOL_NOTE_provisional_no_lens_untested, "no length measured", NULL},
    {IOL_NOTE_provisional_no_lens_unused, "the refraction tells nothing", NULL},
    {IOL_NOTE_provisional_plane, "plane of the lens inside?", "--length and --k"},
    {IOL_NOTE_provisional_no_target, "target?", "--target D"},
    {IOL_NOTE_provisional_lens_not_meant, "not the lens that was meant", NULL},
    {IOL_NOTE_provisional_wrong_unread, "a wrong lens, not identified", "--identified sticker (or record)"},
    {IOL_NOTE_repeat_chafes, "lens rubs", NULL},
    {IOL_NOTE_repeat_uveitis, "uveitis?", "--examined"},
    {IOL_NOTE_repeat_pressure, "pressure?", "--examined and --pressure N"},
    {IOL_NOTE_repeat_surface, "dry?", "--examined"},
    {IOL_NOTE_repeat_macula, "macula?", "--examined"},
    {IOL_NOTE_repeat_contracted, "capsule?", "--examined"},
    {IOL_NOTE_repeat_moved, "readings apart", NULL},
    {IOL_NOTE_repeat_cornea, "surface?", "--examined, or --surface regular"},
    {IOL_NOTE_repeat_swollen, "cornea clear?", "--examined"},
    {IOL_NOTE_repeat_lens_loose, "zonule?", "--examined"},
    {IOL_NOTE_repeat_near_aim, "aim for near?", NULL},
    {IOL_NOTE_repeat_goals, "aim not agreed", NULL},
    {IOL_NOTE_repeat_target, "target?", NULL},
    {IOL_NOTE_repeat_cause_open, "cause not found", NULL},
    {IOL_NOTE_provisional_unreckoned, "no eye has these figures together", NULL},
    {IOL_NOTE_provisional_label, "label doubted", NULL},
    {IOL_NOTE_provisional_unidentified, "lens?", "--identified sticker (or record)"},
    {IOL_NOTE_provisional_other_lens, "another lens likely", "--identified sticker (or record)"},
    {IOL_NOTE_provisional_gross, "a gross cause likely", "--identified sticker (or record)"},
    {IOL_NOTE_repeat_gross, "a gross cause possible", "--identified sticker (or record)"},
    {IOL_NOTE_repeat_settling, "one early reading", "--readings 2, once two agree"},
    {IOL_NOTE_repeat_biometry, "the eye misses", "--repeated, once both were measured again and agree"},
    {IOL_NOTE_repeat_cross_check, "a cross-check is apart", NULL},
    {IOL_NOTE_repeat_recentred, "read with the lens displaced", NULL},
    {IOL_NOTE_repeat_read_in_place, "read with the lens in its place?", NULL},
    {IOL_NOTE_repeat_displaced_unused, "read with the lens displaced", NULL},
    {IOL_NOTE_repeat_displaced_far, "read with the lens displaced", NULL},
    {IOL_NOTE_repeat_conflict, "measurements in conflict", NULL},
    {IOL_NOTE_repeat_corneal_surgery, "corneal surgery", NULL},
    {IOL_NOTE_repeat_surgery_not_stated, "laser?", "--no-earlier-laser (or --earlier-laser)"},
    {IOL_NOTE_repeat_gap, "distance of the two lenses", NULL},
    {IOL_NOTE_repeat_shelf, "shelf ends before it", NULL},
    {IOL_NOTE_repeat_age, "under 18", NULL},
    {IOL_NOTE_repeat_age_not_stated, "age?", "--age N"},
    {IOL_NOTE_repeat_length, "length out of range", NULL},
    {IOL_NOTE_repeat_steep_cornea, "steep cornea", NULL},
    {IOL_NOTE_repeat_cylinder, "cylinder does not fit", NULL},
    {IOL_NOTE_repeat_refraction_unused, "lens inside not read", "--a-constant"},
    {IOL_NOTE_repeat_no_lens_unread, "no refraction without the lens", NULL},
    {IOL_NOTE_repeat_route, "refraction alone", "all of --length, --k and --a-constant"}};

/* An assumption in few words: before, the value with its decimals (-1: none), after, the flag that answers it. */
static const struct {
    iol_note_code code;
    const char *before;
    int decimals;
    const char *after, *flag;
} shorts[] = {{IOL_NOTE_assume_position, "the lens lies in the bag", -1, "", "--from"},
              {IOL_NOTE_assume_vertex, "vertex ", 0, " mm", "--vertex"},
              {IOL_NOTE_assume_in_place, "the lens was in place when refracted", -1, "", NULL},
              {IOL_NOTE_assume_day, "refraction spread ", 2, " D, day not known", "--days"},
              {IOL_NOTE_assume_method, "refraction spread ", 2, " D, method not known", NULL},
              {IOL_NOTE_assume_no_oil, "no silicone oil", -1, "", "--no-oil"},
              {IOL_NOTE_assume_k, "K ", 2, " D", "--k"},
              {IOL_NOTE_assume_index, "K read with index ", 4, "", NULL},
              {IOL_NOTE_assume_old_constant, "old and new lens share a plane", -1, "", "--a-constant"},
              {IOL_NOTE_assume_new_constant, "A-constant ", 2, " of the new lens", "--new-a-constant"},
              {IOL_NOTE_assume_surface, "corneal spread ", 2, " D, surface not known", NULL},
              {IOL_NOTE_assume_length_method, "length spread ", 2, " mm, method not known", NULL},
              {IOL_NOTE_assume_surgeon_factor, "surgeon factor ", 3, " mm from the A-constant, ", NULL},
              {IOL_NOTE_assume_pacd, "chamber depth constant ", 3, " mm from the A-constant, ", NULL},
              {IOL_NOTE_assume_bag_constants, "bag constant moved by ", 2, " mm, ", NULL},
              {IOL_NOTE_assume_aim, "the step nearest to the target", -1, "", NULL}};

/* Assumptions about what the clinic line does not print. */
static const iol_note_code silent[] = {IOL_NOTE_assume_as_of, IOL_NOTE_assume_wound_position,
                                       IOL_NOTE_assume_wound_width, IOL_NOTE_assume_wound_site};

/* With all of them typed the refraction leads for another reason: there is nothing to type. */
static bool biometry_typed(const iol_case *c) {
    const iol_biometry *b = &c->biometry;
    return !isnan(b->axial_length_mm) && !isnan(b->k_flat_d) && !isnan(c->first_surgery.lens.constants.a_constant);
}

const char *iol_power_answer(const iol_case *c, int code) {
    const bool repeated = c->biometry_repeat.present, known = c->first_surgery.lens.identified_by > 0;
    if (code == IOL_NOTE_repeat_route && biometry_typed(c)) return NULL;
    if ((code == IOL_NOTE_provisional_gross || code == IOL_NOTE_repeat_gross) && known)
        return repeated ? NULL : "--repeated";
    for (size_t i = 0; i < sizeof answers / sizeof *answers; i++)
        if ((int)answers[i].code == code) return answers[i].type;
    return NULL;
}

const char *iol_power_why(int code) {
    for (size_t i = 0; i < sizeof answers / sizeof *answers; i++)
        if ((int)answers[i].code == code) return answers[i].why;
    return NULL;
}

/* Not of this page, or the constant of a formula that does not lead here. */
static bool is_silent(const iol_replacement *r, int code) {
    for (size_t i = 0; i < sizeof silent / sizeof *silent; i++)
        if ((int)silent[i] == code) return true;
    return (code == IOL_NOTE_assume_surgeon_factor && r->reference_formula != IOL_formula_holladay_1) ||
           (code == IOL_NOTE_assume_pacd && r->reference_formula != IOL_formula_hoffer_q);
}

/* "; vertex 12 mm (--vertex)"; false when the assumption has no short form. */
static bool in_short(const iol_note *note, iol_line *line) {
    char number[32];
    for (size_t i = 0; i < sizeof shorts / sizeof *shorts; i++) {
        if ((int)shorts[i].code != note->code) continue;
        iol_line_text(line, line->used ? "; " : "Assumed: ");
        iol_line_text(line, shorts[i].before);
        if (shorts[i].decimals >= 0 && iol_print_number(note->value, shorts[i].decimals, false, number, sizeof number))
            iol_line_text(line, number);
        iol_line_text(line, shorts[i].after);
        bool whose = shorts[i].after[0] && shorts[i].after[strlen(shorts[i].after) - 1] == ' ';
        if (whose) iol_line_text(line, note->word);
        if (shorts[i].flag) iol_line_text(line, " (");
        if (shorts[i].flag) iol_line_text(line, shorts[i].flag);
        if (shorts[i].flag) iol_line_text(line, ")");
        return true;
    }
    return false;
}

/* In one paragraph; those without a short form as items behind it. */
void iol_power_assumed(const iol_plan *plan, const iol_replacement *r, iol_page *page) {
    char text[640];
    int place = IOL_AT_plan_assumptions;
    iol_line line;
    iol_line_start(&line);
    for (int i = iol_note_find(&plan->notes, place, 0, 0); i >= 0; i = iol_note_find(&plan->notes, place, 0, i + 1))
        if (!is_silent(r, plan->notes.item[i].code)) in_short(&plan->notes.item[i], &line);
    if (iol_at_most(r->target_se_d, c_near_aim_d) == IOL_YES) { /* as the typed line is read: a case says what is wanted */
        iol_line_text(&line, line.used ? "; " : "Assumed: ");
        iol_line_text(&line, "near is what is wanted (--target)");
    }
    iol_line_text(&line, line.used ? "." : "Assumed: nothing.");
    iol_page_paragraph(page, line.text);
    for (int i = iol_note_find(&plan->notes, place, 0, 0); i >= 0; i = iol_note_find(&plan->notes, place, 0, i + 1)) {
        const iol_note *note = &plan->notes.item[i];
        iol_line_start(&line);
        if (is_silent(r, note->code) || in_short(note, &line)) continue;
        iol_page_item(page, iol_note_text(note, text, sizeof text));
    }
}

/* Notes of a place, each with what to type. */
static void notes_of(const iol_case *c, const iol_plan *plan, int place, int row, iol_page *page) {
    char text[640];
    for (int i = iol_note_find(&plan->notes, place, row, 0); i >= 0;
         i = iol_note_find(&plan->notes, place, row, i + 1)) {
        const iol_note *note = &plan->notes.item[i];
        const char *type = iol_power_answer(c, note->code), *lifts = iol_note_rows[note->code].lifts;
        iol_line line;
        iol_line_start(&line);
        iol_line_text(&line, iol_note_text(note, text, sizeof text));
        if (type || lifts) iol_line_text(&line, type ? " Type " : " ");
        if (type || lifts) iol_line_text(&line, type ? type : iol_note_lifts(note, text, sizeof text));
        if (type) iol_line_text(&line, ".");
        iol_page_item(page, line.text);
    }
}

static void cautions(const iol_plan *plan, iol_page *page, iol_severity severity) {
    char text[640];
    int place = IOL_AT_plan_cautions;
    for (int i = iol_note_find(&plan->notes, place, 0, 0); i >= 0; i = iol_note_find(&plan->notes, place, 0, i + 1)) {
        const iol_note *note = &plan->notes.item[i];
        if (iol_note_rows[note->code].severity == severity)
            iol_page_caution(page, iol_severity_text(severity), iol_note_text(note, text, sizeof text));
    }
}

static void read_back(const iol_case *c, const iol_plan *plan, iol_page *page) {
    const iol_refraction *r = &c->refractions[0];
    int place = c->first_surgery.lens.position;
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, plan->eye == IOL_side_right ? "RIGHT eye, old lens " : "LEFT eye, old lens ");
    iol_line_power(&line, c->first_surgery.lens.power_d);
    if (place > 0) iol_line_text(&line, " ");
    if (place > 0) iol_line_place(&line, place);
    iol_line_text(&line, ", now ");
    iol_line_refraction(&line, r->sphere_d, r->cylinder_d, r->axis_deg);
    iol_line_text(&line, ", target ");
    iol_line_signed(&line, c->target_se_d, IOL_UNIT_d);
    iol_page_paragraph(page, line.text);
}

bool iol_power_alarm(const iol_plan *plan) {
    return iol_note_with(&plan->notes, IOL_AT_left_out_text, IOL_NOTE_left_alarm) >= 0;
}

static void standing(const iol_case *c, const iol_plan *plan, const iol_replacement *r, int row, iol_page *page) {
    iol_page_pair(page, "Standing", iol_standing_text(r->standing > 0 ? r->standing : IOL_standing_withheld));
    notes_of(c, plan, IOL_AT_replacement_standing_reasons, row, page);
    if (r->standing <= 0)
        iol_page_item(page, iol_power_alarm(plan) ? "The alarm comes first: no power is told beside it."
                                               : "The refraction cannot be used. Refract again without oil.");
}

/* "+24.29 D for the bag; +22.12 to +24.67 D range". */
static void exact(const iol_replacement *r, const char *kind, iol_page *page) {
    static const char *const route[] = {[IOL_route_not_known] = "",
                                        [IOL_route_joint] = " by the joint estimate",
                                        [IOL_route_biometry_only] = " by biometry alone",
                                        [IOL_route_refraction_only] = " by the refraction alone"};
    iol_line line;
    iol_line_start(&line);
    iol_line_signed(&line, r->power_exact_d, IOL_UNIT_d);
    iol_line_text(&line, " ");
    iol_line_place(&line, r->position);
    iol_line_text(&line, route[r->route]);
    if (r->reference_formula > 0) {
        iol_line_text(&line, ", ");
        iol_line_text(&line, IOL_WORD(formula, r->reference_formula));
    }
    if (r->power_high_d > r->power_low_d) {
        iol_line_text(&line, "; range ");
        iol_line_signed(&line, r->power_low_d, IOL_UNIT_d);
        iol_line_text(&line, " to ");
        iol_line_signed(&line, r->power_high_d, IOL_UNIT_d);
    }
    iol_page_pair(page, kind, line.text);
    if (isnan(r->power_if_other_lens_inside_d)) return;
    iol_line_start(&line);
    iol_line_signed(&line, r->power_exact_d, IOL_UNIT_d);
    iol_line_text(&line, " if the lens inside is the one typed, ");
    iol_line_signed(&line, r->power_if_other_lens_inside_d, IOL_UNIT_d);
    iol_line_text(&line, " if it is another: sticker or operation record decides");
    iol_page_pair(page, "Two powers", line.text);
}

/* Powers by single causes and by other routes, in a line each. */
void iol_power_beside(const iol_plan *plan, const iol_replacement *r, iol_page *page) {
    iol_line line;
    iol_line_start(&line);
    iol_line_cross_checks(&line, r);
    if (line.used) iol_page_pair(page, "Cross-check", line.text);
    iol_line_start(&line);
    iol_line_causes(&line, plan, r);
    if (line.used) iol_page_pair(page, "If one cause", line.text);
}

static bool leads(const iol_replacement *r, int i) { return strcmp(r->choices[i].lens_id, r->lens_id) == 0; }

static bool is_near(const iol_replacement *r, int i) {
    return leads(r, i) && fabs(r->choices[i].power_d - r->power_exact_d) <= c_typed_step_d;
}

/* A site's shelf: which of its lenses the steps are of. */
static void whose_steps(const iol_replacement *r, iol_page *page) {
    iol_line line;
    bool others = false;
    for (int i = 0; i < r->choices_count; i++) others |= !leads(r, i);
    if (!others) return;
    iol_line_start(&line);
    iol_line_text(&line, "Steps of ");
    iol_line_text(&line, r->lens_id);
    iol_line_text(&line, "; other lenses of the shelf: plan with a case file.");
    iol_page_paragraph(page, line.text);
}

/* The steps on either side of the exact power; a sentence where there is none. */
void iol_power_steps(const iol_replacement *r, iol_page *page) {
    static const char *const heads[] = {"", ">Power", ">Expected SE", ">SD", ">Within 0.5 D", ">Within 1.0 D"};
    int near = 0;
    for (int i = 0; i < r->choices_count; i++) near += is_near(r, i);
    if (near == 0)
        iol_page_paragraph(page, "No step of the shelf lies beside this power: none is listed.");
    else
        iol_page_table(page, 6, heads);
    for (int i = 0; i < r->choices_count; i++) {
        const iol_choice *c = &r->choices[i];
        iol_line cell[5];
        if (!is_near(r, i)) continue;
        for (int k = 0; k < 5; k++) iol_line_start(&cell[k]);
        iol_line_power(&cell[0], c->power_d);
        iol_line_signed(&cell[1], c->expected.se_d, IOL_UNIT_d);
        iol_line_number(&cell[2], c->sd_d, IOL_UNIT_d);
        iol_line_percent(&cell[3], c->within_half_d);
        iol_line_percent(&cell[4], c->within_one_d);
        const char *const cells[] = {
            c->chosen == IOL_YES ? "*" : "", cell[0].text, cell[1].text, cell[2].text, cell[3].text, cell[4].text};
        iol_page_row(page, 6, cells);
    }
    whose_steps(r, page);
}

static void multiplier(const iol_piggyback *p, iol_page *page) {
    iol_line line;
    if (isnan(p->multiplier)) return;
    iol_line_start(&line);
    iol_line_number(&line, p->multiplier, IOL_UNIT_ratio);
    iol_line_text(&line, " D of lens for each dioptre in this eye; the habit is ");
    iol_line_number(&line, p->habit_multiplier, IOL_UNIT_ratio);
    iol_page_pair(page, "Multiplier", line.text);
}

void iol_power_text(const iol_case *c, const iol_plan *plan, bool second, iol_page *page) {
    const iol_replacement *r = second ? &plan->piggyback.power : iol_new_lens(plan);
    iol_page_start(page);
    read_back(c, plan, page);
    cautions(plan, page, IOL_SEVERITY_stop);
    standing(c, plan, r, second ? IOL_ROW_SECOND_LENS : 0, page);
    if (r->standing > 0 && r->standing != IOL_standing_withheld) {
        exact(r, second ? "Second lens" : "New lens", page);
        if (second) multiplier(&plan->piggyback, page);
        if (second && plan->piggyback.suitable == IOL_NO) {
            iol_page_pair(page, "Fits this eye", "NO");
            notes_of(c, plan, IOL_AT_piggyback_reasons, 0, page);
        }
        iol_power_beside(plan, r, page);
        iol_power_steps(r, page);
    }
    if (fabs(c->refractions[0].cylinder_d) >= c_typed_cylinder_d)
        iol_page_caution(page, "note", "cylinder is not planned here: use plan");
    cautions(plan, page, IOL_SEVERITY_warn);
    iol_power_assumed(plan, r, page);
    iol_page_paragraph(page, "For a licensed surgeon: examine first, local rules come first, and check the power by a "
                             "second, independent route before a lens is ordered.");
}
