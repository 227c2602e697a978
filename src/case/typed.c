/* Notations of the clinic, read strictly: what can be read in two ways is refused. */
#include "typed.h"

#include <string.h>

#include "tables/constants.h"

static const char *skip_blanks(const char *at) {
    while (*at == ' ') at++;
    return at;
}

static bool is_digit(char c) { return c >= '0' && c <= '9'; }

/* The sign at *at, moved behind it: of the keyboard or the minus sign of print (U+2212); 0: none. */
static char take_sign(const char **at) {
    static const char minus[] = "\xE2\x88\x92";
    if (**at == '+' || **at == '-') return *(*at)++;
    if (strncmp(*at, minus, sizeof minus - 1) != 0) return '\0';
    *at += sizeof minus - 1;
    return '-';
}

/* A number at *at, moved behind it; signed_as: the sign as typed or 0. */
static bool take_number(const char **at, double *value, char *signed_as) {
    enum { MOST_DIGITS = 15 }; /* so many are held exactly, and the quotient is the nearest number */
    const char *from = *at;
    double whole = 0.0, scale = 1.0;
    int digits = 0;
    bool behind = false;
    *signed_as = take_sign(&from);
    for (; is_digit(*from) || (*from == '.' && !behind); from++) {
        if (*from == '.') {
            behind = true;
            continue;
        }
        whole = 10.0 * whole + (double)(*from - '0');
        if (behind) scale *= 10.0;
        digits++;
    }
    if (digits == 0 || digits > MOST_DIGITS) return false;
    *value = (*signed_as == '-' ? -whole : whole) / scale;
    *at = from;
    return true;
}

static const char comma[] = "a decimal point, not a comma: 43.50";

/* What is wrong with the characters alone: a decimal comma, or a dash that only looks like a minus (U+2013, U+2014). */
static const char *odd_character(const char *text, const char *if_comma) {
    static const char *const dash[] = {"\xE2\x80\x93", "\xE2\x80\x94"};
    for (size_t i = 0; i < sizeof dash / sizeof *dash; i++)
        if (strstr(text, dash[i])) return "the minus of the keyboard (-): this one is a longer dash";
    return strchr(text, ',') ? if_comma : NULL;
}

const char *iol_typed_number(const char *text, double *value) {
    char sign;
    const char *at = skip_blanks(text), *odd = odd_character(text, comma);
    if (odd) return odd;
    if (!take_number(&at, value, &sign) || *skip_blanks(at)) return "a plain number as 21.5, without its unit";
    return NULL;
}

const char *iol_typed_power(const char *text, double *value) {
    char sign;
    const char *at = skip_blanks(text), *odd = odd_character(text, comma);
    if (odd) return odd;
    if (!take_number(&at, value, &sign)) return "a power as 21.5 or 21.5D";
    at = skip_blanks(at);
    if (*at == 'D' || *at == 'd') at++;
    return *skip_blanks(at) ? "a power as 21.5 or 21.5D" : NULL;
}

/* A word in letters of either case, moved behind it. */
static bool take_word(const char **at, const char *word) {
    size_t i = 0;
    while (word[i] && ((*at)[i] | 0x20) == word[i]) i++;
    if (word[i]) return false;
    *at += i;
    return true;
}

/* "plano" or "pl". */
static bool take_plano(const char **at) {
    const char *from = *at;
    if (take_word(at, "plano")) return true;
    if (take_word(at, "pl") && !(((unsigned char)**at | 0x20) >= 'a' && ((unsigned char)**at | 0x20) <= 'z'))
        return true;
    *at = from;
    return false;
}

const char *iol_typed_target(const char *text, double *value) {
    char sign;
    const char *at = skip_blanks(text), *odd = odd_character(text, comma);
    if (odd) return odd;
    if (take_plano(&at)) {
        *value = 0.0;
        return *skip_blanks(at) ? "plano alone, or a number as -0.25" : NULL;
    }
    if (!take_number(&at, value, &sign)) return "a number as -0.25, or plano";
    at = skip_blanks(at);
    if (!take_word(&at, "ds")) take_word(&at, "d");
    if (*skip_blanks(at)) return "a number as -0.25, or plano";
    return sign || *value == 0.0 ? NULL : "a sign before the target: -0.25 or +0.25";
}

/* "x", "X", "ax", "axis" or the multiplication sign between blanks; NULL when there is none. */
static const char *take_times(const char *at) {
    at = skip_blanks(at);
    if (take_word(&at, "axis") || take_word(&at, "ax")) return skip_blanks(at);
    if (*at == 'x' || *at == 'X') return skip_blanks(at + 1);
    return strncmp(at, "\xC3\x97", 2) == 0 ? skip_blanks(at + 2) : NULL;
}

/* What follows DS says of itself that it is a cylinder: /-0.75DCx80. */
static bool says_cylinder(const char *at) {
    double cylinder;
    char sign;
    if (*at == '/') at = skip_blanks(at + 1);
    if (!take_number(&at, &cylinder, &sign)) return false;
    at = skip_blanks(at);
    return take_word(&at, "dc");
}

