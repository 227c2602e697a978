/* Pages for people: the blocks, the text of at most 80 columns, the HTML document. */
#include <setjmp.h>
#include <stdarg.h>
#include <stddef.h>
#include <stdint.h>

#include <cmocka.h>

#include <ctype.h>
#include <string.h>

#include "report/page.h"

typedef struct {
    char bytes[1 << 20];
    size_t used;
    int takes; /* refuses after this many calls; negative: never */
    int calls;
} store;

static store kept;
static iol_page page;
static uint64_t random_state = 0x2545F4914F6CDD1Du;

static bool keep(void *context, const char *bytes, size_t length) {
    store *s = context;
    s->calls++;
    if (s->takes == 0 || length >= sizeof s->bytes - s->used) return false;
    s->takes -= s->takes > 0 ? 1 : 0;
    memcpy(s->bytes + s->used, bytes, length);
    s->used += length;
    s->bytes[s->used] = '\0';
    return true;
}

static void empty_store(int takes) {
    kept.used = 0;
    kept.takes = takes;
    kept.calls = 0;
    kept.bytes[0] = '\0';
}

static const char *as_text(bool colour) {
    empty_store(-1);
    assert_true(iol_page_text(&page, colour, keep, &kept));
    return kept.bytes;
}

static const char *as_html(void) {
    empty_store(-1);
    assert_true(iol_page_html(&page, keep, &kept));
    return kept.bytes;
}

static unsigned next_random(unsigned below) {
    random_state ^= random_state << 13;
    random_state ^= random_state >> 7;
    random_state ^= random_state << 17;
    return (unsigned)(random_state >> 33) % below;
}

static void compose_sample(void) {
    static const char *const heads[] = {"Lens", ">Power", ">SE", "Why"};
    static const char *const first[] = {"A", "+21.50", "-0.25",
                                        "nearest to the target that is still on the near side of it"};
    static const char *const second[] = {"Bold class", "+9.00", "+0.10", NULL};
    iol_page_start(&page);
    iol_page_title(&page, "Plan for case K-17");
    iol_page_pair(&page, "Eye", "right");
    iol_page_pair(&page, "Old lens",
                  "+21.00 D, in the bag,   read from the sticker, one piece,\n"
                  "hydrophobic acrylic, square edge");
    iol_page_heading(&page, "Replacement");
    iol_page_paragraph(&page, "Word word word word word word word word word word word word word word word word word.");
    iol_page_item(&page, "Measure the length again before ordering, and once more when the two lengths are apart.");
    iol_page_item(&page, "Short.");
    iol_page_table(&page, 4, heads);
    iol_page_row(&page, 4, first);
    iol_page_row(&page, 4, second);
    iol_page_caution(&page, "stop",
                     "The lens was identified from memory only. Order nothing before the label "
                     "has been seen.");
    iol_page_caution(&page, "NOTE", "Local rules come first.");
}

static void sample_text(void **state) {
    (void)state;
    compose_sample();
    assert_string_equal(as_text(false),
                        "Plan for case K-17\n==================\n\n"
                        "Eye       right\n"
                        "Old lens  +21.00 D, in the bag, read from the sticker, one piece, hydrophobic\n"
                        "          acrylic, square edge\n\n"
                        "Replacement\n-----------\n"
                        "Word word word word word word word word word word word word word word word word\n"
                        "word.\n\n"
                        "-  Measure the length again before ordering, and once more when the two lengths\n"
                        "   are apart.\n-  Short.\n\n"
                        "Lens         Power     SE  Why\n"
                        "----------  ------  -----  -----------------------------------------------------\n"
                        "A           +21.50  -0.25  nearest to the target that is still on the near side\n"
                        "                           of it\n"
                        "Bold class   +9.00  +0.10\n\n"
                        "STOP  The lens was identified from memory only. Order nothing before the label\n"
                        "      has been seen.\n"
                        "NOTE  Local rules come first.\n");
}

