/* Any bytes as what the clinic types: read, printed and read again gives the same; either cylinder form is the same lens. */
#include "case/typed.h"
#include "fuzz.h"
#include "text/number.h"

static void put_number(char *out, size_t size, double x, int decimals, bool sign) {
    char number[40] = "";
    iol_print_number(x, decimals, sign, number, sizeof number);
    size_t used = strlen(out);
    fuzz_must(number[0] != '\0' && used + strlen(number) < size, "a number that is not printed");
    memcpy(out + used, number, strlen(number) + 1);
}

static void put(char *out, size_t size, const char *text) {
    size_t used = strlen(out);
    fuzz_must(used + strlen(text) < size, "too long");
    memcpy(out + used, text, strlen(text) + 1);
}

static void print(const iol_spherocylinder *s, const char *between, const char *times, char *out, size_t size) {
    out[0] = '\0';
    put_number(out, size, s->sphere_d, 2, true);
    if (s->cylinder_d == 0.0) return;
    put(out, size, between);
    put_number(out, size, s->cylinder_d, 2, true);
    put(out, size, times);
    put_number(out, size, s->axis_deg, 0, false);
}

static bool same(const iol_spherocylinder *a, const iol_spherocylinder *b) {
    return a->sphere_d == b->sphere_d && a->cylinder_d == b->cylinder_d && a->axis_deg == b->axis_deg;
}

static void check_refraction(const char *text) {
    iol_spherocylinder s, again, spaced, plus;
    char printed[120], other[120];
    if (iol_typed_refraction(text, &s) != NULL) return;
    fuzz_must(isfinite(s.sphere_d) && isfinite(s.cylinder_d) && isfinite(s.axis_deg), "accepted without a value");
    fuzz_must(s.cylinder_d <= 0.0 && s.axis_deg > 0.0 && s.axis_deg <= 180.0, "not in minus form");
    if (!(fabs(s.sphere_d) < 1e6 && s.cylinder_d > -1e6)) return;
    s.sphere_d = (double)iol_count(s.sphere_d, 2) / 100.0;
    s.cylinder_d = (double)iol_count(s.cylinder_d, 2) / 100.0;
    s.axis_deg = s.cylinder_d == 0.0 ? 180.0 : iol_axis_reduce((double)iol_count(s.axis_deg, 0));
    print(&s, " ", " x ", printed, sizeof printed);
    print(&s, "/", "X", other, sizeof other);
    fuzz_must(iol_typed_refraction(printed, &again) == NULL && same(&s, &again), "printed, it reads differently");
    fuzz_must(iol_typed_refraction(other, &spaced) == NULL && same(&s, &spaced), "without blanks it reads differently");
    if (s.cylinder_d == 0.0) return;
    plus = (iol_spherocylinder){s.sphere_d + s.cylinder_d, -s.cylinder_d, iol_axis_reduce(s.axis_deg + 90.0)};
    print(&plus, " ", " x ", printed, sizeof printed);
    fuzz_must(iol_typed_refraction(printed, &again) == NULL, "its plus form is refused");
    fuzz_must(fabs(again.sphere_d - s.sphere_d) < 1e-6 && fabs(again.cylinder_d - s.cylinder_d) < 1e-6 &&
                  again.axis_deg == s.axis_deg,
              "its plus form is another lens");
}

static void check_keratometry(const char *text) {
    iol_typed_k k, again;
    char printed[120] = "";
    if (iol_typed_keratometry(text, &k) != NULL) return;
    fuzz_must(isfinite(k.flat_d) && k.flat_d <= k.steep_d, "keratometry without order");
    fuzz_must(isnan(k.steep_axis_deg) || (k.steep_axis_deg > 0.0 && k.steep_axis_deg <= 180.0), "no meridian");
    if (!(k.flat_d >= 0.01 && k.steep_d < 1e6)) return;
    k.flat_d = (double)iol_count(k.flat_d, 2) / 100.0;
    k.steep_d = (double)iol_count(k.steep_d, 2) / 100.0;
    put_number(printed, sizeof printed, k.flat_d, 2, false);
    if (isnan(k.steep_axis_deg) && k.flat_d != k.steep_d) { /* both meridians, no axes */
        put(printed, sizeof printed, "/");
        put_number(printed, sizeof printed, k.steep_d, 2, false);
    }
    if (!isnan(k.steep_axis_deg)) {
        k.steep_axis_deg = iol_axis_reduce((double)iol_count(k.steep_axis_deg, 0));
        put(printed, sizeof printed, "@");
        put_number(printed, sizeof printed, iol_axis_reduce(k.steep_axis_deg + 90.0), 0, false);
        put(printed, sizeof printed, "/");
        put_number(printed, sizeof printed, k.steep_d, 2, false);
        put(printed, sizeof printed, "@");
        put_number(printed, sizeof printed, k.steep_axis_deg, 0, false);
    }
    fuzz_must(iol_typed_keratometry(printed, &again) == NULL, "printed, it is refused");
    fuzz_must(again.flat_d == k.flat_d && again.steep_d == k.steep_d, "printed, it reads differently");
    /* of two meridians alike either is the steep one */
    bool same = isnan(k.steep_axis_deg) ? isnan(again.steep_axis_deg) : again.steep_axis_deg == k.steep_axis_deg;
    fuzz_must(k.flat_d == k.steep_d || same, "printed, its meridian is another");
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    char text[256];
    double x = NAN;
    if (size >= sizeof text) return 0;
    memcpy(text, data, size);
    text[size] = '\0';
    check_refraction(text);
    check_keratometry(text);
    if (iol_typed_number(text, &x) == NULL) fuzz_must(isfinite(x), "a number without a value");
    return 0;
}
