/* One screen of a terminal: at most 40 lines of 80 columns, plain ASCII, in a pipe too. Lines stand in groups; when there are too
 * many, whole groups go, those of the highest rank first. */
#ifndef IOL_REPORT_SCREEN_H
#define IOL_REPORT_SCREEN_H

#include "compose.h"
#include "plan/told.h"
#include "patient_words.h"

enum { IOL_SCREEN_LINES = 40, IOL_SCREEN_COLUMNS = 80, IOL_SCREEN_ROOM = 160 };
/* What may go when there is no room, first the last. */
enum { IOL_RANK_NEVER, IOL_RANK_FACT, IOL_RANK_DETAIL, IOL_RANK_EXTRA, IOL_RANK_BLANK };

typedef struct {
    char text[480 + 1]; /* of a screen at most 80; of the note for the record more */
    int rank, group;
    bool gone;
    bool head; /* the word at its head is set off on a terminal */
} iol_screen_line;

typedef struct {
    iol_screen_line line[IOL_SCREEN_ROOM];
    int lines, groups;
    bool lost; /* a group went, or had no room */
} iol_screen;

void iol_screen_start(iol_screen *s);
/* A word of at most 6 letters at the head, text wrapped behind column 7. NULL or "" as head goes on under the last one, in the
 * same group when `with` is true. */
void iol_screen_say(iol_screen *s, int rank, const char *head, const char *text);
void iol_screen_more(iol_screen *s, const char *text);
/* As it is, cut at 80 columns; whole: one line however long, for a record. */
void iol_screen_whole(iol_screen *s, const char *text);
void iol_screen_row(iol_screen *s, int rank, const char *text);
void iol_screen_blank(iol_screen *s);
/* Let groups go until `most` lines are left. */
void iol_screen_fit(iol_screen *s, int most);
bool iol_screen_write(const iol_screen *s, bool colour, iol_sink sink, void *context);

/* Blanks up to a column, counted from 0. */
void iol_line_column(iol_line *line, size_t column);
/* "14 Dec 2025"; "not known". */
void iol_line_day(iol_line *line, int32_t day);

/* Screens of a plan. */
void iol_screen_decide(const iol_plan *plan, iol_screen *s);
/* Its lens. */
bool iol_screen_power(const iol_plan *plan, iol_screen *s); /* in short, of the lens that the sentence speaks of; false: of none */
void iol_screen_lens(const iol_plan *plan, iol_screen *s);
void iol_screen_theatre(const iol_plan *plan, iol_screen *s);
void iol_screen_note(const iol_plan *plan, iol_screen *s);
void iol_screen_patient(const iol_plan *plan, const iol_language *language, iol_screen *s);
/* The stops, at the head and again at the foot; nothing where there are none. */
void iol_screen_stops(const iol_plan *plan, iol_screen *s);
void iol_screen_last_stop(const iol_plan *plan, iol_screen *s);
/* Every stop by its name, commas between. Returned: how many. */
int iol_line_stop_names(iol_line *line, const iol_plan *plan);
/* "RIGHT EYE   case K-1   as of 30 Oct 2025, day 45", and its end. */
void iol_line_ident(iol_line *line, const iol_plan *plan);
/* The same as the head of a screen; behind a long reference the day stands on a line of its own. */
void iol_screen_ident(iol_screen *s, const iol_plan *plan);
void iol_line_as_of(iol_line *line, const iol_plan *plan);

/* ---- what more than one screen says ---- */
/* The ways are told: not beside a withheld power, unless the decision is for one of them. */
bool iol_ways_told(const iol_plan *plan);
/* The first way is an operation that takes or changes the lens. */
bool iol_exchange_leads(const iol_plan *plan);
/* The way that is weighed against the exchange; NULL: none is. */
const iol_option_row *iol_weighed_beside(const iol_plan *plan);
/* A zero that a way means to leave, not one that was reckoned: printed as "about 0". */
bool iol_is_meant(const iol_option_row *o, double x);
void iol_line_after(iol_line *line, const iol_option_row *o, double x); /* a figure of the ways, "-", "about 0" */
void iol_line_way(iol_line *line, const iol_plan *plan, const iol_option_row *o); /* "glasses, worn" */
/* "in place (12 Nov 2014) ": where the refraction that counts is long past; false, and nothing, where it is recent. */
bool iol_line_last_read(iol_line *line, const iol_plan *plan);
/* "10 Feb 2026: +4.75 D, not what counts here": the newest reading beside it. */
void iol_line_latest(iol_line *line, const iol_plan *plan);
/* Why a way stands where it stands (way_reasons.c). The rule that speaks for it, and what decided when that does not; or NULL. */
const iol_note *iol_way_for(const iol_plan *plan, int row);
const iol_note *iol_way_against(const iol_plan *plan, int row);
bool iol_is_smallest(int option);                     /* no way is smaller: it leaves the eye closed */
bool iol_has_drawback(const iol_plan *plan, int row); /* it fits as far as is known, and stands behind for this */
/* Of the first way: both in sentences. On sheet 1, of any way: what the head says already in a few words, else a sentence. */
void iol_line_why_first(iol_line *line, const iol_plan *plan, int row);
void iol_line_way_reason(iol_line *line, const iol_plan *plan, int row);
/* "laser too early": the reason of a way in a few words. */
void iol_line_way_why(iol_line *line, const iol_plan *plan, int row);
/* What decided, in a sentence. */
/* What follows if every open question is answered reassuringly; nothing when that is the same as now. */
void iol_line_then(iol_line *line, const iol_plan *plan);
void iol_line_because(iol_line *line, const iol_plan *plan);
void iol_line_soon(iol_line *line, const iol_plan *plan); /* "Within weeks. ", where the sentence has not said it */
const iol_note *iol_goals_apart(const iol_plan *plan);    /* value: what was meant, limit: the aim; NULL: one goal */
void iol_line_cylinder_now(iol_line *line, const iol_plan *plan); /* " cyl -1.50 D" of the reading that counts */
/* "The patient is told another figure: ...": of a published series of this way; nothing where there is none. */
void iol_line_series(iol_line *line, const iol_option_row *way);
void iol_line_goals(iol_line *line, const iol_plan *plan); /* which of two goals rules; nothing where there is one */
/* "EXCHANGE the lens", "TURN the lens: it stays in": the operation that the theatre card is for; NULL: there is no card, and
 * why_not says why. */