/* Without its style codes a coloured page is the plain page. */
static void colour_adds_only_codes(void **state) {
    (void)state;
    static char plain[8192];
    static char stripped[8192];
    compose_sample();
    iol_page_caution(&page, "warn", "A second severity.");
    as_text(false);
    assert_true(kept.used < sizeof plain);
    memcpy(plain, kept.bytes, kept.used + 1);
    const char *coloured = as_text(true);
    assert_non_null(strstr(coloured, "\033[1mReplacement\033[0m\n"));
    assert_non_null(strstr(coloured, "\033[1;31mSTOP\033[0m  The lens"));
    assert_non_null(strstr(coloured, "\033[1;33mWARN\033[0m  A second"));
    assert_null(strchr(plain, '\033'));
    size_t used = 0;
    for (const char *p = coloured; *p != '\0'; p++) {
        if (*p == '\033') p = strchr(p, 'm') + 1;
        stripped[used++] = *p;
    }
    assert_string_equal(stripped, plain);
}

static void hostile_text(void **state) {
    (void)state;
    iol_page_start(&page);
    iol_page_paragraph(&page, "a\033[31mb\x01\x7f"
                              "c\td\r\ne \xC3\xA9\xE2\x82\xAC \x80");
    iol_page_paragraph(&page, "");
    assert_string_equal(as_text(false), "a [31mb c d e ?? ?\n\n\n");
    char word[201];
    memset(word, 'w', 200);
    word[200] = '\0';
    iol_page_start(&page);
    iol_page_item(&page, word);
    const char *text = as_text(false);
    assert_int_equal(strcspn(text, "\n"), 80);
    assert_int_equal(strlen(text), 200 + 3 * 4);
}

static void random_word(char *out, unsigned most) {
    static const char letters[] = "abcdefghijklmnopqrstuvwxyz0123456789";
    const unsigned length = next_random(40) == 0 ? 1 + next_random(most) : 1 + next_random(9);
    for (unsigned i = 0; i < length; i++) out[i] = letters[next_random(36)];
    out[length] = '\0';
}

static const char *random_text(char *out, unsigned words) {
    static const char *const blanks[] = {" ", "  ", "\n", "\t", " \x02 "};
    out[0] = '\0';
    for (unsigned i = next_random(words + 1); i > 0; i--) {
        random_word(out + strlen(out), 300);
        strncat(out, blanks[next_random(5)], 4);
    }
    return out;
}

static void random_block(void) {
    static char texts[IOL_PAGE_CELLS + 1][16384];
    const char *cells[IOL_PAGE_CELLS];
    const int columns = 1 + (int)next_random(IOL_PAGE_CELLS);
    switch (next_random(12)) {
    case 7: iol_page_section(&page, "name", random_text(texts[0], 20)); break;
    case 8: iol_page_subheading(&page, random_text(texts[0], 20)); break;
    case 9: iol_page_fold(&page, random_text(texts[0], 20)); break;
    case 10: iol_page_unfold(&page); break;
    case 11: iol_page_alone(&page, random_text(texts[0], 5), random_text(texts[1], 5)); break;
    case 0: iol_page_title(&page, random_text(texts[0], 20)); break;
    case 1: iol_page_heading(&page, random_text(texts[0], 20)); break;
    case 2: iol_page_paragraph(&page, random_text(texts[0], 40)); break;
    case 3: iol_page_item(&page, random_text(texts[0], 40)); break;
    case 4: iol_page_caution(&page, next_random(2) == 0 ? "STOP" : "NOTE", random_text(texts[0], 40)); break;
    case 5:
        for (unsigned i = next_random(5); i > 0; i--)
            iol_page_pair(&page, random_text(texts[0], 12), random_text(texts[1], 30));
        break;
    default:
        for (int row = 0; row < 4; row++) {
            for (int i = 0; i < columns; i++) {
                texts[i][0] = '>';
                random_text(texts[i] + (row == 0 && i % 2 == 1 ? 1 : 0), row == 0 ? 2 : next_random(9));
                cells[i] = texts[i];
            }
            if (row == 0) {
                iol_page_table(&page, columns, cells);
            } else {
                iol_page_row(&page, 1 + (int)next_random((unsigned)columns), cells);
            }
        }
    }
}

