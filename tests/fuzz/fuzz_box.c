/* Any bytes as a scanned code: what is read is a product number whose check digit is right and a day; what is refused says why
 * without a word of the code, and leaves nothing behind. */
#include "fuzz.h"
#include "text/gs1.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    char code[1024], again[64];
    iol_gs1 found, other;
    int32_t day;
    if (size >= sizeof code) size = sizeof code - 1;
    if (size > 0) memcpy(code, data, size);
    code[size] = '\0';
    iol_date_read("2026-11-28", &day);
    const char *wrong = iol_gs1_read(code, day, &found);
    fuzz_must(!wrong || wrong[0], "refused without a reason");
    if (wrong) {
        fuzz_must(!found.gtin[0] && found.expires == IOL_UNKNOWN_DATE, "refused, and something is left");
        return 0;
    }
    fuzz_must(iol_gs1_gtin(found.gtin), "a product number with a wrong check digit");
    fuzz_must(strstr(code, found.gtin) != NULL, "a product number that is not in the code");
    if (found.expires == IOL_UNKNOWN_DATE) return 0;
    fuzz_must(found.expires > day - 51 * 366 && found.expires < day + 52 * 366, "an expiry of another century");
    char date[11];
    iol_date_print(found.expires, date);
    snprintf(again, sizeof again, "]d201%s17%.2s%.2s%.2s10X", found.gtin, date + 2, date + 5, date + 8);
    fuzz_must(!iol_gs1_read(again, day, &other) && other.expires == found.expires &&
                  strcmp(other.gtin, found.gtin) == 0,
              "written again it reads differently");
    return 0;
}
