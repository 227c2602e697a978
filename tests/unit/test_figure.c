/* Drawings from numbers: what is drawn, what is not, and that no text of a case becomes markup. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <ctype.h>
#include <math.h>
#include <stdlib.h>
#include <string.h>

#include "check.h"
#include "kept.h"
#include "report/page.h"

static iol_page page;

static const char *as_html(void) {
    kept.used = 0;
    assert_true(iol_page_html(&page, keep, NULL));
    return kept.bytes;
}

static const char *as_text(void) {
    kept.used = 0;
    kept.bytes[0] = '\0';
    assert_true(iol_page_text(&page, false, keep, NULL));
    return kept.bytes;
}

static iol_figure *new_figure(void) {
    iol_page_start(&page);
    return iol_page_figure(&page, "Title", "Description");
}

static int count(const char *in, const char *what) {
    int found = 0;
    for (; (in = strstr(in, what)) != NULL; in += strlen(what)) found++;
    return found;
}

/* The value of an attribute of the first element that starts so. */
static double attribute(const char *html, const char *element, const char *name) {
    const char *at = strstr(html, element);
    assert_non_null(at);
    at = strstr(at, name);
    assert_non_null(at);
    return strtod(at + strlen(name), NULL);
}

/* Marks from one function, each coordinate of each kind in turn not a number. */
static void add_all(iol_figure *f, double a, double b, double c, double d) {
    iol_figure_line(f, a, b, c, d, IOL_STROKE_PLAIN);
    iol_figure_span(f, a, b, c, d, IOL_STROKE_HEAVY);
    iol_figure_arrow(f, a, b, c, d, IOL_STROKE_DASHED);
    iol_figure_box(f, a, b, c, d, IOL_STROKE_PLAIN, IOL_FILL_HATCH);
    iol_figure_path(f, IOL_STROKE_PLAIN, IOL_FILL_HATCH, true);
    iol_figure_point(f, a, b);
    iol_figure_point(f, c, d);
    iol_figure_point(f, 0.5, 0.5);
}

static void unknown_is_not_drawn(void **state) {
    (void)state;
    static const double bad[] = {NAN, INFINITY, -INFINITY};
    for (int k = 0; k < 4; k++)
        for (int b = 0; b < 3; b++) {
            double x[4] = {0.1, 0.2, 0.6, 0.7};
            x[k] = bad[b];
            add_all(new_figure(), x[0], x[1], x[2], x[3]);
            const char *html = as_html();
            assert_int_equal(count(html, "<line"), 0);
            assert_int_equal(count(html, "<poly"), 0);
            iol_figure *f = new_figure();
            if (k < 3) iol_figure_circle(f, x[0], x[1], x[2], IOL_STROKE_PLAIN, IOL_FILL_NONE);
            if (k < 2) iol_figure_dot(f, x[0], x[1], IOL_DOT_ROUND);
            if (k < 2) iol_figure_label(f, x[0], x[1], IOL_BESIDE_ABOVE, "label");
            assert_int_equal(f->marks, 0);
            assert_non_null(strstr(as_html(), "Figure left out: Title. There is nothing to draw."));
        }
    iol_figure *f = new_figure();
    add_all(f, 0.1, 0.2, 0.6, 0.7);
    iol_figure_circle(f, 0.5, 0.5, 0.1, IOL_STROKE_PLAIN, IOL_FILL_NONE);
    assert_int_equal(f->marks, 6);
    const char *html = as_html();
    assert_int_equal(count(html, "<polygon"), 3); /* head of the arrow, box, path */
    assert_null(strstr(html, "nan"));
    assert_null(strstr(html, "inf"));
}

