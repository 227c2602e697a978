/* Signs: which of the two eyes, stop, the eye from the side, dots of a hundred. */
#include "sheet.h"
#include "iolrevise/optics.h"
#include "tables/rule_codes.h"

/* As you face the patient: the right eye stands on the left. */
void iol_sheet_two_eyes(iol_sheet *s) {
    const double height_mm = 10.0;
    const bool right = s->plan->eye == IOL_side_right;
    iol_drawing d;
    iol_drawing_open(&d, s->out, "two-eyes", 3.4 * height_mm, height_mm,
                     right ? "The right eye is marked" : "The left eye is marked",
                     "Two eyes as you face the patient: the patient's right eye stands on the left.");
    for (int i = 0; i < 2; i++) {
        const bool marked = (i == 0) == right;
        const double x = (0.85 + 1.7 * i) * height_mm, y = height_mm / 2.0, half = 0.8 * height_mm;
        double xy[2 * 26];
        for (int k = 0; k <= 24; k++) {
            const double t = k <= 12 ? -1.0 + k / 6.0 : 1.0 - (k - 12) / 6.0;
            xy[2 * k] = x + half * t;
            xy[2 * k + 1] = y + (k <= 12 ? -1.0 : 1.0) * (1.0 - t * t) * 0.47 * height_mm;
        }
        iol_draw_path(&d, marked ? "k" : "p faint", xy, 25, true);
        iol_draw_disc(&d, marked ? "paper" : "p faint", x, y, 0.27 * height_mm);
        iol_draw_text(&d, marked ? "eye m w" : "eye m q", x, y + 0.13 * height_mm, i == 0 ? "R" : "L");
    }
    iol_drawing_close(&d);
}

void iol_sheet_stop_sign(iol_sheet *s) {
    iol_drawing d;
    double xy[16];
    iol_drawing_open(&d, s->out, "stop-sign", 16.0, 16.0, "Stop", "An octagon.");
    for (int i = 0; i < 8; i++) {
        double sine, cosine;
        iol_sincos_deg(22.5 + 45.0 * i, &sine, &cosine);
        xy[2 * i] = 8.0 + 7.8 * cosine;
        xy[2 * i + 1] = 8.0 + 7.8 * sine;
    }
    iol_draw_path(&d, "stop", xy, 8, true);
    iol_draw_text(&d, "stop-word m", 8.0, 9.7, "STOP");
    iol_drawing_close(&d);
}

/* Ten rows of ten, filled from the top. */
void iol_sheet_dots(iol_sheet *s, double of_100, const char *title) {
    iol_drawing d;
    const int filled = (int)(of_100 + 0.5);
    iol_drawing_open(&d, s->out, "dots", 58.0, 58.0, title,
                     "A hundred dots, one an eye; the filled ones came close to the plan.");
    for (int i = 0; i < 100; i++)
        iol_draw_disc(&d, i < filled ? "k" : "p", 4.0 + 5.6 * (i % 10), 4.0 + 5.6 * (i / 10), 2.0);
    iol_drawing_close(&d);
}

/* ---- the eye from the side ---- */

typedef struct {
    double x, y;
} spot;

static void curve(iol_drawing *d, const char *kind, spot a, spot b, spot c, spot e) {
    double xy[2 * 17];
    for (int i = 0; i <= 16; i++) {
        const double t = i / 16.0, u = 1.0 - t;
        xy[2 * i] = u * u * u * a.x + 3.0 * u * u * t * b.x + 3.0 * u * t * t * c.x + t * t * t * e.x;
        xy[2 * i + 1] = u * u * u * a.y + 3.0 * u * u * t * b.y + 3.0 * u * t * t * c.y + t * t * t * e.y;
    }
    iol_draw_path(d, kind, xy, 17, false);
}

/* tilt_deg: its upper edge backward, which is to the right. */
static void lens(iol_drawing *d, const char *kind, spot at, spot half, double tilt_deg) {
    double xy[2 * 24], tilt_sine, tilt_cosine;
    iol_sincos_deg(tilt_deg, &tilt_sine, &tilt_cosine);
    for (int i = 0; i < 24; i++) {
        double sine, cosine;
        iol_sincos_deg(15.0 * i, &sine, &cosine);
        const double x = half.x * cosine, y = half.y * sine;
        xy[2 * i] = at.x + x * tilt_cosine - y * tilt_sine;
        xy[2 * i + 1] = at.y + x * tilt_sine + y * tilt_cosine;
    }
    iol_draw_path(d, kind, xy, 24, true);
}

