/* Astigmatism before and after each step: double-angle diagram and table.
 *
 * Every cylinder is written as minus cylinder and axis, as a refraction is: that of the cornea as the one that would correct it,
 * its axis across the steepest meridian. Its point is Thibos' J0, J45 (half the cylinder, twice the axis), so that equal
 * changes are equal lengths. */
#include "iolrevise/optics.h"

#include "compose.h"
#include "text/number.h"
#include "labels.h"

#define TITLE "Astigmatism at each step"

enum { MOST = 6, RINGS = 3 };

typedef struct {
    const char *what;
    iol_dot dot;
    int from; /* the step that it starts from; -1 none */
    double cylinder_d, axis_deg;
    double j0_d, j45_d;
} point;

static int add(point list[MOST], int count, point p) {
    double mean_d;
    if (isnan(p.cylinder_d) || isnan(p.axis_deg)) return count;
    const iol_spherocylinder written = {0.0, p.cylinder_d, p.axis_deg};
    iol_matrix_to_power_vector(iol_matrix_from_spherocylinder(written), &mean_d, &p.j0_d, &p.j45_d);
    list[count] = p;
    return count + 1;
}

static point after(const char *what, iol_dot dot, const iol_spectacle_form *form, int from) {
    return (point){.what = what, .dot = dot, .from = from, .cylinder_d = form->cylinder_d, .axis_deg = form->axis_deg};
}

/* Steep meridian and cylinder of a cornea as the minus cylinder that would correct it. */
static point cornea(const char *what, iol_dot dot, double cylinder_d, double steep_deg, int from) {
    return (point){.what = what,
                   .dot = dot,
                   .from = from,
                   .cylinder_d = 0.0 - cylinder_d,
                   .axis_deg = iol_axis_reduce(steep_deg + 90.0)};
}

static int collect(const iol_plan *plan, point list[MOST]) {
    const iol_incision *i = &plan->incision;
    const iol_spectacles *s = &plan->spectacles;
    const iol_choice *lens = iol_chosen_step(iol_new_lens(plan)), *second = iol_chosen_step(&plan->piggyback.power);
    int n = 0, now;
    if (i->present) {
        n = add(list, n, cornea("Cornea now", IOL_DOT_RING, i->corneal_cylinder_now_d, i->corneal_axis_now_deg, -1));
        n = add(list, n,
                cornea("Cornea after the wound", IOL_DOT_ROUND, i->corneal_cylinder_after_d, i->corneal_axis_after_deg,
                       n - 1));
    }
    now = n;
    if (s->present)
        n = add(list, n,
                (point){.what = "Refraction now",
                        .dot = IOL_DOT_SQUARE,
                        .from = -1,
                        .cylinder_d = s->cylinder_d,
                        .axis_deg = s->axis_deg});
    int from = n > now ? now : -1;
    if (plan->rotation.present && plan->rotation.suitable != IOL_NO)
        n = add(list, n, after("After turning the lens", IOL_DOT_TRIANGLE, &plan->rotation.expected, from));
    const char *new_lens =
        plan->secondary.present ? "After the lens is put in, chosen step" : "After exchange, chosen step";
    if (lens) n = add(list, n, after(new_lens, IOL_DOT_DIAMOND, &lens->expected, from));
    if (second && plan->piggyback.suitable != IOL_NO)
        n = add(list, n, after("After a second lens, chosen step", IOL_DOT_CROSS, &second->expected, from));
    return n;
}

/* An arrow between two points, its ends beside the marks; none where they lie too near. */
static void arrow(iol_labels *l, const point *a, const point *b, double gap) {
    const double x = b->j0_d - a->j0_d, y = b->j45_d - a->j45_d, length = hypot(x, y);
    if (!(length > 4.0 * gap)) return;
    const double part = gap / length;
    const double tip_x = b->j0_d - part * x, tip_y = b->j45_d - part * y;
    iol_figure_arrow(l->f, a->j0_d + part * x, a->j45_d + part * y, tip_x, tip_y, IOL_STROKE_PLAIN);
    iol_labels_spare(l, tip_x, tip_y);
}

/* Rings that hold the most cylinder of the figure. */
static int ring_count(double most_d, double step_d) { return (int)fmax(1.0, ceil(most_d / step_d - IOL_SAME)); }

/* Rings of whole steps of cylinder, the axis written at the rim in each quarter. */
static double rings(iol_figure *f, iol_labels *l, double most_d) {
    iol_line line;
    const double step_d = fmax(iol_figure_step(most_d, RINGS), 0.5);
    const int count = ring_count(most_d, step_d);
    const double rim = count * step_d / 2.0;
    static const struct {
        double x, y;
        iol_beside beside;
        const char *axis, *part;
    } end[] = {{1.0, 0.0, IOL_BESIDE_RIGHT, "axis 180", "J0 "},
               {0.0, 1.0, IOL_BESIDE_ABOVE, "axis 45", "J45 "},
               {-1.0, 0.0, IOL_BESIDE_LEFT, "axis 90", "J0 "},
               {0.0, -1.0, IOL_BESIDE_BELOW, "axis 135", "J45 "}};
    iol_figure_size(f, 270.0, 0.0);
    iol_figure_extents(f, -3.0 * rim, 3.0 * rim, -1.35 * rim, 1.35 * rim);
    iol_figure_equal(f);
    iol_labels_start(l, f);
    iol_figure_line(f, -rim, 0.0, rim, 0.0, IOL_STROKE_FAINT);
    iol_figure_line(f, 0.0, -rim, 0.0, rim, IOL_STROKE_FAINT);
    for (int i = 1; i <= count; i++) iol_figure_circle(f, 0.0, 0.0, i * step_d / 2.0, IOL_STROKE_FAINT, IOL_FILL_NONE);
    for (int i = 0; i < 4; i++) {
        const bool beside = end[i].x != 0.0; /* two lines, to be narrow */
        const double up = beside ? 0.14 * rim : 0.0;
        iol_line_start(&line);
        iol_line_text(&line, end[i].axis);
        if (beside) iol_labels_put_scale(l, rim * end[i].x, up, &end[i].beside, 1, line.text);
        if (beside) iol_line_start(&line);
        iol_line_text(&line, beside ? "" : ", ");
        iol_line_text(&line, end[i].part);
        iol_line_signed(&line, rim * (end[i].x + end[i].y), IOL_UNIT_d);
        iol_labels_put_scale(l, rim * end[i].x, rim * end[i].y - up, &end[i].beside, 1, line.text);
    }
    return step_d;
}