const char *iol_theatre_operation(const iol_plan *plan, const char **why_not);
/* The way that puts the old lens back or brings its optic forward, where that is the next step: the card is for it, an exchange
 * stands behind it. NULL: none. */
const iol_option_row *iol_theatre_held_again(const iol_plan *plan);
/* How the old lens is put back, and what that leaves, where it is weighed against the exchange; false where it is not. */
bool iol_line_put_back(iol_line *line, const iol_plan *plan);
/* "Not the next step: corneal laser is judged first." NULL where the operation is the next step. */
const char *iol_theatre_not_next(const iol_plan *plan, iol_line *line);
/* What the card is for now: to be used; the way is weighed first; what the power rests on is repeated first; another way is the
 * next step. */
typedef enum { IOL_CARD_NOW, IOL_CARD_WEIGH, IOL_CARD_REPEAT, IOL_CARD_NOT_NEXT } iol_card_use;
iol_card_use iol_theatre_use(const iol_plan *plan);
/* " Repeat axial length and keratometry.": what lifts the standing of the lens of this card; false: nothing. */
bool iol_line_lifts(iol_line *line, const iol_plan *plan);
/* A lens is put in by the operation of the card. */
bool iol_card_puts_in(const iol_plan *plan);
/* A lens may go in: by what the card is for, or where that fails. */
bool iol_card_may_put_in(const iol_plan *plan);
/* What alone is signed where the exchange behind a turn, or behind putting back, is not for this day. */
bool iol_line_signed_for(iol_line *line, const iol_plan *plan);
/* "Not to be signed: ..."; false: it is signed. */
bool iol_line_unsigned(iol_line *line, const iol_plan *plan);
/* A second surgeon agrees before any operation, and is named on the card. */
bool iol_only_seeing_eye(const iol_plan *plan);
/* The lens has fallen behind the iris: IOL_lies_retina or IOL_lies_anterior_vitreous; 0: it has not, as far as is told. */
int iol_lens_behind(const iol_plan *plan);
/* A row of the theatre list as it is ticked: "lens scissors x 2"; false: a lens, or told by an earlier row. */
bool iol_theatre_tick(const iol_plan *plan, int row, iol_line *line);
/* All of them, and before them the second surgeon of an only seeing eye. */
void iol_screen_ticks(const iol_plan *plan, iol_screen *s);
/* "cut in two": a way to take the lens out. */
const char *iol_removal_words(int method);
/* How the old lens lies off its place; nothing where it lies well or nobody said. */
void iol_line_lies(iol_line *line, const iol_removal_orientation *o);
/* "2.80 mm at 180 deg; enlarge to 6.00 mm (adds 1.12 D)": the wound as planned, and as it is at the end. */
void iol_line_wound(iol_line *line, const iol_plan *plan);
/* "at half past eight": where the near junction must lie. */
void iol_line_clock(iol_line *line, double hour);
/* The lens of the first way where that is a second lens in front or a new second lens, and a power may be given. */
typedef struct {
    const iol_option_row *way;
    const char *lens_id, *label, *product_number;
    const iol_replacement *steps; /* NULL: one step alone is reckoned */
    double power_d, cylinder_d, axis_deg, sd_d, target_se_d, within_half_d, within_one_d;
    iol_spectacle_form expected;
    int position, standing;
} iol_lead;
bool iol_lead_lens(const iol_plan *plan, iol_lead *out);
/* A new second lens for an eye that has two, of no way; false where none may be given. */
bool iol_lead_second(const iol_plan *plan, iol_lead *out);
/* The same, where it comes before one lens for both: what is done if the turn of a second lens does not hold. */
bool iol_turn_second_instead(const iol_plan *plan, iol_lead *out);
/* The turn of the second lens leads; where it fails another second lens goes in, before one lens for both. */
bool iol_second_instead(const iol_plan *plan, iol_lead *out);
/* The chosen step of a power as such a lens, of no way; false where none is chosen. */
bool iol_lead_step(const iol_replacement *r, iol_lead *out);
/* It is the next step, known to fit, no day to wait for: the theatre card is for it. */
bool iol_lead_operates(const iol_plan *plan, iol_lead *out);
/* The turn of a toric lens where that is the first way: of the only lens or the first, or of the second. */
typedef struct {
    bool second;
    double turn_deg, from_deg, to_deg, meant_deg, loss_per_degree_d; /* meant: only of the first lens */
    iol_spectacle_form expected;
} iol_turn;
bool iol_turn_first(const iol_plan *plan, iol_turn *out);
/* What is done to the lens by the way that leads; fills in what a turn or another lens is. */
typedef enum {
    IOL_DOES_none,
    IOL_DOES_turn,
    IOL_DOES_lead,
    IOL_DOES_exchange,
    IOL_DOES_hold,
    IOL_DOES_out,
    IOL_DOES_other
} iol_does;
iol_does iol_what_is_done(const iol_plan *plan, iol_turn *t, iol_lead *lead);
/* The old lens stays, or a new one goes in: both are weighed. */
bool iol_old_lens_may_stay(const iol_plan *plan);
/* How sure: a figure and words; brief: behind a line that tells the figure. Where there is no figure what is not known and what
 * tells it. Never empty. */
