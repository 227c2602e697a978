/* The eye that a case describes: every later part reads this and no default is taken after it. */
#ifndef IOL_EYE_EYE_H
#define IOL_EYE_EYE_H

#include "altered_cornea.h"
#include "iolrevise/case.h"
#include "iolrevise/displaced.h"
#include "iolrevise/formulas.h"
#include "iolrevise/plan.h"
#include "tables/tables.h"

/* A lens as the optics need it. */
typedef struct {
    const iol_constants *given;      /* the constants as the case or the shelf states them */
    iol_lens_constants constants;    /* the same with the published regressions filled in */
    bool derived[IOL_FORMULA_COUNT]; /* that formula's constant was filled in */
    int position;                    /* word of set position; 0 not known */
    double shift_mm;                 /* s: bag to this position; NaN where no shift is published */
    double shift_sd_mm;
    int asphericity;  /* word; 0 not known */
    double power_d;   /* mean power; NaN not known */
    iol_matrix power; /* the matrix; its deviator is zero when the axis is not known */
    bool toric, axis_known;
} iol_lens_in_eye;

typedef struct {
    bool usable;
    iol_matrix at_cornea; /* mean of the readings used */
    double spectacle_d;   /* R_now: spectacle-plane value of that mean's mean */
    double vertex_mm;
    double sd_d;
    double day;      /* days after the first operation; NaN not known */
    int32_t read_on; /* date of the newest of them; IOL_UNKNOWN_DATE not known */
    int readings;    /* how many agree */
    bool vertex_given, with_given;
    bool poor; /* one of them was taken with poor acuity */
    bool subjective;    /* the newest of them is manifest or cycloplegic */
    bool place_stated;  /* how the lens lay and how the reading was taken are said of the newest of them */
    double strongest_d; /* greatest of |sphere|, |SE| over the readings used: vertex matters above 6 D */
    iol_flag oil;       /* oil at the newest reading used, where the reading says so */
    double drift_d;     /* most negative change of SE from a usable reading to a later one; NaN with one */
    double moved_from_d,
        moved_to_d; /* SE of the usable reading before the newest, and of the newest, where they disagree */
    double moved_from_day; /* day of the former; NaN not known */
} iol_reading;

/* The main wound of the planned operation. */
typedef struct {
    double position_deg, width_mm;
    int site;   /* word of set site_of_wound */
    bool again; /* it re-opens the wound of the first operation */
} iol_planned_wound;

/* The corneal laser as it would be done here. */
typedef struct {
    int kind; /* word of set laser_kind */
    double flap_um /* 0 for a surface treatment */, zone_mm, transition_um;
} iol_planned_laser;

/* What one biometry measured, keratometry at index 1.3375; NaN not measured. */
typedef struct {
    double length_mm, sd_length_mm, k_d, sd_k_d;
} iol_figures;

