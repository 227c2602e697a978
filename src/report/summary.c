/* The summary of a recheck, for people. */
#include "summary.h"

#include "tables/constants.h"
#include "text/number.h"
#include "report.h"

static const char *series_name(int method, int formula, iol_line *line) {
    iol_line_start(line);
    iol_line_text(line, IOL_WORD(recheck_method, method));
    if (formula > 0) {
        iol_line_text(line, ", ");
        iol_line_text(line, IOL_WORD(formula, formula));
    }
    return line->text;
}

const char *iol_series_text(const iol_group *g, iol_line *line) { return series_name(g->method, g->formula, line); }

static void group_row(const iol_group *g, iol_page *page) {
    iol_line name, cell[7];
    for (int i = 0; i < 7; i++) iol_line_start(&cell[i]);
    iol_line_number(&cell[0], g->n, IOL_UNIT_count);
    iol_line_signed(&cell[1], g->mean_error_d, IOL_UNIT_d);
    iol_line_number(&cell[2], g->sd_d, IOL_UNIT_d);
    iol_line_number(&cell[3], g->mae_d, IOL_UNIT_d);
    iol_line_number(&cell[4], g->medae_d, IOL_UNIT_d);
    iol_line_percent(&cell[5], g->within_half);
    iol_line_percent(&cell[6], g->within_one);
    const char *const cells[] = {iol_series_text(g, &name),
                                 cell[0].text,
                                 cell[1].text,
                                 cell[2].text,
                                 cell[3].text,
                                 cell[4].text,
                                 cell[5].text,
                                 cell[6].text};
    iol_page_row(page, 8, cells);
}

static const char *band(iol_line *line, const char *text) {
    iol_line_start(line);
    iol_line_bands(line, text);
    return line->text;
}

static bool same_sort(const iol_group *a, const iol_group *b) { return a->by == b->by && a->is == b->is; }

void iol_line_group(iol_line *line, const iol_group *g) {
    iol_line_text(line, g->by == IOL_group_by_all        ? "All counted eyes"
                        : g->by == IOL_group_by_position ? "New lens: "
                        : g->by == IOL_group_by_year     ? "Operated in "
                                                         : "Capsule: ");
    for (const char *at = g->is ? g->is : ""; *at; at++)
        iol_line_text(line, (const char[]){*at == '-' ? ' ' : *at, '\0'});
}

/* The groups of all eyes, or all the others. */
static void groups(const iol_summary *s, bool all, iol_page *page) {
    iol_line half, one;
    const char *const heads[] = {"Method", ">n",     ">Mean",            ">SD",
                                 ">MAE",   ">MedAE", band(&half, ">in %H"), band(&one, ">in %O")};
    for (int i = 0; i < s->groups_count; i++) {
        const iol_group *g = &s->groups[i];
        if ((g->by == IOL_group_by_all) != all) continue;
        if (i == 0 || !same_sort(g, g - 1)) {
            iol_line title;
            iol_line_start(&title);
            iol_line_group(&title, g);
            iol_page_heading(page, title.text);
            iol_page_table(page, 8, heads);
        }
        group_row(g, page);
    }
}

static void intervals(const iol_summary *s, iol_page *page) {
    static const char *const heads[] = {"Method", ">50 % held", ">80 % held", ">95 % held", ">Constant"};
    iol_page_section(page, "intervals", "Did the model's own intervals hold?");
    iol_compose_calibration(s, page);
    iol_page_table(page, 5, heads);
    for (int i = 0; i < s->groups_count && s->groups[i].by == IOL_group_by_all; i++) {
        const iol_group *g = &s->groups[i];
        iol_line name, cell[4];
        if (isnan(g->held_50) && isnan(g->constant_shift)) continue;
        for (int k = 0; k < 4; k++) iol_line_start(&cell[k]);
        iol_line_percent(&cell[0], g->held_50);
        iol_line_percent(&cell[1], g->held_80);
        iol_line_percent(&cell[2], g->held_95);
        iol_line_signed(&cell[3], g->constant_shift, IOL_UNIT_none);
        const char *const cells[] = {iol_series_text(g, &name), cell[0].text, cell[1].text, cell[2].text, cell[3].text};
        iol_page_row(page, 5, cells);
    }
    iol_page_paragraph(page, "Held: share of the errors inside the interval that was given beforehand. Less than its "
                             "name says: predictions were too sure; more: too wide.");
    iol_page_paragraph(page,
                       "Constant: change of the new lens's constant that would bring the mean error to 0 (its own "
                       "A-constant, surgeon factor, pACD or a0; millimetres of position where no formula stands).");
}

