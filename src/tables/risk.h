/* The risk factors (data/risk_factors.def), without their predicates. */
#ifndef IOL_TABLES_RISK_H
#define IOL_TABLES_RISK_H

#include "tables.h"

typedef enum {
#define RATIO(id, group, predicate, figure, finding) IOL_RISK_##id,
#define JUDGED(id, group, predicate, points, reference, finding, shows) IOL_RISK_##id,
#define HARD(id, group, predicate, reference, finding, shows) IOL_RISK_##id,
#include "risk_factors.def"
#undef RATIO
#undef JUDGED
#undef HARD
    IOL_RISK_COUNT
} iol_risk;
typedef struct {
    const char *id;
    int group;     /* word of set risk_group */
    double points; /* judged; NaN where a ratio or the hard rule makes them */
    bool hard;     /* very-high whatever the rest */
    int figure;    /* iol_evidence_key of its ratio; -1 none */
    iol_reference reference;
    iol_evidence_status status;
    const char *finding; /* in words */
    const char *shows;   /* outcome of the ratio, or what the reference shows */
} iol_risk_row;
extern const iol_risk_row iol_risk_rows[IOL_RISK_COUNT];
/* Points of a row: round(10 ln ratio), the judged ones, or those of the highest tier. */
double iol_risk_points(const iol_risk_row *row);
iol_reference iol_risk_reference(const iol_risk_row *row);

#endif
