/* What was typed behind `power`, in flags or by its place. */
#include "power.h"

#include <string.h>

#include "tables/constants.h"
#include "tables/tables.h"

/* The four that may be typed by place. */
typedef struct {
    const char *eye, *implanted, *refraction, *target;
} places;

static int take(const char *flag, const char *found, const char *wanted) {
    return wanted ? iol_cli_flag(flag, found, wanted) : IOL_EXIT_DONE;
}

static int numbers(const iol_options *o, const places *p, iol_power_typed *t) {
    const struct {
        const char *flag, *found;
        double *into;
    } row[] = {{"--vertex", o->vertex, &t->vertex_mm},
               {"--length", o->length, &t->length_mm},
               {"--chamber-depth", o->chamber_depth, &t->chamber_mm},
               {"--a-constant", o->a_constant, &t->a_constant},
               {"--new-a-constant", o->new_a_constant, &t->new_a_constant},
               {"--days", o->days, &t->days},
               {"--age", o->age, &t->age},
               {"--pressure", o->pressure, &t->pressure_mmhg},
               {"--readings", o->readings, &t->readings}};
    int status = IOL_EXIT_DONE;
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        *row[i].into = NAN;
        if (row[i].found)
            status =
                iol_cli_worse(status, take(row[i].flag, row[i].found, iol_typed_number(row[i].found, row[i].into)));
    }
    t->target_d = t->implanted_d = NAN;
    if (p->target)
        status = iol_cli_worse(status, take("--target", p->target, iol_typed_target(p->target, &t->target_d)));
    if (p->implanted)
        status =
            iol_cli_worse(status, take("--implanted", p->implanted, iol_typed_power(p->implanted, &t->implanted_d)));
    bool few = isnan(t->readings) || t->readings == 1.0 || t->readings == 2.0 || t->readings == 3.0;
    if (!few) status = iol_cli_flag("--readings", o->readings, "how many readings agree, 1 to 3");
    if (t->readings > 1.0 && isnan(t->days))
        status = iol_cli_flag("--days", NULL, "the day of the newest reading, with --readings");
    if (t->readings > 1.0 && t->days < (t->readings - 1.0) * c_reading_apart_days)
        status = iol_cli_flag("--readings", o->readings, "readings five days apart or more, all behind the operation");
    bool whole = isnan(t->days) || (t->days >= 0.0 && t->days <= 20000.0 && t->days == floor(t->days));
    if (!whole) status = iol_cli_flag("--days", o->days, "whole days since the first operation, 0 to 20000");
    return status;
}

static int both(const char *flag, const char *yes, const char *no, const char *wanted) {
    return yes && no ? iol_cli_flag(flag, "both", wanted) : IOL_EXIT_DONE;
}

const char *iol_cli_side(const char *typed) {
    static const struct {
        const char *word, *eye;
    } row[] = {{"right", "right"}, {"left", "left"}, {"od", "right"}, {"os", "left"}, {"r", "right"}, {"l", "left"}};
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        size_t k = 0;
        while (row[i].word[k] && (typed[k] | 0x20) == row[i].word[k]) k++;
        if (!row[i].word[k] && !typed[k]) return row[i].eye;
    }
    return NULL;
}

static bool is_word(const iol_word_set *set, const char *text) {
    for (int i = 1; i < set->count; i++)
        if (strcmp(set->word[i], text) == 0) return true;
    return false;
}

/* How the eye was refracted, how its length was measured. */
static int methods(const iol_options *o, iol_power_typed *t) {
    int status = IOL_EXIT_DONE;
    t->refracted_by = t->length_by = NULL;
    for (int i = 0; i < o->method.count; i++) {
        const char *word = o->method.value[i];
        bool reading = is_word(&iol_words_refraction_method, word), length = is_word(&iol_words_biometry_method, word);
        if (reading) t->refracted_by = word;
        if (length) t->length_by = word;
        if (!reading && !length)
            status = iol_cli_flag(
                "--method", word,
                "manifest, cycloplegic or autorefractor; optical, immersion-ultrasound or contact-ultrasound");
    }
    return status;
}

/* Three numbers between commas. */
static int haigis(const char *text, double into[3]) {
    static const char wanted[] = "the three Haigis constants as 1.13,0.40,0.10";
    const char *at = text;
    for (int i = 0; i < 3; i++) into[i] = NAN;
    for (int i = 0; text && i < 3; i++) {
        char one[24] = "";
        size_t length = strcspn(at, ",");
        if (length >= sizeof one || (i < 2) != (at[length] == ',')) return iol_cli_flag("--haigis", text, wanted);
        memcpy(one, at, length);
        if (iol_typed_number(one, &into[i])) return iol_cli_flag("--haigis", text, wanted);
        at += length + 1;
    }
    return IOL_EXIT_DONE;
}

/* Flag and place are two ways to say one thing. */
static int place(const iol_options *o, places *p) {
    const struct {
        const char *flag, *typed, **into;
    } row[] = {{"--eye", o->eye, &p->eye},
               {"--implanted", o->implanted, &p->implanted},
               {"--refraction", o->refraction, &p->refraction},
               {"--target", o->target, &p->target}};
    int status = IOL_EXIT_DONE;
    for (int i = 0; i < 4; i++) {
        bool both_ways = row[i].typed && i < o->files;
        if (both_ways) status = iol_cli_flag(row[i].flag, "a value by its place too", "it once");
        *row[i].into = i < o->files ? o->file[i] : row[i].typed;
    }
    if (o->files > 4)
        status = iol_cli_usage("eye, power inside, refraction and target, the rest as flags (a case file goes to plan)",
                               o->file[4]);
    return status;
}

int iol_power_read(const iol_options *o, iol_power_typed *t) {
    places p;
    int status = place(o, &p);
    status = iol_cli_worse(status, numbers(o, &p, t));
    status = iol_cli_worse(status, methods(o, t));
    status = iol_cli_worse(status, haigis(o->haigis, t->haigis));
    const char *eye = p.eye ? iol_cli_side(p.eye) : NULL;
    t->eye = eye ? eye : p.eye; /* what is neither goes to the reader, with the other faults */
    t->k = (iol_typed_k){NAN, NAN, NAN};
    if (!t->eye) status = iol_cli_flag("--eye", NULL, "right or left");
    if (!p.implanted) status = iol_cli_flag("--implanted", NULL, "the power of the lens in the eye, 21.0");
    if (!p.target) status = iol_cli_flag("--target", NULL, "the spherical equivalent wanted, -0.25");
    if (!p.refraction)
        status = iol_cli_flag("--refraction", NULL, "sphere, cylinder and axis as \"+2.25 -0.75 x 80\"");
    else
        status = iol_cli_worse(status,
                               take("--refraction", p.refraction, iol_typed_refraction(p.refraction, &t->refraction)));
    if (o->k) status = iol_cli_worse(status, take("--k", o->k, iol_typed_keratometry(o->k, &t->k)));
    status = iol_cli_worse(status, both("--earlier-laser", o->earlier_laser, o->no_earlier_laser,
                                        "one of --earlier-laser and --no-earlier-laser"));
    status = iol_cli_worse(status, both("--oil", o->oil, o->no_oil, "one of --oil and --no-oil"));
    if (o->identified && strcmp(o->identified, "sticker") != 0 && strcmp(o->identified, "record") != 0)
        status = iol_cli_flag("--identified", o->identified, "sticker or record");
    if (o->site && (o->new_a_constant || o->to))
        status = iol_cli_flag("--site", o->site, "the shelf of a site, or --to and --new-a-constant, not both");
    return status;
}