void iol_report_chance(iol_line *line, double p) {
    char text[32];
    iol_line_start(line);
    if (p < 0.00005)
        iol_line_text(line, "< 0.0001");
    else if (p < 0.005) /* two decimals would say 0.00 */
        iol_line_text(line, iol_print_number(p, 4, false, text, sizeof text) ? text : "not known");
    else
        iol_line_number(line, p, IOL_UNIT_none);
}

static void pairs(const iol_summary *s, iol_page *page) {
    static const char *const heads[] = {"Joint against", ">n", ">Rank z", ">p", ">HC4 t", ">p", ">Holm p"};
    if (s->pairs_count == 0) return;
    iol_page_heading(page, "Joint against each other method");
    iol_page_table(page, 7, heads);
    for (int i = 0; i < s->pairs_count; i++) {
        const iol_pair *p = &s->pairs[i];
        iol_line name, n, z, zp, t, tp, holm;
        iol_line_start(&n), iol_line_start(&z), iol_line_start(&t);
        iol_line_number(&n, p->n, IOL_UNIT_count);
        iol_line_signed(&z, p->wilcoxon_z, IOL_UNIT_none);
        iol_line_signed(&t, p->hc4_t, IOL_UNIT_none);
        iol_report_chance(&zp, p->wilcoxon_p), iol_report_chance(&tp, p->hc4_p), iol_report_chance(&holm, p->p_holm);
        const char *const cells[] = {
            series_name(p->method, p->formula, &name), n.text, z.text, zp.text, t.text, tp.text, holm.text};
        iol_page_row(page, 7, cells);
    }
    iol_page_paragraph(page,
                       "Minus: joint is nearer (Rank z: signed ranks of the sizes of the errors) or spreads less (HC4 "
                       "t). p: how often chance alone would differ as much. Holm p: the HC4 column corrected for "
                       "the number of rows; look at this one. Not known: fewer than ten eyes differ. Of a pair of "
                       "eyes the right one alone is tested.");
}

/* What the words of the tables mean, once, before the first of them. */
static void legend(const iol_summary *s, iol_page *page) {
    static const char *const lines[] = {
        ("joint: every source of error weighed together, by the reference formula of each case. This is what a plan "
         "uses."),
        "joint, NAME: the same by that formula, for all cases that allow it.",
        "lens-position, axial-length, cornea, lens-label: as if that one source alone had made the whole error.",
        "refraction-only: from the refraction and the old lens, without axial length.",
        "rule-of-thumb: piggyback lenses alone.",
    };
    bool thumb = false;
    for (int i = 0; i < s->groups_count; i++) thumb |= s->groups[i].method == IOL_recheck_method_rule_of_thumb;
    iol_page_heading(page, "How to read the tables");
    for (int i = 0; i < (thumb ? 5 : 4); i++) iol_page_item(page, lines[i]);
    iol_line line;
    iol_page_paragraph(
        page, band(&line, "n: eyes. Mean: plus is more hyperopic than predicted. SD: spread. MAE, MedAE: mean and "
                          "median size of the error. In %H, in %O: share of eyes within that many dioptres."));
}

static bool off(const iol_finding *f) { return f->sureness > 0 && f->sureness != IOL_sureness_fits; }

/* "65 % of 191 eyes within 0.50 D; the 80 % intervals held 75 %: a little too sure." */
static void finding(const iol_finding *f, iol_page *page) {
    static const char *const words[IOL_sureness_end] = {
        NULL, ": much too sure", ": a little too sure", ": as they should", ": a little too wide", ": much too wide"};
    iol_line line;
    if (!f->present) return;
    iol_line_start(&line);
    iol_line_percent(&line, f->within_half);
    iol_line_text(&line, " of ");
    iol_line_number(&line, f->n, IOL_UNIT_count);
    iol_line_bands(&line, " eyes within %h");
    if (!isnan(f->held_80)) {
        iol_line_text(&line, "; the 80 % intervals held ");
        iol_line_percent(&line, f->held_80);
        iol_line_text(&line, " (95 % limits ");
        iol_line_percent(&line, f->held_80_low);
        iol_line_text(&line, " to ");
        iol_line_percent(&line, f->held_80_high);
        iol_line_text(&line, ")");
        iol_line_text(&line, f->sureness > 0 ? words[f->sureness] : ": too few eyes to say more");
        const bool chance = iol_between(c_fit_interval_share, f->held_80_low, f->held_80_high) == IOL_YES;
        if (off(f) && chance) iol_line_text(&line, ", or chance");
    }
    iol_line_text(&line, ".");
    iol_page_paragraph(page, line.text);
    if (off(f)) {
        iol_page_pair(page, "Do", "fit the spreads to these outcomes (--fit-site), then recheck with the fitted file");
        iol_page_pair(page, "", "look at the eyes outside: --format csv, rows whose interval_held is none");
    }
}

