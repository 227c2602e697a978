/* Why a way stands where it stands: what speaks for the first one, then what stands against it. */
#include <string.h>

#include "screen.h"
#include "tables/rule_codes.h"

enum { FOR_no, FOR_doubt, FOR_after, FOR_last, FOR_end, FOR_least, FOR_first, FOR_top };

/* What the rule of this note does to its way, as option_rules.def names it; of other notes FOR_no. */
static int effect_of(int code) {
    switch (code) {
#define OPTION_RULE(option, id, effect, predicate, finding, value, limit, reference, code, text)                       \
    case IOL_NOTE_opt_##id: return FOR_##effect;
#include "option_rules.def"
    default: return FOR_no;
    }
}

/* Where the reasons of a way stand; those of a part are all of row 0. */
static int place_of(int option) {
    switch (option) {
    case IOL_option_piggyback: return IOL_AT_piggyback_reasons;
    case IOL_option_rotation: return IOL_AT_rotation_reasons;
    case IOL_option_reposition: return IOL_AT_reposition_reasons;
    case IOL_option_corneal_laser: return IOL_AT_corneal_laser_reasons;
    case IOL_option_spectacles: return IOL_AT_spectacles_reasons;
    case IOL_option_contact_lens: return IOL_AT_contact_lens_reasons;
    default: return IOL_AT_option_row_reasons;
    }
}

const iol_note *iol_way_for(const iol_plan *plan, int row) {
    const int place = place_of(plan->options[row].option), at = place == IOL_AT_option_row_reasons ? row : 0;
    const iol_note *best = NULL;
    for (int i = iol_note_find(&plan->notes, place, at, 0); i >= 0; i = iol_note_find(&plan->notes, place, at, i + 1)) {
        const int effect = effect_of(plan->notes.item[i].code);
        if (effect >= FOR_first && (!best || effect > effect_of(best->code))) best = &plan->notes.item[i];
    }
    return best;
}

static const iol_note *why_of(const iol_plan *plan, int row) {
    const int note = iol_note_find(&plan->notes, IOL_AT_option_row_why, row, 0);
    return note < 0 ? NULL : &plan->notes.item[note];
}

/* What decided where the way stands, when that does not speak for it. */
const iol_note *iol_way_against(const iol_plan *plan, int row) {
    const iol_note *why = why_of(plan, row);
    if (!why || why->code == IOL_NOTE_opt_fits || effect_of(why->code) >= FOR_first) return NULL;
    return why;
}

bool iol_has_drawback(const iol_plan *plan, int row) {
    const iol_note *against = iol_way_against(plan, row);
    return against && effect_of(against->code) >= FOR_after;
}

static const char smaller_ways[] = "Smaller ways do not fit, or have more against them.";
/* Nothing is smaller than what leaves the eye closed. ORDER option */
bool iol_is_smallest(int option) { return option > 0 && option < IOL_option_corneal_laser; }

/* "Against it: it would leave 0.68 D of cylinder." */
static void line_against(iol_line *line, const iol_plan *plan, int row, bool but) {
    const iol_note *against = iol_way_against(plan, row);
    char text[640];
    if (!against) return;
    iol_note_text(against, text, sizeof text);
    if (line->used) iol_line_text(line, " ");
    const bool drawback = but && effect_of(against->code) >= FOR_after;
    if (drawback) {
        iol_line_text(line, "Against it: ");
        if (text[0] >= 'A' && text[0] <= 'Z' && text[1] >= 'a' && text[1] <= 'z') text[0] = (char)(text[0] - 'A' + 'a');
    }
    iol_line_text(line, text);
}

void iol_line_why_first(iol_line *line, const iol_plan *plan, int row) {
    const iol_note *speaks = iol_way_for(plan, row);
    char text[640];
    if (speaks)
        iol_line_text(line, iol_note_text(speaks, text, sizeof text));
    else if (!iol_is_smallest(plan->options[row].option))
        iol_line_text(line, smaller_ways);
    line_against(line, plan, row, line->used > 0);
    const iol_note *why = why_of(plan, row);
    if (!line->used && why) iol_line_text(line, iol_note_text(why, text, sizeof text));
}

/* "Most accurate, lens stays." */
static void short_words(iol_line *line, const char *code) {
    const size_t at = line->used;
    iol_line_words(line, code);
    if (line->text[at] >= 'a' && line->text[at] <= 'z') line->text[at] = (char)(line->text[at] - 'a' + 'A');
    iol_line_text(line, ".");
}

/* Sheet 1: what its head says already stands here in a few words. */
void iol_line_way_reason(iol_line *line, const iol_plan *plan, int row) {
    const iol_option_row *o = &plan->options[row];
    const iol_note *speaks = iol_way_for(plan, row), *why = why_of(plan, row);
    iol_line head, part;
    char text[640];
    iol_line_start(&head);
    iol_line_because(&head, plan);
    if (o->rank == 1.0 && speaks) {
        const bool said = strstr(head.text, iol_note_text(speaks, text, sizeof text)) != NULL;
        said ? short_words(line, iol_note_rows[speaks->code].code) : iol_line_text(line, text);
    } else if (o->rank == 1.0)
        iol_line_text(line, iol_is_smallest(o->option)         ? "The eye stays closed."
                            : strstr(head.text, smaller_ways) ? "No smaller way fits as well."
                                                              : smaller_ways);
    else if (why && effect_of(why->code) >= FOR_first) {
        const bool said = strstr(head.text, iol_note_text(why, text, sizeof text)) != NULL;
        said ? short_words(line, iol_note_rows[why->code].code) : iol_line_text(line, text);
    }
    if (o->not_before != IOL_UNKNOWN_DATE) {
        iol_line_text(line, line->used ? " Not before " : "Not before ");
        iol_line_day(line, o->not_before);
        iol_line_text(line, ".");
        return;
    }
    iol_line_start(&part);
    line_against(&part, plan, row, false);
    if (part.used && !(line->used && strstr(head.text, part.text + 1))) { /* the head may begin it small */
        if (line->used) iol_line_text(line, " ");
        iol_line_text(line, part.text);
    }
    if (!line->used && why) iol_line_text(line, iol_note_text(why, text, sizeof text));
}
