/* The sheets of a plan: decide, theatre card, patient. Written straight as HTML: their layout is their own, their texts go through
 * iol_html_escaped. The tables behind them are a page of blocks. */
#ifndef IOL_REPORT_SHEET_H
#define IOL_REPORT_SHEET_H

#include "drawing.h"
#include "patient_words.h"
#include "screen.h"

enum { IOL_SHEET_SOURCES = 24 };
typedef struct {
    iol_html *out;
    const iol_plan *plan;
    int source[IOL_SHEET_SOURCES]; /* references in the order of first use on this sheet */
    int sources;
} iol_sheet;

/* ---- writing ---- */
void iol_sheet_put(iol_sheet *s, const char *markup);
void iol_sheet_text(iol_sheet *s, const char *open, const char *text, const char *close);
/* "<section class="sheet KIND MORE" id="KIND"" and what follows. */
void iol_sheet_section(iol_sheet *s, const char *kind, const char *more, const char *behind);
/* The line, and start it anew. */
void iol_sheet_line(iol_sheet *s, const char *open, iol_line *line, const char *close);
/* A small number that stands for a source; nothing for what is our own computation or judgement. */
void iol_sheet_source(iol_sheet *s, int reference);
/* The sentence of a note, and its source. */
void iol_sheet_note(iol_sheet *s, const iol_note *note);
/* "1 common practice · 2 Oshika 2018". */
void iol_sheet_sources(iol_sheet *s);
/* "−0.28 −0.08 D × 90°" and "+23.0 D" as lines. */
void iol_line_form(iol_line *line, const iol_spectacle_form *form);

/* ---- sheets ---- */
void iol_sheet_decide(iol_sheet *s);
/* In ten seconds: when, which lens or why none, how sure. */
void iol_sheet_lead(iol_sheet *s);
/* The lens of the way that leads with its chances; what stands beside it; the exchange if a turn fails; why there is no power. */
void iol_sheet_lens(iol_sheet *s);
void iol_sheet_beside_lens(iol_sheet *s);
void iol_sheet_lens_instead(iol_sheet *s);
/* What is done where a turn fails that no exchange stands behind; head: the tag of its name. False: another turn, nothing put. */
bool iol_sheet_turn_alone(iol_sheet *s, const char *head);
void iol_sheet_no_power(iol_sheet *s);
void iol_sheet_class(iol_sheet *s, const iol_choice *c);
void iol_sheet_theatre(iol_sheet *s);
/* Its list to tick; turns: a lens is turned, none is put in. */
void iol_sheet_ticks(iol_sheet *s, bool turns);
void iol_sheet_patient(iol_sheet *s, const iol_language *language);

/* ---- drawings ---- */
void iol_sheet_two_eyes(iol_sheet *s);
void iol_sheet_stop_sign(iol_sheet *s);
void iol_sheet_waterfall(iol_sheet *s);
void iol_sheet_timeline(iol_sheet *s);
/* The steps of a lens, the chosen one with its neighbours. */
void iol_sheet_chances(iol_sheet *s, const iol_replacement *r);
/* At most so many looks or measurements. */
void iol_sheet_sharpen(iol_sheet *s, int most);
void iol_sheet_fallbacks(iol_sheet *s, bool theatre, int most);
void iol_sheet_ways(iol_sheet *s);
/* The dial of the turn to make now; of the turn before the old lens, or the second of two, is cut. */
void iol_sheet_turn_dial(iol_sheet *s, const iol_turn *t);
void iol_sheet_cut_dial(iol_sheet *s, bool second);
/* The old lens that is put back, as it lies and where it belongs. */
void iol_sheet_lies_dial(iol_sheet *s);
/* The steps that take the old lens out, or both, or the second of two alone: what brings it forward, the turn before the cut, the
 * cuts, out. but: what brings it forward on these cards (IOL_CARD_) stands elsewhere. */
/* Behind a turn: opens what is minded with the way out of what comes out if it fails, where that is for this day. */
void iol_sheet_turn_out(iol_sheet *s, bool second);
void iol_sheet_out_steps(iol_sheet *s, bool second, int but);
/* Rows of data/theatre_hands.def for these cards, without those that stand on the others: where the old lens lies and what is
 * not to be done; what to mind; what brings the lens forward, numbered from a number on (the next one is returned). */
void iol_sheet_not_done(iol_sheet *s, int cards, int but);
void iol_sheet_minded(iol_sheet *s, int cards, int but);
int iol_sheet_brought_forward(iol_sheet *s, int cards, int but, int number);
/* Putting the lens back, where it is weighed against the exchange. */
void iol_sheet_put_back(iol_sheet *s);
/* The card has so much to say that it is set smaller. */
bool iol_sheet_card_is_full(const iol_plan *plan);
size_t iol_sheet_shouted(const char *text);
void iol_sheet_ticks(iol_sheet *s, bool turns);
void iol_sheet_signed(iol_sheet *s);
void iol_sheet_dots(iol_sheet *s, double of_100, const char *title);
/* The old lens is told to lie off its place. */
bool iol_sheet_lens_moved(const iol_plan *plan);
/* without: there is no lens in the eye. */
void iol_sheet_eye_side(iol_sheet *s, int option, bool without, const iol_language *language);

#endif