static iol_spherocylinder minus_form(double sphere_d, double cylinder_d, double axis_deg) {
    if (cylinder_d == 0.0) return (iol_spherocylinder){sphere_d, 0.0, 180.0};
    if (cylinder_d > 0.0)
        return (iol_spherocylinder){sphere_d + cylinder_d, -cylinder_d, iol_axis_reduce(axis_deg + 90.0)};
    return (iol_spherocylinder){sphere_d, cylinder_d, iol_axis_reduce(axis_deg)};
}

const char *iol_typed_refraction(const char *text, iol_spherocylinder *refraction) {
    double sphere, cylinder, axis;
    char sign;
    const char *at = skip_blanks(text);
    *refraction = (iol_spherocylinder){NAN, NAN, NAN};
    const char *odd = odd_character(text, "a decimal point, not a comma: +2.25 -0.75 x 80");
    if (odd) return odd;
    if (strchr(text, '@')) return "x and the axis; @ means a meridian and is accepted only for K";
    if (take_plano(&at))
        sphere = 0.0;
    else if (!take_number(&at, &sphere, &sign))
        return "sphere, cylinder and axis as +2.25 -0.75 x 80, or a sphere as +1.50 (plano is 0.00)";
    else if (!sign && sphere != 0.0)
        return "a sign before the sphere: +2.25 or -2.25";
    at = skip_blanks(at);
    bool alone = take_word(&at, "ds"); /* dioptres, spherical */
    at = skip_blanks(at);
    if (alone && *at && !says_cylinder(at)) return "nothing behind DS: it says that there is no cylinder";
    if (!*at) {
        *refraction = minus_form(sphere, 0.0, 180.0);
        return NULL;
    }
    if (*at == '/') at = skip_blanks(at + 1);
    if (!take_number(&at, &cylinder, &sign)) return "a cylinder behind the sphere: +2.25 -0.75 x 80";
    if (!sign && cylinder != 0.0) return "a sign before the cylinder: -0.75 or +0.75";
    at = skip_blanks(at);
    take_word(&at, "dc"); /* dioptres, cylindrical */
    const char *behind = take_times(at);
    if (!behind) return "x and the axis behind the cylinder: +2.25 -0.75 x 80";
    at = behind;
    if (!take_number(&at, &axis, &sign) || sign || *skip_blanks(at))
        return "an axis of 0 to 180 behind the x: +2.25 -0.75 x 80";
    if (!(axis <= 180.0)) return "an axis of 0 to 180 degrees (0 is taken as 180)";
    *refraction = minus_form(sphere, cylinder, axis);
    return NULL;
}

/* One meridian "43.10@5". */
static bool take_meridian(const char **at, double *power_d, double *axis_deg) {
    char sign;
    *at = skip_blanks(*at);
    if (!take_number(at, power_d, &sign) || sign) return false;
    *at = skip_blanks(*at);
    if (*(*at)++ != '@') return false;
    *at = skip_blanks(*at);
    if (!take_number(at, axis_deg, &sign) || sign || *axis_deg > 180.0) return false;
    *at = skip_blanks(*at);
    return true;
}

const char *iol_typed_keratometry(const char *text, iol_typed_k *k) {
    static const char form[] = "the mean as 43.50, both meridians as 43.10/43.90, or with axes as 43.10@5/43.90@95";
    double power[2], axis[2];
    char sign;
    const char *at = text;
    const char *odd = odd_character(text, comma);
    *k = (iol_typed_k){NAN, NAN, NAN};
    if (odd) return odd;
    if (!strchr(text, '@') && strchr(text, '/')) {
        at = skip_blanks(at);
        bool good = take_number(&at, &power[0], &sign) && !sign;
        at = skip_blanks(at);
        good = good && *at++ == '/';
        at = skip_blanks(at);
        if (!good || !take_number(&at, &power[1], &sign) || sign || *skip_blanks(at)) return form;
        *k = (iol_typed_k){fmin(power[0], power[1]), fmax(power[0], power[1]), NAN};
        return NULL;
    }
    if (!strchr(text, '@')) {
        const char *wanted = iol_typed_number(text, &k->flat_d);
        k->steep_d = k->flat_d;
        return wanted || !(k->flat_d > 0.0) ? form : NULL;
    }
    if (!take_meridian(&at, &power[0], &axis[0]) || *at++ != '/' || !take_meridian(&at, &power[1], &axis[1]) || *at)
        return form;
    if (fabs(iol_axis_turn(axis[0] + 90.0, axis[1])) > c_meridians_off_deg)
        return "two meridians that lie across each other, as 5 and 95";
    int steep = power[1] > power[0] ? 1 : 0;
    *k = (iol_typed_k){power[1 - steep], power[steep], iol_axis_reduce(axis[steep])};
    return NULL;
}
