/* What the surprise says about the eye: a Gaussian update of (L, K, E, P0) by one refraction (method, section 3). */
#ifndef IOL_ESTIMATE_ESTIMATE_H
#define IOL_ESTIMATE_ESTIMATE_H

#include "eye/eye.h"
#include "observe.h"
#include "optics/two_lenses.h"

enum { IOL_L, IOL_K, IOL_E, IOL_P, IOL_STATES };

struct iol_mixture;
typedef struct iol_estimate {
    iol_status status; /* negative: no posterior; IOL_NO_CONVERGENCE leaves what the prior says, else everything is NaN */
    iol_formula formula;
    iol_model prior; /* K, L and E of the formula, the shift included */
    double p0_d;
    double prior_sd[IOL_STATES];
    double predicted_d; /* refraction predicted for the lens put in */
    double eye_part_d;  /* found less predicted; NaN without a usable refraction */
    double z;
    double share[IOL_STATES + 1]; /* the last is the refraction's own */
    double needed[IOL_STATES];    /* value that one quantity alone would need; NaN none explains it */
    iol_flag plausible[IOL_STATES];
    iol_model posterior;
    double posterior_p0_d;
    double covariance[IOL_STATES][IOL_STATES];
    double believed_d;   /* refraction of the posterior with the old lens */
    double gap_mm, second_d; /* of a second lens in front, at the posterior; read where the eye has two */
    const struct iol_mixture *mixture;  /* the causes beside it, ordinary and gross; NULL: this Gaussian alone */
    const struct iol_estimate *leading; /* that of the mixture's leading component */
    double depth_gap_mm; /* measured lens depth less expected; NaN not measured */
} iol_estimate;

/* With a usable refraction: the joint estimate. Without: the prior stands as posterior (route biometry-only). */
void iol_estimate_make(const iol_eye *eye, iol_formula formula, iol_estimate *out);
/* The same with every formula. brief: needed and plausible, which cost most, with the reference formula alone. */
void iol_estimate_all(const iol_eye *eye, bool brief, iol_estimate out[IOL_FORMULA_COUNT]);
/* The refraction-only view (method, section 4): the eye that the reading and the nominal positions imply. nominal_mm is
 * the position of the old lens. */
void iol_estimate_refraction_only(const iol_eye *eye, double k_d, double position_mm, iol_estimate *out);

/* The eye in which one quantity alone (IOL_L, IOL_K, IOL_E, IOL_P) explains the reading: the prior with that quantity at the
 * value it needs. Status IOL_NO_SOLUTION where none explains it. It carries no covariance. */
void iol_estimate_by_cause(const iol_eye *eye, const iol_estimate *joint, int state, iol_estimate *out);
/* The formula for the new lens itself, where the old one cannot be predicted: prior as posterior, no old lens in it. */
void iol_estimate_biometry_only(const iol_eye *eye, iol_formula formula, const iol_lens_in_eye *fresh,
                                iol_estimate *out);

/* An eye read without a lens, with the new lens where the formula has it: length and cornea by biometry and the reading together,
 * or by the reading alone where no length is measured; without a usable reading the prior. The position is never mended. */
void iol_estimate_without_lens(const iol_eye *eye, iol_formula formula, const iol_lens_in_eye *fresh,
                               iol_estimate *out);

/* An eye with two lenses: both labels, the place of the first, the gap, length and cornea by one refraction together. One
 * refraction cannot say which label is wrong; their covariance goes into every way. two: state and covariance in the order of
 * IOL_TWO_LENGTH ...; out: what of it an eye with the first lens alone has. */
void iol_estimate_two_lenses(const iol_eye *eye, iol_formula formula, iol_observed *two, iol_estimate *out);
iol_lens_pair iol_estimate_two_of(const iol_observed *two);

/* Q: what the eye needs at its cornea with the lens or the two lenses that are in it, at the estimate's posterior. */
iol_status iol_estimate_needed(const iol_eye *eye, const iol_estimate *estimate, iol_matrix *needed);
/* Astigmatism of the cornea that reproduces today's cylinder: A = dev(Q(L, E, P_old) - Rc_now), at the estimate's posterior.
 * Zero when no cylinder can be planned (*known false). */
iol_matrix iol_estimate_astigmatism(const iol_eye *eye, const iol_estimate *estimate, bool *known);

/* How far (mm) a child's eye has grown since the length used was measured, mean and spread: the shift of data/child_shift.def in an
 * eye whose lens leaves no refraction. model: that of the measured length. 0 where there is none. */
typedef struct {
    double mean_mm, sd_mm;
} iol_grown;
iol_grown iol_estimate_grown(const iol_eye *eye, const iol_model *model);

#endif
