/* Codes of lens boxes: product number and expiry out of element strings, all else read past; what cannot be told is refused. */
#include "check.h"
#include "iolrevise/case.h"
#include "text/gs1.h"

#define GENERAL "GS1 General Specifications, sections 3, 7.8 and 7.12 (from memory)"
#define GTIN "02000000000077"

static int32_t day(const char *text) {
    int32_t out;
    assert_true(iol_date_read(text, &out));
    return out;
}

static void check_digit(void **state) {
    (void)state;
    /* numbers that GS1's own pages show, filled up to fourteen digits; from memory */
    assert_true(iol_gs1_gtin("09506000134352"));
    assert_true(iol_gs1_gtin("06291041500213"));
    for (char wrong = '0'; wrong <= '9'; wrong++) {
        char text[] = "09506000134352";
        text[13] = wrong;
        assert_int_equal(iol_gs1_gtin(text), wrong == '2');
    }
    assert_false(iol_gs1_gtin("9506000134352"));
    assert_false(iol_gs1_gtin("095060001343520"));
    assert_false(iol_gs1_gtin("0950600013435x"));
    assert_false(iol_gs1_gtin(""));
}

static void expect(const char *code, const char *gtin, const char *expires) {
    iol_gs1 out;
    const char *wrong = iol_gs1_read(code, day("2026-11-28"), &out);
    if (wrong) print_error("%s: %s\n", code, wrong);
    assert_null(wrong);
    assert_string_equal(out.gtin, gtin);
    if (expires)
        assert_int_equal(out.expires, day(expires));
    else
        assert_int_equal(out.expires, IOL_UNKNOWN_DATE);
}

static void forms(void **state) {
    (void)state;
    static const char *const prefix[] = {"", "]d2", "]C1", "]Q3", "]e0"};
    for (size_t i = 0; i < sizeof prefix / sizeof *prefix; i++) {
        char code[120];
        snprintf(code, sizeof code,
                 "%s01" GTIN "1729053110AB-7"
                 "\x1d"
                 "21S9\r\n",
                 prefix[i]);
        expect(code, GTIN, "2029-05-31");
    }
    expect("01" GTIN "172905311021", GTIN, "2029-05-31"); /* lot 21 */
    expect("01" GTIN "10AB{GS}21S9{GS}17290531", GTIN, "2029-05-31");
    expect("{GS}01" GTIN "{GS}17290531", GTIN, "2029-05-31");
    expect("21S9\x1d"
           "01" GTIN "\x1d"
           "17290531",
           GTIN, "2029-05-31");
    expect("01" GTIN "11240101240ZZ1\x1d"
           "17290531",
           GTIN, "2029-05-31");                                        /* made on, and the maker's own number */
    expect("01" GTIN "1729053110ABC21S917300101", GTIN, "2029-05-31"); /* a lot that looks like more */
    expect("01" GTIN, GTIN, NULL);
    expect("01" GTIN "01" GTIN "17290531"
           "17290531",
           GTIN, "2029-05-31"); /* twice the same */
}

/* Day 00 is the last of its month. */
static void last_day(void **state) {
    (void)state;
    expect("01" GTIN "17290200", GTIN, "2029-02-28");
    expect("01" GTIN "17280200", GTIN, "2028-02-29");
    expect("01" GTIN "17290400", GTIN, "2029-04-30");
    expect("01" GTIN "17291200", GTIN, "2029-12-31");
}

/* The century that puts the year from 49 years back to 50 years on: rows of GENERAL, 7.12. */
static void century(void **state) {
    (void)state;
    static const struct {
        const char *today, *code, *expires;
    } rows[] = {
        {"2026-11-28", "760101", "2076-01-01"}, {"2026-11-28", "770101", "1977-01-01"},
        {"2060-01-01", "110101", "2011-01-01"}, {"2060-01-01", "100101", "2110-01-01"},
        {"2060-01-01", "990101", "2099-01-01"}, {"1998-06-01", "020101", "2002-01-01"},
        {"1998-06-01", "480101", "2048-01-01"}, {"1998-06-01", "490101", "1949-01-01"},
    };
    for (size_t i = 0; i < sizeof rows / sizeof *rows; i++) {
        iol_gs1 out;
        char code[40], found[11];
        snprintf(code, sizeof code, "01" GTIN "17%s", rows[i].code);
        assert_null(iol_gs1_read(code, day(rows[i].today), &out));
        iol_date_print(out.expires, found);
        if (strcmp(found, rows[i].expires) != 0) print_error("source: " GENERAL "\n");
        assert_string_equal(found, rows[i].expires);
    }
}