/* Adds the letters and digits of a text to the counts of each. */
static void count_letters(const char *text, int sign, int counts[256]) {
    for (; *text != '\0'; text++)
        if (isalnum((unsigned char)*text)) counts[(unsigned char)*text] += sign;
}

/* Every element is closed in order; the document has no other '<'. */
static void check_balance(const char *html) {
    static char open[64][16];
    int depth = 0;
    assert_int_equal(strncmp(html, "<!DOCTYPE html>", 15), 0);
    for (const char *p = strchr(html + 15, '<'); p != NULL; p = strchr(p + 1, '<')) {
        const bool closing = p[1] == '/';
        const char *name = p + (closing ? 2 : 1);
        const size_t length = strspn(name, "abcdefghijklmnopqrstuvwxyz0123456789");
        assert_true(length > 0 && length < sizeof open[0]);
        assert_true(strcspn(p + 1, ">") < strcspn(p + 1, "<"));
        if (length == 4 && strncmp(name, "meta", 4) == 0) {
            continue; /* a void element */
        }
        if (p[strcspn(p, ">") - 1] == '/') {
            continue; /* a mark of a drawing, closed in itself */
        }
        if (closing) {
            assert_true(depth > 0);
            depth--;
            assert_int_equal(strlen(open[depth]), length);
            assert_int_equal(strncmp(open[depth], name, length), 0);
        } else {
            assert_true(depth < 64);
            memcpy(open[depth], name, length);
            open[depth++][length] = '\0';
        }
    }
    assert_int_equal(depth, 0);
}

/* On any page each line has at most 80 printable columns and no blank at its end, no letter is lost, and the HTML
 * elements are balanced. */
static void random_pages(void **state) {
    (void)state;
    for (int round = 0; round < 1000; round++) {
        int counts[256] = {0};
        iol_page_start(&page);
        for (unsigned i = next_random(12); i > 0; i--) random_block();
        assert_false(page.lost);
        check_balance(as_html());
        for (int b = 0; b < page.blocks; b++) {
            const iol_block_kind kind = page.block[b].kind;
            const bool silent = kind == IOL_BLOCK_FOLD || kind == IOL_BLOCK_UNFOLD || kind == IOL_BLOCK_ALONE;
            const int cells = silent ? 0 : kind == IOL_BLOCK_HEADING ? 1 : page.block[b].cells;
            for (int i = 0; i < cells; i++) count_letters(page.bytes + page.block[b].text[i], 1, counts);
        }
        const char *text = as_text(false);
        static const int none[256];
        count_letters(text, -1, counts);
        assert_memory_equal(counts, none, sizeof none);
        while (*text != '\0') {
            const size_t length = strcspn(text, "\n");
            assert_true(length <= 80);
            assert_true(length == 0 || text[length - 1] != ' ');
            for (size_t i = 0; i < length; i++) assert_true(text[i] >= ' ' && text[i] < 0x7F);
            assert_int_equal(text[length], '\n');
            text += length + 1;
        }
    }
}

static void check_loss_is_said(void) {
    static const char said[] = "This page is not complete: it was too long and its end was left out. "
                               "Do not act on it; take the same result as JSON.";
    assert_true(page.lost);
    const char *html = strstr(as_html(), "<p class=\"caution stop\"><strong>STOP</strong> This page");
    assert_non_null(html);
    assert_non_null(strstr(html, said));
    assert_string_equal(strstr(html, "</p>"), "</p>\n</main>\n</body>\n</html>\n");
    static const char end[] = "\nSTOP  This page is not complete: it was too long and its end was left out. Do\n"
                              "      not act on it; take the same result as JSON.\n";
    const char *text = as_text(false);
    assert_true(strlen(text) >= strlen(end));
    assert_string_equal(text + strlen(text) - strlen(end), end);
}

