/* One block for each way that leaves the old lens in, or does without lens surgery. */
#include "compose.h"
#include "tables/note_codes.h"

static const char *suits(iol_flag suitable) {
    return suitable == IOL_YES ? "yes" : suitable == IOL_NO ? "NO" : "not known yet";
}

/* A way that does not fit, for one reason alone, is told in the table of all ways. */
static bool told(const iol_plan *plan, iol_flag suitable, int place) {
    int first = iol_note_find(&plan->notes, place, 0, 0);
    return suitable == IOL_NO && (first < 0 || iol_note_find(&plan->notes, place, 0, first + 1) < 0);
}

static void head(iol_page *page, const char *heading, iol_flag suitable) {
    iol_page_subheading(page, heading);
    iol_page_pair(page, "Fits this eye", suits(suitable));
}

static void pair_signed(iol_page *page, const char *label, double x, iol_unit unit, const char *after) {
    iol_line line;
    if (isnan(x)) return;
    iol_line_start(&line);
    iol_line_signed(&line, x, unit);
    iol_line_text(&line, after);
    iol_page_pair(page, label, line.text);
}

static void pair_number(iol_page *page, const char *label, double x, iol_unit unit, const char *after) {
    iol_line line;
    if (isnan(x)) return;
    iol_line_start(&line);
    iol_line_number(&line, x, unit);
    iol_line_text(&line, after);
    iol_page_pair(page, label, line.text);
}

static void pair_axis(iol_page *page, const char *label, double axis_deg) {
    iol_line line;
    if (isnan(axis_deg)) return;
    iol_line_start(&line);
    iol_line_axis(&line, axis_deg);
    iol_page_pair(page, label, line.text);
}

static void pair_refraction(iol_page *page, const char *label, double sphere_d, double cylinder_d, double axis_deg) {
    iol_line line;
    if (isnan(sphere_d)) return;
    iol_line_start(&line);
    iol_line_refraction(&line, sphere_d, cylinder_d, axis_deg);
    iol_page_pair(page, label, line.text);
}

static void piggyback(const iol_plan *plan, iol_page *page) {
    const iol_piggyback *p = &plan->piggyback;
    if (!p->present || told(plan, p->suitable, IOL_AT_piggyback_reasons)) return;
    bool first = false; /* the steps stand open when this is the first way */
    iol_line line;
    iol_line_start(&line);
    for (int i = 0; i < plan->options_count; i++)
        first |= plan->options[i].option == IOL_option_piggyback && plan->options[i].rank == 1.0;
    head(page, "Second lens in the sulcus (piggyback)", p->suitable);
    if (iol_powers_told(page, p->power.standing) && p->suitable != IOL_NO) {
        iol_page_pair(page, "Standing", iol_standing_text(p->power.standing));
        if (p->power.standing != IOL_standing_advised)
            iol_compose_notes(page, plan, IOL_AT_replacement_standing_reasons, IOL_ROW_SECOND_LENS);
        if (p->power.lens_label[0]) iol_compose_class("Lens class", p->power.lens_id, p->power.lens_label, page);
        pair_signed(page, "Exact power", p->power.power_exact_d, IOL_UNIT_d, " at the lens, not at the spectacles");
        pair_signed(page, "From the raw reading", p->power_from_reading_d, IOL_UNIT_d, "");
        if (iol_line_chosen(&line, &p->power)) iol_page_pair(page, "Step", line.text);
        if (!first) iol_page_fold(page, "Steps of the second lens");
        iol_compose_choices(&p->power, page);
        iol_page_unfold(page);
    }
}

/* Both ways to the meridian where the loops allow only the longer one. */
static void turns(const iol_plan *plan, iol_page *page) {
    const iol_rotation *r = &plan->rotation;
    iol_line line;
    if (isnan(r->turn_deg)) return;
    iol_line_start(&line);
    iol_line_turn(&line, r->turn_deg);
    iol_line_text(&line, ", seen from in front of the eye");
    if (!isnan(r->turn_back_deg)) iol_line_text(&line, ": the way the loops allow");
    iol_page_pair(page, "Turn", line.text);
    const iol_note *back = iol_compose_find(plan, IOL_AT_rotation_reasons, IOL_NOTE_turn_the_other_way);
    if (isnan(r->turn_back_deg) || !back) return;
    iol_line_start(&line);
    iol_line_turn(&line, r->turn_back_deg);
    iol_line_text(&line, back->value > back->limit ? ", against the loops: too far. That way only up to about "
                                                   : ", against the loops: only up to about ");
    iol_line_number(&line, back->limit, IOL_UNIT_deg);
    iol_line_text(&line, ", once they are freed and the bag is filled");
    iol_page_pair(page, "Shorter way back", line.text);
}

