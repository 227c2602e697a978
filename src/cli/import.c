/* iolrevise import: values that nobody types, into a case file. */
#include <stdlib.h>
#include <string.h>

#include "case/reader.h"
#include "case/scan.h"
#include "case/stock.h"
#include "changes.h"
#include "intake/columns.h"
#include "intake/dicom.h"
#include "tables/say.h"
#include "text/gs1.h"

enum { TEXTS = 2 * IOL_SCAN_FILE };

typedef struct {
    const iol_options *options;
    int eye;
    iol_case c, row;
    iol_site site;
    iol_changes changes;
    iol_faults faults, row_faults;
    iol_remarks remarks;
    iol_intake intake;
    iol_columns columns;
    iol_data_sets sets;
    iol_text text[IOL_DICOM_SETS + 1]; /* of the files: what is found in them lies in them */
    int texts;
    char room[TEXTS];
} importer;

/* ---- the case ---- */

static int read_into(importer *m) {
    iol_text text;
    int status = iol_cli_slurp(m->options->into, &text);
    if (status != IOL_EXIT_DONE) return status;
    if (!iol_case_read(text.bytes, text.length, &m->c, &m->faults))
        status = iol_cli_faults(m->options->into, &m->faults);
    else {
        size_t mark = iol_scan_mark(text.bytes, text.length);
        if (!iol_remarks_read(&m->remarks, iol_view_of(text.bytes + mark, text.length - mark)))
            status = iol_cli_flag("--into", NULL, "a case with at most 640 remarks");
    }
    free(text.bytes);
    return status;
}

static int start_case(importer *m) {
    int status = IOL_EXIT_DONE;
    iol_case_reset(&m->c);
    iol_remarks_start(&m->remarks, m->room, sizeof m->room);
    if (m->options->into) status = read_into(m);
    if (status != IOL_EXIT_DONE) return status;
    if (m->c.eye > 0 && m->c.eye != m->eye)
        return iol_cli_flag("--eye", m->options->eye, "the eye that the case of --into is of");
    m->c.present = true;
    m->c.case_format = 1;
    m->c.eye = m->eye;
    return iol_cli_set(&m->options->set, &m->c, &m->changes);
}

/* ---- files ---- */

static bool is_sheet(const importer *m, const char *file) { return m->options->csv || iol_cli_is_sheet(file); }

/* The row is of this eye and, where both say it, of this case. */
static bool row_fits(const importer *m) {
    const iol_case *r = &m->row;
    bool other = r->case_ref[0] && m->c.case_ref[0] && strcmp(r->case_ref, m->c.case_ref) != 0;
    return !other && (r->eye == 0 || r->eye == m->eye);
}

static int refuse_sheet(importer *m, const char *file, const char *found) {
    iol_faults_start(&m->faults);
    iol_fault_add(&m->faults, IOL_FAULT_missing, "", found, "one row of this eye and, with --into, of its case_ref",
                  "");
    return iol_cli_faults(file, &m->faults);
}

/* A row into the case. */
static int take_row(importer *m, const char *file, const char *at, size_t length, int row) {
    char origin[40] = "sheet, row ";
    iol_case_reset(&m->row);
    iol_append_number(origin, sizeof origin, row);
    if (!iol_columns_part(&m->columns, at, length, &m->row, &m->row_faults)) {
        for (int i = 0; i < m->row_faults.count; i++) m->row_faults.item[i].line = row;
        return iol_cli_faults(file, &m->row_faults);
    }
    iol_faults_start(&m->faults);
    iol_intake_case(&m->intake, &m->row, origin);
    for (int i = 0; i < m->faults.count; i++) m->faults.item[i].line = row;
    return m->faults.count > 0 ? iol_cli_faults(file, &m->faults) : IOL_EXIT_DONE;
}

/* The one row that fits is taken; the others are not judged. */
static int take_sheet(importer *m, const char *file, const iol_text *text) {
    const char *at = text->bytes, *end = at + text->length, *chosen = NULL;
    size_t length = iol_row_length(at, text->length), chosen_length = 0;
    int fitting = 0, row = 1, chosen_row = 0;
    if (!iol_columns_read(at, length, &m->columns)) {
        for (int i = 0; i < m->columns.faults.count; i++) m->columns.faults.item[i].line = 1;
        return iol_cli_faults(file, &m->columns.faults);
    }
    for (at += length + 1; at < end; at += length + 1) {
        length = iol_row_length(at, (size_t)(end - at));
        row++;
        if (iol_row_empty(at, length)) continue;
        iol_case_reset(&m->row);
        iol_columns_part(&m->columns, at, length, &m->row, &m->row_faults);
        if (!row_fits(m)) continue;
        fitting++;
        chosen = at, chosen_length = length, chosen_row = row;
    }
    if (fitting != 1) return refuse_sheet(m, file, fitting ? "several rows" : "no row");
    return take_row(m, file, chosen, chosen_length, chosen_row);
}