static void overflow(void **state) {
    (void)state;
    iol_page_start(&page); /* too many blocks */
    for (int i = 0; i < IOL_PAGE_BLOCKS; i++) iol_page_item(&page, "x");
    assert_false(page.lost);
    assert_null(strstr(as_text(false), "STOP"));
    iol_page_item(&page, "last");
    check_loss_is_said();
    assert_null(strstr(as_text(false), "last"));

    static char most[IOL_PAGE_BYTES + 1]; /* too many bytes: one fits exactly, one more does not */
    memset(most, 'm', IOL_PAGE_BYTES);
    iol_page_start(&page);
    iol_page_paragraph(&page, most + 1);
    assert_false(page.lost);
    assert_int_equal(page.used, IOL_PAGE_BYTES);
    iol_page_paragraph(&page, NULL);
    assert_int_equal(page.blocks, 1);
    check_loss_is_said();
    iol_page_start(&page);
    assert_false(page.lost);
    iol_page_item(&page, "kept");
    iol_page_paragraph(&page, most);
    iol_page_item(&page, "after"); /* nothing follows a gap */
    assert_int_equal(page.blocks, 1);
    check_loss_is_said();
}

static void too_many_cells(void **state) {
    (void)state;
    const char *const cells[IOL_PAGE_CELLS + 1] = {"a", "b", "c", "d", "e", "f", "g", "h", "i"};
    iol_page_start(&page);
    iol_page_table(&page, IOL_PAGE_CELLS, cells);
    iol_page_row(&page, IOL_PAGE_CELLS, cells);
    assert_false(page.lost);
    iol_page_row(&page, IOL_PAGE_CELLS + 1, cells);
    check_loss_is_said();
    iol_page_start(&page);
    iol_page_row(&page, 1, cells); /* rows without a head are still a table */
    assert_string_equal(as_text(false), "a\n");
    iol_page_row(&page, 0, cells);
    assert_true(page.lost);
}

static void sample_html(void **state) {
    (void)state;
    compose_sample();
    const char *html = as_html();
    check_balance(html);
    assert_non_null(strstr(html, "<title>Plan for case K-17</title>"));
    assert_non_null(strstr(html, "<h1>Plan for case K-17</h1>"));
    assert_non_null(strstr(html, "<tr><th scope=\"row\">Eye</th><td>right</td></tr>"));
    assert_non_null(strstr(html, "<th scope=\"col\" class=\"number\">Power</th>"));
    assert_non_null(
        strstr(html, "<tr><th scope=\"row\" class=\"short\">Bold class</th><td class=\"number\">+9.00</td>"));
    assert_non_null(strstr(html, "<ul>\n<li>Measure"));
    assert_non_null(strstr(html, "<p class=\"caution stop\"><strong>stop</strong> The lens"));
    assert_non_null(strstr(html, "<p class=\"caution\"><strong>NOTE</strong> Local"));
    static const char *const outside[] = {"<script", "http:", "https:", "url(", "src=", "<link"};
    for (size_t k = 0; k < sizeof outside / sizeof outside[0]; k++) assert_null(strstr(html, outside[k]));
}

