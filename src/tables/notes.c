/* Notes: codes and numbers while planning, sentences when printing. */
#include "rule_codes.h"

#include <string.h>

#include "text/date_words.h"
#include "text/number.h"
#include "iolrevise/formulas.h"
#include "say.h"

/* What the plan itself says to the patient is the first language. */
#define SAID(id, text) static const char plain_##id[] = text;
#include "patient_en.def"

const iol_note_row iol_note_rows[IOL_NOTE_COUNT] = {
#define CAUTION(id, code, severity, reference, text) {code, IOL_SEVERITY_##severity, IOL_REF_##reference, text, NULL},
#define REASON(id, code, reference, text, lifts) {code, IOL_SEVERITY_none, IOL_REF_##reference, text, lifts},
#define ASSUMPTION(id, path, reference, text) {path, IOL_SEVERITY_none, IOL_REF_##reference, text, NULL},
#define SUSPECT(id, code, part, path, reference, check) {code, IOL_SEVERITY_none, IOL_REF_##reference, check, NULL},
#define SAY(id, topic, when, figure, second, text)                                                                     \
    {topic, IOL_SEVERITY_none, (iol_reference)IOL_EVIDENCE_REF_##figure, text, NULL},
#define TELL(id, topic, when, value, limit, reference, text)                                                           \
    {topic, IOL_SEVERITY_none, IOL_REF_##reference, text, NULL},
#include "cautions.def"
#include "reasons.def"
#include "assumptions.def"
#include "suspects.def"
#include "counselling.def"
#define ACT(id, when, place, note, told, text) {"act", IOL_SEVERITY_none, IOL_REF_judgement, text, NULL},
#include "acts.def"
#define PLAIN(id, part, when, value, limit) {"plain", IOL_SEVERITY_none, IOL_REF_judgement, plain_##id, NULL},
#include "patient.def"
#undef PLAIN
#define OPTION_RULE(option, id, effect, predicate, finding, value, limit, reference, code, text)                       \
    {code, IOL_SEVERITY_none, IOL_REF_##reference, text, NULL},
#include "option_rules.def"
#undef CAUTION
#undef REASON
#undef ASSUMPTION
#undef SUSPECT
#undef SAY
#undef TELL
};

const char *iol_severity_text(iol_severity severity) {
    static const char *const text[] = {"", "stop", "warn", "note"};
    return text[severity];
}

void iol_note_keep(iol_notes *notes, int place, int row, iol_note_code code, double value, double limit,
                   const char *word) {
    iol_note note = {.place = place, .row = row, .code = (int)code, .value = value, .limit = limit};
    if (word) strncpy(note.word, word, sizeof note.word - 1);
    for (int i = 0; i < notes->count; i++) {
        const iol_note *old = &notes->item[i];
        if (old->place == place && old->row == row && old->code == note.code && iol_same(old->value, value) &&
            iol_same(old->limit, limit) && strcmp(old->word, note.word) == 0)
            return;
    }
    if (iol_has_room(notes->count, IOL_NOTES_MOST, &notes->lost)) notes->item[notes->count++] = note;
}

void iol_notes_close(iol_notes *notes) {
    const iol_note told = {.place = IOL_AT_plan_cautions, .code = IOL_NOTE_notes_lost, .value = NAN, .limit = NAN};
    if (notes->lost) notes->item[notes->count - 1] = told;
}

int iol_note_find(const iol_notes *notes, int place, int row, int from) {
    for (int i = from; i < notes->count; i++)
        if (notes->item[i].place == place && notes->item[i].row == row) return i;
    return -1;
}

int iol_note_with(const iol_notes *notes, int place, int code) {
    for (int i = 0; i < notes->count; i++)
        if (notes->item[i].place == place && notes->item[i].code == code) return i;
    return -1;
}

/* What a case-file path stands for, in words up to a semicolon, the path behind; the path alone where no field has it. */
static void field_in_words(const char *path, char *out, size_t size) {
    const iol_field *field = iol_field_at(iol_object_case, path);
    out[0] = '\0';
    if (field)
        iol_append_bytes(out, size, field->text, strcspn(field->text, ";"));
    else
        iol_append(out, size, path);
    if (!field) return;
    iol_append(out, size, " (");
    iol_append(out, size, path);
    iol_append(out, size, ")");
}

/* A word or a list of them; what is a code is told in words. */
static void in_words(const char *list, char *out, size_t size) {
    out[0] = '\0';
    while (*list) {
        char one[60] = "";
        const size_t length = strcspn(list, ",");
        iol_append_bytes(one, sizeof one, list, length);
        iol_append(out, size, iol_plain_word(one));
        list += length;
        const size_t between = strspn(list, ", ");
        iol_append_bytes(out, size, list, between);
        list += between;
    }
}

/* A power or a refraction is typed with its sign: a field in dioptres that may be negative. */
static bool is_signed(const iol_field *field) {
    return field && field->kind == IOL_KIND_NUM && field->unit == IOL_UNIT_d && field->hard_low < 0.0;
}

/* One placeholder at text (after '%'): +, 1 or 2, optional .decimals; or s; or f; or u, the unit of that field. Returns the bytes
 * it took, 0 when none. */
static size_t placeholder(const char *text, const iol_note *note, char *out, size_t size) {
    size_t at = 0;
    bool sign = text[at] == '+';
    if (sign) at++;
    if (text[at] == 's') {
        int32_t day;
        out[0] = '\0';
        if (iol_date_read(note->word, &day))
            iol_date_words(day, NULL, out, size);
        else
            in_words(note->word, out, size);
        return at + 1;
    }
    if (text[at] == 'w') { /* a code, said in words */
        out[0] = '\0';
        iol_append(out, size, note->word);
        for (char *hyphen = out; (hyphen = strchr(hyphen, '-')) != NULL;) *hyphen = ' ';
        return at + 1;
    }
    if (text[at] == 'u') {
        const iol_field *field = iol_field_at(iol_object_case, note->word);
        const char *unit = field && field->kind == IOL_KIND_NUM ? iol_units[field->unit].printed : "";
        out[0] = '\0';
        if (unit[0]) iol_append(out, size, " ");
        iol_append(out, size, unit);
        return at + 1;
    }
    if (text[at] == 'f') {
        field_in_words(note->word, out, size);
        return at + 1;
    }
    if (text[at] != '1' && text[at] != '2') return 0;
    double value = text[at] == '1' ? note->value : note->limit;
    int decimals = 2;
    at++;
    if (text[at] == '.' && text[at + 1] >= '0' && text[at + 1] <= '6') {
        decimals = text[at + 1] - '0';
        at += 2;
    }
    if (text[at] == 't') {
        sign = is_signed(iol_field_at(iol_object_case, note->word));
        decimals = sign ? 2 : iol_say_decimals(value);
        at++;
    }
    if (iol_print_number(value, decimals, sign, out, size) == 0) strncpy(out, "not known", size);
    return at;
}

/* The unit behind a number that is not known is not told: "tilt not known". Returns its bytes. */
static size_t unit_unheard(const char *piece, const char *behind) {
    static const char *const unit[] = {" D", " mm", " deg", " um", " %"};
    if (strcmp(piece, "not known") != 0) return 0;
    for (size_t i = 0; i < sizeof unit / sizeof *unit; i++) {
        const size_t length = strlen(unit[i]);
        if (strncmp(behind, unit[i], length) == 0 && !strchr("abcdefghijklmnopqrstuvwxyz/", behind[length] | 0x20))
            return length;
    }
    return 0;
}

const char *iol_note_fill(const char *sentence, const iol_note *note, const char *const months[12], char *out,
                          size_t size) {
    size_t used = 0;
    for (size_t i = 0; sentence[i] && used + 1 < size; i++) {
        char piece[200];
        const bool day = sentence[i] == '%' && sentence[i + 1] == 'D' && !isnan(note->value);
        if (day) iol_date_words((int32_t)note->value, months, piece, sizeof piece);
        size_t took = day ? 1 : sentence[i] == '%' ? placeholder(sentence + i + 1, note, piece, sizeof piece) : 0;
        if (took == 0) {
            out[used++] = sentence[i];
            continue;
        }
        size_t length = strlen(piece);
        if (length > size - 1 - used) length = size - 1 - used;
        memcpy(out + used, piece, length);
        used += length;
        i += took;
        if (!day) i += unit_unheard(piece, sentence + i + 1);
    }
    out[used] = '\0';
    return out;
}

const char *iol_note_text(const iol_note *note, char *out, size_t size) {
    return iol_note_fill(iol_note_rows[note->code].text, note, NULL, out, size);
}

const char *iol_note_lifts(const iol_note *note, char *out, size_t size) {
    const char *lifts = iol_note_rows[note->code].lifts;
    return iol_note_fill(lifts ? lifts : "", note, NULL, out, size);
}
