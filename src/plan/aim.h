/* From an estimated eye to a lens and back: the one way every power and every expected refraction of a plan is made. */
#ifndef IOL_PLAN_AIM_H
#define IOL_PLAN_AIM_H

#include "estimate/prospect.h"
#include "work.h"

/* The eye with a new lens in its place. */
typedef struct {
    iol_status status;
    int route;                /* word of set route */
    const iol_estimate *from; /* the estimate that it rests on */
    iol_model model;          /* K, L and the new E */
    double change_mm,
        sd_change_mm; /* from the old lens's position to the new one's; NaN where the two are not compared */
    int change_basis; /* IOL_CHANGE_OWN ... : how the two lenses were compared */
    iol_matrix shape; /* corneal astigmatism that reproduces today's cylinder (and its second-order mean) */
    bool shape_known;
    iol_matrix behind;          /* astigmatism of what lies behind a second lens, at its plane; zero for an exchange */
    double sd_class_d;          /* of two lenses that differ in asphericity where no constants lead; else 0 */
    const iol_mixture *mixture; /* the causes that the power is weighed over; NULL: the estimate alone */
    bool second;                /* a second lens, in front of the old one */
    bool keeps_second;          /* of two lenses the first is turned or moved, behind the second that stays */
    double gap_mm;              /* then from the first to the second */
    iol_matrix front;           /* and the second's power */
    bool old_lens;              /* the old lens itself, turned or held elsewhere: what moved it moves with it */
    double sd_start_d;          /* spread of the refraction that a second lens starts from; NaN for an exchange */
} iol_aim;

/* By the joint estimate, or the prior where no refraction is usable (formula's own route). */
void iol_aim_by_formula(const iol_eye *eye, const iol_estimate *estimate, const iol_lens_in_eye *fresh, iol_aim *aim);
/* By one cause alone (IOL_L, IOL_K, IOL_E, IOL_P), for the lens of the aim by the joint estimate; `own` is filled and must
 * outlive the aim. */
void iol_aim_by_cause(const iol_eye *eye, const iol_aim *joint, int state, iol_estimate *own, iol_aim *aim);
/* By the formula for the new lens itself, on biometry alone: where the old lens cannot be predicted. */
void iol_aim_by_biometry(const iol_eye *eye, const iol_lens_in_eye *fresh, iol_estimate *own, iol_aim *aim);
/* An eye read without a lens: see iol_estimate_without_lens. */
void iol_aim_without_lens(const iol_eye *eye, const iol_lens_in_eye *fresh, iol_estimate *own, iol_aim *aim);
/* By the refraction alone: nominal positions, no axial length. `own` is filled and must outlive the aim. Assumptions that
 * it needs go into notes (NULL: none). */
void iol_aim_by_refraction(const iol_eye *eye, const iol_lens_in_eye *fresh, iol_estimate *own, iol_notes *notes,
                           iol_aim *aim);
/* By a second lens in front of the old one: the old lens stays, the model's length is where the eye behind it focuses, so
 * that the piggyback lens is the one lens of the model. */
void iol_aim_by_piggyback(const iol_eye *eye, const iol_estimate *estimate, int route, iol_aim *aim);
/* The lens of the aim is the old one: it brings along what a wrong constant or being the wrong way up did to its position. */
void iol_aim_of_old_lens(iol_aim *aim);
/* The same weighed over every cause that the reading leaves open (estimate: iol_mixture_alone): the route itself. */
void iol_aim_alone(const iol_eye *eye, const iol_estimate *alone, const iol_lens_in_eye *fresh, iol_notes *notes,
                   iol_aim *aim);
/* What a second lens starts from when no estimate leads: the reading, on the cornea as measured. No axial length. */
void iol_aim_reading_alone(const iol_eye *eye, iol_estimate *own, iol_notes *notes);
/* Of two lenses the first is turned or moved: the second stays in front of it. For the aim of iol_aim_by_formula. */
void iol_aim_keep_second(const iol_eye *eye, iol_aim *aim);
/* Corneal astigmatism that reproduces today's cylinder. Behind a toric lens its second-order part is kept in the mean, so that the
 * lenses of today, put back, return the refraction that the estimate believes in. */
iol_matrix iol_aim_shape(const iol_eye *eye, const iol_estimate *estimate, bool *known);
/* Lens matrix that reaches a spherical equivalent without cylinder. */
iol_status iol_aim_lens(const iol_eye *eye, const iol_aim *aim, double target_d, iol_matrix induced, iol_matrix *lens);
/* Every cause as the new lens would meet it. */
void iol_aim_prospect(const iol_eye *eye, const iol_aim *aim, iol_prospect *out);
/* Refraction, spread and chances of one lens, its second-order part included: of a lens with a cylinder the mean power. */
void iol_aim_outlook(const iol_eye *eye, const iol_aim *aim, const iol_prospect *prospect, iol_matrix lens,
                     iol_matrix induced, iol_spectacle_form *form, iol_outlook *out);
/* Mean and spread of it, and where it is asked for the chance within half a dioptre of that mean. se_d: spherical equivalent
 * of iol_aim_at_cornea with that lens. */
void iol_aim_spread(const iol_eye *eye, const iol_aim *aim, const iol_prospect *prospect, iol_matrix lens, double se_d,
                    bool chance, iol_outlook *out);
/* A second lens: what the astigmatism behind it adds to the spherical equivalent of a plain lens of that power; an exchange: 0. */
double iol_aim_more(const iol_eye *eye, const iol_aim *aim, double power_d);
/* Mean power that reaches a spherical equivalent; NaN when there is none. */
double iol_aim_power(const iol_eye *eye, const iol_aim *aim, double target_d);
/* Refraction at the cornea with a lens matrix in place; NaN and a negative status where there is none. */
iol_status iol_aim_at_cornea(const iol_aim *aim, iol_matrix lens, iol_matrix induced, iol_matrix *at_cornea);
/* Spectacle refraction with a lens matrix in place; induced is the wound's change of the cornea. */
void iol_aim_expected(const iol_eye *eye, const iol_aim *aim, iol_matrix lens, iol_matrix induced,
                      iol_spectacle_form *out);
/* Standard deviation of that refraction's spherical equivalent. */
double iol_aim_sd(const iol_eye *eye, const iol_aim *aim, double power_d);
/* P(|x - target| <= band) of a normal distribution. */
double iol_aim_chance(double expected_d, double sd_d, double target_d, double band_d);

#endif
