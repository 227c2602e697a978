/* The new lens for people. */
#include <string.h>

#include "compose.h"

const char *iol_standing_text(int standing) {
    static const char *const say[] = {
        [IOL_standing_not_known] = "not known",
        [IOL_standing_advised] = "ADVISED",
        [IOL_standing_repeat_before_ordering] = "REPEAT BEFORE ORDERING",
        [IOL_standing_provisional] = "PROVISIONAL: nothing is chosen, order nothing",
        [IOL_standing_withheld] = "WITHHELD: no power is given",
    };
    return say[standing];
}

static void standing(const iol_plan *plan, const iol_replacement *r, iol_page *page) {
    iol_page_pair(page, "Standing", iol_standing_text(r->standing));
    iol_compose_notes(page, plan, IOL_AT_replacement_standing_reasons, 0);
}

void iol_compose_class(const char *head, const char *id, const char *label, iol_page *page) {
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, id);
    iol_line_text(&line, ": ");
    iol_line_text(&line, label);
    iol_page_pair(page, head, line.text);
}

static void powers(const iol_replacement *r, iol_page *page) {
    iol_line line;
    if (r->lens_label[0]) iol_compose_class("Lens class", r->lens_id, r->lens_label, page);
    iol_line_start(&line);
    iol_line_signed(&line, r->power_exact_d, IOL_UNIT_d);
    iol_line_text(&line, " for ");
    iol_line_text(&line, r->lens_id);
    iol_line_text(&line, " ");
    iol_line_place(&line, r->position);
    iol_line_text(&line, ", target ");
    iol_line_signed(&line, r->target_se_d, IOL_UNIT_d);
    iol_page_pair(page, "Exact power", line.text);
    iol_line_start(&line);
    bool alone = !(r->power_high_d > r->power_low_d);
    if (alone)
        iol_line_text(&line, "none: one route only");
    else {
        iol_line_signed(&line, r->power_low_d, IOL_UNIT_d);
        iol_line_text(&line, " to ");
        iol_line_signed(&line, r->power_high_d, IOL_UNIT_d);
        const bool read_without =
            r->cross_checks_count > 0 && r->cross_checks[0].method == IOL_cross_method_aphakic_refraction;
        iol_line_text(&line, read_without ? " over the advice and each of the two witnesses alone"
                                          : " over the advice, each cause plausible alone, and the refraction alone");
    }
    iol_page_pair(page, "Range", line.text);
    if (!isnan(r->power_if_other_lens_inside_d)) {
        iol_line_start(&line);
        iol_line_signed(&line, r->power_exact_d, IOL_UNIT_d);
        iol_line_text(&line, " if the lens inside is the one recorded; ");
        iol_line_signed(&line, r->power_if_other_lens_inside_d, IOL_UNIT_d);
        iol_line_text(&line, " if it is not. Settle it before ordering: sticker or operation record.");
        iol_page_pair(page, "Two powers", line.text);
    }
    iol_line_start(&line);
    iol_line_text(&line, IOL_PLAIN(route, r->route));
    if (r->reference_formula > 0) {
        iol_line_text(&line, ", reference formula ");
        iol_line_text(&line, IOL_PLAIN(formula, r->reference_formula));
        iol_line_text(&line, " (");
        iol_line_text(&line, IOL_PLAIN(reference_reason, r->reference_reason));
        iol_line_text(&line, ")");
    }
    iol_page_pair(page, "Route", line.text);
}

/* The row of a class that its own aim would be nearest to: least |expected - target|. */
static bool nearest_of_class(const iol_replacement *r, int row) {
    double miss = fabs(r->choices[row].expected.se_d - r->target_se_d);
    for (int i = 0; i < r->choices_count; i++) {
        double other = fabs(r->choices[i].expected.se_d - r->target_se_d);
        bool same = strcmp(r->choices[i].lens_id, r->choices[row].lens_id) == 0;
        if (same && (other < miss || (other == miss && i < row))) return false;
    }
    return true;
}

/* The cells of one step: power, cylinder and marks, SE, refraction, SD, two chances. */
enum { CELL_POWER, CELL_CYLINDER, CELL_SE, CELL_REFRACTION, CELL_SD, CELL_HALF, CELL_ONE, CELLS };

