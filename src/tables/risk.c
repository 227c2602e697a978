/* Rows of data/risk_factors.def, without their predicates. */
#include "constants.h"
#include "risk.h"

const iol_risk_row iol_risk_rows[IOL_RISK_COUNT] = {
#define RATIO(id, group, predicate, figure, finding)                                                                   \
    {#id,                                                                                                              \
     IOL_risk_group_##group,                                                                                           \
     NAN,                                                                                                              \
     false,                                                                                                            \
     IOL_EVIDENCE_##figure,                                                                                            \
     IOL_REF_COUNT,                                                                                                    \
     IOL_STATUS_published,                                                                                             \
     finding,                                                                                                          \
     "the bag is lost or vitreous comes forward during this operation"},
#define JUDGED(id, group, predicate, points, reference, finding, shows)                                                \
    {#id, IOL_risk_group_##group, points, false, -1, IOL_REF_##reference, IOL_STATUS_judgement, finding, shows},
#define HARD(id, group, predicate, reference, finding, shows)                                                          \
    {#id, IOL_risk_group_##group, NAN, true, -1, IOL_REF_##reference, IOL_STATUS_judgement, finding, shows},
#include "risk_factors.def"
#undef RATIO
#undef JUDGED
#undef HARD
};

double iol_risk_points(const iol_risk_row *row) {
    if (row->hard) return c_tier_very_high_points;
    if (row->figure < 0) return row->points;
    return floor(c_points_per_log * log(iol_evidence[row->figure].value) + 0.5);
}

iol_reference iol_risk_reference(const iol_risk_row *row) {
    return row->figure < 0 ? row->reference : iol_evidence[row->figure].reference;
}
