/* Lines of a screen: wrapped, ranked, printed. */
#include "screen.h"
#include "text/tie.h"

#include <string.h>

#include "text/date_words.h"

enum { INDENT = 7 };

void iol_screen_start(iol_screen *s) {
    s->lines = s->groups = 0;
    s->lost = false;
}

static iol_screen_line *add(iol_screen *s, int rank, int group) {
    if (s->lines == IOL_SCREEN_ROOM) {
        s->lost = true;
        return NULL;
    }
    iol_screen_line *line = &s->line[s->lines++];
    *line = (iol_screen_line){.rank = rank, .group = group};
    return line;
}

/* ASCII alone reaches the terminal: other characters print as '?', controls as blanks. Returns the bytes read. */
static size_t copy(char *to, size_t room, const char *from, size_t length) {
    size_t used = 0;
    for (size_t i = 0; i < length && used + 1 < room; i++) {
        const unsigned char byte = (unsigned char)from[i];
        if ((byte & 0xC0) == 0x80) continue;
        to[used++] = byte < ' ' || byte == 0x7F ? ' ' : byte > 0x7F ? '?' : (char)byte;
    }
    to[used] = '\0';
    return used;
}

/* How much of text goes on a line of `room` columns: whole words, a longer word is cut. */
static size_t take(const char *text, size_t room) {
    size_t end = 0, fits = 0;
    for (size_t columns = 0; text[end]; end++) {
        if (((unsigned char)text[end] & 0xC0) == 0x80) continue;
        if (columns == room) break;
        columns++;
        if ((text[end + 1] == ' ' && !iol_is_tie(text, end + 1)) || text[end + 1] == '\0') fits = end + 1;
    }
    while (fits > 0 && text[fits] && ((unsigned char)text[fits] & 0xC0) == 0x80) fits++;
    return text[end] == '\0' ? end : fits ? fits : end;
}

static void wrap(iol_screen *s, int rank, int group, const char *head, const char *text) {
    bool first = true;
    while (*text == ' ') text++;
    do {
        iol_screen_line *line = add(s, rank, group);
        const size_t length = take(text, IOL_SCREEN_COLUMNS - INDENT);
        if (!line) return;
        const size_t at = first && head ? copy(line->text, INDENT, head, strlen(head)) : 0;
        line->head = first && head && *head;
        if (length) {
            memset(line->text + at, ' ', INDENT - at);
            size_t end = INDENT + copy(line->text + INDENT, IOL_SCREEN_COLUMNS + 1 - INDENT, text, length);
            while (end > 0 && line->text[end - 1] == ' ') line->text[--end] = '\0';
        }
        text += length;
        while (*text == ' ') text++;
        first = false;
    } while (*text);
}

void iol_screen_say(iol_screen *s, int rank, const char *head, const char *text) {
    wrap(s, rank, ++s->groups, head, text);
}

void iol_screen_more(iol_screen *s, const char *text) {
    const int rank = s->lines ? s->line[s->lines - 1].rank : IOL_RANK_NEVER;
    wrap(s, rank, s->groups, NULL, text);
}

void iol_screen_row(iol_screen *s, int rank, const char *text) {
    iol_screen_line *line = add(s, rank, ++s->groups);
    if (line) copy(line->text, IOL_SCREEN_COLUMNS + 1, text, strlen(text));
}

void iol_screen_whole(iol_screen *s, const char *text) {
    iol_screen_line *line = add(s, IOL_RANK_NEVER, ++s->groups);
    if (line) copy(line->text, sizeof line->text, text, strlen(text));
}

void iol_screen_blank(iol_screen *s) {
    if (s->lines > 0 && s->line[s->lines - 1].text[0]) iol_screen_row(s, IOL_RANK_BLANK, "");
}

void iol_screen_fit(iol_screen *s, int most) {
    int left = 0;
    for (int i = 0; i < s->lines; i++) left += !s->line[i].gone;
    while (left > most) {
        int last = -1;
        for (int i = 0; i < s->lines; i++)
            if (!s->line[i].gone && s->line[i].rank > IOL_RANK_NEVER &&
                (last < 0 || s->line[i].rank >= s->line[last].rank))
                last = i;
        if (last < 0) return;
        s->lost |= s->line[last].rank < IOL_RANK_BLANK;
        for (int i = 0; i < s->lines; i++)
            if (!s->line[i].gone && s->line[i].group == s->line[last].group) s->line[i].gone = true, left--;
    }
}

bool iol_screen_write(const iol_screen *s, bool colour, iol_sink sink, void *context) {
    bool ok = true;
    for (int i = 0; i < s->lines && ok; i++) {
        const iol_screen_line *line = &s->line[i];
        const bool stop = strncmp(line->text, "STOP", 4) == 0, styled = colour && line->head;
        if (line->gone) continue;
        const size_t length = strlen(line->text), head = styled ? strcspn(line->text, " ") : 0;
        if (styled) ok = ok && sink(context, stop ? "\033[1;31m" : "\033[1m", stop ? 7 : 4);
        if (head) ok = ok && sink(context, line->text, head);
        if (styled) ok = ok && sink(context, "\033[0m", 4);
        if (length > head) ok = ok && sink(context, line->text + head, length - head);
        ok = ok && sink(context, "\n", 1);
    }
    return ok;
}

void iol_line_column(iol_line *line, size_t column) {
    while (line->used < column && line->used + 1 < sizeof line->text) iol_line_text(line, " ");
}

void iol_line_day(iol_line *line, int32_t day) {
    char text[24] = "not known";
    if (day != IOL_UNKNOWN_DATE) iol_date_words(day, NULL, text, sizeof text);
    iol_line_text(line, text);
}
