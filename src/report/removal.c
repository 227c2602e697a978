/* Taking the old lens out, for people. */
#include "screen.h"
#include "text/number.h"

/* Of its notes: the second of two lenses has rows of its own. */
static int row_of(const iol_plan *plan, const iol_removal *r) { return r == &plan->removal ? 0 : IOL_ROW_SECOND_LENS; }

/* A way that this lens does not allow: the reasons above say so. */
static bool not_for_this_lens(const iol_removal_row *m) { return m->fits == IOL_fits_no && isnan(m->wound_low_mm); }

static void cell_mm(iol_line *cell, double x) {
    iol_line_start(cell);
    if (isnan(x))
        iol_line_text(cell, "-");
    else
        iol_line_number(cell, x, IOL_UNIT_mm);
}

static void geometry(const iol_removal *r, iol_page *page) {
    static const char *const heads[] = {"Way out",       ">Widest piece", ">Cut, total",
                                        ">Thickest cut", ">Reach",        ">Clearance"};
    iol_page_table(page, 6, heads);
    for (int i = 0; i < r->methods_count; i++) {
        const iol_removal_row *m = &r->methods[i];
        if (not_for_this_lens(m)) continue;
        const double x[] = {m->widest_piece_mm, m->cut_length_mm == 0.0 ? NAN : m->cut_length_mm, m->thickest_cut_mm,
                            m->furthest_reach_mm, m->least_clearance_mm};
        iol_line name, cell[5];
        iol_line_start(&name);
        iol_line_text(&name, m->id == r->preferred ? "* " : "  ");
        iol_line_text(&name, IOL_PLAIN(removal_method, m->id));
        for (int k = 0; k < 5; k++) cell_mm(&cell[k], x[k]);
        const char *const cells[] = {name.text, cell[0].text, cell[1].text, cell[2].text, cell[3].text, cell[4].text};
        iol_page_row(page, 6, cells);
    }
}

static void wounds(const iol_removal *r, iol_page *page) {
    static const char *const heads[] = {"Way out",    ">Wound at least", ">Comfortable",
                                        "Fits today", ">Enlarge to",     ">It adds"};
    iol_page_table(page, 6, heads);
    for (int i = 0; i < r->methods_count; i++) {
        const iol_removal_row *m = &r->methods[i];
        if (not_for_this_lens(m)) continue;
        iol_line low, high, to, adds;
        cell_mm(&low, m->wound_low_mm);
        cell_mm(&high, m->wound_high_mm);
        cell_mm(&to, m->enlarge_to_mm);
        iol_line_start(&adds);
        if (isnan(m->enlargement_cylinder_d))
            iol_line_text(&adds, "-");
        else
            iol_line_number(&adds, m->enlargement_cylinder_d, IOL_UNIT_d);
        const char *fits = m->fits > 0 ? IOL_WORD(fits, m->fits) : "not known";
        const char *const cells[] = {IOL_PLAIN(removal_method, m->id), low.text, high.text, fits, to.text, adds.text};
        iol_page_row(page, 6, cells);
    }
}

static void row_notes(const iol_plan *plan, const iol_removal *r, iol_page *page) {
    char text[640];
    for (int i = 0; i < r->methods_count; i++) {
        if (not_for_this_lens(&r->methods[i])) continue;
        for (int k = iol_note_find(&plan->notes, IOL_AT_removal_row_reasons, row_of(plan, r) + i, 0); k >= 0;
             k = iol_note_find(&plan->notes, IOL_AT_removal_row_reasons, row_of(plan, r) + i, k + 1)) {
            iol_line line;
            iol_line_start(&line);
            iol_line_text(&line, IOL_PLAIN(removal_method, r->methods[i].id));
            iol_line_text(&line, ": ");
            iol_line_text(&line, iol_note_text(&plan->notes.item[k], text, sizeof text));
            iol_page_item(page, line.text);
        }
    }
}

