/* Drawings of the sheets against the plan that they are given: the steps that are shown, the miss in its parts, days, the two
 * eyes, the eye from the side. What is given is varied over all that a drawing has to hold. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>

#include <cmocka.h>

#include <time.h>

#include "check.h"
#include "drawn_marks.h"
#include "hard_case.h"
#include "report/report.h"
#include "report/screen.h"
#include "report/sheet.h"

static iol_case c;
static iol_plan plan;
static word all[120];
static int words;

static const char *drawn(void (*draw)(iol_sheet *)) {
    const char *svg = drawn_of(&plan, draw);
    words = words_of(svg, all, 120);
    assert_true(words < 120);
    return svg;
}

/* Tag and attributes of a mark. */
static const char *mark(const char *at) {
    static char text[4000];
    assert_non_null(at);
    snprintf(text, sizeof text, "%.*s", (int)strcspn(at, ">"), at);
    return text;
}

typedef struct {
    double x, y, wide, high;
} box;

static box box_of(const char *svg, const char *kind, int n) {
    const char *at = nth(svg, "rect", kind, n);
    return (box){value_of(at, "x"), value_of(at, "y"), value_of(at, "width"), value_of(at, "height")};
}

/* ---- the steps about the chosen one ---- */

static void draw_chances(iol_sheet *s) { iol_sheet_chances(s, &plan.replacement); }

/* Seven steps in a row where there are so many, the chosen one in the middle or as near to it as the shelf's ends allow. */
static void steps_about_the_chosen(void **state) {
    (void)state;
    who = "chances";
    iol_replacement *r = &plan.replacement;
    for (int count = 1; count <= 14; count++)
        for (int chosen = 0; chosen < count; chosen++) {
            *r = (iol_replacement){0};
            r->present = true;
            r->choices_count = count + 1;
            for (int i = 0; i <= count; i++) { /* the last is of another class */
                iol_choice *step = &r->choices[i];
                *step = (iol_choice){.present = true, .power_d = 15.0 + 0.5 * i, .within_half_d = 0.05 * (i + 1)};
                step->within_one_d = 0.06 * (i + 1);
                strcpy(step->lens_id, i < count ? "one" : "other");
                step->expected.se_d = 3.0 - 0.4 * i;
                step->chosen = i == chosen ? IOL_YES : IOL_NO;
            }
            const char *svg = drawn(draw_chances);
            const int shown = count < 7 ? count : 7, columns = count_of(svg, "rect", "p");
            assert_int_equal(columns, shown);
            assert_int_equal(count_of(svg, "rect", "g"), shown - 1);
            assert_int_equal(count_of(svg, "rect", "k"), 1);
            double first = INFINITY, last = -INFINITY;
            int powers = 0;
            for (int i = 0; i < words; i++)
                if (all[i].value >= 15.0 && all[i].value < 40.0 && strchr(all[i].text, '.')) {
                    first = fmin(first, all[i].value), last = fmax(last, all[i].value), powers++;
                    const bool bold = is_kind(&all[i], "w");
                    assert_true(bold == (fabs(all[i].value - (15.0 + 0.5 * chosen)) < 0.01));
                }
            assert_int_equal(powers, shown);
            CHECK_NEAR(last - first, 0.5 * (shown - 1), 1e-9, "one after the other");
            const int below = (int)lround(2.0 * (15.0 + 0.5 * chosen - first)), above = shown - 1 - below;
            assert_true(below >= 0 && above >= 0);
            if (below > above + (shown % 2 ? 0 : 1)) assert_true(last > 14.99 + 0.5 * (count - 1)); /* the shelf ends */
            if (above > below + (shown % 2 ? 0 : 1)) assert_true(first < 15.01);
        }
}

/* ---- the miss in its parts ---- */

static double near_mm(double x, double wanted) { return fabs(x - wanted); }

/* 0.62 of the height of a letter is as wide as most are; what is printed is a little narrower. */
static double wide_of(const word *w) {
    double letters = 0.0;
    for (const char *at = w->text; *at; at++) {
        if (strncmp(at, "&nbsp;", 6) == 0) at += 5;
        letters += ((unsigned char)*at & 0xC0) != 0x80;
    }
    return 0.55 * 3.1 * letters;
}

