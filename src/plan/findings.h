/* Findings of a case that more than one rule asks about, as yes, no or unknown. */
#ifndef IOL_PLAN_FINDINGS_H
#define IOL_PLAN_FINDINGS_H

#include "eye/eye.h"
#include "tables/constants.h"

/* Nothing is left behind the lens: the posterior capsule is torn or absent. */
static inline iol_flag iol_found_posterior_gone(const iol_case *c) {
    return iol_or(iol_is(c->capsule.posterior, IOL_posterior_capsule_torn),
                  iol_is(c->capsule.posterior, IOL_posterior_capsule_absent));
}
/* Lens and capsule slipped together. Not stated: unknown when anything at all is said of a dislocation. */
static inline iol_flag iol_found_bag_slipped(const iol_case *c) {
    if (c->dislocation.with_capsule != IOL_UNKNOWN) return c->dislocation.with_capsule;
    bool told = c->dislocation.present || iol_case_has_reason(c, IOL_reason_lens_dislocation) == IOL_YES;
    return told ? IOL_UNKNOWN : IOL_NO;
}
/* The zonule does not hold a capsule-fixed lens. */
static inline iol_flag iol_found_zonule_lost(const iol_case *c) {
    iol_flag loose = iol_is(c->zonule.donesis, IOL_donesis_marked);
    return iol_or(iol_or(loose, iol_above(c->zonule.missing_clock_hours, c_zonule_lost_hours)),
                  iol_found_bag_slipped(c));
}
/* A bag that hooks and a tension ring may load: no tear in either capsule, no lost zonule. */
static inline iol_flag iol_found_bag_whole(const iol_case *c) {
    iol_flag torn = iol_or(iol_is(c->capsule.anterior, IOL_anterior_capsule_tear),
                           iol_is(c->capsule.anterior, IOL_anterior_capsule_absent));
    return iol_not(iol_or(iol_or(torn, iol_found_posterior_gone(c)), iol_found_zonule_lost(c)));
}
/* The zonule is weak, or lost. */
static inline iol_flag iol_found_zonule_weak(const iol_case *c) {
    iol_flag loose = iol_or(iol_is(c->zonule.donesis, IOL_donesis_slight), iol_found_zonule_lost(c));
    return iol_or(loose, iol_above(c->zonule.missing_clock_hours, 0.0));
}
/* The lens lies behind the plane of the iris, in the vitreous or on the retina. Nothing said of a dislocation: no. */
static inline iol_flag iol_found_lens_in_vitreous(const iol_case *c) {
    int lies = c->dislocation.lies;
    if (lies > 0) return iol_from_bool(lies == IOL_lies_anterior_vitreous || lies == IOL_lies_retina);
    bool told = c->dislocation.present || iol_case_has_reason(c, IOL_reason_lens_dislocation) == IOL_YES;
    return told ? IOL_UNKNOWN : IOL_NO;
}
/* Place of the old lens as a number in the order of the words, bag first; NaN not known. */
static inline double iol_old_place(const iol_case *c) {
    return c->first_surgery.lens.position > 0 ? (double)c->first_surgery.lens.position : NAN;
}
/* Every refraction states its cylinder: none was only assumed to be 0. */
static inline bool iol_found_cylinder_stated(const iol_case *c) {
    for (int i = 0; i < c->refractions_count; i++)
        if (!isnan(c->refractions[i].sphere_d) && isnan(c->refractions[i].cylinder_d)) return false;
    return true;
}
/* A place where the lens can rub the iris or the angle. */
static inline iol_flag iol_found_lens_rubs(int position) {
    return iol_or(iol_is(position, IOL_position_sulcus),
                  iol_or(iol_is(position, IOL_position_iris_front), iol_is(position, IOL_position_chamber)));
}
static inline iol_flag iol_found_iris_unfit(const iol_case *c) {
    return iol_or(iol_is(c->anterior_segment.iris, IOL_iris_atrophic),
                  iol_is(c->anterior_segment.iris, IOL_iris_defect));
}
static inline iol_flag iol_found_glaucoma(const iol_case *c) {
    return iol_not(iol_is(c->anterior_segment.glaucoma, IOL_glaucoma_none));
}
static inline iol_flag iol_found_uveitis(const iol_case *c) {
    return iol_not(iol_is(c->anterior_segment.uveitis, IOL_uveitis_none));
}

#endif