static void lens(const iol_plan *plan, const iol_removal *r, iol_page *page) {
    const iol_removal_lens *l = &r->lens;
    iol_line line;
    iol_line_start(&line);
    iol_line_number(&line, l->optic_diameter_mm, IOL_UNIT_mm);
    iol_line_text(&line, " across, centre ");
    iol_line_number(&line, l->centre_thickness_mm, IOL_UNIT_mm);
    iol_line_text(&line, ", edge ");
    iol_line_number(&line, l->edge_thickness_mm, IOL_UNIT_mm);
    iol_line_text(&line, ", index ");
    iol_line_number(&line, l->refractive_index, IOL_UNIT_none);
    if (!isnan(l->front_radius_mm)) {
        iol_line_text(&line, ", front radius ");
        iol_line_number(&line, l->front_radius_mm, IOL_UNIT_mm);
    }
    if (row_of(plan, r) == 0) iol_line_assumed(&line, plan, IOL_VIEW_SIZE | IOL_VIEW_SHAPE);
    iol_page_pair(page, row_of(plan, r) == 0 ? "Old optic" : "Its optic", line.text);
}

/* "widest 3.00 mm, thickest place cut 0.68 mm": what is known of it. */
static void add_mm(iol_line *line, const char *what, double x) {
    if (isnan(x)) return;
    iol_line_text(line, line->used ? ", " : "");
    iol_line_text(line, what);
    iol_line_text(line, " ");
    iol_line_number(line, x, IOL_UNIT_mm);
}

/* The preferred way in numbers; all ways stand in the tables. */
static void preferred(const iol_removal *r, iol_page *page) {
    const iol_removal_row *m = iol_preferred_way(r);
    iol_line pieces, wound;
    if (!m) return;
    iol_line_start(&pieces);
    add_mm(&pieces, "widest", m->widest_piece_mm);
    add_mm(&pieces, "thickest place cut", m->thickest_cut_mm);
    add_mm(&pieces, "blade to endothelium at least", m->least_clearance_mm);
    if (pieces.used) iol_page_pair(page, "Pieces", pieces.text);
    iol_line_start(&wound);
    add_mm(&wound, "at least", m->wound_low_mm);
    add_mm(&wound, "comfortable", m->wound_high_mm);
    const bool wider = m->id == IOL_removal_method_whole || m->fits == IOL_fits_no;
    add_mm(&wound, wider ? "enlarge to" : "if tight", m->enlarge_to_mm);
    if (!isnan(m->enlargement_cylinder_d)) {
        iol_line_text(&wound, ", which adds ");
        iol_line_number(&wound, m->enlargement_cylinder_d, IOL_UNIT_d);
    }
    if (wound.used) iol_page_pair(page, "Wound for it", wound.text);
}

/* "at 8 o'clock", or "between 8 and 9 o'clock" when it lies nearer the middle. */
static void clock_text(iol_line *line, double hour) {
    int halves = (int)floor(2.0 * hour + 0.5), from = halves / 2;
    bool between = halves % 2 != 0;
    char text[16];
    from = from == 0 ? 12 : from;
    iol_line_text(line, between ? "between " : "at ");
    iol_line_text(line, iol_print_number(from, 0, false, text, sizeof text) ? text : "");
    if (between) {
        iol_line_text(line, " and ");
        iol_line_text(line, iol_print_number(from % 12 + 1, 0, false, text, sizeof text) ? text : "");
    }
    iol_line_text(line, " o'clock");
}

static void turn(const iol_removal_orientation *o, iol_page *page) {
    iol_line line;
    iol_line_start(&line);
    if (o->turn_deg != 0.0 && o->direction > 0) {
        iol_line_text(&line, "Turn the lens ");
        iol_line_number(&line, fabs(o->turn_deg), IOL_UNIT_deg);
        iol_line_text(&line, " ");
        iol_line_text(&line, IOL_WORD(direction, o->direction));
        iol_line_text(&line, ", seen from in front (");
        iol_line_number(&line, o->turn_clock_hours, IOL_UNIT_clock);
        iol_line_text(&line, "), so that the near junction lies ");
    } else if (o->turn_deg == 0.0)
        iol_line_text(&line, "No turn: the near junction lies where it must, ");
    else
        iol_line_text(&line, "When it can be moved, the near junction must lie ");
    clock_text(&line, o->junction_clock);
    iol_line_text(&line, " (");
    iol_line_number(&line, o->junction_position_deg, IOL_UNIT_deg);
    iol_line_text(&line, ").");
    iol_page_pair(page, "Turn", line.text);
    if (isnan(o->turn_back_deg)) return;
    iol_line_start(&line);
    iol_line_turn(&line, o->turn_back_deg);
    iol_line_text(&line, ", against the loops");
    iol_page_pair(page, "Shorter way back", line.text);
}

