/* Two site files side by side, for people. */
#include "report.h"
#include "summary.h"
#include "tables/constants.h"

static void group_name(const iol_compared *g, iol_line *line) {
    iol_line_start(line);
    iol_line_text(line, g->by == IOL_group_by_all ? "all" : g->is);
}

static void both(iol_line *line, double a, double b) {
    iol_line_percent(line, a);
    iol_line_text(line, ", ");
    iol_line_percent(line, b);
}

static void group_row(const iol_compared *g, iol_page *page) {
    static const char *const words[IOL_nearer_end] = {"", "A", "B", "not shown"};
    iol_line name, cell[6];
    for (int i = 0; i < 6; i++) iol_line_start(&cell[i]);
    group_name(g, &name);
    iol_line_number(&cell[0], g->n, IOL_UNIT_count);
    iol_line_number(&cell[1], g->mae_a_d, IOL_UNIT_d);
    iol_line_number(&cell[2], g->mae_b_d, IOL_UNIT_d);
    both(&cell[3], g->within_half_a, g->within_half_b);
    both(&cell[4], g->within_one_a, g->within_one_b);
    iol_report_chance(&cell[5], g->wilcoxon_p);
    const char *const cells[] = {name.text,    cell[0].text, cell[1].text,     cell[2].text,
                                 cell[3].text, cell[4].text, words[g->nearer], cell[5].text};
    iol_page_row(page, 8, cells);
}

/* "B is nearer by 0.06 D on average (191 eyes)." */
static void finding(const iol_comparison *c, iol_page *page) {
    const iol_compared *all = &c->groups[0];
    iol_line line;
    iol_line_start(&line);
    if (all->nearer == IOL_nearer_not_shown)
        iol_line_text(&line, "No difference is shown between A and B: their mean errors differ by ");
    else
        iol_line_text(&line, all->nearer == IOL_nearer_a ? "A is nearer by " : "B is nearer by ");
    iol_line_number(&line, all->nearer_by_d, IOL_UNIT_d);
    iol_line_text(&line, " on average (");
    iol_line_number(&line, all->n, IOL_UNIT_count);
    iol_line_text(&line, " eyes).");
    iol_page_paragraph(page, line.text);
}

void iol_report_comparison(const iol_comparison *c, iol_page *page) {
    iol_line line, half, one;
    iol_line_start(&half);
    iol_line_start(&one);
    iol_line_bands(&half, ">in %H A, B");
    iol_line_bands(&one, ">in %O A, B");
    const char *const heads[] = {"Group", ">n", ">MAE A", ">MAE B", half.text, one.text, "Nearer", ">p"};
    iol_page_start(page);
    iol_page_title(page, "Past cases under two site files");
    if (c->groups_count > 0) finding(c, page);
    iol_page_pair(page, "A", c->site_a);
    iol_page_pair(page, "B", c->site_b);
    const double count[] = {c->cases, c->compared, c->own_constants};
    static const char *const label[] = {"Records", "Compared", "Own constants"};
    for (int i = 0; i < 3; i++) {
        iol_line_start(&line);
        iol_line_number(&line, count[i], IOL_UNIT_count);
        iol_page_pair(page, label[i], line.text);
    }
    if (c->groups_count == 0) {
        iol_page_paragraph(page, "No case could be counted under both.");
        return;
    }
    iol_page_table(page, 8, heads);
    for (int i = 0; i < c->groups_count; i++) group_row(&c->groups[i], page);
    iol_line_start(&line);
    iol_line_bands(&line, "Errors of joint with the reference formula of each case. MAE: mean size of the error. In %H, in "
                          "%O: share of eyes within that many dioptres. Nearer: by signed ranks of the sizes of the "
                          "errors, when chance alone would differ as much in fewer than ");
    iol_line_number(&line, 100.0 * c_chance_shown, IOL_UNIT_count);
    iol_line_text(&line, " of 100; below ");
    iol_line_number(&line, c_least_differences, IOL_UNIT_count);
    iol_line_text(&line, " differences nothing is said.");
    iol_page_paragraph(page, line.text);
    if (c->own_constants > 0.0)
        iol_page_paragraph(
            page, "Own constants: cases whose new lens brought constants of its own, which neither file moves. "
                  "--site-constants lets those of the site file take their place.");
}