/* The old lens off its place: as far as the record says, up or down and tilted as it says; where it does not say toward where,
 * downward. Its place stays as a broken outline. */
static void moved_lens(iol_drawing *d, const iol_removal *r, const char *kind, spot place, spot half) {
    const iol_removal_orientation *o = &r->orientation;
    const double optic_mm = r->lens.optic_diameter_mm / 2.0, least = 1.5,
                 most = 8.0; /* half the optic; mm of the drawing */
    double up, aside, back, level, shift = o->decentration_mm / optic_mm * half.y, tilt = 0.0;
    if (!o->present) shift = NAN;
    iol_sincos_deg(o->decentration_position_deg, &up, &aside);
    iol_sincos_deg(o->tilted_back_position_deg, &back, &level);
    const bool stated = fabs(up) > 0.35;
    if (isnan(shift)) shift = 4.0;
    shift = fmin(fmax(stated ? shift * fabs(up) : shift, least), most);
    if (!isnan(o->tilt_deg) && !isnan(back)) tilt = o->tilt_deg * back;
    lens(d, "b", place, half, 0.0);
    lens(d, kind, (spot){place.x, place.y + (stated && up > 0.0 ? -shift : shift)}, half, tilt);
}

/* The old lens fallen behind the iris: on the retina below, or between; its place stays as a broken outline. Where it lies. */
static spot fallen_lens(iol_drawing *d, int behind, const char *kind, spot place, spot half, spot eye, double radius) {
    const bool down = behind == IOL_lies_retina;
    const spot at =
        down ? (spot){eye.x + 3.0, eye.y + radius - 1.6 - half.x - 0.6} : (spot){place.x + 9.0, eye.y + 5.0};
    lens(d, "b", place, half, 0.0);
    lens(d, kind, at, half, down ? 90.0 : 30.0);
    return at;
}

/* The patient is told so, or the record says how far it lies off. */
bool iol_sheet_lens_moved(const iol_plan *plan) {
    iol_line line;
    iol_line_start(&line);
    for (int i = 0; i < plan->patient_count; i++) {
        const int note = iol_note_find(&plan->notes, IOL_AT_told_say, i, 0);
        const int code = note < 0 ? -1 : plan->notes.item[note].code;
        if (code == IOL_NOTE_plain_loose || code == IOL_NOTE_plain_off_place || code == IOL_NOTE_plain_fallen) return true;
    }
    if (plan->removal.orientation.present) iol_line_lies(&line, &plan->removal.orientation);
    return line.used > 0 || iol_lens_behind(plan);
}

static void pointer(iol_drawing *d, double x, double y, double to_x, double to_y) {
    iol_draw_line(d, "thin", x, y, to_x, to_y);
}

/* Two lenses, each by its name; what comes out, or is changed or turned, is drawn heavy. */
static void two_lenses(iol_drawing *d, spot behind, int option, const iol_language *language) {
    const bool front_only = option == IOL_option_second_exchange || option == IOL_option_second_out ||
                            option == IOL_option_second_turn,
               back_only = option == IOL_option_rotation || option == IOL_option_optic_capture,
               both = option == IOL_option_exchange || option == IOL_option_reposition || option == IOL_option_remove_only;
    const spot front = {behind.x - 4.2, behind.y};
    lens(d, both || back_only ? "kk" : "g", behind, (spot){1.9, 7.0}, 0.0);
    lens(d, both || front_only ? "kk" : "g", front, (spot){1.2, 6.4}, 0.0);
    pointer(d, 54.0, 5.5, behind.x + 1.0, behind.y - 5.0);
    iol_draw_text(d, both || back_only ? "p12 m w" : "p12 m", 54.0, 4.2, language->word[IOL_HEAD_lens_behind]);
    pointer(d, 44.0, 52.0, front.x, front.y + 5.6);
    iol_draw_text(d, both || front_only ? "p12 m w" : "p12 m", 44.0, 56.6, language->word[IOL_HEAD_lens_front]);
}

static void one_lens(iol_drawing *d, spot at, const char *kind, bool without, const iol_language *language) {
    pointer(d, 50.0, 5.5, at.x, at.y);
    iol_draw_text(d, kind, 50.0, 4.2, language->word[without ? IOL_HEAD_lens_place : IOL_HEAD_lens]);
}