void iol_line_doubt(const iol_plan *plan, bool brief, iol_line *line, iol_line *more);
/* It is the next step and known to fit: the theatre card is for it. */
bool iol_turn_operates(const iol_plan *plan, iol_turn *out);
/* "17 deg clockwise, marks from 113 deg to 96 deg". */
void iol_line_marks_turn(iol_line *line, const iol_turn *t);
/* Two lenses: taking the second out and leaving the first is the next step; it comes out alone, so or for a new one; both do. */
bool iol_second_out_operates(const iol_plan *plan);
bool iol_second_comes_out(const iol_plan *plan);
bool iol_two_come_out(const iol_plan *plan);
/* "If the place does not hold": the head of the other places, which are those of the lens in place of the old one or of both. */
const char *iol_other_places(const iol_plan *plan);
/* The ways out of the second of two lenses, or of the first or only one. */
const iol_removal *iol_removal_of(const iol_plan *plan, bool second);
/* "second lens, in front, in the sulcus, +5.0 D": which of two lenses it is. */
void iol_line_which_lens(iol_line *line, const iol_plan *plan, bool second);
/* "OUT: second lens, in front, ... STAYS: first lens, behind it, ..."; false: the second does not come out alone. */
bool iol_line_out_and_stays(iol_line *line, const iol_plan *plan);
/* The lens of the plan is toric; those for the other places never are (src/plan/fallbacks.c). */
bool iol_others_not_toric(const iol_plan *plan);
/* "leaves cyl -2.55 D to -3.69 D": what the lenses for the other places leave. */
void iol_line_others_leave(iol_line *line, const iol_plan *plan);
/* "turn it 5 deg clockwise, near junction at two; then cut in two": turn stands before the degrees, then before the way out. */
void iol_line_out(iol_line *line, const iol_removal *r, const char *turn, const char *then);
/* "; widest piece 3.25 mm" */
void iol_line_widest(iol_line *line, const iol_removal *r);
/* "seat at 0 deg, left hand holds through a port at 270 deg" */
void iol_line_hold(iol_line *line, const iol_removal_orientation *o);
/* "+1.5 D second-lens, in the sulcus". */
void iol_line_lead(iol_line *line, const iol_lead *lead);
/* "product number 04000001000019: compare it with the box", "no product number on record". */
void iol_line_box(iol_line *line, const char *number);
/* What must stand beside a power: of the first way, of the exchange; nothing where it is advised and fits. Each ends in a blank. */
void iol_line_lead_warns(iol_line *line, const iol_lead *lead);
void iol_line_lens_warns(iol_line *line, const iol_plan *plan);
/* The same, with what is to be repeated. */
void iol_line_lens_warns_full(iol_line *line, const iol_plan *plan);
/* "+22.37 to +32.70 D": the range of a power that is not settled. */
void iol_line_range(iol_line *line, const iol_replacement *r);
/* NaN: not among the ways. */
double iol_way_rank(const iol_plan *plan, int option);
/* The day before which no exchange is done that stands behind another way; IOL_UNKNOWN_DATE: none. */
int32_t iol_exchange_from(const iol_plan *plan);
/* The lens is turned, and an exchange comes after leaving it as it is: no way out where the turn fails. */
bool iol_turn_alone(const iol_plan *plan);
#define IOL_TURN_FAILS "leave it as it is: that comes before an exchange."
/* The shelf ends before the aim. */
bool iol_misses(double expected_d, double aim_d);
/* The sentence of a note without the paths of fields that stand in brackets behind their words. */
const char *iol_note_plain(const iol_note *note, char *text, size_t size);
/* A caution that an act says already. */
bool iol_caution_said(const iol_plan *plan, const iol_note *note);

#endif