/* What the rings stand for, where nothing else stands. */
static void name_rings(iol_labels *l, double most_d, double step_d) {
    static const iol_beside on[] = {IOL_BESIDE_CENTRE};
    static const double angle_deg[] = {-60.0, -120.0, 60.0, 120.0, -30.0, -150.0};
    iol_line line;
    for (int i = 1; i <= ring_count(most_d, step_d); i++) {
        iol_line_start(&line);
        iol_line_number(&line, i * step_d, IOL_UNIT_d);
        for (int k = 0; k < 6; k++) {
            double radius = i * step_d / 2.0, sine, cosine;
            iol_sincos_deg(angle_deg[k], &sine, &cosine);
            if (iol_labels_put_scale(l, radius * cosine, radius * sine, on, 1, line.text)) break;
        }
    }
}

/* Beside its mark, or as near to it as there is room: no mark is without its number. */
static void put_number(iol_labels *l, const point *p, int n, double gap) {
    static const iol_beside on[] = {IOL_BESIDE_CENTRE};
    char number[8];
    iol_print_number(n, 0, false, number, sizeof number);
    bool placed = iol_labels_put_beside(l, p->j0_d, p->j45_d, number);
    for (int k = 0; k < 24 && !placed; k++) {
        const double away = gap * (3 + k / 8);
        double sine, cosine;
        iol_sincos_deg(45.0 * (k % 8), &sine, &cosine);
        placed = iol_labels_put(l, p->j0_d + away * cosine, p->j45_d + away * sine, on, 1, number);
    }
}

static void draw(const point list[], int count, iol_page *page) {
    double most_d = 0.0;
    iol_labels labels;
    iol_figure *f = iol_page_figure(
        page, TITLE,
        "Each numbered mark is a cylinder: as far from the middle as it is large, at twice its axis. In the middle "
        "there is none. Arrows go from today to what is expected. The table names the marks and gives their numbers.");
    for (int i = 0; i < count; i++) most_d = fmax(most_d, fabs(list[i].cylinder_d));
    const double step_d = rings(f, &labels, most_d);
    const double gap = 0.024 * (f->y_to - f->y_from);
    for (int i = 0; i < count; i++) {
        if (list[i].from >= 0) arrow(&labels, &list[list[i].from], &list[i], gap);
        iol_figure_dot(f, list[i].j0_d, list[i].j45_d, list[i].dot);
        iol_labels_spare(&labels, list[i].j0_d, list[i].j45_d);
    }
    for (int i = 0; i < count; i++) put_number(&labels, &list[i], i + 1, gap);
    name_rings(&labels, most_d, step_d);
}

static void row(const point *p, int number, iol_page *page) {
    static const char *const shape[] = {
        [IOL_DOT_ROUND] = "disc",      [IOL_DOT_RING] = "ring",         [IOL_DOT_SQUARE] = "square",
        [IOL_DOT_DIAMOND] = "diamond", [IOL_DOT_TRIANGLE] = "triangle", [IOL_DOT_CROSS] = "cross"};
    iol_line mark, cylinder, axis;
    iol_line_start(&mark), iol_line_start(&cylinder), iol_line_start(&axis);
    iol_line_number(&mark, number, IOL_UNIT_count);
    iol_line_text(&mark, " ");
    iol_line_text(&mark, shape[p->dot]);
    iol_line_signed(&cylinder, p->cylinder_d, IOL_UNIT_d);
    if (iol_count(p->cylinder_d, 2) != 0) iol_line_axis(&axis, p->axis_deg);
    const char *const cells[] = {mark.text, p->what, cylinder.text, axis.text};
    iol_page_row(page, 4, cells);
}

void iol_draw_astigmatism(const iol_plan *plan, iol_page *page) {
    static const char *const heads[] = {"Mark", "Cylinder of", ">Cylinder", ">Axis"};
    point list[MOST];
    const int count = collect(plan, list);
    iol_page_section(page, "astigmatism", "Astigmatism, step by step");
    if (count == 0) {
        iol_page_figure_missing(page, TITLE, "Neither the cylinder of the cornea nor that of the refraction is known.");
        iol_page_paragraph(page, "Neither the cylinder of the cornea nor that of the refraction is known.");
        return;
    }
    draw(list, count, page);
    iol_page_table(page, 4, heads);
    for (int i = 0; i < count; i++) row(&list[i], i + 1, page);
    iol_page_paragraph(
        page, "Minus cylinder, for the cornea the one that would correct it. Refractions stand at the "
              "spectacles, the cornea (by keratometry, without its back) at its own plane: they need not meet.");
}