/* The part that the way works on is drawn heavy and its name is bold. */
void iol_sheet_eye_side(iol_sheet *s, int option, bool without, const iol_language *language) {
    const bool window =
        option == IOL_option_corneal_laser || option == IOL_option_contact_lens || option == IOL_option_treat_surface;
    const bool retina = option == IOL_option_treat_macula;
    const bool on_lens = !window && !retina && option != IOL_option_spectacles && option != IOL_option_leave;
    const double cx = 48.0, cy = 30.0, r = 20.0;
    double sine, cosine;
    iol_drawing d;
    iol_sincos_deg(36.0, &sine, &cosine);
    iol_drawing_open(&d, s->out, "eye-side", 90.0, 58.0, language->word[IOL_HEAD_eye_title],
                     language->word[IOL_HEAD_eye_more]);
    iol_draw_arc(&d, "l", cx, cy, r, -144.0, 144.0);
    const spot top = {cx - r * cosine, cy - r * sine}, bottom = {cx - r * cosine, cy + r * sine};
    curve(&d, window ? "hh" : "h", top, (spot){top.x - 8.5, top.y + 6.0}, (spot){bottom.x - 8.5, bottom.y - 6.0},
          bottom);
    iol_draw_arc(&d, retina ? "hh" : "grey", cx, cy, r - 1.6, -72.0, 72.0);
    iol_draw_line(&d, "hh2", top.x + 1.5, top.y + 1.8, top.x + 3.5, cy - 4.6);
    iol_draw_line(&d, "hh2", top.x + 1.5, bottom.y - 1.8, top.x + 3.5, cy + 4.6);
    const double lens_x = top.x + 7.5;
    const bool moved = !without && iol_sheet_lens_moved(s->plan), two = s->plan->two_lenses.present;
    const spot place = {lens_x, cy}, half = {1.9, 7.0};
    const char *kind = without ? "b" : on_lens ? "kk" : "g";
    const int behind = without ? 0 : iol_lens_behind(s->plan);
    spot seen = {lens_x + 1.0, cy - 5.0};
    if (two)
        two_lenses(&d, place, option, language);
    else if (behind)
        seen = fallen_lens(&d, behind, kind, place, half, (spot){cx, cy}, r), seen.y -= 1.5;
    else if (moved)
        moved_lens(&d, &s->plan->removal, kind, place, half);
    else
        lens(&d, kind, place, half, 0.0);
    if (option == IOL_option_piggyback)
        lens(&d, "kk", (spot){lens_x - 4.2, cy}, (spot){1.2, 6.4}, 0.0);
    if (!moved)
        curve(&d, "b", (spot){lens_x, cy - 8.4}, (spot){lens_x + 5.0, cy - 6.0}, (spot){lens_x + 5.0, cy + 6.0},
              (spot){lens_x, cy + 8.4});
    const char *bold = "p12 w", *plain = "p12"; /* from the left edge: a longer word of a language runs inward */
    pointer(&d, 24.0, 9.0, top.x - 4.6, cy - 8.0);
    iol_draw_text(&d, window ? bold : plain, 1.0, 7.5, language->word[IOL_HEAD_window]);
    pointer(&d, 24.0, 50.0, top.x + 2.4, cy + 8.0);
    iol_draw_text(&d, plain, 1.0, 54.0, language->word[IOL_HEAD_ring]);
    if (!two) one_lens(&d, seen, on_lens ? "p12 m w" : "p12 m", without, language);
    if (moved)
        iol_draw_text(&d, "p12 e", 89.5, 56.0, language->word[IOL_HEAD_not_to_scale]);
    else {
        pointer(&d, 60.0, 52.0, lens_x + 3.6, cy + 3.0);
        iol_draw_text(&d, "p12", 61.0, 55.0, language->word[IOL_HEAD_skin]);
    }
    pointer(&d, 76.0, 11.0, cx + 0.766 * (r - 1.6), cy - 0.643 * (r - 1.6));
    iol_draw_text(&d, retina ? "p12 e w" : "p12 e", 89.5, 9.5, language->word[IOL_HEAD_film]);
    if (option == IOL_option_corneal_laser)
        for (int i = -1; i <= 1; i++) {
            iol_draw_line(&d, "b", 6.0, cy + 3.2 * i, top.x - 8.0, cy + 3.2 * i);
            iol_draw_head(&d, top.x - 6.4, cy + 3.2 * i, 0.0, 2.4);
        }
    iol_drawing_close(&d);
}
