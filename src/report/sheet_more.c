/* What would sharpen the power, and lenses for another place. */
#include <string.h>

#include "sheet.h"
#include "tables/constants.h"
#include "text/number.h"

/* Where no causes are weighed nothing tells what a look would buy. */
static bool is_weighed(const iol_plan *plan) {
    for (int i = 0; i < plan->left_out_count; i++)
        if (strcmp(plan->left_out[i].part, "measure_next") == 0) return false;
    return true;
}

/* Steps above may ask for looks all the same: it is said what these are for. */
static void nothing_sharpens(iol_sheet *s) {
    bool asks = iol_new_lens(s->plan)->standing != IOL_standing_advised;
    iol_line line;
    for (int i = 0; i < s->plan->decision.acts_count; i++) {
        const int when = s->plan->decision.acts[i].when;
        asks |= when == IOL_act_when_first || when == IOL_act_when_also;
    }
    iol_line_start(&line);
    iol_line_text(&line, "No look or measurement moves the chance of this power by ");
    iol_line_number(&line, 100.0 * c_glance_gain, IOL_UNIT_count);
    iol_line_text(&line, " of 100 eyes.");
    if (asks) iol_line_text(&line, " What is asked for above clears safety, cause or way.");
    iol_sheet_line(s, "<p class=\"key\">", &line, "</p>\n");
}

/* Bars from today's chance to that after a look or a measurement; what buys too little is left out. */
void iol_sheet_sharpen(iol_sheet *s, int most) {
    enum { MOST = 2, LEFT = 2, WIDE = 78 };
    const iol_next_measure *row[MOST];
    int count = 0;
    iol_drawing d;
    iol_line line;
    for (int i = 0; i < s->plan->measure_next_count && count < MOST && count < most; i++)
        if (iol_at_least(s->plan->measure_next[i].gain, c_glance_gain) == IOL_YES) row[count++] = &s->plan->measure_next[i];
    if (!is_weighed(s->plan) || !iol_chance_told(s->plan)) return; /* no chance is told: none is sharpened */
    if (!count) { /* beside what is to be repeated it would say that it need not be */
        if (iol_new_lens(s->plan)->standing != IOL_standing_repeat_before_ordering)
            nothing_sharpens(s);
        return;
    }
    iol_sheet_put(s, "<div class=\"zone\"><h2>What would sharpen the power</h2>\n");
    iol_line_start(&line);
    iol_line_text(&line, "Today ");
    iol_line_number(&line, 100.0 * row[0]->chance_now, IOL_UNIT_count);
    iol_line_bands(&line, " of 100 eyes within %h; ");
    iol_line_number(&line, 100.0 * row[0]->chance_after, IOL_UNIT_count);
    iol_line_text(&line, " with ");
    iol_line_text(&line, iol_measure_words(row[0]->id));
    iol_drawing_open(&d, s->out, "sharpen", 90.0, 3.4 + 7.2 * count, line.text, "A bar from today's chance to that after it.");
    for (int i = 0; i < count; i++) {
        const double from = LEFT + WIDE * row[i]->chance_now, to = LEFT + WIDE * row[i]->chance_after, y = 3.0 + 7.2 * i;
        iol_draw_text(&d, "s", LEFT, y, iol_measure_words(row[i]->id));
        if (from - 7.0 > LEFT) iol_draw_line(&d, "f", LEFT, y + 2.7, from - 7.0, y + 2.7); /* not through the numbers */
        if (to + 7.0 < LEFT + WIDE) iol_draw_line(&d, "f", to + 7.0, y + 2.7, LEFT + WIDE, y + 2.7);
        iol_draw_box(&d, i == 0 ? "k" : "g", from, y + 1.3, to - from, 2.8);
        iol_line_start(&line);
        iol_line_number(&line, 100.0 * row[i]->chance_now, IOL_UNIT_count);
        iol_draw_text(&d, "s e", from - 1.0, y + 3.8, line.text);
        iol_line_start(&line);
        iol_line_number(&line, 100.0 * row[i]->chance_after, IOL_UNIT_count);
        iol_draw_text(&d, "s w", to + 1.0, y + 3.8, line.text);
    }
    iol_drawing_close(&d);
    iol_line_start(&line);
    iol_line_bands(&line, "of 100 eyes within %h, today and after it");
    iol_sheet_line(s, "<p class=\"key\">", &line, "</p></div>\n");
}

