/* What the composers share: a small text builder, numbers with unit and sign, notes of a place. */
#ifndef IOL_REPORT_COMPOSE_H
#define IOL_REPORT_COMPOSE_H

#include "iolrevise/plan.h"
#include "page.h"
#include "tables/say.h"

/* A line under construction. */
typedef struct {
    char text[700];
    size_t used;
} iol_line;

void iol_line_start(iol_line *line);
void iol_line_text(iol_line *line, const char *text);
/* A number with the text decimals of its unit and the unit: "23.50 mm"; "not known" for NaN. */
void iol_line_number(iol_line *line, double x, iol_unit unit);
void iol_line_axis(iol_line *line, double axis_deg); /* a meridian: 180, never 0 */
/* The same with its sign always: "+1.88 D". Refractions and lens powers. */
void iol_line_signed(iol_line *line, double x, iol_unit unit);
/* A labelled lens power: as many decimals as its step needs, at least one; always signed. */
void iol_line_power(iol_line *line, double power_d);
/* "+1.50 -0.75 D x 80": the unit stands before the axis, which is in degrees. Without a cylinder "+1.50 D". */
void iol_line_refraction(iol_line *line, double sphere_d, double cylinder_d, double axis_deg);
/* "in the bag", "in the sulcus, optic captured", "behind the iris". */
/* ", cylinder +1.50 D, marks on 90 deg" of a toric lens; nothing of another. */
void iol_line_toric(iol_line *line, double cylinder_d, double axis_deg);
void iol_line_place(iol_line *line, int position);
/* Powers and chances of a standing are told on this page: withheld ones never, provisional ones not behind sheets. */
bool iol_powers_told(const iol_page *page, int standing);
/* Text with the bands about a target in it: %h for the narrow one, "0.50 D", %o for the wide one; %H and %O without the unit. */
void iol_line_bands(iol_line *line, const char *text);
void iol_line_percent(iol_line *line, double share);
/* "+23.0 D toric-1p, cylinder 1.50 D, marks on 90 deg, in the bag"; marks: the words before the degrees. */
void iol_line_step(iol_line *line, const iol_replacement *r, const iol_choice *c);
/* The chosen step: "+20.5 D LENS, in the bag: about +0.09 D expected"; false, and nothing, when none is chosen. */
bool iol_line_chosen(iol_line *line, const iol_replacement *r);
/* "lens-position +21.21 D, axial-length cannot explain it, cornea +33.70 D (beyond ordinary error)". */
void iol_line_causes(iol_line *line, const iol_plan *plan, const iol_replacement *r);
/* "refraction-only +20.33 D, rule-of-thumb +20.30 D". */
void iol_line_cross_checks(iol_line *line, const iol_replacement *r);
void iol_line_date(iol_line *line, int32_t day);

/* The first note of a place, row 0, with this code; NULL when there is none. */
const iol_note *iol_compose_find(const iol_plan *plan, int place, iol_note_code code);
/* Notes of a place and row, each as an item. */
void iol_compose_notes(iol_page *page, const iol_plan *plan, int place, int row);

/* "; assumed: size of the optic, curves of the lens": what of these views of the old lens (IOL_VIEW_... joined by |) the plan only
 * assumes; nothing when all is known. */
enum { IOL_VIEW_SIZE = 1, IOL_VIEW_SHAPE = 2, IOL_VIEW_CHAMBER = 4 };
void iol_line_assumed(iol_line *line, const iol_plan *plan, int views);

/* "37 deg anticlockwise": a turn as seen from in front of the eye. */
void iol_line_turn(iol_line *line, double turn_deg);

/* How much longer (mm) a child's eye was measured than before, as far as it may have grown; 0: nothing of the kind. */
double iol_grown_mm(const iol_plan *plan);

/* A standing in plain words. */
const char *iol_standing_text(int standing);

/* "/biometry/axial_length_mm 23.1 -> 23.4": what was changed on the command line. */
void iol_line_changes(iol_line *line, const iol_plan *plan);
/* "Could change: standing, power by 0.50 D" */
void iol_line_could_change(iol_line *line, const iol_asked_question *q);