/* The five characters that mean something in HTML, in every kind of block. */
static void html_escapes(void **state) {
    (void)state;
    static const char bad[] = "<b>&\"'\x01\x7fZ\xC3\xA9</b>";
    static const char good[] = "&lt;b&gt;&amp;&quot;&#39;  Z\xC3\xA9&lt;/b&gt;";
    const char *const cells[] = {bad, bad};
    iol_page_start(&page);
    iol_page_title(&page, bad);
    iol_page_heading(&page, bad);
    iol_page_section(&page, bad, bad);
    iol_page_alone(&page, bad, bad);
    iol_page_subheading(&page, bad);
    iol_page_fold(&page, bad);
    iol_page_unfold(&page);
    iol_page_figure(&page, bad, bad);
    iol_page_figure_missing(&page, bad, bad);
    iol_page_paragraph(&page, bad);
    iol_page_pair(&page, bad, bad);
    iol_page_item(&page, bad);
    iol_page_caution(&page, bad, bad);
    iol_page_table(&page, 2, cells);
    iol_page_row(&page, 2, cells);
    const char *html = as_html();
    check_balance(html);
    assert_null(strstr(html, "<b>"));
    int found = 0;
    for (; (html = strstr(html, good)) != NULL; html++) found++;
    assert_int_equal(found, 1 + 1 + 1 + 1 + 2 + 1 + 2 + 2 + 2 /* the title stands twice */
                                + 2 + 3 + 1 + 1 + 1 + 2);     /* section, links, subheading, fold, figures */
}

/* A column of words gives way before a word of another is broken (common practice, no source). */
static void words_stay_whole(void **state) {
    (void)state;
    static const char *const heads[] = {"Place", "Lens", ">A", ">B", ">C", ">D", ">E"};
    static const char *const row[] = {"in front of the iris", "lens-of-18-letters", "+21.50 D", "+21.50 D",
                                      "+21.50 D", "+21.50 D", "+21.50 D"};
    iol_page_start(&page);
    iol_page_table(&page, 7, heads);
    iol_page_row(&page, 7, row);
    assert_non_null(strstr(as_text(false), "  lens-of-18-letters  "));
}

/* No line ends between a number and its unit, within a date or before an axis, in no kind of block; an axis of a refraction bears
 * the sign of degrees, the x of a count stays; other words after a number, and a unit after a word, may
 * stand alone. The plain text keeps its blanks (common practice, no source). */
static void units_stay_with_numbers(void **state) {
    (void)state;
    static const char text[] =
        "+21.50 D, -0.75 D x 90; 500 per mm2, 0.5 D per mm, 49 % <5 mm; 90 deg 3 of 4, 7 Dots D 2 mmHgs, "
        "-0.25 D x 7, 1 D x 45.5, hooks x 2, D x 5, 2 D x 8 deg, +- 0.5 D; 14 Dec 2025, 9 March 2026, 3 May be, in May 2025";
    static const char tied[] = "+21.50&nbsp;D, \xE2\x88\x92"
                               "0.75&nbsp;D&nbsp;\xC3\x97&nbsp;90\xC2\xB0; 500&nbsp;per mm\xC2\xB2, 0.5&nbsp;D per mm, "
                               "49&nbsp;% &lt;5&nbsp;mm; "
                               "90\xC2\xB0 3 of 4, 7 Dots D 2 mmHgs, \xE2\x88\x92"
                               "0.25&nbsp;D&nbsp;\xC3\x97&nbsp;7\xC2\xB0, 1&nbsp;D&nbsp;\xC3\x97&nbsp;45.5\xC2\xB0, "
                               "hooks x 2, D x 5, "
                               "2&nbsp;D&nbsp;\xC3\x97&nbsp;8\xC2\xB0, \xC2\xB1&nbsp;0.5&nbsp;D; "
                               "14&nbsp;Dec&nbsp;2025, 9&nbsp;March&nbsp;2026, 3&nbsp;May be, in May 2025";
    const char *const cells[] = {text, text};
    iol_page_start(&page);
    iol_page_paragraph(&page, text);
    iol_page_pair(&page, "one", text);
    iol_page_item(&page, text);
    iol_page_caution(&page, "warn", text);
    iol_page_table(&page, 2, cells);
    iol_page_row(&page, 2, cells);
    int found = 0;
    for (const char *html = as_html(); (html = strstr(html, tied)) != NULL; html++) found++;
    assert_int_equal(found, 8);
    assert_null(strstr(as_text(false), "&nbsp;"));
    iol_page_start(&page); /* a text that begins with an axis */
    iol_page_item(&page, "x 7 D or so");
    assert_non_null(strstr(as_html(), "x 7&nbsp;D or so"));
    iol_page_start(&page); /* on a line of 80 columns the number would stand last */
    iol_page_paragraph(&page, "A line that is as long as it can be before a number ends it with a share of 1234 % of all.");
    iol_page_paragraph(&page, "A line that is as long as it can be before a day ends it, and is broken on 14 Dec 2025.");
    assert_non_null(strstr(as_text(false), "\n1234 % of all.\n"));
    assert_non_null(strstr(as_text(false), "\n14 Dec 2025.\n"));
}

