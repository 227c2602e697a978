/* Which screens and parts of a plan are printed as text. */
#include "report.h"

#include <string.h>

#include "screen.h"

enum { DECIDE, THEATRE, PATIENT, NOTE, SCREENS, NAME_MOST = 47 };
static const char *const screen_name[SCREENS] = {"decide", "theatre", "patient", "note"};

/* The name before the next comma; the rest behind it, or NULL. */
static const char *take_name(const char *only, char name[NAME_MOST + 1]) {
    const size_t length = strcspn(only, ","), kept = length < NAME_MOST ? length : NAME_MOST;
    memcpy(name, only, kept);
    name[kept] = '\0';
    return only[length] ? only + length + 1 : NULL;
}

static int screen_of(const char *name) {
    for (int i = 0; i < SCREENS; i++)
        if (strcmp(name, screen_name[i]) == 0) return i;
    return -1;
}

const char *iol_report_unknown(const char *only) {
    char name[NAME_MOST + 1];
    for (const char *at = only, *rest; at; at = rest) {
        rest = take_name(at, name);
        if (screen_of(name) < 0 && !iol_object_find(iol_object_plan, name, strlen(name))) return at;
    }
    return NULL;
}

static bool write_screen(const iol_plan *plan, int which, const iol_report_choice *choice, iol_sink sink,
                         void *context) {
    iol_screen screen;
    switch (which) {
    case THEATRE: iol_screen_theatre(plan, &screen); break;
    case PATIENT:
        iol_screen_patient(plan, choice->language ? choice->language : iol_language_find(NULL), &screen);
        break;
    case NOTE: iol_screen_note(plan, &screen); break;
    default: iol_screen_decide(plan, &screen); break;
    }
    return iol_screen_write(&screen, choice->colour, sink, context);
}

static bool write_stops(const iol_plan *plan, bool last, const iol_report_choice *choice, iol_sink sink,
                        void *context) {
    iol_screen screen;
    iol_screen_start(&screen);
    if (last)
        iol_screen_last_stop(plan, &screen);
    else
        iol_screen_stops(plan, &screen);
    return iol_screen_write(&screen, choice->colour, sink, context);
}

bool iol_report_text(const iol_plan *plan, const iol_report_choice *choice, iol_page *page, iol_sink sink,
                     void *context) {
    char name[NAME_MOST + 1];
    if (!choice->only) return write_screen(plan, DECIDE, choice, sink, context);
    const bool alone = strcmp(choice->only, "decide") == 0 || strcmp(choice->only, "note") == 0; /* they have their stops */
    bool ok = alone || write_stops(plan, false, choice, sink, context);
    bool first = true;
    for (const char *at = choice->only, *rest; at && ok; at = rest, first = false) {
        rest = take_name(at, name);
        const int screen = screen_of(name);
        if (!first) ok = sink(context, "\n", 1);
        if (screen >= 0)
            ok = ok && write_screen(plan, screen, choice, sink, context);
        else if (iol_report_part(plan, name, page))
            ok = ok && iol_page_text(page, choice->colour, sink, context);
    }
    return ok && (alone || write_stops(plan, true, choice, sink, context));
}
