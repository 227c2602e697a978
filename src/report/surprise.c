/* What went wrong, for people. */
#include "compose.h"
#include "screen.h"

static void pair_signed(iol_page *page, const char *label, double x, const char *after) {
    iol_line line;
    iol_line_start(&line);
    iol_line_signed(&line, x, IOL_UNIT_d);
    iol_line_text(&line, after);
    iol_page_pair(page, label, line.text);
}

static void times_spread(iol_page *page, const char *label, double z) {
    iol_line line;
    iol_line_start(&line);
    iol_line_signed(&line, z, IOL_UNIT_none);
    iol_line_text(&line, " times its expected spread (more than 3: not an ordinary error)");
    iol_page_pair(page, label, line.text);
}

/* The reading that counts; where it is long past it is not called that of now, and the newest stands beside it. */
static void read_and_now(const iol_plan *plan, iol_page *page) {
    const iol_surprise *s = &plan->surprise;
    const bool old = s->read_on != IOL_UNKNOWN_DATE;
    iol_line line;
    iol_line_start(&line);
    if (old) iol_line_last_read(&line, plan);
    iol_line_signed(&line, s->current_se_d, IOL_UNIT_d);
    iol_line_text(&line, plan->secondary.present ? " spherical equivalent, without a lens" : " spherical equivalent");
    iol_page_pair(page, old ? "Last reading" : "Now", line.text);
    if (!old) return;
    iol_line_start(&line);
    iol_line_latest(&line, plan);
    iol_page_pair(page, "Now", line.text);
}

static void parts(const iol_plan *plan, iol_page *page) {
    const iol_surprise *s = &plan->surprise;
    const bool none = plan->secondary.present; /* no lens that could have been meant otherwise */
    iol_compose_cause(plan, page);
    read_and_now(plan, page);
    if (none) {
        if (isnan(s->eye_part_d)) return;
        pair_signed(page, "Read, less expected", s->eye_part_d, ": expected by length and keratometry");
        times_spread(page, "Size of that", s->z);
        return;
    }
    pair_signed(page, "Meant", s->intended_se_d, "");
    pair_signed(page, "Miss", s->miss_d, " (plus is more hyperopic)");
    if (isnan(s->eye_part_d)) return;
    pair_signed(page, "  of it selection", s->selection_part_d,
                iol_grown_mm(plan) > 0.0
                    ? ": predicted for the lens put in, at today's length, less what was meant; what the eye "
                      "has grown since is in it"
                    : ": predicted for the lens put in, less what was meant");
    pair_signed(page, "  of it the eye", s->eye_part_d, ": found, less predicted; measurement, lens position, label");
    times_spread(page, "Size of the eye part", s->z);
    pair_signed(page, "Taken as reading noise", s->refraction_noise_d, "");
}

/* none: no lens is in the eye, so none has a place. */
static void formulas(const iol_surprise *s, bool none, iol_page *page) {
    static const char *const heads[] = {"Formula", ">Predicted", ">Error", ">Lens position", ">Position needed"};
    const int columns = none ? 3 : 5;
    if (s->formulas_count == 0) return;
    iol_page_table(page, columns, heads);
    for (int i = 0; i < s->formulas_count; i++) {
        const iol_formula_fit *f = &s->formulas[i];
        iol_line cell[4];
        for (int k = 0; k < 4; k++) iol_line_start(&cell[k]);
        iol_line_signed(&cell[0], f->predicted_se_d, IOL_UNIT_d);
        iol_line_signed(&cell[1], f->error_d, IOL_UNIT_d);
        iol_line_number(&cell[2], f->predicted_position_mm, IOL_UNIT_mm);
        iol_line_number(&cell[3], f->fitted_position_mm, IOL_UNIT_mm);
        const char *const cells[] = {IOL_PLAIN(formula, f->formula), cell[0].text, cell[1].text, cell[2].text,
                                     cell[3].text};
        iol_page_row(page, columns, cells);
    }
}

static void causes(const iol_surprise *s, bool none, iol_page *page) {
    static const char *const heads[] = {"Ordinary cause", ">Share", ">Estimate", ">Needed alone", "Plausible alone"};
    if (s->causes_count == 0) return;
    iol_page_table(page, 5, heads);
    for (int i = 0; i < s->causes_count; i++) {
        const iol_cause *c = &s->causes[i];
        iol_unit unit = c->quantity == IOL_quantity_axial_length || c->quantity == IOL_quantity_lens_position
                            ? IOL_UNIT_mm
                            : IOL_UNIT_d;
        bool sign = c->quantity == IOL_quantity_lens_label || c->quantity == IOL_quantity_refraction;
        iol_line cell[3];
        for (int k = 0; k < 3; k++) iol_line_start(&cell[k]);
        iol_line_percent(&cell[0], c->share);
        if (sign)
            iol_line_signed(&cell[1], c->estimate_read, unit), iol_line_signed(&cell[2], c->needed_alone_read, unit);
        else
            iol_line_number(&cell[1], c->estimate_read, unit), iol_line_number(&cell[2], c->needed_alone_read, unit);
        const char *plausible = c->plausible_alone == IOL_YES  ? "yes"
                                : c->plausible_alone == IOL_NO ? "no"
                                                               : "not known";
        const char *const cells[] = {IOL_PLAIN(quantity, c->quantity), cell[0].text, cell[1].text, cell[2].text,
                                     plausible};
        iol_page_row(page, 5, cells);
    }
    iol_page_paragraph(page, none ? "Axial length as the biometer prints it; cornea as keratometry at index 1.3375."
                                  : "Axial length as the biometer prints it; cornea as keratometry at index 1.3375; "
                                    "position of the thin lens in the reference formula.");
}

void iol_compose_surprise(const iol_plan *plan, iol_page *page) {
    const iol_surprise *s = &plan->surprise;
    if (!s->present) return;
    const bool none = plan->secondary.present;
    iol_page_section(page, "surprise", none ? "The eye without a lens" : "What went wrong");
    parts(plan, page);
    iol_draw_causes(s, page);
    iol_compose_suspects(plan, page);
    if (s->formulas_count <= 0 && s->causes_count <= 0 && s->suspects_count <= 0) return;
    iol_page_fold(page, "Each formula's prediction, what each ordinary cause would need, lesser suspects");
    iol_compose_lesser_suspects(plan, page);
    formulas(s, none, page);
    causes(s, none, page);
    iol_page_unfold(page);
}
