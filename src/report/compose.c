/* Lines of text from numbers: every number with its unit, every refraction and lens power with its sign. */
#include "compose.h"
#include "tables/constants.h"
#include "tables/note_codes.h"

#include <string.h>

#include "text/number.h"

void iol_line_start(iol_line *line) {
    line->used = 0;
    line->text[0] = '\0';
}

void iol_line_text(iol_line *line, const char *text) {
    size_t length = strlen(text), room = sizeof line->text - 1 - line->used;
    if (length > room) length = room;
    memcpy(line->text + line->used, text, length);
    line->used += length;
    line->text[line->used] = '\0';
}

static void number(iol_line *line, double x, int decimals, bool sign) {
    char text[32];
    iol_line_text(line, iol_print_number(x, decimals, sign, text, sizeof text) ? text : "not known");
}

static void with_unit(iol_line *line, double x, iol_unit unit, bool sign) {
    number(line, x, iol_units[unit].text_decimals, sign);
    if (isnan(x) || !iol_units[unit].printed[0]) return;
    iol_line_text(line, " ");
    iol_line_text(line, iol_units[unit].printed);
}

void iol_line_number(iol_line *line, double x, iol_unit unit) { with_unit(line, x, unit, false); }
void iol_line_axis(iol_line *line, double axis_deg) {
    iol_line_number(line, iol_axis_told(axis_deg, iol_units[IOL_UNIT_deg].text_decimals), IOL_UNIT_deg);
}
void iol_line_signed(iol_line *line, double x, iol_unit unit) { with_unit(line, x, unit, true); }

void iol_line_power(iol_line *line, double power_d) {
    bool tenths = iol_count(power_d, 2) % 10 == 0;
    number(line, power_d, tenths ? 1 : 2, true);
    if (!isnan(power_d)) iol_line_text(line, " D");
}

void iol_line_refraction(iol_line *line, double sphere_d, double cylinder_d, double axis_deg) {
    iol_line_signed(line, sphere_d, IOL_UNIT_d);
    if (isnan(cylinder_d) || iol_count(cylinder_d, 2) == 0) return;
    iol_line_text(line, " ");
    iol_line_signed(line, cylinder_d, IOL_UNIT_d);
    iol_line_text(line, " x ");
    iol_line_axis(line, axis_deg);
}

void iol_line_toric(iol_line *line, double cylinder_d, double axis_deg) {
    if (!(cylinder_d > 0.0)) return;
    iol_line_text(line, ", cylinder ");
    iol_line_signed(line, cylinder_d, IOL_UNIT_d);
    iol_line_text(line, ", marks on ");
    iol_line_axis(line, axis_deg);
}

void iol_line_place(iol_line *line, int position) {
    static const char *const place[] = {[IOL_position_bag] = "in the bag",
                                        [IOL_position_sulcus] = "in the sulcus",
                                        [IOL_position_sulcus_captured] = "in the sulcus, optic captured",
                                        [IOL_position_sclera] = "in the sclera",
                                        [IOL_position_iris_behind] = "behind the iris",
                                        [IOL_position_iris_front] = "in front of the iris",
                                        [IOL_position_chamber] = "in the anterior chamber"};
    iol_line_text(line, position > 0 ? place[position] : "place not known");
}

bool iol_powers_told(const iol_page *page, int standing) {
    return standing != IOL_standing_withheld && !(page->behind_sheets && standing == IOL_standing_provisional);
}

void iol_line_bands(iol_line *line, const char *text) {
    for (; *text; text++) {
        const bool narrow = text[0] == '%' && (text[1] == 'h' || text[1] == 'H'),
                   wide = text[0] == '%' && (text[1] == 'o' || text[1] == 'O');
        if (!narrow && !wide) {
            iol_line_text(line, (const char[]){*text, '\0'});
            continue;
        }
        text++;
        iol_line_number(line, narrow ? c_band_half_d : c_band_one_d,
                        *text == 'h' || *text == 'o' ? IOL_UNIT_d : IOL_UNIT_none);
    }
}

void iol_line_percent(iol_line *line, double share) {
    number(line, 100.0 * share, 0, false);
    if (!isnan(share)) iol_line_text(line, " %");
}