static void extents_without_sense(void **state) {
    (void)state;
    static const double bad[][4] = {{NAN, 1, 0, 1}, {0, INFINITY, 0, 1}, {0, 1, NAN, 1},
                                    {0, 1, 0, NAN}, {1, 1, 0, 1},        {0, 1, 2, 2}};
    for (size_t i = 0; i < sizeof bad / sizeof *bad; i++) {
        iol_figure *f = new_figure();
        iol_figure_extents(f, bad[i][0], bad[i][1], bad[i][2], bad[i][3]);
        iol_figure_axis_x(f, "x", "mm", 0.1, 1, false);
        iol_figure_dot(f, 0.5, 0.5, IOL_DOT_ROUND);
        assert_null(strstr(as_html(), "<svg"));
        assert_non_null(strstr(kept.bytes, "Figure left out: Title"));
    }
}

/* Corners of the extents lie at the corners of the frame; y grows upward. */
static void corners(void **state) {
    (void)state;
    iol_figure *f = new_figure();
    iol_figure_size(f, 114.0, 112.0);
    iol_figure_extents(f, -2.0, 2.0, 10.0, 20.0);
    iol_figure_line(f, -2.0, 10.0, 2.0, 20.0, IOL_STROKE_PLAIN);
    const char *html = as_html();
    assert_non_null(strstr(html, "viewBox=\"0 0 114.0 112.0\""));
    CHECK_NEAR(attribute(html, "<line", " x1=\""), 4.0, 1e-9, "left margin without an axis");
    CHECK_NEAR(attribute(html, "<line", " x2=\""), 104.0, 1e-9, "right margin");
    CHECK_NEAR(attribute(html, "<line", " y1=\""), 106.0, 1e-9, "bottom");
    CHECK_NEAR(attribute(html, "<line", " y2=\""), 6.0, 1e-9, "top");
    f = new_figure(); /* equal: 4 wide, 10 high; radius in units of x */
    iol_figure_size(f, 114.0, 1.0);
    iol_figure_equal(f);
    iol_figure_extents(f, -2.0, 2.0, 10.0, 20.0);
    iol_figure_circle(f, 0.0, 15.0, 2.0, IOL_STROKE_PLAIN, IOL_FILL_NONE);
    html = as_html();
    assert_non_null(strstr(html, "viewBox=\"0 0 114.0 262.0\""));
    CHECK_NEAR(attribute(html, "<circle", " r=\""), 50.0, 1e-9, "half of the width");
    CHECK_NEAR(attribute(html, "<circle", " cy=\""), 6.0 + 125.0, 1e-9, "middle of the height");
}

static void no_negative_zero(void **state) {
    (void)state;
    iol_figure *f = new_figure();
    iol_figure_size(f, 14.0, 12.0);
    iol_figure_extents(f, -1.0, 1.0, -1.0, 1.0);
    iol_figure_axis_x(f, "x", "D", 0.5, 2, true);
    iol_figure_axis_y(f, "y", "D", 0.5, 2, true);
    for (int i = -8; i <= 8; i++) iol_figure_dot(f, i * 0.31, -0.0, IOL_DOT_CROSS);
    iol_figure_line(f, -1.8005, -0.0, -1.7995, -1e-9, IOL_STROKE_PLAIN);
    const char *html = as_html();
    assert_null(strstr(html, "-0.0\""));
    assert_null(strstr(html, "\"-0\""));
    assert_null(strstr(html, "-0.0,"));
    assert_null(strstr(html, ">-0.00<"));
    assert_null(strstr(html, ">\xE2\x88\x92" "0.00<"));
    assert_null(strstr(html, ">+0.00<"));
    assert_int_equal(count(html, ">0.00</text>"), 2);
    assert_int_equal(count(html, ">\xE2\x88\x92" "0.50</text>"), 2);
    assert_int_equal(count(html, ">+1.00</text>"), 2);
}