typedef struct {
    const iol_case *c;
    const iol_site *site;
    int32_t as_of;

    iol_figures first, repeat, fellow; /* each biometry by itself */
    double axial_length_mm, sd_length_mm;
    double k_d, sd_k_d;     /* mean keratometry at index 1.3375 */
    double radius_mm;       /* 337.5 / k_d */
    double radius_before_mm; /* 337.5 / keratometry before a corneal laser: places the lens; NaN the cornea is as it was */
    iol_laser_cornea laser;  /* every witness of the cornea after laser; NaN without one */
    double k_before_d;       /* keratometry before the laser, as given, worked out or assumed; NaN no laser */
    bool k_before_known;     /* not assumed */
    iol_matrix keratometry; /* matrix at 1.3375; a scalar when the steep axis is not known */
    bool astigmatism_known;
    double chamber_depth_mm; /* before the first operation */
    double lens_depth_mm;    /* measured depth of the lens in the eye */
    bool length_repeated, cornea_repeated, conflict, from_repeat_only;
    double grown_d, sd_grown_d; /* how much more myopic a child's eye became from the length used to the reading; 0 none */
    iol_flag may_have_grown;    /* it has had the time to: not known where days or age of a child are not known */
    double grown_mm;            /* a child's repeat length less the first, as far as it may have grown; 0 none */

    iol_lens_in_eye old;
    iol_reading now;
    iol_reading moved; /* read with the lens displaced; it tells the eye only less what the displacement does */
    bool recentred;    /* now is that reading less what the displacement does */
    double vertex_mm; /* of the reading used, or assumed: the plane of every spectacle refraction in the plan */
    double target_se_d;
    enum { IOL_TARGET_NONE, IOL_TARGET_INTENDED, IOL_TARGET_STATED } target_from;
    double intended_se_d;
    double sd_position_mm, sd_label_d;
    double depth_offset_mm, sd_depth_mm;
    iol_flag oil;             /* oil makes the refraction and the plan differ, or stays */
    iol_flag corneal_surgery; /* earlier laser or radial cuts */
    iol_flag no_lens;         /* nothing is in the eye: a lens is put in, none comes out */
    bool two;                 /* a second lens lies in front of the first */
    bool two_known;           /* and power and place of both are stated */
    iol_lens_in_eye second;
    double gap_mm, sd_gap_mm; /* from the first to the second */
    bool aphakic;             /* the reading that counts was taken without a lens in the way: `old` has power 0 */
    bool length_from_reading; /* no length is measured: it follows from that reading */
    double label_d;           /* mean power of the lens that was put in, wherever it lies now */

    iol_planned_wound wound;

    bool fluid_seen;             /* behind the lens: no reading counts */
    iol_flag fluid_at_a_reading; /* a reading of the case was taken with fluid behind the lens */
    int reference;               /* iol_formula, or -1 */
    int reference_reason;        /* word of set reference_reason */
} iol_eye;

/* The old lens as a body to be taken out, and what that is done with. */
typedef struct {
    int material, design;                   /* words; 0 not known */
    double power_d, index, diameter_mm;     /* mean labelled power, refractive index, optic */
    double front_radius_mm, back_radius_mm; /* as given: signed as the case writes them; NaN not given */
    double shape_q;                         /* (c1 + c2)/(c1 - c2) by the word of the case; NaN not given */
    double centre_mm, edge_mm;              /* as given, or one of them assumed */
    double length_mm;                       /* overall; NaN not known */
    double cornea_mm, iris_plane_mm;        /* corneal thickness; depth of the iris plane, NaN not known */
    bool iris_plane_measured;               /* false: inferred from the depth of the lens, or not known */
    double blade_mm, seat_deg;
    int hand; /* the dominant one: word of set hand */
} iol_old_optic;

/* The old lens where it lies, for the trace: what is known of tilt, decentration and optic. */
enum { IOL_MOST_DESIGNS = 3 };
typedef struct {
    double tilt_deg, sd_tilt_deg, off_mm, sd_off_mm; /* 0 with a wide spread where the other alone is known */
    bool tilt_known, off_known;
    int backs; /* places at which the back edge may lie: 0 not known, 1 known, 2 both ends across the axis */
    double back_deg[2];
    bool place_known;
    double place_deg; /* toward which it has moved */
    double diameter_mm;
    int designs;      /* 3 where the asphericity is not known */
    int asphericity[IOL_MOST_DESIGNS];
    iol_optic optic[IOL_MOST_DESIGNS];
} iol_moved_lens;

enum { IOL_EYE_POOLED, IOL_EYE_FIRST_ONLY, IOL_EYE_REPEAT_ONLY };

/* Make the eye; assumptions and cautions go into notes. which: both biometries, or the first alone. */
void iol_eye_make(const iol_case *c, const iol_site *site, int32_t as_of, int which, iol_notes *notes, iol_eye *eye);