/* "corneal laser", "turn the lens"; of an eye with two lenses "one lens for both" for the exchange. */
const char *iol_way_name(int option);
const char *iol_way_of(const iol_plan *plan, const iol_option_row *way);
const char *iol_way_in(const iol_plan *plan, int option); /* the same by its word */
/* The lens has not moved: what decides is how badly it is held, so it is fixed where it lies, not put back. */
bool iol_only_held(const iol_plan *plan);
/* A code as words: "very high". */
void iol_line_words(iol_line *line, const char *code);

/* "topography": a look or a measurement in words. */
const char *iol_measure_words(const char *id);

/* Composers, in the order of the page. */
void iol_compose_changes(const iol_plan *plan, iol_page *page);
void iol_compose_glance(const iol_plan *plan, iol_page *page);
void iol_compose_decision(const iol_plan *plan, iol_page *page);
void iol_compose_surprise(const iol_plan *plan, iol_page *page);
/* Parts of it: the line that names the cause, and the list of gross causes. */
void iol_line_cause(iol_line *line, const iol_plan *plan);
void iol_compose_cause(const iol_plan *plan, iol_page *page);
void iol_compose_suspects(const iol_plan *plan, iol_page *page);
/* Those that work the other way or fit every miss. */
void iol_compose_lesser_suspects(const iol_plan *plan, iol_page *page);
void iol_compose_timing(const iol_plan *plan, iol_page *page);
void iol_compose_counselling(const iol_plan *plan, iol_page *page);
void iol_compose_replacement(const iol_plan *plan, iol_page *page);
void iol_compose_two_lenses(const iol_plan *plan, iol_page *page);
void iol_compose_altered_cornea(const iol_plan *plan, iol_page *page);
void iol_compose_growth(const iol_plan *plan, iol_page *page);
/* Steps of a shelf class, as a table; nothing when there are none. */
void iol_compose_choices(const iol_replacement *r, iol_page *page);
/* "toric-1p: One-piece acrylic toric, bag only": the id of a class and the surgeon's own name for it. */
void iol_compose_class(const char *head, const char *id, const char *label, iol_page *page);
void iol_compose_options(const iol_plan *plan, iol_page *page);
/* What else bears on the ways of the table, as items. */
void iol_compose_option_reasons(const iol_plan *plan, iol_page *page);
void iol_compose_ways(const iol_plan *plan, iol_page *page);
void iol_compose_incision(const iol_plan *plan, iol_page *page);
void iol_compose_support(const iol_plan *plan, iol_page *page);
void iol_compose_measure_next(const iol_plan *plan, iol_page *page);
void iol_compose_fallbacks(const iol_plan *plan, iol_page *page);
void iol_compose_theatre_list(const iol_plan *plan, iol_page *page);
void iol_compose_endothelium(const iol_plan *plan, iol_page *page);
void iol_compose_removal(const iol_plan *plan, iol_page *page);
/* The depths that the drawing of the chamber shows, as a pair. */
void iol_compose_depths(const iol_plan *plan, iol_page *page);
/* What a tilted or decentred lens does, and the lens from the side. */
void iol_compose_displaced(const iol_plan *plan, iol_page *page);
void iol_draw_displaced(const iol_plan *plan, iol_page *page);
/* Figures: the cylinders of each step, a section of its own; the old lens from in front and from the side. */
void iol_draw_astigmatism(const iol_plan *plan, iol_page *page);
void iol_draw_lens_from_front(const iol_plan *plan, iol_page *page);
void iol_draw_chamber(const iol_plan *plan, iol_page *page);

/* A date as days after the first operation; NaN when one of them is not known. */
double iol_timing_day(const iol_plan *plan, int32_t date);
/* The note that holds the days for turning the lens (value, limit), or NULL. */
const iol_note *iol_timing_turn(const iol_plan *plan);
/* Figures of the plan; each says in its place why when it cannot be drawn. */
void iol_draw_choices(const iol_replacement *r, iol_page *page);
void iol_draw_causes(const iol_surprise *s, iol_page *page);
void iol_draw_timing(const iol_plan *plan, iol_page *page);

#endif