static bool implausible_alone(const iol_surprise *surprise, int quantity) {
    for (int i = 0; i < surprise->causes_count; i++)
        if (surprise->causes[i].quantity == quantity) return surprise->causes[i].plausible_alone == IOL_NO;
    return false;
}

/* "NAME +21.21 D" after what stands there already. */
static void named_power(iol_line *line, const char *name, double power_d) {
    iol_line_text(line, line->used ? ", " : "");
    iol_line_text(line, name);
    iol_line_text(line, " ");
    if (isnan(power_d))
        iol_line_text(line, "cannot explain it");
    else
        iol_line_signed(line, power_d, IOL_UNIT_d);
}

void iol_line_causes(iol_line *line, const iol_plan *plan, const iol_replacement *r) {
    for (int i = 0; i < r->by_cause_count; i++) {
        const iol_cause_power *c = &r->by_cause[i];
        named_power(line, IOL_PLAIN(quantity, c->quantity), c->power_d);
        if (!isnan(c->power_d) && implausible_alone(&plan->surprise, c->quantity))
            iol_line_text(line, " (beyond ordinary error)");
    }
}

void iol_line_cross_checks(iol_line *line, const iol_replacement *r) {
    for (int i = 0; i < r->cross_checks_count; i++)
        named_power(line, IOL_PLAIN(cross_method, r->cross_checks[i].method), r->cross_checks[i].power_d);
}

void iol_line_date(iol_line *line, int32_t day) {
    char text[11] = "not known";
    if (day != IOL_UNKNOWN_DATE) iol_date_print(day, text);
    iol_line_text(line, text);
}

void iol_compose_notes(iol_page *page, const iol_plan *plan, int place, int row) {
    char text[640], lifts[640];
    for (int i = iol_note_find(&plan->notes, place, row, 0); i >= 0;
         i = iol_note_find(&plan->notes, place, row, i + 1)) {
        const iol_note *note = &plan->notes.item[i];
        iol_line line;
        iol_line_start(&line);
        iol_line_text(&line, iol_note_text(note, text, sizeof text));
        if (iol_note_rows[note->code].lifts) {
            iol_line_text(&line, " To lift it: ");
            iol_line_text(&line, iol_note_lifts(note, lifts, sizeof lifts));
        }
        iol_page_item(page, line.text);
    }
}

void iol_line_turn(iol_line *line, double turn_deg) {
    iol_line_number(line, fabs(turn_deg), IOL_UNIT_deg);
    iol_line_text(line, turn_deg > 0.0 ? " anticlockwise" : " clockwise");
}

const iol_note *iol_compose_find(const iol_plan *plan, int place, iol_note_code code) {
    const iol_notes *notes = &plan->notes;
    for (int k = iol_note_find(notes, place, 0, 0); k >= 0; k = iol_note_find(notes, place, 0, k + 1))
        if (notes->item[k].code == (int)code) return &notes->item[k];
    return NULL;
}

void iol_line_assumed(iol_line *line, const iol_plan *plan, int views) {
    static const struct {
        iol_note_code code;
        int view;
        const char *what;
    } parts[] = {{IOL_NOTE_assume_old_diameter, IOL_VIEW_SIZE, "size of the optic"},
                 {IOL_NOTE_assume_old_edge, IOL_VIEW_SHAPE, "edge thickness"},
                 {IOL_NOTE_assume_old_centre, IOL_VIEW_SHAPE, "centre thickness"},
                 {IOL_NOTE_assume_old_index, IOL_VIEW_SHAPE, "index"},
                 {IOL_NOTE_assume_old_radii, IOL_VIEW_SHAPE, "curves of the lens"},
                 {IOL_NOTE_assume_cornea_thickness, IOL_VIEW_CHAMBER, "thickness of the cornea"},
                 {IOL_NOTE_assume_iris_plane, IOL_VIEW_CHAMBER, "iris plane"},
                 {IOL_NOTE_assume_blade, IOL_VIEW_CHAMBER, "blade"}};
    bool any = false;
    for (size_t i = 0; i < sizeof parts / sizeof *parts; i++) {
        if (!(parts[i].view & views) || !iol_compose_find(plan, IOL_AT_plan_assumptions, parts[i].code)) continue;
        iol_line_text(line, any ? ", " : "; assumed: ");
        iol_line_text(line, parts[i].what);
        any = true;
    }
}