static void rotation(const iol_plan *plan, iol_page *page) {
    const iol_rotation *r = &plan->rotation;
    if (!r->present) return;
    head(page, "Turning the toric lens", r->suitable);
    pair_axis(page, "Marks now", r->axis_now_deg);
    pair_axis(page, "Least cylinder at", r->least_cylinder_axis_deg);
    turns(plan, page);
    pair_refraction(page, "Expected after", r->expected.sphere_d, r->expected.cylinder_d, r->expected.axis_deg);
    pair_number(page, "Each degree off adds", r->loss_per_degree_d, IOL_UNIT_d, " of cylinder");
}

static void reposition(const iol_plan *plan, iol_page *page) {
    const iol_reposition *r = &plan->reposition;
    if (!r->present) return;
    head(page, "Holding the old lens in place", r->suitable);
    if (r->how > 0) iol_page_pair(page, "How", IOL_WORD(reposition_how, r->how));
    if (!isnan(r->expected.sphere_d))
        pair_refraction(page, "Expected there", r->expected.sphere_d, r->expected.cylinder_d, r->expected.axis_deg);
    else if (!isnan(r->expected.se_d))
        pair_signed(page, "Expected there", r->expected.se_d, IOL_UNIT_d, " spherical equivalent");
    if (!isnan(r->sd_d)) pair_number(page, "Its spread", r->sd_d, IOL_UNIT_d, "");
    if (fabs(r->shift_mm) > 0.0)
        pair_signed(page, "Moved by", r->shift_mm, IOL_UNIT_mm, ", plus = further back than now");
}

static void glasses(const iol_plan *plan, iol_page *page) {
    const iol_spectacles *s = &plan->spectacles;
    const iol_contact_lens *c = &plan->contact_lens;
    if (s->present && !told(plan, s->suitable, IOL_AT_spectacles_reasons)) {
        head(page, "Glasses", s->suitable);
        pair_refraction(page, "Spectacles", s->sphere_d, s->cylinder_d, s->axis_deg);
        pair_signed(page, "Against fellow eye", s->difference_from_fellow_d, IOL_UNIT_d, "");
    }
    if (c->present && !told(plan, c->suitable, IOL_AT_contact_lens_reasons)) {
        head(page, "Contact lens", c->suitable);
        pair_refraction(page, "At the cornea", c->sphere_d, c->cylinder_d, c->axis_deg);
    }
}

static void laser(const iol_plan *plan, iol_page *page) {
    const iol_corneal_laser *l = &plan->corneal_laser;
    if (!l->present || told(plan, l->suitable, IOL_AT_corneal_laser_reasons)) return;
    head(page, "Corneal laser", l->suitable);
    pair_signed(page, "At the cornea", l->se_cornea_d, IOL_UNIT_d, " spherical equivalent to correct");
    pair_number(page, "Depth", l->depth_um, IOL_UNIT_um, " at the centre, transition not counted");
    pair_number(page, "Bed left", l->bed_left_um, IOL_UNIT_um, "");
    if (!isnan(l->tissue_share)) {
        iol_line line;
        iol_line_start(&line);
        iol_line_percent(&line, l->tissue_share);
        iol_page_pair(page, "Tissue altered", line.text);
    }
    pair_number(page, "Keratometry after", l->k_after_d, IOL_UNIT_d, "");
}

/* Each note of a way as an item that names the way. */
static void reasons(const iol_plan *plan, int option, bool present, iol_flag suitable, int place, iol_page *page) {
    char text[640];
    if (!present || told(plan, suitable, place)) return;
    for (int i = iol_note_find(&plan->notes, place, 0, 0); i >= 0; i = iol_note_find(&plan->notes, place, 0, i + 1)) {
        iol_line line;
        iol_line_start(&line);
        iol_line_text(&line, option == IOL_option_reposition ? iol_way_in(plan, option) : iol_way_name(option));
        iol_line_text(&line, ": ");
        iol_line_text(&line, iol_note_text(&plan->notes.item[i], text, sizeof text));
        iol_page_item(page, line.text);
    }
}

/* What decided stands in the table of all ways; here the rest. */
static void all_reasons(const iol_plan *plan, iol_page *page) {
    const int before = page->blocks;
    iol_page_fold(page, "More on each way");
    iol_page_paragraph(page, "Reasons beyond those of the table, and published results:");
    const int empty = page->blocks;
    iol_compose_option_reasons(plan, page);
#define REASONS(part, option)                                                                                          \
    reasons(plan, IOL_option_##option, plan->part.present, plan->part.suitable, IOL_AT_##part##_reasons, page)
    REASONS(piggyback, piggyback);
    REASONS(rotation, rotation);
    REASONS(reposition, reposition);
    REASONS(corneal_laser, corneal_laser);
    REASONS(spectacles, spectacles);
    REASONS(contact_lens, contact_lens);
#undef REASONS
    if (page->blocks == empty)
        page->blocks = before; /* no heading without a list */
    else
        iol_page_unfold(page);
}

void iol_compose_ways(const iol_plan *plan, iol_page *page) {
    piggyback(plan, page);
    rotation(plan, page);
    reposition(plan, page);
    laser(plan, page);
    glasses(plan, page);
    if (plan->options_count > 0) all_reasons(plan, page);
}