static const char *place(int position) {
    static const char *const name[] = {[IOL_position_bag] = "bag",
                                       [IOL_position_sulcus] = "sulcus",
                                       [IOL_position_sulcus_captured] = "sulcus, captured",
                                       [IOL_position_sclera] = "sclera",
                                       [IOL_position_iris_behind] = "behind the iris",
                                       [IOL_position_iris_front] = "before the iris",
                                       [IOL_position_chamber] = "chamber"};
    return position > 0 ? name[position] : "";
}

static bool aims_elsewhere(const iol_plan *plan, const iol_fallback *f) {
    return iol_count(f->aim_d, 2) != iol_count(iol_new_lens(plan)->target_se_d, 2);
}

/* Sheet 1: compared. */
static void compared(iol_sheet *s, const iol_fallback *f) {
    iol_line line;
    iol_line_start(&line);
    iol_sheet_text(s, "<tr><th scope=\"row\">", place(f->position), "</th>");
    iol_sheet_text(s, "<td>", f->lens_id, "</td>");
    iol_line_power(&line, f->power_d);
    iol_sheet_line(s, "<td class=\"number\"><b>", &line, "</b></td>");
    const bool elsewhere = aims_elsewhere(s->plan, f);
    iol_line_signed(&line, f->aim_d, IOL_UNIT_d);
    iol_sheet_line(s, elsewhere ? "<td class=\"number\"><b>" : "<td class=\"number\">", &line, elsewhere ? "</b></td>" : "</td>");
    iol_line_signed(&line, f->expected_se_d, IOL_UNIT_d);
    iol_sheet_line(s, "<td class=\"number\">", &line, "</td>");
    iol_line_signed(&line, f->expected_cylinder_d, IOL_UNIT_d);
    if (iol_others_not_toric(s->plan)) iol_sheet_line(s, "<td class=\"number\"><b>", &line, "</b></td>");
    iol_sheet_put(s, "</tr>\n");
}

/* Theatre card: power first, to be read at arm's length; a power that fits nothing is not set large. */
static void ready(iol_sheet *s, const iol_fallback *f, int number) {
    const bool misses = iol_misses(f->expected_se_d, f->aim_d), toric = iol_others_not_toric(s->plan);
    iol_line line;
    iol_line_start(&line);
    iol_line_number(&line, number, IOL_UNIT_count);
    iol_sheet_line(s, "<tr><th scope=\"row\">", &line, "</th>");
    if (misses)
        iol_sheet_put(s, "<td><b>no lens fits</b></td>");
    else {
        iol_line_power(&line, f->power_d);
        iol_sheet_line(s, "<td class=\"power\">", &line, "</td>");
    }
    iol_line_text(&line, f->position == IOL_position_sulcus_captured ? "in the sulcus, captured" : "");
    if (!line.used) iol_line_place(&line, f->position);
    iol_sheet_line(s, "<td><b>", &line, "</b><br><small>");
    iol_sheet_text(s, "", f->lens_id, "; ");
    if (misses) {
        iol_line_text(&line, "nearest ");
        iol_line_power(&line, f->power_d);
        iol_line_text(&line, " leaves ");
        iol_line_signed(&line, f->expected_se_d, IOL_UNIT_d);
        iol_sheet_line(s, "", &line, "");
    } else if (aims_elsewhere(s->plan, f)) {
        iol_line_text(&line, "aims at ");
        iol_line_signed(&line, f->aim_d, IOL_UNIT_d);
        iol_sheet_line(s, "<b>", &line, "</b>");
    } else if (!toric) { /* else its equivalent is on the aim, and the cylinder is what it leaves */
        iol_line_text(&line, "SE ");
        iol_line_signed(&line, f->expected_se_d, IOL_UNIT_d);
        iol_sheet_line(s, "", &line, "");
    }
    iol_line_signed(&line, f->expected_cylinder_d, IOL_UNIT_d);
    if (toric) iol_sheet_line(s, misses || aims_elsewhere(s->plan, f) ? "; cyl <b>" : "cyl <b>", &line, "</b>");
    iol_sheet_put(s, "</small></td></tr>\n");
}