/* Pairs without a label belong to the one above; a section can be shown alone. */
static void html_of_parts(void **state) {
    (void)state;
    iol_page_start(&page);
    iol_page_section(&page, "talk", "Talk");
    iol_page_alone(&page, "Alone", "Back");
    iol_page_pair(&page, "", "first");
    iol_page_pair(&page, "risks", "one");
    iol_page_pair(&page, "", "two");
    iol_page_pair(&page, "", "three");
    iol_page_pair(&page, "end", "four");
    iol_page_paragraph(&page, "x");
    iol_page_pair(&page, "", "apart");
    const char *html = as_html();
    check_balance(html);
    static const char *const wanted[] = {
        "<section id=\"talk\">\n<h2>Talk</h2>\n<p class=\"alone\"><a class=\"show\" href=\"#talk\">Alone</a>"
        "<a class=\"back\" href=\"#plan\">Back</a></p>\n",
        "<tr><td></td><td>first</td></tr>\n",
        "<tr><th scope=\"row\" rowspan=\"3\">risks</th><td>one</td></tr>\n<tr><td>two</td></tr>\n"
        "<tr><td>three</td></tr>\n<tr><th scope=\"row\">end</th><td>four</td></tr>\n",
        "<tr><td></td><td>apart</td></tr>\n",
    };
    for (size_t k = 0; k < sizeof wanted / sizeof wanted[0]; k++) assert_non_null(strstr(html, wanted[k]));
    iol_page_start(&page); /* the first of all goes on as any other does */
    iol_page_pair(&page, "risks", "one");
    iol_page_pair(&page, "", "two");
    assert_non_null(strstr(as_html(), "<tr><th scope=\"row\" rowspan=\"2\">risks</th><td>one</td></tr>\n<tr><td>two</td></tr>\n"));
}

static void refused_by_the_sink(void **state) {
    (void)state;
    compose_sample();
    for (int kind = 0; kind < 2; kind++) {
        empty_store(-1);
        assert_true(kind == 0 ? iol_page_text(&page, true, keep, &kept) : iol_page_html(&page, keep, &kept));
        const int calls = kept.calls;
        for (int takes = 0; takes < calls; takes++) {
            empty_store(takes);
            assert_false(kind == 0 ? iol_page_text(&page, true, keep, &kept) : iol_page_html(&page, keep, &kept));
            assert_int_equal(kept.calls, takes + 1); /* and is not asked again */
        }
    }
}

int main(void) {
    const struct CMUnitTest tests[] = {
        cmocka_unit_test(sample_text),
        cmocka_unit_test(colour_adds_only_codes),
        cmocka_unit_test(hostile_text),
        cmocka_unit_test(random_pages),
        cmocka_unit_test(overflow),
        cmocka_unit_test(too_many_cells),
        cmocka_unit_test(sample_html),
        cmocka_unit_test(html_escapes),
        cmocka_unit_test(words_stay_whole), cmocka_unit_test(units_stay_with_numbers),
        cmocka_unit_test(html_of_parts),
        cmocka_unit_test(refused_by_the_sink),
    };
    return cmocka_run_group_tests_name("page", tests, NULL, NULL);
}