static int flipped;
static void parts_of(double meant, double sheet_part, double eye_part) {
    iol_surprise *p = &plan.surprise;
    p->present = true;
    p->intended_se_d = meant, p->selection_part_d = sheet_part, p->eye_part_d = eye_part;
    p->miss_d = sheet_part + eye_part, p->current_se_d = meant + p->miss_d;
    const char *svg = drawn(iol_sheet_waterfall);
    /* The scale: the least and the largest number that stand under their lines. */
    double low = NAN, high = NAN, low_x = NAN, high_x = NAN;
    for (int i = 0; i < words; i++)
        if (is_kind(&all[i], "scale") && is_kind(&all[i], "m")) {
            if (!(all[i].value >= low)) low = all[i].value, low_x = all[i].at.x;
            if (!(all[i].value <= high)) high = all[i].value, high_x = all[i].at.x;
        }
    if (!(high > low)) return;
    int units = 0; /* the unit stands once, behind the last number */
    for (int i = 0; i < words; i++)
        if (is_kind(&all[i], "scale") && strstr(all[i].text, "D")) assert_true(units++ == 0 && all[i].at.x >= high_x);
    assert_int_equal(units, 1);
    const double mm = (high_x - low_x) / (high - low);
#define AT(v) (low_x + ((v) - low) * mm)
    const double sheet = meant + sheet_part, now = p->current_se_d;
    const double end[2] = {meant, now}, from[2] = {meant, sheet}, to[2] = {sheet, now};
    int told = 0;
    for (int k = 0; k < 2; k++) {
        point d[8];
        assert_int_equal(path_of(svg, "k", k, d, 8), 4);
        assert_true(near_mm((d[1].x + d[3].x) / 2.0, AT(end[k])) < 0.08);
        const box b = box_of(svg, k ? "p" : "g", 0);
        assert_true(near_mm(b.x, AT(fmin(from[k], to[k]))) < 0.08 && near_mm(b.wide, fabs(to[k] - from[k]) * mm) < 0.08);
        for (int i = 0; i < words; i++) {
            const word *w = &all[i];
            if (is_kind(w, "scale") || isnan(w->value)) continue;
            const bool ends = is_kind(w, "e"), middle = is_kind(w, "m");
            const double wide = wide_of(w), left = w->at.x - (ends ? wide : middle ? wide / 2.0 : 0.0);
            assert_true(left > 0.0 && left + wide < 90.0);
            if (is_kind(w, "w") && fabs(w->at.y - 1.1 - d[1].y) < 0.2) {
                told++; /* 3 mm beside its diamond, and off the line of zero where it can be */
                if (fabs(w->value - end[k]) > 0.0051) fail_msg("%s stands in the row of %.2f", w->text, end[k]);
                const double x = AT(end[k]), zero = AT(0.0), other = ends ? x + 3.0 : x - 3.0 - wide;
                assert_true(near_mm(w->at.x, x + (ends ? -3.0 : 3.0)) < 0.1);
                const bool hides = zero > left + 0.5 && zero < left + wide - 0.5;
                const bool room = other > 20.0 && other + wide < 83.0 && near_mm(zero, x) > 0.2;
                const bool free_there = zero < fmin(other, x) - 3.0 || zero > fmax(other + wide, x) + 3.0;
                if (hides && room && free_there)
                    fail_msg("%s hides the line of zero (%.2f %.2f %.2f)", w->text, meant, sheet_part, eye_part);
                flipped += near_mm(zero, x) < wide && !hides;
            } else if (!is_kind(w, "w") && fabs(w->at.y - 1.0 - (b.y + b.high / 2.0)) < 0.2) {
                told++; /* inside its bar or beside it */
                if (fabs(w->value - (to[k] - from[k])) > 0.0051) fail_msg("%s stands in the row of %.2f", w->text, to[k] - from[k]);
                const bool inside = middle && left > b.x && left + wide < b.x + b.wide;
                const double gap = ends ? b.x - w->at.x : w->at.x - b.x - b.wide;
                if (!inside && (middle || gap < 0.2 || gap > 2.0)) fail_msg("%s does not stand beside its bar", w->text);
            }
        }
    }
    assert_int_equal(told, 4);
    assert_int_equal(count_of(svg, "line", "b"), 3);
    for (int i = 0; i < 3; i++) { /* each step goes down from where the bar above it ended */
        point step[2];
        const double at[] = {meant, sheet, now};
        line_of(svg, "b", i, step);
        assert_true(near_mm(step[0].x, AT(at[i])) < 0.08 && step[0].x == step[1].x && step[1].y > step[0].y + 1.0);
    }
#undef AT
}

