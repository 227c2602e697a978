/* Same class, same power, same cylinder, not expired; the lens is the one of the theatre card or none. */
#include "box.h"

#include <string.h>

#include "case/stock.h"
#include "report/screen.h"
#include "tables/say.h"
#include "text/number.h"

bool iol_box_plan(iol_view root, iol_plan *into, bool *stops) {
    iol_view cautions = iol_view_member(root, "cautions"), item = {NULL, NULL};
    int64_t format;
    if (!iol_view_count(iol_view_member(root, "plan_format"), 0, 1, 1, &format)) return false;
    iol_view_object(root, iol_object_plan, into);
    *stops = !iol_view_is_list(cautions);
    while (iol_view_each(cautions, &item)) *stops = *stops || iol_view_is(iol_view_member(item, "severity"), "stop");
    return into->case_ref[0] && into->eye > 0;
}

const char *iol_box_word(iol_box_verdict verdict) {
    static const char *const word[] = {"KNOWN", "CHOSEN", "REPEAT", "OTHER", "STOP"};
    return word[verdict];
}

/* "+22.00 D toric-1p, cylinder +1.50 D" */
static void append_lens(char *out, size_t size, const char *id, double power_d, double cylinder_d) {
    char number[32];
    iol_print_number(power_d, 2, true, number, sizeof number);
    iol_append(out, size, number);
    iol_append(out, size, " D ");
    iol_append(out, size, id);
    if (!(cylinder_d > 0.0)) return;
    iol_print_number(cylinder_d, 2, true, number, sizeof number);
    iol_append(out, size, ", cylinder ");
    iol_append(out, size, number);
    iol_append(out, size, " D");
}

typedef struct {
    const char *lens_id;
    double power_d, cylinder_d;
    int standing;
} card_lens;

/* The lens that the theatre card is for; false when there is no card. */
static bool lens_of_card(const iol_plan *plan, card_lens *out, const char **why_not) {
    iol_lead lead;
    if (!iol_theatre_operation(plan, why_not)) return false;
    if (iol_lead_operates(plan, &lead)) {
        *out = (card_lens){lead.lens_id, lead.power_d, lead.cylinder_d, lead.standing};
        return true;
    }
    const iol_replacement *r = iol_new_lens(plan);
    const iol_choice *c = iol_chosen_step(r);
    *why_not = "no lens is chosen";
    if (!c || !iol_power_given(plan)) return false;
    *out = (card_lens){c->lens_id, c->power_d, c->cylinder_d, r->standing};
    return true;
}

/* Among what is to be had in theatre. */
static bool is_listed(const iol_stock_item *item, const iol_plan *plan) {
    for (int i = 0; i < plan->theatre_list_count; i++) {
        const iol_theatre_item *t = &plan->theatre_list[i];
        if (t->kind == IOL_theatre_kind_lens && iol_stock_is(item, t->lens_id, t->power_d, t->cylinder_d)) return true;
    }
    for (int i = 0; i < plan->fallbacks_count; i++)
        if (iol_stock_is(item, plan->fallbacks[i].lens_id, plan->fallbacks[i].power_d, NAN)) return true;
    const iol_choice *front = iol_chosen_step(&plan->piggyback.power);
    return front && iol_stock_is(item, front->lens_id, front->power_d, front->cylinder_d);
}

static void against(const iol_stock_item *item, const iol_plan *plan, iol_box *out) {
    const char *why_not = NULL;
    card_lens card;
    out->verdict = IOL_BOX_STOP;
    if (!lens_of_card(plan, &card, &why_not)) {
        iol_append(out->text, sizeof out->text, "STOP: this plan has no theatre card: ");
        iol_append(out->text, sizeof out->text, why_not);
        iol_append(out->text, sizeof out->text, ".");
    } else if (iol_stock_is(item, card.lens_id, card.power_d, card.cylinder_d)) {
        out->verdict = card.standing == IOL_standing_advised ? IOL_BOX_CHOSEN : IOL_BOX_REPEAT;
        iol_append(out->text, sizeof out->text, "This is the chosen lens");
        iol_append(out->text, sizeof out->text,
                   out->verdict == IOL_BOX_CHOSEN ? "." : ", but the plan says: repeat before ordering.");
    } else if (is_listed(item, plan)) {
        out->verdict = IOL_BOX_OTHER;
        iol_append(out->text, sizeof out->text, "This is a lens of the list, but not the chosen one: ");
        append_lens(out->text, sizeof out->text, card.lens_id, card.power_d, card.cylinder_d);
        iol_append(out->text, sizeof out->text, ".");
    } else
        iol_append(out->text, sizeof out->text, "STOP: not on this plan.");
}

/* An expiry that is over, or not known, goes before all else. */
static void expiry(const iol_gs1 *code, int32_t day, iol_box *out) {
    char date[11], text[sizeof out->text] = "";
    bool known = code->expires != IOL_UNKNOWN_DATE, over = known && code->expires < day;
    if (!known) {
        iol_append(text, sizeof text, "STOP: no expiry in the code: scan the one on the box that holds it. ");
    } else {
        iol_date_print(code->expires, date);
        iol_append(text, sizeof text, over ? "STOP: expired on " : " Expires ");
        iol_append(text, sizeof text, date);
        iol_date_print(day, date);
        iol_append(text, sizeof text, over ? ", by the day " : " (day ");
        iol_append(text, sizeof text, date);
        iol_append(text, sizeof text, over ? ". " : ").");
    }
    if (known && !over) {
        iol_append(out->text, sizeof out->text, text);
        return;
    }
    out->verdict = IOL_BOX_STOP;
    iol_append(text, sizeof text, out->text);
    memcpy(out->text, text, sizeof text);
}

static void name_eye(const iol_plan *plan, iol_box *out) {
    iol_append(out->lens, sizeof out->lens, plan->eye == IOL_side_right ? "; RIGHT eye, case " : "; LEFT eye, case ");
    iol_append(out->lens, sizeof out->lens, plan->case_ref);
}

void iol_box_judge(const iol_gs1 *code, const char *wrong, const iol_site *site, const iol_plan *plan, bool stops,
                   int32_t day, iol_box *out) {
    const iol_stock_item *item = wrong ? NULL : iol_stock_find(site, code->gtin);
    *out = (iol_box){.verdict = IOL_BOX_STOP};
    if (!item) {
        iol_append(out->lens, sizeof out->lens, wrong ? "not read" : "a product number that the stock does not have");
        iol_append(out->text, sizeof out->text, wrong ? "STOP: wanted " : "STOP: it is not known what is in this box.");
        iol_append(out->text, sizeof out->text, wrong ? wrong : "");
        return;
    }
    append_lens(out->lens, sizeof out->lens, item->lens_id, iol_stock_equivalent(item), iol_stock_cylinder(item));
    if (plan) name_eye(plan, out);
    if (!plan) {
        out->verdict = IOL_BOX_KNOWN;
        iol_append(out->text, sizeof out->text, "No plan to compare it with.");
    } else if (stops)
        iol_append(out->text, sizeof out->text, "STOP: a stop stands on this plan.");
    else
        against(item, plan, out);
    expiry(code, day, out);
}
