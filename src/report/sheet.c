/* What the sheets share: escaped text, sources by small number. */
#include "sheet.h"

#include <string.h>

void iol_sheet_put(iol_sheet *s, const char *markup) { iol_html_put(s->out, markup); }

void iol_sheet_text(iol_sheet *s, const char *open, const char *text, const char *close) {
    iol_html_put(s->out, open);
    iol_html_escaped(s->out, text);
    iol_html_put(s->out, close);
}

void iol_sheet_section(iol_sheet *s, const char *kind, const char *more, const char *behind) {
    iol_html_put(s->out, "<section class=\"sheet ");
    iol_html_put(s->out, kind);
    iol_html_put(s->out, more);
    iol_html_put(s->out, "\" id=\"");
    iol_html_name(s->out, kind);
    iol_html_put(s->out, behind);
}

void iol_sheet_line(iol_sheet *s, const char *open, iol_line *line, const char *close) {
    iol_sheet_text(s, open, line->text, close);
    iol_line_start(line);
}

/* Our own work has no number. */
static bool is_own(int reference) {
    const char *key = iol_references[reference].key;
    return strcmp(key, "judgement") == 0 || strcmp(key, "this_plan") == 0;
}

void iol_sheet_source(iol_sheet *s, int reference) {
    int at = 0;
    if (is_own(reference)) return;
    while (at < s->sources && s->source[at] != reference) at++;
    if (at == IOL_SHEET_SOURCES) return;
    if (at == s->sources) s->source[s->sources++] = reference;
    iol_html_put(s->out, "<sup><a href=\"#");
    iol_html_name(s->out, "sources");
    iol_html_put(s->out, "\" aria-label=\"source ");
    iol_html_count(s->out, at + 1);
    iol_html_put(s->out, "\">");
    iol_html_count(s->out, at + 1);
    iol_html_put(s->out, "</a></sup>");
}

void iol_sheet_note(iol_sheet *s, const iol_note *note) {
    char text[640];
    iol_html_escaped(s->out, iol_note_plain(note, text, sizeof text));
    iol_sheet_source(s, (int)iol_note_rows[note->code].reference);
}

static char small(char letter) { return letter >= 'A' && letter <= 'Z' ? (char)(letter - 'A' + 'a') : letter; }

/* "oshika_2018" as "Oshika 2018", "mcclatchey_2000" as "McClatchey 2000": capitals as the citation has them. */
static void short_name(iol_sheet *s, const iol_reference_row *row) {
    const char *key = row->key;
    char text[64];
    size_t used = 0;
    const bool person =
        row->status == IOL_STATUS_published || (key[0] && key[strlen(key) - 1] >= '0' && key[strlen(key) - 1] <= '9');
    bool cited = true;
    for (; key[used] && used + 1 < sizeof text; used++) {
        text[used] = key[used] == '_' ? ' ' : key[used];
        cited = cited && small(row->citation[used]) == text[used];
        if (cited && person) text[used] = row->citation[used];
    }
    text[used] = '\0';
    if (person && small(row->citation[0]) != key[0] && key[0] >= 'a' && key[0] <= 'z') text[0] = (char)(key[0] - 'a' + 'A');
    iol_html_escaped(s->out, text);
}

void iol_sheet_sources(iol_sheet *s) {
    if (s->sources) iol_html_put(s->out, " Sources: ");
    for (int i = 0; i < s->sources; i++) {
        if (i) iol_html_put(s->out, " · ");
        iol_html_count(s->out, i + 1);
        iol_html_put(s->out, "&nbsp;");
        short_name(s, &iol_references[s->source[i]]);
    }
    iol_html_put(s->out, s->sources ? ". The rest is this plan’s own computation or judgement." : "");
}

void iol_line_form(iol_line *line, const iol_spectacle_form *form) {
    iol_line part;
    if (isnan(form->sphere_d)) {
        iol_line_text(line, "SE ");
        iol_line_signed(line, form->se_d, IOL_UNIT_d);
        return;
    }
    iol_line_start(&part);
    iol_line_refraction(&part, form->sphere_d, form->cylinder_d, form->axis_deg);
    char *times = strstr(part.text, " x ");
    if (times) *times = '\0';
    iol_line_text(line, part.text);
    if (!times) return;
    iol_line_text(line, " \xC3\x97 ");
    iol_line_text(line, times + 3);
}