static void ticks(void **state) {
    (void)state;
    double first;
    assert_int_equal(iol_figure_ticks(0.0, 1.0, 0.25, &first), 5);
    CHECK_NEAR(first, 0.0, 0.0, "by hand");
    assert_int_equal(iol_figure_ticks(18.9, 21.1, 0.5, &first), 5);
    CHECK_NEAR(first, 19.0, 1e-12, "by hand");
    assert_int_equal(iol_figure_ticks(1.0, -1.0, 0.1, &first), 21); /* either order; 0.1 is not exact */
    CHECK_NEAR(first, -1.0, 1e-12, "by hand");
    assert_int_equal(iol_figure_ticks(0.1, 0.2, 1.0, &first), 0);
    assert_int_equal(iol_figure_ticks(0.0, 40.0, 1.0, &first), 41);
    assert_int_equal(iol_figure_ticks(0.0, 41.0, 1.0, &first), 0);
    static const double bad[] = {0.0, -1.0, NAN};
    for (int i = 0; i < 3; i++) assert_int_equal(iol_figure_ticks(0.0, 1.0, bad[i], &first), 0);
    assert_int_equal(iol_figure_ticks(NAN, 1.0, 0.5, &first), 0);
    assert_int_equal(iol_figure_ticks(0.0, INFINITY, 0.5, &first), 0);
}

static const char bad[] = "<b onload='x'>\"&\x01</b>";
static const char good[] = "&lt;b onload=&#39;x&#39;&gt;&quot;&amp; &lt;/b&gt;";

static void texts_are_escaped(void **state) {
    (void)state;
    iol_page_start(&page);
    iol_figure *f = iol_page_figure(&page, bad, bad);
    iol_figure_axis_x(f, bad, bad, 0.5, 1, false);
    iol_figure_axis_y(f, bad, bad, 0.5, 1, false);
    iol_figure_label(f, 0.5, 0.5, IOL_BESIDE_RIGHT, bad);
    iol_page_figure_missing(&page, bad, bad);
    f = iol_page_figure(&page, bad, "");
    iol_figure_extents(f, 0, 0, 0, 0);
    const char *html = as_html();
    assert_null(strstr(html, "<b "));
    assert_null(strstr(html, "</b>"));
    assert_int_equal(count(html, good), 3 + 4 + 1 + 2 + 1); /* the title stands as <title> and as caption */
}

/* Each kind of mark and dot once: elements that carry no text, address or style of their own. */
static void nothing_reaches_outside(void **state) {
    (void)state;
    iol_figure *f = new_figure();
    add_all(f, 0.1, 0.2, 0.6, 0.7);
    for (int dot = IOL_DOT_ROUND; dot <= IOL_DOT_CROSS; dot++) iol_figure_dot(f, 0.2, 0.2, (iol_dot)dot);
    const char *html = strstr(as_html(), "<svg");
    static const char *const outside[] = {"url(", "href", "http", "style=", "<script", "<image", "<use", "onload"};
    for (size_t k = 0; k < sizeof outside / sizeof *outside; k++) assert_null(strstr(html, outside[k]));
    assert_non_null(strstr(html, "role=\"img\" aria-labelledby=\"figure-1-title figure-1-desc\""));
    assert_non_null(strstr(html, "<title id=\"figure-1-title\">Title</title>"));
    assert_non_null(strstr(html, "<desc id=\"figure-1-desc\">Description</desc>"));
}

