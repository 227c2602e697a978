/* Any bytes as a data set: what comes in is a value of the table within its limits, and no text of the file is told. */
#include "fuzz.h"
#include "case/reader.h"
#include "case/scan.h"
#include "intake/dicom.h"
#include "write/case_json.h"

static iol_case c, again;
static iol_faults faults;
static iol_remarks remarks;
static iol_intake intake;
static iol_data_sets sets;
static char room[1 << 16];
static fuzz_text written;

static bool take(void *context, const char *bytes, size_t length) {
    (void)context;
    fuzz_must(length < sizeof written.bytes - written.used, "too long to write");
    memcpy(written.bytes + written.used, bytes, length);
    written.used += length;
    return true;
}

/* The mark of the corpus must not come through. */
static void check_words(const char *text) { fuzz_must(!strstr(text, "KEPT"), "something of the person came through"); }

static void take_eye(int eye) {
    iol_case_reset(&c);
    c.present = true, c.case_format = 1, c.eye = eye, c.reason = IOL_reason_power_error;
    memcpy(c.case_ref, "A", 2);
    iol_date_read("2025-09-15", &c.first_surgery.done_on);
    c.first_surgery.present = true;
    iol_date_read("2025-10-30", &c.assessed_on);
    iol_remarks_start(&remarks, room, sizeof room);
    iol_faults_start(&faults);
    iol_intake_start(&intake, &c, &remarks, &faults);
    iol_dicom_take(&sets, eye, &intake);
    for (int i = 0; i < intake.notes; i++) check_words(intake.note[i]);
    for (int i = 0; i < faults.count; i++) check_words(faults.item[i].found);
    if (faults.count > 0) return;
    iol_case_check(&c, &faults);
    if (faults.count > 0) return;
    written.used = 0;
    iol_remarks_source source = iol_remarks_source_of(&remarks);
    fuzz_must(iol_case_write_remarked(&c, &source, take, NULL), "not written");
    written.bytes[written.used] = '\0';
    check_words(written.bytes);
    if (!iol_case_read(written.bytes, written.used, &again, &faults)) {
        char line[IOL_FAULT_LINE];
        iol_fault_print(&faults.item[0], line, sizeof line);
        fprintf(stderr, "%s\n", line);
        fuzz_must(false, "what was imported is refused");
    }
}

int LLVMFuzzerTestOneInput(const uint8_t *data, size_t size) {
    const char *text = (const char *)data;
    iol_faults_start(&faults);
    sets.count = 0;
    if (!iol_scan_json_within(text, size, IOL_DICOM_VALUES, IOL_SCAN_DEEPEST, &faults)) return 0;
    size_t mark = iol_scan_mark(text, size);
    iol_view root = iol_view_of(text + mark, size - mark);
    if (!iol_dicom_is(root) || !iol_dicom_add(&sets, root, &faults)) return 0;
    take_eye(IOL_side_right);
    take_eye(IOL_side_left);
    return 0;
}