/* Faults of the scan show what stands there: here that may be a name. */
static int hide(importer *m, const char *file) {
    for (int i = 0; i < m->faults.count; i++) m->faults.item[i].found[0] = '\0';
    for (int i = 0; i < m->faults.count; i++)
        iol_append(m->faults.item[i].found, sizeof m->faults.item[i].found, "text that is not shown");
    return iol_cli_faults(file, &m->faults);
}

/* What a file that does not even begin as JSON is; NULL where it does. */
static const char *other_kind(const iol_text *text, size_t mark) {
    const char *at = text->bytes + mark, *end = text->bytes + text->length;
    if (text->length > 132 && memcmp(text->bytes + 128, "DICM", 4) == 0) return "a DICOM data set in its binary form";
    while (at < end && *at && strchr(" \t\r\n", *at)) at++;
    const size_t left = (size_t)(end - at);
    if (left > 4 && memcmp(at, "%PDF", 4) == 0) return "a PDF, which holds no numbers that can be taken";
    if (left > 0 && *at == '<') return "XML or HTML";
    if (left > 2 && memcmp(at, "PK", 2) == 0) return "a packed file";
    const bool wide = left > 1 && (memcmp(at, "\xff\xfe", 2) == 0 || memcmp(at, "\xfe\xff", 2) == 0);
    if (wide) return "a file in UTF-16";
    return left > 0 && (*at == '{' || *at == '[') ? NULL : "another file";
}

static int take_data_set(importer *m, const char *file, const iol_text *text) {
    static const char wanted[] = "a DICOM data set in its JSON form (dcm2json of dcmtk writes it), or a sheet named "
                                 ".csv; docs/import.md says how to make them";
    size_t mark = iol_scan_mark(text->bytes, text->length);
    iol_view root = iol_view_of(text->bytes + mark, text->length - mark);
    const char *other = other_kind(text, mark);
    iol_faults_start(&m->faults);
    if (!other && !iol_scan_json_within(text->bytes, text->length, IOL_DICOM_VALUES, IOL_SCAN_DEEPEST, &m->faults))
        return hide(m, file);
    if (!other && iol_dicom_is(root))
        return iol_dicom_add(&m->sets, root, &m->faults) ? IOL_EXIT_DONE : iol_cli_faults(file, &m->faults);
    if (!other && iol_scan_has_key(text->bytes, text->length, "case_format")) other = "a case (--into takes one)";
    iol_fault_add(&m->faults, IOL_FAULT_unsupported_format, "", other ? other : "another file", wanted, "");
    return iol_cli_faults(file, &m->faults);
}

static int take_files(importer *m) {
    int status = IOL_EXIT_DONE;
    if (m->options->files > IOL_DICOM_SETS) return iol_cli_usage("at most 32 files", m->options->file[IOL_DICOM_SETS]);
    for (int i = 0; i < m->options->files; i++) {
        const char *file = m->options->file[i];
        iol_text *text = &m->text[m->texts];
        int read = iol_cli_slurp(file, text);
        if (read == IOL_EXIT_DONE) {
            m->texts++;
            read = is_sheet(m, file) ? take_sheet(m, file, text) : take_data_set(m, file, text);
        }
        status = iol_cli_worse(status, read);
    }
    return status;
}

/* ---- the sticker ---- */

static void put_number(importer *m, const char *path, double x, const char *origin) {
    char text[40] = "";
    if (isnan(x)) return;
    iol_append_number(text, sizeof text, x);
    iol_intake_put(&m->intake, path, text, origin);
}