/* By plane geometry: every dot lies about its place, with as many corners as its shape has, no two of them in one spot. */
static void shapes_of_dots(void **state) {
    (void)state;
    static const struct {
        iol_dot dot;
        int corners;
    } rows[] = {{IOL_DOT_SQUARE, 4}, {IOL_DOT_DIAMOND, 4}, {IOL_DOT_TRIANGLE, 3}, {IOL_DOT_CROSS, 0}, {IOL_DOT_RING, 0}};
    iol_figure *f = new_figure();
    iol_figure_extents(f, 0.0, 1.0, 0.0, 1.0);
    iol_figure_dot(f, 0.3, 0.6, IOL_DOT_ROUND);
    const double x = attribute(as_html(), "<circle", " cx=\""), y = attribute(as_html(), "<circle", " cy=\"");
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        f = new_figure();
        iol_figure_extents(f, 0.0, 1.0, 0.0, 1.0);
        iol_figure_dot(f, 0.3, 0.6, rows[i].dot);
        const char *html = as_html(), *at = strstr(html, "points=\"");
        assert_int_equal(at != NULL, rows[i].corners > 0);
        double px[9], py[9], low_x = x, high_x = x, low_y = y, high_y = y;
        int corners = 0;
        for (at = at ? at + 8 : ""; *at && *at != '"' && corners < 9; corners++) {
            char *end;
            px[corners] = strtod(at, &end);
            py[corners] = strtod(end + 1, &end);
            at = end + (*end == ' ');
            low_x = fmin(low_x, px[corners]), high_x = fmax(high_x, px[corners]);
            low_y = fmin(low_y, py[corners]), high_y = fmax(high_y, py[corners]);
            for (int k = 0; k < corners; k++) assert_true(hypot(px[k] - px[corners], py[k] - py[corners]) > 1.0);
        }
        assert_int_equal(corners, rows[i].corners);
        if (corners) {
            CHECK_NEAR(low_x + high_x, 2.0 * x, 0.21, "about its place, to a tenth");
            assert_true(low_y < y - 2.0 && high_y > y + 2.0 && high_x > x + 2.0 && high_x < x + 7.0 && high_y < y + 7.0);
        } else if (rows[i].dot == IOL_DOT_RING) {
            CHECK_NEAR(attribute(html, "<circle", " cx=\""), x, 1e-9, "its place");
            CHECK_NEAR(attribute(html, "<circle", " cy=\""), y, 1e-9, "its place");
        } else {
            const char *one = strstr(html, "<line"), *other = one ? strstr(one + 1, "<line") : NULL;
            assert_non_null(other);
            for (int k = 0; k < 2; k++) {
                const char *line = k ? other : one;
                CHECK_NEAR(attribute(line, "<line", " x1=\"") + attribute(line, "<line", " x2=\""), 2.0 * x, 0.21, "its place");
                CHECK_NEAR(attribute(line, "<line", " y1=\"") + attribute(line, "<line", " y2=\""), 2.0 * y, 0.21, "its place");
            }
            const double rise = attribute(one, "<line", " y2=\"") - attribute(one, "<line", " y1=\""),
                         fall = attribute(other, "<line", " y2=\"") - attribute(other, "<line", " y1=\"");
            assert_true(rise * fall < 0.0 && fabs(rise) > 4.0);
        }
    }
}

/* Hatching lies inside what it fills. */
static void hatching(void **state) {
    (void)state;
    iol_figure *f = new_figure();
    iol_figure_size(f, 114.0, 112.0);
    iol_figure_box(f, 0.2, 0.3, 0.6, 0.9, IOL_STROKE_PLAIN, IOL_FILL_HATCH);
    const char *at = as_html();
    int lines = 0;
    while ((at = strstr(at, "<line class=\"faint\"")) != NULL) {
        double x = attribute(at, "<line", " x1=\""), y = attribute(at, "<line", " y1=\"");
        double x2 = attribute(at, "<line", " x2=\""), y2 = attribute(at, "<line", " y2=\"");
        assert_true(fmin(x, x2) >= 24.0 - 0.05 && fmax(x, x2) <= 64.0 + 0.05);
        assert_true(fmin(y, y2) >= 16.0 - 0.05 && fmax(y, y2) <= 76.0 + 0.05);
        lines++;
        at++;
    }
    assert_int_equal(lines, 20); /* a box of 40 by 60 points crosses 100 points of offsets, one line every 5 */
}

/* A text page holds nothing of a figure or a fold, nor a blank line for them. */
static void nothing_in_text(void **state) {
    (void)state;
    iol_page_start(&page);
    iol_page_heading(&page, "Head");
    add_all(iol_page_figure(&page, "Title", "Description"), 0, 0, 1, 1);
    iol_page_paragraph(&page, "One.");
    iol_page_fold(&page, "What is inside");
    iol_page_figure_missing(&page, "Title", "Why");
    iol_page_paragraph(&page, "Two.");
    iol_page_unfold(&page);
    assert_string_equal(as_text(), "Head\n----\nOne.\n\nTwo.\n");
}