static void orientation(const iol_plan *plan, const iol_removal *r, iol_page *page) {
    const iol_removal_orientation *o = &r->orientation;
    iol_line line;
    char text[640];
    if (!o->present) return;
    if (r->preferred != IOL_removal_method_whole) turn(o, page);
    int cut = iol_note_find(&plan->notes, IOL_AT_removal_orientation_cut, row_of(plan, r), 0);
    if (cut >= 0) {
        iol_line_start(&line);
        iol_line_number(&line, o->cut_meridian_deg, IOL_UNIT_deg);
        iol_line_text(&line, ". ");
        iol_line_text(&line, iol_note_text(&plan->notes.item[cut], text, sizeof text));
        iol_page_pair(page, r->cuts_count > 0 ? "Cut" : "If cut", line.text);
    }
    iol_line_start(&line);
    iol_line_text(&line, o->grip_hand == IOL_hand_left ? "left" : "right");
    iol_line_text(&line, " hand, through a port at ");
    iol_line_number(&line, o->grip_port_position_deg, IOL_UNIT_deg);
    iol_line_text(&line, "; seat at ");
    iol_line_number(&line, o->seat_position_deg, IOL_UNIT_deg);
    iol_page_pair(page, "Hold with", line.text);
    iol_compose_notes(page, plan, IOL_AT_removal_orientation_reasons, row_of(plan, r));
}

/* The ways out of one lens. */
static void ways_out(const iol_plan *plan, const iol_removal *r, iol_page *page) {
    char text[640];
    const int why = iol_note_find(&plan->notes, IOL_AT_removal_why, row_of(plan, r), 0);
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, IOL_PLAIN(removal_method, r->preferred));
    iol_line_text(&line, ". ");
    if (why >= 0) iol_line_text(&line, iol_note_text(&plan->notes.item[why], text, sizeof text));
    iol_page_pair(page, "Preferred", line.text);
    preferred(r, page);
    lens(plan, r, page);
    orientation(plan, r, page);
    iol_compose_notes(page, plan, IOL_AT_removal_reasons, row_of(plan, r));
    iol_page_fold(page, "Every way out: pieces, cuts, wounds, published figures; depths in the chamber");
    geometry(r, page);
    iol_page_paragraph(
        page, "Reach: from the optic's edge at the wound. Clearance: least, blade to endothelium. * preferred.");
    wounds(r, page);
    if (row_of(plan, r) == 0 || !plan->removal.present) row_notes(plan, r, page); /* what is published of the ways, once */
}

static void second_out(const iol_plan *plan, iol_page *page) {
    if (!plan->two_lenses.second_way_out.present || iol_is_alarm(plan)) return;
    iol_line line;
    iol_line_start(&line);
    iol_page_section(page, "second-out", "Taking the second lens out");
    iol_line_which_lens(&line, plan, true);
    iol_page_pair(page, "Which", line.text);
    ways_out(plan, iol_removal_of(plan, true), page);
    iol_page_unfold(page);
}

void iol_compose_removal(const iol_plan *plan, iol_page *page) {
    const iol_removal *r = &plan->removal;
    second_out(plan, page);
    if (!r->present) return;
    iol_page_section(page, "removal",
                     plan->two_lenses.present ? "Taking the first lens out" : "Taking the old lens out");
    iol_draw_lens_from_front(plan, page);
    iol_draw_chamber(plan, page);
    if (plan->two_lenses.present) {
        iol_line line;
        iol_line_start(&line);
        iol_line_which_lens(&line, plan, false);
        iol_page_pair(page, "Which", line.text);
    }
    ways_out(plan, r, page);
    iol_compose_depths(plan, page);
    iol_page_unfold(page);
}
