/* What the rules of data/decision_rules.def, missing_tests.def and counselling.def ask about a case: yes, no or not known. */
#ifndef IOL_PLAN_FACTS_H
#define IOL_PLAN_FACTS_H

#include "gates.h"

typedef struct {
    const iol_case *c;
    const iol_plan *plan;
    iol_gates gates;
    /* ---- before any power ---- */
    iol_flag red_flag;
    char red_flag_words[60]; /* those that are there */
    double pressure_mmhg;
    iol_flag fluid_seen, trapped_fluid, oil, two_lenses; /* trapped: seen, or suspected and not excluded */
    double z;
    iol_flag gross_error; /* |z| beyond the ordinary and its cause still to be found */
    bool cause_confirmed, cause_not_found;
    iol_flag uveitis_active, macular_oedema, pressure_uncontrolled;
    bool not_excluded; /* one of the rules that must be excluded is not known */
    /* ---- causes ---- */
    iol_flag documented_wrong, dislocation, lens_on_retina, lens_in_chamber, opacity_matters, lens_damage,
        cornea_damage;
    iol_flag off_centre, lens_chafes;
    double stage, decentration_mm, tilt_deg;
    /* ---- time ---- */
    double day, refraction_gate_day, symptom_gate_day;
    iol_flag day_not_known, before_refraction_gate, before_symptom_gate;
    /* ---- tests, other explanations ---- */
    bool elective;        /* power, cylinder, photic */
    bool optical;         /* power or cylinder */
    double acuity_logmar; /* corrected, of the newest refraction */
    iol_flag blur_not_power, macula_explains, tests_missing, no_power;
    iol_flag cylinder_open; /* optical, and keratometry, refraction and lens mark do not fit, or cannot be compared */
    double remainder_d;
    double lens_predicted_d; /* by the reference formula for the lens put in; NaN not known */
    bool early_misfit;       /* that does not fit the aim, and the bag still opens easily: is it the wrong lens? */
    bool turn_window;        /* a toric lens still turns easily, and nothing known speaks against a turn */
    bool oct_missing, topography_missing, biometry_repeated, lens_identified;
    /* ---- what changes the plan ---- */
    bool loose;              /* dislocated, tilted or off centre */
    bool weak_cornea;        /* harmed, swollen, guttate or few cells */
    bool clouded_and_macula; /* a clouded lens before a macula that is not known to be normal */
    /* ---- which way ---- */
    iol_flag better_option;
    iol_flag first_fits;   /* the option ranked first is known to fit */
    iol_flag turn_in_time; /* it is a turn, and the lens still turns easily */
    int first_option;      /* word of set option: the one ranked first; 0 no ranking */
    const char *first_option_words;
    bool not_made; /* every step of the shelf misses the target by more than 1 D */
    /* ---- for the talk: after the decision ---- */
    int state;
    bool today; /* something comes first today */
    bool power_error, smaller_first, glasses_cylinder;
    bool exchange_talk; /* an exchange is to be talked about */
    bool exchange_step; /* it is what is planned, alone or beside keeping the lens */
    bool lens_step;     /* an operation inside the eye is: exchange, or a smaller one that comes first */
    double now_d, intended_d;
    bool miss_known, glasses_help, leaves_multifocal, missed_widely;
    iol_flag capsule_open;
    int position;                                                /* where the new lens is planned */
    double chosen_power_d, chosen_se_d, within_half, within_one; /* of the chosen step; shares in percent */
    double power_low_d, power_high_d;
} iol_facts;

void iol_facts_make(const iol_work *w, iol_facts *facts);

/* The state, where a rule decides it before powers and ranked options are asked for; 0 where none does. Reads eye and joint
 * estimate. */
int iol_decision_early(const iol_work *w);
/* Every test to ask for, added to the plan's notes. */
void iol_missing_tests(iol_work *w, const iol_facts *facts);

static inline bool iol_facts_reason(const iol_facts *f, int reason) {
    return iol_case_has_reason(f->c, reason) == IOL_YES;
}

#endif