/* ---- the pieces, each one file ---- */
void iol_eye_biometry(iol_eye *eye, int which, iol_notes *notes);
void iol_eye_reading(iol_eye *eye, iol_notes *notes);
/* How far a child's eye has moved since its length was measured. */
void iol_eye_growth(iol_eye *eye, iol_notes *notes);
void iol_eye_old_lens(iol_eye *eye, iol_notes *notes);
/* The reference formula by the rule of the method, of those that this lens's constants allow; -1 with reason 0: none. */
int iol_eye_reference(const iol_eye *eye, const iol_lens_in_eye *lens, int *reason);
/* A lens of the shelf, to be held at `position`. */
void iol_eye_shelf_lens(const iol_eye *eye, const iol_shelf_lens *shelf, int position, iol_lens_in_eye *lens);
/* A lens that was put in at a revision: constants from the case, else from the shelf; its place that of the old lens when
 * the case states none. */
void iol_eye_lens_put_in(const iol_eye *eye, const iol_lens *l, iol_notes *notes, iol_lens_in_eye *lens);
/* The old lens held at another place. */
void iol_eye_old_lens_at(const iol_eye *eye, int position, iol_lens_in_eye *lens);
/* Build and material of a lens: the case's, else those of the shelf. */
void iol_eye_build(const iol_eye *eye, const iol_lens *l, int *design, int *material);
/* A toric lens is in the eye, the only one, the first or the second. */
static inline bool iol_eye_has_toric(const iol_eye *eye) { return eye->old.toric || (eye->two && eye->second.toric); }
/* The old toric lens with mean power power_d and its marks on axis_deg. */
iol_matrix iol_eye_old_lens_turned(const iol_eye *eye, double power_d, double axis_deg);
/* What every standard deviation is multiplied by: the site's factor, 1 without one. */
static inline double iol_eye_factor(const iol_eye *eye) {
    return eye->site->spread.factor > 0.0 ? eye->site->spread.factor : 1.0;
}
/* Half the label tolerance of the standard (or the site's figure). */
double iol_eye_label_sd(const iol_eye *eye, double power_d);

/* Where the main wound goes, how wide, and where it is cut. */
void iol_eye_wound(iol_eye *eye, iol_notes *notes);
/* Taken only by the parts that need them, so that nothing is listed for a part that is not there. */
void iol_eye_laser(const iol_eye *eye, iol_notes *notes, iol_planned_laser *laser);
/* Word of set turns: the direction in which the loops let the lens turn. */
int iol_eye_turns(const iol_eye *eye, iol_notes *notes);
/* The old lens as a body, instruments and depths: only where the lens is to come out. */
void iol_eye_old_optic(const iol_eye *eye, iol_notes *notes, iol_old_optic *out);
/* (c1 + c2)/(c1 - c2) of a word of set optic_shape; NaN for none. */
double iol_shape_of_word(int word);
/* Power, index and thickness of the old optic, a part of the above. */
void iol_eye_optic_body(const iol_eye *eye, iol_notes *notes, iol_old_optic *out);
/* The optic alone, spherical, in one shape; its shape assumed equal where neither shape nor radii are given. */
iol_status iol_eye_optic(const iol_eye *eye, iol_notes *notes, iol_optic *optic, double *diameter_mm, bool *shape_known);
/* Where the lens lies and what it is; model: the eye that its asphericity is reckoned for. Negative: no power, or no optic. */
iol_status iol_eye_moved_lens(const iol_eye *eye, iol_model model, iol_notes *notes, iol_moved_lens *out);
/* The lens lies elsewhere than it should: a reason or a reading says so, or tilt or decentration is more than ordinary. */
iol_flag iol_eye_lens_moved(const iol_case *c);
/* Tilt above which it matters, by the way in which it was found. */
double iol_eye_tilt_limit(const iol_lens *lens);
/* The site's row of a lens; NULL when there is none. */
const iol_shelf_lens *iol_eye_on_shelf(const iol_site *site, const char *id);