/* The last of them is a better place than the planned one, only not certain to hold. */
static bool better_behind(const iol_plan *plan) {
    const iol_support *u = &plan->support;
    for (int i = 0; i < u->positions_count && plan->fallbacks_count > 0; i++) {
        if (u->positions[i].position == plan->fallbacks[plan->fallbacks_count - 1].position) return true;
        if (u->positions[i].position == iol_new_lens(plan)->position) return false;
    }
    return false;
}

/* Sheet 1: places where no step comes near the aim, without its power. */
static void misfits(iol_sheet *s, int fitting) {
    iol_line line;
    iol_line_start(&line);
    for (int i = 0; i < s->plan->fallbacks_count; i++) {
        const iol_fallback *f = &s->plan->fallbacks[i];
        if (isnan(f->power_d) || !iol_misses(f->expected_se_d, f->aim_d)) continue;
        iol_line_text(&line, line.used ? ", " : fitting ? "No lens fits in these places: " : "No lens of the shelf fits: ");
        iol_line_text(&line, place(f->position));
    }
    if (line.used) iol_sheet_line(s, "<p>", &line, ".</p>\n");
}

static bool is_listed(const iol_fallback *f, bool theatre) {
    return !isnan(f->power_d) && (theatre || !iol_misses(f->expected_se_d, f->aim_d));
}

static void heads(iol_sheet *s, bool theatre) {
    if (theatre) {
        iol_sheet_put(s, "<table class=\"rungs\"><tbody>\n");
        return;
    }
    iol_sheet_put(s, "<table class=\"places\"><thead><tr><th scope=\"col\">Place</th><th scope=\"col\">Lens</th>"
                     "<th scope=\"col\" class=\"number\">Power</th><th scope=\"col\" class=\"number\">Aim</th>"
                     "<th scope=\"col\" class=\"number\">Expect</th>");
    if (iol_others_not_toric(s->plan)) iol_sheet_put(s, "<th scope=\"col\" class=\"number\">Cyl</th>");
    iol_sheet_put(s, "</tr></thead><tbody>\n");
}

void iol_sheet_fallbacks(iol_sheet *s, bool theatre, int most) {
    int count = 0, priced = 0;
    bool elsewhere = false;
    iol_sheet_put(s, theatre ? "<div class=\"zone\"><h3>" : "<div class=\"zone\"><h2>");
    iol_sheet_put(s, better_behind(s->plan) ? "If it goes to another place" : iol_other_places(s->plan));
    iol_sheet_put(s, theatre ? "</h3>\n" : ", in order</h2>\n");
    for (int i = 0; i < s->plan->fallbacks_count && count < most; i++) {
        const iol_fallback *f = &s->plan->fallbacks[i];
        priced += !isnan(f->power_d);
        if (!is_listed(f, theatre)) continue;
        if (count++ == 0) heads(s, theatre);
        elsewhere |= aims_elsewhere(s->plan, f);
        if (theatre)
            ready(s, f, count);
        else
            compared(s, f);
    }
    if (!priced) {
        iol_sheet_put(
            s, "<p>No other place has a lens. Agree beforehand: close without a lens, as a first step.</p></div>\n");
        return;
    }
    if (count) iol_sheet_put(s, "</tbody></table>\n");
    if (!theatre) misfits(s, count);
    if (iol_others_not_toric(s->plan)) iol_sheet_put(s, "<p class=\"key\">NOT TORIC: the cylinder stays, in glasses.</p>\n");
    if (theatre && elsewhere) iol_sheet_put(s, "<p class=\"key\">Another aim than planned: say it aloud.</p>\n");
    iol_sheet_put(s, "</div>\n");
}