/* Where to look first: the prediction that a plan uses, all eyes and each group of them. */
static void overview(const iol_summary *s, iol_page *page) {
    iol_line half, one;
    const char *const heads[] = {"Eyes (joint)", ">n",         ">Mean", ">MedAE",
                                 band(&half, ">in %H"), ">95 % from", ">to",   band(&one, ">in %O")};
    iol_page_table(page, 8, heads);
    for (int i = 0; i < s->groups_count; i++) {
        const iol_group *g = &s->groups[i];
        iol_line name, cell[7];
        if (!iol_is_joint(g)) continue;
        iol_line_start(&name);
        for (int k = 0; k < 7; k++) iol_line_start(&cell[k]);
        iol_line_group(&name, g);
        iol_line_number(&cell[0], g->n, IOL_UNIT_count);
        iol_line_signed(&cell[1], g->mean_error_d, IOL_UNIT_d);
        iol_line_number(&cell[2], g->medae_d, IOL_UNIT_d);
        iol_line_percent(&cell[3], g->within_half);
        iol_line_percent(&cell[4], g->within_half_low);
        iol_line_percent(&cell[5], g->within_half_high);
        iol_line_percent(&cell[6], g->within_one);
        const char *const cells[] = {name.text,    cell[0].text, cell[1].text, cell[2].text,
                                     cell[3].text, cell[4].text, cell[5].text, cell[6].text};
        iol_page_row(page, 8, cells);
    }
}

/* Why cases do not count, and whose constants the others had. */
static void not_counted(const iol_summary *s, iol_page *page) {
    static const char *const words[IOL_not_counted_end] = {
        NULL, "refused", "without outcome", "nothing predicted", "a date is missing", "refracted too early"};
    iol_line line;
    for (int i = 0; i < s->not_counted_count; i++) {
        iol_line_start(&line);
        iol_line_number(&line, s->not_counted[i].n, IOL_UNIT_count);
        iol_line_text(&line, " ");
        iol_line_text(&line, words[s->not_counted[i].why]);
        iol_page_pair(page, i == 0 ? "Not counted" : "", line.text);
    }
    iol_line_start(&line);
    iol_line_number(&line, s->own_constants, IOL_UNIT_count);
    iol_line_text(&line, " brought their own");
    if (s->site_constants > 0.0) {
        iol_line_text(&line, ", ");
        iol_line_number(&line, s->site_constants, IOL_UNIT_count);
        iol_line_text(&line, " from the site file");
    }
    if (s->counted > 0.0) iol_page_pair(page, "Constants", line.text);
}

/* How far the powers could have been used, and what that word does not say of eyes long operated on. */
static void stood(const iol_summary *s, iol_page *page) {
    iol_line line;
    for (int i = 0; i < s->standings_count; i++) {
        iol_line_start(&line);
        iol_line_number(&line, s->standings[i].n, IOL_UNIT_count);
        iol_line_text(&line, " ");
        iol_line_text(&line, IOL_WORD(standing, s->standings[i].standing));
        iol_page_pair(page, i == 0 ? "Standing" : "", line.text);
    }
    if (!(s->alarms_open > 0.0)) return;
    iol_line_start(&line);
    iol_line_number(&line, s->alarms_open, IOL_UNIT_count);
    iol_line_text(&line, " leave an alarm open (column alarms_open)");
    iol_page_pair(page, "", line.text);
}

/* Told chances against what came. */
static void told(const iol_summary *s, iol_page *page) {
    static const char *const heads[] = {"Eyes", ">n", ">Told", ">Came true", ">95 % from", ">to"};
    static const char *const fifths[] = {"least sure fifth", "second fifth", "third fifth", "fourth fifth",
                                         "surest fifth"};
    iol_line line;
    if (s->calibration_count == 0) return;
    iol_page_heading(page, "Did the told chances come true?");
    iol_page_table(page, 6, heads);
    for (int i = 0; i < s->calibration_count; i++) {
        const iol_calibrated *c = &s->calibration[i];
        iol_line name, cell[5];
        iol_line_start(&name);
        if (c->by == IOL_calibrated_by_eye_part) iol_line_text(&name, "eye part ");
        iol_line_text(&name, c->by == IOL_calibrated_by_eye_part ? c->is : fifths[c->is[0] - '1']);
        for (int k = 0; k < 5; k++) iol_line_start(&cell[k]);
        iol_line_number(&cell[0], c->n, IOL_UNIT_count);
        iol_line_percent(&cell[1], c->told);
        iol_line_percent(&cell[2], c->came_true);
        iol_line_percent(&cell[3], c->came_true_low);
        iol_line_percent(&cell[4], c->came_true_high);
        const char *const cells[] = {name.text, cell[0].text, cell[1].text, cell[2].text, cell[3].text, cell[4].text};
        iol_page_row(page, 6, cells);
    }
    iol_page_paragraph(
        page, band(&line, "Told: mean chance that the outcome would lie within %h of what joint predicted for the lens put "
                          "in. A told chance outside the exact limits was not true for those eyes. Eye part: what the "
                          "surprise says of the eye."));
}