static void fill_cells(const iol_choice *c, iol_line cell[CELLS]) {
    for (int k = 0; k < CELLS; k++) iol_line_start(&cell[k]);
    /* The mark stands behind the power: nothing before it may look like a sign. */
    iol_line_power(&cell[CELL_POWER], c->power_d);
    if (c->chosen == IOL_YES) iol_line_text(&cell[CELL_POWER], " *");
    if (c->cylinder_d > 0.0) {
        iol_line_signed(&cell[CELL_CYLINDER], c->cylinder_d, IOL_UNIT_d);
        iol_line_text(&cell[CELL_CYLINDER], " at ");
        iol_line_axis(&cell[CELL_CYLINDER], c->axis_deg);
    } else
        iol_line_text(&cell[CELL_CYLINDER], "none");
    iol_line_signed(&cell[CELL_SE], c->expected.se_d, IOL_UNIT_d);
    if (isnan(c->expected.sphere_d))
        iol_line_text(&cell[CELL_REFRACTION], "sphere only");
    else
        iol_line_refraction(&cell[CELL_REFRACTION], c->expected.sphere_d, c->expected.cylinder_d, c->expected.axis_deg);
    iol_line_number(&cell[CELL_SD], c->sd_d, IOL_UNIT_d);
    iol_line_percent(&cell[CELL_HALF], c->within_half_d);
    iol_line_percent(&cell[CELL_ONE], c->within_one_d);
}

/* Every step of the class that the powers are for. */
static void own_steps(const iol_replacement *r, iol_page *page) {
    static const char *const heads[] = {"Power", "Cyl, marks", ">SE", ">Refraction", ">SD", ">0.5 D", ">1.0 D"};
    iol_page_table(page, CELLS, heads);
    for (int i = 0; i < r->choices_count; i++) {
        iol_line cell[CELLS];
        const char *text[CELLS];
        if (strcmp(r->choices[i].lens_id, r->lens_id) != 0) continue;
        fill_cells(&r->choices[i], cell);
        for (int k = 0; k < CELLS; k++) text[k] = cell[k].text;
        iol_page_row(page, CELLS, text);
    }
}

/* Of each other class the step nearest to the target. */
static void other_classes(const iol_replacement *r, iol_page *page) {
    static const char *const heads[] = {"Other class, nearest step", "Power", "Cyl, marks", ">SE", ">0.5 D", ">1.0 D"};
    bool started = false;
    for (int i = 0; i < r->choices_count; i++) {
        iol_line cell[CELLS];
        if (strcmp(r->choices[i].lens_id, r->lens_id) == 0 || !nearest_of_class(r, i)) continue;
        if (!started) iol_page_table(page, 6, heads);
        started = true;
        fill_cells(&r->choices[i], cell);
        const char *const text[] = {r->choices[i].lens_id, cell[CELL_POWER].text, cell[CELL_CYLINDER].text,
                                    cell[CELL_SE].text,    cell[CELL_HALF].text,  cell[CELL_ONE].text};
        iol_page_row(page, 6, text);
    }
}

void iol_compose_choices(const iol_replacement *r, iol_page *page) {
    iol_line line;
    if (r->choices_count == 0) return;
    iol_line_start(&line);
    iol_line_text(&line, "Steps of ");
    iol_line_text(&line, r->lens_id);
    iol_line_text(&line, ", * chosen. SE: expected spherical equivalent. Last columns: the model's own chance to end "
                         "within 0.5 D and 1.0 D of the target.");
    iol_page_paragraph(page, line.text);
    own_steps(r, page);
    other_classes(r, page);
}

static void routes(const iol_plan *plan, const iol_replacement *r, iol_page *page) {
    iol_line causes, checks;
    iol_line_start(&causes);
    iol_line_start(&checks);
    iol_line_causes(&causes, plan, r);
    iol_line_cross_checks(&checks, r);
    if (causes.used) iol_page_pair(page, "If one cause alone", causes.text);
    if (checks.used) iol_page_pair(page, "By another route", checks.text);
}

void iol_compose_replacement(const iol_plan *plan, iol_page *page) {
    const iol_replacement *r = iol_new_lens(plan);
    if (!r->present) return;
    iol_page_section(page, "lens",
                     plan->secondary.present    ? "Lens to be put in"
                     : plan->two_lenses.present ? "One lens for both"
                                                : "Replacement lens");
    standing(plan, r, page);
    bool given = iol_powers_told(page, r->standing);
    if (!given && r->standing == IOL_standing_provisional)
        iol_page_paragraph(
            page, "No power stands here while it is provisional. What is reckoned meanwhile is in the plan as text "
                  "(--full) or JSON: to compare, not to order.");
    if (given) powers(r, page);
    if (given) routes(plan, r, page);
    iol_draw_choices(r, page);
    if (given) iol_compose_choices(r, page);
}
