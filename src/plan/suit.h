/* What speaks for and against each way: the rules of data/option_rules.def. */
#ifndef IOL_PLAN_SUIT_H
#define IOL_PLAN_SUIT_H

#include "findings.h"
#include "work.h"

/* What the rules ask, from the case and the parts made so far. */
typedef struct {
    bool reading;     /* there is a usable refraction */
    bool withheld;    /* no power is given */
    bool fluid;       /* behind the lens, seen or suspected: the refraction will change */
    bool provisional; /* powers are shown, nothing is chosen */
    double gap_d;     /* refraction now less target */
    double cylinder_d, cylinder_accepted_d;
    double remainder_d; /* cylinder that keratometry, refraction and lens mark leave unexplained */
    /* It, or what it rests on, is in question, in a toric eye or one with a complaint of cylinder. */
    iol_flag cylinder_open;
    double difference_d; /* spherical equivalent now less the fellow eye's */
    double day;          /* days since the first operation */
    double chamber_mm; /* depth of the lens in the eye, else of the chamber before the first operation if deep enough */
    iol_flag optical;  /* power or cylinder is a reason */
    iol_flag power_mends; /* another power would mend the complaint */
    iol_flag lens_fault;  /* clouded, damaged or moved */
    iol_flag clouded, damaged, moved, off_centre, inflamed, cornea_damage;
    iol_flag photic_negative, photic_positive, multifocal;
    iol_flag bag_lost; /* bag slipped, or zonule lost */
    /* ---- parts made before ---- */
    double turn_se_d, turn_cylinder_d, turn_gain_d, turn_short_deg;
    double laser_se_d, k_after_d, bed_left_um, bed_least_um, bed_wanted_um, tissue_share;
    iol_flag laser_hyperopic; /* spherical equivalent */
    iol_flag laser_central;   /* tissue goes from the centre: there is a myopic meridian */
    iol_flag shelf_three_piece_acrylic;
    double pb_se_d, pb_cylinder_d, pb_se_gain_d,
        pb_cylinder_gain_d;        /* of the chosen piggyback lens, else the nearest */
    double ex_se_d, ex_cylinder_d; /* that the chosen replacement lens leaves, else the nearest */
    double in_place_d;             /* spherical equivalent with the old lens in its place; NaN not known */
    double without_lens_d;         /* expected without any lens */
} iol_option_facts;

/* What a rule does to its way, as data/option_rules.def names it. */
typedef enum {
    IOL_EFFECT_no,
    IOL_EFFECT_doubt,
    IOL_EFFECT_after,
    IOL_EFFECT_last,
    IOL_EFFECT_end,
    IOL_EFFECT_least,
    IOL_EFFECT_first,
    IOL_EFFECT_top
} iol_option_effect;

typedef struct {
    iol_flag suitable;
    bool top, first, last, least; /* where rules put it: before all, before the others, after them, after those too */
    iol_note_code why;            /* the rule that decides */
    double value, limit;
    char word[60];
} iol_verdict;

/* The facts that do not depend on a part. */
void iol_option_facts_make(const iol_work *w, iol_option_facts *facts);
/* Those of a part already made. */
void iol_rotation_facts(const iol_work *w, iol_option_facts *facts);
void iol_piggyback_facts(const iol_work *w, iol_option_facts *facts);
/* Second-lens power that takes one refraction to another; NaN when there is none. */
double iol_piggyback_between(const iol_work *w, double from_d, double to_d);
/* The choice of the aim, else the one of the class advised that comes nearest to the target; NULL when none is listed. */
const iol_choice *iol_choice_leading(const iol_replacement *r);
/* Judge one way (word of set option). Its reasons go to a place and row of the plan's notes; place < 0: nowhere. */
void iol_option_judge(iol_work *w, const iol_option_facts *facts, int option, int place, int row, iol_verdict *out);

#endif