/* Prior model of one formula with a lens: K and L as the formula feeds them, E with the shift of its position. */
iol_status iol_eye_predict(const iol_eye *eye, iol_formula formula, const iol_lens_in_eye *lens, iol_model *model);
/* Change of E from the old lens to a new one, fixation included, and its standard deviation. from_mm: E that the formula
 * predicts for the old lens. The same kind of constant for both lenses: the formula's own, else the A-constant, else the
 * difference is left out and only the fixation counts. */
enum { IOL_CHANGE_OWN, IOL_CHANGE_BY_A, IOL_CHANGE_FIXATION_ONLY };
iol_status iol_eye_position_change(const iol_eye *eye, iol_formula formula, double from_mm,
                                   const iol_lens_in_eye *fresh, double *change_mm, double *sd_mm, int *basis);
double iol_eye_change_sd(const iol_eye *eye, const iol_lens_in_eye *fresh);
/* Published shift of a position from the bag in the planned operation; NaN where there is none. */
double iol_eye_fixation(const iol_eye *eye, int position);
/* That of the place of the old lens, which was fixed at another time: the usual distance from the limbus. */
double iol_eye_old_fixation(const iol_eye *eye);
/* How far behind the limbus a lens in the sclera is taken to be fixed, when the case does not say or says what no series had. */
void iol_eye_say_fixation(const iol_eye *eye, int position, iol_notes *notes);
bool iol_eye_has_constants(const iol_lens_in_eye *lens);
/* What a reader must know of a lens's constants: derived ones, ultrasound, stated for another position. */
void iol_eye_say_derived(const iol_lens_in_eye *lens, iol_formula formula, const char *whose, iol_notes *notes);
void iol_eye_say_constants(const iol_eye *eye, const iol_lens_in_eye *lens, const char *whose, iol_notes *notes);

/* The reading that the patient lives with: of the displaced lens where it alone was read, else of the lens in its place. */
static inline const iol_reading *iol_eye_worn(const iol_eye *eye) {
    return eye->moved.usable && (eye->recentred || !eye->now.usable) ? &eye->moved : &eye->now;
}

/* The one way to take a default: the value given, else the standard one and a line under assumptions. */
double iol_or_assume(double given, double standard, iol_note_code code, const char *word, iol_notes *notes);
int iol_or_assume_word(int given, int standard, const iol_word_set *set, iol_note_code code, iol_notes *notes);
/* Whether there is no lens in the eye: stated, or told by the newest reading and the repeat biometry together. */
iol_flag iol_case_no_lens(const iol_case *c);
/* A second lens lies in the eye; what is not told counts as one lens. */
bool iol_case_two_lenses(const iol_case *c);
/* The newest reading that has a sphere and was not taken in theatre; NULL none. */
const iol_refraction *iol_case_newest_reading(const iol_case *c);
/* A reading without a lens counts: see `aphakic`. */
bool iol_eye_reads_without_lens(const iol_eye *eye);
/* The second lens: power, gap, and whether both lenses are known well enough to be told apart. */
void iol_eye_second_lens(iol_eye *eye, iol_notes *notes);
void iol_eye_two_length_from_reading(iol_eye *eye, iol_notes *notes);
/* Axial length of an eye read without a lens, where none is measured: the reading tells it, with the keratometry (assumed where
 * there is none). */
void iol_eye_length_from_reading(iol_eye *eye, iol_notes *notes);
/* The lens of an eye without one: power 0, constants of the first lens of the shelf that has some. */
void iol_eye_take_no_lens(iol_eye *eye);
/* True when the case gives this reason, first or also. */
iol_flag iol_case_has_reason(const iol_case *c, int reason);
/* Two lenses, and they cannot be reckoned together: the label of one says nothing of the eye. */
bool iol_eye_second_unread(const iol_eye *eye);

#endif
