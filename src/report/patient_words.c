/* The languages of the patient sheet, from their files. */
#include "patient_words.h"
#include "tables/rule_codes.h"

#include <string.h>

#define HEAD(id, text) [IOL_HEAD_##id] = text,
#define SAID(id, text) [IOL_SAID_##id] = text,
static const char *const words_en[IOL_PATIENT_WORDS] = {
#include "patient_en.def"
};
#define HEAD(id, text) [IOL_HEAD_##id] = text,
#define SAID(id, text) [IOL_SAID_##id] = text,
static const char *const words_de[IOL_PATIENT_WORDS] = {
#include "patient_de.def"
};

static const iol_language languages[] = {
#define LANGUAGE(code) {#code, words_##code},
#include "languages.def"
#undef LANGUAGE
};
enum { LANGUAGES = sizeof languages / sizeof *languages };

const iol_language *iol_language_at(int i) { return i >= 0 && i < LANGUAGES ? &languages[i] : NULL; }

const iol_language *iol_language_find(const char *code) {
    if (!code) return &languages[0];
    for (int i = 0; i < LANGUAGES; i++)
        if (strcmp(languages[i].code, code) == 0) return &languages[i];
    return NULL;
}

const char *iol_patient_say(const iol_language *language, const iol_note *note, char *out, size_t size) {
    int word = -1;
    switch (note->code) {
#define PLAIN(id, part, when, value, limit)                                                                            \
    case IOL_NOTE_plain_##id:                                                                                          \
        word = IOL_SAID_##id;                                                                                          \
        break;
#include "patient.def"
#undef PLAIN
    default: break;
    }
    out[0] = '\0';
    return word < 0 ? out : iol_note_fill(language->word[word], note, &language->word[IOL_HEAD_january], out, size);
}
