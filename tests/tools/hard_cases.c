/* hard_cases FOLDER: the cases of tests/rows/hard.def as files, for the checks that look at pages. */
#include "../unit/hard_case.h"
#include "write/case_json.h"

static bool keep(void *file, const char *bytes, size_t length) { return fwrite(bytes, 1, length, file) == length; }

int main(int count, char **argument) {
    static iol_case c;
    if (count != 2) return 2;
    for (int i = 0; i < HARD_CASES; i++) {
        char path[400];
        snprintf(path, sizeof path, "%s/%s.json", argument[1], hard_names[i]);
        FILE *file = fopen(path, "w");
        if (!file) return 1;
        hard_case(i, &c);
        const bool ok = iol_case_write(&c, keep, file);
        if (fclose(file) != 0 || !ok) return 1;
    }
    return 0;
}