static void folds_and_sections(void **state) {
    (void)state;
    iol_page_start(&page);
    iol_page_paragraph(&page, "Before.");
    iol_page_section(&page, "one\"<", "First");
    iol_page_fold(&page, bad);
    iol_page_subheading(&page, "Sub");
    iol_page_heading(&page, "Second"); /* ends the fold */
    const char *html = strstr(as_html(), "<p>Before.");
    assert_non_null(html);
    static const char want[] = "<p>Before.</p>\n<section id=\"one&quot;&lt;\">\n<h2>First</h2>\n<details>\n<summary>"
                               "&lt;b onload=&#39;x&#39;&gt;&quot;&amp; &lt;/b&gt;</summary>\n<h3>Sub</h3>\n"
                               "</details>\n</section>\n<section>\n<h2>Second</h2>\n</section>\n";
    assert_int_equal(strncmp(html, want, strlen(want)), 0);
}

static void no_room(void **state) {
    (void)state;
    iol_figure *f = new_figure();
    for (int i = 0; i < IOL_FIGURE_MARKS; i++) iol_figure_dot(f, 0.5, 0.5, IOL_DOT_RING);
    assert_false(f->lost);
    iol_figure_dot(f, 0.5, 0.5, IOL_DOT_RING);
    assert_true(f->lost);
    assert_null(strstr(as_html(), "<svg"));
    assert_non_null(strstr(kept.bytes, "It holds more than a figure can"));
    f = new_figure();
    iol_figure_path(f, IOL_STROKE_PLAIN, IOL_FILL_NONE, false);
    for (int i = 0; i < IOL_FIGURE_POINTS; i++) iol_figure_point(f, 0.5, 0.5);
    assert_false(f->lost);
    iol_figure_point(f, 0.5, 0.5);
    assert_true(f->lost);
    static char most[IOL_FIGURE_BYTES + 1];
    memset(most, 'm', IOL_FIGURE_BYTES);
    f = new_figure();
    iol_figure_label(f, 0.5, 0.5, IOL_BESIDE_ABOVE, most);
    assert_true(f->lost);
    iol_page_start(&page);
    for (int i = 0; i < IOL_PAGE_FIGURES; i++) iol_page_figure(&page, "t", "d");
    assert_false(page.lost);
    iol_figure_dot(iol_page_figure(&page, "t", "d"), 0.5, 0.5, IOL_DOT_RING);
    assert_true(page.lost);
    assert_non_null(strstr(as_html(), "This page is not complete"));
}

/* A quarter of a circle of 2 about (1, 1). */
static void arc(void **state) {
    (void)state;
    iol_figure *f = new_figure();
    iol_figure_path(f, IOL_STROKE_PLAIN, IOL_FILL_NONE, false);
    iol_figure_arc(f, 1.0, 1.0, 2.0, 0.0, 90.0);
    assert_int_equal(f->points, 13);
    for (int i = 0; i < f->points; i++)
        CHECK_NEAR(hypot(f->point[i].x - 1.0, f->point[i].y - 1.0), 2.0, 1e-12, "definition of a circle");
    CHECK_NEAR(f->point[0].x, 3.0, 1e-12, "first end");
    CHECK_NEAR(f->point[12].y, 3.0, 1e-12, "second end");
    iol_figure_arc(f, 1.0, 1.0, 2.0, NAN, 90.0);
    assert_null(strstr(as_html(), "<polyline"));
}

/* An arrow has one filled head, its tip at the second end, its foot square across the line; a span has a bar square across each
 * end. */
