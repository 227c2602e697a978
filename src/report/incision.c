/* The wound, for people. */
#include "compose.h"

void iol_compose_incision(const iol_plan *plan, iol_page *page) {
    const iol_incision *i = &plan->incision;
    iol_line line;
    if (!i->present) return;
    iol_page_section(page, "wound", "Wound");
    iol_line_start(&line);
    iol_line_number(&line, i->width_mm, IOL_UNIT_mm);
    iol_line_text(&line, " at ");
    iol_line_number(&line, i->position_deg, IOL_UNIT_deg);
    iol_page_pair(page, "Planned", line.text);
    if (iol_above(i->end_width_mm, i->width_mm) == IOL_YES) {
        iol_line_start(&line);
        iol_line_number(&line, i->end_width_mm, IOL_UNIT_mm);
        iol_line_text(&line, " where the lens is exchanged: one of the two needs it");
        iol_page_pair(page, "At the end", line.text);
    }
    iol_line_start(&line);
    iol_line_number(&line, i->end_cylinder_d, IOL_UNIT_d);
    iol_line_text(&line, " (SD ");
    iol_line_number(&line, i->end_sd_d, IOL_UNIT_d);
    iol_line_text(&line, "), flatter along the wound's meridian; counted in every expected refraction");
    iol_page_pair(page, "Induced cylinder", line.text);
    if (!isnan(i->corneal_cylinder_after_d)) {
        iol_line_start(&line);
        iol_line_number(&line, i->corneal_cylinder_after_d, IOL_UNIT_d);
        iol_line_text(&line, ", steep at ");
        iol_line_axis(&line, i->corneal_axis_after_deg);
        iol_page_pair(page, "Corneal cylinder after", line.text);
    }
    iol_compose_notes(page, plan, IOL_AT_incision_steep_meridian_advice, 0);
    iol_page_fold(page, "What other widths would induce, and published cylinder");
    iol_compose_notes(page, plan, IOL_AT_incision_reasons, 0);
    iol_page_unfold(page);
}
