/* Any bytes as a case: refused with faults, or taken, written out again and read to the same struct. */
#include "fuzz.h"

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    static iol_case first, second;
    static iol_faults faults;
    static fuzz_text text;
    if (!iol_case_read((const char *)data, size, &first, &faults)) {
        fuzz_check_faults(&faults);
        return 0;
    }
    text.used = 0;
    fuzz_put_object(&text, iol_object_case, &first);
    bool again = iol_case_read(text.bytes, text.used, &second, &faults);
    fuzz_must(again, "an accepted case is refused when it is written again");
    fuzz_must(memcmp(&first, &second, sizeof first) == 0,
              "an accepted case reads differently when it is written again");
    return 0;
}