static void ends_of_lines(void **state) {
    (void)state;
    for (int k = 0; k < 2; k++) {
        iol_figure *f = new_figure();
        iol_figure_extents(f, 0.0, 10.0, 0.0, 10.0);
        iol_figure_equal(f);
        if (k == 0) iol_figure_arrow(f, 2.0, 2.0, 7.0, 5.0, IOL_STROKE_PLAIN);
        if (k == 1) iol_figure_span(f, 2.0, 2.0, 7.0, 5.0, IOL_STROKE_PLAIN);
        const double x = iol_figure_across(f, 2.0), y = iol_figure_down(f, 2.0), x2 = iol_figure_across(f, 7.0),
                     y2 = iol_figure_down(f, 5.0);
        const char *html = as_html();
        assert_int_equal(count(html, "<polygon"), k == 0);
        assert_int_equal(count(html, "<line"), k == 0 ? 1 : 3);
        if (k == 0) {
            const char *at = strstr(strstr(html, "<polygon"), "points=\"") + strlen("points=\"");
            double p[6];
            for (int i = 0; i < 6; i++) {
                char *end;
                p[i] = strtod(at, &end);
                at = end + (*end == ',' || *end == ' ');
            }
            CHECK_NEAR(hypot(p[0] - x2, p[1] - y2), 0.0, 0.08, "the tip");
            const double foot_x = (p[2] + p[4]) / 2.0, foot_y = (p[3] + p[5]) / 2.0;
            const double back = hypot(foot_x - x2, foot_y - y2), wide = hypot(p[2] - p[4], p[3] - p[5]);
            const double length = hypot(x2 - x, y2 - y);
            CHECK_NEAR(((foot_x - x) * (y2 - y) - (foot_y - y) * (x2 - x)) / length, 0.0, 0.12, "on the line");
            CHECK_NEAR(((p[2] - p[4]) * (x2 - x) + (p[3] - p[5]) * (y2 - y)) / length / wide, 0.0, 0.04, "square across it");
            assert_true(back > 4.0 && back < 12.0 && wide > 3.0 && wide < back + 2.0);
            assert_true(hypot(foot_x - x, foot_y - y) < hypot(x2 - x, y2 - y)); /* it points away from the first end */
        }
        const char *at = strstr(html, "<line");
        for (int i = 0; k == 1 && i < 3; i++, at = strstr(at + 1, "<line")) {
            const double a[] = {attribute(at, "<line", " x1=\""), attribute(at, "<line", " y1=\"")},
                         b[] = {attribute(at, "<line", " x2=\""), attribute(at, "<line", " y2=\"")};
            const double middle_x = (a[0] + b[0]) / 2.0, middle_y = (a[1] + b[1]) / 2.0;
            const double along = hypot(b[0] - a[0], b[1] - a[1]);
            if (along > 20.0) continue; /* the line itself */
            assert_true(along > 3.0);
            const double cosine = ((b[0] - a[0]) * (x2 - x) + (b[1] - a[1]) * (y2 - y)) / along / hypot(x2 - x, y2 - y);
            CHECK_NEAR(cosine, 0.0, 0.04, "square across it");
            CHECK_NEAR(fmin(hypot(middle_x - x, middle_y - y), hypot(middle_x - x2, middle_y - y2)), 0.0, 0.1, "at an end");
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(unknown_is_not_drawn),
        cmocka_unit_test(extents_without_sense),
        cmocka_unit_test(corners),
        cmocka_unit_test(no_negative_zero),
        cmocka_unit_test(ticks), cmocka_unit_test(ends_of_lines),
        cmocka_unit_test(texts_are_escaped),
        cmocka_unit_test(nothing_reaches_outside),
        cmocka_unit_test(hatching), cmocka_unit_test(shapes_of_dots),
        cmocka_unit_test(nothing_in_text),
        cmocka_unit_test(folds_and_sections),
        cmocka_unit_test(no_room),
        cmocka_unit_test(arc),
    };
    return cmocka_run_group_tests_name("figure", tests, NULL, NULL);
}
