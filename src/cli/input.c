/* Inputs: whole files, the site, a day. */
#include <errno.h>
#include <stdlib.h>
#include <string.h>

#include "cli.h"

enum { MOST = (1 << 20) + 1 };

bool iol_cli_blank(const char *bytes, size_t length) {
    for (size_t i = 0; i < length; i++)
        if (!strchr(" \t\r\n", bytes[i]) || !bytes[i]) return false;
    return true;
}

bool iol_cli_is_sheet(const char *file) {
    size_t length = file ? strlen(file) : 0;
    return length > 4 && strcmp(file + length - 4, ".csv") == 0;
}

int iol_cli_slurp(const char *file, iol_text *text) {
    bool standard = !file || strcmp(file, "-") == 0;
    FILE *in = standard ? stdin : fopen(file, "rb");
    *text = (iol_text){NULL, 0};
    if (!in) return iol_cli_cannot("open", file, IOL_EXIT_INPUT);
    text->bytes = malloc(MOST);
    if (text->bytes) text->length = fread(text->bytes, 1, MOST, in);
    bool failed = text->bytes && ferror(in);
    int status = !text->bytes ? iol_cli_cannot("read", standard ? "standard input" : file, IOL_EXIT_FAULT)
                 : failed     ? iol_cli_cannot("read", standard ? "standard input" : file, IOL_EXIT_INPUT)
                              : IOL_EXIT_DONE;
    if (!standard) fclose(in);
    if (status == IOL_EXIT_DONE && iol_cli_blank(text->bytes, text->length)) status = iol_cli_nothing(file);
    if (status != IOL_EXIT_DONE) {
        free(text->bytes);
        text->bytes = NULL;
    }
    return status;
}

int iol_cli_code(const char *typed, char out[IOL_CLI_CODE]) {
    iol_text text = {NULL, 0};
    bool standard = strcmp(typed, "-") == 0;
    int status = standard ? iol_cli_slurp(typed, &text) : IOL_EXIT_DONE;
    if (status != IOL_EXIT_DONE) return status;
    const char *bytes = standard ? text.bytes : typed;
    size_t length = standard ? text.length : strlen(typed);
    bool fits = length < IOL_CLI_CODE && !memchr(bytes, 0, length);
    if (fits) memcpy(out, bytes, length), out[length] = '\0';
    free(text.bytes);
    return fits ? IOL_EXIT_DONE : iol_cli_flag("code", NULL, "one code of at most 512 characters");
}

int iol_cli_nothing(const char *file) {
    char name[IOL_FAULT_QUOTED];
    bool standard = !file || strcmp(file, "-") == 0;
    fprintf(stderr, "iolrevise: %s: nothing to read\n",
            standard ? "standard input" : iol_cli_printable(file, name, sizeof name));
    return IOL_EXIT_INPUT;
}

int iol_cli_site(const char *file, iol_site *site) {
    iol_text text;
    if (!file) {
        iol_site_generic(site);
        return IOL_EXIT_DONE;
    }
    int status = iol_cli_slurp(file, &text);
    if (status != IOL_EXIT_DONE) return status;
    iol_faults *faults = malloc(sizeof *faults);
    if (!faults)
        status = iol_cli_cannot("read", file, IOL_EXIT_FAULT);
    else if (!iol_site_read(text.bytes, text.length, site, faults))
        status = iol_cli_faults(file, faults);
    free(faults);
    free(text.bytes);
    return status;
}

int iol_cli_as_of(const char *text, int32_t *day) {
    *day = IOL_UNKNOWN_DATE;
    if (!text || iol_date_read(text, day)) return IOL_EXIT_DONE;
    return iol_cli_usage("a real day as 2026-11-25", text);
}