static void support(const iol_summary *s, iol_page *page) {
    static const char *const heads[] = {"Tier before", ">n", ">Vitrectomy", ">Share", ">95 % from", ">to"};
    double all = 0.0;
    for (int i = 0; i < s->support_count; i++) all += s->support[i].n;
    if (s->support_count == 0) return;
    iol_page_heading(page, "The support score against what happened");
    if (isnan(s->support[0].share)) {
        iol_line line;
        iol_line_start(&line);
        iol_line_number(&line, all, IOL_UNIT_count);
        iol_line_text(
            &line,
            " exchanges say whether an anterior vitrectomy was needed. From fifty on the score is set against it.");
        iol_page_paragraph(page, line.text);
        return;
    }
    iol_page_table(page, 6, heads);
    for (int i = 0; i < s->support_count; i++) {
        const iol_tier_outcome *t = &s->support[i];
        iol_line cell[5];
        for (int k = 0; k < 5; k++) iol_line_start(&cell[k]);
        iol_line_number(&cell[0], t->n, IOL_UNIT_count);
        iol_line_number(&cell[1], t->vitrectomies, IOL_UNIT_count);
        iol_line_percent(&cell[2], t->share);
        iol_line_percent(&cell[3], t->share_low);
        iol_line_percent(&cell[4], t->share_high);
        const char *const cells[] = {
            IOL_WORD(tier, t->tier), cell[0].text, cell[1].text, cell[2].text, cell[3].text, cell[4].text};
        iol_page_row(page, 6, cells);
    }
    iol_page_paragraph(
        page,
        "Exact limits. A tier whose limits are wide says little; tiers that do not rise are no proof that the "
        "score is wrong, nor ones that do that it is right: these are the eyes that were chosen for an exchange.");
}

void iol_report_summary(const iol_summary *s, iol_page *page) {
    iol_line line;
    iol_page_start(page);
    iol_page_title(page, "Past cases planned again");
    finding(&s->finding, page);
    static const char *const label[] = {"Records", "Refused", "Without outcome", "Counted"};
    const double count[] = {s->cases, s->refused, s->no_outcome, s->counted};
    for (int i = 0; i < 4; i++) {
        iol_line_start(&line);
        iol_line_number(&line, count[i], IOL_UNIT_count);
        if (i == 3 && s->finding.n < s->counted) { /* the others: by the refraction alone */
            iol_line_text(&line, ", ");
            iol_line_number(&line, s->finding.n, IOL_UNIT_count);
            iol_line_text(&line, " of them by joint");
        }
        iol_page_pair(page, label[i], line.text);
    }
    not_counted(s, page);
    stood(s, page);
    iol_page_paragraph(page,
                       "Error = achieved less predicted spherical equivalent for the lens that was put in, from data "
                       "before the revision. Not counted: refractions read too early or without dates, and eyes for "
                       "which nothing could be predicted. --format csv shows each row.");
    if (s->standings_count > 0)
        iol_page_paragraph(page,
                           "Standing: how far the power could be used by what the case itself says. What it leaves "
                           "unanswered (an alarm, whose biometry it is, how the lens lay) holds the power back, as "
                           "in its plan; the column state answers open alarms no, because these eyes were operated "
                           "on. No error, group or interval rests on the standing.");
    if (s->groups_count == 0) {
        iol_page_paragraph(page, "No case could be counted.");
        return;
    }
    iol_compose_by_group(s, page);
    overview(s, page);
    legend(s, page);
    groups(s, true, page);
    iol_compose_errors(s, page);
    intervals(s, page);
    told(s, page);
    groups(s, false, page);
    support(s, page);
    pairs(s, page);
    iol_page_paragraph(page,
                       "Small groups prove little, and good figures say nothing about an eye unlike these. Local rules "
                       "and the judgement of a licensed surgeon come first.");
}
