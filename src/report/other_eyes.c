/* Two lenses, a cornea altered by laser, a child's later refraction: for people. */
#include "compose.h"

static void pair_number(iol_page *page, const char *label, double x, iol_unit unit) {
    iol_line line;
    if (isnan(x)) return;
    iol_line_start(&line);
    iol_line_number(&line, x, unit);
    iol_page_pair(page, label, line.text);
}

static void pair_signed(iol_page *page, const char *label, double x) {
    iol_line line;
    if (isnan(x)) return;
    iol_line_start(&line);
    iol_line_signed(&line, x, IOL_UNIT_d);
    iol_page_pair(page, label, line.text);
}

static const char *signed_cell(iol_line *line, double x) {
    iol_line_start(line);
    if (isnan(x))
        iol_line_text(line, "-");
    else
        iol_line_signed(line, x, IOL_UNIT_d);
    return line->text;
}

static const char *const way_text[] = {
    [IOL_two_way_both_stay] = "both stay",
    [IOL_two_way_second_out] = "second lens out",
    [IOL_two_way_second_exchanged] = "second lens exchanged",
    [IOL_two_way_first_exchanged] = "first lens exchanged",
    [IOL_two_way_one_for_both] = "one lens for both",
    [IOL_two_way_second_turned] = "second lens turned",
};

static void way_row(const iol_two_way *w, iol_page *page) {
    iol_line exact, power, refraction, sd, half;
    iol_line_start(&power), iol_line_start(&refraction), iol_line_start(&sd), iol_line_start(&half);
    if (isnan(w->power_d))
        iol_line_text(&power, "-");
    else
        iol_line_power(&power, w->power_d);
    if (w->expected.present)
        iol_line_refraction(&refraction, w->expected.sphere_d, w->expected.cylinder_d, w->expected.axis_deg);
    iol_line_number(&sd, w->sd_d, IOL_UNIT_d);
    iol_line_percent(&half, w->within_half_d);
    signed_cell(&exact, w->power_exact_d);
    iol_line se;
    const char *const text[] = {way_text[w->way], exact.text, power.text, signed_cell(&se, w->expected.se_d),
                                refraction.text,  sd.text,    half.text};
    iol_page_row(page, 7, text);
}

/* The lens of a way with its marks, or the turn. */
static void way_lens(const iol_two_way *w, iol_page *page) {
    iol_line line;
    iol_line_start(&line);
    if (!isnan(w->power_d)) {
        iol_line_power(&line, w->power_d);
        iol_line_text(&line, " ");
        iol_line_text(&line, w->lens_id);
    } else if (!isnan(w->turn_deg)) {
        iol_line_text(&line, "by ");
        iol_line_turn(&line, w->turn_deg);
    } else
        return;
    iol_line_toric(&line, w->cylinder_d, w->axis_deg);
    if (!isnan(w->loss_per_degree_d)) {
        iol_line_text(&line, "; each degree off adds ");
        iol_line_number(&line, w->loss_per_degree_d, IOL_UNIT_d);
        iol_line_text(&line, " of cylinder");
    }
    iol_page_pair(page, way_text[w->way], line.text);
}

void iol_compose_two_lenses(const iol_plan *plan, iol_page *page) {
    static const char *const heads[] = {"Way", ">Exact", ">Step", ">SE", ">Refraction", ">SD", ">0.5 D"};
    const iol_two_lenses *t = &plan->two_lenses;
    const bool told = iol_powers_told(page, iol_new_lens(plan)->standing);
    bool given = false;
    if (!t->present) return;
    iol_page_section(page, "two-lenses", "Two lenses in the eye");
    for (int i = 0; i < t->ways_count; i++) given = given || (told && t->ways[i].expected.present);
    pair_number(page, "Gap", t->gap_mm, IOL_UNIT_mm);
    pair_signed(page, "Expected of both labels", t->predicted_se_d);
    pair_signed(page, "First lens, as the refraction leaves it", t->first_believed_d);
    pair_signed(page, "Second lens, likewise", t->second_believed_d);
    if (given) {
        iol_page_paragraph(page,
                           "What can be done, side by side. SE: expected spherical equivalent; the last column: the "
                           "model's own chance to end within 0.5 D of the target.");
        iol_page_table(page, 7, heads);
        for (int i = 0; i < t->ways_count; i++) way_row(&t->ways[i], page);
        for (int i = 0; i < t->ways_count; i++) way_lens(&t->ways[i], page);
        for (int i = 0; i < t->ways_count; i++) iol_compose_notes(page, plan, IOL_AT_two_way_reasons, i);
    }
    iol_compose_notes(page, plan, IOL_AT_two_lenses_reasons, 0);
}

void iol_compose_altered_cornea(const iol_plan *plan, iol_page *page) {
    static const char *const heads[] = {"Formula", ">Before: as taken", ">Before: 42.4 D", ">Before: 45.4 D", ">Plain"};
    const iol_altered_cornea *a = &plan->altered_cornea;
    if (!a->present) return;
    iol_page_section(page, "altered-cornea", "Cornea altered by laser");
    pair_number(page, "Measured today", a->k_measured_d, IOL_UNIT_d);
    pair_number(page, "By history", a->k_history_d, IOL_UNIT_d);
    pair_number(page, "By regression", a->k_regression_d, IOL_UNIT_d);
    pair_number(page, "Total power", a->k_total_d, IOL_UNIT_d);
    pair_number(page, "Taken as today's", a->k_today_d, IOL_UNIT_d);
    pair_number(page, "Its spread", a->k_today_sd_d, IOL_UNIT_d);
    pair_number(page, a->k_before_known == IOL_YES ? "Before the laser" : "Before the laser, assumed", a->k_before_d,
                IOL_UNIT_d);
    iol_compose_notes(page, plan, IOL_AT_altered_cornea_reasons, 0);
    if (a->formulas_count == 0 || !iol_powers_told(page, iol_new_lens(plan)->standing)) return;
    iol_page_paragraph(page,
                       "Power by biometry alone: the lens placed by the cornea before the laser, and by that of today "
                       "throughout (plain).");
    iol_page_table(page, 5, heads);
    for (int i = 0; i < a->formulas_count; i++) {
        const iol_altered_formula *f = &a->formulas[i];
        iol_line taken, low, high, plain;
        const char *const text[] = {IOL_PLAIN(formula, f->formula), signed_cell(&taken, f->power_double_d),
                                    signed_cell(&low, f->power_low_d), signed_cell(&high, f->power_high_d),
                                    signed_cell(&plain, f->power_plain_d)};
        iol_page_row(page, 5, text);
    }
}

void iol_compose_growth(const iol_plan *plan, iol_page *page) {
    const iol_growth *g = &plan->growth;
    iol_line line;
    if (!g->present) return;
    iol_page_section(page, "growth", "The eye of a child");
    iol_line_start(&line);
    iol_line_signed(&line, g->later_se_high_d, IOL_UNIT_d);
    iol_line_text(&line, " to ");
    iol_line_signed(&line, g->later_se_low_d, IOL_UNIT_d);
    iol_line_text(&line, ", from ");
    iol_line_signed(&line, g->from_se_d, IOL_UNIT_d);
    iol_line_text(&line, " now");
    iol_page_pair(page, "By age 20", line.text);
    iol_compose_notes(page, plan, IOL_AT_growth_reasons, 0);
}
