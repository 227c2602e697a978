/* Any bytes as a site file: refused with faults, or taken, written out again and read to the same struct. */
#include "fuzz.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static iol_site first, second;
    static iol_faults faults;
    static fuzz_text text;
    if (!iol_site_read((const char *)data, size, &first, &faults)) {
        fuzz_check_faults(&faults);
        return 0;
    }
    text.used = 0;
    fuzz_put_object(&text, iol_object_site, &first);
    bool again = iol_site_read(text.bytes, text.used, &second, &faults);
    fuzz_must(again, "an accepted site file is refused when it is written again");
    fuzz_must(memcmp(&first, &second, sizeof first) == 0,
              "an accepted site file reads differently when it is written again");
    return 0;
}
