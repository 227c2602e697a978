/* What a tilted or decentred lens does, for people. */
#include "compose.h"

/* "tilted 9 deg, its edge at 88 deg furthest back; 0.60 mm off centre toward 80 deg". */
static void lies(const iol_displaced *d, iol_page *page) {
    const iol_displaced_way *way = d->ways_count > 0 ? &d->ways[0] : NULL;
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, "tilted ");
    iol_line_number(&line, d->tilt_deg, IOL_UNIT_deg);
    if (way && !isnan(way->tilted_back_position_deg)) {
        iol_line_text(&line, ", its edge at ");
        iol_line_number(&line, way->tilted_back_position_deg, IOL_UNIT_deg);
        iol_line_text(&line, " furthest back");
    }
    iol_line_text(&line, "; off centre ");
    iol_line_number(&line, d->decentration_mm, IOL_UNIT_mm);
    if (way && !isnan(way->decentration_position_deg)) {
        iol_line_text(&line, " toward ");
        iol_line_number(&line, way->decentration_position_deg, IOL_UNIT_deg);
    }
    iol_page_pair(page, "The lens lies", line.text);
}

/* A refraction whose axis may be unknown. */
static void refraction(iol_line *line, double sphere_d, double cylinder_d, double axis_deg) {
    if (!isnan(axis_deg)) {
        iol_line_refraction(line, sphere_d, cylinder_d, axis_deg);
        return;
    }
    iol_line_signed(line, sphere_d, IOL_UNIT_none);
    iol_line_text(line, " ");
    iol_line_signed(line, cylinder_d, IOL_UNIT_d);
    iol_line_text(line, " x ?");
}

static void makes(const iol_displaced *d, iol_page *page) {
    iol_line line;
    if (isnan(d->explained_sphere_d)) return;
    iol_line_start(&line);
    refraction(&line, d->explained_sphere_d, d->explained_cylinder_d, d->explained_axis_deg);
    iol_line_text(&line, isnan(d->explained_axis_deg) ? " (axis not known) at the cornea; SD " : " at the cornea; SD ");
    iol_line_number(&line, d->explained_se_sd_d, IOL_UNIT_d);
    iol_line_text(&line, " of its spherical equivalent, ");
    iol_line_number(&line, d->explained_cylinder_sd_d, IOL_UNIT_d);
    iol_line_text(&line, " of its cylinder");
    iol_page_pair(page, "That makes", line.text);
    iol_line_start(&line);
    iol_line_number(&line, d->prism_pd, IOL_UNIT_pd);
    if (!isnan(d->prism_base_deg)) {
        iol_line_text(&line, ", base toward ");
        iol_line_number(&line, d->prism_base_deg, IOL_UNIT_deg);
    }
    iol_page_pair(page, "Prism", line.text);
}

static void cylinder(const iol_displaced *d, iol_page *page) {
    static const char *const say[] = {
        [IOL_explains_not_known] = "not known",
        [IOL_explains_yes] = "yes",
        [IOL_explains_in_part] = "in part",
        [IOL_explains_no] = "no",
        [IOL_explains_cannot_tell] = "cannot be told",
    };
    iol_line line;
    iol_line_start(&line);
    iol_line_text(&line, say[d->explains]);
    if (!isnan(d->remainder_cylinder_d)) {
        iol_line_text(&line, ": unexplained without it ");
        iol_line_number(&line, d->remainder_without_d, IOL_UNIT_d);
        iol_line_text(&line, ", with it ");
        iol_line_number(&line, d->remainder_cylinder_d, IOL_UNIT_d);
    }
    iol_page_pair(page, "Explains the cylinder", line.text);
}

static void put_back(const iol_displaced *d, iol_page *page) {
    const iol_spectacle_form *r = &d->recentred;
    iol_line line;
    iol_line_start(&line);
    if (!isnan(r->sphere_d)) {
        iol_line_refraction(&line, r->sphere_d, r->cylinder_d, r->axis_deg);
        iol_line_text(&line, ", ");
    }
    iol_line_signed(&line, r->se_d, IOL_UNIT_d);
    if (!isnan(r->se_d)) iol_line_text(&line, " spherical equivalent");
    iol_page_pair(page, "Back in its place", line.text);
    iol_page_pair(page, "Is that enough?",
                  d->recentring_enough == IOL_YES  ? "yes: within 0.50 D, and 0.75 D of cylinder, of the wish"
                  : d->recentring_enough == IOL_NO ? "no"
                                                   : "not known");
}

static void trust(const iol_displaced *d, iol_page *page) {
    static const char *const say[] = {
        [IOL_trust_not_known] = "not known",
        [IOL_trust_good] = "good",
        [IOL_trust_order_of_size] = "order of size only",
        [IOL_trust_none] = "none: no number is given",
    };
    iol_page_pair(page, "Trust in these numbers", say[d->trust]);
}

static void place(iol_line *line, double position_deg) {
    if (isnan(position_deg))
        iol_line_text(line, "?");
    else
        iol_line_number(line, position_deg, IOL_UNIT_deg);
}

/* Every way in which it may lie, where the case leaves it open. */
static void ways(const iol_displaced *d, iol_page *page) {
    static const char *const heads[] = {"Front", ">Back at", ">Moved to", ">Makes at the cornea", ">Prism"};
    if (d->ways_count < 2) return;
    iol_page_table(page, 5, heads);
    for (int i = 0; i < d->ways_count; i++) {
        const iol_displaced_way *w = &d->ways[i];
        iol_line cell[4];
        for (int k = 0; k < 4; k++) iol_line_start(&cell[k]);
        place(&cell[0], w->tilted_back_position_deg);
        place(&cell[1], w->decentration_position_deg);
        refraction(&cell[2], w->explained_sphere_d, w->explained_cylinder_d, w->explained_axis_deg);
        iol_line_number(&cell[3], w->prism_pd, IOL_UNIT_pd);
        const char *front = w->asphericity > 0 ? IOL_WORD(asphericity, w->asphericity) : "not known";
        const char *const cells[] = {front, cell[0].text, cell[1].text, cell[2].text, cell[3].text};
        iol_page_row(page, 5, cells);
    }
}

void iol_compose_displaced(const iol_plan *plan, iol_page *page) {
    const iol_displaced *d = &plan->displaced;
    if (!d->present) return;
    iol_page_section(page, "displaced", "The lens where it lies");
    lies(d, page);
    makes(d, page);
    cylinder(d, page);
    put_back(d, page);
    trust(d, page);
    iol_draw_displaced(plan, page);
    ways(d, page);
    iol_compose_notes(page, plan, IOL_AT_displaced_reasons, 0);
}
