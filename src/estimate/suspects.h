/* Gross causes of a surprise (method, section 3): each with the miss that it would make and what it leaves. */
#ifndef IOL_ESTIMATE_SUSPECTS_H
#define IOL_ESTIMATE_SUSPECTS_H

#include "estimate.h"

/* Order of data/suspects.def: the enum value is the row. */
typedef enum {
#define SUSPECT(id, code, part, path, reference, check) IOL_SUSPECT_##id,
#include "suspects.def"
#undef SUSPECT
    IOL_SUSPECT_COUNT
} iol_suspect_id;

typedef struct {
    const char *code;
    int part;         /* word of set miss_part that it explains unless found otherwise */
    int way;          /* sign of the miss that a cause without a number makes; 0 either */
    bool settles;     /* its confirmation ends the search though it has no number */
    const char *path; /* case-file field that confirms it, or NULL */
} iol_suspect_row;
extern const iol_suspect_row iol_suspect_rows[IOL_SUSPECT_COUNT];

typedef struct {
    iol_suspect_id id;
    int part;              /* word of set miss_part */
    double implied_miss_d; /* NaN: no number */
    double unexplained_d;  /* that part of the miss less the implied one; NaN: no number */
    double probability;    /* by the mixture; NaN: no cause of it stands for this suspect */
    bool confirmed;
    bool loose;          /* it can be made to fit every miss: "not excluded" */
    double value, other; /* the figures that it rests on; NaN none */
    const char *word;    /* the word that it rests on, or NULL */
} iol_suspicion;

typedef struct {
    int count; /* confirmed first, then those likely by the mixture, those that explain, the rest, the loose ones */
    iol_suspicion item[IOL_SUSPECT_COUNT];
} iol_suspicions;

/* All suspects of an eye that its case does not rule out, in order. joint may be NULL: then only those without a number.
 * A part of the miss within 0.50 D is searched for none; what the case confirms is always there. */
void iol_suspects_make(const iol_eye *eye, const iol_estimate *joint, iol_suspicions *out);
/* It leaves less than 0.50 D, and less than it explains. */
bool iol_suspicion_explains(const iol_suspicion *s);

/* How far the search for a gross cause of the eye part has come. */
typedef enum {
    IOL_GROSS_none,      /* |z| is at most 3, or not known: nothing gross to find */
    IOL_GROSS_near,      /* it comes near to that, and no check has ended the search */
    IOL_GROSS_open,      /* find the cause first */
    IOL_GROSS_confirmed, /* a suspect that explains it is confirmed */
    IOL_GROSS_not_found  /* every check is done and biometry was repeated: the cause is written "not found" */
} iol_gross;
iol_gross iol_suspects_search(const iol_eye *eye, const iol_estimate *joint);

#endif