static void the_miss_in_its_parts(void **state) {
    (void)state;
    who = "waterfall";
    example_case("myopic-surprise-early", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    for (double meant = -3.0; meant < 1.2; meant += 0.37)
        for (double sheet = -1.6; sheet < 1.7; sheet += 0.53)
            for (double eye = -4.1; eye < 4.2; eye += 0.67) parts_of(meant, sheet, eye);
    assert_true(flipped > 20);
    for (int k = 0; k < 3; k++) { /* one of the three is not known: no drawing */
        double *const part[] = {&plan.surprise.miss_d, &plan.surprise.selection_part_d, &plan.surprise.eye_part_d};
        parts_of(-0.5, 0.3, -1.0);
        *part[k] = NAN;
        assert_string_equal(drawn(iol_sheet_waterfall), "");
    }
}

/* ---- days ---- */

/* "14 Dec", its blank unbroken, of a day counted from 1970, by the C library. */
static const char *calendar(int32_t day) {
    static char text[20];
    const time_t seconds = (time_t)day * 86400;
    struct tm tm;
    assert_non_null(gmtime_r(&seconds, &tm));
    strftime(text, sizeof text, "%d&nbsp;%b", &tm);
    return text + (text[0] == '0');
}

static int heads, dated;
static void days_of(double today, const double window[][2], int count) {
    static const int what[] = {IOL_window_what_refraction_counts, IOL_window_what_complaint_judged,
                               IOL_window_what_turns_easily, IOL_window_what_exchange_easier};
    static const char *const name[] = {"refraction counts", "complaint is judged", "turns easily", "exchange is easier"};
    iol_timing *t = &plan.timing;
    t->present = true, t->days_since_first_surgery = today, t->windows_count = count;
    for (int i = 0; i < count; i++) t->windows[i] = (iol_window){true, what[i], window[i][0], window[i][1]};
    const char *svg = drawn(iol_sheet_timeline);
    char title[400];
    snprintf(title, sizeof title, "<title>Today is day %.0f", today);
    for (int i = 0; i < count; i++) {
        const size_t used = strlen(title);
        snprintf(title + used, sizeof title - used, "; %s from day %.0f", name[i], window[i][0]);
        if (!isnan(window[i][1])) snprintf(title + strlen(title), 20, " to %.0f", window[i][1]);
    }
    strcat(title, "</title>");
    if (!strstr(svg, title)) fail_msg("not its title: %s", title);
    point now[2], axis[2], head[4];
    line_of(svg, "b", 0, now);
    int line = 0;
    do line_of(svg, "l", line++, axis);
    while (axis[0].y != axis[1].y);
    double last = today, day_mm = today > 0.0 ? (now[0].x - axis[0].x) / today : NAN; /* the scale: by the last day that is told */
    for (int i = 0; i < words; i++)
        if (near_mm(all[i].at.y, axis[0].y + 4.2) < 0.1 && all[i].value > last)
            last = all[i].value, day_mm = (all[i].at.x - axis[0].x) / last;
    assert_true(last > 0.0 && near_mm(now[0].x, axis[0].x + day_mm * today) < 0.1);
    int full = 0, grey = 0, triangles[2] = {0, 0};
    for (int i = 0; i < count; i++) {
        const bool endless = isnan(window[i][1]), inside = today >= window[i][0] && (endless || today <= window[i][1]);
        const char *kind = inside ? "k" : "g0";
        const box b = box_of(svg, kind, inside ? full++ : grey++);
        assert_true(near_mm(b.x, axis[0].x + day_mm * window[i][0]) < 0.1);
        if (!endless) assert_true(near_mm(b.wide, day_mm * (window[i][1] - window[i][0])) < 0.1);
        if (!endless) continue;
        assert_int_equal(path_of(svg, kind, triangles[inside]++, head, 4), 3);
        assert_non_null(strstr(mark(nth(svg, "path", kind, triangles[inside] - 1)), "Z\"")); /* filled: closed */
        assert_true(near_mm(head[0].x, b.x + b.wide) < 0.02 && near_mm(head[0].x, head[2].x) < 0.02);
        assert_true(head[1].x > head[0].x + 1.0 && near_mm(head[1].y, b.y + b.high / 2.0) < 0.02);
        assert_true(near_mm(head[0].y + head[2].y, 2.0 * head[1].y) < 0.02 && head[2].y - head[0].y > b.high);
        assert_true(near_mm(b.x + b.wide, axis[1].x) < 0.02);
        heads++;
    }
    assert_int_equal(count_of(svg, "rect", "k"), full);
    assert_int_equal(count_of(svg, "rect", "g0"), grey);
    assert_int_equal(count_of(svg, "path", "k"), triangles[1] + 1); /* and the arrow of today, which points down to its line */
    assert_int_equal(count_of(svg, "path", "g0"), triangles[0]);
    path_of(svg, "k", triangles[1], head, 4);
    assert_true(near_mm(head[2].x, now[0].x) < 0.02 && near_mm(head[0].x + head[1].x, 2.0 * now[0].x) < 0.02);
    assert_true(head[2].y > head[0].y + 1.0 && head[1].x > head[0].x + 1.0);
    assert_true(near_mm(now[1].y, axis[0].y) < 0.02);
    /* Each labelled day with its date, where one stands under it: that many days after the first operation. */
    for (int i = 0; i < words; i++) {
        if (!is_kind(&all[i], "date")) continue;
        const word *number = NULL;
        for (int k = 0; k < words; k++)
            if (near_mm(all[k].at.x, all[i].at.x) < 0.02 && near_mm(all[k].at.y, all[i].at.y - 3.4) < 0.1)
                number = &all[k];
        assert_non_null(number);
        const double day = isnan(number->value) ? strtod(number->text + strlen("day "), NULL) : number->value;
        assert_string_equal(all[i].text, calendar(plan.as_of - (int32_t)today + (int32_t)day));
        dated++;
    }
}

static void days_and_dates(void **state) {
    (void)state;
    who = "timeline";
    example_case("toric-turned", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    assert_true(plan.as_of != IOL_UNKNOWN_DATE);
    const double none = NAN;
    const double window[][4][2] = {{{30.0, none}, {90.0, none}, {7.0, 21.0}, {0.0, 180.0}},
                                   {{28.0, 60.0}, {100.0, 120.0}, {3.0, none}, {0.0, 45.0}}};
    static const double today[] = {0.0, 1.0, 7.0, 16.0, 21.0, 22.0, 28.0, 30.0, 60.0, 61.0, 90.0, 120.0, 150.0};
    for (int k = 0; k < 2; k++)
        for (size_t i = 0; i < sizeof today / sizeof *today; i++)
            for (int count = 1; count <= 4; count++) days_of(today[i], window[k], count);
    assert_true(heads > 50 && dated > 100);
    plan.timing.windows_count = 0;
    assert_string_equal(drawn(iol_sheet_timeline), "");
    plan.timing.windows_count = 1, plan.timing.days_since_first_surgery = NAN;
    assert_string_equal(drawn(iol_sheet_timeline), "");
}

/* ---- cuts, frame by frame ---- */

static void draw_out(iol_sheet *s) { iol_sheet_out_steps(s, false, 0); }

/* Each frame has the cuts that are made by then (its words say which), as they lie on the optic: the wound is below, half a turn
 * brings the far side there. */
static void frames_of_cuts(void **state) {
    (void)state;
    static const struct {
        int method, cuts, frames;
        struct {
            const char *says;
            int cuts;
            double sense;
            bool head;
        } frame[3];
    } row[] = {{IOL_removal_method_halved, 1, 1, {{"Cut right across", 1, 1.0, true}}},
               {IOL_removal_method_halved_turned, 2, 3, {{"Cut from the wound to the centre", 1, 1.0, true},
                {"Turn the lens half round", 1, -1.0, true}, {"Cut again from the wound", 2, -1.0, true}}},
               {IOL_removal_method_wedge, 2, 3, {{"First side of the wedge", 1, 1.0, true}, {"Second side", 2, 1.0, true},
                {"Wedge out, then the rest along the gap", 2, 1.0, false}}},
               {IOL_removal_method_thirds, 2, 3, {{"First cut, right across", 1, 1.0, true}, {"Second cut", 2, 1.0, true},
                {"Three pieces", 2, 1.0, false}}},
               {IOL_removal_method_partial, 1, 2, {{"Cut past the centre, not through", 1, 1.0, true},
                {"Screw it out along the cut", 1, 1.0, false}}}};
    who = "frames";
    example_case("hyperopic-surprise", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    iol_removal *r = &plan.removal;
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        r->preferred = row[i].method, r->cuts_count = row[i].cuts;
        r->cuts[0] = (iol_drawing_piece){true, -1.0, 2.8, -0.4, -2.0};
        r->cuts[1] = (iol_drawing_piece){true, 1.2, 2.7, 0.3, -1.1};
        const char *at = drawn_of(&plan, draw_out);
        int number = 0;
        for (int k = 0; k < row[i].frames; k++) {
            at = strstr(at, "<figure class=\"frame\">");
            assert_non_null(at);
            static char one[8000];
            snprintf(one, sizeof one, "%.*s", (int)(strstr(at, "</figure>") - at), at);
            at++;
            char says[80];
            snprintf(says, sizeof says, "</b> %s</figcaption>", row[i].frame[k].says);
            if (!strstr(one, says)) fail_msg("frame %d: not %s", k, says);
            const int is = atoi(strstr(one, "<figcaption><b>") + strlen("<figcaption><b>"));
            if (k > 0) assert_int_equal(is, number + 1);
            number = is;
            const disc optic = disc_of(one, "optic");
            const double mm = optic.r / (r->lens.optic_diameter_mm / 2.0) * row[i].frame[k].sense;
            assert_int_equal(count_of(one, "line", "cut"), row[i].frame[k].cuts);
            for (int n = 0; n < row[i].frame[k].cuts; n++) {
                point end[2];
                const iol_drawing_piece *p = &r->cuts[n];
                line_of(one, "cut", n, end);
                const point mid = optic.middle;
                const double off[] = {end[0].x - mid.x - mm * p->x_from_mm, end[0].y - mid.y - mm * p->y_from_mm,
                                      end[1].x - mid.x - mm * p->x_to_mm, end[1].y - mid.y - mm * p->y_to_mm};
                for (int m = 0; m < 4; m++) CHECK_NEAR(off[m], 0.0, 0.011, "to its own scale");
            }
            assert_int_equal(count_of(one, "path", "k"), row[i].frame[k].head);
            assert_int_equal(count_of(one, "path", "turn"), strncmp(row[i].frame[k].says, "Turn", 4) == 0);
            if (!row[i].frame[k].head || count_of(one, "path", "turn")) continue;
            point head[4], end[2];
            path_of(one, "k", 0, head, 4), line_of(one, "cut", row[i].frame[k].cuts - 1, end);
            CHECK_NEAR(hypot(head[0].x - end[1].x, head[0].y - end[1].y), 0.0, 0.011, "where the new cut ends");
        }
        assert_null(strstr(at, "<figure"));
    }
}

/* ---- signs ---- */

/* As one faces the patient the right eye stands on the left; the eye of the plan alone is dark, its letter bold. */
static void which_eye(void **state) {
    (void)state;
    who = "two eyes";
    for (int eye = IOL_side_right; eye <= IOL_side_left; eye++) {
        plan.eye = eye;
        const char *svg = drawn(iol_sheet_two_eyes);
        point dark[30], faint[30];
        assert_int_equal(count_of(svg, "path", "k"), 1);
        assert_int_equal(count_of(svg, "path", "p faint"), 1);
        path_of(svg, "k", 0, dark, 30), path_of(svg, "p faint", 0, faint, 30);
        assert_true((dark[0].x < faint[0].x) == (eye == IOL_side_right));
        assert_int_equal(words, 2);
        const word *right = word_in(all, words, "R"), *left = word_in(all, words, "L");
        assert_true(right->at.x < left->at.x);
        assert_true(is_kind(right, "w") == (eye == IOL_side_right) && is_kind(left, "w") == (eye == IOL_side_left));
        assert_non_null(strstr(svg, eye == IOL_side_right ? "The right eye is marked" : "The left eye is marked"));
    }
    const char *svg = drawn(iol_sheet_stop_sign);
    assert_int_equal(count_of(svg, "path", "stop"), 1);
    assert_int_equal(words, 1);
    assert_string_equal(all[0].text, "STOP");
}

/* ---- the eye from the side ---- */

static int way;
static bool without;
static void draw_side(iol_sheet *s) { iol_sheet_eye_side(s, way, without, iol_language_find(NULL)); }

static bool bold(const char *text) { return is_kind(word_in(all, words, text), "w"); }

/* What a way works on is drawn heavy and its name is bold (anatomy): the clear window of laser and contact lens and of a surface
 * that is treated, the film that sees, the lens; glasses, and leaving it, work on none. */
static void what_it_works_on(void **state) {
    (void)state;
    example_case("hyperopic-surprise", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    who = "eye from the side";
    for (way = 1; way < IOL_option_end; way++)
        for (int k = 0; k < 2; k++) {
            without = k == 1;
            const char *svg = drawn(draw_side);
            const bool laser = way == IOL_option_corneal_laser, film = way == IOL_option_treat_macula;
            const bool window = laser || way == IOL_option_contact_lens || way == IOL_option_treat_surface;
            const bool none = way == IOL_option_spectacles || way == IOL_option_leave;
            const bool lens = !window && !film && !none;
            assert_int_equal(bold("clear window"), window);
            assert_int_equal(bold("film that sees"), film);
            assert_int_equal(bold(without ? "no lens now" : "your lens"), lens);
            assert_int_equal(count_of(svg, "path", "hh"), window + film);
            assert_int_equal(count_of(svg, "path", "h"), !window);
            assert_int_equal(count_of(svg, "path", "grey"), !film);
            const int second = way == IOL_option_piggyback; /* a lens more, in front */
            assert_int_equal(count_of(svg, "path", "kk"), (lens && !without) + second);
            if (second) {
                point lens_at[24], front[24];
                path_of(svg, without ? "b" : "kk", 0, lens_at, 24), path_of(svg, "kk", without ? 0 : 1, front, 24);
                assert_true(front[12].x < lens_at[12].x);
            }
            assert_int_equal(count_of(svg, "path", "k"), laser ? 3 : 0);
            assert_int_equal(count_of(svg, "line", "b"), laser ? 3 : 0);
            assert_non_null(word_in(all, words, "coloured ring"));
            assert_non_null(word_in(all, words, "thin skin"));
        }
}

/* Of two lenses each has its name; what comes out, is changed or turned is heavy: the one in front, the one behind, or both. */
static void which_of_two(void **state) {
    (void)state;
    static const struct {
        int way;
        bool behind, front;
    } row[] = {{IOL_option_second_exchange, false, true}, {IOL_option_second_out, false, true},
               {IOL_option_second_turn, false, true},     {IOL_option_rotation, true, false},
               {IOL_option_optic_capture, true, false},   {IOL_option_exchange, true, true},
               {IOL_option_reposition, true, true},       {IOL_option_remove_only, true, true},
               {IOL_option_spectacles, false, false},     {IOL_option_leave, false, false},
               {IOL_option_corneal_laser, false, false}};
    example_case("two-lenses", &c);
    iol_plan_make(&c, example_site(), IOL_UNKNOWN_DATE, &plan);
    who = "two lenses from the side", without = false;
    const iol_language *l = iol_language_find(NULL);
    for (size_t i = 0; i < sizeof row / sizeof *row; i++) {
        way = row[i].way;
        const char *svg = drawn(draw_side);
        assert_int_equal(bold(l->word[IOL_HEAD_lens_behind]), row[i].behind);
        assert_int_equal(bold(l->word[IOL_HEAD_lens_front]), row[i].front);
        assert_int_equal(count_of(svg, "path", "kk"), row[i].behind + row[i].front);
        assert_int_equal(count_of(svg, "path", "g"), 2 - row[i].behind - row[i].front);
        if (row[i].behind == row[i].front) continue;
        point heavy[24], light[24];
        path_of(svg, "kk", 0, heavy, 24), path_of(svg, "g", 0, light, 24);
        assert_true((heavy[12].x < light[12].x) == row[i].front); /* the front of the eye is at the left */
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(steps_about_the_chosen), cmocka_unit_test(the_miss_in_its_parts), cmocka_unit_test(days_and_dates),
        cmocka_unit_test(frames_of_cuts),
        cmocka_unit_test(which_eye),              cmocka_unit_test(what_it_works_on),      cmocka_unit_test(which_of_two),
    };
    return cmocka_run_group_tests_name("figures of the sheets", tests, NULL, NULL);
}
