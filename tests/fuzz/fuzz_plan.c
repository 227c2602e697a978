/* Any bytes as a case, behind a NUL a site, behind another a day; or as changes of an example (edits.h). What is taken becomes
 * a plan as JSON, text and page: well formed, the same twice, and without a power where none may be. */
#include <cJSON.h>

#include "edits.h"
#include "outputs.h"
#include "report/report.h"

static const cJSON *at(const cJSON *object, const char *key) { return cJSON_GetObjectItemCaseSensitive(object, key); }

static bool is_word(const cJSON *item, const char *word) {
    return cJSON_IsString(item) && strcmp(item->valuestring, word) == 0;
}

/* No number under any key that names a power, anywhere in it. */
static bool has_power(const cJSON *item) {
    if (cJSON_IsNumber(item) && item->string && strstr(item->string, "power") != NULL) return true;
    for (const cJSON *child = item ? item->child : NULL; child; child = child->next)
        if (has_power(child)) return true;
    return false;
}

static int count_chosen(const cJSON *part) {
    const cJSON *choice;
    int chosen = 0;
    cJSON_ArrayForEach(choice, at(part, "choices")) chosen += cJSON_IsTrue(at(choice, "chosen"));
    return chosen;
}

/* Withheld: no power. Provisional: nothing chosen. */
static void check_standing(const cJSON *part) {
    const cJSON *standing = at(part, "standing");
    bool firm = is_word(standing, "advised") || is_word(standing, "repeat-before-ordering");
    if (!part || cJSON_IsNull(part)) return;
    fuzz_must(firm || is_word(standing, "provisional") || is_word(standing, "withheld"), "a power without a standing");
    fuzz_must(count_chosen(part) <= (firm ? 1 : 0), firm ? "two lenses chosen" : "chosen without standing for it");
    fuzz_must(!is_word(standing, "withheld") || !has_power(part), "a withheld power");
    if (!firm) fuzz_must(cJSON_GetArraySize(at(part, "standing_reasons")) > 0, "held back without a reason");
}

static bool offers(const cJSON *list, const cJSON *lens, const cJSON *power) {
    const cJSON *one;
    cJSON_ArrayForEach(one, list) {
        const cJSON *id = at(one, "lens_id"), *has = at(one, "power_d");
        if (cJSON_IsString(id) && cJSON_IsString(lens) && strcmp(id->valuestring, lens->valuestring) == 0 &&
            cJSON_IsNumber(has) && has->valuedouble == power->valuedouble)
            return true;
    }
    return false;
}

/* A power to have in theatre is one that the plan offers elsewhere, and firmly. */
static void check_theatre(const cJSON *plan) {
    static const char *const parts[] = {"replacement", "secondary", "piggyback"};
    const cJSON *item;
    cJSON_ArrayForEach(item, at(plan, "theatre_list")) {
        const cJSON *power = at(item, "power_d"), *lens = at(item, "lens_id");
        bool offered = !cJSON_IsNumber(power) || offers(at(plan, "fallbacks"), lens, power);
        offered = offered || offers(at(at(plan, "two_lenses"), "ways"), lens, power);
        for (int i = 0; i < 3 && !offered; i++)
            offered = count_chosen(at(plan, parts[i])) > 0 && offers(at(at(plan, parts[i]), "choices"), lens, power);
        fuzz_must(offered, "a power in theatre that the plan does not offer");
    }
}

static void check_plan(const fuzz_text *json) {
    static const char *const ways[] = {"replacement", "secondary", "piggyback"};
    fuzz_check_json(json->bytes);
    cJSON *plan = cJSON_ParseWithLength(json->bytes, json->used);
    fuzz_must(plan != NULL, "a plan that is no JSON");
    for (int i = 0; i < 3; i++) check_standing(at(plan, ways[i]));
    bool withheld = is_word(at(at(plan, "replacement"), "standing"), "withheld");
    fuzz_must(!withheld || !has_power(at(plan, "fallbacks")), "a fallback with a power though powers are withheld");
    check_theatre(plan);
    fuzz_must(cJSON_IsString(at(at(plan, "decision"), "state")), "a plan without a decision");
    cJSON_Delete(plan);
}

/* Filled before with bytes that mean nothing, so that a value never set shows as a difference. */
static void make(const iol_case *c, const iol_site *site, int32_t as_of, int filler, fuzz_text out[3]) {
    static iol_plan plan;
    static iol_page page;
    memset(&plan, filler, sizeof plan);
    memset(&page, filler, sizeof page);
    for (int i = 0; i < 3; i++) out[i].used = 0;
    iol_plan_make(c, site, as_of, &plan);
    fuzz_must(iol_plan_write(&plan, fuzz_sink, &out[0]), "a plan that is not written");
    iol_report_plan(&plan, &page);
    fuzz_must(!page.lost, "a page that is too long");
    fuzz_must(iol_page_text(&page, false, fuzz_sink, &out[1]), "a text that is not written");
    fuzz_must(iol_page_html(&page, fuzz_sink, &out[2]), "a page that is not written");
}

/* The parts of an input, each behind a NUL; "" where there is none. */
static void split(const uint8_t *data, size_t size, fuzz_text part[2], char day[11]) {
    int which = 0;
    size_t used = 0;
    part[0].used = part[1].used = 0;
    for (size_t i = 0; i < size; i++) {
        if (data[i] == 0 && which < 2)
            which++;
        else if (which < 2)
            part[which].bytes[part[which].used++] = (char)data[i];
        else if (used < 10)
            day[used++] = (char)data[i];
    }
    day[used] = '\0';
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static iol_case c;
    static iol_site site;
    static iol_faults faults;
    static fuzz_text part[2], out[2][3];
    char day[11] = "";
    int32_t as_of = IOL_UNKNOWN_DATE;
    if (size > (1u << 20)) return 0;
    if (!fuzz_is_edits(data, size))
        split(data, size, part, day);
    else if (!fuzz_from_edits(data, size, &part[0], &part[1]))
        return 0;
    if (!iol_case_read(part[0].bytes, part[0].used, &c, &faults)) return 0;
    if (part[1].used == 0)
        iol_site_generic(&site);
    else if (!iol_site_read(part[1].bytes, part[1].used, &site, &faults))
        return 0;
    if (!iol_date_read(day, &as_of)) as_of = IOL_UNKNOWN_DATE;
    make(&c, &site, as_of, 0xA5, out[0]);
    make(&c, &site, as_of, 0x5A, out[1]);
    for (int i = 0; i < 3; i++) fuzz_same(&out[0][i], &out[1][i], "a plan that differs when it is made again");
    check_plan(&out[0][0]);
    fuzz_check_text(out[0][1].bytes);
    fuzz_check_html(out[0][2].bytes);
    return 0;
}
