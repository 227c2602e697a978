/* One model for ordinary and gross causes (method, section 4): a Gaussian of (L, K, E, P0) for each, weighed by its prior rate
 * and by how well it foretells repeat biometry, lens depth and refraction. */
#ifndef IOL_ESTIMATE_MIXTURE_H
#define IOL_ESTIMATE_MIXTURE_H

#include "estimate.h"
#include "suspects.h"

/* Order of data/gross_rates.def. */
typedef enum {
#define GROSS(suspect, key, rate, quantities, look, reference, status, text) IOL_GROSS_CAUSE_##suspect,
#include "gross_rates.def"
#undef GROSS
    IOL_GROSS_CAUSE_COUNT
} iol_gross_cause;

/* What a component says happened: the ordinary ones first, then the gross ones. */
enum {
    IOL_MIX_measured, /* everything as measured */
    IOL_MIX_wide,     /* the lens lies unusually */
    IOL_MIX_off,      /* the reading is off */
    IOL_MIX_ORDINARY, /* how many those are */
    IOL_MIX_GROSS = IOL_MIX_ORDINARY,
    IOL_MIX_KINDS = IOL_MIX_ORDINARY + IOL_GROSS_CAUSE_COUNT
};
#define IOL_MIX(cause) (IOL_MIX_GROSS + IOL_GROSS_CAUSE_##cause)

/* Order of data/evidence_factors.def. */
typedef enum {
#define FACTOR(key, value, reference, status, text) IOL_FACTOR_##key,
#include "evidence_factors.def"
#undef FACTOR
    IOL_FACTOR_COUNT
} iol_factor;
/* What settles a gross cause: the looks that the factors speak of. */
typedef enum {
    IOL_LOOK_none,
    IOL_LOOK_lens,       /* find the sticker */
    IOL_LOOK_biometry,   /* compare person and eye */
    IOL_LOOK_sheet,      /* see the original sheet */
    IOL_LOOK_dilated,    /* look through a dilated pupil */
    IOL_LOOK_topography, /* topography */
    IOL_LOOK_COUNT
} iol_look;

typedef struct {
    iol_suspect_id suspect;
    double rate;            /* per 10 000 */
    const char *quantities; /* letters L K E P R: what it alters */
    iol_look look;
} iol_gross_row;
extern const iol_gross_row iol_gross_rows[IOL_GROSS_CAUSE_COUNT];

typedef struct {
    int kind;
    bool person; /* measurements of another eye: that of another person, not of the fellow eye */
    double log_prior, log_likelihood;
    double weight;
    bool updated;                  /* false: no refraction was seen; its mean and covariance are the prior */
    double sd_reading_d, offset_d; /* of the refraction under this component */
    double back_mm;                /* part of E that the new lens does not share */
    double mean[IOL_STATES], covariance[IOL_STATES][IOL_STATES]; /* before the refraction, then after it */
    double left_d, variance_d, slope[IOL_STATES]; /* r, S and g at the end of the update; NaN without a refraction */
} iol_component;

/* The prior rate of every gross cause under what was looked at, as a share; the confirmed ones apart. */
typedef struct {
    double rate[IOL_GROSS_CAUSE_COUNT]; /* of an operation, evidence factors included; confirmed: 1 */
    bool confirmed[IOL_GROSS_CAUSE_COUNT];
} iol_gross_priors;

enum { IOL_MIX_MOST = 40 };
typedef struct iol_mixture {
    iol_status status; /* negative: no formula, or no component is left */
    iol_formula formula;
    double log_evidence;
    bool tested; /* a refraction entered the weights */
    iol_gross_priors priors;
    int count;
    iol_component item[IOL_MIX_MOST];
} iol_mixture;

void iol_gross_priors_make(const iol_eye *eye, iol_gross_priors *out);
/* What the looks taken make of the rate of a cause. */
double iol_gross_factor(const iol_eye *eye, iol_gross_cause cause);
/* Factor that a look not yet taken would bring to its causes; NaN when it was taken, or settles nothing that is live. */
double iol_gross_look(const iol_eye *eye, iol_look look);

/* How many ordinary eyes are far off, and how far. */
typedef struct {
    double wide_weight, wide_factor, off_weight, off_factor;
} iol_ordinary_rule;
void iol_ordinary_rule_make(const iol_eye *eye, iol_ordinary_rule *out);
/* Where the refraction leads (method, section 6): a length of the population, the keratometry as measured, the aim of the first
 * lens as a measurement of it; ordinary causes and another lens. `leading`: the estimate of the leading component. */
void iol_mixture_alone(const iol_eye *eye, iol_mixture *out, iol_estimate *leading);

/* All components of the formula's eye, before any refraction or depth. */
void iol_components_make(const iol_eye *eye, iol_formula formula, iol_mixture *out);
void iol_mixture_make(const iol_eye *eye, iol_formula formula, iol_mixture *out);
/* Depth, refraction and weights on components that are already there. */
void iol_mixture_weigh(const iol_eye *eye, iol_mixture *m);
/* Weights from ln prior + ln likelihood; false when none is finite. */
bool iol_mixture_normalise(iol_mixture *m);

double iol_mixture_probability(const iol_mixture *m, int kind);
/* Of every kind. */
void iol_mixture_shares(const iol_mixture *m, double share[IOL_MIX_KINDS]);
/* Of the suspect's cause; NaN when no cause stands for it, or nothing tested the weights. */
double iol_mixture_of_suspect(const iol_mixture *m, iol_suspect_id id);
/* Gross causes that the case does not confirm. */
double iol_mixture_gross(const iol_mixture *m);
double iol_mixture_ordinary(const iol_mixture *m);
/* The component of greatest weight. */
const iol_component *iol_mixture_leader(const iol_mixture *m);
/* The estimate of one component: what the joint estimate says, with the component's own posterior. */
void iol_mixture_estimate(const iol_eye *eye, const iol_estimate *joint, const iol_component *c, iol_estimate *out);
/* ln of the normal density N(x; variance). */
double iol_log_normal(double x, double variance);

#endif
