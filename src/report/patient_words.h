/* Words of the patient sheet in each language: data/patient_<language>.def. */
#ifndef IOL_REPORT_PATIENT_WORDS_H
#define IOL_REPORT_PATIENT_WORDS_H

#include "tables/tables.h"

typedef enum {
#define HEAD(id, text) IOL_HEAD_##id,
#define SAID(id, text) IOL_SAID_##id,
#include "patient_en.def"
    IOL_PATIENT_WORDS
} iol_patient_word;

typedef struct iol_language iol_language;
struct iol_language {
    const char *code;
    const char *const *word; /* IOL_PATIENT_WORDS of them */
};

/* By its code; NULL takes the first; NULL where there is none of that code. */
const iol_language *iol_language_find(const char *code);
/* The i-th; NULL behind the last. */
const iol_language *iol_language_at(int i);
/* The sentence of a note of the patient's words. Returns out. */
const char *iol_patient_say(const iol_language *language, const iol_note *note, char *out, size_t size);

#endif
