/* What a new lens would leave: every component's refraction with that lens, and the mixture of them (method, section 5). */
#ifndef IOL_ESTIMATE_PROSPECT_H
#define IOL_ESTIMATE_PROSPECT_H

#include "mixture.h"

/* Every component as a new lens sees it, a lane each. */
typedef struct {
    iol_status status;
    const iol_eye *eye;
    double sd_change_mm, sd_outcome_d;
    int count;
    int kind[IOL_MIX_MOST];
    double weight[IOL_MIX_MOST];
    double length_mm[IOL_MIX_MOST], cornea_d[IOL_MIX_MOST], position_mm[IOL_MIX_MOST]; /* the new lens in its place */
    double covariance[3][3][IOL_MIX_MOST];                                            /* of L, K, E */
    double start_sd_d[IOL_MIX_MOST]; /* a second lens: spread of the refraction it starts from; NaN for an exchange */
} iol_prospect;

typedef struct {
    double mean_d, sd_d, within_half, within_one, hyperopic_over_one;
} iol_outlook;

/* Spread of the refraction after the operation: one manifest reading, whatever was read before. */
double iol_outcome_sd(const iol_eye *eye);
/* An exchange: the old position moved by the difference of the two lenses. */
void iol_prospect_exchange(const iol_eye *eye, const iol_mixture *m, double change_mm, double sd_mm, iol_prospect *out);
/* A second lens by_mm behind the position of the old one, which stays. */
void iol_prospect_second(const iol_eye *eye, const iol_mixture *m, double by_mm, double sd_mm, iol_prospect *out);
/* The prospect of one estimate: a mixture of one. */
void iol_prospect_of_one(const iol_eye *eye, const iol_model *model, double covariance[3][3], double start_sd_d,
                         double sd_mm, iol_prospect *out);
/* Without the components of a kind; the rest share its weight. Status negative when nothing is left. */
void iol_prospect_without(const iol_prospect *from, int kind, iol_prospect *out);

void iol_outlook_make(const iol_prospect *p, double power_d, double target_d, iol_outlook *out);
/* Mean and spread, and where it is asked for the chance within half a dioptre of that mean; the other chances are NaN. */
void iol_outlook_spread(const iol_prospect *p, double power_d, bool chance, iol_outlook *out);
/* The power whose mean is the target; NaN when there is none. */
double iol_prospect_power(const iol_prospect *p, double target_d);

/* Steps are compared by what is printed of them: what cannot be seen decides nothing. Distance from the target, and whether one
 * step comes nearer than another (which may be NaN: none yet), alike ones to the more myopic; whether a chance is among the
 * greatest. */
int64_t iol_step_miss(double mean_d, double target_d);
bool iol_step_nearer(double mean_d, double other_d, double target_d);
bool iol_step_among_best(double within_half, double greatest);

/* A shelf as powers: first, last, step. */
typedef struct {
    double first_d, last_d, step_d;
} iol_steps;
/* The step that a plan would choose: among those within 3 D of the exact power the greatest chance within half a dioptre; within
 * a hundredth of the greatest the nearest one. Its power; NaN when there is none. */
double iol_prospect_choose(const iol_prospect *p, const iol_steps *shelf, double target_d, iol_outlook *out);

#endif