static int take_sticker(importer *m) {
    static const char origin[] = "scanned sticker, by the product number in the site's stock";
    char typed[IOL_CLI_CODE];
    int32_t day;
    iol_gs1 code;
    iol_date_read("2000-01-01", &day); /* of the century of an expiry that nobody asks for */
    int status = iol_cli_code(m->options->sticker, typed);
    if (status != IOL_EXIT_DONE) return status;
    if (!m->options->site)
        return iol_cli_flag("--site", NULL, "with --sticker: its stock says what product numbers mean");
    status = iol_cli_site(m->options->site, &m->site);
    if (status != IOL_EXIT_DONE) return status;
    const char *wrong = iol_gs1_read(typed, day, &code);
    const iol_stock_item *item = wrong ? NULL : iol_stock_find(&m->site, code.gtin);
    iol_faults_start(&m->faults);
    if (!item) {
        iol_fault_add(&m->faults, IOL_FAULT_bad_pattern, "",
                      wrong ? "a code that cannot be read" : "a product number not in the stock",
                      wrong ? wrong : "one of the site's stock", "");
        return iol_cli_faults("--sticker", &m->faults);
    }
    iol_intake_put(&m->intake, "first_surgery.lens.lens_id", item->lens_id, origin);
    put_number(m, "first_surgery.lens.power_d", item->power_d, origin);
    if (item->power_is > 0)
        iol_intake_put(&m->intake, "first_surgery.lens.power_is", IOL_WORD(power_is, item->power_is), origin);
    put_number(m, "first_surgery.lens.cylinder_d", item->cylinder_d, origin);
    iol_intake_put(&m->intake, "first_surgery.lens.identified_by", "sticker", origin);
    return m->faults.count > 0 ? iol_cli_faults("--sticker", &m->faults) : IOL_EXIT_DONE;
}

/* ---- all of it ---- */

static void say(const char *text) { fprintf(stderr, "iolrevise: import: %s\n", text); }

static void say_notes(const importer *m) {
    char text[120];
    for (int i = 0; i < m->intake.notes; i++) say(m->intake.note[i]);
    snprintf(text, sizeof text, "%d %s came in, %d were there already", m->intake.taken,
             m->intake.taken == 1 ? "value" : "values", m->intake.same);
    say(text);
    if (!m->c.case_ref[0]) say("still wanted: case_ref, your own reference (--set case_ref=...)");
    if (m->c.reason == 0) say("still wanted: reason (--set reason=...)");
}

static int write_case(importer *m) {
    iol_output output;
    iol_remarks_source remarks = iol_remarks_source_of(&m->remarks);
    int status = iol_output_open(&output, m->options->output);
    if (status != IOL_EXIT_DONE) return status;
    iol_case_write_remarked(&m->c, &remarks, iol_output_sink, &output);
    return iol_output_close(&output);
}

/* The name that faults of the case as a whole stand under. */
static const char *name_of(const importer *m) {
    return m->options->files == 1 ? m->options->file[0] : m->options->into ? m->options->into : "import";
}

static int run(importer *m) {
    int status = start_case(m);
    if (status != IOL_EXIT_DONE) return status;
    iol_intake_start(&m->intake, &m->c, &m->remarks, &m->faults);
    status = m->options->sticker ? take_sticker(m) : IOL_EXIT_DONE;
    status = iol_cli_worse(status, take_files(m));
    if (status != IOL_EXIT_DONE) return status;
    iol_faults_start(&m->faults);
    iol_dicom_take(&m->sets, m->eye, &m->intake);
    if (m->faults.count == 0) iol_case_check(&m->c, &m->faults);
    if (m->faults.count == 0 && m->intake.taken == 0 && m->intake.same == 0)
        iol_fault_add(&m->faults, IOL_FAULT_missing, "", "nothing of this eye", "a measurement of the eye of --eye",
                      "");
    if (m->faults.count > 0) {
        for (int i = 0; i < m->intake.notes; i++) say(m->intake.note[i]);
        return iol_cli_faults(name_of(m), &m->faults);
    }
    say_notes(m);
    return write_case(m);
}

int iol_cli_import(const iol_options *options) {
    const char *eye = options->eye ? iol_cli_side(options->eye) : NULL;
    if (!eye) return iol_cli_flag("--eye", options->eye, "right or left: the eye that is taken");
    if (options->files == 0 && !options->sticker) return iol_cli_flag("import", NULL, "a file, or --sticker CODE");
    importer *m = calloc(1, sizeof *m);
    if (!m) return iol_cli_no_memory();
    m->options = options;
    m->eye = strcmp(eye, "right") == 0 ? IOL_side_right : IOL_side_left;
    int status = run(m);
    for (int i = 0; i < m->texts; i++) free(m->text[i].bytes);
    free(m);
    return status;
}