static void refuse(const char *code, const char *because) {
    iol_gs1 out;
    const char *wrong = iol_gs1_read(code, day("2026-11-28"), &out);
    assert_non_null(wrong);
    if (!strstr(wrong, because)) print_error("%s: %s\n", code, wrong);
    assert_non_null(strstr(wrong, because));
    assert_string_equal(out.gtin, "");
    assert_int_equal(out.expires, IOL_UNKNOWN_DATE);
}

static void refused(void **state) {
    (void)state;
    char many[700];
    refuse("", "nothing was read");
    refuse("\r\n", "nothing was read");
    refuse("+A123B456", "Health Industry Bar Code");
    refuse("=A123", "ISBT 128");
    refuse("&A123", "ISBT 128");
    refuse("(01)" GTIN, "without brackets");
    refuse("https://example.org/01/" GTIN, "web address");
    refuse("http://example.org/01/" GTIN, "web address");
    refuse("HTTPS://EXAMPLE.ORG/01/" GTIN, "web address");
    refuse("HTTP://EXAMPLE.ORG/01/" GTIN, "web address");
    refuse("htt01" GTIN, "two digits of their kind"); /* no scheme of the web */
    refuse("HTT01" GTIN, "two digits of their kind");
    refuse("]E0"
           "4000000000000",
           "another kind");
    refuse("]d1"
           "01" GTIN,
           "another kind");
    refuse("01"
           "02000000000078"
           "17290531",
           "check digit");
    refuse("01" GTIN "01"
           "02000000000015",
           "not two");
    refuse("01" GTIN "17290531"
           "17290601",
           "not two");
    refuse("01" GTIN "17291301", "calendar");
    refuse("01" GTIN "17290230", "calendar");
    refuse("01" GTIN "17290001", "calendar");
    refuse("01" GTIN "17291300", "calendar"); /* day 00: the last of a month that there is */
    refuse("01" GTIN "17290000", "calendar");
    refuse("01" GTIN "1729053", "whole fields");
    refuse("01" GTIN "172905x1", "whole fields");
    refuse("010200000000007", "whole fields");
    refuse("17290531", "(01)");
    refuse("01" GTIN "A", "two digits");
    refuse("01" GTIN "AB12", "two digits");
    refuse("01" GTIN "10 AB", "characters of a GS1 code");
    refuse("01" GTIN "10\xc3\xa4", "characters of a GS1 code");
    memset(many, '1', sizeof many - 1);
    many[sizeof many - 1] = '\0';
    refuse(many, "512");
}

/* A lot or serial number runs on into what follows: nothing behind it can be told. */
static void separator_dropped(void **state) {
    (void)state;
    refuse("01" GTIN "10ABC17290531", "FNC1");
    refuse("01" GTIN "21S9"
           "17290531",
           "FNC1");
    refuse("10ABC01" GTIN "17290531", "FNC1");
    refuse("01" GTIN "10ABC17290531"
           "\x1d"
           "21S9",
           "FNC1");
    refuse("01" GTIN "10"
           "ABCDEFGHIJKLMNOPQRSTU"
           "\x1d"
           "17290531",
           "FNC1"); /* 21 characters are no lot */
    refuse("01" GTIN "10ABC17290531"
           "21S9",
           "FNC1");
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(check_digit), cmocka_unit_test(forms),   cmocka_unit_test(last_day),
        cmocka_unit_test(century),     cmocka_unit_test(refused), cmocka_unit_test(separator_dropped),
    };
    return cmocka_run_group_tests(tests, NULL, NULL);
}
